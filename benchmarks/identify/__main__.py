"""Time to rank and to find the next check, against the size of the table, memory and a general library.

    python -m benchmarks.identify            1 k, 10 k, 100 k and 1 M variants by 40 traits
    python -m benchmarks.identify 1000       these sizes only

Each figure is the best of several runs, in processor time. The table is invented:
six states a trait, one in seven unknown.
"""

import sys
from collections.abc import Callable
from time import process_time
from typing import Any

import numpy as np

from registry.methods.checks import minimal
from registry.methods.identify import Expectations, Seen, Table, Trait, identify

TRAITS, STATES, ANSWERED, RUNS = 40, 6, 12, 9
SIZES = (1_000, 10_000, 100_000, 1_000_000)
COMPARED = 100_000


def invented(variants: int, unknown: bool = True) -> Table:
    traits = tuple(Trait(f"t{n}", tuple(f"s{state}" for state in range(STATES))) for n in range(TRAITS))
    cells = (
        np.random.default_rng(1).integers(-1 if unknown else 0, STATES, (variants, TRAITS)).astype(np.int8)
    )
    return Table(tuple(f"v{n}" for n in range(variants)), traits, cells)


def seen(table: Table, answered: int) -> list[Seen]:
    """What somebody answers who holds the variant in the middle of the table."""
    cells = table.cells[len(table.variants) // 2, :answered].tolist()
    return [Seen(f"t{n}", f"s{max(cell, 0)}") for n, cell in enumerate(cells)]


def milliseconds(act: Callable[[], Any]) -> float:
    act()
    taken = []
    for _ in range(RUNS):
        before = process_time()
        act()
        taken.append((process_time() - before) * 1e3)
    return min(taken)


def by_size(sizes: tuple[int, ...]) -> None:
    print(f"one request: rank, explain ten, next check; {TRAITS} traits of {STATES} states, ms")
    print(f"{'variants':>10} {'nothing seen':>13} {f'{ANSWERED} seen':>9} {'table made':>11} {'MB':>6}")
    for variants in sizes:
        table = invented(variants)
        expected = Expectations(table)
        nothing = milliseconds(lambda e=expected: identify(e))
        twelve = milliseconds(lambda e=expected: identify(e, seen(e.table, ANSWERED)))
        before = process_time()
        Table(table.variants, table.traits, table.cells)
        made = (process_time() - before) * 1e3
        print(
            f"{variants:>10,} {nothing:>13.2f} {twelve:>9.2f} {made:>11.1f} {table.cells.nbytes / 1e6:>6.1f}"
        )


def against_memory() -> None:
    """A plain sum reads the table once; ranking and the next check read it about once as well."""
    table = invented(COMPARED)
    reading = milliseconds(lambda: table.cells.sum(dtype=np.int64))
    full = milliseconds(lambda: identify(Expectations(table), seen(table, ANSWERED)))
    rate = table.cells.nbytes / reading / 1e6
    print(f"\n{COMPARED:,} variants: numpy sums the table in {reading:.2f} ms ({rate:.2f} GB/s);")
    print(f"identify, its expectations made anew, takes {full:.2f} ms: {full / reading:.1f} times that")


def against_naive_bayes() -> None:
    """The same answer from CategoricalNB: all traits seen, every state known, flat priors, nothing unlisted.

    Its `fit` would make a square array of classes, 80 GB here, so what it learns is put in place by hand.
    """
    try:
        from sklearn.naive_bayes import CategoricalNB
    except ImportError:
        print("\nscikit-learn is not installed: no comparison")
        return
    table = invented(COMPARED, unknown=False)
    smoothed = (np.eye(STATES) + 0.05) / (1 + 0.05 * STATES)
    model = CategoricalNB()
    model.classes_ = np.arange(COMPARED)
    model.class_count_ = np.ones(COMPARED)
    model.class_log_prior_ = np.full(COMPARED, -np.log(COMPARED))
    model.feature_log_prob_ = [np.log(smoothed)[column] for column in table.cells.T]
    model.n_categories_ = np.full(TRAITS, STATES)
    model.n_features_in_ = TRAITS
    expected = Expectations(table, not_listed=0, confusion={t.key: smoothed for t in table.traits})
    asked = [int(cell) for cell in table.cells[COMPARED // 2]]
    observations = seen(table, TRAITS)
    assert np.allclose(model.predict_proba([asked])[0], identify(expected, observations).posterior, atol=1e-9)
    theirs = milliseconds(lambda: model.predict([asked]))
    ours = milliseconds(lambda: identify(expected, observations))
    choosing = milliseconds(lambda: identify(expected, seen(table, ANSWERED)))
    held = sum(array.nbytes for array in model.feature_log_prob_)
    print(f"\n{COMPARED:,} variants, all {TRAITS} traits seen, answers equal to 1e-9:")
    print(f"CategoricalNB.predict {theirs:.2f} ms, holding {held / 1e6:.0f} MB")
    print(
        f"identify, ranking     {ours:.2f} ms, holding {table.cells.nbytes / 1e6:.0f} MB: ratio {ours / theirs:.2f}"
    )
    print(
        f"identify, {ANSWERED} seen, ranking and next check {choosing:.2f} ms: ratio {choosing / theirs:.2f}"
    )


def fewest_checks() -> None:
    """Tables of chance states are the hardest kind: nearly every trait tells nearly every pair apart."""
    print("\nfewest checks for all pairs, at most 5,000 branches, states by chance:")
    for variants, traits, states in ((10, 12, 3), (60, 20, 3), (200, 60, 2), (300, 40, 4)):
        made = tuple(Trait(f"t{n}", tuple(f"s{state}" for state in range(states))) for n in range(traits))
        cells = np.random.default_rng(1).integers(-1, states, (variants, traits))
        table = Table(tuple(f"v{n}" for n in range(variants)), made, cells)
        before = process_time()
        answer = minimal(table)
        taken = (process_time() - before) * 1e3
        proof = "proved" if answer.is_smallest else f"at least {answer.bound:.0f}"
        print(f"{variants:>6} by {traits} of {states}: {len(answer.traits)}, {proof}, {taken:.0f} ms")


if __name__ == "__main__":
    by_size(tuple(int(size) for size in sys.argv[1:]) or SIZES)
    against_memory()
    against_naive_bayes()
    fewest_checks()
