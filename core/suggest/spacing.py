"""Rows with fixtures where they are needed, on the places of a grid, judged at further spots until they hold there."""

from __future__ import annotations

from collections.abc import Sequence

from core.suggest.aligned import Aligned
from core.suggest.layout import Layout
from core.suggest.rows import Row, count_of, rows_for
from core.suggest.search import Search
from core.suggest.spaced import TRIES, SpacedRows

__all__ = ["Spacing", "soon"]

_ROUNDS = 14
"""Times that rows are looked for again because they were too dark at a spot that had not been looked at."""
_FEWER = 4
"""Fixtures more than the first look needs that are still tried."""
_MORE, _GROWTH = 6, 1.12
"""How often a first look takes more fixtures, and how many more."""
_TRIES_AT_LAST = 300
"""Beginnings with the most rows: before there is one fixture more."""
_MANY = 300
"""Places beyond which every beginning takes longer, and so many fewer are tried."""
_MOST_PLACES = 350
"""Places up to which their columns are worked out at half the spacing too."""


def soon(search: Search, aligned: Aligned, count: int) -> Layout | None:
    """Return rows of about ``count`` fixtures on the grid, more where so many do not do; None where none were found."""
    spacings: dict[int, Spacing] = {}
    for number in range(_MORE):
        for along in (search.longer_axis, 1 - search.longer_axis):
            tried = round(count * _GROWTH**number)
            if search.is_stopped() or tried > search.most:
                return None
            if along not in spacings:
                # Where a gap is lit from between the grid's places only, rows on the grid would be looked for in vain.
                spacings[along] = Spacing(search, aligned, along, search.is_finer)
            layout = spacings[along].with_count(tried)
            if layout is not None:
                return layout
    return None


class Spacing:
    """Looks for the fewest fixtures in rows along one axis (0: x, 1: y)."""

    def __init__(self, search: Search, aligned: Aligned, along: int, is_fine: bool = True) -> None:
        self._is_fine = is_fine and len(search.places) <= _MOST_PLACES
        self._search, self._aligned, self.along = search, aligned, along
        self._begin()

    def _begin(self) -> None:
        """Look at the demands as they are now."""
        ground = self._aligned.ground(self.along, self._is_fine)
        effort = min(1.0, _MANY / max(1, len(self._search.places)))
        self._rows = SpacedRows(self.along, ground.bundles, ground.right, self._search.cancelled, effort)

    def fewest(self, at_least: int, at_most: int) -> Layout | None:
        """Return rows of as few fixtures as are found that hold by quick light, None where it takes too many.

        The first look is too hopeful, so that from there on the number of rows, then that of fixtures grows.
        """
        rows = self._rows.fewest(at_least, at_most)
        if rows is None:
            return None
        least, number = count_of(rows), len(rows)
        for count in range(least, min(least + _FEWER, at_most) + 1):
            layout = self._with_rows(count, range(number, rows_for(count).stop), rows)
            if layout is not None:
                return layout
        return None

    def with_count(self, count: int) -> Layout | None:
        """Return rows of so many fixtures that hold by quick light, None where a short look finds none."""
        return self._with_rows(count, rows_for(count), None, TRIES)

    def _with_rows(
        self, count: int, numbers: range, begin: Sequence[Row] | None, at_last: int = _TRIES_AT_LAST
    ) -> Layout | None:
        for number in numbers:
            if self._search.is_stopped():
                return None
            start = begin if begin is not None and len(begin) == number else None
            tries = TRIES if number + 1 in numbers else at_last
            rows = self._rows.reached(count, number, start, tries)
            layout = None if rows is None else self._settled(rows, tries)
            if layout is not None:
                return layout
        return None

    def _settled(self, rows: Sequence[Row], tries: int) -> Layout | None:
        """Return a layout of as many fixtures that holds at every spot by quick light, None where none was found."""
        search = self._search
        for _ in range(_ROUNDS):
            layout = search.layout(
                "one row" if len(rows) == 1 else "rows, unevenly spaced", self._rows.ground.places(rows)
            )
            if layout.score < 1.0 + search.trust.margin or not search.falls_short(layout):
                return layout if layout.score >= 1.0 + search.trust.margin else None
            self._begin()
            found = self._rows.reached(count_of(rows), len(rows), rows, tries)
            if found is None or search.is_stopped():
                return None
            rows = found
        return None
