"""What was counted, where: the input of `abundance`, and what counts once.

Two reports of one example count once, and so do two identical reports by one member of one place and day. All
other full counts of one member in one place on one day form one cluster, for they may be of one delivery.
Ten thousand sightings from one account in one afternoon thus weigh as one look at one peg.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

Scope = Literal["item", "sealed_pack", "peg", "case", "collection"]
PickedOver = Literal["yes", "no", "unknown"]

SCOPES: tuple[Scope, ...] = ("case", "peg", "collection", "sealed_pack", "item")


@dataclass(frozen=True, slots=True)
class Line:
    """`n` of one variant; of one of several ("one of these"); with no variant named, of none of the known."""

    n: int
    variants: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Count:
    """One sighting. In a full count everything there was counted, and `total`, where given, is how many.

    A count made when fewer variants were known, or when not all traits could be seen, says "one of these" for
    what it did not tell apart. `place` is as coarse as the sighting's. `cases`: how many cases were compared.
    """

    id: str
    scope: Scope
    lines: tuple[Line, ...]
    full: bool = False
    could_not_tell: int = 0
    total: int | None = None
    cases: int = 1
    picked_over: PickedOver = "unknown"
    by: str = ""
    place: str = ""
    day: int | None = None
    example: str = ""

    @property
    def told(self) -> int:
        """How many items its lines speak of."""
        return sum(line.n for line in self.lines)


@dataclass(frozen=True, slots=True)
class Cluster:
    """Full counts whose items may share a run."""

    counts: tuple[Count, ...]

    @property
    def cases(self) -> int:
        """From how many cases at least: several counts may be of the same ones."""
        return max(count.cases for count in self.counts)


def weight(count: Count) -> float:
    """How much one item of a full count says of what was made, against one of an untouched case.

    A case or sealed pack as packed counts full. Of a peg or shelf hunters take the scarce ones first: untouched
    it counts full, picked over a quarter, unknown a half. A collection holds what its owner chose: a quarter.
    Source: common practice of the trade, no published source; the figures are round on purpose.
    """
    if count.scope == "collection":
        return 0.25
    if count.picked_over == "yes":
        return 0.25
    if count.scope in ("case", "sealed_pack") or count.picked_over == "no":
        return 1.0
    return 0.5


def check(counts: Iterable[Count], variants: Collection[str]) -> None:
    """Errors: ValueError naming the first count that cannot be taken, and why."""
    ids: set[str] = set()
    for count in counts:
        if fault := _fault(count, variants):
            raise ValueError(f"count {count.id}: {fault}")
        if count.id in ids:
            raise ValueError(f"count {count.id}: its id is used twice")
        ids.add(count.id)


def _fault(count: Count, variants: Collection[str]) -> str:
    if count.scope not in SCOPES:
        return f"the scope {count.scope!r} is not known"
    if count.picked_over not in ("yes", "no", "unknown"):
        return f"picked over is yes, no or unknown, got {count.picked_over!r}"
    if count.could_not_tell < 0 or any(line.n < 1 for line in count.lines):
        return "each line counts one at least"
    for line in count.lines:
        if len(set(line.variants)) != len(line.variants):
            return "a line names a variant twice"
        if strange := [variant for variant in line.variants if variant not in variants]:
            return f"variant {strange[0]} is not listed"
    if not 1 <= count.cases <= max(1, count.told + count.could_not_tell):
        return f"{count.told + count.could_not_tell} items cannot come from {count.cases} cases"
    if count.full and count.total is not None and count.total != count.told + count.could_not_tell:
        return f"its lines add up to {count.told + count.could_not_tell}, not to {count.total}"
    return ""


def once(counts: Iterable[Count]) -> list[Count]:
    """The counts without repeats, by id: full counts before finds, then the lowest id, speak for an example."""
    kept: dict[object, Count] = {}
    for count in sorted(counts, key=lambda count: (not count.full, count.id)):
        said = (count.scope, count.full, tuple(sorted((line.variants, line.n) for line in count.lines)))
        place_and_day = (count.by, count.place, count.day) if count.by else (count.id,)
        key = count.example or (*place_and_day, *said, count.could_not_tell)
        kept.setdefault(key, count)
    return sorted(kept.values(), key=lambda count: count.id)


def clusters(counts: Iterable[Count]) -> list[Cluster]:
    """Full counts that tell something, by member, place and day; without a named member each is its own."""
    together: dict[object, list[Count]] = defaultdict(list)
    for count in counts:
        if count.full and count.told:
            together[(count.by, count.place, count.day) if count.by else count.id].append(count)
    return [Cluster(tuple(group)) for group in together.values()]


def found(counts: Sequence[Count]) -> dict[str, int]:
    """How many of each variant were found, finds only, where the variant was told."""
    finds: dict[str, int] = defaultdict(int)
    for count in counts:
        for line in count.lines if not count.full else ():
            if len(line.variants) == 1:
                finds[line.variants[0]] += line.n
    return dict(finds)
