"""What the steps of a report need to ask their questions: details with their states, items, likely duplicates."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Prefetch

from registry.models import (
    Adoption,
    Claim,
    Condition,
    Example,
    Member,
    Place,
    Release,
    State,
    Submission,
    Trait,
    Variant,
)
from registry.models.base import in_english
from registry.sentences import Sentence

Choice = tuple[str, str]


@dataclass
class Detail:
    """One trait as a report asks about it. `trait` is a public id, or the `ref:` of one that the draft proposes."""

    trait: str
    name: str
    place: str
    how_to_inspect: str = ""
    seen_in_pack: bool = False
    states: list[Choice] = field(default_factory=list)
    listed: Choice | None = None  # the state that the variant compared with, or reported on, is listed with

    @property
    def place_word(self) -> str:
        return str(Place(self.place).label) if self.place in Place.values else self.place


def details_of(draft: Submission) -> list[Detail]:
    """Every detail the draft may speak of, its own proposals last. Queries: 3."""
    details = adopted_details(draft.release) if draft.release else standard_details(draft)
    proposes = draft.content.get("proposes") or {}
    for said in proposes.get("traits") or []:
        details.append(
            Detail(
                trait=f"ref:{said.get('ref')}",
                name=Sentence("%(name)s (proposed)", name=said.get("name")),
                place=str(said.get("place")),
                how_to_inspect=str(said.get("how_to_inspect") or ""),
                seen_in_pack=bool(said.get("seen_in_pack")),
            )
        )
    by_trait = {detail.trait: detail for detail in details}
    for said in proposes.get("states") or []:
        if detail := by_trait.get(str(said.get("trait"))):
            name = Sentence("%(name)s (proposed)", name=said.get("name"))
            detail.states.append((f"ref:{said.get('ref')}", name))
    compared = draft.variant or draft.differs_from
    if compared:
        add_listed(details, compared)
    return details


def adopted_details(release: Release) -> list[Detail]:
    adoptions = Adoption.objects.filter(release=release, trait__merged_into=None).select_related("trait")
    adoptions = adoptions.prefetch_related(with_states("trait__states")).order_by(
        "trait__line_id", "trait_id"
    )
    return [
        detail_from(adoption.trait, adoption.place, adoption.note, adoption.is_seen_in_pack)
        for adoption in adoptions
    ]


def standard_details(draft: Submission) -> list[Detail]:
    """For a release that is only proposed: the standard checks of its line."""
    line = ((draft.content.get("proposes") or {}).get("release") or {}).get("line")
    traits = (
        Trait.objects.current().filter(line__public_id=line or "").prefetch_related(with_states("states"))
    )
    return [detail_from(trait, "", "", trait.seen_in_pack) for trait in traits.order_by("id")]


def with_states(path: str) -> Prefetch:
    return Prefetch(path, State.objects.current().order_by("is_built_in", "id"))


def detail_from(trait: Trait, place: str, note: str, seen_in_pack: bool) -> Detail:
    states = [(state.public_id, state.name) for state in trait.states.all()]
    return Detail(
        trait.public_id, trait.name, place or trait.place, note or trait.how_to_inspect, seen_in_pack, states
    )


def add_listed(details: list[Detail], variant: Variant) -> None:
    """Note beside each detail the state that the variant is listed with."""
    claims = (
        Claim.objects.open()
        .filter(variant=variant)
        .select_related("trait__merged_into", "state__merged_into")
    )
    listed = {
        claim.trait.survivor.public_id: (claim.state.survivor.public_id, claim.state.survivor.name)
        for claim in claims
    }
    for detail in details:
        detail.listed = listed.get(detail.trait)


def seen_states(public_ids: list[str], release: Release | None) -> list[State]:
    """Those of the named states that a report on the release may claim, one of each detail. Queries: 1 or none."""
    if release is None or not public_ids:
        return []
    states = State.objects.current().filter(
        public_id__in=public_ids[:200], trait__merged_into=None, trait__adoptions__release=release
    )
    return list({state.trait_id: state for state in states.select_related("trait").order_by("pk")}.values())


def unnamed_traits(public_ids: list[str], release: Release | None) -> list[Trait]:
    """Those of the named details of which a report on the release has to name what was seen. Queries: 1 or none."""
    if release is None or not public_ids:
        return []
    traits = Trait.objects.filter(
        public_id__in=public_ids[:200], merged_into=None, adoptions__release=release
    )
    return list(traits.order_by("pk"))


def claims_of_seen(states: list[State], base: Variant | None) -> list[dict[str, str]]:
    """A report's claims from what was seen: a difference or a likeness where the base is listed. Queries: 1 or none."""
    details = [Detail(state.trait.public_id, state.trait.name, state.trait.place) for state in states]
    if base:
        add_listed(details, base)
    claims = []
    for state, detail in zip(states, details, strict=True):
        claim = {"trait": detail.trait, "state": state.public_id, "kind": "stated"}
        if detail.listed:
            kind = "alike" if detail.listed[0] == state.public_id else "difference"
            claim |= {"kind": kind, "base_state": detail.listed[0]}
        claims.append(claim)
    return claims


