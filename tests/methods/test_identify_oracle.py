"""Identify against scikit-learn's CategoricalNB, where the two models coincide.

They do with one variant per class, every state known, flat priors, nothing unlisted, and the confusion that
additive smoothing by `alpha` stands for: one example of a state among S gives (1 + alpha) / (1 + alpha S).
"""

import numpy as np
import pytest

from registry.methods.identify import Expectations, Seen, identify
from tests.methods.small_tables import random_table

ALPHA, VARIANTS, TRAITS, STATES = 0.3, 6, 5, 3
ASKED = [0, 2, 1, 1, 0]

# predict_proba of scikit-learn 1.9.1 for the table and answers above; the test marked `oracle` computes it anew.
FROM_SKLEARN = [
    0.116766467066,
    0.505988023952,
    0.116766467066,
    0.116766467066,
    0.026946107784,
    0.116766467066,
]


def coinciding() -> Expectations:
    table = random_table(11, VARIANTS, TRAITS, STATES, unknown=0)
    smoothed = (np.eye(STATES) + ALPHA) / (1 + ALPHA * STATES)
    return Expectations(table, not_listed=0, confusion={t.key: smoothed for t in table.traits})


def posterior() -> np.ndarray:
    return identify(coinciding(), [Seen(f"t{n}", f"s{state}") for n, state in enumerate(ASKED)]).posterior


def test_the_posterior_equals_the_stored_one():
    assert posterior() == pytest.approx(FROM_SKLEARN, abs=1e-9)


@pytest.mark.oracle
def test_the_posterior_and_the_ranking_equal_scikit_learns():
    naive_bayes = pytest.importorskip("sklearn.naive_bayes")
    expected = coinciding()
    model = naive_bayes.CategoricalNB(alpha=ALPHA, min_categories=STATES, fit_prior=False)
    model.fit(expected.table.cells.astype(int), np.arange(VARIANTS))
    assert model.predict_proba([ASKED])[0] == pytest.approx(FROM_SKLEARN, abs=1e-9)
    rng = np.random.default_rng(0)
    for asked in rng.integers(0, STATES, (200, TRAITS)):
        answer = identify(expected, [Seen(f"t{n}", f"s{state}") for n, state in enumerate(asked)])
        theirs = model.predict_proba([asked])[0]
        assert answer.posterior == pytest.approx(theirs, abs=1e-9)
        ranked = np.argsort(-np.round(theirs, 9), kind="stable")
        assert [c.variant for c in answer.candidates] == [f"v{row}" for row in ranked]
