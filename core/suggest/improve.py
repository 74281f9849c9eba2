"""Nudge: small moves from the present layout that make its darkest spots lighter, rows staying rows.

Fixtures that stand in line move together: everything at one x, or at one y. Lines are shifted one at a time, by ever
smaller steps, as long as the light at the darkest readings (each in its own measure, so that a gap between two machines
does not decide alone) gets better; never farther from where it began than the user allows. What was gained is worked
out in full before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.grid import FloatArray
from core.light.roomlight import RoomLight, Watch
from core.light.sources import source_of
from core.plan import Plan
from core.plan.settle import settled
from core.suggest.answer import LightFigures, figures_of
from core.suggest.candidates import CLEAR, Ceiling
from core.suggest.request import Request, replaced_ids
from core.suggest.responses import Responses
from core.units import FOOT, INCH

__all__ = ["Nudge", "nudged"]

_IN_LINE = 0.02
_ROUNDS = 12
_LOWEST = 8
_GAIN = 1e-4


@dataclass(frozen=True)
class Nudge:
    """A better place for what hangs already: the plan with it, and full figures before and after.

    ``moves`` are (fixture id, dx, dy) [m]; empty where nothing within the tolerance is better.
    """

    plan: Plan
    moves: tuple[tuple[str, float, float], ...]
    before: LightFigures
    after: LightFigures
    lighting: Lighting | None = None


def nudged(
    plan: Plan,
    tolerance: float = FOOT,
    engine: LightEngine | None = None,
    *,
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Nudge:
    """Move the fixtures on the ceiling by ``tolerance`` [m] at the most so that the dark spots get lighter.

    Raises
    ------
    Cancelled
        If ``cancelled()`` became true meanwhile.
    """
    engine = engine or LightEngine()
    before = engine.solve(plan, cancelled=cancelled)
    first = figures_of(before)
    if not replaced_ids(plan):
        return Nudge(plan, (), first, first)
    watch = Watch(progress, cancelled)
    climb = _Climb(plan, tolerance, engine.ready_room(replace(plan, fixtures=()), watch), watch)
    better = climb.run()
    moves = tuple(
        (old.id, new.x - old.x, new.y - old.y)
        for old, new in zip(plan.fixtures, better.fixtures, strict=True)
        if (old.x, old.y) != (new.x, new.y)
    )
    if not moves:
        return Nudge(plan, (), first, first)
    lighting = engine.solve(better, cancelled=cancelled)
    after = figures_of(lighting)
    if (after.minimum, after.evenness) <= (first.minimum, first.evenness):
        return Nudge(plan, (), first, first)
    return Nudge(better, moves, first, after, lighting)


class _Climb:
    def __init__(self, plan: Plan, tolerance: float, room: RoomLight, watch: Watch) -> None:
        self._plan, self._tolerance, self._watch = plan, tolerance, watch
        chosen = set(replaced_ids(plan))
        self._which = np.array([k for k, fixture in enumerate(plan.fixtures) if fixture.id in chosen])
        model = plan.model(plan.fixtures[int(self._which[0])].model)
        self._responses = Responses(plan, room, model, watch)
        self._start = np.array([(plan.fixtures[k].x, plan.fixtures[k].y) for k in self._which])
        self._lines = _lines(self._start)
        self._ceilings = [self._ceiling(int(k)) for k in self._which]
        readings = self._responses.readings
        self._weights = 1.0 / np.maximum(np.minimum(readings.evenly_lit, 1.0), 1e-3)
        self._judged = readings.room
        self._others = self._constant()

    def run(self) -> Plan:
        places, step = self._start.copy(), self._tolerance
        best = self._value(places)
        for number in range(_ROUNDS):
            self._watch.at(0.1 + 0.8 * number / _ROUNDS, "moving rows")
            improved = False
            for axis, members in self._lines:
                for sign in (1.0, -1.0):
                    tried = places.copy()
                    tried[members, axis] += sign * step
                    if not self._is_allowed(tried, members):
                        continue
                    value = self._value(tried)
                    if value > best + _GAIN:
                        places, best, improved = tried, value, True
            if not improved:
                step /= 2.0
                if step < INCH / 2:
                    break
        fixtures = list(self._plan.fixtures)
        for k, (x, y) in zip(self._which, places, strict=True):
            fixtures[k] = replace(fixtures[k], x=settled(float(x)), y=settled(float(y)))
        return replace(self._plan, fixtures=tuple(fixtures))

    def _ceiling(self, index: int) -> Ceiling:
        fixture = self._plan.fixtures[index]
        request = Request(wall_distance=0.0, drop=fixture.drop, setting=fixture.setting)
        return Ceiling.of(self._plan, self._plan.model(fixture.model), request)

    def _constant(self) -> FloatArray:
        """Return the light of the fixtures that stay (n,)."""
        stay = [f for k, f in enumerate(self._plan.fixtures) if k not in set(self._which.tolist())]
        total = np.zeros(len(self._responses.readings))
        for fixture in stay:
            total += self._responses.column(source_of(self._plan, fixture))
        return total

    def _value(self, places: FloatArray) -> float:
        light = self._others.copy()
        for k, (x, y) in zip(self._which, places, strict=True):
            fixture = replace(self._plan.fixtures[k], x=settled(float(x)), y=settled(float(y)))
            light += self._responses.column(source_of(self._plan, fixture))
        judged = np.sort((light * self._weights)[self._judged])
        average = float(light[self._responses.readings.average].mean())
        return float(judged[0] + judged[:_LOWEST].mean()) / max(average, 1e-9) + 1e-3 * float(judged[0])

    def _is_allowed(self, places: FloatArray, moved: NDArray[np.intp]) -> bool:
        if (np.abs(places - self._start) > self._tolerance + 1e-9).any():
            return False
        for k in moved:
            fixture = self._plan.fixtures[int(self._which[k])]
            turn = 90.0 if round(fixture.rotation_deg / 90.0) % 2 else 0.0
            if not self._ceilings[k].free(places[[k]], np.array([turn]))[0]:
                return False
        return not self._overlap(places)

    def _overlap(self, places: FloatArray) -> bool:
        half = np.array(
            [
                ceiling.half(90.0 if round(self._plan.fixtures[int(k)].rotation_deg / 90.0) % 2 else 0.0)
                for ceiling, k in zip(self._ceilings, self._which, strict=True)
            ]
        )
        gap = np.abs(places[:, None] - places[None]) - half[:, None] - half[None] - CLEAR
        touching = (gap < 0.0).all(axis=2)
        np.fill_diagonal(touching, False)
        return bool(touching.any())


def _lines(places: FloatArray) -> list[tuple[int, NDArray[np.intp]]]:
    """Return the sets of fixtures at one x or one y: (axis that they move along, indices)."""
    found = []
    for axis in (0, 1):
        order = places[:, axis].argsort(kind="stable")
        breaks = np.flatnonzero(np.diff(places[order, axis]) > _IN_LINE) + 1
        found += [(axis, np.sort(part)) for part in np.split(order, breaks)]
    return found
