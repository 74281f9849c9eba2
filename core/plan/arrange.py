"""Putting things in order: rows and columns of fixtures between walls, edges in line, equal spacing, mirror images.

Pure edits like those of `core.plan.edits`. Equal spacing and arrays speak of centres, as a tape measure does; lining up
speaks of the upright box around each thing. Mirroring is done across the middle of the room's extent.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from core.plan.clear_space import ClearSpace, clear_space
from core.plan.door_gear import with_gear_following
from core.plan.edits import duplicated, moved
from core.plan.fixtures import Fixture
from core.plan.furniture import Furniture, Side, box_corners
from core.plan.plan import Plan
from core.plan.room import KeepOut
from core.plan.settle import settled
from core.plan.switching import with_missing_groups
from core.plan.things import Placed, all_ids, chosen_ids, fresh, mapped

__all__ = ["MOST_IN_ARRAY", "ArrangeError", "Array", "Edge", "aligned", "distributed", "in_array", "mirrored"]

Edge = Literal["left", "centre", "right", "top", "middle", "bottom"]
Switching = Literal["as it is", "one a row", "one a column"]
MOST_IN_ARRAY = 400
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_MIRRORED_SIDE: dict[Side, Side] = {"left": "right", "right": "left"}


class ArrangeError(ValueError):
    """An arrangement that cannot be made; the text says why."""


@dataclass(frozen=True, slots=True)
class Array:
    """Rows (one above the other on the sheet) of so many columns.

    ``side_margin`` is the distance from the left and right wall to the nearest centres, ``end_margin`` that from the
    front and back wall [m]; None leaves half a spacing there, so that light is even. ``turned_deg`` turns each fixture;
    None leaves it as it is.
    """

    rows: int
    columns: int
    side_margin: float | None = None
    end_margin: float | None = None
    turned_deg: float | None = None
    switching: Switching = "as it is"


def in_array(plan: Plan, ids: Iterable[str], array: Array) -> tuple[Plan, tuple[str, ...]]:
    """Hang fixtures in rows and columns between the walls around the first of them.

    The chosen fixtures take the first places, row by row from the back left; copies of the first one fill the rest.

    Returns
    -------
    (plan, ids)
        The ids of all fixtures of the array, row by row.

    Raises
    ------
    ArrangeError
        If nothing is chosen, the models differ, the first one is outside of the room, or the array has too few or too
        many places or no room for them.
    """
    chosen = chosen_ids(ids)
    known = [fixture for fixture in plan.fixtures if fixture.id in chosen]
    _check(known, array)
    first = known[0]
    skew = 0.0 if first.rotation_deg % 45.0 == 0.0 else (first.rotation_deg + 45.0) % 90.0 - 45.0
    space = clear_space(plan.room.outline, (first.x, first.y), skew)
    if space is None:
        raise ArrangeError("The first fixture hangs outside of the room; bring it in first.")
    xs = _places(space.left, space.right, array.columns, array.side_margin, "left and right")
    ys = _places(space.low, space.high, array.rows, array.end_margin, "front and back")
    letters = _letters(first.group, array)
    hung, taken = list[Fixture](), all_ids(plan)
    for row, y in enumerate(reversed(ys)):
        for column, x in enumerate(xs):
            seat = len(hung)
            base = known[seat] if seat < len(known) else replace(first, id=fresh(taken, "fixture"), name="")
            taken.add(base.id)
            hung.append(_seated(base, space, x, y, letters[row][column], array.turned_deg))
    own = {fixture.id: fixture for fixture in hung}
    kept = [own.pop(fixture.id, fixture) for fixture in plan.fixtures]
    made = with_missing_groups(replace(plan, fixtures=(*kept, *own.values())))
    return made, tuple(fixture.id for fixture in hung)


def aligned(plan: Plan, ids: Iterable[str], edge: Edge) -> Plan:
    """Line things up at one edge, or the middle, of the box around all of them."""
    things = _chosen(plan, ids)
    if len(things) < 2:
        return plan
    boxes = {thing.id: _box(plan, thing) for thing in things}
    axis = 0 if edge in ("left", "centre", "right") else 1
    low = min(box[axis] for box in boxes.values())
    high = max(box[axis + 2] for box in boxes.values())
    for identity, box in boxes.items():
        if edge in ("left", "bottom"):
            shift = low - box[axis]
        elif edge in ("right", "top"):
            shift = high - box[axis + 2]
        else:
            shift = (low + high) / 2 - (box[axis] + box[axis + 2]) / 2
        plan = moved(plan, [identity], *((shift, 0.0) if axis == 0 else (0.0, shift)))
    return plan


def distributed(plan: Plan, ids: Iterable[str], axis: Literal["across", "up"]) -> Plan:
    """Set the centres of three or more things at equal spacing between the two outermost; those stay."""
    pick = 0 if axis == "across" else 1
    things = sorted(_chosen(plan, ids), key=lambda thing: (thing.x, thing.y)[pick])
    if len(things) < 3:
        return plan
    ends = (things[0].x, things[0].y)[pick], (things[-1].x, things[-1].y)[pick]
    for place, thing in enumerate(things[1:-1], start=1):
        wanted = ends[0] + (ends[1] - ends[0]) * place / (len(things) - 1)
        shift = wanted - (thing.x, thing.y)[pick]
        plan = moved(plan, [thing.id], *((shift, 0.0) if pick == 0 else (0.0, shift)))
    return plan


def mirrored(
    plan: Plan, ids: Iterable[str], axis: Literal["left to right", "up and down"], copy: bool = False
) -> tuple[Plan, tuple[str, ...]]:
    """Bring things, or copies of them, to the other side of the room's middle; return the plan and their ids.

    A bench's worker goes to the side that the mirror shows.
    """
    chosen = chosen_ids(ids) & {thing.id for thing in _chosen(plan, ids)}
    names = tuple(thing.id for thing in _chosen(plan, chosen))
    if copy:
        plan, names = duplicated(plan, chosen, 0.0, 0.0)
    if not plan.room.outline or not names:
        return plan, names
    spread = [corner[0 if axis == "left to right" else 1] for corner in plan.room.outline]
    middle = (min(spread) + max(spread)) / 2

    def turn(thing: Placed) -> Placed:
        across = axis == "left to right"
        x = settled(2 * middle - thing.x) if across else thing.x
        y = thing.y if across else settled(2 * middle - thing.y)
        if isinstance(thing, Furniture):
            # Its front stays its front, so left and right change places.
            rotation = settled(((0.0 if across else 180.0) - thing.rotation_deg) % 360.0) % 360.0
            side = _MIRRORED_SIDE.get(thing.worker_side, thing.worker_side)
            return replace(thing, x=x, y=y, rotation_deg=rotation, worker_side=side)
        # What looks alike from either end is turned by less than half a turn.
        half = 180.0 * (thing.rotation_deg % 360.0 >= 180.0)
        return replace(thing, x=x, y=y, rotation_deg=settled(half + -thing.rotation_deg % 180.0))

    return _each(plan, names, turn), names


def _check(known: Sequence[Fixture], array: Array) -> None:
    if not known:
        raise ArrangeError("Select a fixture first.")
    if len({fixture.model for fixture in known}) > 1:
        raise ArrangeError("Select fixtures of one model only.")
    if array.rows < 1 or array.columns < 1:
        raise ArrangeError("An array has at least one row and one column.")
    count = array.rows * array.columns
    if count > MOST_IN_ARRAY:
        raise ArrangeError(f"{array.rows} x {array.columns} are {count} fixtures; at most {MOST_IN_ARRAY} can be hung.")
    if count < len(known):
        raise ArrangeError(f"{len(known)} fixtures are selected; {array.rows} x {array.columns} has too few places.")


def _places(low: float, high: float, count: int, margin: float | None, walls: str) -> list[float]:
    """Return ``count`` centres at equal spacing between two walls."""
    span = high - low
    if margin is None:
        return [low + span * (2 * place + 1) / (2 * count) for place in range(count)]
    if margin < 0.0 or 2 * margin > span + 1e-9:
        raise ArrangeError(f"Twice that distance is more than there is between the {walls} walls.")
    if count == 1:
        return [low + span / 2]
    if span - 2 * margin < 0.01:
        raise ArrangeError(f"That leaves no distance between the fixtures: come nearer to the {walls} walls.")
    return [low + margin + (span - 2 * margin) * place / (count - 1) for place in range(count)]


def _letters(first: str, array: Array) -> list[list[str]]:
    """Return the switch of each place; a row or column of its own takes the letter after the one before."""
    lines = {"one a row": array.rows, "one a column": array.columns}.get(array.switching, 1)
    begin = _LETTERS.find(first)
    if begin < 0 or begin + lines > len(_LETTERS):
        raise ArrangeError(f"From {first} on there are not enough letters for {lines} switches.")
    own = _LETTERS[begin : begin + lines]
    pick: Callable[[int, int], int] = {
        "one a row": lambda row, column: row,
        "one a column": lambda row, column: column,
    }.get(array.switching, lambda row, column: 0)
    return [[own[pick(row, column)] for column in range(array.columns)] for row in range(array.rows)]


def _seated(base: Fixture, space: ClearSpace, x: float, y: float, letter: str, turned_deg: float | None) -> Fixture:
    sheet_x, sheet_y = space.to_sheet(x, y)
    turn = base.rotation_deg if turned_deg is None else settled((turned_deg + space.skew_deg) % 360.0)
    return replace(base, x=settled(sheet_x), y=settled(sheet_y), rotation_deg=turn, group=letter)


def _chosen(plan: Plan, ids: Iterable[str]) -> list[Placed]:
    chosen = chosen_ids(ids)
    things: list[Placed] = [*plan.fixtures, *plan.furniture, *plan.room.keep_outs]
    return [thing for thing in things if thing.id in chosen]


def _box(plan: Plan, thing: Placed) -> tuple[float, float, float, float]:
    if isinstance(thing, Fixture):
        model = plan.model(thing.model)
        width, depth = model.length, model.width
    else:
        width, depth = thing.width, thing.depth
    corners = box_corners(thing.x, thing.y, width, depth, thing.rotation_deg)
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def _each(plan: Plan, ids: Iterable[str], change: Callable[[Placed], Placed]) -> Plan:
    chosen = chosen_ids(ids)

    def fixture(thing: Fixture) -> Fixture:
        return thing if not isinstance(made := change(thing), Fixture) else made

    def piece(thing: Furniture) -> Furniture:
        return thing if not isinstance(made := change(thing), Furniture) else made

    def keep_out(thing: KeepOut) -> KeepOut:
        return thing if not isinstance(made := change(thing), KeepOut) else made

    room = replace(plan.room, keep_outs=mapped(plan.room.keep_outs, chosen, keep_out))
    made = replace(
        plan,
        fixtures=mapped(plan.fixtures, chosen, fixture),
        furniture=mapped(plan.furniture, chosen, piece),
        room=room,
    )
    return with_gear_following(made, chosen)
