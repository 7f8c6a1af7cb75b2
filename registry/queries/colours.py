"""What photographs tell of colours: each mark against the reference colours of its detail, and marks of one photo."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import Prefetch, Q, prefetch_related_objects

from registry.methods.colour import RegionColour, colour_name
from registry.methods.colour.region import trouble_again
from registry.methods.colour.verdict import Reference, compare_regions, judge, places_are_swapped
from registry.models import Chart, ChartKind, Claim, Example, Mark, MarkColour, Photo, State, is_published
from registry.sentences import Sentence

NO_CHART = Sentence("No chart or grey card is in the picture, so no colour is measured.")
Pair = tuple[RegionColour, RegionColour]
TWO_NEEDED = Sentence("Choose two marks of this photograph whose colours could be read.")


@dataclass(frozen=True)
class Against:
    """A state's reference colour beside the measured one; `distance` is CIEDE2000 in hundredths."""

    state: str
    name: str
    distance: int
    is_excluded: bool


@dataclass(frozen=True)
class Told:
    """What was measured on a mark. `lab` (CIELAB, D50), `error` and `spread` (CIEDE2000) are in hundredths.

    Without a chart, or where the region shows no colour, there is no number and `sentence` says why.
    """

    sentence: str
    lab: tuple[int, int, int] | None = None
    error: int | None = None
    spread: int | None = None
    used: int | None = None
    name: str = ""
    chart: str = ""
    against: tuple[Against, ...] = ()

    @property
    def is_measured(self) -> bool:
        return self.lab is not None


@dataclass(frozen=True)
class Beside:
    """Two marks compared. `swapped`: the photo in which the same two items have swapped places, where it was used.

    `is_different` is None where it cannot be told. `distance`: CIEDE2000; None where no chart is in the picture.
    """

    one: Mark
    other: Mark
    sentence: str
    is_different: bool | None = None
    distance: float | None = None
    swapped: Photo | None = None


def latest_chart(photo: Photo) -> Chart | None:
    """The chart that counts; None where there is none, or the last word was that it was none. Queries: 1."""
    chart = Chart.objects.filter(photo=photo).select_related("by").order_by("-pk").first()
    return chart if chart and chart.kind != ChartKind.NONE else None


# Against reference colours ------------------------------------------------------------------------------------------


def tell(marks: Iterable[tuple[Mark, Claim]]) -> None:
    """Say on each mark, as `told`, what was measured on it against the states of its claim's detail.

    Queries: 2, however many marks, and 1 where nothing was measured; 1 less where the marks came with their colours.
    """
    asked = list(marks)
    measured_by_chart = Prefetch("colour", MarkColour.objects.select_related("chart"))
    prefetch_related_objects([mark for mark, _ in asked], measured_by_chart)
    colours = {mark.pk: mark.colour for mark, _ in asked if getattr(mark, "colour", None)}
    measured = [(mark, claim) for mark, claim in asked if mark.pk in colours]
    traits = {trait_of(claim) for mark, claim in measured if colours[mark.pk].is_measured}
    say(measured, colours, references_of(traits) if traits else {})


def say(
    marks: Iterable[tuple[Mark, Claim]],
    colours: Mapping[int, MarkColour],
    references: Mapping[int, Mapping[str, State]],
) -> None:
    """The same from what was read: colours by mark, references by detail. Queries: none."""
    for mark, claim in marks:
        if mark.pk in colours:
            mark.told = told(colours[mark.pk], references.get(trait_of(claim), {}))


def trait_of(claim: Claim) -> int:
    """The key of the claim's detail, as merges left it."""
    return claim.trait.merged_into_id or claim.trait_id


def references_of(traits: Iterable[int]) -> dict[int, dict[str, State]]:
    """States with a reference colour, by detail and public id. Queries: 1."""
    of = Q(trait__in=traits) | Q(trait__merged_into__in=traits)
    found: dict[int, dict[str, State]] = defaultdict(dict)
    rows = State.objects.filter(of, lab_l__isnull=False, merged_into=None).select_related("trait")
    for state in rows.order_by("pk"):
        found[state.trait.merged_into_id or state.trait_id][state.public_id] = state
    return found


def told(colour: MarkColour, states: Mapping[str, State]) -> Told:
    """One colour in words and whole numbers."""
    if colour.trouble:
        return Told(trouble_again(colour.trouble))
    if colour.lab is None or colour.error is None or colour.chart is None:
        return Told(NO_CHART)
    verdict = judge(colour.lab, colour.error / 100, {key: reference(state) for key, state in states.items()})
    return Told(
        sentence=verdict.sentence,
        lab=(round(colour.lab[0] * 100), round(colour.lab[1] * 100), round(colour.lab[2] * 100)),
        error=colour.error,
        spread=colour.spread,
        used=colour.used,
        name=colour_name(colour.lab),
        chart=colour.chart.kind,
        against=tuple(
            Against(match.key, states[match.key].name, round(match.distance * 100), match.excluded)
            for match in verdict.matches
        ),
    )


