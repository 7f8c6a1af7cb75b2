"""The fewest traits that tell variants apart: against brute force, an outside solver and known optima."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from scipy.optimize import Bounds, LinearConstraint, milp

from registry.methods.checks import Pair, minimal
from registry.methods.checks.wording import pair_words
from registry.methods.identify import Table, Trait
from tests.methods.small_tables import BRINEWAGON, Zoo, random_table, table_of, tables


def tells(table: Table, trait: int, a: int, b: int) -> bool:
    one, two = int(table.cells[a, trait]), int(table.cells[b, trait])
    return one >= 0 and two >= 0 and one != two


def separates(table: Table, traits, pairs) -> set[tuple[int, int]]:
    return {(a, b) for a, b in pairs if any(tells(table, t, a, b) for t in traits)}


def brute_force(table: Table, pairs, weights=None) -> float:
    """The least weight of all sets of traits that separate what all of them separate."""
    traits = range(len(table.traits))
    wanted = separates(table, traits, pairs)
    weigh = (lambda chosen: sum(weights[t] for t in chosen)) if weights else len
    return min(
        weigh(chosen)
        for size in range(len(table.traits) + 1)
        for chosen in combinations(traits, size)
        if separates(table, chosen, pairs) == wanted
    )


@pytest.mark.parametrize("block", range(10))
def test_the_smallest_set_is_that_of_brute_force_on_five_hundred_tables(block):
    for seed in range(block * 50, block * 50 + 50):
        rng = np.random.default_rng(seed)
        table = random_table(seed, int(rng.integers(1, 7)), int(rng.integers(1, 7)), int(rng.integers(1, 4)))
        pairs = list(combinations(range(len(table.variants)), 2))
        answer = minimal(table)
        chosen = [table.position(key) for key in answer.traits]
        assert answer.is_smallest
        assert answer.effort == answer.bound == len(chosen) == brute_force(table, pairs), seed
        assert separates(table, chosen, pairs) == separates(table, range(len(table.traits)), pairs)


@given(tables(most_variants=5, most_traits=5))
def test_one_variant_is_told_from_all_others_with_the_least_effort(table):
    weights = [1.5 + n * 0.5 for n in range(len(table.traits))]
    pairs = [(0, other) for other in range(1, len(table.variants))]
    answer = minimal(table, one="v0", weights=weights)
    assert answer.effort == pytest.approx(brute_force(table, pairs, weights))
    assert answer.is_smallest


def covering(lines, points: int) -> Table:
    """Told from all others by a choice of points that meets every line: set covering as a table of variants."""
    rows = [[0] * points] + [[int(point in line) for point in range(points)] for line in lines]
    return table_of(rows, [2] * points)


def affine_lines(dimension: int) -> list[set[int]]:
    """Lines of the space over three elements: three points that sum to nothing."""
    points = np.array(list(np.ndindex(*[3] * dimension)))
    return [
        {a, b, c}
        for a, b, c in combinations(range(len(points)), 3)
        if not ((points[a] + points[b] + points[c]) % 3).any()
    ]


def projective_lines(dimension: int) -> list[set[int]]:
    """Lines of the projective space over two elements, points numbered from 0: a, b and a xor b, plus one."""
    points = range(1, 2 ** (dimension + 1))
    return [{a - 1, b - 1, (a ^ b) - 1} for a, b in combinations(points, 2) if b < a ^ b]


@pytest.mark.parametrize(
    ("lines", "points", "fewest"),
    [
        # What meets every line is what a cap set leaves out: 9 - 4 (OEIS A090245: 1, 2, 4, 9, 20, from memory).
        (affine_lines(2), 9, 5),
        # The smallest set that meets every line is a hyperplane (Bose & Burton 1966, from memory): 3 and 7.
        (projective_lines(2), 7, 3),
        (projective_lines(3), 15, 7),
    ],
)
def test_known_optima_of_set_covering_are_found_and_proved(lines, points, fewest):
    answer = minimal(covering(lines, points), one="v0")
    assert (answer.effort, answer.is_smallest) == (fewest, True)


def test_a_hard_one_gives_the_best_found_and_a_bound_within_its_budget():
    """Steiner triples on 27 points need 18 (Fulkerson, Nemhauser & Trotter 1974): a classic of hard coverings."""
    answer = minimal(covering(affine_lines(3), 27), one="v0", budget=300)
    assert (answer.is_smallest, answer.nodes) == (False, 300)
    assert 9 <= answer.bound <= 18 <= answer.effort <= 20


@pytest.mark.parametrize("seed", range(40))
def test_coverings_that_mislead_the_greedy_agree_with_a_general_solver(seed):
    """Sets of two or three of fourteen points, weighted: the first guess is often not the best one."""
    rng = np.random.default_rng(seed)
    lines = [set(rng.choice(14, int(rng.integers(2, 4)), replace=False).tolist()) for _ in range(24)]
    costs = rng.integers(2, 7, 14).astype(float)
    rows = np.array([[point in line for point in range(14)] for line in lines], dtype=float)
    solved = milp(
        costs, constraints=LinearConstraint(rows, lb=1), integrality=np.ones(14), bounds=Bounds(0, 1)
    )
    answer = minimal(covering(lines, 14), one="v0", weights=costs.tolist())
    assert (answer.effort, answer.is_smallest) == (pytest.approx(solved.fun), True)


@pytest.mark.parametrize("seed", range(12))
def test_larger_tables_agree_with_a_general_solver(seed):
    """Outside check: the mixed-integer solver in scipy (HiGHS), whose model is written from the pairs alone."""
    table = random_table(seed, 14, 16, 2, unknown=0.3)
    pairs = list(combinations(range(14), 2))
    rows = np.array([[tells(table, t, a, b) for t in range(16)] for a, b in pairs], dtype=float)
    costs = np.random.default_rng(seed).integers(1, 6, 16).astype(float)
    solved = milp(
        costs,
        constraints=LinearConstraint(rows[rows.any(axis=1)], lb=1),
        integrality=np.ones(16),
        bounds=Bounds(0, 1),
    )
    answer = minimal(table, weights=costs.tolist())
    assert answer.is_smallest
    assert answer.effort == pytest.approx(solved.fun)


def test_all_animals_of_the_open_data_are_told_apart_as_far_as_they_differ():
    table, counts = Zoo().patterns()
    answer = minimal(table)
    chosen = [table.position(key) for key in answer.traits]
    assert (len(counts), answer.alike_count, answer.is_smallest) == (59, 0, True)
    assert len(np.unique(table.cells[:, chosen], axis=0)) == 59


def test_pairs_that_stay_alike_are_named_with_what_would_tell_them():
    answer = minimal(BRINEWAGON, only=[True, True, False, True])
    assert (answer.traits, answer.alike_count) == (("wheels",), 1)
    (pair,) = answer.alike
    assert (pair.first, pair.second, pair.unknown, pair.excluded) == ("first", "dated", (), ("base",))


def test_a_pair_that_stays_alike_is_put_in_words():
    titles = {"first": "Gold wheels", "dated": "Dated base"}
    told, might, same = (
        minimal(BRINEWAGON, only=[True, True, False, True]).alike[0],
        Pair("first", "dated", ("base", "length"), ()),
        Pair("first", "dated", (), ()),
    )
    assert [pair_words(BRINEWAGON, pair, titles) for pair in (told, might, same)] == [
        "Gold wheels and Dated base cannot be told apart by these checks. Base text tells them apart.",
        "Nothing known tells Gold wheels and Dated base apart. Base text and Length might, once known on both.",
        "Gold wheels and Dated base are the same in every detail known here.",
    ]


def test_an_unknown_state_never_separates_and_is_named_as_what_might():
    (pair,) = minimal(table_of([[0, 1], [0, -1]], [2, 2])).alike
    assert (pair.unknown, pair.excluded) == (("t1",), ())


def test_two_alike_in_every_trait_are_named_with_nothing_to_tell_them():
    (pair,) = minimal(table_of([[0, 1], [0, 1], [1, 1]], [2, 2])).alike
    assert (pair.first, pair.second, pair.unknown, pair.excluded) == ("v0", "v1", (), ())


def test_mostly_unknown_variants_give_a_short_list_and_the_full_count():
    answer = minimal(table_of([[-1, -1]] * 60, [2, 2]))
    assert (answer.traits, len(answer.alike), answer.alike_count) == ((), 1000, 60 * 59 // 2)


@pytest.mark.parametrize("rows", [[], [[0, 1]]])
def test_none_or_one_variant_needs_no_check(rows):
    answer = minimal(table_of(rows, [2, 2]))
    assert (answer.traits, answer.effort, answer.is_smallest, answer.alike) == ((), 0, True, ())


def test_five_hundred_traits_are_no_hindrance():
    rows = [[int(n == t) for t in range(500)] for n in range(6)]
    answer = minimal(table_of(rows, [2] * 500))
    assert (len(answer.traits), answer.is_smallest) == (5, True)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"only": [True]}, "only must have one entry for each of 4 traits"),
        ({"weights": [1, 1]}, "weights must have one entry for each of 4 traits"),
        ({"weights": [1, 1, 1, 0]}, "above 0"),
        ({"weights": [1, 1, 1, float("nan")]}, "above 0"),
        ({"one": "other"}, "'other' is no variant of this table"),
    ],
)
def test_settings_that_do_not_fit_are_refused(options, words):
    with pytest.raises(ValueError, match=words):
        minimal(BRINEWAGON, **options)


def test_a_trait_with_efforts_may_lose_to_two_cheap_ones():
    traits = (Trait("dear", tuple("abcd")), Trait("left", tuple("ab")), Trait("right", tuple("ab")))
    table = Table(tuple("wxyz"), traits, np.array([[0, 0, 0], [1, 0, 1], [2, 1, 0], [3, 1, 1]]))
    assert minimal(table).traits == ("dear",)
    assert minimal(table, weights=[5, 1, 1]).traits == ("left", "right")
