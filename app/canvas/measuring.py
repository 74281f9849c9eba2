"""The dimension lines of a thing: from its centre to the nearest wall, once along the sheet and once across.

`dimensions_of` says what is measured; `laid_out` finds where line and text go on the screen. The line runs
beside the thing's body where the wall reaches that far, else through its centre. Text stands on the line,
and beside it where the line is too short; it never leaves the frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from PySide6.QtCore import QLineF, QPointF, QRectF

from app.canvas.footprints import corners_of, thing_with
from app.canvas.paint.look import Look
from app.canvas.paint.words import kept_within, label_size
from app.canvas.view import View
from app.theme import font
from core.plan import Fixture, Furniture, Note, Opening, Plan, Point, Room, Underlay
from core.plan.distances import WallSide
from core.plan.edits import walls_around
from core.units import show_length

__all__ = [
    "Dimension",
    "DimensionLine",
    "all_lines_of",
    "dimensions_of",
    "kept_apart",
    "laid_out",
    "line_between",
    "line_to_neighbour",
    "neighbours_of",
]

_BESIDE = 13.0  # px from a body's edge to its dimension line
_BADGE = 9.0  # px: the extension line begins outside of the letter in the middle of a fixture
_NEAR = 24.0  # px: half a body that a line goes around
_APART = 0.05  # m: nearer ones lie upon each other
_GAP = 3.0  # px between two texts
_LEAST = 0.001  # m: what lies on the wall has no dimension to it


@dataclass(frozen=True, slots=True)
class Dimension:
    """A distance from a thing's centre to a wall [m]; ``half_across`` is half the body's extent square to
    it and ``rotation_deg`` how the tape is held."""

    thing: str
    side: WallSide
    length: float
    centre: Point
    foot: Point
    half_across: float
    rotation_deg: float


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """A dimension on the screen: the line, where it has ticks, extension lines, text and where the text
    stands."""

    line: QLineF
    extensions: tuple[QLineF, ...]
    text: str
    label: QRectF
    of: Dimension | None = None
    ticks: tuple[QPointF, ...] = ()


def dimensions_of(plan: Plan, identity: str) -> tuple[Dimension, ...]:
    """Return the distances to the nearest wall both ways; fewer where a thing is outside of the room or on
    a wall."""
    thing = thing_with(plan, identity)
    if thing is None or isinstance(thing, Opening | Note | Underlay) or len(plan.room.outline) < 3:
        return ()
    around = walls_around(plan.room, thing.x, thing.y, thing.rotation_deg)
    found = []
    pairs: tuple[tuple[WallSide, WallSide], ...] = (("left", "right"), ("front", "back"))
    for pair in pairs:
        near = [(round(around[side].distance, 6), side) for side in pair if side in around]
        if not near or min(near)[0] < _LEAST:
            continue
        side = min(near)[1]
        hit = around[side]
        ux, uy = (hit.foot[0] - thing.x) / hit.distance, (hit.foot[1] - thing.y) / hit.distance
        across = max(abs((x - thing.x) * -uy + (y - thing.y) * ux) for x, y in corners_of(plan, thing))
        found.append(Dimension(identity, side, hit.distance, (thing.x, thing.y), hit.foot, across, thing.rotation_deg))
    return tuple(found)


def neighbours_of(plan: Plan, identity: str) -> tuple[tuple[Point, Point], ...]:
    """Return the ways from a thing's centre to its neighbours' centres along the sheet, at most one a side [m].

    Fixtures are measured to fixtures, furniture to furniture; a neighbour is what is met by a strip as wide as both.
    """
    thing = thing_with(plan, identity)
    if not isinstance(thing, Fixture | Furniture):
        return ()
    others: Iterable[Fixture | Furniture] = plan.fixtures if isinstance(thing, Fixture) else plan.furniture
    box = _half_size(plan, thing)
    found: dict[tuple[int, bool], tuple[float, Point]] = {}
    for other in others:
        away = other.x - thing.x, other.y - thing.y
        reach = _half_size(plan, other)
        for axis in (0, 1):
            across = 1 - axis
            if other.id == identity or abs(away[across]) > box[across] + reach[across] or abs(away[axis]) < _APART:
                continue
            side = (axis, away[axis] > 0.0)
            end = (other.x, thing.y) if axis == 0 else (thing.x, other.y)
            if side not in found or abs(away[axis]) < found[side][0]:
                found[side] = (abs(away[axis]), end)
    return tuple(((thing.x, thing.y), end) for _, end in found.values())


def _half_size(plan: Plan, thing: Fixture | Furniture) -> Point:
    xs, ys = zip(*corners_of(plan, thing), strict=True)
    return (max(xs) - min(xs)) / 2, (max(ys) - min(ys)) / 2


def laid_out(dimension: Dimension, room: Room, view: View, look: Look, frame: QRectF) -> DimensionLine:
    """Find the place of a dimension on the screen."""
    (cx, cy), (fx, fy) = dimension.centre, dimension.foot
    ux, uy = (fx - cx) / dimension.length, (fy - cy) / dimension.length
    start, end = view.to_screen(cx, cy), view.to_screen(fx, fy)
    # Beside the body where that is near; across a long body the line starts on its axis, beside the badge.
    is_near = dimension.half_across * view.scale <= _NEAR
    away = (dimension.half_across if is_near else 0.0) + _BESIDE / view.scale
    for sign in (1.0, -1.0):
        nx, ny = _up_or_right(ux, uy, sign)
        beside = walls_around(room, cx + nx * away, cy + ny * away, dimension.rotation_deg).get(dimension.side)
        foot = (fx + nx * away, fy + ny * away)
        shown = view.to_screen(cx + nx * away, cy + ny * away)
        if beside is None or math.dist(beside.foot, foot) > _LEAST or not frame.contains(shown):
            continue
        line = QLineF(shown, view.to_screen(*foot))
        off = QPointF(nx, -ny) * _BADGE
        return _with_label(line, (QLineF(start + off, line.p1()),), dimension.length, look, frame, dimension)
    return _with_label(QLineF(start, end), (), dimension.length, look, frame, dimension)


def line_to_neighbour(plan: Plan, a: Point, b: Point, view: View, look: Look, frame: QRectF) -> DimensionLine:
    """Return the dimension line from a thing's centre to its neighbour's. A fixture's letter marks its centre well: the
    line begins and ends outside of such letters and has no ticks on them."""
    whole = line_between(a, b, view, look, frame, ends=_BADGE)
    start, end = whole.line.p1(), whole.line.p2()
    if whole.line.length() <= 2 * _BADGE:
        return replace(whole, ticks=())
    step = QPointF(whole.line.dx(), whole.line.dy()) * (_BADGE / whole.line.length())
    lettered = [_is_lettered(plan, point, view) for point in (a, b)]
    line = QLineF(start + step if lettered[0] else start, end - step if lettered[1] else end)
    ticks = tuple(at for at, is_lettered in zip((start, end), lettered, strict=True) if not is_lettered)
    return replace(whole, line=line, ticks=ticks)


def all_lines_of(plan: Plan, identity: str, view: View, look: Look, frame: QRectF) -> list[DimensionLine]:
    """Return the dimension lines of a thing to walls and neighbours, their texts apart from each other."""
    to_walls = [laid_out(each, plan.room, view, look, frame) for each in dimensions_of(plan, identity)]
    others = [line_to_neighbour(plan, a, b, view, look, frame) for a, b in neighbours_of(plan, identity)]
    return kept_apart([*to_walls, *others], frame)


def kept_apart(lines: Iterable[DimensionLine], frame: QRectF) -> list[DimensionLine]:
    """Return lines with their texts shifted, along the line or beside it, off the texts of those before them."""
    kept: list[DimensionLine] = []
    for line in lines:
        taken = [other.label for other in kept]
        spots = (kept_within(line.label.translated(off), frame) for off in _ways_out(line))
        free = next((spot for spot in spots if not any(spot.intersects(other) for other in taken)), line.label)
        kept.append(replace(line, label=free))
    return kept


def _ways_out(line: DimensionLine) -> Iterator[QPointF]:
    """Yield by how much a text may be shifted, the least first: not at all, along its line, then beside it."""
    yield QPointF()
    along = QPointF(line.label.width() + _GAP, 0.0)
    beside = QPointF(0.0, line.label.height() + _GAP)
    if abs(line.line.dx()) < abs(line.line.dy()):
        along, beside = beside, along
    for way in (along, beside, along * 2.0, along + beside, along - beside):
        yield way
        yield way * -1.0


def _is_lettered(plan: Plan, point: Point, view: View) -> bool:
    """Tell whether a fixture's letter stands at a point."""
    return any(math.dist((fixture.x, fixture.y), point) * view.scale < _BADGE for fixture in plan.fixtures)


