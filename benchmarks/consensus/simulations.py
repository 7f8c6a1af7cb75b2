"""What the model makes of liars, guessers and honest mistakes, where the truth is known."""

import numpy as np

from registry.methods.consensus import Start, fit
from tests.methods.simulated_votes import (
    MIXES,
    World,
    as_standing_counts,
    by_equal_weights,
    majority,
    simulate,
    with_ring,
)

START = Start(tolerance=1e-4)
REVIEWERS, RING = 50, 10
CAMPAIGNS = (
    (20, "nobody"), (20, "every false"), (20, "everything"), (20, "one"), (12, "nobody"), (12, "every false"),
)  # fmt: skip


def ring(runs: int = 1000) -> None:
    """How often the target, the first false claim, reaches 0.95; and how often any false claim does."""
    print(f"\n{runs} runs of {REVIEWERS} reviewers and 200 claims, votes by lot; {RING} of them are the ring")
    for votes, on in CAMPAIGNS:
        targets, at_large, false, equal, equal_at_large = campaign(votes, on, runs)
        print(
            f"{votes} votes a claim, ring lies on {on:>11}: target {targets} of {runs} (equal weights {equal}); "
            f"all false claims {at_large} of {false}, {at_large / false:.5f} (equal weights {equal_at_large})",
            flush=True,
        )


def campaign(votes: int, on: str, runs: int) -> np.ndarray:
    random = np.random.default_rng([20, votes])
    world = World(reviewers=REVIEWERS, claims=200, votes_each=votes, kinds=1)
    total = np.zeros(5, dtype=int)
    for _ in range(runs):
        true, honest = simulate(world, random)
        ballots, target = with_ring(true, honest, 0 if on == "nobody" else RING, on)
        found, equal = fit(ballots, START).posterior >= 0.95, by_equal_weights(ballots) >= 0.95
        total += [found[target], found[~true].sum(), np.sum(~true), equal[target], equal[~true].sum()]
    return total


def mixes(runs: int = 20) -> None:
    """Calibration at 0.95 and 0.99, and mistakes beside the majority's."""
    print(
        f"\n{runs} runs of each mix: share true (and claimed) among claims at 0.95 and at 0.99; share wrong"
    )
    hardly_apart = {"all alike": World(skill=(170, 30)), "hardly uneven": World(skill=(8.5, 1.5))}
    everything = []
    for number, (name, world) in enumerate({**hardly_apart, **MIXES}.items()):
        random = np.random.default_rng([99, number])
        drawn = [simulate(world, random) for _ in range(runs)]
        true = np.concatenate([truth for truth, _ in drawn])
        fits = [(ballots, fit(ballots, START)) for _, ballots in drawn]
        found = np.concatenate([learnt.posterior for _, learnt in fits])
        votes = np.concatenate([majority(ballots) for _, ballots in drawn])
        shares = "; ".join(
            f"{true[found >= level].mean():.4f} ({found[found >= level].mean():.4f})"
            for level in (0.95, 0.99)
        )
        wrong, by_majority = (
            np.mean((found > 0.5) != true),
            np.mean(np.where(votes == 0, 0.5, (votes > 0) != true)),
        )
        print(f"{name:>24}: {shares}; wrong {wrong:.4f}, majority {by_majority:.4f}", flush=True)
        everything.append((true, found, np.concatenate([as_standing_counts(*pair) for pair in fits])))
    true, *both = (np.concatenate(column) for column in zip(*everything, strict=True))
    for name, found in zip(("the fit's own", "as standing counts"), both, strict=True):
        for low, high in ((0.93, 0.97), (0.985, 0.995)):
            near = (found > low) & (found < high)
            shares = f"{true[near].mean():.4f} ({found[near].mean():.4f})"
            print(f"all mixes, {name}, between {low} and {high}: {shares}")
