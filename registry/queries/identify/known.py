"""What is known of the variants of a scope, as a table to identify by."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from django.core.cache import cache

from registry.errors import InvalidField
from registry.methods.abundance import abundance
from registry.methods.colour.verdict import Reference
from registry.methods.identify import Expectations, Need, Table, learnt_confusion
from registry.methods.identify import Trait as Column
from registry.methods.identify.expectations import UNLISTED
from registry.methods.identify.inspection import effort_of, needs_of
from registry.methods.identify.priors import unlisted, weights
from registry.models import Adoption, State
from registry.queries.colours import reference
from registry.sentences import Sentence

from .reading import ListedVariant, Read, read_all
from .scopes import Releases, Scope, releases_in, stamp_of

MOST_CELLS = 20_000_000
KEPT_SECONDS = 3_600


@dataclass(frozen=True)
class Detail:
    """One trait as a person looks at it; `of` is its casting, in a scope of several.

    `states`: name by public id. `listed`: ids of the states that some variant of the scope has. `keys` leads from
    a state's key, its id, or the id of one merged into it to its id. `colours`: reference colours of those listed.
    """

    id: str
    key: str
    name: str
    place: str
    kind: str
    how_to_inspect: str
    needs: frozenset[Need]
    of: str = ""
    unit: str = ""
    states: Mapping[str, str] = field(default_factory=dict)
    keys: Mapping[str, str] = field(default_factory=dict)
    listed: tuple[str, ...] = ()
    colours: Mapping[str, Reference] = field(default_factory=dict)

    @property
    def label(self) -> str:
        return f"{self.of}: {self.name}" if self.of else self.name

    @property
    def seen_in_pack(self) -> bool:
        return Need.LOOSE not in self.needs


@dataclass(frozen=True)
class Known:
    """A scope as identify reads it. `prior` has a weight per variant; None where nothing was counted in full.
    `confusion` has a matrix for each detail of which the fit in force learnt one.

    `table` has a column for each detail of which some state is listed; all keys there are public ids. `names` leads
    from a trait's key, its id, or the id of one merged into it to the ids of the details that it may mean.
    """

    scope: Scope
    releases: Releases
    table: Table
    details: Mapping[str, Detail]
    names: Mapping[str, tuple[str, ...]]
    variants: Mapping[str, ListedVariant]
    prior: tuple[float, ...] | None
    not_listed: float
    confusion: Mapping[str, list[list[float]]]

    def expectations(self, flat: bool = False) -> Expectations:
        """Priors from full counts, or flat on request."""
        prior = None if flat or self.prior is None else self.prior
        return Expectations(self.table, prior=prior, not_listed=self.not_listed, confusion=self.confusion)


def known_in(scope: Scope, of: Collection[int] | None = None) -> Known:
    """The table of one scope. `of`: keys of its releases, where the caller has them already.

    Queries: 7 for a release or casting, 9 for others, whatever the size, and up to 2 more to find the releases. A
    wide scope's table is kept until a variant or a full count changes: then 2.
    Errors: UnknownReference where the scope names nothing, InvalidField where it holds too much to rank.
    """
    releases = releases_in([scope])[scope] if of is None else frozenset(of)
    if scope.kind in ("release", "casting"):
        return tables({scope: releases})[scope]
    name = f"identify-2:{scope.kind}:{scope.name}:{stamp_of(releases)}"
    kept: Known | None = cache.get(name)
    if kept is None:
        kept = tables({scope: releases})[scope]
        cache.set(name, kept, KEPT_SECONDS)
    return kept


def known_in_each(scopes: Collection[Scope]) -> dict[Scope, Known]:
    """The tables of several scopes, read together. Queries: 14 at most, whatever their number and size."""
    return tables(releases_in(scopes))


def tables(scopes: Mapping[Scope, Releases]) -> dict[Scope, Known]:
    each = list(scopes.values())
    asked = [one for one in each if one is not None]
    union = None if len(asked) < len(each) else frozenset[int]().union(*asked)
    read = read_all(union)
    return {scope: known_of(scope, releases, read) for scope, releases in scopes.items()}


def known_of(scope: Scope, releases: Releases, read: Read) -> Known:
    mine = {
        key: listed
        for release in (read.variants if releases is None else sorted(releases & read.variants.keys()))
        for key, listed in read.variants[release].items()
    }
    details = details_of(releases, mine, read)
    columns = {trait: detail for trait, detail in details.items() if detail.listed}
    prior, not_listed = priors_of(releases, mine, read)
    names: dict[str, list[str]] = defaultdict(list)
    for trait, detail in details.items():
        for name in {detail.key, detail.id, *read.merged_traits.get(trait, ())}:
            names[name].append(detail.id)
    return Known(
        scope=scope,
        releases=releases,
        table=table_of(columns, mine, read),
        details={detail.id: detail for detail in details.values()},
        names={name: tuple(ids) for name, ids in names.items()},
        variants={listed.id: listed for listed in mine.values()},
        prior=prior,
        not_listed=not_listed,
        confusion=confusions_of(columns, read),
    )


# The details --------------------------------------------------------------------------------------------------------


def details_of(releases: Releases, mine: Iterable[int], read: Read) -> dict[int, Detail]:
    """Every detail that a variant is known on or a release adopts, in the order of places."""
    claimed: dict[int, set[int]] = defaultdict(set)
    for variant in mine:
        for trait, state in read.claims.get(variant, {}).items():
            claimed[trait].add(state)
    adopting = read.adopted if releases is None else releases
    adopted = {trait for release in adopting for trait in read.adopted.get(release, ())}
    asked = [trait for trait in read.traits if trait in claimed or trait in adopted]
    castings = {read.traits[trait].casting_id for trait in asked} - {None}
    overrides = read.adopted.get(next(iter(releases)), {}) if releases and len(releases) == 1 else {}
    return {
        trait: detail_of(read, trait, claimed[trait], overrides.get(trait), among=len(castings) > 1)
        for trait in asked
    }


def detail_of(read: Read, key: int, claimed: set[int], adoption: Adoption | None, among: bool) -> Detail:
    trait, states = read.traits[key], read.states.get(key, [])
    place = (adoption.place if adoption else "") or trait.place
    how = (adoption.note if adoption else "") or trait.how_to_inspect
    seen = adoption.is_seen_in_pack if adoption else trait.seen_in_pack
    current = [state for state in states if state.merged_into_id is None]
    return Detail(
        id=trait.public_id,
        key=trait.key,
        name=trait.name,
        place=place,
        kind=trait.kind,
        how_to_inspect=how,
        needs=needs_of(kind=trait.kind, place=place, how_to_inspect=how, seen_in_pack=seen),
        of=trait.casting.name if among and trait.casting else "",
        unit=next((state.unit for state in current if state.unit), ""),
        states={state.public_id: state.name for state in current},
        keys=keys_of(states),
        listed=tuple(state.public_id for state in current if state.pk in claimed),
        colours={
            state.public_id: reference(state)
            for state in current
            if state.pk in claimed and state.lab_l is not None
        },
    )


def keys_of(states: Iterable[State]) -> dict[str, str]:
    """From keys and ids of states, merged ones too, to the id that stands; a key of its own goes before another's."""
    found: dict[str, str] = {}
    for state in sorted(states, key=lambda state: state.merged_into_id is not None):
        for name in (state.key, state.public_id):
            found.setdefault(name, state.survivor.public_id)
    return found


