"""How many kinds were not met: published figures, and scikit-bio."""

import numpy as np
import pytest

from registry.methods.abundance import Richness, richness, richness_sentence

# Spiders by kind: Sackett et al. 2011, Ecosphere 2, art. 74, as worked by Chao et al. 2014, Ecological Monographs 84.
GIRDLED = [46, 22, 17, 15, 15, 9, 8, 6, 6, 4, 2, 2, 2, 2] + [1] * 12
LOGGED = [88, 22, 16, 15, 13, 10, 8, 8, 7, 7, 7, 5, 4, 4, 4, 3, 3, 3, 3, 2, 2, 2, 2] + [1] * 14

# The bias-corrected estimate and Good's coverage (1953) of these, as scikit-bio 0.7.4 gives them.
STORED = [
    (GIRDLED, 39.2, 0.928571),
    (LOGGED, 55.2, 0.944444),
    ([1, 1, 1, 1, 1], 15.0, 0.0),
    ([2, 2, 3], 3.0, 1.0),
    ([10, 4, 2, 1, 1, 1], 7.5, 0.842105),
    ([1, 1, 2], 3.5, 0.5),
]
# Log-normal intervals, and for the fourth, where no kind was met once, that of equally common kinds: scikit-bio 0.7.4,
# which takes z as 1.96.
INTERVALS = [
    (GIRDLED, 29.4433, 76.6027),
    (LOGGED, 42.1044, 101.8928),
    ([1, 1, 1, 1, 1], 6.9462, 56.3816),
    ([2, 2, 3], 3.0, 4.4346),
    ([10, 4, 2, 1, 1, 1], 6.1492, 21.0773),
    ([1, 1, 2], 3.0303, 11.2612),
]


@pytest.mark.parametrize(("frequencies", "estimate", "coverage"), STORED)
def test_the_estimate_and_the_coverage_of_published_data(frequencies, estimate, coverage):
    found = richness(frequencies)
    assert found.estimate == pytest.approx(estimate)
    assert found.coverage == pytest.approx(coverage, abs=5e-7)
    assert found.met == len(frequencies)
    assert found.met <= found.low <= found.estimate <= found.high


@pytest.mark.parametrize(("frequencies", "low", "high"), INTERVALS)
def test_the_interval_of_the_estimate(frequencies, low, high):
    found = richness(frequencies)
    assert (found.low, found.high) == pytest.approx((low, high), rel=1e-4)


def test_kinds_that_were_not_met_change_nothing():
    assert richness([0, 3, 1, 0, 1]) == richness([3, 1, 1])


def test_one_kind_met_once_beside_common_ones_leaves_room_for_more():
    """scikit-bio gives no width here, from 3 to 3; the interval from all-equal kinds says more."""
    found = richness([5, 3, 1])
    assert found.low == found.estimate == 3
    assert found.high > 3.5


def test_nothing_met_says_nothing():
    assert richness([]).coverage == 0
    assert richness([0, 0]).high == float("inf")
    assert richness_sentence(richness([])) == "nothing counted yet"


def simulated(shares: np.ndarray) -> list[tuple[np.ndarray, Richness]]:
    rng = np.random.default_rng(1984)
    samples = rng.multinomial(30, shares, size=500)
    return [(sample, richness(sample)) for sample in samples]


def test_of_equally_common_kinds_no_more_than_the_upper_end_says_are_there_nearly_nine_times_in_ten():
    """Short of 95 in 100, for a single kind met once leaves the estimate at those met. The lower end lies above
    the number met even where all were met, so that words go by the upper end alone.
    """
    found = [found for _, found in simulated(np.full(12, 1 / 12))]
    assert np.mean([answer.high >= 12 for answer in found]) >= 0.88
    assert np.mean([answer.estimate for answer in found]) == pytest.approx(12, abs=0.5)


def test_of_uneven_kinds_the_estimate_is_a_lower_bound_on_average():
    """As Chao 1984 derives it; the interval then falls short, which the docstring says."""
    uneven = np.array([2.0**-n for n in range(1, 13)])
    estimates = [found.estimate for _, found in simulated(uneven / uneven.sum())]
    assert 5 < np.mean(estimates) < 12


def test_the_coverage_is_that_of_the_sample_on_average():
    """Good 1953: the shares of the kinds met, added up, are 1 - f1 / n in expectation."""
    shares = np.random.default_rng(40).dirichlet(np.full(12, 1.0))
    differences = [found.coverage - shares[sample > 0].sum() for sample, found in simulated(shares)]
    assert abs(np.mean(differences)) < 0.01


def test_whether_these_are_all_in_words():
    assert richness_sentence(richness([40, 30, 20])) == "3 kinds met; probably all there are"
    assert richness_sentence(richness([10, 4, 2, 1, 1, 1])) == (
        "6 kinds met; about 2 more likely, and up to 16 more possible"
    )
    assert richness_sentence(richness([5])) == "1 kind met; probably all there are"
    assert "perhaps none more" in richness_sentence(richness([5, 3, 1]))


def test_impossible_frequencies_and_levels_are_refused():
    with pytest.raises(ValueError, match="less than no times"):
        richness([3, -1])
    with pytest.raises(ValueError, match="level"):
        richness([3], level=1)


@pytest.mark.oracle
def test_random_samples_are_judged_as_by_scikit_bio():
    from skbio.diversity.alpha import chao1, chao1_ci, goods_coverage

    rng = np.random.default_rng(1953)
    for _ in range(100):
        sample = rng.multinomial(int(rng.integers(5, 80)), rng.dirichlet(np.full(15, 0.7)))
        found = richness(sample)
        assert found.estimate == pytest.approx(chao1(sample))
        assert found.coverage == pytest.approx(goods_coverage(sample))
        if list(sample).count(1) != 1:  # see above: scikit-bio gives no width there
            assert (found.low, found.high) == pytest.approx(tuple(chao1_ci(sample)), rel=1e-3)