def items_of(draft: Submission, member: Member) -> list[Choice]:
    """The physical items a draft may show: its own, and those of the member noted earlier. Queries: 1 or none."""
    items: list[Choice] = []
    for n, said in enumerate(draft.content.get("examples") or [], start=1):
        found = "".join(
            f", {said[part]}" for part in ("found_month", "found_shop", "found_case") if said.get(part)
        )
        given: dict[str, Any] = {
            "number": n,
            "condition": condition_word(said.get("condition")),
            "found": found,
        }
        words = (
            Sentence("Item %(number)s: %(condition)s, mine%(found)s", **given)
            if said.get("mine", True)
            else Sentence("Item %(number)s: %(condition)s, owner unknown%(found)s", **given)
        )
        items.append((f"ref:{said.get('ref')}", words))
    if draft.release_id:
        earlier = Example.objects.filter(release=draft.release_id, owner=member).order_by("id")
        items += [
            (
                example.public_id,
                Sentence(
                    "Noted earlier: %(condition)s (%(id)s)",
                    condition=condition_word(example.condition),
                    id=example.shown_id,
                ),
            )
            for example in earlier
        ]
    return items


def condition_word(condition: object) -> object:
    return in_english(Condition(condition).label) if condition in Condition.values else condition


@dataclass(frozen=True)
class Known:
    """A known variant that nothing in a draft speaks against. `there`, `here`: what only one of the two says."""

    variant: Variant
    is_equal: bool  # the draft would only repeat it, so that sending it is refused
    there: list[str]
    here: list[str]


def known_alike(draft: Submission, details: list[Detail]) -> list[Known]:
    """Known variants of the release that the draft may be about, equal ones first. Queries: 2 or none.

    A variant is left out as soon as one trait that both claim has another state there, and so is the one that
    the draft says it differs from.
    """
    said = {str(claim.get("trait")): claim for claim in draft.content.get("claims") or []}
    if draft.variant_id or not draft.release_id or not said:
        return []
    ours = {trait: str(claim.get("state")) for trait, claim in said.items()}
    differences = {(trait, ours[trait]) for trait, claim in said.items() if claim.get("kind") == "difference"}
    listed: dict[int, list[Claim]] = defaultdict(list)
    claims = Claim.objects.open().filter(variant__release=draft.release_id).order_by("-is_difference", "pk")
    for claim in claims.select_related("trait__merged_into", "state__merged_into"):
        if not claim.trait.is_cause:
            listed[claim.variant_id].append(claim)
    words = {
        detail.trait: Sentence(
            "%(detail)s: %(state)s",
            detail=detail.name,
            state=dict(detail.states).get(ours[detail.trait], "?"),
        )
        for detail in details
        if detail.trait in ours
    }
    found = []
    for variant in Variant.objects.live().filter(release=draft.release_id).order_by("noticed_on", "id"):
        theirs = {claim.trait.survivor.public_id: claim for claim in listed[variant.pk]}
        states = {trait: claim.state.survivor.public_id for trait, claim in theirs.items()}
        differs = variant.pk == draft.differs_from_id and bool(differences)
        if not differs and is_compatible(ours, states):
            its = {(trait, states[trait]) for trait, claim in theirs.items() if claim.is_difference}
            there: list[str] = [claim.words for trait, claim in theirs.items() if trait not in ours]
            here: list[str] = [told for trait, told in words.items() if trait not in theirs]
            found.append(Known(variant, its == differences, there, here))
    return sorted(found, key=lambda known: not known.is_equal)


def is_compatible(ours: Mapping[Any, Any], theirs: Mapping[Any, Any]) -> bool:
    """No trait that both name has another state there."""
    return all(theirs[trait] == ours[trait] for trait in ours.keys() & theirs.keys())


def own_submissions(member: Member) -> list[Submission]:
    """A member's drafts and reports, newest first. Queries: 1."""
    mine = Submission.objects.filter(author=member).select_related("casting", "release", "variant")
    return list(mine.order_by("-changed_at", "-id")[:200])


def lacks_difference(draft: Submission) -> bool:
    """Sending would refuse it: its release has a variant, and nothing is said to differ. Queries: 1 at most."""
    if draft.variant_id or draft.release is None:
        return False
    if any(claim.get("kind") == "difference" for claim in draft.content.get("claims") or []):
        return False
    return draft.release.variants.live().exists()


def summary(draft: Submission, details: list[Detail]) -> list[dict[str, Any]]:
    """The draft's claims in words, for the last look before sending."""
    names = {detail.trait: detail for detail in details}
    words = []
    for claim in draft.content.get("claims") or []:
        detail = names.get(str(claim.get("trait")))
        states = dict(detail.states) if detail else {}
        words.append(
            {
                "detail": detail.name if detail else "?",
                "kind": claim.get("kind"),
                "state": states.get(str(claim.get("state")), "?"),
                "other": states.get(str(claim.get("base_state")), ""),
            }
        )
    return words
