"""Shares from full counts: what counts, what does not, and that the intervals hold."""

import numpy as np
import pytest

from registry.methods.abundance import Count, Line, abundance, abundance_by, clopper_pearson, weight
from tests.methods.random_cases import VARIANTS, all_held, case_of, random_cases


def share_of(answer, variant):
    return next(share for share in answer.shares if share.variant == variant)


def words_for(answer, variant):
    return answer.words(share_of(answer, variant))


FOUR = [0.5, 0.3, 0.15, 0.05]
SIMULATED = [
    ("independent items", FOUR, [15] * 10, 0),
    ("a little alike", FOUR, [15] * 10, 0.05),
    ("much alike", FOUR, [15] * 10, 0.3),
    ("every case of one variant", FOUR, [15] * 10, 1),
    ("two scarce ones, independent", [0.95, 0.04, 0.01], [16] * 9, 0),
    ("two scarce ones by whole cases", [0.95, 0.04, 0.01], [16] * 9, 1),
    ("unequal cases, alike", FOUR, [4, 8, 72, 12, 12, 36, 5, 9], 0.1),
    ("three cases", FOUR, [24] * 3, 0.1),
    ("one case", FOUR, [24], 0.1),
    ("two variants", [0.9, 0.1], [12] * 12, 0.1),
    ("eight variants", [0.3, 0.2, 0.15, 0.12, 0.1, 0.07, 0.04, 0.02], [12] * 12, 0.1),
]


@pytest.mark.parametrize(
    ("shares", "sizes", "alike"), [row[1:] for row in SIMULATED], ids=[r[0] for r in SIMULATED]
)
def test_all_intervals_hold_at_once_in_94_of_100_simulations(shares, sizes, alike):
    rng = np.random.default_rng(17)
    variants = VARIANTS[: len(shares)]
    held = [
        all_held(abundance(random_cases(rng, shares, sizes, alike), variants), shares) for _ in range(400)
    ]
    assert np.mean(held) >= 0.94


def test_without_scatter_many_cases_come_close_to_independent_examples():
    cases = [case_of(str(n), [10, 5, 1]) for n in range(200)]
    answer = abundance(cases, "abc")
    assert answer.effective > 0.95 * 3200
    exact = clopper_pearson(200, 3200, 1 - 0.05 / 3)
    assert (share_of(answer, "c").low, share_of(answer, "c").high) == pytest.approx(exact, abs=0.001)


def test_cases_of_one_variant_each_count_as_so_many_cases():
    answer = abundance([case_of(str(n), [20, 0] if n % 2 else [0, 20]) for n in range(12)], "ab")
    assert answer.effective == pytest.approx(12)
    ends = (share_of(answer, "a").low, share_of(answer, "a").high)
    assert ends == pytest.approx(clopper_pearson(6, 12), abs=1e-9)


def test_one_case_counts_as_one_however_large():
    small, large = (abundance([case_of("1", [n, n])], "ab") for n in (3, 300))
    assert small.effective == large.effective == 1
    assert share_of(large, "a").high - share_of(large, "a").low > 0.95


def test_more_cases_compared_in_one_count_say_more():
    one, nine = (Count("1", "case", (Line(90, ("a",)), Line(50, ("b",))), full=True, cases=n) for n in (1, 9))
    assert abundance([nine], "ab").effective == pytest.approx(9)
    assert abundance([one], "ab").effective == 1
    assert abundance([nine], "ab").units == {"case": 9}


def test_shares_add_up_to_one_with_those_none_of_the_known():
    counts = [*random_cases(np.random.default_rng(3), FOUR, [12] * 6, 0.1)]
    counts.append(Count("new", "case", (Line(2),), full=True))
    answer = abundance(counts, "abcd")
    assert answer.shares[-1].variant == ""
    assert sum(share.estimate for share in answer.shares) == pytest.approx(1)
    assert answer.unmet_by_clusters.met == 5


def test_an_untouched_case_outweighs_a_picked_over_peg():
    case = Count("1", "case", (Line(10, ("a",)), Line(10, ("b",))), full=True)
    peg = Count("2", "peg", (Line(20, ("b",)),), full=True, picked_over="yes")
    assert (weight(case), weight(peg)) == (1.0, 0.25)
    assert share_of(abundance([case, peg], "ab"), "a").estimate == pytest.approx(10 / (20 + 20 / 4))
    fresh = Count("3", "peg", (Line(20, ("b",)),), full=True, picked_over="no")
    assert share_of(abundance([case, fresh], "ab"), "a").estimate == pytest.approx(10 / 40)


