"""The room's outline as a simple polygon: whether it is one, and in plain words why not.

An outline is a closed chain of corners [m]. It is refused where two walls cross or touch, where a wall folds
back on its neighbour, where a wall is shorter than 1 in, and where no floor is enclosed. Stored outlines run
counter-clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from core.plan.room import Point

__all__ = [
    "LEAST_AREA",
    "LEAST_WALL",
    "LONGEST_SPAN",
    "MOST_CORNERS",
    "OutlineError",
    "counter_clockwise",
    "outline_problem",
    "segment_problem",
    "signed_area",
]

LEAST_WALL = 0.0254
"""Shortest wall [m]: 1 in."""
LEAST_AREA = 0.01
"""Least floor area [m2]: about a hand's breadth squared; anything less is a slip of the mouse."""
LONGEST_SPAN = 300.0
"""Largest room in either direction [m]."""
MOST_CORNERS = 500
_TOUCH = 0.001
"""Walls nearer than this [m] touch: the light engine and a tape measure see no gap either."""
_ROUNDING = 1e-9


class OutlineError(ValueError):
    """An outline that cannot be a room; the text says why."""


def signed_area(outline: Sequence[Point]) -> float:
    """Return the enclosed area [m2], positive where the outline runs counter-clockwise."""
    following = [*outline[1:], *outline[:1]]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, following, strict=True)) / 2.0


def counter_clockwise(outline: Sequence[Point]) -> tuple[Point, ...]:
    """Return the outline counter-clockwise, beginning at the same corner."""
    corners = tuple(outline)
    if signed_area(corners) >= 0.0:
        return corners
    return corners[:1] + corners[:0:-1]


def outline_problem(outline: Sequence[Point]) -> str | None:
    """Say in plain words why an outline is refused; None where it is a simple polygon.

    Parameters
    ----------
    outline : sequence of (x, y)
        Corners in order, either way round, the first one not repeated [m].
    """
    count = len(outline)
    if count < 3:
        return "A room needs at least three corners."
    if count > MOST_CORNERS:
        return f"This outline has {count} corners; at most {MOST_CORNERS} can be handled."
    extent = _extent_problem(outline)
    if extent is not None:
        return extent
    corners = np.array(outline, dtype=np.float64)
    closed = np.vstack([corners, corners[:1]])
    lengths = np.hypot(*np.diff(closed, axis=0).T)
    short = np.flatnonzero(lengths < LEAST_WALL - _ROUNDING)
    if short.size:
        return f"{_wall(int(short[0]), count)} would be shorter than 1 in (2.5 cm)."
    clash = _first_clash(closed, closed_chain=True)
    if clash is not None:
        return clash
    if abs(signed_area(outline)) < LEAST_AREA:
        return "This outline encloses almost no floor."
    return None


def segment_problem(points: Sequence[Point], candidate: Point) -> str | None:
    """Say why the next corner cannot be there while an outline is drawn; None where it can.

    Parameters
    ----------
    points : sequence of (x, y)
        Corners set so far [m].
    candidate : (x, y)
        The next corner. On the first corner (nearer than 1 mm) it closes the outline.
    """
    if not points:
        return _extent_problem([candidate])
    if len(points) >= 3 and math.dist(points[0], candidate) < _TOUCH:
        return outline_problem(points)
    chain = [*points, candidate]
    extent = _extent_problem(chain)
    if extent is not None:
        return extent
    if len(chain) > MOST_CORNERS:
        return f"An outline can have at most {MOST_CORNERS} corners."
    if math.dist(points[-1], candidate) < LEAST_WALL - _ROUNDING:
        return "This wall would be shorter than 1 in (2.5 cm)."
    return _first_clash(np.array(chain, dtype=np.float64), closed_chain=False)


def _extent_problem(points: Sequence[Point]) -> str | None:
    values = np.array(points, dtype=np.float64)
    if not np.all(np.isfinite(values)):
        return "A corner has no proper position."
    if np.any(np.abs(values) > 10 * LONGEST_SPAN) or np.any(np.ptp(values, axis=0) > LONGEST_SPAN):
        return f"A room can be at most {LONGEST_SPAN:.0f} m ({LONGEST_SPAN / 0.3048:.0f} ft) across."
    return None


def _first_clash(chain: NDArray[np.float64], *, closed_chain: bool) -> str | None:
    """Describe the first pair of walls of a chain of corners that cross, touch or fold onto each other."""
    count = len(chain) - 1
    if count < 2:
        return None
    walls = shapely.linestrings(np.stack([chain[:-1], chain[1:]], axis=1))
    first, second = np.triu_indices(count, k=1)
    if not closed_chain:
        # The earlier walls were checked when they were drawn.
        last = second == count - 1
        first, second = first[last], second[last]
    beside = (second == first + 1) | (closed_chain & (first == 0) & (second == count - 1))
    apart = np.full(len(first), np.inf)
    apart[~beside] = shapely.distance(walls[first[~beside]], walls[second[~beside]])
    for pair in np.flatnonzero(beside):
        apart[pair] = _opening_of_corner(chain, int(first[pair]), int(second[pair]))
    bad = np.flatnonzero(apart < _TOUCH)
    if not bad.size:
        return None
    one, other = int(first[bad[0]]), int(second[bad[0]])
    here = "This wall" if not closed_chain else _wall(other, count)
    if beside[bad[0]]:
        return f"{here} would fold back along the wall before it."
    verb = "cross" if shapely.crosses(walls[one], walls[other]) else "touch"
    return f"{here} would {verb} {_wall(one, count if closed_chain else count + 1, capital=False)}."


def _opening_of_corner(chain: NDArray[np.float64], one: int, other: int) -> float:
    """Return how far [m] the free end of the shorter of two neighbouring walls is from the longer one."""
    if other == one + 1:
        shared, ends = chain[other], (chain[one], chain[other + 1])
    else:  # the last wall and the first one meet in corner 0
        shared, ends = chain[0], (chain[1], chain[other])
    near, far = sorted(ends, key=lambda end: float(np.hypot(*(end - shared))))
    direction = (far - shared) / np.hypot(*(far - shared))
    along = float(np.dot(near - shared, direction))
    across = float(abs(direction[0] * (near - shared)[1] - direction[1] * (near - shared)[0]))
    return across if along > 0.0 else math.inf


def _wall(index: int, count: int, *, capital: bool = True) -> str:
    return f"{'The' if capital else 'the'} wall from corner {index + 1} to corner {(index + 1) % count + 1}"
