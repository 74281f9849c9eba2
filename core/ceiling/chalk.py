"""Chalk lines: which long lines to snap, and what lies on each.

A line runs along one of the two reference walls, at one of the sheet's rounded distances from it, and is worth snapping
where two or more boxes lie on it. It is set out by two marks at its ends, both measured square off the same wall.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely

from core.ceiling.sheet import BoxRow, CeilingSheet
from core.plan import Point

__all__ = ["ChalkLine", "chalk_lines", "off_lines"]


@dataclass(frozen=True, slots=True)
class ChalkLine:
    """A line along wall A or B (``along``), ``distance`` off it [m].

    ``ends`` are where it meets the walls of the room [m]; ``stops`` are the marks on it with their running
    distance from the other reference wall [m], in order.
    """

    name: str
    along: str
    distance: float
    ends: tuple[Point, Point]
    stops: tuple[tuple[str, float], ...]


def chalk_lines(sheet: CeilingSheet) -> tuple[ChalkLine, ...]:
    """Return the lines worth snapping, those along wall A first, nearest first."""
    found: list[ChalkLine] = []
    for side, along in enumerate("AB"):
        shared: dict[int, list[BoxRow]] = {}
        for row in sheet.rows:
            shared.setdefault(round((row.from_a, row.from_b)[side] / sheet.step), []).append(row)
        for key in sorted(key for key, rows in shared.items() if len(rows) > 1):
            rows = sorted(shared[key], key=lambda row: (row.from_b, row.from_a)[side])
            stops = tuple((row.mark, (row.from_b, row.from_a)[side]) for row in rows)
            number = sum(line.along == along for line in found) + 1
            found.append(ChalkLine(f"{along}-{number}", along, key * sheet.step, _ends(sheet, side, rows), stops))
    return tuple(found)


def off_lines(sheet: CeilingSheet, lines: tuple[ChalkLine, ...]) -> tuple[str, ...]:
    """Return the marks that lie on no line: they are marked one by one."""
    on = {mark for line in lines for mark, _ in line.stops}
    return tuple(row.mark for row in sheet.rows if row.mark not in on)


def _ends(sheet: CeilingSheet, side: int, rows: list[BoxRow]) -> tuple[Point, Point]:
    """Return where the line through these boxes meets the walls on both sides of them."""
    nx, ny = sheet.reference.normals[side]
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
