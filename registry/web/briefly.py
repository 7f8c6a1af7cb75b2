"""The order and the shares of a release in a few words and one drawing, as its own page has them."""

from __future__ import annotations

from dataclasses import dataclass

from registry.methods.abundance import absence_sentence, richness_sentence
from registry.methods.sequence import Dated
from registry.queries.abundance import ReleaseAbundance
from registry.queries.order import ReleaseSequence
from registry.web.charts import Chart, order_chart, scarcity_chart


@dataclass(frozen=True)
class Brief:
    """`chart` is None where there is nothing to draw yet."""

    sentences: list[str]
    chart: Chart | None = None


DONE: dict[Dated, str] = {"production": "made", "shipping": "shipped"}


def order_in_brief(sequence: ReleaseSequence) -> Brief:
    """The order of making, and where that is not known the order of shipping."""
    if len(sequence.siblings.changes) < 2:
        return Brief(["There are not two variants to put in order."])
    doubt = ["Not all that was said of it can be true."] if sequence.order.conflict else []
    for dates, done in DONE.items():
        pairs = sequence.before(dates)
        if pairs:
            said = "; ".join(f"{one} before {other}" for one, other in pairs)
            return Brief([*doubt, f"As they were {done}: {said}."], order_chart(sequence, {}, dates))
        doubt.append(f"In which order they were {done} is not known.")
    return Brief(doubt)


def scarcity_in_brief(shares: ReleaseAbundance) -> Brief:
    """Shares from full counts, and whether these are all there are."""
    whole = shares.whole
    absence = [f"{absence_sentence(shares.absence)}."] if shares.absence else []
    if not whole.clusters:
        return Brief(
            [*absence, "Nobody has counted everything in a case or on a peg yet, so there is no share."]
        )
    return Brief([*absence, f"{richness_sentence(whole.unmet_by_clusters)}."], scarcity_chart(shares))
