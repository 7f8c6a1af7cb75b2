"""What members saw and counted, what they keep in their cabinets, and which crops moderators chose as samples."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

from registry import actions
from registry.models import CountKind, Mark

from .event import Event, Moment
from .files import Spec
from .names import Names

KINDS = {"none known": CountKind.NONE_KNOWN, "could not tell": CountKind.COULD_NOT_TELL}


def sighting_events(names: Names) -> Iterator[Event]:
    told = names.scenario.happenings
    for spec in told["sightings"]:
        yield Event(spec["day"], f"{spec['by']} saw {spec['release']}", partial(report_sighting, names, spec))
    for spec in told["sheets"]:
        yield Event(
            spec["day"], f"{spec['by']} brings a file of sightings", partial(bring_sheet, names, spec)
        )
    for spec in told["cabinets"]:
        yield Event(spec["day"], f"{spec['by']} fills a cabinet", partial(put_item, names, spec))
    for spec in told["samples"]:
        what = f"a sample of {spec['trait']} of {spec['variant']}"
        yield Event(spec["day"], what, partial(choose_sample, names, spec))


def report_sighting(names: Names, spec: Spec, now: Moment) -> None:
    """`counts` pairs what was seen with how many: a variant, `a or b` of two, `none known`, `could not tell`."""
    country, _, region = spec["at"].partition(" ")
    pack = names.pack(spec["pack"]) if "pack" in spec else None
    versions = pack.versions.filter(name=spec["version"]) if pack and "version" in spec else ()
    actions.report_sighting(
        by=names.member(spec["by"]),
        at=now(),
        release=names.release(spec["release"]),
        scope=spec["scope"],
        seen_on=spec["day"],
        count_lines=[count_line(names, counted, spec) for counted in spec["counts"]],
        is_full_count=spec.get("full", False),
        picked_over={None: "unknown", True: "yes", False: "no"}[spec.get("picked")],
        cases_compared=spec.get("cases"),
        total=spec.get("total"),
        pack=pack,
        pack_version=next(iter(versions), None),
        example=names.example(spec["example"]) if "example" in spec else None,
        country=country,
        region=region,
        source=spec.get("source", ""),
        note=spec.get("note", ""),
        traits_seen=[names.trait(spec["release"], trait) for trait in spec.get("seen", ())],
    )


def count_line(names: Names, counted: tuple[str, int], spec: Spec) -> dict[str, Any]:
    what, n = counted
    line: dict[str, Any] = {"n": n, "condition": spec.get("condition", "")}
    if what in KINDS:
        return {**line, "kind": KINDS[what]}
    variants = [names.variant(key) for key in what.split(" or ")]
    kind = CountKind.VARIANT if len(variants) == 1 else CountKind.ONE_OF_THESE
    return {**line, "kind": kind, "variants": variants}


def bring_sheet(names: Names, spec: Spec, now: Moment) -> None:
    """As NDJSON, the way a member's own program would write it."""
    lines = [json.dumps(sheet_line(names, said)) for said in spec["sightings"]]
    actions.import_sightings(by=names.member(spec["by"]), at=now(), data="\n".join(lines).encode())


def sheet_line(names: Names, said: Spec) -> dict[str, Any]:
    country, _, region = said["at"].partition(" ")
    lines = [count_line(names, counted, said) for counted in said["counts"]]
    for line in lines:
        line["variants"] = [variant.public_id for variant in line.get("variants", ())]
    return {
        "key": said["key"],
        "release": names.release(said["release"]).public_id,
        "scope": said["scope"],
        "seen_on": said["day"].isoformat(),
        "is_full_count": said.get("full", False),
        "picked_over": {None: "unknown", True: "yes", False: "no"}[said.get("picked")],
        "total": said.get("total"),
        "is_offer": said.get("offered", False),
        "country": country,
        "region": region,
        "count_lines": lines,
    }


def put_item(names: Names, spec: Spec, now: Moment) -> None:
    variant = spec.get("variant")
    release = names.scenario.variants[variant]["release"] if variant else spec["release"]
    actions.put_item(
        by=names.member(spec["by"]),
        at=now(),
        release=names.release(release),
        variant=names.variant(variant) if variant else None,
        example=names.example(spec["example"]) if "example" in spec else None,
        condition=spec["condition"],
        count=spec.get("count", 1),
        to_swap=spec.get("to_swap", 0),
        wear=spec.get("wear", ""),
        note=spec.get("note", ""),
    )


def choose_sample(names: Names, spec: Spec, now: Moment) -> None:
    """The largest region in which the state was marked."""
    claim = names.claim(spec["variant"], spec["trait"])
    marks = Mark.objects.standing().filter(claim=claim)
    actions.set_sample(
        by=names.member(spec["by"]),
        at=now(),
        release=claim.variant.release,
        state=claim.state,
        mark=max(marks, key=lambda mark: (mark.w * mark.h, -mark.pk)),
    )
