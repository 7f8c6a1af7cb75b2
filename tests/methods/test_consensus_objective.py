"""The objective written out a second time, claim by claim and rate by rate: a fit must be a summit of it."""

from math import exp, fsum, log

import numpy as np
import pytest

from registry.methods.consensus import Start, fit
from tests.methods.simulated_votes import columns

VOTES = (  # claim, reviewer, kind, confirms; all in hand
    (0, 0, 0, 1), (0, 1, 0, 1), (0, 2, 0, 1), (1, 0, 0, 1), (1, 1, 0, 0), (1, 2, 0, 0), (2, 0, 3, 1), (2, 1, 3, 1),
    (2, 2, 3, 0), (3, 0, 3, 0), (3, 1, 3, 0), (3, 2, 3, 1), (4, 0, 0, 1), (4, 2, 0, 1), (5, 1, 3, 1), (5, 2, 3, 0),
)  # fmt: skip
KNOWN = (-1, -1, -1, -1, -1, 0)
START = Start(tolerance=1e-11, most_rounds=20_000, known_weight=4.0)
SEATS = [(reviewer, kind) for reviewer in range(3) for kind in (0, 3)]


def written_out(point: dict) -> float:
    """Penalised log-likelihood. A kind without votes sits at the population, where leaning costs nothing."""

    def leaning(strength: float, above: float, below: float) -> float:
        return -strength * (above * log(above / below) + (1 - above) * log((1 - above) / (1 - below)))

    parts = [leaning(START.prior_strength, START.prior, point["prior"])]
    for coin, of_policy in (("sens", START.sensitivity_in_hand), ("spec", START.specificity_in_hand)):
        everybody = point[coin]
        parts.append(leaning(START.population_to_policy, of_policy, everybody))
        parts += [leaning(START.kind_to_population, everybody, point[coin, "kind", kind]) for kind in (0, 3)]
        for reviewer in range(3):
            parts.append(leaning(START.reviewer_to_population, everybody, point[coin, reviewer]))
        for reviewer, kind in SEATS:
            cell = point[coin, reviewer, kind]
            parts.append(leaning(START.cell_to_reviewer, point[coin, reviewer], cell))
            parts.append(leaning(START.cell_to_kind, point[coin, "kind", kind], cell))
    for claim, known in enumerate(KNOWN):
        logs = {0: 0.0, 1: 0.0}
        for on, reviewer, kind, confirms in VOTES:
            if on == claim:
                sens, spec = point["sens", reviewer, kind], point["spec", reviewer, kind]
                logs[1] += log(sens if confirms else 1 - sens)
                logs[0] += log(1 - spec if confirms else spec)
        if known >= 0:
            parts.append(START.known_weight * logs[known])
        else:
            parts.append(log(point["prior"] * exp(logs[1]) + (1 - point["prior"]) * exp(logs[0])))
    return fsum(parts)


@pytest.fixture(scope="module")
def found():
    claim, reviewer, kind, confirms = zip(*VOTES, strict=True)
    return fit(columns(6, 3, claim, reviewer, confirms, kind=kind, known=KNOWN), START)


@pytest.fixture(scope="module")
def summit(found):
    point = {"prior": found.prior}
    for column, coin in enumerate(("sens", "spec")):
        point[coin] = found.population[-1, 1, column]
        point |= {(coin, "kind", kind): found.population[kind, 1, column] for kind in (0, 3)}
        point |= {(coin, reviewer): found.rates(reviewer, -1, True)[column] for reviewer in range(3)}
        point |= {(coin, *seat): found.rates(*seat, True)[column] for seat in SEATS}
    return point


def test_the_objective_is_what_it_says_it_is(found, summit):
    assert found.converged
    assert found.objective[-1] == pytest.approx(written_out(summit), abs=1e-9)


def test_a_fit_is_a_summit_in_every_direction(summit):
    assert len(summit) == 1 + 2 * (1 + 2 + 3 + 6)
    top = written_out(summit)
    for name, value in summit.items():
        step = 1e-4
        ahead, behind = (written_out({**summit, name: value + way}) for way in (step, -step))
        assert abs(ahead - behind) / (2 * step) < 1e-4, name
        assert max(ahead, behind) < top, name


def test_posteriors_are_bayes_rule_at_the_fitted_rates(found, summit):
    for claim, known in enumerate(KNOWN):
        odds = found.prior / (1 - found.prior)
        for on, reviewer, kind, confirms in VOTES:
            if on == claim:
                sens, spec = summit["sens", reviewer, kind], summit["spec", reviewer, kind]
                odds *= sens / (1 - spec) if confirms else (1 - sens) / spec
        expected = odds / (1 + odds) if known < 0 else known
        assert found.posterior[claim] == pytest.approx(expected, abs=1e-9)
    assert np.all((found.posterior[:5] > 0) & (found.posterior[:5] < 1))