# The table ----------------------------------------------------------------------------------------------------------


def table_of(columns: Mapping[int, Detail], mine: Mapping[int, ListedVariant], read: Read) -> Table:
    if len(columns) * len(mine) > MOST_CELLS:
        remedy = Sentence("That is too much at once. Name a line, casting or release.")
        raise InvalidField("scope", f"{len(mine):,} variants", remedy)
    positions = {trait: number for number, trait in enumerate(columns)}
    indices = {
        state.pk: columns[trait].listed.index(state.public_id)
        for trait in columns
        for state in read.states[trait]
        if state.public_id in columns[trait].listed
    }
    cells = np.full((len(mine), len(columns)), -1, dtype=np.int32)
    for row, variant in enumerate(mine):
        for trait, state in read.claims.get(variant, {}).items():
            if state in indices:
                cells[row, positions[trait]] = indices[state]
    traits = tuple(column_of(detail, read.states[trait]) for trait, detail in columns.items())
    return Table(tuple(listed.id for listed in mine.values()), traits, cells)


def column_of(detail: Detail, states: Iterable[State]) -> Column:
    by_id = {state.public_id: state for state in states}
    listed = [by_id[name] for name in detail.listed]
    measured = any(state.number is not None for state in listed)
    return Column(
        key=detail.id,
        states=detail.listed,
        name=detail.label,
        state_names=tuple(detail.states[name] for name in detail.listed),
        needs=detail.needs,
        effort=effort_of(detail.needs, detail.kind),
        kind=detail.kind,
        numbers=tuple(number_of(state.number) for state in listed) if measured else (),
        tolerances=tuple(float(state.number_tolerance or 0) for state in listed) if measured else (),
    )


def number_of(number: int | None) -> float | None:
    return None if number is None else float(number)


def confusions_of(columns: Mapping[int, Detail], read: Read) -> dict[str, list[list[float]]]:
    """How often each listed state is taken for which, of those details on which votes taught it."""
    found = {}
    for trait, detail in columns.items():
        taken_for = read.taken_for.get(trait)
        if not taken_for:
            continue
        ids = {state.pk: state.public_id for state in read.states[trait]}
        place = {name: index for index, name in enumerate(detail.listed)}
        counts = np.zeros((len(place), len(place) + 1))
        for (claimed, seen), votes in taken_for.items():
            row = place.get(ids.get(claimed, ""))
            if row is not None:
                counts[row, place.get(ids.get(seen, ""), -1)] += votes
        found[detail.id] = learnt_confusion(counts).tolist()
    return found


# The priors ---------------------------------------------------------------------------------------------------------


def priors_of(
    releases: Releases, mine: Mapping[int, ListedVariant], read: Read
) -> tuple[tuple[float, ...] | None, float]:
    """A weight per variant, and the prior of "not listed".

    Every variant weighs 1 on average within its release, so that a release that was counted is not likelier for it.
    """
    weight = dict.fromkeys((listed.id for listed in mine.values()), 1.0)
    missing: list[float] = []
    for release in read.counts if releases is None else releases & read.counts.keys():
        variants: Sequence[str] = [listed.id for listed in read.variants.get(release, {}).values()]
        if not variants:
            continue
        found = abundance(read.counts[release], variants)
        missing.append(unlisted(found))
        shares = zip(variants, weights(found, variants), strict=True)
        weight |= {name: len(variants) * share for name, share in shares}
    if not missing:
        return None, UNLISTED
    return tuple(weight.values()), sum(missing) / len(missing)