def line_between(
    a: Point, b: Point, view: View, look: Look, frame: QRectF, beside: float = 0.0, ends: float = 0.0
) -> DimensionLine:
    """Return the dimension line between two points; ``beside`` sets it off to the left of the way from a to
    b, and text keeps that far off from ``ends`` [px]."""
    start, end = view.to_screen(*a), view.to_screen(*b)
    length = math.hypot(end.x() - start.x(), end.y() - start.y())
    line = QLineF(start, end)
    extensions: tuple[QLineF, ...] = ()
    if beside and length > 0.0:
        # Text is written level, so beside an upright line it needs half its width to clear the wall.
        width, _ = label_size(show_length(math.dist(a, b), look.units), font("small", strong=True))
        beside += math.copysign(abs(end.y() - start.y()) / length * max(0.0, width / 2 - 8.0), beside)
        off = QPointF(end.y() - start.y(), start.x() - end.x()) * (beside / length)
        line = QLineF(start + off, end + off)
        extensions = (QLineF(start, line.p1()), QLineF(end, line.p2()))
    return _with_label(line, extensions, math.dist(a, b), look, frame, None, ends)


def _up_or_right(ux: float, uy: float, sign: float) -> Point:
    """Return the normal of a direction that points up the sheet (level lines) or right (upright ones),
    times a sign."""
    turn = sign * (math.copysign(1.0, ux) if abs(ux) > abs(uy) else -math.copysign(1.0, uy))
    return -uy * turn, ux * turn


