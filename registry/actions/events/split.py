"""One variant turns out to be several: parts are split out, with the evidence that belongs to each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import combinations

from registry.errors import InvalidField
from registry.methods import reasons
from registry.models import (
    Adoption,
    Cause,
    Claim,
    Example,
    Mark,
    Member,
    ModeratorEventKind,
    Release,
    State,
    Variant,
)
from registry.queries.merging import open_claims
from registry.sentences import Sentence

from .. import wording
from ..dispute import is_first_sent
from ..index import index
from ..journalled import journalled
from ..revise import revise
from ..submit import claim_details
from .desk import Deed, conclude, deed, end_disputes, held, keep_event, keep_line, refuse_unless_live

States = dict[int, State]


@dataclass(frozen=True)
class Part:
    """A variant to be split out: what tells it from the rest, and the examples that are of its kind."""

    title: str
    states: Sequence[State]
    examples: Sequence[Example] = ()
    nicknames: Sequence[str] = ()


@journalled
def split_variant(
    *,
    variant: Variant,
    parts: Sequence[Part],
    by: Member,
    at: datetime,
    reason: str,
    keeps: bool = True,
    seconded_by: Member | None = None,
) -> list[Variant]:
    """Split parts out of a variant; answers with the new variants, in order.

    With `keeps` the variant goes on under its id as the main part, its claims and votes untouched. Without, it ends,
    its id names the parts for ever, and disputes of its claims are taken back. Each part opens the variant's claims
    anew, but for the states that it names; marks of its examples are its evidence from now on. Votes stay where they
    were cast: they were given on the whole.
    Errors: RoleRequired, IdentityMoved, and InvalidField for too few parts or two that nothing tells apart.
    """
    doing = deed(by, at, reason, seconded_by)
    release, (whole,) = held(variant)
    refuse_unless_live(whole)
    claims = open_claims(whole)
    check_parts(parts, claims, release, keeps)
    leads = is_first_sent(whole)
    alone = leads and not release.variants.live().exclude(pk=whole.pk).exists()
    split_out = []
    for n, part in enumerate(parts):
        inherits = alone and not keeps and n == 0
        told = [claim for claim in claims if inherits or not is_baseline(claim)]
        split_out.append(split_off(whole, part, told, doing, release, keeps, leads))
    if keeps:
        titles = ", ".join(part.title for part in split_out)
        revise(variant=whole, author=doing.by, reason=reasons.SPLIT_OUT.filled(titles=titles), at=at)
    else:
        end_disputes(whole, doing, reasons.VARIANT_SPLIT)
        keep_event(whole, ModeratorEventKind.SPLIT, doing)
        keep_line(whole, "split", doing, parts=[part.public_id for part in split_out])
    conclude(release, doing, whole, *split_out)
    return split_out


def check_parts(parts: Sequence[Part], claims: list[Claim], release: Release, keeps: bool) -> None:
    least = 1 if keeps else 2
    if len(parts) < least:
        raise InvalidField("parts", len(parts), Sentence("Name at least %(least)s.", least=least))
    adopted = set(Adoption.objects.filter(release=release).values_list("trait", flat=True))
    seen: set[int] = set()
    for part in parts:
        for state in part.states:
            if state.trait.survivor.pk not in adopted:
                raise InvalidField(
                    "parts.states",
                    state.name,
                    Sentence("%(release)s has no detail %(trait)s.", release=release, trait=state.trait),
                )
        for example in part.examples:
            if example.release_id != release.pk or example.pk in seen:
                raise InvalidField(
                    "parts.examples",
                    example.public_id,
                    Sentence("Name each example of %(release)s once at most.", release=release),
                )
            seen.add(example.pk)
    shown = [told_apart(part) for part in parts]
    listed = states_of(claims)
    is_old = keeps and any(listed == {**listed, **states} for states in shown)
    if is_old or any(one == other for one, other in combinations(shown, 2)):
        raise InvalidField(
            "parts.states", None, Sentence("Name a state of each part that no other part has.")
        )


def is_baseline(claim: Claim) -> bool:
    """A cause that only the release's first variant has: handed on where the parts are all there is."""
    return claim.trait.is_cause and claim.state.key == Cause.BASELINE


