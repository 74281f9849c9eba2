"""How far quick columns can be trusted: measured against every full solution that is made, and kept as a margin.

At each reading the ratio full / quick of the layouts solved so far corrects the quick light; what the score of the next
layout is off nevertheless becomes the margin by which demands must be exceeded.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from core.light.field import Lighting
from core.light.grid import FloatArray
from core.suggest.responses import Readings

__all__ = ["FIRST_MARGIN", "Trust"]

FIRST_MARGIN = 0.012
LEAST_MARGIN = 0.008
SLACK, SLACK_IN_GAPS, OPEN = 0.02, 0.06, 0.85
SHARP, SHARP_IN_GAPS = 0.008, 0.02
_FAINT = 1.0
_MOST = 1.35


class Trust:
    """The measured deviation of quick light in one room."""

    def __init__(self, readings: Readings) -> None:
        self._readings = readings
        self._ratios: list[FloatArray] = []
        self.correction: FloatArray = np.ones(len(readings))
        self.average_factor = 1.0
        self.margin = FIRST_MARGIN
        self.deviation = FIRST_MARGIN
        """Share by which the score of a layout not seen before was expected too high or too low, at the worst."""
        self._surprises: list[float] = []

    def learn(self, quick: FloatArray, lighting: Lighting, score: Callable[[FloatArray], float]) -> None:
        """Compare the uncorrected quick light (n,) of a layout with its full solution.

        ``score`` rates corrected light at the readings; how far it was off is what counts.
        """
        full = self._full(lighting)
        if self._ratios:
            true = score(full)
            if true > 0.0:
                self._surprises.append(abs(score(quick * self.correction) / true - 1.0))
                self.deviation = max(LEAST_MARGIN / 2, *self._surprises)
        usable = (quick > _FAINT) & (full > _FAINT)
        ratio = np.where(usable, full / np.where(usable, quick, 1.0), 1.0)
        ratio = np.clip(ratio, 1.0 / _MOST, _MOST)
        self._ratios.append(ratio)
        self.correction = np.mean(self._ratios, axis=0)
        self._correct_average(lighting, quick)
        self.margin = max(LEAST_MARGIN, min(self.margin, self.deviation))

    def read_more(self, readings: Readings, quick: FloatArray, lighting: Lighting) -> None:
        """Go on with further readings; ``quick`` is the last layout's light at all of them."""
        new = len(readings) - len(self._readings)
        self._readings = readings
        if new:
            full = self._full(lighting)[-new:]
            ratio = np.clip(full / np.maximum(quick[-new:], _FAINT), 1.0 / _MOST, _MOST)
            # What was solved before is not at hand any more; its mean stands in.
            self._ratios = [np.append(r, np.full(new, r.mean())) for r in self._ratios[:-1]] + [
                np.append(self._ratios[-1], ratio)
            ]
            self.correction = np.mean(self._ratios, axis=0)

    def grow(self, readings: Readings) -> None:
        """Go on with further readings before any layout is solved at them: the mean of the others stands in."""
        new = len(readings) - len(self._readings)
        self._readings = readings
        self._ratios = [np.append(ratio, np.full(new, ratio.mean())) for ratio in self._ratios]
        self.correction = np.mean(self._ratios, axis=0) if self._ratios else np.ones(len(readings))

    def slack(self, lit: FloatArray) -> FloatArray:
        """Return the shares (rows,) by which demands are lowered for a bound, from ``lit`` (rows,).

        ``lit`` is the light of each demand's spot under an even ceiling, 1 in the median. Of random layouts of ten on
        the demo shops 99 of 100 spots got no more than 2 % more than expected in the open and 6 % in gaps [measured];
        a program weighs dozens of spots at once, which are not all the worst ones.
        """
        gap: FloatArray = np.clip(OPEN - lit, 0.0, None)
        share: FloatArray = max(SLACK, self.deviation) + SLACK_IN_GAPS * gap
        return share

    def sharp_slack(self, lit: FloatArray) -> FloatArray:
        """Return the same shares where direct light is that of full solutions: reflected light is what is left.

        Of random layouts of fifteen on the demo shops 95 of 100 spots that stood in the way got no more than 1 % more
        than expected, and on average 0.2 % [measured]; a bound is about their average, weighed by what each costs.
        """
        share: FloatArray = SHARP + SHARP_IN_GAPS * np.clip(OPEN - lit, 0.0, None)
        return share

    def missed(self) -> None:
        """Ask for more from now on: a layout fell short of what was expected."""
        self.margin = min(0.2, self.margin * 1.6 + 0.004)

    def _full(self, lighting: Lighting) -> FloatArray:
        readings = self._readings
        full = np.empty(len(readings))
        on_plane = readings.cells >= 0
        full[on_plane] = lighting.responses.sum(axis=1)[readings.cells[on_plane]]
        if readings.bench_rows.size:
            tops = np.concatenate([bench.responses.sum(axis=1) for bench in lighting.benches])
            full[~on_plane] = tops[readings.bench_rows]
        return full

    def _correct_average(self, lighting: Lighting, quick: FloatArray) -> None:
        """Scale the readings of the average so that their mean is the mean over all cells that count.

        Only the average reads all of them at once; the few that are also dark spots stay on the safe side.
        """
        counted = lighting.counted[lighting.inside]
        if not counted.any():
            return
        middles = self._readings.average
        mean = float((quick * self.correction)[middles].mean())
        true = float(lighting.responses.sum(axis=1)[counted].mean())
        self.average_factor = true / mean if mean > _FAINT else 1.0
