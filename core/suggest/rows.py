"""Rows on the places of a grid: what they are, where they can be, and some by chance to begin a search with."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from core.light.grid import BoolArray
from core.suggest.candidates import CLEAR, Places
from core.suggest.lines import LEAST_SPACING, Bundle

__all__ = ["LEAST_ON_ROW", "Row", "RowGround", "count_of", "rows_for", "with_spot", "without_spot"]

MOST_ROWS = 6
"""Most rows where fixtures are few."""
_LONGEST = 1.4
"""How much more rows than fixtures on each there are at the most, or the other way round."""
LEAST_ON_ROW = 2
"""A fixture by itself is no row."""
_DRAWS = 20
_TOUCH = 1e-6


@dataclass(frozen=True, slots=True)
class Row:
    """One row: the number of its bundle, of its place across, and of its fixtures' places along, in order."""

    bundle: int
    across: int
    spots: tuple[int, ...]


class RowGround:
    """Where rows along one axis can be.

    Parameters
    ----------
    bundles
        The places of each rotation, and what a fixture there gives.
    """

    def __init__(self, along: int, bundles: Sequence[Bundle]) -> None:
        self.along, self.bundles = along, bundles
        self._gaps = [_least_gap(bundle) for bundle in bundles]
        self._chance = np.random.default_rng(1)

    def places(self, rows: Sequence[Row]) -> Places:
        """Return the places of rows."""
        centres, turns = [], []
        for row in rows:
            bundle = self.bundles[row.bundle]
            part = np.empty((len(row.spots), 2))
            part[:, self.along], part[:, 1 - self.along] = bundle.along[list(row.spots)], bundle.across[row.across]
            centres.append(part)
            turns.append(np.full(len(part), bundle.turn))
        return Places(np.concatenate(centres), np.concatenate(turns))

    def free(self, row: Row) -> BoolArray:
        """Tell at which places along a row one more fixture fits between those there."""
        free: BoolArray = self.bundles[row.bundle].is_free[row.across, :-1].copy()
        gap = self._gaps[row.bundle]
        for spot in row.spots:
            free[max(0, spot - gap + 1) : spot + gap] = False
        return free

    def clear(self, bundle: int, others: Sequence[Row]) -> BoolArray:
        """Tell at which places across a row stays clear of other rows."""
        mine = self.bundles[bundle]
        clear: BoolArray = np.ones(len(mine.across), dtype=bool)
        for other in others:
            there = self.bundles[other.bundle]
            clear &= np.abs(mine.across - there.across[other.across]) >= mine.half + there.half + CLEAR - _TOUCH
        return clear

    def spots_in(self, row: Row, bundle: int) -> tuple[int, ...] | None:
        """Return a row's places along, as places of another bundle; None where its fixtures do not fit."""
        if bundle == row.bundle:
            return row.spots
        here, there = self.bundles[row.bundle], self.bundles[bundle]
        spots = np.abs(there.along[None, :] - here.along[list(row.spots)][:, None]).argmin(axis=1)
        if len(spots) > 1 and np.diff(spots).min() < self._gaps[bundle]:
            return None
        return tuple(int(spot) for spot in spots)

    # --- by chance, always the same

    def anywhere(self, count: int, number: int) -> list[Row] | None:
        """Return some rows by chance, None where they do not fit."""
        for _ in range(_DRAWS):
            rows: list[Row] = []
            for _ in range(number):
                turned = int(self._chance.integers(len(self.bundles)))
                places = np.flatnonzero(self.clear(turned, rows))
                if places.size:
                    rows.append(Row(turned, int(self._chance.choice(places)), ()))
            if len(rows) == number and self._fill(rows, count):
                return rows
        return None

    def fits(self, count: int) -> bool:
        """Tell whether so many fixtures seem to fit on any number of rows."""
        return any(self.anywhere(count, number) is not None for number in rows_for(count))

    def _fill(self, rows: list[Row], count: int) -> bool:
        """Hang so many fixtures on rows by chance, first on those with too few; tell whether they fit."""
        full: set[int] = set()
        while count_of(rows) < count:
            few = [k for k, row in enumerate(rows) if len(row.spots) < LEAST_ON_ROW and k not in full]
            open_ = few or [k for k in range(len(rows)) if k not in full]
            if not open_:
                return False
            number = int(self._chance.choice(open_))
            more = self._with_one_more(rows[number])
            if more is None:
                full.add(number)
            else:
                rows[number] = more
        return all(len(row.spots) >= LEAST_ON_ROW for row in rows)

    def _with_one_more(self, row: Row) -> Row | None:
        free = np.flatnonzero(self.free(row))
        return with_spot(row, int(self._chance.choice(free))) if free.size else None

    def shaken(self, rows: Sequence[Row]) -> list[Row]:
        """Return rows with a few fixtures put elsewhere, and perhaps one row."""
        rows = list(rows)
        for _ in range(int(self._chance.integers(2, 5))):
            number, other = self._chance.integers(len(rows), size=2)
            row = rows[number]
            if other != number and len(row.spots) <= LEAST_ON_ROW:
                continue
            rest = without_spot(row, row.spots[int(self._chance.integers(len(row.spots)))])
            more = self._with_one_more(rest if other == number else rows[other])
            if more is not None:
                rows[number] = rest
                rows[other] = more
        if self._chance.random() < 0.5:
            number = int(self._chance.integers(len(rows)))
            row = rows[number]
            clear = self.clear(row.bundle, [other for k, other in enumerate(rows) if k != number])
            clear &= self.bundles[row.bundle].is_free[:, list(row.spots)].all(axis=1)
            if clear.any():
                rows[number] = Row(row.bundle, int(self._chance.choice(np.flatnonzero(clear))), row.spots)
        return rows


def with_spot(row: Row, spot: int) -> Row:
    """Return a row with one fixture more."""
    return Row(row.bundle, row.across, tuple(sorted((*row.spots, spot))))


def without_spot(row: Row, spot: int) -> Row:
    """Return a row without the fixture at a place along it."""
    return Row(row.bundle, row.across, tuple(other for other in row.spots if other != spot))


def count_of(rows: Sequence[Row]) -> int:
    """Return how many fixtures hang on some rows."""
    return sum(len(row.spots) for row in rows)


def rows_for(count: int) -> range:
    """Return the numbers of rows that are looked at for a number of fixtures: about as many as make a square."""
    side = math.sqrt(count)
    most = max(MOST_ROWS, math.ceil(_LONGEST * side))
    return range(max(1, int(side / _LONGEST) - 1), min(most, max(1, count // LEAST_ON_ROW)) + 1)


def _least_gap(bundle: Bundle) -> int:
    """Return how many places along a row two fixtures must be apart."""
    if len(bundle.along) < 2:
        return 1
    pitch = float(bundle.along[1] - bundle.along[0])
    return max(1, int(np.ceil(max(bundle.length + CLEAR, LEAST_SPACING) / pitch - _TOUCH)))