def states_of(claims: list[Claim]) -> States:
    return {claim.trait.survivor.pk: claim.state.survivor for claim in claims}


def told_apart(part: Part) -> States:
    """By trait. Errors: InvalidField where one trait is given two states, or none is."""
    states = {state.trait.survivor.pk: state.survivor for state in part.states}
    if len(states) != len(part.states) or not states:
        raise InvalidField(
            "parts.states", len(part.states), Sentence("Name one state for each detail that differs.")
        )
    return states


def split_off(
    whole: Variant,
    part: Part,
    claims: list[Claim],
    doing: Deed,
    release: Release,
    keeps: bool,
    leads: bool,
) -> Variant:
    """One part, its claims and marks, its event and its line in the journal."""
    new = Variant(release=release, sent_at=doing.at, changed_at=doing.at, split_from=whole)
    new.title = wording.line("parts.title", part.title, 120)
    new.nicknames = wording.lines("parts.nicknames", list(part.nicknames), 60)
    new.noticed_by, new.noticed_on = whole.noticed_by, whole.noticed_on
    new.save()
    opened = open_part(new, part, claims, doing, keeps, leads)
    marks, unmarked = move_marks(part, claims, opened, doing, keeps)
    revise(
        variant=new,
        author=doing.by,
        reason=reasons.SPLIT_FROM.filled(title=whole.title, id=whole.shown_id),
        at=doing.at,
    )
    keep_event(whole, ModeratorEventKind.PARTED, doing, into=new)
    details = {"claims": claim_details(release, opened), "marks": marks, "unmarked": unmarked}
    keep_line(whole, "parted", doing, part=new.public_id, title=new.title, **details)
    index(new)
    return new


def open_part(
    new: Variant, part: Part, claims: list[Claim], doing: Deed, keeps: bool, leads: bool
) -> list[Claim]:
    """The whole's claims anew, but for the states that the part names; what it names are its differences.

    The whole's own differences are the part's as well, unless the whole is the baseline, which differs from nothing.
    """
    said, old = told_apart(part), {claim.trait.survivor.pk: claim for claim in claims}
    opened = []
    for trait in [*old, *(trait for trait in said if trait not in old)]:
        was, state = old.get(trait), said.get(trait)
        is_new = state is not None and (was is None or was.state.survivor != state)
        opened.append(
            Claim.objects.create(
                variant=new,
                trait=(state or was.state.survivor).trait.survivor,  # type: ignore[union-attr]
                state=state or was.state.survivor,  # type: ignore[union-attr]
                author=doing.by if is_new else was.author,  # type: ignore[union-attr]
                submission=None if is_new else was.submission,  # type: ignore[union-attr]
                is_difference=state is not None or (not leads and was is not None and was.is_difference),
                base_claim=was if is_new and keeps else (was.base_claim if was else None),
                predecessor=was,
                since_revision=1,
                opened_at=doing.at,
            )
        )
    return opened


def move_marks(
    part: Part, claims: list[Claim], opened: list[Claim], doing: Deed, keeps: bool
) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """What the part's examples show is the part's. A main part loses those marks; a variant that ends keeps them."""
    after = {claim.predecessor_id: claim for claim in opened}
    kept = Mark.objects.standing().on([claim.pk for claim in claims]).filter(example__in=part.examples)
    marks, unmarked = [], []
    for mark in kept.select_related("photo", "example", "claim").order_by("pk"):
        claim = after.get(mark.shown_claim)
        if claim is None:
            continue
        where = {"x": mark.x, "y": mark.y, "w": mark.w, "h": mark.h, "note": mark.note}
        Mark.objects.create(
            photo=mark.photo, example=mark.example, claim=claim, by_id=mark.by_id, at=doing.at, **where
        )
        told = {"example": mark.example.public_id, "photo": mark.photo.public_id}
        marks.append({"claim": claim.public_id, **told})
        if keeps:
            Mark.objects.filter(pk=mark.pk).update(removed_at=doing.at)
            unmarked.append({"claim": mark.claim.public_id, **told})
    return marks, unmarked
