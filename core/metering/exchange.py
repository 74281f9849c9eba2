"""Two readings written at each other's points: found as a pair, which one at a time cannot be.

With r = ln(measured / predicted) and d = ln(predicted_i / predicted_j), exchanging readings i and j lowers the sum of
squares by G = 2 d (r_j - r_i - d). Of all pairs the one with the largest G is tried: it is an exchange if good readings
would rarely seem as good, that is if the sum over all pairs of P(G' >= G) is at most the false alarm (union bound, with
each pair's own d: pairs that differ much cannot be mixed up by noise). With scatter s, r_j - r_i is normal with
variance 2 s^2, so P is the upper tail of t beyond (d + G / 2d) / (s sqrt 2), s being estimated from the other readings.

Two points that are predicted alike within the noise can be exchanged and nobody will see it: no test finds those.
The tail of t is taken by D. L. Wallace's transform (Annals of Mathematical Statistics 30, 1959).
"""

from __future__ import annotations

import math

import numpy as np

from core.light.grid import BoolArray, FloatArray

__all__ = ["exchanged", "t_tail"]

LEAST_LEFT = 5
"""So many other readings must be left to tell the scatter from."""
WITHIN = 3.5
"""Exchanged back, both readings must lie within this many scatters of the rest."""
LEAST_SCATTER = 1e-6
LEAST_APART = 1e-9


def exchanged(r: FloatArray, log_predicted: FloatArray, odd: BoolArray, false_alarm: float) -> tuple[int, int] | None:
    """Return the two readings that were exchanged; None where none were.

    Parameters
    ----------
    r, log_predicted : (n,)
        ln(measured / predicted) and ln(predicted).
    odd : (n,)
        Readings that are known not to fit: they may be half of a pair, but tell nothing of the scatter.
    false_alarm
        Chance of finding an exchange among good readings.
    """
    one, other = np.triu_indices(len(r), 1)
    if not len(one):
        return None
    apart = log_predicted[one] - log_predicted[other]
    gain = 2.0 * apart * (r[other] - r[one] - apart)
    best = int(gain.argmax())
    i, j = int(one[best]), int(other[best])
    rest = ~odd
    rest[[i, j]] = False
    freedom = int(rest.sum()) - 1
    if gain[best] <= 0.0 or freedom < LEAST_LEFT - 1:
        return None
    mean, scatter = float(r[rest].mean()), max(float(r[rest].std(ddof=1)), LEAST_SCATTER)
    back = np.array([r[j] - apart[best], r[i] + apart[best]]) - mean
    if np.abs(back).max() > WITHIN * scatter:
        return None
    d = np.maximum(np.abs(apart), LEAST_APART)
    chance = t_tail((d + float(gain[best]) / (2.0 * d)) / (math.sqrt(2.0) * scatter), freedom).sum()
    return (i, j) if float(chance) <= false_alarm else None


def t_tail(t: FloatArray, freedom: int) -> FloatArray:
    """Return the chance that Student's t exceeds ``t`` (n,), 0 or more.

    Examples
    --------
    >>> round(float(t_tail(np.array([2.0]), 20)[0]), 3)
    0.03
    """
    n = float(freedom)
    z = (8.0 * n + 1.0) / (8.0 * n + 3.0) * np.sqrt(n * np.log1p(np.asarray(t, float) ** 2 / n))
    return np.array([0.5 * math.erfc(value / math.sqrt(2.0)) for value in z])