def reference(state: State) -> Reference:
    """A state's reference colour as methods take it."""
    lab = ((state.lab_l or 0) / 100, (state.lab_a or 0) / 100, (state.lab_b or 0) / 100)
    return Reference(state.name, lab, (state.lab_tolerance or 0) / 100)


# Beside each other --------------------------------------------------------------------------------------------------


def comparable(marks: Iterable[Mark]) -> list[Mark]:
    """Those whose colour could be read, with a chart or without. Takes marks that were told. Queries: none."""
    read = [mark for mark in marks if hasattr(mark, "colour") and not mark.colour.trouble]
    return sorted(read, key=lambda mark: mark.pk)


def beside(one: Mark, other: Mark) -> Beside:
    """Two marks of one photo, and with them a photo where the same two items have swapped places, if there is one.

    Queries: 3 at most.
    """
    colours = {colour.mark_id: colour for colour in MarkColour.objects.filter(mark__in=[one.pk, other.pk])}
    pairs = [pair_of(colours, one, other)]
    if one.pk == other.pk or pairs[0] is None:
        return Beside(one, other, TWO_NEEDED)
    swapped = swapped_pair(one, other)
    if swapped:
        again = {c.mark_id: c for c in MarkColour.objects.filter(mark__in=[mark.pk for mark in swapped])}
        pairs.append(pair_of(again, *swapped))
    known = [pair for pair in pairs if pair is not None]
    found = compare_regions(known)
    return Beside(
        one=one,
        other=other,
        sentence=found.sentence,
        is_different=found.is_different,
        distance=found.distance if known[0][0].is_measured else None,
        swapped=swapped[0].photo if swapped and len(known) == 2 else None,
    )


def pair_of(colours: Mapping[int, MarkColour], one: Mark, other: Mark) -> Pair | None:
    """Both as regions; None unless both were read by the same chart, or both without one."""
    first, second = colours.get(one.pk), colours.get(other.pk)
    if first is None or second is None or first.chart_id != second.chart_id:
        return None
    regions = region_of(first), region_of(second)
    return None if regions[0] is None or regions[1] is None else (regions[0], regions[1])


def region_of(colour: MarkColour) -> RegionColour | None:
    if colour.lab is None:
        return None
    return RegionColour(colour.lab, colour.spread / 100, colour.used / 1e4, colour.pixels, colour.is_measured)


def swapped_pair(one: Mark, other: Mark) -> tuple[Mark, Mark] | None:
    """Marks of the same details on the same two items in another photo, where their places are swapped. Queries: 1."""
    if one.example_id == other.example_id:
        return None
    ours = Q(example=one.example_id, claim__trait=one.claim.trait_id) | Q(
        example=other.example_id, claim__trait=other.claim.trait_id
    )
    marks = Mark.objects.standing().filter(ours, is_published("photo__"), colour__trouble="")
    by_photo: dict[int, dict[int, Mark]] = defaultdict(dict)
    for mark in marks.exclude(photo=one.photo_id).select_related("photo").order_by("-pk")[:200]:
        by_photo[mark.photo_id][mark.example_id] = mark
    for found in by_photo.values():
        first, second = found.get(one.example_id), found.get(other.example_id)
        if (
            first
            and second
            and places_are_swapped((middle(one), middle(other)), (middle(first), middle(second)))
        ):
            return first, second
    return None


def middle(mark: Mark) -> float:
    """Hundredths of a percent of the width."""
    return mark.x + mark.w / 2


# For identify -------------------------------------------------------------------------------------------------------


@dataclass
class Measured:
    """What was measured of one item in one photo, to ask identify with. `said`: by detail, CIELAB and error."""

    example: Example
    said: dict[str, tuple[tuple[int, int, int], int]] = field(default_factory=dict)


def measured_by_example(marks: Iterable[Mark]) -> list[Measured]:
    """Of each example in sight the first measured mark of each detail. Takes marks that were told. Queries: none."""
    found: dict[int, Measured] = {}
    for mark in marks:
        if mark.told is None or mark.told.lab is None:
            continue
        of = found.setdefault(mark.example_id, Measured(mark.example))
        of.said.setdefault(mark.claim.trait.survivor.public_id, (mark.told.lab, mark.told.error or 0))
    return list(found.values())
