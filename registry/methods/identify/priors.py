"""How likely each variant is before anything is seen, and how likely one that no list holds, from full counts."""

from __future__ import annotations

from collections.abc import Sequence

from registry.methods.abundance import Abundance

from .expectations import UNLISTED

LOOKS = 20  # how many looks the plain prior of "not listed" weighs as
LEAST_UNLISTED, MOST_UNLISTED = 0.01, 0.5


def weights(counted: Abundance, variants: Sequence[str]) -> list[float]:
    """A weight above 0 for each variant; they sum to 1.

    A share counts with the effective number of examples behind it, and one imagined example of each variant is
    added, so that one never counted stays possible (Laplace's rule of succession).
    """
    shares = {share.variant: share.estimate or 0.0 for share in counted.shares}
    pseudo = [counted.effective * shares.get(variant, 0.0) + 1.0 for variant in variants]
    total = sum(pseudo)
    return [weight / total for weight in pseudo]


def unlisted(counted: Abundance) -> float:
    """The prior of "not listed": what no full count has met, and what counts met and could not name.

    The share not met is Good's 1 - coverage over cases (Good 1953, Biometrika 40, 237-264), drawn towards the plain
    prior as if that rested on `LOOKS` looks; the counts' own share of "none of the known" is added.
    """
    looks = sum(share.clusters for share in counted.shares)
    unmet = (looks * (1 - counted.unmet_by_clusters.coverage) + LOOKS * UNLISTED) / (looks + LOOKS)
    strange = next((share.estimate or 0.0 for share in counted.shares if not share.variant), 0.0)
    return min(max(strange + (1 - strange) * unmet, LEAST_UNLISTED), MOST_UNLISTED)
