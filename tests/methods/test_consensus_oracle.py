"""The same votes in large libraries: crowd-kit's Dawid and Skene, krippendorff's alpha, statsmodels' kappa."""

import numpy as np
import pytest

from registry.methods.agreement import Table, agreement
from registry.methods.consensus import Start, fit
from tests.methods.dawid_skene import OBSERVERS, RESPONSES
from tests.methods.simulated_votes import World, columns, simulate

pytestmark = [
    pytest.mark.oracle,
    pytest.mark.filterwarnings("ignore"),  # what those libraries warn of is theirs to mend
]
NO_LEANING = Start(cell_to_reviewer=0, cell_to_kind=0, prior_strength=0, tolerance=1e-11, most_rounds=5000)


def by_crowd_kit(claim, reviewer, confirms, rounds: int = 250) -> tuple[np.ndarray, np.ndarray]:
    """Posterior per claim, and sensitivity and specificity per reviewer, after so many rounds."""
    pandas = pytest.importorskip("pandas")
    aggregation = pytest.importorskip("crowdkit.aggregation")
    votes = pandas.DataFrame({"task": claim, "worker": reviewer, "label": np.asarray(confirms).astype(int)})
    found = aggregation.DawidSkene(n_iter=rounds, tol=-np.inf).fit(votes)
    errors = found.errors_
    rates = np.stack(
        [errors.xs(1, level="label")[1].sort_index(), errors.xs(0, level="label")[0].sort_index()], axis=1
    )
    return found.probas_.sort_index()[1].to_numpy(), rates


def test_without_leaning_the_fit_is_crowd_kits_dawid_and_skene():
    _, ballots = simulate(World(claims=200, reviewers=15, kinds=1, photo_loss=0), np.random.default_rng(21))
    in_hand = np.ones(ballots.claim.size, dtype=bool)
    same = columns(200, 15, ballots.claim, ballots.reviewer, ballots.confirms, in_hand=in_hand)
    claims, rates = by_crowd_kit(ballots.claim, ballots.reviewer, ballots.confirms)
    found = fit(same, NO_LEANING)
    assert found.converged
    assert found.posterior == pytest.approx(claims, abs=1e-6)
    for reviewer in range(15):
        assert found.rates(reviewer, 0, True) == pytest.approx(rates[reviewer], abs=1e-6)


def test_crowd_kit_reads_dawid_and_skenes_patients_as_we_do_in_two_classes():
    claim, column = np.indices(RESPONSES.shape).reshape(2, -1)
    confirms = RESPONSES.ravel() < 1
    claims, _ = by_crowd_kit(claim, OBSERVERS[column], confirms)
    found = fit(columns(45, 5, claim, OBSERVERS[column], confirms), NO_LEANING)
    assert found.posterior == pytest.approx(claims, abs=1e-6)


@pytest.mark.parametrize("metric", ["nominal", "ordinal", "interval", "ratio"])
def test_alpha_is_krippendorffs_on_random_votes_with_gaps(metric):
    krippendorff = pytest.importorskip("krippendorff")
    random = np.random.default_rng(5)
    votes = np.where(random.random((6, 40)) < 0.6, random.integers(1, 6, 40), random.integers(1, 6, (6, 40)))
    cast = random.random(votes.shape) < 0.7
    observer, unit = np.nonzero(cast)
    theirs = krippendorff.alpha(np.where(cast, votes, np.nan), level_of_measurement=metric)
    assert agreement(Table.of(unit, observer, votes[cast]), metric=metric).alpha == pytest.approx(
        theirs, abs=1e-9
    )


def test_alpha_gives_statsmodels_kappa_where_all_units_have_as_many_votes():
    rater = pytest.importorskip("statsmodels.stats.inter_rater")
    votes = np.random.default_rng(6).integers(0, 4, (5, 50))
    votes[1:3] = votes[0]
    observer, unit = np.indices(votes.shape).reshape(2, -1)
    found = agreement(Table.of(unit, observer, votes.ravel()))
    kappa = rater.fleiss_kappa(rater.aggregate_raters(votes.T)[0])
    assert 1 - (1 - found.alpha) * found.values / (found.values - 1) == pytest.approx(kappa, abs=1e-12)
