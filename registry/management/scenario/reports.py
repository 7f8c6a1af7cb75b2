"""Members' reports: what they claim, the examples they hold, their photographs and the regions marked on them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from typing import Any

from registry import actions
from registry.models import Claim, Example, Licence, Member, Photo, Release, Submission, Variant

from .event import Event, Moment
from .files import ScenarioFault, Spec
from .names import Names

CHART_VIEWS = {"grey_card": ["grey_card"], "patches_24": ["patch_chart"], "none": []}
PACKED = "pack_left"


def report_events(names: Names) -> Iterator[Event]:
    for spec in names.scenario.happenings["reports"]:
        what = f"{spec['by']}'s report on {spec['variant']}"
        yield Event(spec["day"], what, partial(send_report, names, spec))


def send_report(names: Names, spec: Spec, now: Moment, with_marks: bool = True) -> Submission:
    """One report, whole: a new variant where its variant is not listed yet, else evidence on the listed one."""
    by, report = names.member(spec["by"]), Report(names, spec)
    draft = actions.start_draft(by=by, at=now(), **report.subject(), content=report.content())
    photos = {file: attach(names, file, by, now, submission=draft) for file in spec.get("pictures", ())}
    evidence = report.evidence(photos, with_marks)
    draft = actions.edit_draft(submission=draft, by=by, at=now(), content={**report.content(), **evidence})
    return actions.send_submission(submission=draft, by=by, at=now())


def attach(names: Names, file: str, by: Member, now: Moment, **to: Any) -> Photo:
    picture = names.scenario.pictures[file]
    return actions.attach_photo(
        by=by,
        at=now(),
        data=names.scenario.picture(file),
        views=[*picture["views"], *CHART_VIEWS[picture["chart"]]],
        caption=caption(picture),
        licence=Licence.CC0_1,
        **to,
    )


def caption(picture: Spec) -> str:
    """`Sealed in its pack`, `Front left`, `Two side by side, front left`."""
    if picture["camera"] == PACKED:
        return "Sealed in its pack"
    camera = picture["camera"].replace("_", " ")
    return f"Two side by side, {camera}" if len(picture["examples"]) > 1 else camera.capitalize()


class Report:
    """What one report says, from its entry in the files and from what was known on its day."""

    def __init__(self, names: Names, spec: Spec) -> None:
        self.names, self.spec = names, spec
        self.variant = names.scenario.variants[spec["variant"]]
        self.base = names.scenario.variants.get(self.variant.get("differs_from", ""))
        self.known = names.find_variant(spec["variant"])
        self.proposed = spec.get("proposes", {})

    @property
    def release(self) -> Release | None:
        """None where the report itself proposes it."""
        return None if "release" in self.proposed else self.names.release(self.variant["release"])

    def subject(self) -> dict[str, Any]:
        """What the report is on, as a draft names it."""
        casting = self.names.scenario.releases[self.variant["release"]]["casting"]
        return {
            "casting": self.names.casting(casting),
            "release": self.release,
            "variant": self.known,
            "differs_from": self.names.variant(self.base["key"]) if self.base else None,
        }

    def content(self) -> dict[str, Any]:
        """Everything but the evidence."""
        said: dict[str, Any] = {"note": self.spec.get("note", ""), "proposes": self.proposals()}
        if self.known is None:
            said |= {
                "title": self.variant["title"],
                "nicknames": self.variant.get("nicknames", []),
                "noticed_in": self.spec.get("noticed_in", ""),
                "claims": [self.claim(trait) for trait in self.traits()],
            }
        else:
            said["claims"] = [self.claim(trait) for trait in self.spec.get("claims", {})]
        cause = self.spec.get("cause") or (None if self.known else self.variant["cause"])
        return said if cause in (None, "baseline", "not_known") else {**said, "cause": cause}

    def traits(self) -> list[str]:
        """The traits claimed, those that differ first."""
        return list(dict.fromkeys([*self.variant.get("difference", ()), *self.variant["asserts"]]))

    def claim(self, trait: str) -> dict[str, str]:
        first = self.variant.get("first_claimed", {})
        state = self.spec.get("claims", {}).get(trait) or first.get(trait) or self.variant["states"][trait]
        said = {"trait": self.trait_id(trait), "state": self.state_id(trait, state)}
        if self.base and trait in self.variant["difference"]:
            base = {**self.base["states"], **self.variant.get("base_states", {})}[trait]
            return {**said, "kind": "difference", "base_state": self.state_id(trait, base)}
        is_alike = self.base is not None and self.base["states"].get(trait) == state
        return {**said, "kind": "alike" if is_alike else "stated"}

    def trait_id(self, trait: str) -> str:
        if any(said["ref"] == trait for said in self.proposed.get("traits", ())):
            return f"ref:{trait}"
        if "release" in self.proposed:  # it will adopt the line's standard checks
            line = self.names.line(self.names.scenario.releases[self.variant["release"]]["line"])
            return line.traits.get(key=trait).public_id
        return self.names.trait(self.variant["release"], trait).public_id

    def state_id(self, trait: str, state: str) -> str:
        if any(said["ref"] == state for said in self.proposed.get("states", ())):
            return f"ref:{state}"
        if "release" in self.proposed:
            line = self.names.line(self.names.scenario.releases[self.variant["release"]]["line"])
            return line.traits.get(key=trait).states.get(key=state).public_id
        return self.names.state(self.variant["release"], trait, state).public_id

    def proposals(self) -> dict[str, Any]:
        """The proposals with ids in place of the scenario's keys."""
        said = dict(self.proposed)
        if "release" in said:
            release = self.names.scenario.releases[said["release"]]
            said["release"] = {
                **{name: release[name] for name in ("name", "number", "year", "livery")},
                "line": self.names.line(release["line"]).public_id,
                "casting": self.names.casting(release["casting"]).public_id,
            }
        if "states" in said:
            said["states"] = [{**one, "trait": self.trait_id(one["trait"])} for one in said["states"]]
        return said

    def evidence(self, photos: dict[str, Photo], with_marks: bool) -> dict[str, Any]:
        """Examples nobody has shown before, what each photo shows, and a mark wherever a claimed detail is seen."""
        shown = [key for file in photos for key in self.shown(file)]
        ids = {key: self.example_id(key) for key in dict.fromkeys(shown)}
        enclosed = {
            "examples": [self.example(key) for key, said in ids.items() if said.startswith("ref:")],
            "photos": [
                {"photo": photo.public_id, "examples": [ids[key] for key in self.shown(file)]}
                for file, photo in photos.items()
            ],
        }
        marks = [mark for file, photo in photos.items() for mark in self.marks(file, photo, ids)]
        return {**enclosed, "marks": marks} if with_marks else enclosed

    def shown(self, file: str) -> list[str]:
        """The examples of a picture that the report speaks of."""
        unnoticed = self.spec.get("unnoticed", ())
        return [key for key in self.names.scenario.pictures[file]["examples"] if key not in unnoticed]

    def example_id(self, key: str) -> str:
        known = self.names.find_example(key) if self.release else None
        return known.public_id if known else f"ref:{key}"

    def example(self, key: str) -> dict[str, Any]:
        spec = self.names.scenario.examples[key]
        found = spec["found"]
        return {
            "ref": key,
            "mine": key not in self.spec.get("nobodys", ()),
            "condition": spec["condition"],
            "found_case": found["case"],
            "found_shop": found["shop"],
            "found_month": found["month"],
            "country": found["country"],
            "region": found["region"],
        }

    def marks(self, file: str, photo: Photo, ids: dict[str, str]) -> Iterator[dict[str, str]]:
        for key in self.shown(file):
            boxes, of = self.names.scenario.boxes[file].get(key, {}), self.side(key)
            for trait in self.claimed(of):
                if trait in boxes:
                    yield {
                        "photo": photo.public_id,
                        "example": ids[key],
                        "trait": self.trait_id(trait),
                        "xywh": fragment(boxes[trait]),
                        "of": of,
                    }

    def side(self, example: str) -> str:
        shown = self.names.scenario.examples[example]["variant"]
        if shown == self.variant["key"]:
            return "variant"
        if self.base and shown == self.base["key"]:
            return "base"
        raise ScenarioFault(f"{example} shows neither {self.variant['key']} nor what it differs from")

    def claimed(self, of: str) -> Iterable[str]:
        """Traits that the side has a claim on, once the report is sent."""
        row = self.known if of == "variant" else self.names.variant(self.base["key"]) if self.base else None
        listed = claimed_traits(row) if row else []
        new = self.traits() if self.known is None else list(self.spec.get("claims", ()))
        if of == "base":
            new = [trait for trait in new if trait in self.variant["difference"]]
        return dict.fromkeys([*listed, *new])


def claimed_traits(variant: Variant) -> list[str]:
    claims = Claim.objects.open().filter(variant=variant).exclude(trait__kind="cause")
    return list(claims.order_by("pk").values_list("trait__key", flat=True))


def fragment(box: Iterable[float]) -> str:
    """A box as Media Fragments write it, its far edges kept inside the picture."""
    x, y, w, h = (round(part, 2) for part in box)
    return f"percent:{x:.2f},{y:.2f},{min(w, 100 - x):.2f},{min(h, 100 - y):.2f}"


def hundredths(box: Iterable[float]) -> tuple[int, int, int, int]:
    """A box in hundredths of a percent, as marks are kept."""
    return actions.parse_fragment(fragment(box))


def owned(names: Names, file: str) -> list[Example]:
    """The examples that a picture shows, all of them shown before."""
    return [names.example(key) for key in names.scenario.pictures[file]["examples"]]
