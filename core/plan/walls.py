"""Edits of the room's walls. What is in a wall stays in it: openings and wall finishes follow their wall when
corners move, are inserted or removed, and when an outline is drawn the other way round. An opening that no
longer fits slides along its wall, and is narrowed only where the wall has become shorter than the opening.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from core.plan.door_gear import with_gear_following
from core.plan.outline import OutlineError, counter_clockwise, outline_problem, signed_area
from core.plan.plan import Plan
from core.plan.references import with_walls_renumbered
from core.plan.room import Finish, Opening, Point, Room
from core.plan.settle import settled, settled_point
from core.plan.wall_lines import SAME, along_wall, best_shift, runs_through, same_walls_and_corners, shifted_corner

__all__ = [
    "slid_along_wall",
    "with_corner",
    "with_corner_inserted",
    "with_outline",
    "with_wall_shifted",
    "without_corner",
]


def with_outline(plan: Plan, outline: Sequence[Point]) -> Plan:
    """Give the room another outline, stored counter-clockwise.

    With as many corners as before, each wall is the successor of the one whose corners it is nearest to. With
    another number of corners an opening stays where it was if a wall still runs there, and is removed
    otherwise.

    Raises
    ------
    OutlineError
        If the outline is refused; the text says why.
    """
    corners = counter_clockwise(_accepted(outline))
    room = plan.room
    if len(corners) == len(room.outline):
        shift = best_shift(room.outline, corners)
        follows = [(index + shift) % len(corners) for index in range(len(corners))]
        plan = with_walls_renumbered(plan, follows, follows, len(corners))
        return with_gear_following(replace(plan, room=_carried(room, corners, follows)))
    plan = with_walls_renumbered(plan, *same_walls_and_corners(room.outline, corners), len(corners))
    return with_gear_following(replace(plan, room=_laid_over(room, corners)))


def with_corner(plan: Plan, index: int, point: Point) -> Plan:
    """Move corner ``index`` to a point [m].

    Raises
    ------
    OutlineError
        If that makes no room; the text says why.
    """
    corners = list(plan.room.outline)
    corners[index] = point
    return _with_corners(plan, corners, range(len(corners)))


def with_wall_shifted(plan: Plan, index: int, distance: float) -> Plan:
    """Shift wall ``index`` square to itself, outward for a positive distance [m].

    Its neighbours grow or shrink. One in line with it stays where it is, and a short new wall joins the two.

    Raises
    ------
    OutlineError
        If that makes no room; the text says why.
    """
    outline = plan.room.outline
    count, index = len(outline), index % len(outline)
    if distance == 0.0:
        return plan
    a, b = plan.room.wall(index)
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    # The room lies to the left of a wall, so outward is to its right.
    out = (along[1] * distance, -along[0] * distance)
    heads = shifted_corner(a, outline[index - 1], along, out, begins=True)
    tails = shifted_corner(b, outline[(index + 2) % count], along, out, begins=False)
    corners: list[Point] = []
    starts: list[int] = []
    for corner in range(count):
        group = heads if corner == index else tails if corner == (index + 1) % count else (outline[corner],)
        # A wall starts at the last of the corners that its old first corner has become.
        starts.append(len(corners) + len(group) - 1)
        corners.extend(group)
    return _with_corners(plan, corners, starts)


def with_corner_inserted(plan: Plan, wall: int, point: Point) -> Plan:
    """Break a wall in two at a point [m]; both parts keep its finish, an opening stays with its part.

    Raises
    ------
    OutlineError
        If that makes no room; the text says why.
    """
    room = plan.room
    a, b = room.wall(wall)
    length = math.dist(a, b)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    cut = min(max((point[0] - a[0]) * along[0] + (point[1] - a[1]) * along[1], 0.0), length)
    on_line = (a[0] + along[0] * cut, a[1] + along[1] * cut)
    openings = tuple(_after_cut(opening, wall, cut) for opening in room.openings)
    finishes = _padded_finishes(room)
    broken = replace(
        room,
        outline=(*room.outline[: wall + 1], on_line, *room.outline[wall + 1 :]),
        wall_finishes=(*finishes[: wall + 1], *finishes[wall:]) if finishes else (),
        openings=openings,
    )
    corners = list(broken.outline)
    corners[wall + 1] = point
    moved_on = [old if old <= wall else old + 1 for old in range(len(room.outline))]
    # Both parts run on as before, but neither has the length that was measured.
    walls = [None if old == wall else moved_on[old] for old in range(len(room.outline))]
    plan = with_walls_renumbered(plan, walls, moved_on, len(corners))
    return _with_corners(replace(plan, room=broken), corners, range(len(corners)))


def without_corner(plan: Plan, index: int) -> Plan:
    """Remove a corner; its two walls become one, with the finish of the longer and the openings of both.

    Raises
    ------
    OutlineError
        If that makes no room; the text says why.
    """
    room = plan.room
    count, index = len(room.outline), index % len(room.outline)
    corners = [corner for number, corner in enumerate(room.outline) if number != index]
    starts = [number if number < index else number - 1 for number in range(count)]
    starts[index] = starts[index - 1]
    finishes = list(_padded_finishes(room))
    if finishes and math.dist(*room.wall(index)) > math.dist(*room.wall(index - 1)):
        finishes[index - 1] = finishes[index]
    elif finishes:
        finishes[index] = finishes[index - 1]
    gone = (index, (index - 1) % count)
    walls = [None if old in gone else starts[old] for old in range(count)]
    kept = [None if old == index else starts[old] for old in range(count)]
    plan = replace(plan, room=replace(room, wall_finishes=tuple(finishes)))
    return _with_corners(plan, corners, starts, walls, kept)


def slid_along_wall(room: Room, opening: Opening, dx: float, dy: float) -> Opening:
    """Return an opening moved along its wall by what of (dx, dy) [m] runs that way, stopped at its ends."""
    a, b = room.wall(opening.wall)
    length = math.dist(a, b)
    way = ((b[0] - a[0]) * dx + (b[1] - a[1]) * dy) / length
    return _fitted(opening, opening.wall, opening.start + way, length)


def _accepted(outline: Sequence[Point]) -> tuple[Point, ...]:
    corners = tuple(settled_point(corner) for corner in outline)
    problem = outline_problem(corners)
    if problem is not None:
        raise OutlineError(problem)
    return corners


def _with_corners(
    plan: Plan,
    corners: Sequence[Point],
    follows: Sequence[int],
    same_walls: Sequence[int | None] | None = None,
    same_corners: Sequence[int | None] | None = None,
) -> Plan:
    """Give the room these corners; old wall ``i``, and the corner where it begins, go on as ``follows[i]``.

    The last two say which walls and corners are still the same, for what was measured there; by default all.
    """
    accepted, count = _accepted(corners), len(corners)
    plan = with_walls_renumbered(plan, same_walls or follows, same_corners or follows, count)
    room = _carried(plan.room, accepted, follows)
    if signed_area(accepted) < 0.0:
        backwards = range(count - 1, -1, -1)
        plan = with_walls_renumbered(plan, backwards, [(count - c) % count for c in range(count)], count)
        room = _reversed(room)
    return with_gear_following(replace(plan, room=room))


def _carried(room: Room, corners: tuple[Point, ...], follows: Sequence[int]) -> Room:
    openings = []
    for opening in room.openings:
        a, b = room.wall(opening.wall)
        new = follows[opening.wall]
        new_a, new_b = corners[new], corners[(new + 1) % len(corners)]
        length, start = math.dist(new_a, new_b), opening.start
        if math.dist(a, new_a) > SAME and math.dist(b, new_b) <= SAME:
            # Only the first corner went: the opening keeps its distance from the other one.
            start += length - math.dist(a, b)
        openings.append(_fitted(opening, new, start, length))
    finishes: list[Finish | None] = [None] * len(corners)
    for old, finish in enumerate(_padded_finishes(room)):
        finishes[follows[old]] = finish
    kept = tuple(finishes) if room.wall_finishes else ()
    return replace(room, outline=corners, openings=tuple(openings), wall_finishes=kept)


def _reversed(room: Room) -> Room:
    """Return the room with its outline the other way round, beginning at the same corner."""
    count = len(room.outline)
    finishes = _padded_finishes(room)

    def turned(opening: Opening) -> Opening:
        length = math.dist(*room.wall(opening.wall))
        return replace(
            opening,
            wall=count - 1 - opening.wall,
            start=settled(max(length - opening.start - opening.width, 0.0)),
            hinge="end" if opening.hinge == "start" else "start",
        )

    return replace(
        room,
        outline=room.outline[:1] + room.outline[:0:-1],
        openings=tuple(turned(opening) for opening in room.openings),
        wall_finishes=finishes[::-1],
    )


def _laid_over(room: Room, corners: tuple[Point, ...]) -> Room:
    """Lay another outline over the room: openings and finishes stay where a wall still runs."""
    bare = replace(room, outline=corners, openings=(), wall_finishes=())
    openings = []
    for opening in room.openings:
        old = room.wall(opening.wall)
        centre = along_wall(old, opening.start + opening.width / 2)
        new = next((i for i in range(len(corners)) if runs_through(bare.wall(i), old, centre)), None)
        if new is not None:
            wall = bare.wall(new)
            start = math.dist(wall[0], centre) - opening.width / 2
            openings.append(_fitted(opening, new, start, math.dist(*wall)))
    finishes: list[Finish | None] = []
    if room.wall_finishes:
        for index in range(len(corners)):
            wall = bare.wall(index)
            middle = along_wall(wall, math.dist(*wall) / 2)
            olds = [i for i in range(len(room.outline)) if runs_through(room.wall(i), wall, middle)]
            finishes.append(_padded_finishes(room)[olds[0]] if olds else None)
    return replace(bare, openings=tuple(openings), wall_finishes=tuple(finishes))


def _fitted(opening: Opening, wall: int, start: float, length: float) -> Opening:
    width = min(opening.width, length)
    place = settled(min(max(start, 0.0), length - width))
    if (wall, place, width) == (opening.wall, opening.start, opening.width):
        return opening
    return replace(opening, wall=wall, start=place, width=width)


def _after_cut(opening: Opening, wall: int, cut: float) -> Opening:
    if opening.wall < wall:
        return opening
    if opening.wall > wall:
        return replace(opening, wall=opening.wall + 1)
    if opening.start + opening.width / 2 <= cut:
        return replace(opening, start=max(min(opening.start, cut - opening.width), 0.0))
    return replace(opening, wall=wall + 1, start=max(opening.start - cut, 0.0))


def _padded_finishes(room: Room) -> tuple[Finish | None, ...]:
    if not room.wall_finishes:
        return ()
    missing = len(room.outline) - len(room.wall_finishes)
    return room.wall_finishes[: len(room.outline)] + (None,) * missing
