"""What the counts of one release come to."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from registry.sentences import SEMICOLON, Sentence, counted, in_thousands, joined

from .counts import SCOPES, Cluster, Count, check, clusters, found, once
from .richness import Richness, richness
from .shares import Tally, effective_examples, interval_level, intervals, share_out
from .wording import about, between, whence

Status = Literal["counted", "only_finds", "not_counted"]
NONE_KNOWN = ""  # the kind of items that were none of the known variants


@dataclass(frozen=True, slots=True)
class Share:
    """One variant's part of the release. Only one that is `counted`, or in the prior, has an estimate.

    A variant known from finds alone has none, not even an upper bound: it is what was looked for, and who
    counted before it was known counted it as something else.
    """

    variant: str  # NONE_KNOWN for items that were none of the known ones
    status: Status
    estimate: float | None = None
    low: float | None = None
    high: float | None = None
    examples: int = 0  # told to be this one, in full counts
    clusters: int = 0  # where such were
    finds: int = 0


@dataclass(frozen=True)
class Abundance:
    """Shares with intervals that hold all at once, and how many kinds were not met.

    `examples`: items of full counts, those of "one of these" included; `could_not_tell` were left out. `clusters`
    share a run each; `units` says what they were. `unmet_by_examples` and `unmet_by_clusters` estimate how many
    kinds there are, from how many examples, or clusters, each kind has; cases share a run, so the second is the
    safer. Items of none of the known variants are one more kind there. `effective`: how many independent examples
    say as much as all those told apart.
    """

    shares: tuple[Share, ...]
    examples: int
    could_not_tell: int
    clusters: int
    units: Mapping[str, int]
    effective: float
    unmet_by_examples: Richness
    unmet_by_clusters: Richness
    level: float
    with_prior: bool

    def words(self, share: Share) -> str:
        """One share in plain words, reading on after the variant's name."""
        if share.estimate is None or share.low is None or share.high is None:
            if share.status == "only_finds":
                return Sentence("no estimate, only finds (%(finds)s)", finds=in_thousands(share.finds))
            return Sentence("no estimate, not counted yet")
        if not share.examples and not self.with_prior:
            most = between(share.low, share.high)
            return Sentence("no estimate, never told from the others; %(share)s", share=most)
        source = whence(self.examples, self.units)
        if self.with_prior:
            source = Sentence("%(source)s and the case counts of its assortment", source=source)
        return joined([about(share.estimate), between(share.low, share.high), source], SEMICOLON)

    @property
    def left_out_words(self) -> str:
        """The statement on items that nobody could tell; empty where there are none."""
        if not self.could_not_tell:
            return ""
        return counted(
            "%(many)s item that could not be told apart left out",
            "%(many)s items that could not be told apart left out",
            self.could_not_tell,
            many=in_thousands(self.could_not_tell),
        )


def abundance(
    counts: Iterable[Count],
    variants: Sequence[str],
    prior: Mapping[str, float] | None = None,
    level: float = 0.95,
) -> Abundance:
    """How common each listed variant is, from full counts; finds only say that a variant exists.

    Shapes: one Share for each variant in the order given, and one more where some were none of the known.
    Units:  shares of the release, 0 to 1. `prior`: how many of each variant a case holds, where an assortment
            says; it weighs as one such case.
    Errors: ValueError naming the count whose lines do not add up or that names a variant not listed; or where
            the prior holds a negative number or a variant not listed.
    Cost:   linear in lines, times the steps of EM where there are lines of "one of these".
    """
    given = tuple(counts)
    check(given, variants)
    expected = _checked(prior or {}, variants)
    kept = once(given)
    groups = clusters(kept)
    lines = [line for group in groups for count in group.counts for line in count.lines]
    seen = {variant for line in lines for variant in line.variants}
    seen |= {NONE_KNOWN for line in lines if not line.variants}
    kinds = [kind for kind in (*variants, NONE_KNOWN) if kind in seen or expected.get(kind)]
    estimates, effective = _estimates(groups, kinds, expected, level)
    told = {kind: _told(groups, kind) for kind in kinds}
    finds = found(kept)
    listed = (*variants, NONE_KNOWN) if NONE_KNOWN in seen else tuple(variants)
    return Abundance(
        shares=tuple(_share(kind, estimates.get(kind), told.get(kind, []), finds) for kind in listed),
        examples=sum(line.n for line in lines),
        could_not_tell=sum(count.could_not_tell for count in kept if count.full),
        clusters=len(groups),
        units=_units(groups),
        effective=effective,
        unmet_by_examples=richness((sum(each) for each in told.values()), level),
        unmet_by_clusters=richness((len(each) for each in told.values()), level),
        level=level,
        with_prior=bool(expected),
    )


