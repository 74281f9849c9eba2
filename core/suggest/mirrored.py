"""What is chosen at once: single places, or a place with its mirror image about the room's middle, left to right."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from core.suggest.candidates import Ceiling, Places

__all__ = ["mirrored_pairs", "singles"]


def singles(places: Places) -> list[NDArray[np.intp]]:
    """Return every place by itself."""
    return [np.array([k]) for k in range(len(places))]


def mirrored_pairs(ceiling: Ceiling, places: Places, cliques: Sequence[NDArray[np.intp]]) -> list[NDArray[np.intp]]:
    """Return the places of a grid in mirrored pairs, those in the middle alone; ``cliques`` cannot be used together."""
    x0, _, x1, _ = ceiling.room.bounds
    keys = [
        (round(float(x), 4), round(float(y), 4), turn)
        for (x, y), turn in zip(places.centres, places.turns, strict=True)
    ]
    where = {key: number for number, key in enumerate(keys)}
    overlapping = {frozenset(map(int, c)) for clique in cliques for c in _pairs(clique)}
    found = []
    for number, (x, y, turn) in enumerate(keys):
        other = where.get((round(x0 + x1 - x, 4), y, turn))
        if other == number:
            found.append(np.array([number]))
        elif other is not None and number < other and frozenset((number, other)) not in overlapping:
            found.append(np.array([number, other]))
    return found


def _pairs(clique: NDArray[np.intp]) -> Iterator[NDArray[np.intp]]:
    for i in range(len(clique)):
        for j in range(i + 1, len(clique)):
            yield clique[[i, j]]
