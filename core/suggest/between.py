"""Columns between the places of a grid: the light of a fixture anywhere, from the kept columns around it.

A fixture's light at a point changes smoothly with its place, so that cubic convolution over the places (Keys, IEEE
Trans. ASSP 29 (1981) 1153-1160, a = -1/2) is close enough to sort thousands of layouts by. Whatever is kept is worked
out for itself afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.candidates import Ceiling, axis_places
from core.suggest.responses import Responses

__all__ = ["Between", "cubic", "spread_light"]


@dataclass(frozen=True)
class Between:
    """Columns of one model, turned one way, on a full rectangle of places: ``columns`` (n, ny * nx) [lx]."""

    xs: FloatArray
    ys: FloatArray
    columns: FloatArray

    @classmethod
    def over(cls, ceiling: Ceiling, responses: Responses, turn: float, step: float) -> Between | None:
        """Work out the columns of a grid of places; None where the body does not fit into the room this way."""
        x0, y0, x1, y1 = ceiling.span(turn)
        if x1 < x0 or y1 < y0:
            return None
        xs, ys = axis_places(x0, x1, step), axis_places(y0, y1, step)
        fixtures = [ceiling.fixture(x, y, turn) for y in ys for x in xs]
        return cls(xs, ys, responses.of(fixtures, ceiling.model))

    def weights(self, centres: FloatArray) -> FloatArray:
        """Return the weights of the grid's places for centres (k, 2), (places, k) float32."""
        i, wx = cubic(centres[:, 0], self.xs)
        j, wy = cubic(centres[:, 1], self.ys)
        made = np.zeros((len(self.xs) * len(self.ys), len(centres)), dtype=np.float32)
        number = np.arange(len(centres))
        for b in range(4):
            for a in range(4):
                np.add.at(made, (j[:, b] * len(self.xs) + i[:, a], number), wx[:, a] * wy[:, b])
        return made


def spread_light(
    grid: Between, left: FloatArray, along: int, along_at: FloatArray, across_at: FloatArray
) -> FloatArray:
    """Return the light (across, along, rows) float32 of places between those of a grid, ``left`` (rows, places)."""
    rows = left.reshape(len(left), len(grid.ys), len(grid.xs))
    xs, ys = (along_at, across_at) if along == 0 else (across_at, along_at)
    to_x, to_y = _matrix(xs, grid.xs), _matrix(ys, grid.ys)
    fine = np.einsum("rji,xi->rjx", rows, to_x, optimize=True)
    fine = np.einsum("rjx,yj->yxr", fine, to_y, optimize=True).astype(np.float32)
    return np.ascontiguousarray(fine if along == 0 else fine.transpose(1, 0, 2))


def cubic(values: FloatArray, places: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """Return four places (k, 4) and their weights for each value; beyond the ends the last place stands in."""
    last = len(places) - 1
    if last == 0:
        return np.zeros((len(values), 4), dtype=np.intp), np.tile([0.0, 1.0, 0.0, 0.0], (len(values), 1))
    position = np.clip((values - places[0]) / (places[1] - places[0]), 0.0, last)
    base = np.minimum(position.astype(np.intp), last - 1)
    t = position - base
    index = np.clip(base[:, None] + np.arange(-1, 3), 0, last)
    square, cube = t * t, t * t * t
    weights = np.stack(
        [
            0.5 * (-cube + 2 * square - t),
            0.5 * (3 * cube - 5 * square + 2),
            0.5 * (-3 * cube + 4 * square + t),
            0.5 * (cube - square),
        ],
        axis=1,
    )
    return index, weights


def _matrix(values: FloatArray, places: FloatArray) -> FloatArray:
    index, weights = cubic(values, places)
    made = np.zeros((len(values), len(places)))
    np.add.at(made, (np.arange(len(values))[:, None], index), weights)
    return made
