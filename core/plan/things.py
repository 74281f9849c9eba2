"""The things of a plan that have ids: fixtures, furniture, openings, keep-outs, joist zones, models, notes, picture."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from core.plan.fixtures import Fixture, Model
from core.plan.furniture import Furniture
from core.plan.plan import Plan
from core.plan.room import JoistZone, KeepOut, Opening
from core.plan.sheet import Note, Underlay
from core.plan.switching import with_missing_groups

__all__ = [
    "Anything",
    "Placed",
    "added",
    "all_ids",
    "chosen_ids",
    "everything",
    "find",
    "fresh",
    "fresh_id",
    "mapped",
    "without",
]

Placed = Fixture | Furniture | KeepOut
Anything = Fixture | Furniture | Opening | KeepOut | JoistZone | Model | Note | Underlay

_T = TypeVar("_T", Fixture, Furniture, Opening, KeepOut, JoistZone, Model, Note)


def everything(plan: Plan) -> list[Anything]:
    """Return all things of a plan that have ids."""
    room = plan.room
    sheet = [*plan.notes, *((plan.underlay,) if plan.underlay is not None else ())]
    return [*plan.fixtures, *plan.furniture, *room.openings, *room.keep_outs, *room.joists, *plan.models, *sheet]


def all_ids(plan: Plan) -> set[str]:
    """Return every id of the plan."""
    return {thing.id for thing in everything(plan)}


def find(plan: Plan, identity: str) -> Anything | None:
    """Return the thing with this id, or None."""
    return next((thing for thing in everything(plan) if thing.id == identity), None)


def fresh_id(plan: Plan, prefix: str) -> str:
    """Return an id that the plan does not use: the prefix, a hyphen and the smallest free number."""
    return fresh(all_ids(plan), prefix)


def added(plan: Plan, thing: Anything) -> Plan:
    """Add a thing. A fixture's group is made if the plan lacks it; a picture takes the place of the one there is.

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
        case Note():
            return replace(plan, notes=(*plan.notes, thing))
        case Underlay():
            return replace(plan, underlay=thing)


def fresh(taken: Collection[str], prefix: str) -> str:
    """Return the prefix with the smallest number that makes an id unlike those taken."""
    number = 1
    while f"{prefix}-{number}" in taken:
        number += 1
    return f"{prefix}-{number}"


def mapped(things: Sequence[_T], chosen: Collection[str], change: Callable[[_T], _T]) -> tuple[_T, ...]:
    """Return the things, the chosen ones changed."""
    return tuple(change(thing) if thing.id in chosen else thing for thing in things)


def without(things: Sequence[_T], chosen: Collection[str]) -> tuple[_T, ...]:
    """Return the things but the chosen ones."""
    return tuple(thing for thing in things if thing.id not in chosen)


def chosen_ids(ids: Iterable[str]) -> frozenset[str]:
    """Return ids as a set; a single one may be given as it is."""
    return frozenset((ids,)) if isinstance(ids, str) else frozenset(ids)
