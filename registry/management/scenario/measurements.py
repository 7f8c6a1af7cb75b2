"""Lengths that members took on photographs."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from registry import actions

from .event import Event, Moment
from .files import Spec
from .names import Names


def measurement_events(names: Names) -> Iterator[Event]:
    for spec in names.scenario.happenings["measurements"]:
        what = f"{spec['by']} measures {spec['trait']} of {spec['example']}"
        yield Event(spec["day"], what, partial(measure, names, spec))


def measure(names: Names, spec: Spec, now: Moment) -> None:
    """On the first photograph of the example; points are pixels there."""
    example = names.example(spec["example"])
    photo = example.photos.order_by("pk")[0]
    reference, measured = (
        [[round(x * 10_000 / photo.width), round(y * 10_000 / photo.height)] for x, y in spec[name]]
        for name in ("reference", "measured")
    )
    variant = names.scenario.examples[spec["example"]]["variant"]
    actions.measure_on_photo(
        by=names.member(spec["by"]),
        at=now(),
        photo=photo,
        example=example,
        claim=names.claim(variant, spec["trait"]),
        known_by="wheelbase",
        same_plane=spec["same_plane"],
        reference=reference,
        measured=measured,
    )
