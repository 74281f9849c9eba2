"""Aligned layouts of one model: patterns by the thousand, then lines that an integer program chooses."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from core.light.grid import FloatArray
from core.suggest.between import Between
from core.suggest.free import least_parts
from core.suggest.layout import Layout
from core.suggest.lines import Line, LinePool, line_pool
from core.suggest.patterns import PatternBook
from core.suggest.refine import fewest_lines, mended
from core.suggest.search import Search

__all__ = ["Aligned"]

_TRIED = 10
"""Patterns of one count that are worked out exactly."""
_NEARLY = 0.97
_NO_BETTER = 8
"""So many fixtures more without a better pattern end the search: an evenness, say, does not come with numbers."""
_BETWEEN = 0.008
"""What light between the kept columns may be off."""
_OFF_GRID = 0.9
"""Patterns lie beside the grid too: they may do with a little less than parts of fixtures on it."""
_LINE_TRIES = 12
_WORTH_MENDING = 3
_HASTY_TRIES, _HALL_TRIES, _TRIES = 3, 6, 20
_BEGINNINGS = ((1 / 30, 0.4), (1 / 30, 0.25), (1 / 30, 0.12))
"""From where lines are moved about: shares of the limit in nodes, and gaps that are good enough. Moving them is quicker
than choosing better ones."""


class Aligned:
    """Looks for layouts in rows."""

    def __init__(self, search: Search) -> None:
        self._search = search
        self._book: PatternBook | None = None
        self._grids: dict[bool, dict[float, Between]] = {}
        self._version = -1

    def least(self) -> int:
        """Return a number of fixtures that no aligned pattern gets by with."""
        return max(1, math.floor(_OFF_GRID * least_parts(self._search)))

    def _between(self, is_fine: bool = False) -> dict[float, Between]:
        """Return the columns of each rotation on the request's grid, or on one of half its spacing."""
        search = self._search
        search.refresh()
        if self._version != search.responses.version:
            self._version = search.responses.version
            self._grids.clear()
        if is_fine not in self._grids:
            step = search.request.step / 2 if is_fine else search.request.step
            grids = {turn: Between.over(search.ceiling, search.responses, turn, step) for turn in search.ceiling.turns}
            self._grids[is_fine] = {turn: grid for turn, grid in grids.items() if grid is not None}
        return self._grids[is_fine]

    def patterns(self, counts: range) -> Iterator[Layout]:
        """Yield patterns that meet the demands with the margin, fewest fixtures first."""
        search = self._search
        if self._book is None:
            few = search.demands.without_idle(search.columns)
            self._book = PatternBook(search.ceiling, self._between(), few, search.request.symmetric)
        best, best_count = 0.0, counts.start
        for count in counts:
            if search.is_stopped() or count > best_count + _NO_BETTER:
                return
            tried = self._book.best(count, _TRIED, search.cancelled)
            if tried and tried[0].score > best + 1e-3:
                best, best_count = tried[0].score, count
            if not tried or (tried[0].score < _NEARLY and search.request.count is None):
                continue
            exact = [search.layout(pattern.kind, pattern.places()) for pattern in tried]
            exact.sort(key=lambda layout: -layout.score)
            good = [layout for layout in exact if layout.score >= 1.0 + search.trust.margin]
            yield from search.least_shadow_first(exact if search.request.count is not None else good)

    def lines(self, at_least: int, at_most: int, is_hasty: bool = False) -> Layout | None:
        """Return rows anywhere across the room that need fewer fixtures than any found so far; None where none do.

        A hasty look takes the first ones that do. In a hall they are looked for along its longer side only.
        """
        best: Layout | None = None
        longer = self._search.longer_axis
        for along in (longer,) if self._search.is_hall and not is_hasty else (longer, 1 - longer):
            if self._search.is_stopped() or at_most < at_least:
                return best
            found = self._lines_one_way(along, at_least, at_most, is_hasty)
            if found is not None:
                best, at_most = found, found.count - 1
                if is_hasty:
                    return best
        return best

    def _lines_one_way(self, along: int, at_least: int, at_most: int, is_hasty: bool) -> Layout | None:
        """Return the fewest fixtures that several beginnings lead to, None where it takes more than ``at_most``."""
        search, best = self._search, None
        pool = self.pool(along)
        # In a hall every beginning takes seconds.
        thorough = _BEGINNINGS[1:2] if search.is_hall else _BEGINNINGS[1:]
        for share, gap in _BEGINNINGS[:1] if is_hasty else thorough:
            if search.is_stopped() or at_most < at_least:
                break
            limits = replace(search.limits(share), gap=gap)
            lines = pool.best(limits, search.most, search.cancelled)
            if lines is None:
                break
            found = self._settled(
                pool,
                along,
                lines,
                at_least,
                at_most,
                _HASTY_TRIES if is_hasty else _HALL_TRIES if search.is_hall else _TRIES,
            )
            if found is not None:
                best, at_most = found, found.count - 1
        return best

    def pool(self, along: int) -> LinePool:
        """Return the lines along an axis that are worth their fixtures for what is asked now."""
        return self._pool(along, self._between(), 1.0 + self._search.trust.margin + _BETWEEN, is_plain=False)

    def ground(self, along: int, is_fine: bool) -> LinePool:
        """Return the places of the grid, or of one of half its spacing, for rows along an axis; no lines."""
        return self._pool(along, self._between(is_fine), 1.0 + self._search.trust.margin, is_plain=True)

    def _pool(self, along: int, between: dict[float, Between], asked: float, *, is_plain: bool) -> LinePool:
        search, correction = self._search, self._search.trust.correction[:, None]
        grids = {turn: replace(grid, columns=grid.columns * correction) for turn, grid in between.items()}
        few = search.trusted(search.demands)
        if not is_plain:  # rows on the ground take up demands as they miss them
            few = few.without_idle(search.columns * correction)
        step, is_symmetric = search.request.step, search.request.symmetric
        return line_pool(
            search.ceiling, grids, along, few, asked, step, is_symmetric, search.cancelled, is_plain=is_plain
        )

    def _settled(
        self, pool: LinePool, along: int, lines: list[Line], at_least: int, at_most: int, tries: int
    ) -> Layout | None:
        """Move lines about until they do with as few fixtures as they can by columns of their own."""
        search = self._search
        best: Layout | None = None
        fewer: list[Line] | None = fewest_lines(pool, lines, at_least, search.cancelled, tries)
        for _ in range(_LINE_TRIES):
            if fewer is None or search.is_stopped() or pool.count(fewer) > at_most + _WORTH_MENDING:
                return best
            lines = fewer
            layout = search.layout("one row" if len(lines) == 1 else "rows where they help most", pool.places(lines))
            if layout.score < 1.0 + search.trust.margin:
                # Between the kept columns light is a little off; ask for that much more where it is.
                thought = np.sum([pool.light(line) for line in lines], axis=0)
                pool.lift(thought / np.maximum(pool.demands.ratios(self._expected(pool, layout)), 1e-9))
                fewer = mended(pool, lines, search.cancelled) or self._again(pool)
            elif search.falls_short(layout):
                pool = self.pool(along)
                fewer = mended(pool, lines, search.cancelled) or self._again(pool)
            else:
                if layout.count <= at_most:
                    best, at_most = layout, layout.count - 1
                if layout.count <= at_least:
                    return best
                fewer = fewest_lines(pool, lines, at_least, search.cancelled, tries)
                if pool.count(fewer) == layout.count:
                    return best
        return best

    def _again(self, pool: LinePool) -> list[Line] | None:
        """Choose mirrored lines anew, since they are not moved about."""
        search = self._search
        share, gap = _BEGINNINGS[0]
        limits = replace(search.limits(share), gap=gap)
        return pool.best(limits, search.most, search.cancelled) if pool.is_paired else None

    def _expected(self, pool: LinePool, layout: Layout) -> FloatArray:
        """Return the light of a layout at the readings that the pool's demands are about."""
        expected: FloatArray = self._search.expected(layout.places)[: pool.demands.over.shape[1]]
        return expected
