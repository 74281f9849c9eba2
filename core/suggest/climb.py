"""Rows moved about a little from where they hang, as long as something gets better by quick light.

Fixtures that stand in line move together: everything at one x, or at one y. Lines are shifted one at a time, by ever
smaller steps; never farther from where they began than the user allows.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.light.roomlight import RoomLight, Watch
from core.light.sources import Source, source_of
from core.plan import Plan
from core.plan.settle import settled
from core.suggest.candidates import CLEAR, Ceiling
from core.suggest.request import Request, replaced_ids
from core.suggest.responses import Responses
from core.suggest.shadow_guess import ShadowGuess
from core.units import INCH

__all__ = ["Better", "Climb", "in_line"]

Better = Literal["dark spots", "body shadow"]
"""What is to get better: the light at the darkest spots, or the share that bodies take at the hands."""
_IN_LINE = 0.02
_ROUNDS = 12
_LOWEST = 8
_GAIN = 1e-4
_FLOOR = 0.97
"""Share of the least light that is left while body shadow gets better, by quick light."""


class Climb:
    """Moves the fixtures on the ceiling of a plan by ``tolerance`` [m] at the most.

    ``room`` is the full light's room, without fixtures.
    """

    def __init__(self, plan: Plan, tolerance: float, room: RoomLight, watch: Watch, better: Better) -> None:
        self._plan, self._tolerance, self._watch = plan, tolerance, watch
        chosen = set(replaced_ids(plan))
        self._which = np.array([k for k, fixture in enumerate(plan.fixtures) if fixture.id in chosen])
        model = plan.model(plan.fixtures[int(self._which[0])].model)
        self._responses = Responses(plan, room, model, watch)
        self._start = np.array([(plan.fixtures[k].x, plan.fixtures[k].y) for k in self._which])
        self._lines = in_line(self._start)
        self._ceilings = [self._ceiling(int(k)) for k in self._which]
        readings = self._responses.readings
        self._weights = 1.0 / np.maximum(np.minimum(readings.evenly_lit, 1.0), 1e-3)
        self._judged = readings.room
        self._stay = [source_of(plan, f) for f in plan.fixtures if f.id not in chosen]
        self._others = sum((self._responses.column(source) for source in self._stay), np.zeros(len(readings)))
        self._guess = ShadowGuess(replace(plan, fixtures=())) if better == "body shadow" else None
        self._least = 0.0
        if self._guess is not None:
            self._least = _FLOOR * self._minimum(self._light(self._sources(self._start)))

    def run(self) -> Plan:
        """Return the plan with its rows where they are best.

        Raises
        ------
        Cancelled
            If the watch was told to stop.
        """
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
        return self._hung(places)

    def part_of_the_way(self, there: Plan, share: float) -> Plan | None:
        """Return the plan with its rows a share of the way to where they are in ``there``; None if that is no place."""
        end = np.array([(there.fixtures[k].x, there.fixtures[k].y) for k in self._which])
        places = self._start + share * (end - self._start)
        moved = np.flatnonzero((end != self._start).any(axis=1))
        return self._hung(places) if self._is_allowed(places, moved) else None

    def _hung(self, places: FloatArray) -> Plan:
        fixtures = list(self._plan.fixtures)
        for k, (x, y) in zip(self._which, places, strict=True):
            fixtures[k] = replace(fixtures[k], x=settled(float(x)), y=settled(float(y)))
        return replace(self._plan, fixtures=tuple(fixtures))

    def _ceiling(self, index: int) -> Ceiling:
        fixture = self._plan.fixtures[index]
        request = Request(wall_distance=0.0, drop=fixture.drop, setting=fixture.setting)
        return Ceiling.of(self._plan, self._plan.model(fixture.model), request)

    def _sources(self, places: FloatArray) -> list[Source]:
        """Return the fixtures that move as sources, at their places (n, 2)."""
        found = []
        for k, (x, y) in zip(self._which, places, strict=True):
            fixture = replace(self._plan.fixtures[k], x=settled(float(x)), y=settled(float(y)))
            found.append(source_of(self._plan, fixture))
        return found

    def _light(self, sources: list[Source]) -> FloatArray:
        light = self._others.copy()
        for source in sources:
            light += self._responses.column(source)
        return light

    def _minimum(self, light: FloatArray) -> float:
        return float(light[self._judged].min(initial=np.inf))

    def _value(self, places: FloatArray) -> float:
        sources = self._sources(places)
        light = self._light(sources)
        return self._lightness(light) if self._guess is None else -self._shadow(self._guess, sources, light)

    def _lightness(self, light: FloatArray) -> float:
        """Return how light the darkest readings are, each in its own measure, beside the average."""
        judged = np.sort((light * self._weights)[self._judged])
        average = float(light[self._responses.readings.average].mean())
        return float(judged[0] + judged[:_LOWEST].mean()) / max(average, 1e-9) + 1e-3 * float(judged[0])

    def _shadow(self, guess: ShadowGuess, sources: list[Source], light: FloatArray) -> float:
        """Return about what bodies take, at the worst bench and on average; infinite where it is too dark."""
        if self._minimum(light) < self._least or not guess.benches:
            return np.inf
        readings = self._responses.readings
        on = {name: float(light[readings.bench == k].mean()) for k, name in enumerate(readings.benches)}
        shares = guess.shares([*self._stay, *sources], on)
        return float(shares.max() + shares.mean())

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


def in_line(places: FloatArray) -> list[tuple[int, NDArray[np.intp]]]:
    """Return the sets of fixtures at one x or one y: (axis that they move along, indices)."""
    found = []
    for axis in (0, 1):
        order = places[:, axis].argsort(kind="stable")
        breaks = np.flatnonzero(np.diff(places[order, axis]) > _IN_LINE) + 1
        found += [(axis, np.sort(part)) for part in np.split(order, breaks)]
    return found
