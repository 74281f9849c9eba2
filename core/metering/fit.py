"""One factor between measured and predicted light, its interval, and readings that do not fit.

Readings scatter in proportion, so everything is done with r = ln(measured / predicted), taken as normal about one mean.
The factor is exp(mean r); its interval is Student's t (the scatter is estimated from the same readings). Readings that
do not fit are found one by one by the generalised extreme Studentized deviate test (B. Rosner, Technometrics 25, 1983),
which two wrong readings cannot hide from, and as exchanged pairs (`core.metering.exchange`). The chance of a false
alarm among good readings is 5 % in all, half of it for each test.

The factor holds the meter's own bias and the light loss of the lamps together: they cannot be told apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray
from core.metering.exchange import exchanged
from core.metering.student import t_quantile

__all__ = ["LEAST", "Factor", "fit_factor", "odd_ones"]

LEAST = 3
"""With fewer readings there is no interval."""
LEVEL = 0.90
FALSE_ALARM = 0.05
LEAST_SCATTER = 1e-6


@dataclass(frozen=True)
class Factor:
    """Measured / predicted: the best value, its 90 % interval, the scatter of one reading (share), and which readings
    (n,) do not fit and were left out."""

    value: float
    low: float
    high: float
    scatter: float
    odd: BoolArray
    residuals: FloatArray

    @property
    def used(self) -> int:
        """How many readings the factor rests on."""
        return int((~self.odd).sum())


def fit_factor(measured: FloatArray, predicted: FloatArray, level: float = LEVEL) -> Factor:
    """Return the factor between measured and predicted light.

    Parameters
    ----------
    measured, predicted : (n,) [lx]
        More than 0.

    Raises
    ------
    ValueError
        With fewer than three readings, or light that is not more than 0; a sentence for the user.
    """
    measured, predicted = np.asarray(measured, float), np.asarray(predicted, float)
    if len(measured) < LEAST:
        raise ValueError(f"There are {len(measured)} readings; take {LEAST} at least, better 12 or more.")
    if not (np.all(measured > 0.0) and np.all(predicted > 0.0)):
        raise ValueError("A reading, or what is predicted for it, is not more than 0; leave it out.")
    r = np.log(measured / predicted)
    odd = odd_ones(r)
    pair = exchanged(r, np.log(predicted), odd, FALSE_ALARM / 2)
    if pair is not None:
        odd[list(pair)] = True
    good = r[~odd]
    mean, scatter = float(good.mean()), float(good.std(ddof=1))
    half = t_quantile(0.5 + level / 2, len(good) - 1) * scatter / math.sqrt(len(good))
    return Factor(math.exp(mean), math.exp(mean - half), math.exp(mean + half), scatter, odd, r - mean)


def odd_ones(r: FloatArray) -> BoolArray:
    """Tell which of the values (n,) do not belong to the rest (Rosner's test, a fifth of them at most)."""
    r = np.asarray(r, float)
    odd = np.zeros(len(r), dtype=bool)
    most = len(r) // 5
    left: NDArray[np.int64] = np.arange(len(r))
    taken: list[int] = []
    wrong = 0
    for step in range(1, most + 1):
        values = r[left]
        scatter = max(float(values.std(ddof=1)), LEAST_SCATTER)
        distance = np.abs(values - values.mean()) / scatter
        worst = int(distance.argmax())
        if float(distance[worst]) > _critical(len(r), step):
            wrong = step
        taken.append(int(left[worst]))
        left = np.delete(left, worst)
    odd[taken[:wrong]] = True
    return odd


def _critical(count: int, step: int) -> float:
    """Rosner's critical value lambda of the step-th most extreme of ``count`` values."""
    left = count - step + 1
    p = 1.0 - FALSE_ALARM / 2 / (2.0 * left)
    t = t_quantile(p, left - 2)
    return (left - 1) * t / math.sqrt((left - 2 + t**2) * left)
