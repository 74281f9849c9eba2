"""The room as it was measured: corners from wall lengths and diagonals (trilateration).

Two known corners and the distances to a third fix it; a room of n corners needs 2n - 3 independent distances (Laman's
count for rigid frameworks in the plane): its n walls and n - 3 diagonals that can be measured in a straight line.
The measured distances are met by Gauss-Newton steps that start at the drawn outline and change it as little as the
distances allow, so that a half-measured room is already better than the drawing, and of two mirror images the drawn
one is found. What is still needed comes from the rank of the distances' derivatives. Distances to more corners than
needed are balanced by least squares, and what they disagree by is told.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from core.plan import Plan, Point, Room
from core.plan.outline import outline_problem
from core.plan.settle import settled_point
from core.units import UnitSystem, show_length

__all__ = ["Distance", "Survey", "SurveyError", "measured_distances", "still_needed", "survey"]

_STEPS = 60
_SETTLED = 1e-10
_RANK = 1e-6
_AGREE = 0.0047625
"""Measured distances that disagree by more than this [m] are told: 3/16 in, three times a tape's mark."""
_SLIP = 0.1524
"""A measured distance this far from the drawn one [m] is asked about: 6 in is a misread foot or a wrong corner."""
_INSIDE = 0.002

_Floats = NDArray[np.float64]


class SurveyError(ValueError):
    """Measured distances that no room can have; the text says which and what to do."""


@dataclass(frozen=True, slots=True)
class Distance:
    """A straight distance between two corners [m]; ``is_wall`` where they are neighbours."""

    corner: int
    other: int
    length: float
    is_wall: bool

    def text(self) -> str:
        """Return what a person calls it: `the wall from corner 1 to corner 2`."""
        what = "the wall" if self.is_wall else "the diagonal"
        return f"{what} from corner {self.corner + 1} to corner {self.other + 1}"


@dataclass(frozen=True, slots=True)
class Survey:
    """The outline as measured, and what is to be said about it.

    Attributes
    ----------
    outline : tuple of (x, y)
        Corners [m], in the drawing's order; the drawn outline where nothing was measured.
    measured : int
        Number of distances used.
    needed : tuple of Distance
        What is still to be measured before the outline is certain, with the drawn lengths.
    moves : tuple of float
        How far each corner lies from where it is drawn [m].
    remarks : tuple of str
        Distances that disagree or look like slips.
    """

    outline: tuple[Point, ...]
    measured: int
    needed: tuple[Distance, ...]
    moves: tuple[float, ...]
    remarks: tuple[str, ...]

    @property
    def is_certain(self) -> bool:
        """Whether the outline rests on measured distances alone."""
        return self.measured > 0 and not self.needed


def measured_distances(plan: Plan) -> tuple[Distance, ...]:
    """Return the measured distances that still fit the drawn outline; the last entry of a distance counts."""
    count = len(plan.room.outline)
    found: dict[tuple[int, int], Distance] = {}
    for wall in plan.ceiling.wall_lengths:
        if wall.wall < count:
            ends = (wall.wall, (wall.wall + 1) % count)
            found[min(ends), max(ends)] = Distance(*ends, wall.length, True)
    for diagonal in plan.ceiling.diagonals:
        low, high = sorted((diagonal.corner, diagonal.other))
        if high < count and high - low not in (0, 1, count - 1):
            found[low, high] = Distance(low, high, diagonal.length, False)
    return tuple(found.values())


def survey(plan: Plan, hold: tuple[int, int] = (0, 1)) -> Survey:
    """Return the outline that the measured distances give.

    Parameters
    ----------
    hold : (corner, other)
        The first corner stays where it is drawn, and the second keeps its direction from it.

    Raises
    ------
    SurveyError
        If no room has these distances.
    """
    drawn = np.array(plan.room.outline, dtype=np.float64)
    distances = measured_distances(plan)
    if not distances:
        return Survey(plan.room.outline, 0, still_needed(plan.room, ()), (0.0,) * len(drawn), ())
    corners = _laid_on(_fitted(drawn, distances), drawn, hold)
    outline = tuple(settled_point((float(x), float(y))) for x, y in corners)
    problem = outline_problem(outline)
    if problem is not None:
        worst = _worst(drawn, distances)
        raise SurveyError(f"With these lengths the walls do not close to a room: {problem} Check {worst}.")
    moves = tuple(math.dist(a, b) for a, b in zip(outline, plan.room.outline, strict=True))
    system = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
    remarks = (*_slips(drawn, distances, system), *_disagreements(corners, distances, system))
    return Survey(outline, len(distances), still_needed(plan.room, distances), moves, remarks)


