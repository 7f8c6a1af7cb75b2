"""How to tell each variant of several releases in one line, in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import BooleanField, ExpressionWrapper, F, Q

from registry.methods.hunting import Tell, tells
from registry.models import GONE, Adoption, Claim, Variant
from registry.sentences import Sentence


@dataclass(frozen=True)
class Wanted:
    """A variant, its known states by trait, and the one line by which it is told from all others of its release."""

    variant: Variant
    states: dict[str, str]
    tell: str
    in_pack: bool | None
    """None where nothing known tells it apart, or nothing need be."""


@dataclass(frozen=True)
class Told:
    """By release: `wanted`, those that the condition names, in order of appearance; `listed`, all that live."""

    wanted: Mapping[int, list[Wanted]]
    listed: Mapping[int, list[Variant]]
    states: Mapping[int, Mapping[str, str]]
    """Of each listed variant, by trait."""
    seen: Mapping[int, set[str]]
    """Ids of the traits that are seen in the blister or box."""
    words: Words


@dataclass
class Words:
    """Names of traits and states, and of which release which traits are seen in the pack."""

    traits: dict[str, str]
    states: dict[str, str]
    seen: dict[int, set[str]]


def tell_releases(releases: Iterable[int], wanted: Q) -> Told:
    """Every variant of these releases that `wanted` names, told from all that are listed. Queries: 3."""
    keys = list(releases)
    rows = Variant.objects.filter(release__in=keys).exclude(standing__in=GONE)
    marked = rows.annotate(is_wanted=ExpressionWrapper(wanted, BooleanField()))
    listed: dict[int, list[Variant]] = defaultdict(list)
    named = set()
    for variant in marked.order_by(F("noticed_on").asc(nulls_last=True), "pk"):
        listed[variant.release_id].append(variant)
        if variant.is_wanted:
            named.add(variant.pk)
    words = Words({}, {}, seen_in_pack(keys))
    states: dict[int, dict[str, str]] = defaultdict(dict)
    differences: dict[int, set[str]] = defaultdict(set)
    claims = Claim.objects.open().but_cause().filter(variant__in=rows)
    for claim in claims.select_related("trait__merged_into", "state__merged_into"):
        trait, state = claim.trait.survivor, claim.state.survivor
        words.traits[trait.public_id], words.states[state.public_id] = trait.name, state.name
        states[claim.variant_id][trait.public_id] = state.public_id
        if claim.is_difference:
            differences[claim.variant_id].add(trait.public_id)
    found: dict[int, list[Wanted]] = defaultdict(list)
    for release, variants in listed.items():
        known = [states[variant.pk] for variant in variants]
        own = [differences[variant.pk] for variant in variants]
        for each, tell in zip(variants, tells(known, words.seen[release], own), strict=True):
            if each.pk in named:
                found[release].append(told_of(each, states[each.pk], tell, variants, words))
    return Told(found, listed, states, words.seen, words)


def tell_kinds(
    told: Told, release: int, members: Iterable[Sequence[Wanted]], counting: Collection[str]
) -> list[tuple[str, bool | None]]:
    """Where only some traits count: the line that tells each kind by these alone from all others that are listed, and
    whether all of it shows in the pack. `members`: the variants of each kind."""
    hunted = [list(kind) for kind in members]
    mine = {each.variant.pk for kind in hunted for each in kind}
    known = [dict(item for each in kind for item in each.states.items()) for kind in hunted]
    others = [told.states[each.pk] for each in told.listed[release] if each.pk not in mine]
    if len(known) == 1 and not others:
        return [(Sentence("any of its variants"), None)]
    names = told.words
    counted = [{trait: each[trait] for trait in each if trait in counting} for each in (*known, *others)]
    lines: list[tuple[str, bool | None]] = []
    for states, tell in zip(counted[: len(known)], tells(counted, told.seen.get(release, ())), strict=False):
        parts = [f"{names.traits[trait]}: {names.states[states[trait]]}" for trait in tell.traits]
        lines.append(
            ("; ".join(parts), tell.in_pack) if parts else (Sentence("any of those named here"), None)
        )
    return lines


def seen_in_pack(releases: Sequence[int]) -> dict[int, set[str]]:
    """Ids of the traits that are seen in the blister or box, by release. Queries: 1."""
    seen: dict[int, set[str]] = defaultdict(set)
    adoptions = Adoption.objects.filter(release__in=releases).select_related("trait__merged_into")
    for adoption in adoptions:
        if adoption.is_seen_in_pack:
            seen[adoption.release_id].add(adoption.trait.survivor.public_id)
    return seen


def told_of(
    variant: Variant, states: dict[str, str], tell: Tell, among: Sequence[Variant], words: Words
) -> Wanted:
    parts = [f"{words.traits[trait]}: {words.states[states[trait]]}" for trait in tell.traits]
    line = told = "; ".join(parts)
    if tell.unlike and len(among) > 1:
        others = ", ".join(among[number].title for number in tell.unlike[:3])
        if more := len(tell.unlike[3:]):
            others = Sentence("%(others)s or %(more)s more", others=others, more=more)
        if told:
            line = Sentence("%(told)s; may still be %(others)s", told=told, others=others)
        else:
            line = Sentence("may as well be %(others)s", others=others)
    if len(among) == 1:
        line = Sentence("the only one known")
    return Wanted(variant, states, line, tell.in_pack if parts else None)
