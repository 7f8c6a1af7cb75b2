"""The order and the shares of a release in a few words and one drawing, as its own page has them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from registry.methods.abundance import absence_sentence, richness_sentence
from registry.methods.sequence import Dated
from registry.queries.abundance import ReleaseAbundance
from registry.queries.order import ReleaseSequence
from registry.sentences import said
from registry.web.charts import Chart, in_pairs, order_chart, scarcity_chart


@dataclass(frozen=True)
class Brief:
    """`chart` is None where there is nothing to draw yet."""

    sentences: list[str]
    chart: Chart | None = None


FOUND: dict[Dated, tuple[Any, Any]] = {
    "production": (
        gettext_lazy("As they were made: %(pairs)s."),
        gettext_lazy("In which order they were made is not known."),
    ),
    "shipping": (
        gettext_lazy("As they were shipped: %(pairs)s."),
        gettext_lazy("In which order they were shipped is not known."),
    ),
}
"""What is said of an order that is known, and of one that is not."""


def order_in_brief(sequence: ReleaseSequence) -> Brief:
    """The order of making, and where that is not known the order of shipping."""
    if len(sequence.siblings.changes) < 2:
        return Brief([_("There are not two variants to put in order.")])
    doubt = [_("Not all that was said of it can be true.")] if sequence.order.conflict else []
    for dates, (order_found, not_known) in FOUND.items():
        pairs = sequence.before(dates)
        if pairs:
            order = order_found % {"pairs": in_pairs(pairs)}
            return Brief([*doubt, order], order_chart(sequence, {}, dates))
        doubt.append(str(not_known))
    return Brief(doubt)


def scarcity_in_brief(shares: ReleaseAbundance) -> Brief:
    """Shares from full counts, and whether these are all there are."""
    whole = shares.whole
    absence = [whole_sentence(absence_sentence(shares.absence))] if shares.absence else []
    if not whole.clusters:
        return Brief(
            [*absence, _("Nobody has counted everything in a case or on a peg yet, so there is no share.")]
        )
    kinds = whole_sentence(richness_sentence(whole.unmet_by_clusters))
    return Brief([*absence, kinds], scarcity_chart(shares))


def whole_sentence(words: str) -> str:
    """With a capital and a full stop, in the reader's language."""
    return f"{capfirst(said(words))}."
