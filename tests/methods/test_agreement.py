"""Krippendorff's alpha against published worked examples, and what follows from it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.methods.agreement import Agreement, Table, agreement, hard_to_judge, most_confused

# K. Krippendorff 2011, Computing Krippendorff's Alpha-Reliability, sections B to D: four observers, twelve units,
# missing values. Also the "C" data of his Content Analysis (1980).
OBSERVERS = ("123321412...", "1233224125..", ".33323422513", "12332441251.")

# J. L. Fleiss 1971, Psychological Bulletin 76(5), 378-382, Table 1: thirty patients, six psychiatrists, five
# diagnoses; how often each was given.
FLEISS = (
    "00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031 "
    "00501 30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006"
)
# The widely reprinted example of 10 subjects, 14 raters and 5 categories (kappa 0.210), as in teaching texts.
TEACHING = (
    "0,0,0,0,14 0,2,6,4,2 0,0,3,5,6 0,3,9,2,0 2,2,8,1,1 7,7,0,0,0 3,2,6,3,0 2,5,3,2,2 6,5,2,1,0 0,2,2,3,7"
)


def table_of(rows) -> Table:
    """From one string per observer, one character per unit; a full stop is a vote not cast."""
    votes = [(u, o, int(v)) for o, row in enumerate(rows) for u, v in enumerate(row) if v != "."]
    return Table.of(*np.array(votes).T)


def table_of_counts(rows: list[list[int]]) -> Table:
    votes = []
    for unit, counts in enumerate(rows):
        seen = [value for value, count in enumerate(counts) for _ in range(count)]
        votes += [(unit, observer, value) for observer, value in enumerate(seen)]
    return Table.of(*np.array(votes).T)


def fleiss_kappa(found: Agreement) -> float:
    """Where all units have as many values, alpha and Fleiss's kappa differ by the small-sample term (n - 1) / n."""
    return 1 - (1 - found.alpha) * found.values / (found.values - 1)


@pytest.mark.parametrize(
    ("metric", "published", "computed"),
    [
        ("nominal", 0.743, 0.7434),
        ("ordinal", 0.815, 0.8154),
        ("interval", 0.849, 0.8491),
        ("ratio", 0.797, 0.7974),
    ],
)
def test_krippendorffs_own_example_comes_out_in_all_four_metrics(metric, published, computed):
    """`computed`: by the krippendorff package 0.9.0."""
    found = agreement(table_of(OBSERVERS), metric=metric)
    assert found.alpha == pytest.approx(published, abs=5e-4)
    assert found.alpha == pytest.approx(computed, abs=5e-5)


def test_a_unit_with_one_value_does_not_count():
    """Krippendorff: 40 pairable values in 11 units; unit 12 has one only. Totals 9, 13, 10, 5, 3."""
    table = table_of(OBSERVERS)
    found = agreement(table)
    assert (found.units, found.values) == (11, 40)
    assert table.counts.sum(axis=0).tolist() == [9, 13, 10, 5, 3]


def test_fleisss_own_table_gives_his_kappa():
    """Printed 0.430; 0.430245 by statsmodels 0.15.0."""
    found = agreement(table_of_counts([[int(count) for count in row] for row in FLEISS.split()]))
    assert found.values == 180
    assert fleiss_kappa(found) == pytest.approx(0.430245, abs=1e-6)


def test_the_teaching_example_gives_its_kappa():
    """Printed 0.210; 0.209931 by statsmodels 0.15.0."""
    found = agreement(table_of_counts([[int(n) for n in row.split(",")] for row in TEACHING.split()]))
    assert fleiss_kappa(found) == pytest.approx(0.209931, abs=1e-6)


def test_all_of_one_mind_is_one_and_every_pair_apart_is_below_nothing():
    assert agreement(table_of(["1212", "1212"])).alpha == 1
    assert agreement(table_of(["1212", "2121"])).alpha < 0


@pytest.mark.parametrize("rows", [["1111", "1111"], ["12..", "..12"], [".", "."]])
def test_without_variation_or_pairs_there_is_no_alpha(rows):
    votes = [(u, o, int(v)) for o, row in enumerate(rows) for u, v in enumerate(row) if v != "."]
    found = agreement(
        Table.of(*np.array(votes, dtype=int).reshape(-1, 3).T), resamples=50, random=np.random.default_rng(1)
    )
    assert np.isnan([found.alpha, found.low, found.high]).all()
    assert not hard_to_judge(found)
    assert not hard_to_judge(found, by="high")


