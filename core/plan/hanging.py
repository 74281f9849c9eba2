"""Hanging fixtures: a new one takes what suits its model; those of a changed model are fitted to it."""

from __future__ import annotations

from dataclasses import replace

from core.plan.fixtures import Fixture, Model
from core.plan.plan import Plan
from core.plan.settle import settled
from core.plan.things import added, fresh_id

__all__ = ["BENCH_LAMP_HEIGHT", "USUAL_DROP", "fitted", "hung", "with_model"]

BENCH_LAMP_HEIGHT = 0.4572
"""How far above the work plane the opening of a new task lamp is [m]: 18 in (common practice, no source)."""
USUAL_DROP = 0.3048
"""How far a new suspended fixture hangs below the ceiling [m]: 12 in, to be changed by the user."""


def with_model(plan: Plan, model: Model) -> Plan:
    """Add a model, or put it in place of the one with its id.

    Fixtures of it whose power setting or colour it no longer has take its last setting or its first colour.
    """
    if all(known.id != model.id for known in plan.models):
        return added(plan, model)
    models = tuple(model if known.id == model.id else known for known in plan.models)
    fixtures = tuple(fitted(f, model) if f.model == model.id else f for f in plan.fixtures)
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


def fitted(fixture: Fixture, model: Model) -> Fixture:
    """Return a fixture with a power setting and a colour that the model has."""
    return replace(
        fixture,
        setting=min(fixture.setting, len(model.settings) - 1),
        colour=fixture.colour if fixture.colour in model.colours else model.colours[0],
    )


def _usual_colour(model: Model) -> int:
    return 4000 if 4000 in model.colours else model.colours[0]
