"""Known variants that are nearest to states somebody named or saw, whatever those variants are called."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_

import numpy as np
from django.db.models import Count, Q
from django.db.models.functions import Coalesce

from registry.methods.alike import nearest
from registry.methods.identify import Table, Trait
from registry.models import GONE, Claim, ClaimStanding, SearchKind, State, Submission, Variant

from .search import SHORTEST, entries, words_of

WEIGHED = 100  # variants with most of the states, of which the nearest are chosen
MOST_PARTS = 4
STATES_EACH = 20
APART = re.compile(r"[,;+]|\band\b", re.IGNORECASE)
NAMED = {
    "variant": SearchKind.VARIANT,
    "variant__release": SearchKind.RELEASE,
    "variant__release__casting": SearchKind.CASTING,
}
ANSWERS = ("so", "otherwise")


@dataclass(frozen=True)
class NearVariant:
    """How a variant compares: how many of the states asked for it has, and on how many details it has another."""

    variant: Variant
    agreeing: int
    differing: int


def nearest_to(parts: Sequence[Collection[State]], within: Q, k: int = 5) -> list[NearVariant]:
    """The k variants that differ on fewest parts; of these, those that agree on most. A part is one detail asked
    for: any of its states will do. Queries: 3. A variant that has none of the states is not near.
    """
    wanted = {state.survivor.pk: number for number, part in enumerate(parts) for state in part}
    on = {(state.trait.merged_into_id or state.trait_id): n for n, part in enumerate(parts) for state in part}
    standing = Claim.objects.open().exclude(Q(standing=ClaimStanding.REFUTED) | Q(variant__standing__in=GONE))
    claimed = standing.filter(within).annotate(
        of=Coalesce("trait__merged_into", "trait"), shown=Coalesce("state__merged_into", "state")
    )
    having = claimed.filter(shown__in=wanted).values("variant").annotate(n=Count("of", distinct=True))
    near = [row["variant"] for row in having.order_by("-n", "variant")[:WEIGHED]]
    cells = np.full((len(near), len(parts)), -1, dtype=np.int32)
    rows = {variant: row for row, variant in enumerate(near)}
    for variant, trait, state in claimed.filter(variant__in=near, of__in=on).values_list(
        "variant", "of", "shown"
    ):
        if state in wanted:
            cells[rows[variant], wanted[state]] = 0
        elif cells[rows[variant], on[trait]] < 0:
            cells[rows[variant], on[trait]] = 1
    traits = tuple(Trait(str(number), ANSWERS) for number in range(len(parts)))
    table = Table([str(variant) for variant in near], traits, cells)
    found = nearest(table, {str(number): "so" for number in range(len(parts))}, k) if parts else []
    variants = Variant.objects.select_related("release").in_bulk([int(each.variant) for each in found])
    return [NearVariant(variants[int(each.variant)], each.agreeing, each.differing) for each in found]


def near_by_words(text: str, k: int = 5) -> list[NearVariant]:
    """For "gold wheels, blue crest": the variants nearest to all of the states that these words name; for "gannet,
    gold wheels" those of the Gannet, as the other words narrow it down.

    Nothing where fewer than two parts are asked for, or only names. Queries: at most 8.
    """
    parts = parts_of(text)
    named: list[list[str]] = []
    others: list[str] = []
    for part in parts:
        found = entries(part, [SearchKind.STATE]).order_by("title", "pk")
        ids = list(found.values_list("public_id", flat=True)[:STATES_EACH])
        named += [ids] if ids else []
        others += [] if ids else [part]
    if not named or len(parts) < 2:
        return []
    states = states_by_id([one for ids in named for one in ids])
    wanted = [[states[one] for one in ids if one in states] for ids in named]
    return nearest_to(wanted, called(" ".join(others)) if others else Q(), k)


def called(words: str) -> Q:
    """Claims on variants that are called so, or whose release or casting is."""
    held = {path: entries(words, [kind]).values("public_id") for path, kind in NAMED.items()}
    return reduce(or_, (Q(**{f"{path}__public_id__in": found}) for path, found in held.items()))


def is_list(text: str) -> bool:
    """Several details, one after the other, as against words that belong together."""
    return len(apart(text)) > 1


def apart(text: str) -> list[str]:
    """What stands between commas, or what takes their place."""
    return [part.strip() for part in APART.split(text) if part.strip()]


def parts_of(text: str) -> list[str]:
    """What was asked for, one detail each: between commas; else each word that is long enough to be looked up."""
    parts = apart(text)
    if len(parts) == 1:
        parts = [word for word in words_of(text) if len(word) >= SHORTEST]
    return parts[:MOST_PARTS]


def states_by_id(public_ids: Collection[str]) -> Mapping[str, State]:
    rows = State.objects.filter(public_id__in=public_ids, is_built_in=False)
    return {state.public_id: state for state in rows.select_related("trait", "merged_into")}


def near_elsewhere(draft: Submission, k: int = 3) -> list[NearVariant]:
    """Variants of other releases of the line with all that a report says: it may be filed under the wrong one.

    At least two details must agree and none differ. Queries: 4 or none.
    """
    said = [str(claim.get("state")) for claim in draft.content.get("claims") or []]
    if draft.variant_id or not draft.release or len(said) < 2:
        return []
    by_trait: dict[int, list[State]] = defaultdict(list)
    for state in states_by_id(said).values():
        by_trait[state.trait.merged_into_id or state.trait_id].append(state)
    others = Q(variant__release__line=draft.release.line_id) & ~Q(variant__release=draft.release_id)
    near = nearest_to(list(by_trait.values()), others, k)
    return [each for each in near if each.agreeing >= 2 and not each.differing]
