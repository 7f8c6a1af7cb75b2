"""One claim by rates that are fixed: what its votes say now, and what one more vote makes of it."""

from collections.abc import Sequence
from math import fsum

from registry.methods.policy import Rates
from registry.methods.standing.tally import log_odds, probability, weight


def posterior(
    confirms: Sequence[bool], sensitivity: Sequence[float], specificity: Sequence[float], prior: float
) -> float:
    """Probability that a claim is true, given its votes.

    Shapes: one entry per vote in each sequence; none leaves the prior.
    Units:  probabilities, all above 0 and below 1.
    Errors: ValueError where lengths differ, or a rate or the prior is not between 0 and 1.
    Source: Bayes' rule for independent votes (Dawid and Skene 1979 with known rates), exactly as standing counts.

    >>> round(posterior([True, True], [0.85, 0.85], [0.85, 0.85], 0.5), 4)
    0.9698
    """
    weights = [
        weight(bool(vote), Rates(float(sens), float(spec)))
        for vote, sens, spec in zip(confirms, sensitivity, specificity, strict=True)
    ]
    return probability(fsum([_log_odds(prior), *weights]))


def updated(
    before: float, *, confirms: bool, sensitivity: float, specificity: float, instead: bool | None = None
) -> float:
    """The posterior after one new vote, from the posterior before it: exact while the rates stay as they are.

    `instead`: what the same reviewer had said before on the same basis; that vote no longer counts.
    Errors: ValueError where a probability is not between 0 and 1. A posterior that was rounded to 0 or 1 (some forty
            votes of one mind) has lost how firm it was: count such a claim anew with `posterior`.

    >>> round(updated(0.5, confirms=True, sensitivity=0.85, specificity=0.85), 4)
    0.85
    """
    rates = Rates(sensitivity, specificity)
    parts = [_log_odds(before), weight(confirms, rates)]
    if instead is not None:
        parts.append(-weight(instead, rates))
    return probability(fsum(parts))


def _log_odds(probability: float) -> float:
    if not 0 < probability < 1:
        raise ValueError(f"a probability to start from must lie between 0 and 1, got {probability}")
    return log_odds(probability)
