"""Places spread over a luminous opening, whatever its shape and wherever it hangs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.light.direct import spread_places
from core.light.grid import FloatArray
from core.light.sources import Source, square_to_disc

__all__ = ["FOUR", "Places"]


class Places:
    """Places spread over an opening, (n, 2) in -1..1 of a rectangular one, and in the unit disc for a round one."""

    def __init__(self, square: FloatArray, disc: FloatArray | None = None) -> None:
        self._square, self._disc = square, square_to_disc(square) if disc is None else disc

    @classmethod
    def evenly(cls, count: int) -> Places:
        """Return so many places that are evenly spread."""
        return cls(spread_places(count))

    def of(self, source: Source) -> NDArray[np.float32]:
        """Return them on a source's opening, (3, n) [m]."""
        return np.ascontiguousarray(source.places_of(self._disc if source.is_round else self._square).T, np.float32)


_CORNERS = np.array([(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)])
FOUR = Places(_CORNERS / 3.0**0.5, _CORNERS / 2.0)
"""Four places with the middle and the mean square of all: of a square by Gauss and Legendre, of a disc at r^2 / 2."""
