"""What the room makes of a fixture's direct light in a drag frame: three products with what was worked out beforehand.

Direct light bounces once tile by tile; of the light after that the tiles see what the patches pass on. Two more things
matter in corners that hardly see what is lit: what the tiles get by the unevenness of direct light within the patches,
and that light which comes by many bounces is settled tile by tile.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.light.bounces import PIECE, first_bounce, second_views, tile_exchange
from core.light.grid import FloatArray
from core.light.quick_forms import Single
from core.light.roomlight import RoomLight

__all__ = ["DragReflected"]

SWEEPS = 3
CLOSE_SHARE = 0.02
"""A tile is close to a receiver that gets so much of its light in one bounce."""


class DragReflected:
    """Reflected light at some of the viewers ``room.seen``, those of ``rows`` (k,).

    ``step`` is called between pieces of the work and may raise to end it.
    """

    def __init__(self, room: RoomLight, rows: NDArray[np.int64], step: Callable[[], None] | None = None) -> None:
        self._patches, self._transfer = room.patches, room.transfer
        self._bounce = first_bounce(room.seen, rows, room.patches)
        self._exchange = tile_exchange(room.views, room.patches)
        views = second_views(self._bounce, room.views, room.patches, step)
        self._operator = room.transfer.carried(views, step)

    @property
    def tiles_close_by(self) -> NDArray[np.int64]:
        """Which tiles are so close to some receiver that it matters what each of them gets."""
        return np.flatnonzero(self._bounce.max(axis=0).toarray().ravel() > CLOSE_SHARE)

    def carried(self, on_tiles: Single) -> Single:
        """Return what the room makes of direct light on the tiles (tiles,) at the rows (k,) [lx]."""
        average = self._patches.average_single
        lit = self._exchange @ (on_tiles - average(on_tiles).take(self._patches.tile_patch))
        lit += on_tiles
        # einsum, not BLAS: its threads wait for one another on a busy machine, and a frame has no time for that.
        carried: Single = np.einsum("rp,p->r", self._operator, average(lit))
        carried += self._bounce @ lit
        return carried

    def settle(self, rows: NDArray[np.int64], step: Callable[[], None] | None = None) -> None:
        """Work out anew what some of the rows, by number, get after the first bounce, settled tile by tile."""
        for start in range(0, len(rows), PIECE):
            piece = rows[start : start + PIECE]
            self._operator[piece] = self._settled(piece, step)

    def _settled(self, rows: NDArray[np.int64], step: Callable[[], None] | None) -> FloatArray:
        """Return what some rows get of direct light on the patches with two bounces or more, (rows, patches).

        With what the rows get of light on the tiles in one bounce, g, and the exchange of the tiles, M, all bounces
        make x = g + x M of it. It is found as a full column is, by a two-grid iteration: what a sweep leaves is passed
        on among the patches at once.
        """
        patches = self._patches
        first, back = patches.first_tile[:-1], self._exchange.T.tocsr()
        once = self._bounce[rows].toarray().T
        found = once.copy()
        for _ in range(SWEEPS):
            if step is not None:
                step()
            left = once - found
            left += back @ found
            on_patches = np.add.reduceat(left, first, axis=0)
            more = self._transfer.over_all_bounces(on_patches.T, step).T - on_patches
            found += left
            found += more.take(patches.tile_patch, axis=0) * patches.tile_share[:, None]
        found -= once
        # What a patch gives when lit evenly: x says what each of its tiles gives for itself.
        return np.add.reduceat(found, first, axis=0).T
