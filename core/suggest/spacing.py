"""Rows with fixtures where they are needed, by columns of their own: what was only estimated between the places of a
grid is put right wherever a fixture comes to hang, until rows hold."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from core.suggest.aligned import Aligned
from core.suggest.candidates import Places
from core.suggest.lines import LinePool
from core.suggest.search import Layout, Search
from core.suggest.spaced import MOST_ROWS, Row, SpacedRows, rows_for

__all__ = ["Spacing"]

_ROUNDS = 14
"""Times that rows are looked for again after their places were worked out for themselves."""
_FEWER = 4
"""Fixtures more than the first look needs that are still tried."""
Spot = tuple[int, int, int]
"""A place: the number of its bundle, its number across and along."""


class Spacing:
    """Looks for the fewest fixtures in rows along one axis (0: x, 1: y)."""

    def __init__(self, search: Search, aligned: Aligned, along: int) -> None:
        self._search, self._aligned, self.along = search, aligned, along
        self._known: dict[Spot, None] = {}
        self._begin()

    def _begin(self) -> None:
        """Look at the demands as they are now."""
        self._pool: LinePool = self._aligned.pool(self.along, is_grown=False)
        self._rows = SpacedRows(self.along, self._pool.bundles, self._pool.right, self._search.cancelled)
        known, self._known = list(self._known), {}
        self._put_right(known)

    def fewest(self, at_least: int, at_most: int) -> Layout | None:
        """Return rows of as few fixtures as are found that hold by quick light, None where it takes too many.

        The first look is too hopeful, so that from there on the number of rows, then that of fixtures grows.
        """
        rows = self._rows.fewest(at_least, at_most)
        if rows is None:
            return None
        least, number = _size(rows), len(rows)
        for count in range(least, min(least + _FEWER, at_most) + 1):
            layout = self._with_rows(count, range(number, MOST_ROWS + 1), rows)
            if layout is not None:
                return layout
        return None

    def soon(self, count: int, at_most: int) -> Layout | None:
        """Return rows of about ``count`` fixtures, a tenth more where that is not soon enough; None where none hold."""
        while count <= at_most and not self._search.is_stopped():
            layout = self._with_rows(count, rows_for(count), None)
            if layout is not None:
                return layout
            count += max(1, count // 10)
        return None

    def _with_rows(self, count: int, numbers: Iterable[int], begin: Sequence[Row] | None) -> Layout | None:
        for number in numbers:
            if number not in rows_for(count) or self._search.is_stopped():
                return None
            start = begin if begin is not None and len(begin) == number else None
            rows = self._rows.reached(count, number, start)
            layout = None if rows is None else self._settled(rows)
            if layout is not None:
                return layout
        return None

    def _settled(self, rows: Sequence[Row]) -> Layout | None:
        """Return a layout of as many fixtures that holds by columns of its own, None where none was found."""
        search = self._search
        for _ in range(_ROUNDS):
            layout = search.layout("one row" if len(rows) == 1 else "rows, unevenly spaced", self._rows.places(rows))
            if layout.score < 1.0 + search.trust.margin:
                if not self._put_right(_spots(rows)):
                    return None
            elif search.falls_short(layout):
                self._begin()
            else:
                return layout
            found = self._rows.reached(_size(rows), len(rows), rows)
            if found is None or search.is_stopped():
                return None
            rows = found
        return None

    def _put_right(self, spots: Sequence[Spot]) -> int:
        """Work out what places really give, and correct those around them by as much, less the farther they are.

        Return how many there were that had not been worked out.
        """
        search, pool = self._search, self._pool
        new = [spot for spot in dict.fromkeys(spots) if spot not in self._known]
        correction = search.trust.correction[:, None]
        for number, across, along in new:
            self._known[number, across, along] = None
            bundle = pool.bundles[number]
            centre = np.empty((1, 2))
            centre[0, self.along], centre[0, 1 - self.along] = bundle.along[along], bundle.across[across]
            fixtures = search.ceiling.fixtures(Places(centre, np.array([bundle.turn])))
            columns = search.responses.of(fixtures, search.model) * correction
            true = pool.demands.linear(columns, pool.scale)[0][:, 0]
            off = (true - bundle.light[across, along]).astype(np.float32)
            away = np.hypot(*np.meshgrid(bundle.along - bundle.along[along], bundle.across - bundle.across[across]))
            weight = np.clip(1.0 - away / search.request.step, 0.0, 1.0)
            weight *= bundle.is_free[:, :-1]
            for a, m in (spot[1:] for spot in self._known if spot[0] == number):
                weight[a, m] = 0.0
            weight[across, along] = 1.0
            for a in np.flatnonzero(weight.any(axis=1)):
                bundle.light[a, :-1] += weight[a, :, None].astype(np.float32) * off
        self._rows.renew()
        return len(new)


def _size(rows: Sequence[Row]) -> int:
    return sum(len(row.spots) for row in rows)


def _spots(rows: Sequence[Row]) -> list[Spot]:
    return [(row.bundle, row.across, spot) for row in rows for spot in row.spots]
