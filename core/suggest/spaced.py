"""Rows whose fixtures hang where they are needed: in line, but not evenly spaced.

Fixtures are moved along their rows and from row to row, and rows across the room, one at a time to where the sum of
the squares by which demands are missed is least, until nothing helps (steepest descent). From there a few of them are
put anywhere and it begins again (`core.suggest.local_search`). Chance has a fixed seed: the same request has the same
answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray
from core.suggest.lines import Bundle
from core.suggest.local_search import MET, begun_again, missed_squares, taken_up
from core.suggest.rows import LEAST_ON_ROW, Row, RowGround, count_of, rows_for, with_spot, without_spot

__all__ = ["TRIES", "SpacedRows"]

TRIES, _FIRST_TRIES, _LEAST_TRIES = 60, 8, 3
"""Beginnings for one number of fixtures and rows."""
_SWEEPS, _WORTH = 30, 1e-2
_DEMANDS_FIRST = 60
"""Demands that moves are judged by at first."""
_BETTER = 1e-7


class SpacedRows:
    """Looks for rows along one axis.

    Parameters
    ----------
    bundles
        What a fixture anywhere gives to every demand.
    right : (rows,)
        What the demands ask.
    effort
        Share of the usual beginnings that is tried: in a hall each takes long.
    """

    def __init__(
        self,
        along: int,
        bundles: Sequence[Bundle],
        right: FloatArray,
        cancelled: Callable[[], bool] | None = None,
        effort: float = 1.0,
    ) -> None:
        self.ground = RowGround(along, bundles)
        self._bundles, self._cancelled, self._effort = bundles, cancelled, effort
        self._every = right.astype(np.float32)
        self._chance = np.random.default_rng(0)
        least = np.min([bundle.light.sum(axis=(0, 1)) for bundle in bundles], axis=0) / np.maximum(right, MET)
        self._used: NDArray[np.intp] = np.sort(least.argsort(kind="stable")[:_DEMANDS_FIRST])
        self._renew()

    def _renew(self) -> None:
        """Take up the bundles' light as it is now."""
        self._light = [np.ascontiguousarray(bundle.light[..., self._used]) for bundle in self._bundles]
        self._right = self._every[self._used]

    def _misses_others(self, rows: Sequence[Row]) -> bool:
        """Tell whether rows miss a demand that was left out so far; such ones are taken up."""
        short = self._every.copy()
        for row in rows:
            short -= self._bundles[row.bundle].light[row.across, list(row.spots)].sum(axis=0)
        used = taken_up(self._used, short)
        if used is not None:
            self._used = used
            self._renew()
        return used is not None

    # --- what rows are

    def light(self, row: Row) -> FloatArray:
        """Return what a row gives to every demand (rows,)."""
        total: FloatArray = self._light[row.bundle][row.across, list(row.spots)].sum(axis=0)
        return total

    def missed(self, rows: Sequence[Row]) -> float:
        """Return the sum of squares by which demands are missed."""
        return float(missed_squares(self._right - np.sum([self.light(row) for row in rows], axis=0)))

    def light_along(self, row: Row) -> FloatArray:
        """Return what a fixture anywhere along a row gives to the demands in use, (places along, demands)."""
        light: FloatArray = self._light[row.bundle][row.across, :-1]
        return light

    # --- the search

    def fewest(self, at_least: int, at_most: int) -> list[Row] | None:
        """Return rows that meet the demands with as few fixtures as are found, None where none were."""
        best: list[Row] | None = None
        count = at_most
        while count > at_least and not self.ground.fits(count):
            count -= 1
        number, start = rows_for(count).start, best
        while count >= max(1, at_least) and not self._is_stopped():
            found = self.reached(count, number, start)
            if found is not None:
                best, start = found, found
                count = count_of(found) - 1
            elif number + 1 in rows_for(count):
                number, start = number + 1, None
            else:
                break
        return best

    def reached(
        self, count: int, number: int, begin: Sequence[Row] | None = None, tries: int = TRIES
    ) -> list[Row] | None:
        """Return ``number`` rows with ``count`` fixtures that meet the demands, None where none were found."""
        first, most = (max(_LEAST_TRIES, round(number * self._effort)) for number in (_FIRST_TRIES, tries))

        def start(best: list[Row] | None, attempt: int) -> list[Row] | None:
            if best is None:
                cut = self._cut_to(begin, count) if begin is not None else None
                return cut or self.ground.anywhere(count, number)
            return self.ground.shaken(best) if attempt % 8 else self.ground.anywhere(count, number)

        return begun_again(start, self.down, self._misses_others, most, first, self._is_stopped)

    def down(self, rows: Sequence[Row]) -> tuple[float, list[Row]]:
        """Move fixtures and rows as long as that helps; return what is missed in the end, and the rows."""
        rows = list(rows)
        total = np.sum([self.light(row) for row in rows], axis=0)
        best = float(missed_squares(self._right - total))
        for _ in range(_SWEEPS):
            before = best
            for number in self._chance.permutation(len(rows)):
                if best > MET:
                    best, total = self._row_moved(rows, int(number), best, total)
            along_all = _AlongAll(self, rows)
            for number in self._chance.permutation(len(rows)):
                for spot in rows[number].spots:
                    if best > MET:
                        best, total = self._fixture_moved(rows, along_all, (int(number), spot), best, total)
            if best <= MET or best > before * (1.0 - _WORTH):
                break
        return best, rows

    def _fixture_moved(
        self, rows: list[Row], along_all: _AlongAll, which: tuple[int, int], best: float, total: FloatArray
    ) -> tuple[float, FloatArray]:
        """Move one fixture of a row to its best place on any row, if that helps."""
        number, spot = which
        row = rows[number]
        rest = without_spot(row, spot)
        asked = self._right - (total - self._light[row.bundle][row.across, spot])
        missed = missed_squares(asked - along_all.light)
        missed[~along_all.without(number, rest)] = np.inf
        k = int(missed.argmin())
        if not missed[k] < best - _BETTER * max(1.0, best):
            return best, total
        other, place = along_all.at(k)
        rows[number] = rest
        rows[other] = with_spot(rows[other], place)
        along_all.changed(rows, {number, other})
        return float(missed[k]), self._right - (asked - along_all.light[k])

    def _row_moved(self, rows: list[Row], number: int, best: float, total: FloatArray) -> tuple[float, FloatArray]:
        """Move a row across the room, or turn its fixtures, if that helps."""
        row = rows[number]
        asked = self._right - (total - self.light(row))
        others = [other for k, other in enumerate(rows) if k != number]
        for turned, bundle in enumerate(self._bundles):
            spots = self.ground.spots_in(row, turned)
            if spots is None:
                continue
            clear = self.ground.clear(turned, others) & bundle.is_free[:, list(spots)].all(axis=1)
            places = np.flatnonzero(clear)
            if not places.size:
                continue
            light = self._light[turned][places[:, None], list(spots)].sum(axis=1)
            missed = missed_squares(asked - light)
            k = int(missed.argmin())
            if missed[k] < best - _BETTER * max(1.0, best):
                best, rows[number] = float(missed[k]), Row(turned, int(places[k]), spots)
                total = self._right - asked + light[k]
        return best, total

    def _cut_to(self, rows: Sequence[Row], count: int) -> list[Row] | None:
        """Return rows with the fixtures left out whose loss is missed least, None where rows would be too short."""
        rows = list(rows)
        while count_of(rows) > count:
            lost = [
                (self.missed([*rows[:number], less, *rows[number + 1 :]]), number, less)
                for number, row in enumerate(rows)
                if len(row.spots) > LEAST_ON_ROW
                for less in (without_spot(row, spot) for spot in row.spots)
            ]
            if not lost:
                return None
            _, number, less = min(lost, key=lambda one: one[:2])
            rows[number] = less
        return rows

    def _is_stopped(self) -> bool:
        return self._cancelled is not None and self._cancelled()


