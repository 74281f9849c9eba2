"""The search for one model: its places and columns, aligned patterns, lines and free layouts that meet the demands."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.light.field import Lighting
from core.light.grid import BoolArray, FloatArray
from core.plan import Model, Plan
from core.suggest.between import Between
from core.suggest.candidates import Ceiling, Places, cliques_of
from core.suggest.dark_cells import APART, dark_cells
from core.suggest.demands import HIDDEN, Demand, Demands, demands_of
from core.suggest.lines import best_lines
from core.suggest.mirrored import mirrored_pairs, singles
from core.suggest.patterns import PatternBook
from core.suggest.program import Choices, Outcome, fewest, fewest_parts, most_even
from core.suggest.request import ASKED_TOO_MUCH, Limits, Request
from core.suggest.responses import Responses
from core.suggest.shadow_guess import ShadowGuess
from core.suggest.trust import Trust

__all__ = ["Layout", "Search"]

_TRIED = 10
"""Patterns of one count that are worked out exactly."""
_NEARLY = 0.97
_NO_BETTER = 8
"""So many fixtures more without a better pattern end the search: an evenness, say, does not come with numbers."""
_CLOSE = 1.05
_MANY = 150
_BETWEEN = 0.008
"""What light between the kept columns may be off."""
_OFF_GRID = 0.9
"""Patterns lie beside the grid too: they may do with a little less than parts of fixtures on it."""


@dataclass(frozen=True)
class Layout:
    """Places with what they are called and the least share of the demands that they meet, by corrected quick light."""

    kind: str
    places: Places
    score: float

    @property
    def count(self) -> int:
        """How many fixtures there are."""
        return len(self.places)


class Search:
    """Looks for layouts of one model.

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
        self._cancelled = cancelled
        self.ceiling = Ceiling.of(plan, model, request)
        self.places = self.ceiling.grid(request.step)
        self.columns = responses.of(self.ceiling.fixtures(self.places), model)
        self._plan = plan
        self.demands = demands_of(plan, request, responses.readings)
        self._given_up: list[Demand] = []
        self._insists_not = False
        self._version = responses.version
        self.cliques = cliques_of(self.ceiling, self.places)
        self._book: PatternBook | None = None
        self._between: dict[float, Between] = {}
        self._guess = ShadowGuess(replace(plan, fixtures=())) if request.looks_at_shadow else None

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
        self._refresh()
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
        self._refresh()
        return len(self.responses.readings) - known

    def _refresh(self) -> None:
        """Take up readings that were added."""
        if self._version == self.responses.version:
            return
        self._version = self.responses.version
        self.columns = self.responses.of(self.ceiling.fixtures(self.places), self.model)
        self._ask_anew()
        if self._between:
            self._between = self._grids()

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
        self._refresh()
        return float(self._trusted(self.demands).score(self.expected(places)))

    def _trusted(self, demands: Demands, hopeful: bool = False) -> Demands:
        """Return the demands with the measured factor of the average; the better of it and 1 where ``hopeful``."""
        factor = self.trust.average_factor
        kinds = np.array([row.kind in ("average", "reduced average") for row in demands.rows])
        over = np.where(kinds[:, None], demands.over * (max(factor, 1.0) if hopeful else factor), demands.over)
        return replace(demands, over=over, under=demands.under * (min(factor, 1.0) if hopeful else factor))

    def learn(self, places: Places, lighting: Lighting) -> None:
        """Take a full solution of a layout as a lesson about quick light."""
        self._refresh()
        self.trust.learn(self.light(places), lighting, lambda light: float(self.demands.score(light)))

    def ask(self, request: Request) -> None:
        """Ask for something else from now on; what was given up stays so."""
        self.request = request
        self._ask_anew()

    def _ask_anew(self) -> None:
        every = demands_of(self._plan, self.request, self.responses.readings)
        gone = {_about(row) for row in self._given_up}
        self.demands = every.only(
            np.array([_about(row) not in gone and not (self._insists_not and row.is_hidden) for row in every.rows])
        )

    def give_up(self, row: Demand) -> None:
        """Ask for one demand no more."""
        self._given_up.append(row)
        self._ask_anew()

    def give_up_hidden(self) -> None:
        """Ask no more for light at spots that things around them keep dark, nor at those that are found later."""
        hidden = [row.cell for row in self.demands.rows if row.is_hidden]
        self._insists_not = True
        self._ask_anew()
        self.responses.read_more(self.responses.open_beside(hidden, HIDDEN, 1.5 * APART))
        self.trust.grow(self.responses.readings)
        self._refresh()

    def insisted_on(self, lighting: Lighting) -> BoolArray:
        """Tell which inside cells of the full grid must still reach the minimum."""
        return self._insisted_on(lighting.grid.points()[lighting.inside.ravel()], lighting.counted[lighting.inside])

    def _insisted_on(self, points: FloatArray, counted: BoolArray) -> BoolArray:
        held: BoolArray = counted.copy()
        if self._insists_not:
            held &= self.responses.evenly_lit >= HIDDEN
        for row in self._given_up:
            if row.kind == "minimum":
                held &= np.hypot(points[:, 0] - row.x, points[:, 1] - row.y) > APART
        return held

    def least(self) -> int:
        """Return a number of fixtures that no aligned pattern gets by with."""
        choices, _ = self.choices(0.0)
        parts = fewest_parts(choices, self.request.limits)
        return max(1, math.floor(_OFF_GRID * parts)) if math.isfinite(parts) else 1

    def give_up_evenness(self) -> bool:
        """Ask for evenness no more; tell whether it was asked for."""
        was_asked = self.request.evenness > 0.0
        self.ask(replace(self.request, evenness=0.0))
        return was_asked

    def layout(self, kind: str, places: Places) -> Layout:
        """Return a layout with its score."""
        return Layout(kind, places, self.score(places))

    # --- aligned

    def _prepare_patterns(self) -> PatternBook:
        self._refresh()
        ceiling = self.ceiling
        if self._book is None:
            self._between = self._grids()
            few = self.demands.without_idle(self.columns)
            self._book = PatternBook(ceiling, self._between, few, self.request.symmetric)
        return self._book

    def _grids(self) -> dict[float, Between]:
        ceiling, step = self.ceiling, self.request.step
        grids = {turn: Between.over(ceiling, self.responses, turn, step) for turn in ceiling.turns}
        return {turn: grid for turn, grid in grids.items() if grid is not None}

    def patterns(self, counts: range) -> Iterator[Layout]:
        """Yield patterns that meet the demands with the margin, fewest fixtures first."""
        book = self._prepare_patterns()
        best, best_count = 0.0, counts.start
        for count in counts:
            if self._stopped() or count > best_count + _NO_BETTER:
                return
            tried = book.best(count, _TRIED, self._cancelled)
            if tried and tried[0].score > best + 1e-3:
                best, best_count = tried[0].score, count
            if not tried or (tried[0].score < _NEARLY and self.request.count is None):
                continue
            exact = [self.layout(pattern.kind, pattern.places()) for pattern in tried]
            exact.sort(key=lambda layout: -layout.score)
            good = [layout for layout in exact if layout.score >= 1.0 + self.trust.margin]
            yield from self._least_shadow_first(exact if self.request.count is not None else good)

    def _least_shadow_first(self, layouts: list[Layout]) -> list[Layout]:
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

    def lines(self, at_least: int, at_most: int) -> Layout | None:
        """Return rows anywhere across the room that need fewer fixtures than any found so far; None where none do."""
        self._prepare_patterns()
        best: Layout | None = None
        for turn, grid in self._between.items():
            corrected = replace(grid, columns=grid.columns * self.trust.correction[:, None])
            for along in (0, 1):
                if self._stopped():
                    return best
                found = self._lines_one_way(corrected, turn, along, at_least, at_most)
                if found is not None:
                    best, at_most = found, found.count - 1
                if at_most < at_least:
                    return best
        return best

    def _lines_one_way(self, grid: Between, turn: float, along: int, at_least: int, at_most: int) -> Layout | None:
        margin = self.trust.margin + _BETWEEN
        few = self._trusted(self.demands).without_idle(self.columns * self.trust.correction[:, None])
        limits = self._limits(1 / 8)
        for _ in range(2):
            lines, outcome = best_lines(
                self.ceiling,
                grid,
                turn,
                along,
                few,
                margin,
                limits,
                at_least,
                at_most,
                self.request.step,
                self.request.symmetric,
                self._cancelled,
            )
            if outcome.chosen is None:
                return None
            layout = self.layout("rows where they help most", lines.places(outcome.chosen))
            if layout.score >= 1.0 + self.trust.margin:
                return layout
            # Between the kept columns light is a little off; ask for that much more.
            margin += 1.0 + self.trust.margin - layout.score + 1e-3
        return None

    # --- free

    def choices(self, margin: float, hopeful: bool = False) -> tuple[Choices, list[NDArray[np.intp]]]:
        """Return the program over the grid's places, demands raised by a share, and the places of each choice.

        A ``hopeful`` one asks for no more than what a layout that meets the request is sure to have.
        """
        self._refresh()
        members = (
            mirrored_pairs(self.ceiling, self.places, self.cliques) if self.request.symmetric else singles(self.places)
        )
        correction = np.maximum(self.trust.correction, 1.0) if hopeful else self.trust.correction
        columns = self.columns * correction[:, None]
        demands = self._trusted(self.demands, hopeful)
        if hopeful:
            # All fixtures may hang on the switches that stay on.
            demands = demands.less_of("reduced average", self.request.reduced_share(self._plan))
            demands = demands.lowered(self.trust.slack(np.array([row.lit for row in demands.rows])))
        demands = demands.without_idle(columns)
        summed = np.column_stack([columns[:, part].sum(axis=1) for part in members]) if members else columns[:, :0]
        left, right = demands.linear(summed)
        weights = np.array([len(part) for part in members], dtype=np.intp)
        owner = np.full(len(self.places), -1, dtype=np.intp)
        for number, part in enumerate(members):
            owner[part] = number
        cliques = [np.unique(owner[clique][owner[clique] >= 0]) for clique in self.cliques]
        return Choices(left, right * (1.0 + margin), weights, [c for c in cliques if len(c) > 1]), members

    def bound(self, at_most: int) -> Outcome:
        """Return how few fixtures could do at the least.

        Columns count as bright as they may be, and demands are lowered by what columns may be off at their spot.
        """
        choices, _ = self.choices(0.0, hopeful=True)
        return fewest(choices, self._limits(1.0), at_most=at_most, only_bound=True, cancelled=self._cancelled)

    def free(self, at_least: int, at_most: int) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid with the fewest fixtures that meets the demands with the margin."""
        choices, members = self.choices(self.trust.margin)
        limits = self._limits(1 / 2)
        is_hall = len(self.places) > _MANY
        outcome = fewest(choices, limits, at_least=at_least, at_most=at_most, hasty=is_hall, cancelled=self._cancelled)
        return self._free_layout(outcome, members), outcome

    def brightest(self, count: int, exactly: bool = True) -> tuple[Layout | None, Outcome]:
        """Return the layout on the grid of so many fixtures that meets the largest share of the demands."""
        choices, members = self.choices(0.0)
        outcome = most_even(choices, self.request.limits, count, exactly=exactly, cancelled=self._cancelled)
        return self._free_layout(outcome, members), outcome

    def _free_layout(self, outcome: Outcome, members: list[NDArray[np.intp]]) -> Layout | None:
        if outcome.chosen is None or not outcome.chosen.size:
            return None
        taken = np.concatenate([members[k] for k in outcome.chosen])
        places = Places(self.places.centres[taken], self.places.turns[taken])
        kind = "free, mirrored" if self.request.symmetric else "free"
        return self.layout(kind, places)

    def size(self, count: int) -> float:
        """Return what is to be small for so many fixtures of the model."""
        setting = self.model.settings[self.ceiling.setting]
        each = {"fixtures": 1.0, "cost": self.model.price, "watts": setting.watts, "shadow": 1.0}[self.request.minimise]
        return count * each if math.isfinite(each) else float(count)

    def _limits(self, share: float) -> Limits:
        """Return a share of the request's limits; where there are many places each node takes longer."""
        size = min(1.0, _MANY / max(1, len(self.places)))
        return replace(self.request.limits, nodes=max(10, round(self.request.limits.nodes * share * size)))

    def _stopped(self) -> bool:
        return self._cancelled is not None and self._cancelled()


def _about(row: Demand) -> tuple[str, str, int]:
    return row.kind, row.bench, row.cell
