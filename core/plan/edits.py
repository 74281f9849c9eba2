"""Edits of what stands and hangs in the room: each makes another Plan of one, sharing what did not change.

Ids name fixtures, furniture, openings, keep-outs, joist zones and models; no two things of a plan share one.
An id that the plan does not hold is passed over, so that a selection from before an undo does no harm.
Positions are kept to a nanometre, so that moving there and back is exact. Edits of the walls are in
`core.plan.walls`, distances to them in `core.plan.distances`, edits of the switches in `core.plan.switching`;
all are offered here too.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import fields, replace
from typing import Any, TypeVar

from core.plan.distances import WallDistance, placed_from_wall, position_from_walls, walls_around
from core.plan.fixtures import Fixture, Model
from core.plan.furniture import Furniture
from core.plan.plan import Plan
from core.plan.room import JoistZone, KeepOut, Opening, Point
from core.plan.settle import settled
from core.plan.switching import (
    with_combination,
    with_group,
    with_missing_groups,
    without_combination,
    without_group,
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
    "with_group",
    "with_model",
    "with_outline",
    "with_wall_shifted",
    "without_combination",
    "without_corner",
    "without_group",
]

Placed = Fixture | Furniture | KeepOut
Anything = Fixture | Furniture | Opening | KeepOut | JoistZone | Model

BENCH_LAMP_HEIGHT = 0.4572
"""How far above the work plane the opening of a new task lamp is [m]: 18 in (common practice, no source)."""
USUAL_DROP = 0.3048
"""How far a new suspended fixture hangs below the ceiling [m]: 12 in, to be changed by the user."""

_T = TypeVar("_T", Fixture, Furniture, Opening, KeepOut, JoistZone, Model)


def all_ids(plan: Plan) -> set[str]:
    """Return every id of the plan."""
    return {thing.id for thing in _everything(plan)}


def find(plan: Plan, identity: str) -> Anything | None:
    """Return the thing with this id, or None."""
    return next((thing for thing in _everything(plan) if thing.id == identity), None)


def fresh_id(plan: Plan, prefix: str) -> str:
    """Return an id that the plan does not use: the prefix, a hyphen and the smallest free number."""
    return _fresh(all_ids(plan), prefix)


def moved(plan: Plan, ids: Iterable[str], dx: float, dy: float) -> Plan:
    """Move things by (dx, dy) [m]. An opening slides along its wall and stops at its ends."""

    def shift(thing: Placed) -> Placed:
        return replace(thing, x=settled(thing.x + dx), y=settled(thing.y + dy))

    chosen = _chosen(ids)
    plan = _placed(plan, chosen, shift)
    if not any(opening.id in chosen for opening in plan.room.openings):
        return plan
    openings = tuple(
        slid_along_wall(plan.room, opening, dx, dy) if opening.id in chosen else opening
        for opening in plan.room.openings
    )
    return replace(plan, room=replace(plan.room, openings=openings))


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

    return _placed(plan, _chosen(ids), turn)


def added(plan: Plan, thing: Anything) -> Plan:
    """Add a thing. A fixture's group is made if the plan lacks it.

    Raises
    ------
    ValueError
        If the id is taken, or a fixture's model is not in the plan.
    """
    if thing.id in all_ids(plan):
        raise ValueError(f"There is already something with the id {thing.id}.")
    room = plan.room
    match thing:
        case Fixture():
            if all(model.id != thing.model for model in plan.models):
                raise ValueError(f"The plan has no fixture model {thing.model}.")
            return with_missing_groups(replace(plan, fixtures=(*plan.fixtures, thing)))
        case Furniture():
            return replace(plan, furniture=(*plan.furniture, thing))
        case Model():
            return replace(plan, models=(*plan.models, thing))
        case Opening():
            return replace(plan, room=replace(room, openings=(*room.openings, thing)))
        case KeepOut():
            return replace(plan, room=replace(room, keep_outs=(*room.keep_outs, thing)))
        case JoistZone():
            return replace(plan, room=replace(room, joists=(*room.joists, thing)))


def removed(plan: Plan, ids: Iterable[str]) -> Plan:
    """Remove things; with a model go its fixtures. Groups stay, so that a switch can be filled again."""
    chosen = _chosen(ids)
    fixtures = tuple(f for f in plan.fixtures if f.id not in chosen and f.model not in chosen)
    slimmer = replace(
        plan,
        furniture=_without(plan.furniture, chosen),
        models=_without(plan.models, chosen),
        fixtures=fixtures,
        room=replace(
            plan.room,
            openings=_without(plan.room.openings, chosen),
            keep_outs=_without(plan.room.keep_outs, chosen),
            joists=_without(plan.room.joists, chosen),
        ),
    )
    return slimmer if slimmer != plan else plan


def duplicated(plan: Plan, ids: Iterable[str], dx: float, dy: float) -> tuple[Plan, tuple[str, ...]]:
    """Copy things, set the copies (dx, dy) [m] off; return the plan and the copies' ids, in plan order."""
    chosen, taken, copies = _chosen(ids), all_ids(plan), []
    for thing in _everything(plan):
        if thing.id in chosen:
            identity = _fresh(taken, _prefix(thing.id))
            taken.add(identity)
            copies.append(replace(thing, id=identity))
    for copy in copies:
        plan = added(plan, copy)
    new_ids = tuple(copy.id for copy in copies)
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
    chosen = _chosen(ids)
    if "id" in values:
        raise ValueError("An id cannot be changed.")
    known = {name for thing in _everything(plan) if thing.id in chosen for name in _names(thing)}
    if known and not set(values) <= known:
        raise ValueError(f"Nothing that is selected has {', '.join(sorted(set(values) - known))}.")

    def change(thing: _T) -> _T:
        own = {name: value for name, value in values.items() if name in _names(thing)}
        return replace(thing, **own)

    room = plan.room
    after = replace(
        plan,
        furniture=_mapped(plan.furniture, chosen, change),
        models=_mapped(plan.models, chosen, change),
        fixtures=_mapped(plan.fixtures, chosen, change),
        room=replace(
            room,
            openings=tuple(
                slid_along_wall(room, o, 0.0, 0.0) for o in _mapped(room.openings, chosen, change)
            ),
            keep_outs=_mapped(room.keep_outs, chosen, change),
            joists=_mapped(room.joists, chosen, change),
        ),
    )
    if "model" in values:
        fixtures = [_fitted(f, after.model(f.model)) if f.id in chosen else f for f in after.fixtures]
        after = replace(after, fixtures=tuple(fixtures))
    for model in after.models:
        if model.id in chosen:
            after = with_model(after, model)
    return with_missing_groups(after)


