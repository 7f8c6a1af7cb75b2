"""Test vectors that identify must answer alike in Python and in JavaScript: tests/vectors/identify.json.

Written anew by `python -m tests.methods.identify_vectors`; made from fixed seeds, so the same each time.
"""

import json
from pathlib import Path
from typing import Any

import numpy as np

from registry.methods.identify import EVERYTHING, Expectations, Need, Table, Trait, identify
from registry.methods.identify.plain import answer_as_plain, observation_of, table_as_plain
from tests.methods.small_tables import BRINEWAGON, random_table, table_of

PATH = Path(__file__).parents[1] / "vectors" / "identify.json"
OF_THE_TABLE = {"prior", "not_listed", "confusion", "accuracy", "novelty"}
HALF_MEASURED = Table(
    ("a", "b"),
    (Trait("gap", ("narrow", "wide", "none"), numbers=(400.0, 700.0, None), tolerances=(50.0, 80.0, 0.0)),),
    np.array([[0], [2]]),
)
SEEN = [{"trait": "wheels", "seen": "gold"}, {"trait": "crest", "seen": "red"}]
REST = [{"trait": "base", "seen": "plain"}, {"trait": "length", "seen": "short"}]
CASES: list[tuple[str, Table, list[dict[str, Any]], dict[str, Any]]] = [
    ("nothing observed", BRINEWAGON, [], {}),
    ("all not visible", BRINEWAGON, [{"trait": t.key, "not_visible": True} for t in BRINEWAGON.traits], {}),
    ("two of four seen", BRINEWAGON, SEEN, {}),
    ("through the pack", BRINEWAGON, SEEN, {"at_hand": []}),
    ("loose, base out of sight", BRINEWAGON, SEEN, {"at_hand": ["loose", "magnifier"], "keep": 2}),
    ("a combination that none has", BRINEWAGON, [SEEN[0], {"trait": "crest", "seen": "blue"}], {"not_listed": 0.2}),
    ("none of these", BRINEWAGON, [{"trait": "wheels", "none_of_these": True}], {}),
    ("not sure", BRINEWAGON, [{"trait": "wheels", "not_sure": ["gold", "white"], "weights": [3, 1]}], {}),
    ("not sure of anything", BRINEWAGON, [{"trait": "wheels", "not_sure": []}], {}),
    ("a length", BRINEWAGON, [{"trait": "length", "value": 70_250, "error": 200}], {}),
    ("a length far off", BRINEWAGON, [{"trait": "length", "value": 80_000, "error": 50}], {}),
    ("a gap where one state has no number", HALF_MEASURED, [{"trait": "gap", "value": 455.5, "error": 30}], {}),
    ("from a colour", BRINEWAGON, [{"trait": "crest", "likelihoods": {"red": 2e-7, "blue": 3e-8}, "other": 1e-9}], {}),
    ("a prior with a nought", BRINEWAGON, SEEN, {"prior": [6, 3, 1, 0], "not_listed": 0.0}),
    ("a confusion of its own", BRINEWAGON, SEEN, {"confusion": {"crest": [[0.7, 0.2], [0.4, 0.6]]}, "accuracy": 0.9}),
    ("every trait seen", BRINEWAGON, [*SEEN, *REST], {}),
    ("no variants", table_of([], [2, 3]), [{"trait": "t0", "seen": "s1"}], {}),
    ("one variant", table_of([[0, -1]], [2, 3]), [{"trait": "t0", "seen": "s1"}], {}),
    ("two alike", table_of([[0, 1], [0, 1], [1, 0]], [2, 2]), [{"trait": "t0", "seen": "s0"}], {"enough_bits": 0.3}),
]  # fmt: skip


def random_case(seed: int) -> tuple[str, Table, list[dict[str, Any]], dict[str, Any]]:
    rng = np.random.default_rng(seed)
    states = int(rng.integers(2, 5))
    table = random_table(seed, int(rng.integers(2, 12)), int(rng.integers(3, 9)), states)
    kinds = [
        {"seen": "s0"},
        {"seen": "s1"},
        {"none_of_these": True},
        {"not_visible": True},
        {"not_sure": ["s0", "s1"]},
    ]
    seen = [
        {"trait": trait.key, **kinds[int(rng.integers(len(kinds)))]}
        for trait in table.traits
        if rng.random() < 0.5
    ]
    options = {
        "prior": rng.integers(1, 20, len(table.variants)).tolist(),
        "not_listed": round(float(rng.random()) / 2, 3),
        "accuracy": round(0.6 + float(rng.random()) / 3, 3),
        "novelty": 0.1,
        "keep": 4,
    }
    return f"random {seed}", table, seen, options


def answer(table: Table, observations: list[dict[str, Any]], options: dict[str, Any]) -> dict[str, Any]:
    expected = Expectations(table, **{k: v for k, v in options.items() if k in OF_THE_TABLE})
    asking = {k: v for k, v in options.items() if k not in OF_THE_TABLE}
    at_hand = frozenset(map(Need, asking.pop("at_hand", EVERYTHING)))
    seen = [observation_of(plain) for plain in observations]
    return answer_as_plain(identify(expected, seen, at_hand=at_hand, **asking))


def vectors() -> list[dict[str, Any]]:
    return [
        {
            "what": what,
            "table": table_as_plain(table),
            "observations": observations,
            "options": options,
            "answer": answer(table, observations, options),
        }
        for what, table, observations, options in [*CASES, *map(random_case, range(30))]
    ]


def written() -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(PATH.read_text(encoding="utf-8"))
    return found


def assert_same(answer: Any, expected: Any, where: str = "") -> None:
    """Alike in every word and whole number, and in every other number to nine digits."""
    if isinstance(expected, dict):
        assert isinstance(answer, dict), where
        assert answer.keys() == expected.keys(), where
        for key in expected:
            assert_same(answer[key], expected[key], f"{where}.{key}")
    elif isinstance(expected, list):
        assert isinstance(answer, list), where
        assert len(answer) == len(expected), where
        for number, (one, two) in enumerate(zip(answer, expected, strict=True)):
            assert_same(one, two, f"{where}[{number}]")
    elif isinstance(expected, float):
        assert abs(answer - expected) <= 1e-9 * max(1, abs(expected)), f"{where}: {answer} is not {expected}"
    else:
        assert answer == expected, f"{where}: {answer} is not {expected}"


if __name__ == "__main__":
    lines = ",\n".join(json.dumps(vector) for vector in vectors())
    PATH.write_text(f"[\n{lines}\n]\n", encoding="utf-8")