def abundance_by(
    counts: Iterable[Count],
    variants: Sequence[str],
    key: Callable[[Count], str],
    least_clusters: int = 3,
) -> dict[str, Abundance]:
    """The same by region, by period or by whatever the key names, where data allow: at least so many clusters."""
    apart: dict[str, list[Count]] = defaultdict(list)
    for count in once(counts):
        apart[key(count)].append(count)
    answers = {name: abundance(group, variants) for name, group in sorted(apart.items())}
    return {name: answer for name, answer in answers.items() if answer.clusters >= least_clusters}


def _estimates(
    groups: Sequence[Cluster], kinds: Sequence[str], prior: Mapping[str, float], level: float
) -> tuple[dict[str, tuple[float, float, float]], float]:
    """Estimate and interval for each kind, and the effective examples of all."""
    if not kinds:
        return {}, 0.0
    pseudo = {place: prior[kind] for place, kind in enumerate(kinds) if prior.get(kind)}
    tally = Tally.of_clusters(groups, kinds)
    if groups:
        shares, items = share_out(tally)
        own, pooled = effective_examples(tally, shares, items, interval_level(len(kinds), level))
    else:
        shares, own, pooled = tally.told.sum(axis=0), tally.told.sum(axis=0), 0.0
    estimates, ends = intervals(shares, own, pooled, pseudo, level)
    rows = zip(kinds, estimates.tolist(), ends, strict=True)
    return {kind: (estimate, *end) for kind, estimate, end in rows}, pooled


def _told(groups: Iterable[Cluster], kind: str) -> list[int]:
    """How many items of the kind were told in each cluster that has some."""
    wanted = (kind,) if kind else ()
    each = (
        sum(line.n for count in group.counts for line in count.lines if line.variants == wanted)
        for group in groups
    )
    return [items for items in each if items]


def _share(
    kind: str, estimate: tuple[float, float, float] | None, told: Sequence[int], finds: Mapping[str, int]
) -> Share:
    found_only = finds.get(kind, 0)
    if estimate is None:
        return Share(kind, "only_finds" if found_only else "not_counted", finds=found_only)
    return Share(kind, "counted", *estimate, examples=sum(told), clusters=len(told), finds=found_only)


def _units(groups: Iterable[Cluster]) -> dict[str, int]:
    """How many cases, pegs and so on, each cluster's no more than its largest count says."""
    units: dict[str, int] = dict.fromkeys(SCOPES, 0)
    for group in groups:
        for scope in SCOPES:
            units[scope] += max((count.cases for count in group.counts if count.scope == scope), default=0)
    return {scope: n for scope, n in units.items() if n}


def _checked(prior: Mapping[str, float], variants: Sequence[str]) -> dict[str, float]:
    for variant, items in prior.items():
        if variant not in variants:
            raise ValueError(f"the prior names variant {variant}, which is not listed")
        if not 0 <= items < float("inf"):
            raise ValueError(f"the prior of variant {variant} must be a number from 0 up, got {items}")
    return {variant: items for variant, items in prior.items() if items}
