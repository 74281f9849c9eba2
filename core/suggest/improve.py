"""Nudge: small moves from the present layout, rows staying rows, that make its darkest spots lighter or the worker's
body shade the work less.

The rows are moved by quick light (`core.suggest.climb`). What was gained is worked out in full before it is offered.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from core.checks.checker import Checker
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.roomlight import Watch
from core.plan import Plan
from core.suggest.answer import LightFigures, figures_of
from core.suggest.climb import Better, Climb
from core.suggest.examine import shadows_at_benches
from core.suggest.request import replaced_ids
from core.units import FOOT

__all__ = ["LEAST_LEFT", "Better", "Nudge", "nudged", "works_at_a_bench"]

LEAST_LEFT = 0.95
"""Share of the darkest spot's light that a nudge against body shadow leaves at the least."""
_SHARES = (1.0, 0.5, 0.25)
"""Of the way that quick light finds: where the full figures do not bear out all of it, less of it may still do."""
_TELLING = 0.01
"""A share of body shadow that is less than this apart is the same."""


@dataclass(frozen=True)
class Nudge:
    """A better place for what hangs already: the plan with it, and full figures before and after.

    ``moves`` are (fixture id, dx, dy) [m]; empty where nothing within the tolerance is better. ``shadows_before`` and
    ``shadows_after`` are (bench id, share of the light at the hands that the body takes), where that was to be less.
    """

    plan: Plan
    moves: tuple[tuple[str, float, float], ...]
    before: LightFigures
    after: LightFigures
    lighting: Lighting | None = None
    shadows_before: tuple[tuple[str, float], ...] = ()
    shadows_after: tuple[tuple[str, float], ...] = ()


def works_at_a_bench(plan: Plan) -> bool:
    """Tell whether somebody stands at any bench, so that there is a body shadow to speak of."""
    return any(bench.worker_side != "nobody" for bench in plan.benches())


def nudged(
    plan: Plan,
    tolerance: float = FOOT,
    engine: LightEngine | None = None,
    *,
    better: Better = "dark spots",
    progress: Callable[[float, str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Nudge:
    """Move the fixtures on the ceiling by ``tolerance`` [m] at the most so that dark spots, or body shadow, get better.

    Where body shadow is to be less, it is so at the worst bench and no more on average over the benches, and the
    darkest spot keeps `LEAST_LEFT` of its light.

    Raises
    ------
    Cancelled
        If ``cancelled()`` became true meanwhile.
    """
    engine = engine or LightEngine()
    lighting = engine.solve(plan, cancelled=cancelled)
    first = figures_of(lighting)
    nothing = Nudge(plan, (), first, first)
    if not replaced_ids(plan) or (better == "body shadow" and not works_at_a_bench(plan)):
        return nothing
    watch = Watch(progress, cancelled)
    climb = Climb(plan, tolerance, engine.ready_room(replace(plan, fixtures=()), watch), watch, better)
    there = climb.run()
    checker = Checker(engine)
    is_shadow = better == "body shadow"
    shadows = shadows_at_benches(checker, plan, lighting, cancelled) if is_shadow and _moves(plan, there) else ()
    for number, share in enumerate(_SHARES):
        watch.at(0.9 + 0.03 * number, "working it out in full")
        part = there if share == 1.0 else climb.part_of_the_way(there, share)
        moves = () if part is None else _moves(plan, part)
        if part is None or not moves:
            continue
        found = engine.solve(part, cancelled=cancelled)
        nudge = Nudge(part, moves, first, figures_of(found), found)
        if is_shadow:
            after = shadows_at_benches(checker, part, found, cancelled)
            nudge = replace(nudge, shadows_before=shadows, shadows_after=after)
        if _is_better(nudge):
            return nudge
    return nothing


def _moves(plan: Plan, there: Plan) -> tuple[tuple[str, float, float], ...]:
    return tuple(
        (old.id, new.x - old.x, new.y - old.y)
        for old, new in zip(plan.fixtures, there.fixtures, strict=True)
        if (old.x, old.y) != (new.x, new.y)
    )


def _is_better(nudge: Nudge) -> bool:
    before, after = nudge.before, nudge.after
    if not nudge.shadows_before:
        return (after.minimum, after.evenness) > (before.minimum, before.evenness)
    old, new = ([share for _, share in found] for found in (nudge.shadows_before, nudge.shadows_after))
    is_less = max(new) <= max(old) - _TELLING and sum(new) <= sum(old)
    return is_less and after.minimum >= LEAST_LEFT * before.minimum