def test_words_will_do_for_values():
    table = Table.of(
        np.array([1, 1, 2, 2]), np.array([1, 2, 1, 2]), np.array(["gold", "gold", "gold", "white"])
    )
    assert agreement(table).alpha == pytest.approx(0)
    assert most_confused(table) == [("gold", "white", 1.0)]


def test_the_interval_holds_alpha_and_is_the_same_for_the_same_seed():
    table = table_of(OBSERVERS)
    one, other = (agreement(table, resamples=2000, random=np.random.default_rng(7)) for _ in range(2))
    assert one == other
    assert one.low < one.alpha < one.high <= 1
    narrow = agreement(table, resamples=2000, chance=0.5, random=np.random.default_rng(7))
    assert one.low < narrow.low < narrow.high < one.high


def test_the_interval_holds_the_long_run_alpha_about_as_often_as_it_says():
    """200 samples of 60 units from observers whose alpha in the long run is known: nominal 95 in 100."""
    random = np.random.default_rng(95)
    agreeing = 0.7  # of votes repeat the unit's own value, the others are drawn at random from two
    inside = 0
    for _ in range(200):
        own = random.integers(0, 2, (60, 1))
        votes = np.where(random.random((60, 4)) < agreeing, own, random.integers(0, 2, (60, 4)))
        unit, observer = np.indices(votes.shape).reshape(2, -1)
        found = agreement(Table.of(unit, observer, votes.ravel()), resamples=400, random=random)
        inside += found.low < agreeing**2 < found.high  # two votes agree beyond chance when both repeat
    assert 180 <= inside <= 199


def test_resampling_gives_the_same_alphas_as_counting_each_drawn_table_again():
    table = table_of(OBSERVERS)
    found = agreement(table, resamples=300, random=np.random.default_rng(3))
    drawn = np.random.default_rng(3).multinomial(11, np.full(11, 1 / 11), size=300)
    alphas = [agreement(Table(np.repeat(table.counts, times, axis=0), table.values)).alpha for times in drawn]
    assert [found.low, found.high] == pytest.approx(np.nanquantile(alphas, [0.025, 0.975]))


@given(
    st.dictionaries(
        st.tuples(st.integers(0, 7), st.integers(0, 4)), st.sampled_from("abc"), min_size=2, max_size=25
    )
)
def test_alpha_is_one_less_observed_over_expected_disagreement_of_all_pairs(votes):
    """The definition, pair by pair."""
    units = [[v for (u, _), v in votes.items() if u == unit] for unit in range(8)]
    units = [values for values in units if len(values) > 1]
    everything = [value for values in units for value in values]
    observed = sum(
        (one != other) / (len(values) - 1)
        for values in units
        for i, one in enumerate(values)
        for j, other in enumerate(values)
        if i != j
    )
    expected = sum(one != other for one in everything for other in everything)
    keys = np.array(list(votes), dtype=int).reshape(-1, 2)
    found = agreement(Table.of(keys[:, 0], keys[:, 1], np.array(list(votes.values()))))
    if expected:
        assert found.alpha == pytest.approx(1 - (len(everything) - 1) * observed / expected)
    else:
        assert np.isnan(found.alpha)


def test_a_trait_is_hard_to_judge_by_alpha_or_by_either_end():
    found = Agreement(alpha=0.7, low=0.5, high=0.8, units=20, values=60)
    assert not hard_to_judge(found)
    assert hard_to_judge(found, by="low")
    assert not hard_to_judge(found, by="high")
    assert hard_to_judge(found, by="high", limit=0.85)


def test_the_states_most_often_confused_come_first():
    table = table_of(["1111233", "1222233", "2222233"])
    # By hand: units 1 to 4 hold (1,1,2), (1,2,2), (1,2,2), (1,2,2): each has two unlike pairs, over m - 1 = 2.
    assert most_confused(table) == [(1, 2, 4.0)]
    # And here (1,2,2) has two of 1 and 2; (2,3,1) and (3,1,2) have one of each kind: 1 + 0.5 + 0.5, and 0.5 + 0.5.
    assert most_confused(table_of(["1123", "2131", "2112"]), most=2) == [(1, 2, 2.0), (1, 3, 1.0)]


def test_bad_tables_and_wishes_are_refused():
    one, two = np.array([1]), np.array([1, 2])
    with pytest.raises(ValueError, match="one row per vote"):
        Table.of(one, two, two)
    with pytest.raises(ValueError, match="two values for one unit"):
        Table.of(np.array([1, 1]), np.array([5, 5]), two)
    with pytest.raises(ValueError, match="generator"):
        agreement(table_of(OBSERVERS), resamples=10)
    with pytest.raises(ValueError, match="chance"):
        agreement(table_of(OBSERVERS), chance=1.0)
