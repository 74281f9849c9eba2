"""What a dragged thing or a drawn corner may snap to, gathered once when the gesture begins. Pure.

The anchor of a dragged thing is its centre. Furniture stands flush against a wall, so its wall lines are
shifted inward by half of its extent; fixtures line up with one another, repeat the spacing of their row,
and keep a round distance from the walls.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from app.canvas.footprints import Drawn, box_around, centre_of, corners_of, drawn_things, name_of
from app.canvas.joist_lines import joist_segments
from app.canvas.snapping import Candidates, Guide, Line, Place
from core.plan import Fixture, Note, Opening, Plan, Point, Underlay
from core.units import FOOT, UnitSystem, show_length

__all__ = ["WALL_DISTANCES", "for_corner", "for_new_corner", "for_tape", "for_thing"]

WALL_DISTANCES = {UnitSystem.US: 2 * FOOT, UnitSystem.METRIC: 0.6}
"""The distance that fixtures like to keep from a wall [m]: about 2 ft (common practice, no source)."""

_LEVEL: Point = (1.0, 0.0)
_UPRIGHT: Point = (0.0, 1.0)
_ROW = 0.02  # m: centres this close to one line make a row


def for_thing(
    plan: Plan, moving: Iterable[str], anchor: Drawn, grid: float | None, units: UnitSystem = UnitSystem.US
) -> Candidates:
    """Return what the centre of ``anchor`` may snap to while the things ``moving`` are dragged."""
    if isinstance(anchor, Note | Underlay):
        return Candidates(grid=grid)
    away = frozenset(moving)
    others = [t for t in drawn_things(plan) if t.id not in away and not isinstance(t, Opening | Note)]
    lines = [*_middle_of_room(plan), *_beside_others(plan, others, isinstance(anchor, Fixture))]
    if isinstance(anchor, Fixture):
        lines += _off_the_walls(plan, WALL_DISTANCES[units], units)
        lines += _on_joists(plan)
        rows = [centre_of(plan, t) for t in others if isinstance(t, Fixture)]
        return Candidates(tuple(_equal_spacing(rows)), tuple(lines), grid)
    lines += _against_walls(plan, anchor)
    return Candidates((), tuple(lines), grid)


def for_new_corner(drawn: Sequence[Point], grid: float | None) -> Candidates:
    """Return what the next corner of an outline may snap to: the first corner, and square angles."""
    if not drawn:
        return Candidates(grid=grid)
    first, last = drawn[0], drawn[-1]
    lines = [Line(last, _LEVEL, "square", 1), Line(last, _UPRIGHT, "square", 1)]
    if len(drawn) >= 2:
        lines += _square_to(drawn[-2], last)
        lines += [Line(first, _LEVEL, "in line with the first corner", 2)]
        lines += [Line(first, _UPRIGHT, "in line with the first corner", 2)]
    for corner in drawn[1:-1]:
        lines += [Line(corner, d, "in line with a corner", 3) for d in (_LEVEL, _UPRIGHT)]
    places = (Place(first, "closes the room"),) if len(drawn) >= 3 else ()
    return Candidates(places, tuple(lines), grid)


def for_corner(outline: Sequence[Point], index: int, grid: float | None) -> Candidates:
    """Return what a dragged corner may snap to: square with its neighbours, in line with the other
    corners."""
    count = len(outline)
    neighbours = {(index - 1) % count, (index + 1) % count}
    lines = []
    for other, corner in enumerate(outline):
        if other == index:
            continue
        near = other in neighbours
        words, rank = ("square", 1) if near else ("in line with a corner", 3)
        lines += [Line(corner, direction, words, rank) for direction in (_LEVEL, _UPRIGHT)]
    return Candidates((), tuple(lines), grid)


def for_tape(plan: Plan, start: Point | None, grid: float | None) -> Candidates:
    """Return what an end of the tape may snap to: corners, middles of walls, centres of things, walls,
    square lines."""
    places = [Place(corner, "corner") for corner in plan.room.outline]
    places += [Place(_between(a, b), "middle of the wall", 1) for a, b in _walls(plan)]
    places += [
        Place(centre_of(plan, t), f"centre of {name_of(plan, t)}", 1)
        for t in drawn_things(plan)
        if not isinstance(t, Note)
    ]
    lines = [Line(a, _direction(a, b), "wall", 4, Guide(a, b)) for a, b in _walls(plan)]
    if start is not None:
        lines += [Line(start, d, "square", 2) for d in (_LEVEL, _UPRIGHT)]
    return Candidates(tuple(places), tuple(lines), grid)


def _walls(plan: Plan) -> list[tuple[Point, Point]]:
    outline = plan.room.outline
    return list(zip(outline, [*outline[1:], *outline[:1]], strict=True)) if len(outline) >= 3 else []


def _between(a: Point, b: Point) -> Point:
    return (a[0] + b[0]) / 2, (a[1] + b[1]) / 2


def _direction(a: Point, b: Point) -> Point:
    length = math.dist(a, b) or 1.0
    return (b[0] - a[0]) / length, (b[1] - a[1]) / length


def _square_to(a: Point, b: Point) -> list[Line]:
    """Return the lines through b along and square to a wall that does not lie square to the sheet."""
    ux, uy = _direction(a, b)
    if min(abs(ux), abs(uy)) < 1e-9:
        return []
    return [
        Line(b, (-uy, ux), "square to the wall before", 1),
        Line(b, (ux, uy), "in line with the wall before", 2),
    ]


def _middle_of_room(plan: Plan) -> list[Line]:
    walls = _walls(plan)
    if not walls:
        return []
    xs, ys = [a[0] for a, _ in walls], [a[1] for a, _ in walls]
    middle = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    lines = [Line(middle, d, "middle of the room", 2) for d in (_UPRIGHT, _LEVEL)]
    for a, b in walls:
        ux, uy = _direction(a, b)
        lines.append(Line(_between(a, b), (-uy, ux), "middle of the wall", 4))
    return lines


def _beside_others(plan: Plan, others: Sequence[Drawn], is_fixture: bool) -> list[Line]:
    """Return lines through the centres of things; a fixture cares for fixtures first."""
    lines = []
    for thing in others:
        rank = 1 if isinstance(thing, Fixture) and is_fixture else 3
        words = f"in line with {name_of(plan, thing)}"
        lines += [Line(centre_of(plan, thing), d, words, rank) for d in (_LEVEL, _UPRIGHT)]
        if not is_fixture and not isinstance(thing, Fixture):
            x0, y0, x1, y1 = box_around(plan, (thing.id,)) or (0.0, 0.0, 0.0, 0.0)
            lines += [Line((x, (y0 + y1) / 2), _UPRIGHT, words, 4) for x in (x0, x1)]
            lines += [Line(((x0 + x1) / 2, y), _LEVEL, words, 4) for y in (y0, y1)]
    return lines


def _off_the_walls(plan: Plan, distance: float, units: UnitSystem) -> list[Line]:
    words = f"{show_length(distance, units)} off the wall"
    lines = []
    for a, b in _walls(plan):
        ux, uy = _direction(a, b)
        shift = (-uy * distance, ux * distance)  # the room lies to the left of a wall
        start, end = (a[0] + shift[0], a[1] + shift[1]), (b[0] + shift[0], b[1] + shift[1])
        lines.append(Line(_between(start, end), (ux, uy), words, 4, Guide(start, end)))
    return lines


def _on_joists(plan: Plan) -> list[Line]:
    return [
        Line(_between(a, b), _direction(a, b), "centred on a joist", 4, Guide(a, b), is_endless=False)
        for a, b in joist_segments(plan)
    ]


def _against_walls(plan: Plan, thing: Drawn) -> list[Line]:
    """Return where the centre lies when the thing touches a wall from within."""
    cx, cy = centre_of(plan, thing)
    corners = corners_of(plan, thing)
    lines = []
    for a, b in _walls(plan):
        ux, uy = _direction(a, b)
        reach = max((cx - x) * -uy + (cy - y) * ux for x, y in corners)
        through = (a[0] - uy * reach, a[1] + ux * reach)
        lines.append(Line(through, (ux, uy), "against the wall", 0, Guide(a, b)))
    return lines


def _equal_spacing(centres: Sequence[Point]) -> list[Place]:
    """Return the places that repeat or halve the spacing of two neighbours in a row or column of fixtures."""
    places = []
    for axis in (0, 1):
        rows: list[list[Point]] = []
        for centre in sorted(centres, key=lambda c: (c[1 - axis], c[axis])):
            if rows and abs(rows[-1][0][1 - axis] - centre[1 - axis]) <= _ROW:
                rows[-1].append(centre)
            else:
                rows.append([centre])
        for row in rows:
            ordered = sorted(row, key=lambda c: c[axis])
            for one, other in pairwise(ordered):
                places += _spaced(one, other)
    return places


def _spaced(one: Point, other: Point) -> list[Place]:
    dx, dy = other[0] - one[0], other[1] - one[1]
    if math.hypot(dx, dy) < 0.05:
        return []
    after, before, between = (other[0] + dx, other[1] + dy), (one[0] - dx, one[1] - dy), _between(one, other)
    words = "equal spacing"
    return [
        Place(after, words, 1, (Guide(one, other), Guide(other, after))),
        Place(before, words, 1, (Guide(before, one), Guide(one, other))),
        Place(between, words, 1, (Guide(one, between), Guide(between, other))),
    ]