def assigned(plan: Plan, ids: Iterable[str], letter: str) -> Plan:
    """Put fixtures on a switch group, which is made if the plan lacks it."""
    chosen = _chosen(ids)
    fixtures = _mapped(plan.fixtures, chosen, lambda fixture: replace(fixture, group=letter))
    return with_missing_groups(replace(plan, fixtures=fixtures))


def with_model(plan: Plan, model: Model) -> Plan:
    """Add a model, or put it in place of the one with its id.

    Fixtures of it whose power setting or colour it no longer has take its last setting or its first colour.
    """
    if all(known.id != model.id for known in plan.models):
        return added(plan, model)
    models = tuple(model if known.id == model.id else known for known in plan.models)
    fixtures = tuple(_fitted(f, model) if f.model == model.id else f for f in plan.fixtures)
    return replace(plan, models=models, fixtures=fixtures)


def hung(
    plan: Plan,
    model: str | Model,
    x: float,
    y: float,
    *,
    rotation_deg: float = 0.0,
    group: str | None = None,
    setting: int = 0,
    colour: int | None = None,
    drop: float | None = None,
    height: float | None = None,
) -> tuple[Plan, str]:
    """Hang a fixture at (x, y) [m]; return the plan and the new fixture's id.

    The model is one of the plan's by id, or a catalogue entry that is taken into the plan. Without a group
    the fixture goes on the plan's first one. Unless told otherwise a suspended one hangs 12 in down and a
    task lamp 18 in above the work plane.

    Raises
    ------
    KeyError
        If the plan has no model with this id.
    """
    if isinstance(model, Model):
        if all(known.id != model.id for known in plan.models):
            plan = added(plan, model)
        model = model.id
    entry = plan.model(model)
    if drop is None:
        drop = USUAL_DROP if entry.mounting == "suspended" else 0.0
    if height is None and entry.mounting == "bench":
        height = settled(min(plan.work_plane + BENCH_LAMP_HEIGHT, plan.room.height))
    fixture = Fixture(
        id=fresh_id(plan, "fixture"),
        model=model,
        x=settled(x),
        y=settled(y),
        rotation_deg=settled(rotation_deg % 360.0),
        drop=drop,
        height=height,
        setting=min(setting, len(entry.settings) - 1),
        colour=colour if colour is not None else _usual_colour(entry),
        group=group or (plan.groups[0].letter if plan.groups else "A"),
    )
    return added(plan, fixture), fixture.id


def _everything(plan: Plan) -> list[Anything]:
    room = plan.room
    return [*plan.fixtures, *plan.furniture, *room.openings, *room.keep_outs, *room.joists, *plan.models]


def _chosen(ids: Iterable[str]) -> frozenset[str]:
    return frozenset((ids,)) if isinstance(ids, str) else frozenset(ids)


def _names(thing: Anything) -> set[str]:
    return {field.name for field in fields(thing)}


def _fresh(taken: Collection[str], prefix: str) -> str:
    number = 1
    while f"{prefix}-{number}" in taken:
        number += 1
    return f"{prefix}-{number}"


def _prefix(identity: str) -> str:
    stem, hyphen, number = identity.rpartition("-")
    return stem if hyphen and stem and number.isdigit() else identity


def _mapped(things: Sequence[_T], chosen: Collection[str], change: Callable[[_T], _T]) -> tuple[_T, ...]:
    return tuple(change(thing) if thing.id in chosen else thing for thing in things)


def _without(things: Sequence[_T], chosen: Collection[str]) -> tuple[_T, ...]:
    return tuple(thing for thing in things if thing.id not in chosen)


def _placed(plan: Plan, chosen: Collection[str], change: Callable[[Any], Any]) -> Plan:
    """Change the chosen fixtures, furniture and keep-outs; untouched parts stay the same object."""
    if any(fixture.id in chosen for fixture in plan.fixtures):
        plan = replace(plan, fixtures=_mapped(plan.fixtures, chosen, change))
    if any(item.id in chosen for item in plan.furniture):
        plan = replace(plan, furniture=_mapped(plan.furniture, chosen, change))
    if any(item.id in chosen for item in plan.room.keep_outs):
        plan = replace(plan, room=replace(plan.room, keep_outs=_mapped(plan.room.keep_outs, chosen, change)))
    return plan


def _fitted(fixture: Fixture, model: Model) -> Fixture:
    return replace(
        fixture,
        setting=min(fixture.setting, len(model.settings) - 1),
        colour=fixture.colour if fixture.colour in model.colours else model.colours[0],
    )


def _usual_colour(model: Model) -> int:
    return 4000 if 4000 in model.colours else model.colours[0]
