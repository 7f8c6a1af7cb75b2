"""Intervals for one share against the published tables, the standard library's peers, and statsmodels."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom, binomtest

from registry.methods.abundance import absence, clopper_pearson, jeffreys, none_seen, wilson

# Newcombe 1998, Statistics in Medicine 17, 857-872, Table I, from memory; statsmodels gives the same to 4 decimals.
NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0.0, 0.1611), (0.0, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
]
# As defined by Brown, Cai and DasGupta 2001, 3.1.2; computed with scipy, not compared with their printed table.
JEFFREYS = [
    (0, 7, (0.0, 0.2924)),
    (1, 7, (0.0159, 0.5008)),
    (3, 7, (0.1389, 0.7655)),
    (1, 10, (0.0110, 0.3813)),
    (5, 10, (0.2235, 0.7765)),
    (0, 20, (0.0, 0.1166)),
    (10, 20, (0.2934, 0.7066)),
]
# The exact bound beside 3 / n; Hanley and Lippman-Hand 1983, JAMA 249, 1743-1745.
NONE_SEEN = [(10, 0.258866), (30, 0.095034), (100, 0.029513), (300, 0.009936), (1000, 0.002991)]


@pytest.mark.parametrize(("seen", "of", "score", "exact"), NEWCOMBE)
def test_wilson_and_clopper_pearson_give_the_published_table(seen, of, score, exact):
    assert wilson(seen, of) == pytest.approx(score, abs=5e-5)
    assert clopper_pearson(seen, of) == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize(("seen", "of", "ends"), JEFFREYS)
def test_jeffreys_intervals_are_quantiles_of_the_beta_distribution(seen, of, ends):
    assert jeffreys(seen, of) == pytest.approx(ends, abs=5e-5)


@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_wilson_and_clopper_pearson_are_those_of_scipy(case):
    seen, of = case
    test = binomtest(seen, of)
    assert wilson(seen, of) == pytest.approx(tuple(test.proportion_ci(0.95, "wilson")), abs=1e-9)
    assert clopper_pearson(seen, of) == pytest.approx(tuple(test.proportion_ci(0.95, "exact")), abs=1e-9)


@pytest.mark.parametrize("share", [0.003, 0.05, 0.31, 0.5, 0.97])
@pytest.mark.parametrize("of", [5, 40, 150])
def test_clopper_pearson_covers_the_truth_at_least_as_often_as_it_says(share, of):
    """Exact: the chances of all outcomes whose interval holds the share, added up."""
    held = sum(
        binom.pmf(seen, of, share)
        for seen in range(of + 1)
        if clopper_pearson(seen, of)[0] <= share <= clopper_pearson(seen, of)[1]
    )
    assert held >= 0.95


@pytest.mark.parametrize(("of", "bound"), NONE_SEEN)
def test_the_rule_of_three(of, bound):
    assert none_seen(of) == pytest.approx(bound, abs=5e-7)
    assert none_seen(of) < 3 / of < 1.16 * none_seen(of)


def test_no_difference_in_140_examples_from_9_cases_bounds_both_ways_of_mixing():
    compared = absence(140, 9)
    assert compared.share == none_seen(140)
    assert compared.cases_share == none_seen(9)
    assert compared.share < compared.cases_share


def test_nothing_looked_at_says_nothing():
    assert wilson(0, 0) == clopper_pearson(0, 0) == (0.0, 1.0)
    assert none_seen(0) == 1.0


@pytest.mark.parametrize("interval", [wilson, clopper_pearson, jeffreys])
@pytest.mark.parametrize(
    ("seen", "of", "level"), [(-1, 5, 0.95), (6, 5, 0.95), (1, 5, 0.0), (1, 5, 1.0), (0, -1, 0.9)]
)
def test_impossible_counts_and_levels_are_refused(interval, seen, of, level):
    with pytest.raises(ValueError, match="must lie between"):
        interval(seen, of, level)


@pytest.mark.parametrize(("examples", "cases"), [(3, 0), (3, 4), (0, 0)])
def test_more_cases_than_examples_or_no_case_is_refused(examples, cases):
    with pytest.raises(ValueError, match="at least one case"):
        absence(examples, cases)


@pytest.mark.oracle
def test_all_three_are_those_of_statsmodels():
    from statsmodels.stats.proportion import proportion_confint

    ours = {"wilson": wilson, "beta": clopper_pearson, "jeffreys": jeffreys}
    for of in (1, 7, 20, 148, 263):
        for seen in {1, of // 3 + 1, of - 1} & set(range(1, of)):
            for name, interval in ours.items():
                theirs = proportion_confint(seen, of, method=name)
                assert interval(seen, of) == pytest.approx(theirs, abs=1e-9)