@pytest.mark.parametrize(
    ("scope", "picked_over", "expected"),
    [
        ("peg", "unknown", 0.5),
        ("collection", "no", 0.25),
        ("sealed_pack", "unknown", 1.0),
        ("case", "yes", 0.25),
    ],
)
def test_weights_follow_how_much_hunters_may_have_taken(scope, picked_over, expected):
    assert weight(Count("1", scope, (), picked_over=picked_over)) == expected


def test_one_of_these_is_shared_out_as_the_rest_of_the_counts_say():
    """By hand: with 8 a, 2 b and 10 either, a is 8 / 10 of what was told, and shares out the ten alike."""
    lines = (Line(8, ("a",)), Line(2, ("b",)), Line(10, ("a", "b")))
    answer = abundance([Count("1", "case", lines, full=True)], "ab")
    assert share_of(answer, "a").estimate == pytest.approx(0.8)
    assert (answer.examples, share_of(answer, "a").examples) == (20, 8)


def test_overlapping_candidates_are_shared_out_at_the_highest_likelihood():
    """Outside check: scipy maximises the likelihood by a general method."""
    from scipy.optimize import minimize

    lines = [Line(8, ("a",)), Line(3, ("b",)), Line(2, ("c",)), Line(9, ("a", "b")), Line(4, ("b", "c"))]

    def loss(free):
        share = dict(zip("abc", np.exp(free) / np.exp(free).sum(), strict=True))
        return -sum(line.n * np.log(sum(share[v] for v in line.variants)) for line in lines)

    best = np.exp(minimize(loss, np.zeros(3), tol=1e-12).x)
    answer = abundance([Count("1", "case", tuple(lines), full=True)], "abc")
    assert [share.estimate for share in answer.shares] == pytest.approx(best / best.sum(), abs=1e-5)


def test_what_nothing_tells_apart_is_left_open():
    answer = abundance([Count("1", "case", (Line(50, ("a", "b")),), full=True)], "ab")
    for share in answer.shares:
        assert (share.estimate, share.low, share.high) == (0.5, 0.0, 1.0)


def test_finds_give_no_estimate():
    counts = [
        *random_cases(np.random.default_rng(3), FOUR, [12] * 6, 0.1),
        Count("f", "item", (Line(1, ("e",)),)),
        Count("g", "peg", (Line(2, ("e",)),)),
    ]
    answer = abundance(counts, "abcdef")
    assert share_of(answer, "e").status == "only_finds"
    assert share_of(answer, "e").estimate is None
    assert words_for(answer, "e") == "no estimate, only finds (3)"
    assert words_for(answer, "f") == "no estimate, not counted yet"
    assert answer.examples == 72


def test_could_not_tell_is_left_out_and_said():
    lines = (Line(3, ("a",)), Line(1, ("b",)))
    counts = [Count("1", "peg", lines, full=True, could_not_tell=2, total=6)]
    answer = abundance(counts, "ab")
    assert share_of(answer, "a").estimate == 0.75
    assert answer.left_out_words == "2 items that could not be told apart left out"
    assert abundance([], "ab").left_out_words == ""


def test_an_example_reported_twice_counts_once():
    reports = [
        Count("1", "sealed_pack", (Line(1, ("a",)),), full=True, example="x", by="keel"),
        Count("2", "sealed_pack", (Line(1, ("a",)),), full=True, example="x", by="gale"),
        Count("3", "item", (Line(1, ("a",)),), example="x", by="gale"),
        Count("4", "sealed_pack", (Line(1, ("b",)),), full=True, example="y", by="gale"),
    ]
    answer = abundance(reports, "ab")
    assert answer.examples == 2
    assert share_of(answer, "a").finds == 0


def test_ten_thousand_identical_sightings_from_one_account_count_once():
    lines = (Line(6, ("a",)), Line(6, ("b",)))
    one = Count("0", "peg", lines, full=True, by="keel", place="north coast", day=7)
    same = [
        Count(str(n), "peg", lines, full=True, by="keel", place="north coast", day=7) for n in range(10_000)
    ]
    assert abundance(same, "ab") == abundance([one], "ab")


