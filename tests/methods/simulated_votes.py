"""Votes by invented reviewers whose real rates are known, so that what is learnt from them can be judged."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from registry.methods.consensus import KINDS, Ballots, Fit


@dataclass(frozen=True)
class World:
    """How good the reviewers are: a Beta distribution of rates, and the shares of those who do not judge."""

    reviewers: int = 60
    claims: int = 600
    votes_each: int = 7  # on every claim, by reviewers drawn by lot
    skill: tuple[float, float] = (17, 3)  # Beta: mean 0.85
    true: float = 0.6
    guessers: float = 0.0  # toss a coin of their own
    stampers: float = 0.0  # confirm everything
    liars: float = 0.0  # contradict what is true, confirm what is false
    kinds: int = 3
    photo_loss: float = 0.05  # by how much photos lower every rate


MIXES = {
    "uneven": World(skill=(4, 1)),
    "some guess": World(guessers=0.2),
    "many guess": World(guessers=0.4, votes_each=9),
    "some confirm everything": World(stampers=0.25),
    "some lie": World(liars=0.2),
    "mostly true": World(true=0.9, guessers=0.1),
    "mostly false": World(true=0.3, guessers=0.1),
    "weak by photo": World(photo_loss=0.2),
    "few votes": World(votes_each=4, guessers=0.2),
}


def columns(
    claims: int, reviewers: int, claim, reviewer, confirms, *, kind=0, in_hand=True, known=None
) -> Ballots:
    """Ballots from anything that numpy takes for columns; one kind or basis may stand for all votes."""
    claim = np.asarray(claim, dtype=np.int32)
    return Ballots(
        claims=claims,
        reviewers=reviewers,
        claim=claim,
        reviewer=np.asarray(reviewer, dtype=np.int32),
        kind=np.broadcast_to(np.asarray(kind, dtype=np.int8), claim.shape),
        in_hand=np.broadcast_to(np.asarray(in_hand, dtype=bool), claim.shape),
        confirms=np.asarray(confirms, dtype=bool),
        known=None if known is None else np.asarray(known, dtype=np.int8),
    )


def simulate(world: World, random: np.random.Generator) -> tuple[np.ndarray, Ballots]:
    """Which claims are true, and the votes."""
    rates = random.beta(*world.skill, size=(2, world.reviewers, world.kinds))
    draw = random.random(world.reviewers)
    stampers, guessers, liars = np.cumsum([world.stampers, world.guessers, world.liars])
    coin = np.where(draw < stampers, 1.0, random.random(world.reviewers))[:, None]
    careless = (draw < guessers)[:, None]
    lying = ((draw >= guessers) & (draw < liars))[:, None]
    sensitivity = np.where(careless, coin, np.where(lying, 0.02, rates[0]))
    specificity = np.where(careless, 1 - coin, np.where(lying, 0.02, rates[1]))
    true = random.random(world.claims) < world.true
    kind = random.integers(0, world.kinds, world.claims)
    by_lot = np.argsort(random.random((world.claims, world.reviewers)), axis=1)
    claim = np.repeat(np.arange(world.claims), world.votes_each)
    reviewer = by_lot[:, : world.votes_each].ravel()
    in_hand = random.random(claim.size) < 0.5
    right = np.where(true[claim], sensitivity[reviewer, kind[claim]], specificity[reviewer, kind[claim]])
    right = np.where(in_hand | careless[reviewer, 0], right, right - world.photo_loss)
    confirms = (random.random(claim.size) < right) == true[claim]
    return true, columns(
        world.claims, world.reviewers, claim, reviewer, confirms, kind=kind[claim], in_hand=in_hand
    )


def majority(ballots: Ballots) -> np.ndarray:
    """Confirmations less contradictions of each claim."""
    return np.bincount(ballots.claim, weights=ballots.confirms * 2.0 - 1, minlength=ballots.claims)


def with_ring(
    true: np.ndarray, ballots: Ballots, members: int, on: Literal["every false", "everything", "one"]
) -> tuple[Ballots, int]:
    """The first `members` reviewers conspire; the target is the first false claim.

    They confirm every false claim, or lie about everything, or are honest but for the target.
    """
    target = int(np.flatnonzero(~true)[0])
    ring, false = ballots.reviewer < members, ~true[ballots.claim]
    if on == "everything":
        confirms = np.where(ring, false, ballots.confirms)
    else:
        confirms = ballots.confirms | ring & (false if on == "every false" else ballots.claim == target)
    return replace(ballots, confirms=confirms), target


def by_equal_weights(ballots: Ballots) -> np.ndarray:
    """The posterior of each claim if everybody were as the first policy says."""
    weight = np.where(ballots.in_hand, np.log(0.85 / 0.15), np.log(0.80 / 0.20))
    odds = np.bincount(ballots.claim, weights=(ballots.confirms * 2.0 - 1) * weight, minlength=ballots.claims)
    return 1 / (1 + np.exp(-odds))


def as_standing_counts(ballots: Ballots, found: Fit) -> np.ndarray:
    """The posterior of each claim by the fitted rates and the first policy's prior of one half."""
    cells = found.cells
    rates = np.full((ballots.reviewers, 2, len(KINDS) + 1, 2), np.nan)
    rates[cells.reviewer, cells.in_hand.astype(int), cells.kind] = np.stack(
        [cells.sensitivity, cells.specificity], axis=1
    )
    sensitivity, specificity = rates[ballots.reviewer, ballots.in_hand.astype(int), ballots.kind].T
    for_true = np.where(ballots.confirms, sensitivity, 1 - sensitivity)
    for_false = np.where(ballots.confirms, 1 - specificity, specificity)
    odds = np.bincount(ballots.claim, weights=np.log(for_true / for_false), minlength=ballots.claims)
    return 1 / (1 + np.exp(-odds))
