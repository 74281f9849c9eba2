"""Where quick columns read the light that a room reflects, and how it is spread from there to all points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.receivers import BenchPoints, Interpolation, thinned
from core.light.roomlight import RoomLight

__all__ = ["Readers", "readers"]


@dataclass(frozen=True)
class Readers:
    """Some of the viewers ``room.seen``, ``rows`` (k,), and ``spread``, from them to all points of the room.

    All points are those of the plane and then of the benches.
    """

    rows: NDArray[np.int64]
    spread: Interpolation


def readers(room: RoomLight, *, thin: bool) -> Readers:
    """Return all viewers, or with ``thin`` those of the plane's mesh and every other point of the benches."""
    mesh = np.arange(len(room.plane.mesh))
    parts = [(mesh, room.plane.spread), *(thinned(bench) if thin else _all_of(bench) for bench in room.benches)]
    first = np.cumsum([0, len(mesh), *(len(bench.points) for bench in room.benches)])
    rows = np.concatenate([start + kept for start, (kept, _) in zip(first, parts, strict=False)])
    return Readers(rows, _side_by_side([spread for _, spread in parts], [len(kept) for kept, _ in parts]))


def _all_of(bench: BenchPoints) -> tuple[NDArray[np.int64], Interpolation]:
    """Return all points of a bench, each of which speaks for itself: as `thinned`."""
    every = np.arange(len(bench.points))
    return every, Interpolation(np.repeat(every[:, None], 4, axis=1), np.full((len(every), 4), 0.25))


def _side_by_side(parts: list[Interpolation], rows: list[int]) -> Interpolation:
    """Return one interpolation for points in several parts, each from so many rows of its own."""
    starts = np.cumsum([0, *rows[:-1]])
    corners = np.concatenate([part.corners + start for part, start in zip(parts, starts, strict=True)])
    return Interpolation(corners, np.concatenate([part.weights for part in parts]).astype(np.float32))
