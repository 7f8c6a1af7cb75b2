"""Take a length on a photograph by one that is known; it stands beside the evidence and moves no standing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from registry.errors import AlreadyClosed, InvalidField, NotFound, NotPermitted
from registry.methods.measure import (
    RULER_PLAY_UM,
    WHEELBASE_PLAY_UM,
    Reading,
    default_pointing,
    measure,
    on_picture,
)
from registry.models import (
    Claim,
    Example,
    JournalEntry,
    KnownBy,
    Measurement,
    Member,
    Photo,
    PhotoExample,
    Trait,
)
from registry.sentences import Sentence

from . import wording
from .admission import active
from .journalled import journalled
from .quotas import admit
from .settle import refuse_gone

Place = tuple[int, int]
Line = tuple[Place, Place]
LONGEST_KNOWN_UM = 10**6
MOST_POINTING_PX, LEAST_DISTANCE_MM, MOST_DISTANCE_MM = 200, 20, 10_000
PLAY_UM = {KnownBy.WHEELBASE: WHEELBASE_PLAY_UM, KnownBy.RULER: RULER_PLAY_UM}


@dataclass(frozen=True)
class Measured:
    """What a measurement would be, before anybody keeps it: its columns, and what they come to."""

    reading: Reading
    columns: dict[str, Any]


def work_out(
    *,
    photo: Photo,
    example: Example,
    reference: Sequence[Sequence[int]],
    measured: Sequence[Sequence[int]],
    known_by: str,
    known_um: int | None = None,
    pointing_px: int | None = None,
    is_slanted: bool = False,
    same_plane: bool = True,
    distance_mm: int | None = None,
) -> Measured:
    """The length between the two `measured` points, nothing kept. Points are in hundredths of a percent.

    Errors: InvalidField naming the input at fault: a point outside the picture, points too near to each other, or a
    known length that is missing, given twice, or not on record.
    """
    by = wording.choice("known_by", known_by, KnownBy)
    known = known_length(by, known_um, example)
    lines = {"reference": line("reference", reference), "measured": line("measured", measured)}
    pointing = wording.whole_if_given("pointing_px", pointing_px, 1, MOST_POINTING_PX)
    pointing = pointing or default_pointing(photo.width, photo.height)
    distance = wording.whole_if_given("distance_mm", distance_mm, LEAST_DISTANCE_MM, MOST_DISTANCE_MM)
    pixels = {
        name: (on_picture(start, photo.width, photo.height), on_picture(end, photo.width, photo.height))
        for name, (start, end) in lines.items()
    }
    refuse_short(pixels, pointing)
    reading = measure(
        pixels["reference"],
        known,
        pixels["measured"],
        pointing_px=pointing,
        known_play_um=PLAY_UM[by],
        is_slanted=wording.truth("is_slanted", is_slanted),
        same_plane=wording.truth("same_plane", same_plane),
        **({} if distance is None else {"distance_um": distance * 1000}),
    )
    (known_1, known_2), (end_1, end_2) = lines["reference"], lines["measured"]
    columns = {
        "known_by": by,
        "known_um": known,
        **dict(zip(("known_x1", "known_y1", "known_x2", "known_y2"), (*known_1, *known_2), strict=True)),
        **dict(zip(("x1", "y1", "x2", "y2"), (*end_1, *end_2), strict=True)),
        "pointing_px": pointing,
        "is_slanted": is_slanted,
        "same_plane": same_plane,
        "distance_mm": distance,
        "length_um": reading.length_um,
        "error_um": reading.error_um,
        "caveats": list(reading.caveats),
    }
    return Measured(reading, columns)


@journalled
def measure_on_photo(
    *,
    photo: Photo,
    example: Example,
    by: Member,
    at: datetime,
    claim: Claim | None = None,
    trait: Trait | None = None,
    **said: Any,
) -> Measurement:
    """Any member may measure on a published photo; `said` is what `work_out` takes. Given a claim, the trait is its.

    Errors: those of `work_out`; NotFound for the photo of a draft; InvalidField where the photo does not show the
    example, or a claim or trait is of another release; AlreadyClosed; IdentityMoved; TooMany.
    """
    admit(by, "measurements", at)
    if photo.taken_down_at or not photo.is_published:
        raise NotFound(Sentence("There is no such photo."), field="photo")
    if not PhotoExample.objects.filter(photo=photo, example=example).exists():
        raise InvalidField(
            "example", example.public_id, Sentence("Say first that the photo shows this example.")
        )
    if claim is not None:
        refuse_claim(claim, example)
        trait = claim.trait.survivor
    elif trait is not None:
        refuse_trait(trait, example)
    worked = work_out(photo=photo, example=example, **said)
    kept = Measurement.objects.create(
        photo=photo, example=example, claim=claim, trait=trait, by=by, at=at, **worked.columns
    )
    numbers = {name: worked.columns[name] for name in ("known_um", "length_um", "error_um")}
    detail = {**named(kept), "known_by": kept.known_by, **numbers}
    JournalEntry.objects.record(by=by, verb="measurement.added", about=kept, at=at, detail=detail)
    return kept


@journalled
def remove_measurement(*, measurement: Measurement, by: Member, at: datetime, reason: str) -> Measurement:
    """Take back a measurement that is wrong: who made it or a moderator. The row stays, marked as removed."""
    member = active(by)
    if measurement.by_id != by.pk and not member.is_moderator:
        raise NotPermitted(
            Sentence("Only who measured, or a moderator, can take it back. Measure it yourself beside it.")
        )
    row = Measurement.objects.select_for_update(of=("self",), no_key=True).get(pk=measurement.pk)
    if row.removed_at:
        raise AlreadyClosed(Sentence("This measurement has already been taken back."))
    row.removed_at = at
    row.save(update_fields=["removed_at"])
    detail = {**named(row), "reason": wording.line("reason", reason, 300)}
    JournalEntry.objects.record(by=by, verb="measurement.removed", about=row, at=at, detail=detail)
    return row


def named(row: Measurement) -> dict[str, Any]:
    """What it is about, by public ids."""
    return {
        "photo": row.photo.public_id,
        "example": row.example.public_id,
        "claim": row.claim.public_id if row.claim else None,
        "trait": row.trait.public_id if row.trait else None,
    }


def known_length(by: KnownBy, known_um: int | None, example: Example) -> int:
    if by is KnownBy.RULER:
        if known_um is None:
            raise InvalidField("known_um", None, Sentence("Say how long it is between the first two points."))
        return wording.whole("known_um", known_um, 1, LONGEST_KNOWN_UM)
    if known_um is not None:
        raise InvalidField(
            "known_um",
            known_um,
            Sentence("Leave it out: the wheelbase on record is used. Or measure by a ruler."),
        )
    casting = example.release.casting.survivor
    if casting.wheelbase_um is None:
        remedy = Sentence(
            "No wheelbase of %(casting)s is on record. Measure by a ruler, or ask a moderator to enter it.",
            casting=casting,
        )
        raise InvalidField("known_by", by.value, remedy)
    return int(casting.wheelbase_um)


def line(field: str, given: Sequence[Sequence[int]]) -> Line:
    """Two places on the picture. Errors: InvalidField when one lies outside, or there are not two."""
    try:
        (x1, y1), (x2, y2) = given
    except (TypeError, ValueError):
        raise InvalidField(
            field, str(given)[:60], Sentence("Give two points: left and top of each.")
        ) from None
    for part in (x1, y1, x2, y2):
        if isinstance(part, bool) or not isinstance(part, int) or not 0 <= part <= 10_000:
            raise InvalidField(
                field, part, Sentence("Each point lies on the picture: 0 to 100 percent from left and top.")
            )
    return (x1, y1), (x2, y2)


def refuse_short(pixels: dict[str, Any], pointing: int) -> None:
    for field, ((ax, ay), (bx, by)) in pixels.items():
        apart = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        if apart < 3 * pointing:
            remedy = Sentence(
                "Put the two points at least %(least)s pixels apart; they are %(apart)s apart.",
                least=3 * pointing,
                apart=f"{apart:.0f}",
            )
            raise InvalidField(field, "", remedy)


def refuse_claim(claim: Claim, example: Example) -> None:
    claim.refresh_from_db(fields=["closed_at"])
    refuse_gone(claim)
    if not claim.is_open:
        raise AlreadyClosed(
            Sentence("This claim has ended, so nothing more can be measured for it."), field="claim"
        )
    if claim.variant.release_id != example.release_id:
        raise InvalidField(
            "claim", claim.public_id, Sentence("Choose a claim on %(release)s.", release=example.release)
        )


def refuse_trait(trait: Trait, example: Example) -> None:
    if not trait.survivor.adoptions.filter(release=example.release_id).exists():
        raise InvalidField(
            "trait",
            trait.public_id,
            Sentence("Choose a detail that %(release)s has adopted.", release=example.release),
        )