class _AlongAll:
    """All places along all rows, one row's after the other's: what a fixture there gives, and whether one fits."""

    def __init__(self, descent: SpacedRows, rows: Sequence[Row]) -> None:
        self._descent = descent
        parts = [descent.light_along(row) for row in rows]
        self.light = np.concatenate(parts)
        self._edges = np.cumsum([0, *(len(part) for part in parts)])
        self._free: BoolArray = np.concatenate([descent.ground.free(row) for row in rows])
        self._is_least = [len(row.spots) <= LEAST_ON_ROW for row in rows]

    def at(self, place: int) -> tuple[int, int]:
        """Return the row of a place, and its number along it."""
        row = int(np.searchsorted(self._edges, place, side="right")) - 1
        return row, place - int(self._edges[row])

    def without(self, number: int, rest: Row) -> BoolArray:
        """Tell where a fixture fits that leaves a row's ``rest`` behind: not in another row if that is too little."""
        mine = slice(self._edges[number], self._edges[number + 1])
        free: BoolArray = np.zeros_like(self._free) if self._is_least[number] else self._free.copy()
        free[mine] = self._descent.ground.free(rest)
        return free

    def changed(self, rows: Sequence[Row], numbers: set[int]) -> None:
        """Take up that fixtures of some rows hang elsewhere now."""
        for number in numbers:
            self._free[self._edges[number] : self._edges[number + 1]] = self._descent.ground.free(rows[number])
            self._is_least[number] = len(rows[number].spots) <= LEAST_ON_ROW
