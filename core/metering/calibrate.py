"""Calibration: the plan brought to what was measured, as far as readings can tell.

First one factor for all light, which holds the meter's bias, light loss and lumens off the data sheet together; then,
only if the readings can tell, the reflectance of the walls. Walls change the light most where it is reflected, so
r = a + s (rho - rho0) is fitted to the readings by least squares, with ln(predicted) and s = d ln(predicted) / d rho
from a parabola through three solved rooms. Where the 90 % interval of rho is wider than 0.10 either way the answer is
refused.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from core.light.engine import LightEngine
from core.light.grid import FloatArray
from core.metering.compare import Comparison, compare, usable
from core.metering.fit import LEVEL
from core.metering.predict import predicted_parts, shares_of
from core.metering.student import t_quantile
from core.plan import Finish, Plan
from core.plan.checking import MeterReading

__all__ = ["Calibration", "WallAnswer", "calibrate", "fit_walls", "with_light_factor", "with_walls"]

TELLING = 0.10
STEP = 0.15
LEAST_FOR_WALLS = 8
ROUNDS, TURNS = 2, 4
_TRIAL_STEP = 2.0
MODEL_SHARE = 0.01
"""How far the light engine itself may be off (tests/reference)."""
_CANNOT_TELL = (
    f"The readings cannot tell the walls' reflectance to within {TELLING:g}: take some where the lamps do not shine, "
    "in corners and with the sensor facing away from the lamps."
)


@dataclass(frozen=True, slots=True)
class WallAnswer:
    """The walls' reflectance with its 90 % interval, and the light factor that goes with it; or a refusal: ``known`` is
    False and ``words`` say why."""

    known: bool
    reflectance: float
    low: float
    high: float
    factor: float
    words: str


@dataclass(frozen=True)
class Calibration:
    """What the readings tell. ``words`` say in plain terms what the factor means and what it cannot tell."""

    comparison: Comparison
    walls: WallAnswer

    def words(self, plan: Plan) -> str:
        """Return the outcome in sentences."""
        factor = self.comparison.factor
        left_out = int(factor.odd.sum())
        sentences = [
            f"Measured light is {factor.value:.2f} times the predicted (90 % interval {factor.low:.2f} to "
            f"{factor.high:.2f}, from {factor.used} readings, one scatters by {100 * factor.scatter:.0f} %).",
            f"Left out, because they do not fit: {left_out}." if left_out else "",
            f"The meter itself may be off by {100 * plan.checking.meter_share:g} %, the same for all readings.",
            "That, light loss and lumens off the data sheet cannot be told apart.",
            self.walls.words,
        ]
        return " ".join(sentence for sentence in sentences if sentence)


def calibrate(
    plan: Plan,
    readings: Sequence[MeterReading],
    engine: LightEngine,
    *,
    with_wall: bool = True,
    cancelled: Callable[[], bool] | None = None,
) -> Calibration:
    """Work out what the readings tell about the plan.

    Raises
    ------
    ValueError
        With too few readings; a sentence for the user.
    """
    taken = usable(readings)
    comparison = compare(plan, taken, predicted_parts(plan, taken, engine, cancelled))
    if not with_wall:
        return Calibration(comparison, _refused(plan, "The walls were not asked about."))
    return Calibration(comparison, _walls(plan, taken, comparison, engine, cancelled))


def with_light_factor(plan: Plan, factor: float, models: Sequence[str] | None = None) -> Plan:
    """Return the plan with the lumens of all models, or of some, times a factor; the note says so."""
    chosen = {model.id for model in plan.models} if models is None else set(models)
    note = f"Lumens times {factor:.3f} after readings."
    changed = tuple(
        replace(
            model,
            settings=tuple(replace(setting, lumens=setting.lumens * factor) for setting in model.settings),
            note=f"{model.note} {note}".strip(),
        )
        if model.id in chosen
        else model
        for model in plan.models
    )
    return replace(plan, models=changed)


def with_walls(plan: Plan, reflectance: float) -> Plan:
    """Return the plan with another reflectance of the walls that have no finish of their own."""
    finish = Finish(plan.room.walls.name, round(min(max(reflectance, 0.0), 0.95), 3))
    return replace(plan, room=replace(plan.room, walls=finish))


def fit_walls(r: FloatArray, slope: FloatArray, least: float = 0.0) -> tuple[float, float, float]:
    """Fit r = a + slope * change by least squares; return the change, half its 90 % interval, and a.

    Parameters
    ----------
    r, slope : (n,)
        ln(measured / predicted), and d ln(predicted) / d rho.
    least
        Least scatter that is believed: what the prediction itself may be off by.
    """
    centred = slope - slope.mean()
    spread = float((centred**2).sum())
    if spread < 1e-12:
        return 0.0, math.inf, float(r.mean())
    change = float(centred @ r) / spread
    a = float(r.mean()) - change * float(slope.mean())
    rest = r - a - change * slope
    scatter = max(math.sqrt(float((rest**2).sum()) / (len(r) - 2)), least)
    return change, t_quantile(0.5 + LEVEL / 2, len(r) - 2) * scatter / math.sqrt(spread), a


def _walls(
    plan: Plan,
    taken: Sequence[MeterReading],
    comparison: Comparison,
    engine: LightEngine,
    cancelled: Callable[[], bool] | None,
) -> WallAnswer:
    good = [reading for reading, odd in zip(taken, comparison.factor.odd, strict=True) if not odd]
    if len(good) < LEAST_FOR_WALLS:
        return _refused(plan, f"For the walls' reflectance take {LEAST_FOR_WALLS} good readings at least.")
    logs = np.log(np.array([reading.net_lux or 0.0 for reading in good]))
    predict = _Predictions(plan, good, engine, cancelled)
    rho, half, a = plan.room.walls.reflectance, math.inf, 0.0
    for _ in range(ROUNDS):
        low, high = max(rho - STEP, 0.01), min(rho + STEP, 0.94)
        curve = _Curve(low, rho, high, *(predict.logs(place) for place in (low, rho, high)))
        for _ in range(TURNS):
            change, half, a = fit_walls(logs - curve.at(rho), curve.slope(rho), MODEL_SHARE)
            if half > TELLING:
                return _refused(plan, _CANNOT_TELL)
            rho = min(max(rho + change, 0.02), 0.94)
            if not low <= rho <= high:
                break
        else:
            break
    words = f"The walls' reflectance is {rho:.2f}, 90 % interval {rho - half:.2f} to {rho + half:.2f}"
    planned = plan.room.walls.reflectance
    agrees = rho - half <= planned <= rho + half
    words += f", which agrees with the {planned:.2f} of the plan." if agrees else f"; the plan has {planned:.2f}."
    return WallAnswer(True, rho, rho - half, rho + half, math.exp(a), words)


@dataclass(frozen=True)
class _Predictions:
    """What readings would be with other walls. Rooms other than the plan's are asked for nothing but the readings."""

    plan: Plan
    readings: Sequence[MeterReading]
    engine: LightEngine
    cancelled: Callable[[], bool] | None
    trials: LightEngine = field(default_factory=lambda: LightEngine(step=_TRIAL_STEP))

    def logs(self, reflectance: float) -> FloatArray:
        """Return ln(predicted) (n,) with all walls of one reflectance."""
        planned = reflectance == self.plan.room.walls.reflectance
        shop, engine = (self.plan, self.engine) if planned else (with_walls(self.plan, reflectance), self.trials)
        parts = predicted_parts(shop, self.readings, engine, self.cancelled)
        lit: FloatArray = np.log((parts * shares_of(self.plan, self.readings)).sum(axis=1))
        return lit


class _Curve:
    """ln(predicted) of each reading as a parabola of the walls' reflectance through three solved rooms."""

    def __init__(
        self, low: float, middle: float, high: float, at_low: FloatArray, at_middle: FloatArray, at_high: FloatArray
    ) -> None:
        self._middle, self._start = middle, at_middle
        left, right = (at_middle - at_low) / (middle - low), (at_high - at_middle) / (high - middle)
        self._bend = (right - left) / (high - low)
        self._rise = left + self._bend * (middle - low)

    def at(self, reflectance: float) -> FloatArray:
        """Return the values (n,)."""
        x = reflectance - self._middle
        values: FloatArray = self._start + self._rise * x + self._bend * x**2
        return values

    def slope(self, reflectance: float) -> FloatArray:
        """Return the derivatives (n,)."""
        rise: FloatArray = self._rise + 2.0 * self._bend * (reflectance - self._middle)
        return rise


def _refused(plan: Plan, words: str) -> WallAnswer:
    planned = plan.room.walls.reflectance
    return WallAnswer(False, planned, math.nan, math.nan, math.nan, words)
