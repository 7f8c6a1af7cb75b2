"""What comes with a report: the examples it speaks of, what its photos show, the regions marked on them, sightings."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime

from registry.errors import InvalidField, RegistryError
from registry.models import (
    Claim,
    Condition,
    CountKind,
    Example,
    Member,
    Photo,
    PhotoExample,
    Release,
    Submission,
    Trait,
    Variant,
    View,
)
from registry.sentences import Sentence

from . import wording
from .attach import add_example, showable
from .mark import mark_region, parse_fragment
from .proposals import found
from .report import Named, fresh_ref, look_up, objects
from .sight import report_sighting


def enclose_examples(draft: Submission, release: Release, by: Member, at: datetime) -> dict[str, Example]:
    """The report's new examples, by their `ref:...`."""
    made: dict[str, Example] = {}
    for item in objects("examples", draft.content.get("examples")):
        made[fresh_ref("examples", item, made)] = add_example(
            by=by,
            at=at,
            release=release,
            condition=wording.choice("examples.condition", item.get("condition"), Condition),
            mine=wording.truth("examples.mine", item.get("mine", True)),
            found_case=item.get("found_case") or "",
            found_shop=item.get("found_shop") or "",
            found_month=wording.past_month("examples.found_month", item.get("found_month"), at),
            country=item.get("country") or "",
            region=item.get("region") or "",
        )
    return made


def enclose_photos(draft: Submission, release: Release, names: Named, by: Member) -> None:
    """Say which examples the report's photos show, and from which side."""
    for item in objects("photos", draft.content.get("photos")):
        photo = own_photo(draft, "photos.photo", item.get("photo"))
        views = wording.several("photos.views", item.get("views") or [], View)
        photo.views = sorted({*photo.views, *views})
        photo.save(update_fields=["views"])
        shown = item.get("examples") or []
        if not isinstance(shown, list):
            raise InvalidField("photos.examples", shown, Sentence("Send a list of examples."))
        for said in shown:
            show(photo, "photos.examples", said, names, release, by)


def show(photo: Photo, name: str, said: object, names: Named, release: Release, by: Member) -> Example:
    """Note that the photo shows the example named. Errors: InvalidField for one that is not the member's to picture."""
    example: Example = look_up(Example, name, said, names.examples)
    showable([example], release, by, name)
    PhotoExample.objects.get_or_create(photo=photo, example=example)
    return example


def own_photo(draft: Submission, name: str, said: object) -> Photo:
    photo: Photo = found(Photo, name, said)
    if photo.submission_id != draft.pk:
        raise InvalidField(name, said, Sentence("Attach the photo to this report first."))
    return photo


def enclose_marks(
    draft: Submission, variant: Variant, base: Variant | None, names: Named, by: Member, at: datetime
) -> list[dict[str, str]]:
    """Mark regions on the claims just opened, or on those that stood; answers them as the journal keeps them."""
    made = []
    for item in objects("marks", draft.content.get("marks")):
        of = item.get("of", "variant")
        if of not in ("variant", "base"):
            raise InvalidField("marks.of", of, Sentence("Choose variant or base."))
        target = base if of == "base" else variant
        if target is None:
            raise InvalidField("marks.of", of, Sentence("The report names no variant that it differs from."))
        trait = look_up(Trait, "marks.trait", item.get("trait"), names.traits)
        photo = own_photo(draft, "marks.photo", item.get("photo"))
        example = show(photo, "marks.example", item.get("example"), names, variant.release, by)
        mark = mark_region(
            photo=photo,
            example=example,
            claim=marked_claim(target, trait, by),
            xywh=parse_fragment(str(item.get("xywh", ""))),
            by=by,
            at=at,
            within_report=True,
        )
        made.append({"claim": mark.claim.public_id, "example": example.public_id, "photo": photo.public_id})
    return made


def marked_claim(variant: Variant, trait: Trait, by: Member) -> Claim:
    """The claim a mark speaks of: the rival that this member proposes, else the one that stands."""
    votable = Claim.objects.votable().on(trait).filter(variant=variant)
    claim = votable.filter(is_rival=True, author=by).last() or votable.filter(is_rival=False).first()
    if claim is None:
        raise InvalidField(
            "marks.trait",
            trait.name,
            Sentence("%(variant)s says nothing of this detail. Say its state first.", variant=variant.title),
        )
    return claim


def enclose_sightings(draft: Submission, variant: Variant, by: Member, at: datetime) -> None:
    """Where else its author saw the variant, each a find. Sent again, each is kept once."""
    for n, item in enumerate(objects("sightings", draft.content.get("sightings"))):
        seen = {"variants": [variant], "n": item.get("n", 1), "condition": item.get("condition") or ""}
        with within("sightings"):
            report_sighting(
                by=by,
                at=at,
                release=variant.release,
                scope=item.get("scope") or "",
                seen_on=day_said(item.get("seen_on")),
                country=item.get("country") or "",
                region=item.get("region") or "",
                count_lines=[{"kind": CountKind.VARIANT, **seen}],
                key=f"{draft.public_id} {n}",
            )


def day_said(said: object) -> date | None:
    try:
        return date.fromisoformat(said) if isinstance(said, str) else None
    except ValueError:
        raise InvalidField("seen_on", said, Sentence("Send a date as YYYY-MM-DD.")) from None


@contextmanager
def within(part: str) -> Iterator[None]:
    """A refusal names the part of the report that its field is in."""
    try:
        yield
    except RegistryError as refusal:
        refusal.field = f"{part}.{refusal.field}"
        raise
