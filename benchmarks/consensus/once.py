"""One refit in a process of its own: votes are drawn, then fitted, and what it took is printed as JSON."""

import json
import resource
import sys
from pathlib import Path
from time import perf_counter

import numpy as np

from registry.methods.consensus import KINDS, Ballots, Start, fit

FLAT = {"cell_to_reviewer": 0.0, "cell_to_kind": 0.0, "prior_strength": 0.0, "tolerance": 0.0}
"""Nothing leans on anything: the model of Dawid and Skene as crowd-kit has it."""


def draw(votes: int, reviewers: int, *, kinds: bool) -> tuple[np.ndarray, Ballots]:
    """Ten votes a claim; a few reviewers cast most of them; sensitivity and specificity around 0.85."""
    random, claims = np.random.default_rng(1979), votes // 10
    claim = random.integers(0, claims, votes, dtype=np.int32)
    reviewer = (reviewers * random.random(votes) ** 2).astype(np.int32)
    true = random.random(claims) < 0.7
    rates = random.beta(17, 3, size=(2, reviewers))
    right = np.where(true[claim], rates[0, reviewer], rates[1, reviewer])
    confirms = (random.random(votes) < right) == true[claim]
    kind = (
        random.integers(0, len(KINDS), claims).astype(np.int8)[claim] if kinds else np.zeros(votes, np.int8)
    )
    in_hand = random.random(votes) < 0.4 if kinds else np.ones(votes, dtype=bool)
    return true, Ballots(claims, reviewers, claim, reviewer, kind, in_hand, confirms)


def by_us(ballots: Ballots, start: Start) -> tuple[np.ndarray, int]:
    found = fit(ballots, start)
    return found.posterior, found.rounds


def by_crowd_kit(ballots: Ballots, rounds: int) -> tuple[np.ndarray, int]:
    import pandas
    from crowdkit.aggregation import DawidSkene

    columns = {"task": ballots.claim, "worker": ballots.reviewer, "label": ballots.confirms.astype(np.int8)}
    found = DawidSkene(n_iter=rounds, tol=-np.inf).fit(pandas.DataFrame(columns))
    posterior = np.full(ballots.claims, np.nan)  # it leaves out claims without votes
    posterior[found.probas_.index.to_numpy()] = found.probas_[1].to_numpy()
    return posterior, rounds


def main(side: str, votes: int, reviewers: int, rounds: int, kept: str) -> None:
    true, ballots = draw(votes, reviewers, kinds=side == "ours")
    before, began = peak(), perf_counter()
    if side == "crowd-kit":
        posterior, taken = by_crowd_kit(ballots, rounds)
    else:
        posterior, taken = by_us(ballots, Start() if side == "ours" else Start(**FLAT, most_rounds=rounds))
    seconds = perf_counter() - began
    np.save(Path(kept), posterior)
    right = float(np.mean((posterior > 0.5) == true))
    print(json.dumps({"seconds": seconds, "rounds": taken, "peak": peak(), "drawn": before, "right": right}))


def peak() -> float:
    """Most memory this process has held so far, in MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main(sys.argv[1], *(int(number) for number in sys.argv[2:5]), sys.argv[5])
