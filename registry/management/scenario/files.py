"""Read the scenario's files. What is missing or does not fit is said with the file's name."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

Spec = dict[str, Any]
"""One entry of a file, as written there."""

PARTS = ("catalogue", "variants", "pictures", "members", "happenings")


class ScenarioFault(Exception):
    """The scenario cannot be read or played; the message says where and why."""


@dataclass(frozen=True)
class Scenario:
    """The files of fixtures/, by key. `files` are the scenario files as they are written."""

    folder: Path
    files: Mapping[str, Spec]
    releases: Mapping[str, Spec]
    variants: Mapping[str, Spec]
    examples: Mapping[str, Spec]
    pictures: Mapping[str, Spec]
    members: Mapping[str, Spec]
    boxes: Mapping[str, Mapping[str, Mapping[str, list[float]]]]
    """Where a trait of an example lies in a picture: x, y, width and height in percent."""

    @property
    def happenings(self) -> Spec:
        return self.files["happenings"]

    def releases_variants(self, release: str) -> list[Spec]:
        """The variants of a release, in order of sending."""
        return [spec for spec in self.variants.values() if spec["release"] == release]

    def picture(self, file: str) -> bytes:
        """The bytes of a picture. Errors: ScenarioFault."""
        path = self.folder / "pictures" / file
        try:
            return path.read_bytes()
        except OSError as fault:
            raise ScenarioFault(f"The picture {path} cannot be read: {fault.strerror}.") from fault


def read_scenario(folder: Path) -> Scenario:
    """Errors: ScenarioFault naming the file that is missing, cannot be read, or speaks of what is not there."""
    files = {part: read_yaml(folder / "scenario" / f"{part}.yaml") for part in PARTS}
    catalogue, happenings = files["catalogue"], files["happenings"]
    variants = {
        spec["key"]: {**spec, "release": release}
        for listed in (files["variants"], happenings["more_variants"])
        for release, specs in listed.items()
        if isinstance(specs, list)
        for spec in specs
    }
    scenario = Scenario(
        folder=folder,
        files=files,
        releases=by_key([*catalogue["releases"], *happenings["proposed_releases"]]),
        variants=variants,
        examples=by_key(files["pictures"]["examples"]),
        pictures={spec["file"]: spec for spec in files["pictures"]["pictures"]},
        members=by_key(files["members"]["members"]),
        boxes=read_boxes(folder / "pictures" / "truth.json"),
    )
    check_pictures(scenario)
    return scenario


def read_yaml(path: Path) -> Spec:
    try:
        with path.open(encoding="utf-8") as file:
            return dict(yaml.load(file, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)))  # noqa: S506
    except (OSError, yaml.YAMLError, TypeError, ValueError) as fault:
        raise ScenarioFault(f"The scenario file {path} cannot be read: {fault}") from fault


def read_boxes(path: Path) -> dict[str, dict[str, dict[str, list[float]]]]:
    try:
        truth = json.loads(path.read_text(encoding="utf-8"))
        return {
            file: {
                example: {trait: seen["box"] for trait, seen in said["traits"].items()}
                for example, said in picture["examples"].items()
            }
            for file, picture in truth["pictures"].items()
        }
    except (OSError, ValueError, KeyError, TypeError) as fault:
        raise ScenarioFault(
            f"{path}, which says where each detail lies in the pictures, cannot be read: {fault}"
        ) from fault


def by_key(specs: Iterable[Spec]) -> dict[str, Spec]:
    return {spec["key"]: spec for spec in specs}


def check_pictures(scenario: Scenario) -> None:
    """Before anything is loaded: every picture is there, and truth.json knows it."""
    folder = scenario.folder / "pictures"
    missing = [file for file in scenario.pictures if not (folder / file).is_file()]
    if missing:
        raise ScenarioFault(
            f"{len(missing)} of the {len(scenario.pictures)} pictures are missing in {folder}, "
            f"{missing[0]} among them. They are part of the checkout: restore them from it, "
            "or render them anew as fixtures/README.md says."
        )
    if unknown := [file for file in scenario.pictures if file not in scenario.boxes]:
        raise ScenarioFault(
            f"{folder / 'truth.json'} says nothing of {len(unknown)} pictures, {unknown[0]} among them."
        )
