"""What a search for one model knows: its places and their light, what is asked of them, and how a layout does."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from core.light.field import Lighting
from core.light.grid import BoolArray, FloatArray
from core.plan import Model, Plan
from core.suggest.candidates import Ceiling, Places, cliques_of
from core.suggest.dark_cells import APART, dark_cells
from core.suggest.demands import HIDDEN, Demand, Demands, demands_of
from core.suggest.layout import Layout
from core.suggest.request import ASKED_TOO_MUCH, Limits, Request
from core.suggest.responses import Responses
from core.suggest.shadow_guess import ShadowGuess
from core.suggest.trust import Trust

__all__ = ["Search", "about"]

_CLOSE = 1.05
_ABOUT = 1.5
_FINE_REACH, _MOST_FINER = 1.3, 120
"""Places between those of the grid are taken up within this distance of a spot [m], so many in all."""
_VAST = 700
_MANY = 150
"""Places beyond which each node of a program takes longer."""


class Search:
    """Judges layouts of one model.

    Parameters
    ----------
    responses, trust
        Quick light of the room, and how far it can be trusted; shared by all models.
    demands : Demands
        What must hold; those that cannot are taken out beforehand (`core.suggest.hindrances`).
    """

    def __init__(
        self,
        plan: Plan,
        model: Model,
        request: Request,
        responses: Responses,
        trust: Trust,
        cancelled: Callable[[], bool] | None = None,
    ) -> None:
        self.model, self.request = model, request
        self.responses, self.trust = responses, trust
        self.cancelled = cancelled
        self.ceiling = Ceiling.of(plan, model, request)
        self.places = self.ceiling.grid(request.step)
        self._on_grid = len(self.places)
        self._columns = responses.of(self.ceiling.fixtures(self.places), model)
        self.plan = plan
        self._demands = demands_of(plan, request, responses.readings)
        self._given_up: list[Demand] = []
        self._unreachable: set[int] = set()
        self._insists_not = False
        self._version = responses.version
        self.cliques = cliques_of(self.ceiling, self.places)
        self._guess = ShadowGuess(replace(plan, fixtures=())) if request.looks_at_shadow else None

    @property
    def demands(self) -> Demands:
        """What must hold, at all readings there are: another model's search may have read at further spots."""
        self.refresh()
        return self._demands

    @property
    def columns(self) -> FloatArray:
        """Quick light of the places at the readings (n, places) [lx]."""
        self.refresh()
        return self._columns

    @property
    def is_hall(self) -> bool:
        """Whether there are so many places that a program over them takes long."""
        return len(self.places) > _MANY

    @property
    def is_vast(self) -> bool:
        """Whether there are so many places that the first rows found have to do, and the bound is that of parts."""
        return len(self.places) > _VAST

    @property
    def longer_axis(self) -> int:
        """Along which axis the room is longer (0: x, 1: y)."""
        x0, y0, x1, y1 = self.ceiling.room.bounds
        return 0 if x1 - x0 >= y1 - y0 else 1

    @property
    def most(self) -> int:
        """The most fixtures that may be used."""
        return self.request.count or self.request.at_most or ASKED_TOO_MUCH

    # --- light

    def look_closer(self, layout: Layout, lighting: Lighting) -> int:
        """Judge layouts also at the cells where this one turned out too dark; return how many were added."""
        points = lighting.grid.points()[lighting.inside.ravel()]
        cells = lighting.counted[lighting.inside]
        cells = cells if self.request.evenness else self._insisted_on(points, cells)
        known = len(self.responses.readings)
        light = lighting.responses.sum(axis=1)
        self.responses.read_more(dark_cells(light, points, self.demands, np.flatnonzero(cells), _CLOSE))
        added = len(self.responses.readings) - known
        self.trust.read_more(self.responses.readings, self.light(layout.places), lighting)
        self.refresh()
        return added

    def falls_short(self, layout: Layout) -> int:
        """Judge layouts also at the cells that are too dark in this one by quick light; return how many were added.

        A layout that has such cells needs no full solution, which takes twenty times as long.
        """
        points, cells = self.responses.cells
        light = self.responses.everywhere(self.ceiling.fixtures(layout.places), self.model)
        cells = cells if self.request.evenness else self._insisted_on(points, cells)
        known = len(self.responses.readings)
        self.responses.read_more(dark_cells(light, points, self.demands, np.flatnonzero(cells), 1.0))
        self.trust.grow(self.responses.readings)
        self.refresh()
        return len(self.responses.readings) - known

    def refresh(self) -> None:
        """Take up readings that were added."""
        if self._version == self.responses.version:
            return
        self._version = self.responses.version
        self._columns = self.responses.of(self.ceiling.fixtures(self.places), self.model)
        self._ask_anew()

    def light(self, places: Places) -> FloatArray:
        """Return the uncorrected quick light of a layout (n,) [lx]."""
        columns = self.responses.of(self.ceiling.fixtures(places), self.model)
        total: FloatArray = columns.sum(axis=1).astype(float)
        return total

    def expected(self, places: Places) -> FloatArray:
        """Return the corrected quick light of a layout (n,) [lx]."""
        return self.light(places) * self.trust.correction

    def score(self, places: Places) -> float:
        """Return the least share of any demand that a layout meets."""
        self.refresh()
        return float(self.trusted(self.demands).score(self.expected(places)))

    def trusted(self, demands: Demands, hopeful: bool = False) -> Demands:
        """Return the demands with the measured factor of the average; the better of it and 1 where ``hopeful``."""
        factor = self.trust.average_factor
        kinds = np.array([row.kind in ("average", "reduced average") for row in demands.rows])
        over = np.where(kinds[:, None], demands.over * (max(factor, 1.0) if hopeful else factor), demands.over)
        return replace(demands, over=over, under=demands.under * (min(factor, 1.0) if hopeful else factor))

    def learn(self, places: Places, lighting: Lighting) -> None:
        """Take a full solution of a layout as a lesson about quick light."""
        self.refresh()
        self.trust.learn(self.light(places), lighting, lambda light: float(self.demands.score(light)))

    def ask(self, request: Request) -> None:
        """Ask for something else from now on; what was given up stays so."""
        self.request = request
        self._ask_anew()

    def _ask_anew(self) -> None:
        every = demands_of(self.plan, self.request, self.responses.readings)
        gone = {about(row) for row in self._given_up}
        self._demands = every.only(np.array([about(row) not in gone and self._insists_on(row) for row in every.rows]))

    def _insists_on(self, row: Demand) -> bool:
        if row.kind != "minimum":
            return True
        return row.cell not in self._unreachable and not (self._insists_not and row.is_hidden)

    def give_up(self, row: Demand) -> None:
        """Ask for one demand no more."""
        self._given_up.append(row)
        self._ask_anew()

    @property
    def is_finer(self) -> bool:
        """Whether there are places between those of the grid."""
        return len(self.places) > self._on_grid

    def finer_near(self, x: float, y: float) -> bool:
        """Take up places between those of the grid near a spot; tell whether there are any new ones."""
        fine = self.ceiling.grid(self.request.step / 2)
        near = np.hypot(*(fine.centres - (x, y)).T) < _FINE_REACH
        known = {
            (*centre, turn)
            for centre, turn in zip(self.places.centres.round(3).tolist(), self.places.turns, strict=True)
        }
        near &= [(*c, turn) not in known for c, turn in zip(fine.centres.round(3).tolist(), fine.turns, strict=True)]
        more = int(near.sum())
        if not more or len(self.places) + more > self._on_grid + _MOST_FINER:
            return False
        centres = np.concatenate([self.places.centres, fine.centres[near]])
        self.places = Places(centres, np.concatenate([self.places.turns, fine.turns[near]]))
        self.cliques = cliques_of(self.ceiling, self.places)
        self._columns = self.responses.of(self.ceiling.fixtures(self.places), self.model)
        return True

    def give_up_cells(self, cells: Iterable[int]) -> None:
        """Ask for the minimum no more at single cells (indices into the full grid's inside cells)."""
        self._unreachable |= set(cells)
        self._ask_anew()

    def read_around(self, cells: Sequence[int], lit: Sequence[float]) -> None:
        """Judge layouts also at all cells near some that are about as dark under an even ceiling, ``lit``."""
        self.responses.read_more(self.responses.dark_beside(cells, [value * _ABOUT for value in lit], APART))
        self.trust.grow(self.responses.readings)
        self.refresh()

    def give_up_hidden(self) -> None:
        """Ask no more for light at spots that things around them keep dark, nor at those that are found later."""
        hidden = [row.cell for row in self.demands.rows if row.is_hidden]
        self._insists_not = True
        self._ask_anew()
        self.responses.read_more(self.responses.open_beside(hidden, HIDDEN, 1.5 * APART))
        self.trust.grow(self.responses.readings)
        self.refresh()

    def insisted_on(self, lighting: Lighting) -> BoolArray:
        """Tell which inside cells of the full grid must still reach the minimum."""
        return self._insisted_on(lighting.grid.points()[lighting.inside.ravel()], lighting.counted[lighting.inside])

    @property
    def leaves_out(self) -> bool:
        """Whether there are points that count and need not reach the minimum."""
        return bool((self.responses.cells[1] & ~self.insisted_cells()).any())

    def insisted_cells(self) -> BoolArray:
        """Tell which inside cells of the full grid must reach the minimum, before any layout is solved."""
        return self._insisted_on(*self.responses.cells)

    def hidden_cells(self) -> BoolArray:
        """Tell which inside cells of the full grid are hidden and must reach the minimum all the same."""
        if not any(row.kind == "minimum" for row in self.demands.rows):
            return np.zeros(len(self.responses.evenly_lit), dtype=bool)
        hidden: BoolArray = self.insisted_cells() & (self.responses.evenly_lit < HIDDEN)
        return hidden

    def _insisted_on(self, points: FloatArray, counted: BoolArray) -> BoolArray:
        held: BoolArray = counted.copy()
        held[sorted(self._unreachable)] = False
        if self._insists_not:
            held &= self.responses.evenly_lit >= HIDDEN
        for row in self._given_up:
            if row.kind == "minimum":
                held &= np.hypot(points[:, 0] - row.x, points[:, 1] - row.y) > APART
        return held

    def give_up_evenness(self) -> bool:
        """Ask for evenness no more; tell whether it was asked for."""
        was_asked = self.request.evenness > 0.0
        self.ask(replace(self.request, evenness=0.0))
        return was_asked

    def layout(self, kind: str, places: Places) -> Layout:
        """Return a layout with its score."""
        return Layout(kind, places, self.score(places))

    def least_shadow_first(self, layouts: list[Layout]) -> list[Layout]:
        """Return layouts with those first that seem to keep the limit of body shadow, or to have least of it."""
        if self._guess is None:
            return layouts
        limit = 0.0 if self.request.minimise == "shadow" else self.request.shadow_limit
        over = [max(0.0, round(self.shadow(layout) - limit, 2)) for layout in layouts]
        return [layouts[k] for k in sorted(range(len(layouts)), key=lambda k: over[k])]

    def shadow(self, layout: Layout) -> float:
        """Return an estimate of the share that a body takes at the hands at the worst bench, 0 where none is asked."""
        if self._guess is None or not self._guess.benches:
            return 0.0
        readings, light = self.responses.readings, self.expected(layout.places)
        on = {name: float(light[readings.bench == k].mean()) for k, name in enumerate(readings.benches)}
        sources = self.responses.sources(self.ceiling.fixtures(layout.places), self.model)
        return float(self._guess.shares(sources, on).max())

    def size(self, count: int) -> float:
        """Return what is to be small for so many fixtures of the model."""
        setting = self.model.settings[self.ceiling.setting]
        each = {"fixtures": 1.0, "cost": self.model.price, "watts": setting.watts, "shadow": 1.0}[self.request.minimise]
        return count * each if math.isfinite(each) else float(count)

    def limits(self, share: float) -> Limits:
        """Return a share of the request's limits; where there are many places each node takes longer."""
        size = min(1.0, _MANY / max(1, len(self.places)))
        return replace(self.request.limits, nodes=max(10, round(self.request.limits.nodes * share * size)))

    def is_stopped(self) -> bool:
        """Whether somebody asked to stop."""
        return self.cancelled is not None and self.cancelled()


def about(row: Demand) -> tuple[str, str, int]:
    """Return what tells a demand from others: its kind, its bench, its cell."""
    return row.kind, row.bench, row.cell
