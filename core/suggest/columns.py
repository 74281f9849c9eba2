"""Quick columns kept by source, direct light only where it was asked for.

Reflected light comes for all points at once; direct light is a ray for every point and place of the opening, and most
layouts are judged at a few hundred of thousands of points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray
from core.light.quick_room import QuickRoom
from core.light.roomlight import RoomLight, Watch
from core.light.sources import Source
from core.light.visibility import each_in_threads

__all__ = ["QuickColumns"]

_LUMENS = 1000.0


class QuickColumns:
    """The quick columns of one room.

    Points are numbered as `RoomLight.points`: those of the plane, then of the benches.
    """

    def __init__(self, room: RoomLight, light: QuickRoom) -> None:
        self._room, self._light = room, light
        self._size = len(room.points)
        self._known: dict[Source, tuple[FloatArray, FloatArray]] = {}

    def at(self, sources: Sequence[Source], points: NDArray[np.intp], watch: Watch | None = None) -> FloatArray:
        """Return the light of sources at some points, (points, sources) float32 [lx]."""

        units = [replace(source, lumens=_LUMENS) for source in sources]
        self._take_up([unit for unit in dict.fromkeys(units) if unit not in self._known], watch)

        def of(number: int) -> FloatArray:
            if watch is not None:
                watch.at(number / len(sources), "light of the places")
            return self._at(units[number], points) * np.float32(sources[number].lumens / _LUMENS)

        made = np.empty((len(points), len(sources)), dtype=np.float32)
        for number, column in enumerate(each_in_threads(of, len(sources))):
            made[:, number] = column
        return made

    def _take_up(self, units: Sequence[Source], watch: Watch | None) -> None:
        def of(number: int) -> FloatArray:
            if watch is not None:
                watch.at(number / len(units), "light of the places")
            return self._light.on_patches(units[number])

        if not units:
            return
        on_patches = np.stack(each_in_threads(of, len(units)), axis=1)
        for unit, reflected in zip(units, self._light.reflected(on_patches), strict=True):
            self._known[unit] = reflected, np.full(self._size, np.nan, dtype=np.float32)

    def _at(self, unit: Source, points: NDArray[np.intp]) -> FloatArray:
        reflected, straight = self._known[unit]
        missing: BoolArray = np.isnan(straight[points])
        if missing.any():
            new = points[missing]
            straight[new] = self._light.straight(unit, new)
        light: FloatArray = straight[points] + reflected[points]
        return light
