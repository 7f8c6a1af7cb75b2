"""Dawid and Skene's EM for any number of classes, written as the paper writes it: what ours is compared with.

The 45 patients of Table 1 in A. P. Dawid and A. M. Skene 1979, Applied Statistics 28(1), 20-28: seven readings of
each, three by observer 1 and one each by observers 2 to 5. Two public transcriptions differ in one reading of
patient 7 (here 1, 2, 2), so nothing that hangs on it is asserted closely.
"""

import numpy as np

_READINGS = (
    "1111111 3334334 1122122 2223121 2223222 2223322 1222111 3333433 2222223 "
    "2322223 4444444 2223343 1111111 2223212 1211111 1112111 1111111 1111111 "
    "2222221 2221322 2222222 2222221 2223222 2212222 1111111 1111111 2322222 "
    "1111111 1111111 1121121 1111111 3333233 1111111 2222222 2223232 4334343 "
    "2212232 2323233 3333432 1111111 1111111 1212111 2322222 1211111 2222222"
)
RESPONSES = np.array([[int(reading) for reading in patient] for patient in _READINGS.split()]) - 1
OBSERVERS = np.array([0, 0, 0, 1, 2, 3, 4])


def em(
    responses: np.ndarray, classes: int, rounds: int = 400
) -> tuple[np.ndarray, np.ndarray, np.ndarray, float]:
    """From each item's shares of readings: posteriors, class marginals, error rates, log-likelihood."""
    seen = np.zeros((len(responses), OBSERVERS.max() + 1, classes))
    for column, observer in enumerate(OBSERVERS):
        seen[np.arange(len(responses)), observer, responses[:, column]] += 1
    posterior = seen.sum(axis=1) / seen.sum(axis=(1, 2))[:, None]
    for _ in range(rounds):
        marginals = posterior.mean(axis=0)
        rates = np.einsum("ij,ikl->kjl", posterior, seen)
        rates /= rates.sum(axis=2, keepdims=True)
        logs = np.log(rates, out=np.full_like(rates, -1e300), where=rates > 0)
        joint = np.log(marginals) + np.einsum("ikl,kjl->ij", seen, logs)
        top = joint.max(axis=1, keepdims=True)
        likelihood = np.exp(joint - top)
        posterior = likelihood / likelihood.sum(axis=1, keepdims=True)
    return posterior, marginals, rates, float((np.log(likelihood.sum(axis=1)) + top[:, 0]).sum())
