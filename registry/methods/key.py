"""A printed key: numbered questions, each answer leading to another number or to a variant.

Each step asks for the trait that is expected to tell most per effort. A variant whose state is not known there is
found under every answer, so that no answer loses it; where nothing more can be asked, several variants stand
together as "one of these". Steps that would ask the same of the same variants are one step.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from registry.methods.identify.table import UNKNOWN, Table
from registry.sentences import OR, SEMICOLON, Sentence, joined

MOST_STEPS = 500

Rows = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Lead:
    """One answer: `states` (keys) that lead to step `to`, or to `variants` where `to` is 0."""

    states: tuple[str, ...]
    to: int
    variants: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    number: int
    trait: str
    leads: tuple[Lead, ...]


@dataclass(frozen=True, slots=True)
class Key:
    """`steps` are numbered from 1. Without steps, `variants` are all that nothing tells apart."""

    steps: tuple[Step, ...]
    variants: tuple[str, ...] = ()


def build(
    table: Table,
    *,
    only: Sequence[bool] | None = None,
    prior: ArrayLike | None = None,
    most_steps: int = MOST_STEPS,
) -> Key:
    """A key to every variant of a table.

    Shapes: `only` says of each trait whether it may be asked (all where left out; the traits of minimal checks
            make a short key); `prior` has a positive weight per variant, equal where left out.
    Errors: ValueError where a shape does not fit, a weight is not positive, or `most_steps` is negative.
    Source: the greedy choice by information gain of Quinlan 1986 (Machine Learning 1, 81-106), per effort.

    With more unknown states than `most_steps` steps can hold, what is left ends as "one of these".
    """
    allowed = np.arange(len(table.traits)) if only is None else _allowed(table, only)
    weights = np.ones(len(table.variants)) if prior is None else np.asarray(prior, dtype=np.float64)
    if weights.shape != (len(table.variants),) or not (np.isfinite(weights) & (weights > 0)).all():
        raise ValueError(f"prior must have a weight above 0 for each of {len(table.variants)} variants")
    if most_steps < 0:
        raise ValueError(f"most_steps must not be negative, got {most_steps}")
    return _Builder(table, allowed, weights, most_steps).key()


def walk(key: Key, answers: Mapping[str, str]) -> tuple[str, ...]:
    """The variants that a key leads to, from state keys by trait; none where an answer leads nowhere.

    A trait without an answer, as when one is not sure, follows every lead.
    """
    if not key.steps:
        return key.variants
    found: dict[str, None] = {}
    visited, ahead = set(), [1]
    while ahead:
        step = key.steps[ahead.pop() - 1]
        if step.number in visited:
            continue
        visited.add(step.number)
        for lead in step.leads:
            if step.trait in answers and answers[step.trait] not in lead.states:
                continue
            if lead.to:
                ahead.append(lead.to)
            found.update(dict.fromkeys(lead.variants))
    return tuple(found)


def lines(key: Key, table: Table, titles: Mapping[str, str]) -> Iterator[str]:
    """The key in words, a line for each step: "1. Front wheels: gold, go to 2; silver, Grey base." """
    if not key.steps and key.variants:
        yield Sentence("%(answer)s.", answer=_ending(key.variants, titles))
    for step in key.steps:
        trait = table.traits[table.position(step.trait)]
        answers = []
        for lead in step.leads:
            states = joined([trait.state_label(trait.index_of(state)) for state in lead.states], OR)
            if lead.to:
                answers.append(Sentence("%(states)s, go to %(step)s", states=states, step=lead.to))
            else:
                ending = _ending(lead.variants, titles)
                answers.append(Sentence("%(first)s, %(second)s", first=states, second=ending))
        yield Sentence(
            "%(number)s. %(detail)s: %(answers)s.",
            number=step.number,
            detail=trait.label,
            answers=joined(answers, SEMICOLON),
        )


def _ending(variants: Sequence[str], titles: Mapping[str, str]) -> str:
    names = [titles.get(variant, variant) for variant in variants]
    return names[0] if len(names) == 1 else Sentence("one of these: %(names)s", names=", ".join(names))


def _allowed(table: Table, only: Sequence[bool]) -> Rows:
    flags = np.asarray(only, dtype=np.bool_)
    if flags.shape != (len(table.traits),):
        raise ValueError(f"only must have one entry for each of {len(table.traits)} traits")
    return np.flatnonzero(flags)


class _Builder:
    def __init__(self, table: Table, allowed: Rows, weights: NDArray[np.float64], most_steps: int) -> None:
        self.table, self.allowed, self.weights, self.most_steps = table, allowed, weights, most_steps
        self.numbers: dict[bytes, int] = {}  # the step that each set of variants is asked at
        self.queue: list[tuple[Rows, int]] = []  # these variants, by this trait

    def key(self) -> Key:
        everyone = np.arange(len(self.table.variants))
        if not self._number(everyone):
            return Key((), self._names(everyone))
        steps = []
        for number, (rows, trait) in enumerate(self.queue, start=1):  # grows while it is read
            steps.append(Step(number, self.table.traits[trait].key, self._leads(rows, trait)))
        return Key(tuple(steps))

    def _number(self, rows: Rows) -> int:
        """The step that asks about these variants, made where it is new; 0 where they stay together."""
        known = self.numbers.get(rows.tobytes())
        if known:
            return known
        trait = self._best(rows) if len(rows) > 1 and len(self.queue) < self.most_steps else None
        if trait is None:
            return 0
        self.queue.append((rows, trait))
        self.numbers[rows.tobytes()] = len(self.queue)
        return len(self.queue)

    def _leads(self, rows: Rows, trait: int) -> tuple[Lead, ...]:
        column, leads = self.table.cells[rows, trait], []
        known = [int(state) for state in np.unique(column) if state != UNKNOWN]
        for state in known:
            under = rows[(column == state) | (column == UNKNOWN)]
            to = self._number(under)
            states = (self.table.traits[trait].states[state],)
            leads.append(Lead(states, to, () if to else self._names(under)))
        doubtful = rows[column == UNKNOWN]
        others = [s for i, s in enumerate(self.table.traits[trait].states) if i not in known]
        if len(doubtful) and others:  # a state that no variant is known to have: only these can have it
            to = self._number(doubtful)
            leads.append(Lead(tuple(others), to, () if to else self._names(doubtful)))
        return tuple(leads)

    def _best(self, rows: Rows) -> int | None:
        """The allowed trait that tells most per effort about these variants; None where none tells any apart."""
        best, best_worth = None, 0.0
        for trait in self.allowed:
            worth = self._gain(rows, trait) / self.table.traits[trait].effort
            if worth > best_worth + 1e-12:
                best, best_worth = int(trait), worth
        return best

    def _gain(self, rows: Rows, trait: int) -> float:
        """Bits that the answer tells: its entropy, less that of the answers of variants not known here.

        Those are taken to have any state as often as the known ones, whose answer is certain.
        """
        states = len(self.table.traits[trait].states)
        by_state = np.bincount(self.table.cells[rows, trait] + 1, self.weights[rows], states + 1)
        known = by_state[1:].sum()
        if np.count_nonzero(by_state[1:]) < 2:
            return 0.0
        shares = by_state[1:][by_state[1:] > 0] / known
        entropy = -float((shares * np.log2(shares)).sum())
        return entropy * float(known / (known + by_state[0]))

    def _names(self, rows: Rows) -> tuple[str, ...]:
        return tuple(self.table.variants[row] for row in rows)
