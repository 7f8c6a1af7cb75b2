"""The fewest details that tell the variants of a release apart, and what cannot be told apart by them."""

from __future__ import annotations

from typing import Any

from registry.errors import InvalidField
from registry.methods.checks import minimal
from registry.methods.checks.wording import pair_words
from registry.sentences import Sentence

from .known import Known

MOST_COMPARED = 600  # variants compared with each other; every pair of them is looked at
PAIRS_TOLD = 50


def checks_of(known: Known, *, in_pack: bool = False, variant: str | None = None) -> dict[str, Any]:
    """The minimal set of a release, or of one variant against all others, in plain values.

    Errors: InvalidField where the variant is not of the release, or it has more than can be compared pair by pair.
    """
    if variant is not None and variant not in known.variants:
        remedy = Sentence("Name a variant of this release that is still listed.")
        raise InvalidField("variant", variant, remedy)
    if variant is None and len(known.variants) > MOST_COMPARED:
        remedy = Sentence("Name one: this release has more than %(most)s variants.", most=MOST_COMPARED)
        raise InvalidField("variant", None, remedy)
    only = [trait.seen_in_pack or not in_pack for trait in known.table.traits]
    found = minimal(known.table, one=variant, only=only)
    titles = {listed.id: listed.title for listed in known.variants.values()}
    return {
        "in_pack": in_pack,
        "variant": variant,
        "variants": len(known.variants),
        "checks": [check_of(known, trait) for trait in found.traits],
        "is_smallest": found.is_smallest,
        "no_fewer_than": round(found.bound),
        "alike_count": found.alike_count,
        "alike": [
            {
                "variants": [pair.first, pair.second],
                "words": pair_words(known.table, pair, titles),
                "would_tell": list(pair.excluded),
                "might_tell": list(pair.unknown),
            }
            for pair in found.alike[:PAIRS_TOLD]
        ],
    }


def check_of(known: Known, trait: str) -> dict[str, Any]:
    detail = known.details[trait]
    return {
        "trait": detail.id,
        "name": detail.name,
        "place": detail.place,
        "how_to_inspect": detail.how_to_inspect,
        "in_pack": detail.seen_in_pack,
        "states": [{"state": name, "name": detail.states[name]} for name in detail.listed],
    }
