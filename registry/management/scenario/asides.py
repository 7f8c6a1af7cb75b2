"""What stands beside the record: gloss readings, pictures that members ask about, and what they follow."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from registry import actions

from .event import Event, Moment
from .files import Spec
from .names import Names
from .reports import attach


def aside_events(names: Names) -> Iterator[Event]:
    told = names.scenario.happenings
    for spec in told["gloss_readings"]:
        yield Event(
            spec["day"], f"{spec['by']} reads the gloss of {spec['example']}", partial(read, names, spec)
        )
    for spec in told["questions"]:
        yield Event(spec["day"], f"{spec['by']} asks about {spec['picture']}", partial(ask, names, spec))
    for spec in told["follows"]:
        yield Event(spec["day"], f"{spec['by']} follows {spec['casting']}", partial(follow, names, spec))


def read(names: Names, spec: Spec, now: Moment) -> None:
    actions.add_gloss_reading(
        by=names.member(spec["by"]),
        at=now(),
        example=names.example(spec["example"]),
        claim=names.claim(names.scenario.examples[spec["example"]]["variant"], spec["trait"]),
        geometry=spec["angle"],
        tenths=round(spec["units"] * 10),
        instrument=spec["meter"],
    )


def ask(names: Names, spec: Spec, now: Moment) -> None:
    """Each answer names a state of a detail, where truth.json says that the picture shows the detail."""
    by, file, release = names.member(spec["by"]), spec["picture"], spec["release"]
    draft = actions.start_draft(
        by=by, at=now(), release=names.release(release), content={"note": spec["asks"]}
    )
    photo = attach(names, file, by, now, submission=draft)
    actions.open_draft(submission=draft, by=by, at=now())
    [seen] = names.scenario.boxes[file].values()
    for answer in spec["answers"]:
        x, y, w, h = (round(edge * 100) for edge in seen[answer["trait"]])
        actions.add_remark(
            by=names.member(answer["by"]),
            at=now(),
            photo=photo,
            xywh=(x, y, w, h),
            state=names.state(release, answer["trait"], answer["state"]),
        )


def follow(names: Names, spec: Spec, now: Moment) -> None:
    actions.follow(by=names.member(spec["by"]), at=now(), casting=names.casting(spec["casting"]))
