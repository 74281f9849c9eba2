"""What the room makes of a fixture's direct light in a drag frame: products with what was worked out beforehand.

Off tiles near a receiver direct light bounces once tile by tile; all else is patch by patch, for which the tiles of the
first bounce see the patches each in its own way. Where a fixture is all that is on, corners that hardly see what is lit
need more: all of the first bounce tile by tile, what the tiles get by the unevenness of direct light within the
patches, every point of the benches read for itself, and light that comes by many bounces settled tile by tile.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core.light.bounces import first_bounce, near_and_far, second_views, tile_exchange
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.quick_forms import Single
from core.light.readers import readers
from core.light.roomlight import Column, RoomLight

if TYPE_CHECKING:
    from scipy.sparse import csr_array

__all__ = ["DragReflected"]

SWEEPS = 3
WORST, MOST_SETTLED = 0.015, 150
"""Share of a known fixture's own light by which a frame may be off where it reflects; and how many of the places at
which reflected light is read are looked after where it is more, the worst first."""
CLOSE_SHARE = 0.02
"""A tile is close to a receiver that gets so much of its light in one bounce."""


class DragReflected:
    """Reflected light at all points of a room.

    ``step`` is called between pieces of the work and may raise to end it.
    """

    def __init__(self, room: RoomLight, step: Callable[[], None] | None = None) -> None:
        told = step if step is not None else _nothing
        self._patches, self._transfer = room.patches, room.transfer
        self._all, self._few = readers(room, thin=False), readers(room, thin=True)
        self._bounce = first_bounce(room.seen, self._all.rows, room.patches)
        told()
        self._exchange = tile_exchange(room.views, room.patches)
        told()
        views = second_views(self._bounce, room.views, room.patches, step)
        self._operator = room.transfer.carried(views, step)
        told()
        places = np.concatenate([room.plane.mesh, *(bench.points for bench in room.benches)])
        # All viewers are in the order of their numbers, so these count as rows too.
        few = self._few.rows
        self._few_bounce, self._few_far = near_and_far(self._bounce[few], places[few], room.patches)
        self._few_operator = self._operator[few] + self._few_far

    @property
    def tiles_close_by(self) -> NDArray[np.int64]:
        """Which tiles are so close to some reader that it matters what each of them gets."""
        return np.flatnonzero(self._bounce.max(axis=0).toarray().ravel() > CLOSE_SHARE)

    def at_points(self, on_tiles: Single, *, finely: bool) -> Single:
        """Return what the room makes of direct light on the tiles (tiles,) at all points (n,) [lx]."""
        if not finely:
            return self._few.spread(_carried(self._few_bounce, self._few_operator, on_tiles, self._patches))
        uneven = on_tiles - self._patches.average_single(on_tiles).take(self._patches.tile_patch)
        lit = self._exchange @ uneven
        lit += on_tiles
        return self._all.spread(_carried(self._bounce, self._operator, lit, self._patches))

    def settle_where_off(self, known: Sequence[Column], step: Callable[[], None] | None = None) -> None:
        """Settle tile by tile where the light of known fixtures, full columns, would be too far off.

        Frames may go on meanwhile on another thread: each finds the matrices as they were or as they are then.
        """
        rows = self._rows_off(known, step)
        if rows.size:
            operator = self._operator.copy()
            operator[rows] = self._settled(rows, step)
            self._few_operator = operator[self._few.rows] + self._few_far
            self._operator = operator

    def _rows_off(self, known: Sequence[Column], step: Callable[[], None] | None) -> NDArray[np.int64]:
        """Return which rows are too far off for some column, the worst first."""
        spread, worst = self._all.spread, np.zeros(len(self._all.rows), dtype=np.float32)
        for column in known:
            if step is not None:
                step()
            reflected, whole = self.at_points(column.on_tiles, finely=True), column.straight + column.reflected
            off = np.divide(np.abs(reflected - column.reflected), whole, out=np.zeros_like(whole), where=whole > 0.0)
            np.maximum.at(worst, spread.corners, np.where(spread.weights > 0.0, off[:, None], 0.0))
        return np.argsort(-worst)[: min(MOST_SETTLED, int((worst > WORST).sum()))]

    def _settled(self, rows: NDArray[np.int64], step: Callable[[], None] | None) -> FloatArray:
        """Return what some rows get of direct light on the patches with two bounces or more, (rows, patches).

        With what the rows get of light on the tiles in one bounce, g, and the exchange of the tiles, M, all bounces
        make x = g + x M of it. It is found as a full column is, by a two-grid iteration: what a sweep leaves is passed
        on among the patches at once.
        """
        patches = self._patches
        first, back = patches.first_tile[:-1], self._exchange.T.tocsr()
        once, passed_on = self._bounce[rows].toarray().T, self._transfer.factored()
        found = once.copy()
        for _ in range(SWEEPS):
            if step is not None:
                step()
            left = once - found
            left += back @ found
            on_patches = np.add.reduceat(left, first, axis=0)
            more = passed_on(on_patches) - on_patches
            found += left
            found += more.take(patches.tile_patch, axis=0) * patches.tile_share[:, None]
        found -= once
        # What a patch gives when lit evenly: x says what each of its tiles gives for itself.
        return np.add.reduceat(found, first, axis=0).T


def _nothing() -> None:
    """Go on."""


def _carried(bounce: csr_array, operator: FloatArray, on_tiles: Single, patches: Patches) -> Single:
    """Return light at some receivers (k,) after one bounce tile by tile, and after more patch by patch."""
    # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
    carried: Single = np.einsum("rp,p->r", operator, patches.average_single(on_tiles))
    carried += bounce @ on_tiles
    return carried