def still_needed(room: Room, known: Sequence[Distance]) -> tuple[Distance, ...]:
    """Return which distances are still to be measured, walls first, then diagonals that a tape can span.

    Of the diagonals that help, the one that fixes the room best comes first (largest least singular value).
    """
    corners = np.array(room.outline, dtype=np.float64)
    pairs = [(d.corner, d.other) for d in known]
    taken = {frozenset(pair) for pair in pairs}
    wanted: list[Distance] = []
    most = 2 * len(corners) - 3
    rank = _rank(corners, pairs)
    for group in (_walls(room), _diagonals(room)):
        candidates = [d for d in group if frozenset((d.corner, d.other)) not in taken]
        while rank < most and candidates:
            gains = [_firmness(corners, [*pairs, (d.corner, d.other)], rank) for d in candidates]
            best = int(np.argmax(gains)) if not group[0].is_wall else int(np.argmax(np.array(gains) > _RANK))
            if gains[best] <= _RANK:
                break
            chosen = candidates.pop(best)
            wanted.append(chosen)
            pairs.append((chosen.corner, chosen.other))
            rank += 1
    return tuple(wanted)


def _walls(room: Room) -> list[Distance]:
    count = len(room.outline)
    return [Distance(i, (i + 1) % count, math.dist(*room.wall(i)), True) for i in range(count)]


def _diagonals(room: Room) -> list[Distance]:
    """Return the diagonals that lie inside the room, so that a tape or a laser can span them."""
    count = len(room.outline)
    inside = shapely.Polygon(room.outline).buffer(_INSIDE)
    found = []
    for i in range(count):
        for j in range(i + 2, count):
            a, b = room.outline[i], room.outline[j]
            if j - i != count - 1 and inside.contains(shapely.LineString((a, b))):
                found.append(Distance(i, j, math.dist(a, b), False))
    return found


def _derivatives(corners: _Floats, pairs: Sequence[tuple[int, int]]) -> _Floats:
    """Return how each distance changes with the corners' coordinates, shape (distances, 2 corners)."""
    rows = np.zeros((len(pairs), corners.size))
    for row, (i, j) in enumerate(pairs):
        way = corners[i] - corners[j]
        way /= max(float(np.hypot(*way)), 1e-9)
        rows[row, 2 * i : 2 * i + 2], rows[row, 2 * j : 2 * j + 2] = way, -way
    return rows


def _rank(corners: _Floats, pairs: Sequence[tuple[int, int]]) -> int:
    if not pairs:
        return 0
    return int(np.linalg.matrix_rank(_derivatives(corners, pairs), tol=_RANK))


def _firmness(corners: _Floats, pairs: Sequence[tuple[int, int]], rank: int) -> float:
    """Return the least singular value that counts if the last pair is added: 0 where it adds nothing."""
    values = np.linalg.svd(_derivatives(corners, pairs), compute_uv=False)
    return float(values[rank]) if rank < len(values) else 0.0


def _fitted(drawn: _Floats, distances: Sequence[Distance]) -> _Floats:
    corners = drawn.copy()
    pairs = [(d.corner, d.other) for d in distances]
    wanted = np.array([d.length for d in distances])
    for _ in range(_STEPS):
        ends = corners[[p[0] for p in pairs]] - corners[[p[1] for p in pairs]]
        short = wanted - np.hypot(ends[:, 0], ends[:, 1])
        step = np.linalg.lstsq(_derivatives(corners, pairs), short, rcond=_RANK)[0].reshape(corners.shape)
        # A step longer than a tenth of the room would leave the drawn mirror image.
        longest, reach = float(np.abs(step).max()), float(np.ptp(drawn, axis=0).max()) / 10
        corners += step * min(1.0, reach / max(longest, 1e-12))
        if longest < _SETTLED:
            return corners
    raise SurveyError(
        f"No room has these lengths: two of them do not reach each other. Check {_worst(drawn, distances)}."
    )


def _laid_on(corners: _Floats, drawn: _Floats, hold: tuple[int, int]) -> _Floats:
    """Turn and shift the corners so that one stays and another keeps its direction from it."""
    i, j = hold
    now, then = corners[j] - corners[i], drawn[j] - drawn[i]
    turn = math.atan2(then[1], then[0]) - math.atan2(now[1], now[0])
    c, s = math.cos(turn), math.sin(turn)
    laid: _Floats = (corners - corners[i]) @ np.array([[c, s], [-s, c]]) + drawn[i]
    return laid


def _off(drawn: _Floats, distance: Distance) -> float:
    return distance.length - float(np.hypot(*(drawn[distance.corner] - drawn[distance.other])))


def _worst(drawn: _Floats, distances: Sequence[Distance]) -> str:
    return max(distances, key=lambda d: abs(_off(drawn, d))).text()


def _slips(drawn: _Floats, distances: Sequence[Distance], system: UnitSystem) -> tuple[str, ...]:
    return tuple(
        f"{d.text().capitalize()} was measured {show_length(abs(_off(drawn, d)), system)}"
        f" {'longer' if _off(drawn, d) > 0 else 'shorter'} than drawn: read the tape again."
        for d in distances
        if abs(_off(drawn, d)) > _SLIP
    )


def _disagreements(corners: _Floats, distances: Sequence[Distance], system: UnitSystem) -> tuple[str, ...]:
    """Tell where more distances than needed do not agree."""
    worst = max(distances, key=lambda d: abs(_off(corners, d)))
    off = abs(_off(corners, worst))
    if off <= _AGREE:
        return ()
    return (
        f"The measured lengths disagree by {show_length(off, system)} at {worst.text()}; the outline is their best"
        " balance. Measure that one again.",
    )