def test_many_different_counts_of_one_account_and_day_form_one_cluster():
    counts = [
        Count(
            str(n),
            "peg",
            (Line(n, ("a",)), Line(1, ("b",))),
            full=True,
            by="keel",
            place="north coast",
            day=7,
        )
        for n in range(1, 9)
    ]
    other = Count("x", "peg", (Line(2, ("a",)),), full=True, by="gale", place="north coast", day=7)
    assert abundance([*counts, other], "ab").clusters == 2


def test_ten_thousand_different_counts_of_one_account_and_day_say_no_more_than_one():
    counts = [
        Count(str(n), "peg", (Line(n, ("a",)),), full=True, by="keel", place="north coast", day=7)
        for n in range(1, 10_001)
    ]
    answer = abundance(counts, "ab")
    assert (answer.clusters, answer.effective, answer.units) == (1, 1, {"peg": 1})
    assert share_of(answer, "a").low < 0.05


def test_the_case_counts_of_an_assortment_are_a_prior_that_counts_outweigh():
    prior = {"a": 9, "b": 1}
    alone = abundance([], "ab", prior)
    assert [share.estimate for share in alone.shares] == [0.9, 0.1]
    cases = [case_of(str(n), [5, 5]) for n in range(60)]
    told = share_of(abundance(cases, "ab", prior), "b")
    assert 0.4 < told.estimate < 0.5
    assert told.low < 0.5 < told.high + 0.01
    assert words_for(abundance(cases, "ab", prior), "b").endswith(
        "in 60 cases and the case counts of its assortment"
    )


def test_nothing_counted_gives_no_estimate():
    answer = abundance([], "ab")
    assert [share.status for share in answer.shares] == ["not_counted"] * 2
    assert (answer.examples, answer.effective, answer.unmet_by_examples.met) == (0, 0.0, 0)


def test_shares_by_region_only_where_enough_was_counted():
    rng = np.random.default_rng(8)
    places = {str(n): "north" if n < 4 else "south" for n in range(6)}
    counts = random_cases(rng, FOUR, [12] * 6, 0.1)
    by_region = abundance_by(counts, "abcd", key=lambda count: places[count.id])
    assert list(by_region) == ["north"]
    assert by_region["north"] == abundance(counts[:4], "abcd")


def test_the_order_of_the_counts_never_matters():
    counts = random_cases(np.random.default_rng(9), FOUR, [12] * 6, 0.1)
    assert abundance(counts[::-1], "abcd") == abundance(counts, "abcd")


REFUSED = [
    ("count x: its lines add up to 5, not to 6", {"total": 6}),
    ("count x: variant z is not listed", {"lines": (Line(5, ("a", "z")),)}),
    ("count x: each line counts one at least", {"lines": (Line(0, ("a",)),)}),
    ("count x: each line counts one at least", {"could_not_tell": -1}),
    ("count x: a line names a variant twice", {"lines": (Line(5, ("a", "a")),)}),
    ("count x: 5 items cannot come from 6 cases", {"cases": 6}),
    ("count x: 5 items cannot come from 0 cases", {"cases": 0}),
    ("count x: the scope 'shop' is not known", {"scope": "shop"}),
    ("picked over is yes, no or unknown", {"picked_over": "maybe"}),
]


@pytest.mark.parametrize(("fault", "changed"), REFUSED)
def test_a_count_that_cannot_be_taken_is_named(fault, changed):
    count = Count(**({"id": "x", "scope": "peg", "lines": (Line(5, ("a",)),), "full": True} | changed))
    with pytest.raises(ValueError, match=fault):
        abundance([count], "ab")


def test_an_id_used_twice_and_an_impossible_prior_are_refused():
    count = Count("x", "peg", (Line(5, ("a",)),), full=True)
    with pytest.raises(ValueError, match="used twice"):
        abundance([count, count], "ab")
    with pytest.raises(ValueError, match="not listed"):
        abundance([], "ab", {"z": 1})
    with pytest.raises(ValueError, match="from 0 up"):
        abundance([], "ab", {"a": -1})
