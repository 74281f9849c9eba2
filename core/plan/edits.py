"""Edits of what stands and hangs in the room: each makes another Plan of one, sharing what did not change.

Ids name fixtures, furniture, openings, keep-outs, joist zones, models, notes and the picture; no two things of a plan
share one.
An id that the plan does not hold is passed over, so that a selection from before an undo does no harm.
Positions are kept to a nanometre, so that moving there and back is exact. Edits of the walls are in
`core.plan.walls`, distances to them in `core.plan.distances`, edits of the switches in `core.plan.switching`;
all are offered here too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import fields, replace
from typing import Any, TypeVar

from core.plan.distances import WallDistance, placed_from_wall, position_from_walls, walls_around
from core.plan.door_gear import with_door_gear, with_gear_following
from core.plan.fixtures import Fixture, Model
from core.plan.furniture import Furniture
from core.plan.hanging import fitted, hung, with_model
from core.plan.plan import Plan
from core.plan.references import without_references
from core.plan.room import JoistZone, KeepOut, Opening, Point
from core.plan.settle import settled
from core.plan.sheet import Note, Underlay
from core.plan.switching import (
    with_combination,
    with_group,
    with_missing_groups,
    without_combination,
    without_group,
)
from core.plan.things import (
    Anything,
    Placed,
    added,
    all_ids,
    chosen_ids,
    everything,
    find,
    fresh,
    fresh_id,
    mapped,
    without,
)
from core.plan.walls import (
    slid_along_wall,
    with_corner,
    with_corner_inserted,
    with_outline,
    with_wall_shifted,
    without_corner,
)

__all__ = [
    "WallDistance",
    "added",
    "all_ids",
    "assigned",
    "changed",
    "duplicated",
    "find",
    "fresh_id",
    "hung",
    "moved",
    "placed_from_wall",
    "position_from_walls",
    "removed",
    "turned",
    "walls_around",
    "with_combination",
    "with_corner",
    "with_corner_inserted",
    "with_door_gear",
    "with_group",
    "with_model",
    "with_outline",
    "with_wall_shifted",
    "without_combination",
    "without_corner",
    "without_group",
]


_T = TypeVar("_T", Fixture, Furniture, Opening, KeepOut, JoistZone, Model, Note)
_OWN_WILL = {"kind", "name", "x", "y", "width", "depth", "rotation_deg", "drop"}
"""Fields of a keep-out that, set by hand, take it off the door that it came with."""


def moved(plan: Plan, ids: Iterable[str], dx: float, dy: float) -> Plan:
    """Move things by (dx, dy) [m]. An opening slides along its wall and stops at its ends."""

    def shift(thing: Placed) -> Placed:
        return replace(thing, x=settled(thing.x + dx), y=settled(thing.y + dy))

    chosen = chosen_ids(ids)
    plan = _placed(plan, chosen, shift)
    if not any(opening.id in chosen for opening in plan.room.openings):
        return with_gear_following(plan, chosen)
    openings = tuple(
        slid_along_wall(plan.room, opening, dx, dy) if opening.id in chosen else opening
        for opening in plan.room.openings
    )
    return with_gear_following(replace(plan, room=replace(plan.room, openings=openings)), chosen)


def turned(plan: Plan, ids: Iterable[str], degrees: float, about: Point | None = None) -> Plan:
    """Turn things counter-clockwise, each on its own spot, or all of them about one point."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def turn(thing: Placed) -> Placed:
        rotation = settled((thing.rotation_deg + degrees) % 360.0) % 360.0
        if about is None:
            return replace(thing, rotation_deg=rotation)
        dx, dy = thing.x - about[0], thing.y - about[1]
        x, y = about[0] + c * dx - s * dy, about[1] + s * dx + c * dy
        return replace(thing, x=settled(x), y=settled(y), rotation_deg=rotation)

    chosen = chosen_ids(ids)
    return with_gear_following(_placed(plan, chosen, turn), chosen)


def removed(plan: Plan, ids: Iterable[str]) -> Plan:
    """Remove things; with a model go its fixtures. Groups stay, so that a switch can be filled again."""
    chosen = chosen_ids(ids)
    fixtures = tuple(f for f in plan.fixtures if f.id not in chosen and f.model not in chosen)
    slimmer = replace(
        plan,
        furniture=without(plan.furniture, chosen),
        models=without(plan.models, chosen),
        fixtures=fixtures,
        notes=without(plan.notes, chosen),
        underlay=None if plan.underlay is not None and plan.underlay.id in chosen else plan.underlay,
        room=replace(
            plan.room,
            openings=without(plan.room.openings, chosen),
            keep_outs=without(plan.room.keep_outs, chosen),
            joists=without(plan.room.joists, chosen),
        ),
    )
    gone = chosen | {fixture.id for fixture in plan.fixtures if fixture.model in chosen}
    slimmer = with_gear_following(without_references(slimmer, gone))
    return slimmer if slimmer != plan else plan


