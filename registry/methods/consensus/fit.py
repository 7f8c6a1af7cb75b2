"""Dawid and Skene's model with two coins per reviewer, kind of trait and basis, fitted in rounds.

**Model.** A claim is true with probability `prior`. A reviewer confirms a true claim with the sensitivity of the cell
(reviewer, kind, in hand or by photo) and contradicts a false one with its specificity; votes are independent once
the truth is given. Rates lean on one another as `rates` says. A known claim keeps its answer, teaches
`known_weight` times as much as an ordinary vote, and has no part in the prior, because it was picked.

**Objective.** The log-likelihood of the votes, truths summed out, less strength x KL for all that leans, the prior
on the policy's included. Each round is one ECM step: the posteriors at the rates now (E), then every block of rates
in turn to the exact maximum of the same concave function, the others held fixed (CM). The objective therefore never
falls from round to round; `Fit.objective` shows it.

**Nobody's word is turned round.** Every cell keeps sensitivity + specificity >= 1: a confirmation never speaks
against a claim, however often its author was wrong; at worst it weighs nothing. With the start at the policy's
rates, which add up to more than 1, this also rules out the mirror image of a fit, in which true and false change
places. A reviewer who confirms everything ends on that bound, where both kinds of vote weigh nothing.

Sources: A. P. Dawid and A. M. Skene 1979, Applied Statistics 28(1), 20-28 (the model and its EM); X.-L. Meng and
D. B. Rubin 1993, Biometrika 80(2), 267-278 (ECM never falls). Leaning by KL is this project's own choice.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ballots import KINDS, Ballots, Start
from .layout import Layout, lay_out
from .rates import Floats, Tree

_ALL_KINDS = -1


@dataclass(frozen=True)
class Cells:
    """Rates of those with votes, as columns, ordered by reviewer, basis and kind; kind -1 is all kinds together."""

    reviewer: NDArray[np.int32]
    kind: NDArray[np.int8]
    in_hand: NDArray[np.bool_]
    sensitivity: Floats
    specificity: Floats
    weight_seen: Floats  # votes behind the row, each on a known claim counted `known_weight` times

    @cached_property
    def key(self) -> NDArray[np.int64]:
        """Reviewer, basis and kind as one number that only grows from row to row."""
        return _key(self.reviewer, self.in_hand, self.kind)


@dataclass(frozen=True)
class Fit:
    """What the votes teach: the truth of claims, and how far to trust whom.

    Shapes: `population` is (kinds + 1, 2, 2): by kind (the last row, -1, is all kinds together), by basis
            (0 photo, 1 in hand), sensitivity and specificity. `posterior` is (C,); a known claim has 0 or 1.
    """

    prior: float
    population: Floats
    cells: Cells
    posterior: Floats
    objective: tuple[float, ...]  # after each round; it never falls
    rounds: int
    converged: bool
    start: Start

    def rates(self, reviewer: int, kind: int, in_hand: bool) -> tuple[float, float]:
        """Sensitivity and specificity to count a vote by; `kind` -1 asks for the reviewer's overall.

        A cell without votes is where its leanings put it: between the reviewer's overall on the basis (everybody's,
        for one who never voted on it) and everybody's overall for the kind.
        """
        overall = self._find(reviewer, _ALL_KINDS, in_hand)
        if overall is None:
            overall = self.population[_ALL_KINDS, int(in_hand)]
        if kind == _ALL_KINDS:
            return float(overall[0]), float(overall[1])
        cell = self._find(reviewer, kind, in_hand)
        if cell is None:
            own, shared = self.start.cell_to_reviewer, self.start.cell_to_kind
            of_kind = self.population[kind, int(in_hand)]
            cell = (own * overall + shared * of_kind) / (own + shared) if own + shared else overall
        return float(cell[0]), float(cell[1])

    def _find(self, reviewer: int, kind: int, in_hand: bool) -> Floats | None:
        wanted = _key(reviewer, in_hand, kind)
        row = int(np.searchsorted(self.cells.key, wanted))
        if row == self.cells.key.size or self.cells.key[row] != wanted:
            return None
        return np.array([self.cells.sensitivity[row], self.cells.specificity[row]])


def fit(ballots: Ballots, start: Start | None = None) -> Fit:
    """Learn claims and reviewers from all votes.

    Errors: none of its own; Ballots and Start refuse what makes no sense. No votes leave the start as it is.
    Cost:   time and memory linear in votes: two passes over a sparse matrix a round.
            benchmarks/consensus measures ten million votes.
    """
    start = start or Start()
    layout = lay_out(ballots)
    tree = Tree.planted(layout, start)
    prior, converged = start.prior, False
    objective: list[float] = []
    odds, _ = _weigh(layout, tree, prior)
    posterior = _probability(odds)
    while len(objective) < start.most_rounds and not converged:
        moved = tree.grow(*_expected(layout, posterior, start.known_weight))
        prior = _share(posterior, start)
        odds, rest = _weigh(layout, tree, prior)
        objective.append(float(np.logaddexp(0, odds).sum() + rest - tree.penalty() - _cost(prior, start)))
        before, posterior = posterior, _probability(odds)
        moved = max(moved, float(np.max(np.abs(posterior - before), initial=0.0)))
        converged = moved <= start.tolerance
    return Fit(
        prior=prior,
        population=np.concatenate([tree.kinds, tree.population]).reshape(len(KINDS) + 1, 2, 2),
        cells=_rows(layout, tree),
        posterior=_with_known(posterior, ballots, layout),
        objective=tuple(objective),
        rounds=len(objective),
        converged=converged,
        start=start,
    )


def _weigh(layout: Layout, tree: Tree, prior: float) -> tuple[Floats, float]:
    """Log-odds of each unknown claim, and the log-likelihood less the sum of log(1 + odds) over those."""
    if_true, if_false = tree.log_rates()
    odds = layout.votes @ (if_true - if_false) + (np.log(prior) - np.log1p(-prior))
    unknown = layout.counts @ if_false + layout.unknown.size * np.log1p(-prior)
    known = layout.known_true @ if_true + layout.known_false @ if_false
    return odds, float(unknown + tree.start.known_weight * known)


def _expected(layout: Layout, posterior: Floats, known_weight: float) -> tuple[Floats, Floats]:
    """Votes expected to lie on true claims, and on false ones: (2 K,) each."""
    on_true = layout.votes.T @ posterior
    on_false = np.maximum(layout.counts - on_true, 0)
    return on_true + known_weight * layout.known_true, on_false + known_weight * layout.known_false


def _share(posterior: Floats, start: Start) -> float:
    behind = posterior.size + start.prior_strength
    share = (posterior.sum() + start.prior_strength * start.prior) / behind if behind else start.prior
    return float(np.clip(share, 1e-12, 1 - 1e-12))


def _cost(prior: float, start: Start) -> float:
    """What it costs that the prior leans on the start's."""
    held = start.prior
    divergence = held * np.log(held / prior) + (1 - held) * np.log((1 - held) / (1 - prior))
    return float(start.prior_strength * divergence)


