"""Refit of all votes: ours as the site runs it, ours without any leaning, and crowd-kit's Dawid and Skene."""

import json
import subprocess
import sys
import warnings
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

SIZES = (  # votes, reviewers, rounds of the two that coincide
    (100_000, 500, 200),
    (1_000_000, 5_000, 20),
    (10_000_000, 50_000, 3),
)
SETTLED = 200  # rounds after which neither moves any more; before, their different starts still show


def run() -> None:
    for votes, reviewers, rounds in SIZES:
        print(f"\n{votes:,} votes, {reviewers:,} reviewers, {votes // 10:,} claims")
        with TemporaryDirectory() as folder:
            taken = {
                side: once(side, votes, reviewers, rounds, folder) for side in ("ours", "flat", "crowd-kit")
            }
            flat, theirs = (np.load(Path(folder, f"{side}.npy")) for side in ("flat", "crowd-kit"))
        for side, found in taken.items():
            print(
                f"{side:>10}: {found['seconds']:8.1f} s, {found['rounds']:4} rounds, "
                f"{found['seconds'] / found['rounds']:8.3f} s a round, peak {found['peak']:6.0f} MB "
                f"(of which {found['drawn']:.0f} to draw the votes), right {found['right']:.4f}"
            )
        print(f"crowd-kit / flat: {compared(taken['flat'], taken['crowd-kit'])}")
        if rounds >= SETTLED:
            apart = np.nanmax(np.abs(flat - theirs))
            print(f"largest difference of a posterior between these two: {apart:.1e}")


def compared(ours: dict[str, float], theirs: dict[str, float]) -> str:
    a_round = (theirs["seconds"] / theirs["rounds"]) / (ours["seconds"] / ours["rounds"])
    return f"time a round {a_round:.1f}, peak memory {theirs['peak'] / ours['peak']:.1f}"


def once(side: str, votes: int, reviewers: int, rounds: int, folder: str) -> dict[str, float]:
    """One side in a process of its own, on its own draw of the same votes."""
    words = [side, str(votes), str(reviewers), str(rounds), str(Path(folder, f"{side}.npy"))]
    command = [sys.executable, "-W", "ignore", "-m", "benchmarks.consensus.once", *words]
    answer = subprocess.run(command, check=True, capture_output=True, text=True)  # noqa: S603 - our own words
    if answer.stderr:
        warnings.warn(answer.stderr, stacklevel=1)
    found: dict[str, float] = json.loads(answer.stdout)
    return found
