"""Chalk lines: which long lines to snap, and what lies on each.

A line runs along one of the two reference walls, at one of the sheet's rounded distances from it, and is worth snapping
where two or more boxes lie on it. It is set out by two marks at its ends, both measured square off the same wall. Where
the walls do not meet squarely, rows that were drawn square to wall A run along neither: they are snapped through the
first and the last of their marks, and the marks between must lie on them (within the rounding).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from core.ceiling.sheet import BoxRow, CeilingSheet
from core.plan import Point

__all__ = ["ChalkLine", "chalk_lines", "off_lines"]

_SQUARE = 0.02
"""Walls that differ from a right angle by less [degree] are square as far as any tape can tell."""
_NEAR = 1.6
"""Marks of one row differ sideways by no more than this many steps of the rounding."""


@dataclass(frozen=True, slots=True)
class ChalkLine:
    """A line along wall A or B (``along``), ``distance`` off it [m]; or, ``along`` being "square to A", through marks.

    ``ends`` are where it meets the walls of the room [m]; ``stops`` are the marks on it with their running
    distance **along the line** from the other reference wall [m], in order; where the walls do not meet squarely this
    is longer than the distance square off that wall.
    """

    name: str
    along: str
    distance: float
    ends: tuple[Point, Point]
    stops: tuple[tuple[str, float], ...]


def chalk_lines(sheet: CeilingSheet) -> tuple[ChalkLine, ...]:
    """Return the lines worth snapping, those along wall A first, nearest first."""
    found: list[ChalkLine] = []
    slant = math.sin(math.radians(sheet.reference.angle_deg))
    for side, along in enumerate("AB"):
        shared: dict[int, list[BoxRow]] = {}
        for row in sheet.rows:
            shared.setdefault(round((row.from_a, row.from_b)[side] / sheet.step), []).append(row)
        for key in sorted(key for key, rows in shared.items() if len(rows) > 1):
            rows = sorted(shared[key], key=lambda row: (row.from_b, row.from_a)[side])
            stops = tuple((row.mark, (row.from_b, row.from_a)[side] / slant) for row in rows)
            number = sum(line.along == along for line in found) + 1
            ends = _ends(sheet, sheet.reference.normals[side], rows)
            found.append(ChalkLine(f"{along}-{number}", along, key * sheet.step, ends, stops))
    return (*found, *_square_to_a(sheet))


def _square_to_a(sheet: CeilingSheet) -> list[ChalkLine]:
    """Return rows square to wall A in a room whose walls A and B do not meet squarely."""
    if abs(sheet.reference.angle_deg - 90.0) < _SQUARE:
        return []
    nx, ny = sheet.reference.normals[0]
    way = (ny, -nx)
    zero = sheet.reference.corner

    def running(row: BoxRow) -> float:
        return (row.place[0] - zero[0]) * way[0] + (row.place[1] - zero[1]) * way[1]

    rows = sorted(sheet.rows, key=running)
    groups: list[list[BoxRow]] = []
    for row in rows:
        if groups and abs(running(row) - running(groups[-1][0])) <= _NEAR * sheet.step:
            groups[-1].append(row)
        else:
            groups.append([row])
    found: list[ChalkLine] = []
    for group in groups:
        if len({round(row.from_a / sheet.step) for row in group}) > 1:
            ordered = sorted(group, key=lambda row: row.from_a)
            stops = tuple((row.mark, row.from_a) for row in ordered)
            ends = _ends(sheet, way, ordered)
            found.append(ChalkLine(f"S-{len(found) + 1}", "square to A", abs(running(ordered[0])), ends, stops))
    return found


def off_lines(sheet: CeilingSheet, lines: tuple[ChalkLine, ...]) -> tuple[str, ...]:
    """Return the marks that lie on no line: they are marked one by one."""
    on = {mark for line in lines for mark, _ in line.stops}
    return tuple(row.mark for row in sheet.rows if row.mark not in on)


def _ends(sheet: CeilingSheet, normal: Point, rows: list[BoxRow]) -> tuple[Point, Point]:
    """Return where the line through these boxes, square to ``normal``, meets the walls on both sides of them."""
    nx, ny = normal
    ux, uy = ny, -nx
    (x, y), (x1, y1) = rows[0].place, rows[-1].place
    room = shapely.Polygon(sheet.survey.outline)
    far = 2.0 * (room.length + abs(x) + abs(y) + 1.0)
    whole = shapely.LineString(((x - far * ux, y - far * uy), (x + far * ux, y + far * uy)))
    inside = room.intersection(whole)
    middle = shapely.Point((x + x1) / 2, (y + y1) / 2)
    parts = [part for part in getattr(inside, "geoms", [inside]) if part.length > 0.0]
    if not parts:
        return (x, y), (x1, y1)
    nearest = min(parts, key=lambda part: float(part.distance(middle)))
    (ax, ay), (bx, by) = nearest.coords[0], nearest.coords[-1]
    return (float(ax), float(ay)), (float(bx), float(by))