def _with_label(
    line: QLineF,
    extensions: tuple[QLineF, ...],
    metres: float,
    look: Look,
    frame: QRectF,
    of: Dimension | None,
    ends: float = 0.0,
) -> DimensionLine:
    text = show_length(metres, look.units)
    width, height = label_size(text, font("small", strong=True))
    middle = _middle_in(line, frame)
    rect = QRectF(middle.x() - width / 2, middle.y() - height / 2, width, height)
    level = abs(line.dx()) > abs(line.dy())
    if line.length() < (width if level else height) + 14.0 + 2 * ends:
        aside = max(9.0, ends + 2.0)
        off = QPointF(0.0, -height / 2 - aside) if level else QPointF(width / 2 + aside, 0.0)
        rect.translate(off)
    return DimensionLine(line, extensions, text, kept_within(rect, frame), of, (line.p1(), line.p2()))


def _middle_in(line: QLineF, frame: QRectF) -> QPointF:
    """Return the middle of what the frame shows of a line."""
    low, high = 0.0, 1.0
    edges = (
        (-line.dx(), line.x1() - frame.left()),
        (line.dx(), frame.right() - line.x1()),
        (-line.dy(), line.y1() - frame.top()),
        (line.dy(), frame.bottom() - line.y1()),
    )
    for step, gap in edges:
        if step < 0.0:
            low = max(low, gap / step)
        elif step > 0.0:
            high = min(high, gap / step)
    return line.pointAt((low + high) / 2) if low < high else line.center()
