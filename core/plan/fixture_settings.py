"""Power and colour of fixtures: set on these, on all of their switch, or on all in the room.

A power setting is a position of one model's switch, so it goes to fixtures of the same models only; a colour goes to
every fixture whose data sheet offers it.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import Literal

from core.plan.edits import changed
from core.plan.plan import Plan

__all__ = ["Scope", "widened", "with_colour", "with_power"]

Scope = Literal["these", "switch", "all"]


def widened(plan: Plan, ids: Collection[str], scope: Scope) -> tuple[str, ...]:
    """Return the ids of these fixtures, of all on their switches, or of all."""
    if scope == "all":
        return tuple(fixture.id for fixture in plan.fixtures)
    groups = {fixture.group for fixture in plan.fixtures if fixture.id in ids and scope == "switch"}
    return tuple(fixture.id for fixture in plan.fixtures if fixture.id in ids or fixture.group in groups)


def with_power(plan: Plan, ids: Collection[str], setting: int, scope: Scope = "these") -> Plan:
    """Put the power switch of fixtures of the same models to a position."""
    models = {fixture.model for fixture in plan.fixtures if fixture.id in ids}
    reached = [i for i in widened(plan, ids, scope) if plan.fixture(i).model in models]
    return changed(plan, reached, setting=setting)


def with_colour(plan: Plan, ids: Collection[str], kelvin: int, scope: Scope = "these") -> Plan:
    """Put the colour switch of fixtures that have this colour to it [K]."""
    reached = [i for i in widened(plan, ids, scope) if kelvin in plan.model(plan.fixture(i).model).colours]
    return changed(plan, reached, colour=kelvin)