def duplicated(plan: Plan, ids: Iterable[str], dx: float, dy: float) -> tuple[Plan, tuple[str, ...]]:
    """Copy things, set the copies (dx, dy) [m] off; return the plan and the copies' ids, in plan order.

    A copied door has tracks and opener of its own where the door has them; gear copied by itself belongs to no door.
    """
    chosen, taken, copies = chosen_ids(ids), all_ids(plan), dict[str, Anything]()
    gear = {item.id for item in plan.room.keep_outs if item.door in chosen}
    for thing in everything(plan):
        if thing.id in chosen | gear and not isinstance(thing, Underlay):
            identity = fresh(taken, _prefix(thing.id))
            taken.add(identity)
            copies[thing.id] = replace(thing, id=identity)
    for copy in copies.values():
        plan = added(plan, _with_own_door(copy, copies))
    new_ids = tuple(copy.id for old, copy in copies.items() if old in chosen)
    return moved(plan, new_ids, dx, dy), new_ids


def changed(plan: Plan, ids: Iterable[str], **values: Any) -> Plan:
    """Set fields of several things at once; a field is set where a thing has it. A new group letter is made.

    An opening is kept within its wall, and fixtures within the settings and colours of a changed model.

    Raises
    ------
    ValueError
        For the field ``id``, or a field that none of the things has.
    KeyError
        For a model that the plan does not have.
    """
    chosen = chosen_ids(ids)
    if "id" in values:
        raise ValueError("An id cannot be changed.")
    known = {name for thing in everything(plan) if thing.id in chosen for name in _names(thing)}
    if known and not set(values) <= known:
        raise ValueError(f"Nothing that is selected has {', '.join(sorted(set(values) - known))}.")

    def change(thing: _T) -> _T:
        own = {name: value for name, value in values.items() if name in _names(thing)}
        return replace(thing, **own)

    room = plan.room
    after = replace(
        plan,
        furniture=mapped(plan.furniture, chosen, change),
        models=mapped(plan.models, chosen, change),
        fixtures=mapped(plan.fixtures, chosen, change),
        notes=mapped(plan.notes, chosen, change),
        room=replace(
            room,
            openings=tuple(slid_along_wall(room, o, 0.0, 0.0) for o in mapped(room.openings, chosen, change)),
            keep_outs=mapped(room.keep_outs, chosen, change),
            joists=mapped(room.joists, chosen, change),
        ),
    )
    sheet = plan.underlay
    if sheet is not None and sheet.id in chosen:
        after = replace(after, underlay=replace(sheet, **{k: v for k, v in values.items() if k in _names(sheet)}))
    if "model" in values:
        fixtures = [fitted(f, after.model(f.model)) if f.id in chosen else f for f in after.fixtures]
        after = replace(after, fixtures=tuple(fixtures))
    for model in after.models:
        if model.id in chosen:
            after = with_model(after, model)
    return with_gear_following(with_missing_groups(after), chosen if values.keys() & _OWN_WILL else ())


def assigned(plan: Plan, ids: Iterable[str], letter: str) -> Plan:
    """Put fixtures on a switch group, which is made if the plan lacks it."""
    chosen = chosen_ids(ids)
    fixtures = mapped(plan.fixtures, chosen, lambda fixture: replace(fixture, group=letter))
    return with_missing_groups(replace(plan, fixtures=fixtures))


def _names(thing: Anything) -> set[str]:
    return {field.name for field in fields(thing)}


def _with_own_door(copy: Anything, copies: Mapping[str, Anything]) -> Anything:
    """Return copied gear as that of the door's copy, or of none."""
    if not isinstance(copy, KeepOut):
        return copy
    return replace(copy, door=copies[copy.door].id if copy.door in copies else "")


def _prefix(identity: str) -> str:
    stem, hyphen, number = identity.rpartition("-")
    return stem if hyphen and stem and number.isdigit() else identity


def _placed(plan: Plan, chosen: Collection[str], change: Callable[[Any], Any]) -> Plan:
    """Change the chosen fixtures, furniture, keep-outs, notes and picture; untouched parts stay the same object."""
    if any(fixture.id in chosen for fixture in plan.fixtures):
        plan = replace(plan, fixtures=mapped(plan.fixtures, chosen, change))
    if any(item.id in chosen for item in plan.furniture):
        plan = replace(plan, furniture=mapped(plan.furniture, chosen, change))
    if any(item.id in chosen for item in plan.room.keep_outs):
        plan = replace(plan, room=replace(plan.room, keep_outs=mapped(plan.room.keep_outs, chosen, change)))
    if any(note.id in chosen for note in plan.notes):
        plan = replace(plan, notes=mapped(plan.notes, chosen, change))
    if plan.underlay is not None and plan.underlay.id in chosen and not plan.underlay.locked:
        plan = replace(plan, underlay=change(plan.underlay))
    return plan
