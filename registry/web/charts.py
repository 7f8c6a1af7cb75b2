"""The drawings of a release and an assortment, as their templates take them: coordinates, title, words for all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from registry.methods.abundance import Abundance, Share, about, between
from registry.methods.drawing import (
    IntervalChart,
    OrderDrawing,
    Timeline,
    draw_first_seen,
    draw_intervals,
    draw_order,
)
from registry.methods.sequence import Dated
from registry.models import PackKind, Variant
from registry.queries.abundance import ReleaseAbundance
from registry.queries.order import FirstSeen, ReleaseSequence
from registry.queries.siblings import SET_PACKS
from registry.sentences import Sentence, said

WIDTH = 360.0
"""Pixels: a phone's page without its margins. Wider screens show the same drawing larger."""
ROW = 22
KINDS = {  # of boxes, by where the variant was seen
    "card": gettext_lazy("one border: on its own card, or not noted"),
    "set": gettext_lazy("double border: in sets of several only"),
    "loose": gettext_lazy("broken border: without a pack only"),
}
EARLIER = ("before", "ended_by", "returned")
NONE_KNOWN = Sentence("None of the known ones")


@dataclass(frozen=True)
class Legend:
    kind: str
    words: str
    y: float


@dataclass(frozen=True)
class Chart:
    """One drawing. `key` makes the ids of its title and description on the page; `height` includes the legend."""

    key: str
    title: str
    description: str
    drawing: OrderDrawing | IntervalChart | Timeline
    legend: tuple[Legend, ...] = ()
    has_doubts: bool = False

    @property
    def height(self) -> float:
        return self.drawing.height + ROW * len(self.legend)


def order_chart(sequence: ReleaseSequence, packs: Mapping[str, set[str]], dates: Dated) -> Chart:
    """Boxes from earlier to later, with the statements that were left out as lines of their own."""
    if dates == "production":
        title, said_so = _("%(release)s: in which order its variants were made"), _("said: made earlier")
    else:
        title, said_so = (
            _("%(release)s: in which order its variants were shipped"),
            _("said: shipped earlier"),
        )
    names = {variant.public_id: variant.title for variant in sequence.siblings.changes}
    kinds = {name: kind_of_box(packs.get(name, set())) for name in names}
    left_out = [
        (it.variants[0], it.variants[1], said_so)
        for it in sequence.order.statements
        if it.id in sequence.order.dropped.statements and it.kind in EARLIER and it.dates == dates
    ]
    steps = sequence.before(dates)
    drawing = draw_order(names, sequence.order.steps(dates), left_out, kinds, WIDTH)
    pairs = in_pairs(steps) or _("No pair is known")
    shown = [kind for kind in KINDS if kind in kinds.values()]
    return Chart(
        key=f"order-{dates}",
        title=title % {"release": sequence.siblings.release},
        description=_("From top to bottom, earlier to later. %(pairs)s.") % {"pairs": pairs},
        drawing=drawing,
        legend=tuple(
            Legend(kind, str(KINDS[kind]), drawing.height + ROW * row)
            for row, kind in enumerate(shown if shown != ["card"] else [])
        ),
        has_doubts=bool(left_out),
    )


def in_pairs(pairs: Iterable[tuple[Variant, Variant]]) -> str:
    """`one before another; that before a third`."""
    return "; ".join(_("%(one)s before %(other)s") % {"one": one, "other": other} for one, other in pairs)


def kind_of_box(packs: set[str]) -> str:
    if packs and packs <= set(SET_PACKS):
        return "set"
    return "loose" if packs == {PackKind.LOOSE_ONLY} else "card"


def scarcity_chart(found: ReleaseAbundance) -> Chart:
    """Shares as bars on one scale; a variant that was never counted, or never told apart, has words alone."""
    names = {variant.public_id: variant.title for variant in found.siblings.listed}
    rows = [
        (names.get(share.variant) or said(NONE_KNOWN), short_words(found.whole, share), bar(share))
        for share in found.whole.shares
    ]
    return Chart(
        key="scarcity",
        title=_("%(release)s: how common each variant is") % {"release": found.siblings.release},
        description="; ".join(f"{name}: {words}" for name, words, _ in rows) + ".",
        drawing=draw_intervals(rows, WIDTH),
    )


def bar(share: Share) -> tuple[float, float, float] | None:
    if share.low is None or share.estimate is None or share.high is None or not share.examples:
        return None
    return share.low, share.estimate, share.high


def short_words(whole: Abundance, share: Share) -> str:
    """One share without where it comes from."""
    if shown := bar(share):
        low, estimate, high = shown
        return f"{said(about(estimate))}; {said(between(low, high))}"
    return said(whole.words(share)).partition(";")[0]


def share_lines(found: ReleaseAbundance) -> dict[str, str]:
    """`about 1 in 12` for each variant that has an estimate, by id."""
    return {
        share.variant: about(share.estimate)
        for share in found.whole.shares
        if share.estimate is not None and bar(share)
    }


def timeline_chart(title: str, seen: Sequence[FirstSeen]) -> Chart:
    rows = [
        (f"{row.variant.release.name}: {row.variant}", row.first.toordinal(), row.last.toordinal())
        for row in seen
    ]
    return Chart(
        key="timeline",
        title=title,
        description=_("Earliest first; a line runs from the first day to the last on which it was seen."),
        drawing=draw_first_seen(rows, WIDTH),
    )
