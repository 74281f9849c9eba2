"""The least that reaches a wanted illuminance at a bench: the switch setting that takes the fewest watts.

Light is linear: the illuminance at a point is the sum over the groups of its response at full level times the level.
So "at least N on average" is one linear demand, "at least N everywhere" one for each point of the bench. A switched
group is at 0 or 1; a dimmed one at 0, or between its lowest level and 1 in steps of a hundredth, as the wall plate sets
it. Watts go with the level (a driver's losses at low levels are left out, as everywhere in the program). What is asked
is then an integer program; it is solved to the end by branch and bound (HiGHS). No tolerance is given away: an answer
is rounded to whole steps and checked against the demands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import highspy
import numpy as np
from numpy.typing import NDArray

from core.light.field import Field, Lighting
from core.light.roomlight import Cancelled
from core.plan import Combination, Level, Plan
from core.quiet_solver import quiet_solver

__all__ = ["STEPS", "Least", "Wanted", "least_combination", "least_shares"]

STEPS = 100
"""Steps of a dimmer between off and full."""
_EXACT = 1e-9  # share of a demand that is rounding of the sum and not light
_TIGHT = {
    "mip_abs_gap": 1e-9,
    "mip_feasibility_tolerance": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
}
_Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is asked: at least ``lux`` of initial light at a bench (its id), or in the room where ``bench`` is empty.

    ``everywhere`` asks it of every point, otherwise of the average.
    """

    lux: float
    bench: str = ""
    everywhere: bool = False


@dataclass(frozen=True)
class Least:
    """The answer: the level of every group, its light, watts, and what is reached there [lx].

    Where ``is_enough`` is False everything is on, and ``short`` [lx] tells by how much that falls short.
    """

    wanted: Wanted
    levels: Mapping[str, float]
    field: Field
    watts: float
    reached: float
    is_enough: bool

    @property
    def short(self) -> float:
        """By how much the light falls short [lx]; 0 where it is enough."""
        return 0.0 if self.is_enough else self.wanted.lux - self.reached

    def combination(self, name: str) -> Combination:
        """Return the setting under a name, as the plan keeps it."""
        return Combination(name, tuple(Level(letter, share) for letter, share in self.levels.items() if share > 0.0))


def least_combination(
    plan: Plan, lighting: Lighting, wanted: Wanted, cancelled: Callable[[], bool] | None = None
) -> Least:
    """Return the setting with the fewest watts that reaches what is wanted, or everything on where none does.

    Parameters
    ----------
    lighting
        The light of this plan: one column of responses for each of its fixtures.

    Raises
    ------
    ValueError
        If the light is that of other fixtures, or there is no free point on the bench.
    Cancelled
        If it was called off.
    """
    if lighting.groups != tuple(fixture.group for fixture in plan.fixtures):
        raise ValueError("The light of this plan is still being worked out.")
    letters = [group.letter for group in plan.groups]
    points = _points(lighting, wanted.bench)
    rows = np.array([points[:, [g == letter for g in lighting.groups]].sum(axis=1) for letter in letters]).T
    rows = rows.reshape(len(points), len(letters))
    if not wanted.everywhere:
        rows = rows.mean(axis=0, keepdims=True)
    watts = np.array([sum(plan.setting(f).watts for f in plan.fixtures if f.group == a) for a in letters])
    lowest = [group.minimum if group.dimmable else 1.0 for group in plan.groups]
    shares = least_shares(rows, wanted.lux, watts, lowest, cancelled)
    taken = np.ones(len(letters)) if shares is None else shares
    levels = {letter: float(share) for letter, share in zip(letters, taken, strict=True)}
    reached = float((rows @ taken).min())
    return Least(wanted, levels, lighting.field(levels), float(watts @ taken), reached, shares is not None)


def least_shares(
    rows: _Array,
    need: float,
    watts: _Array,
    lowest: Sequence[float],
    cancelled: Callable[[], bool] | None = None,
) -> _Array | None:
    """Return the level of every group at the fewest watts, or None where everything on is not enough.

    Parameters
    ----------
    rows : (points, groups)
        Illuminance of each group at full level, none below zero [lx].
    need : float
        What every row has to reach [lx].
    watts : (groups,)
        Watts at full level.
    lowest : (groups,)
        Lowest level that is not off; 1 for a group that is only switched.
    """
    need -= _EXACT * abs(need)
    count = len(watts)
    if need <= 0.0:
        return np.zeros(count)
    if not (rows @ np.ones(count) >= need).all():
        return None
    bottoms = np.array([min(STEPS, max(1, int(np.ceil(STEPS * share - 1e-9)))) for share in lowest])
    # A demand that is a billionth out of reach of the solver's tolerance is asked for a little more firmly.
    for firmer in (0.0, 1e-6, 1e-5):
        steps = _solved(rows / need, 1.0 + firmer, watts, bottoms, cancelled)
        if steps is not None and (rows @ (steps / STEPS) >= need).all():
            return steps / STEPS
    return np.ones(count)


def _solved(
    rows: _Array, need: float, watts: _Array, bottoms: NDArray[np.intp], cancelled: Callable[[], bool] | None
) -> _Array | None:
    """Return the steps of every group, None where the demands cannot be met.

    A switched group has one whole variable (off or on); a dimmed one a second, its steps above the lowest, which need
    the switch to be on.
    """
    count = len(watts)
    model = quiet_solver(_TIGHT)
    for column in range(count):
        model.addVar(0.0, 1.0)
        model.changeColCost(column, float(watts[column] * bottoms[column] / STEPS))
    dimmed = [g for g in range(count) if bottoms[g] < STEPS]
    for number, group in enumerate(dimmed, start=count):
        most = float(STEPS - bottoms[group])
        model.addVar(0.0, most)
        model.changeColCost(number, float(watts[group] / STEPS))
        model.addRow(-highspy.kHighsInf, 0.0, 2, np.array([group, number], dtype=np.int32), np.array([-most, 1.0]))
    size = count + len(dimmed)
    model.changeColsIntegrality(size, np.arange(size, dtype=np.int32), np.full(size, highspy.HighsVarType.kInteger))
    index = np.arange(size, dtype=np.int32)
    for row in np.unique(rows, axis=0):
        values = np.concatenate([row * bottoms / STEPS, row[dimmed] / STEPS])
        model.addRow(need, highspy.kHighsInf, size, index, values)
    if cancelled is not None:
        ask = cancelled
        model.cbMipInterrupt.subscribe(lambda event: event.interrupt() if ask() else None)
    model.run()
    if cancelled is not None and cancelled():
        raise Cancelled
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    found = np.round(np.array(model.getSolution().col_value))
    steps = found[:count] * bottoms
    steps[dimmed] += found[count:]
    return np.asarray(steps)


def _points(lighting: Lighting, bench: str) -> _Array:
    """Return the responses of the points that count, shape (points, fixtures) [lx]."""
    if not bench:
        found = lighting.responses[lighting.counted[lighting.inside]]
    else:
        found = next((light.responses for light in lighting.benches if light.bench == bench), np.empty((0, 0)))
    if found.shape[0] == 0:
        raise ValueError("There is no free spot there whose light could be counted.")
    return found.astype(float)
