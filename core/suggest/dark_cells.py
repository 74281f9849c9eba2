"""The cells that a layout leaves darker than was asked, a few of them, none next to another."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.demands import Demands

__all__ = ["APART", "dark_cells"]

_MORE = 16
"""Most cells that are read at once because of one layout."""
APART = 0.6
"""Least distance of two such cells [m]."""


def dark_cells(
    light: FloatArray, points: FloatArray, demands: Demands, counted: NDArray[np.intp], close: float
) -> list[int]:
    """Return the darkest of some cells of a layout that have less than ``close`` times what is asked, none next to
    another."""
    asked = [row.wanted for row in demands.rows if row.kind == "minimum"]
    even = [row.wanted for row in demands.rows if row.kind == "evenness"]
    limit = max([*asked, *(share * float(light[counted].mean()) for share in even)], default=0.0)
    found: list[int] = []
    for cell in counted[light[counted].argsort(kind="stable")]:
        if light[cell] >= close * limit or len(found) >= _MORE:
            break
        if all(math.dist(points[cell], points[other]) > APART for other in found):
            found.append(int(cell))
    return found