def _probability(odds: Floats) -> Floats:
    from scipy.special import expit

    return expit(odds)  # type: ignore[no-any-return]


def _with_known(posterior: Floats, ballots: Ballots, layout: Layout) -> Floats:
    """One row per claim: found ones strictly between 0 and 1, known ones as known."""
    answers = np.zeros(ballots.claims) if ballots.known is None else ballots.known.astype(np.float64)
    answers[layout.unknown] = np.clip(posterior, np.finfo(float).tiny, 1 - 2.0**-53)
    return answers


def _rows(layout: Layout, tree: Tree) -> Cells:
    weight = tree.start.known_weight
    votes = layout.counts + weight * (layout.known_true + layout.known_false)
    seen = votes.reshape(-1, 2).sum(axis=1)
    members = len(tree.reviewers)
    reviewer = np.concatenate([layout.reviewer, layout.reviewer[layout.first]])
    basis = np.concatenate([layout.basis, layout.basis[layout.first]])
    kind = np.concatenate([layout.kind, np.full(members, _ALL_KINDS, np.int8)])
    rates = np.concatenate([tree.cells, tree.reviewers])
    behind = np.concatenate([seen, np.bincount(layout.owner, weights=seen, minlength=members)])
    order = np.argsort(_key(reviewer, basis, kind))
    return Cells(
        reviewer=reviewer[order],
        kind=kind[order],
        in_hand=basis[order].astype(np.bool_),
        sensitivity=rates[order, 0],
        specificity=rates[order, 1],
        weight_seen=behind[order],
    )


def _key(reviewer: ArrayLike, basis: ArrayLike, kind: ArrayLike) -> NDArray[np.int64]:
    """Reviewer, basis and kind (-1 first) as one number."""
    seat = np.asarray(reviewer, dtype=np.int64) * 2 + np.asarray(basis, dtype=np.int64)
    key: NDArray[np.int64] = seat * (len(KINDS) + 1) + np.asarray(kind, dtype=np.int64) + 1
    return key
