"""Tables of variants for the tests of identify, minimal checks, alike and the printed key."""

import json
from pathlib import Path

import numpy as np
from hypothesis import strategies as st

from registry.methods.identify import Need, Table, Trait

WHEELS = Trait("wheels", ("gold", "silver", "white"), "Front wheels", ("gold", "silver", "white"))
CREST = Trait("crest", ("red", "blue"), "Roof crest", ("red", "blue"))
BASE = Trait(
    "base", ("plain", "dated"), "Base text", needs=frozenset({Need.LOOSE, Need.BASE_VISIBLE}), effort=4
)
LENGTH = Trait(
    "length", ("short", "long"), "Length", numbers=(70_000.0, 72_000.0), tolerances=(150.0, 150.0), effort=3
)
BRINEWAGON = Table.of(
    [WHEELS, CREST, BASE, LENGTH],
    {
        "first": {"wheels": "gold", "crest": "red", "base": "plain", "length": "short"},
        "silver": {"wheels": "silver", "crest": "red", "base": "plain", "length": "short"},
        "dated": {"wheels": "gold", "crest": "red", "base": "dated", "length": "short"},
        "long": {"wheels": "white", "crest": "blue", "length": "long"},
    },
)


def random_table(seed: int, variants: int, traits: int, states: int, unknown: float = 0.2) -> Table:
    rng = np.random.default_rng(seed)
    cells = rng.integers(0, states, (variants, traits))
    cells[rng.random(cells.shape) < unknown] = -1
    return table_of(cells.tolist(), [states] * traits)


def table_of(rows: list[list[int]], states: list[int]) -> Table:
    made = tuple(Trait(f"t{n}", tuple(f"s{i}" for i in range(count))) for n, count in enumerate(states))
    return Table(
        tuple(f"v{n}" for n in range(len(rows))), made, np.array(rows).reshape(len(rows), len(states))
    )


@st.composite
def tables(draw, most_variants: int = 6, most_traits: int = 4, most_states: int = 3) -> Table:
    states = draw(st.lists(st.integers(1, most_states), min_size=1, max_size=most_traits))
    row = st.tuples(*(st.integers(-1, count - 1) for count in states))
    rows = draw(st.lists(row, min_size=1, max_size=most_variants))
    return table_of([list(each) for each in rows], states)


class Zoo:
    """Forsyth's open data: see zoo.json for source and licence."""

    def __init__(self) -> None:
        facts = json.loads((Path(__file__).parent / "zoo.json").read_text())
        self.attributes: list[str] = facts["attributes"]
        values, self.classes = zip(*(row.split() for row in facts["rows"]), strict=True)
        self.values = np.array([[int(value) for value in row] for row in values])

    def patterns(self) -> tuple[Table, np.ndarray]:
        """The distinct rows as variants of yes-or-no traits (legs one per number), and how often each occurs."""
        distinct, counts = np.unique(self.values, axis=0, return_counts=True)
        columns, names = [], []
        for name, column in zip(self.attributes, distinct.T, strict=True):
            asked = [1] if name != "legs" else sorted(set(column.tolist()))
            columns += [(column == value).astype(int) for value in asked]
            names += [name] if name != "legs" else [f"{value} legs" for value in asked]
        traits = tuple(Trait(name, ("no", "yes")) for name in names)
        return Table(tuple(f"v{n}" for n in range(len(distinct))), traits, np.array(columns).T), counts
