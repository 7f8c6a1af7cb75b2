"""The model against Dawid and Skene's own table, and against their EM where the two are the same model."""

import numpy as np
import pytest

from registry.methods.consensus import Fit, Start, fit
from tests.methods.dawid_skene import OBSERVERS, RESPONSES, em
from tests.methods.simulated_votes import columns

NO_LEANING = Start(
    cell_to_reviewer=0, cell_to_kind=0, prior_strength=0, tolerance=1e-11, most_rounds=5000, known_weight=1
)


def fit_of(confirms: np.ndarray) -> Fit:
    """One claim per row, one reading per column, as observers read the patients."""
    claim, column = np.indices(confirms.shape).reshape(2, -1)
    return fit(columns(len(confirms), 5, claim, OBSERVERS[column], confirms.ravel()), NO_LEANING)


def test_the_reference_em_gives_what_dawid_and_skene_printed():
    """Marginals .40 .42 .11 .07 and the rate .89/.11 of observer 1 as recalled from their Tables 2 to 4."""
    _, marginals, rates, likelihood = em(RESPONSES, 4)
    assert marginals == pytest.approx([0.40, 0.42, 0.11, 0.07], abs=0.005)
    assert rates[0, 0] == pytest.approx([0.89, 0.11, 0, 0], abs=0.02)
    # Computed twice outside this project: an EM of its own, and crowd-kit 1.4.2 for marginals and classes.
    assert marginals == pytest.approx([0.3996, 0.4220, 0.1118, 0.0667], abs=1e-4)
    assert likelihood == pytest.approx(-192.8909, abs=1e-3)


def test_the_reference_em_settles_every_patient_as_known():
    """Classes from the same two outside computations; patients 2, 12 and 36 go against the majority."""
    classes = "".join(str(found + 1) for found in em(RESPONSES, 4)[0].argmax(axis=1))
    assert classes == "142222132243121111222222112111131224233111212"
    most = [np.bincount(row, minlength=4).argmax() + 1 for row in RESPONSES]
    assert [p for p, (one, other) in enumerate(zip(classes, most, strict=True), 1) if int(one) != other] == [
        2,
        12,
        36,
    ]


@pytest.mark.parametrize("split", [1, 2])
def test_without_leaning_the_fit_is_the_em_of_dawid_and_skene(split):
    """Their patients with the classes in two groups: up to `split` is "confirms", above it "contradicts"."""
    confirms = RESPONSES < split
    posterior, marginals, rates, likelihood = em((~confirms).astype(int), 2)
    found = fit_of(confirms)
    assert found.converged
    assert found.posterior == pytest.approx(posterior[:, 0], abs=1e-6)
    assert found.prior == pytest.approx(marginals[0], abs=1e-6)
    assert found.objective[-1] == pytest.approx(likelihood, abs=1e-6)
    for observer in range(5):
        assert found.rates(observer, 0, True) == pytest.approx(
            (rates[observer, 0, 0], rates[observer, 1, 1]), abs=1e-6
        )


def test_without_leaning_a_thousand_random_votes_give_the_same_as_the_em():
    random = np.random.default_rng(1979)
    true = random.random(150) < 0.6
    right = random.random((150, 7)) < np.array([0.9, 0.9, 0.9, 0.7, 0.8, 0.85, 0.65])
    confirms = right == true[:, None]
    posterior, *_ = em((~confirms).astype(int), 2, rounds=2000)
    assert fit_of(confirms).posterior == pytest.approx(posterior[:, 0], abs=1e-6)
