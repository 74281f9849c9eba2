"""Switches for what hangs already: shared out so that every switch alone lights the room as evenly as it can."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from core.light.engine import LightEngine
from core.light.grid import FloatArray
from core.plan import Plan
from core.plan.switching import with_missing_groups
from core.suggest.grouping import shared_out
from core.suggest.request import Request, replaced_ids, switch_letters

__all__ = ["Switching", "proposed_switches"]

_POINTS = 400
"""Points of the work plane that evenness is judged by while fixtures are exchanged; the figures shown take all."""


@dataclass(frozen=True)
class Switching:
    """The plan with other switches, and the evenness (minimum / average) of the least even switch alone."""

    plan: Plan
    sizes: tuple[tuple[str, int], ...]
    before: float
    after: float
    is_better: bool


def proposed_switches(
    plan: Plan, count: int, engine: LightEngine | None = None, cancelled: Callable[[], bool] | None = None
) -> Switching:
    """Share the fixtures on the ceiling out to ``count`` switches; lamps on benches keep theirs.

    Where as many switches as now are wanted and none is more even, the plan stays as it is.

    Raises
    ------
    Cancelled
        If ``cancelled()`` became true meanwhile.
    """
    lighting = (engine or LightEngine()).solve(plan, cancelled=cancelled)
    chosen = set(replaced_ids(plan))
    which = np.array([k for k, fixture in enumerate(plan.fixtures) if fixture.id in chosen], dtype=np.intp)
    columns = lighting.responses[lighting.counted[lighting.inside]][:, which]
    old = [plan.fixtures[k].group for k in which]
    before = _least_even(columns, old)
    letters = switch_letters(plan, Request(groups=count))
    some = np.unique(np.linspace(0, max(0, len(columns) - 1), min(_POINTS, len(columns))).round().astype(np.intp))
    centres = np.array([(plan.fixtures[k].x, plan.fixtures[k].y) for k in which]).reshape(-1, 2)
    new = shared_out(columns[some], centres, letters)
    after = _least_even(columns, new)
    is_better = len(set(old)) != len(set(new)) or after > before + 1e-6
    if not is_better:
        return Switching(plan, _sizes(old), before, before, False)
    fixtures = list(plan.fixtures)
    for k, letter in zip(which, new, strict=True):
        fixtures[k] = replace(fixtures[k], group=letter)
    return Switching(with_missing_groups(replace(plan, fixtures=tuple(fixtures))), _sizes(new), before, after, True)


def _sizes(letters: list[str]) -> tuple[tuple[str, int], ...]:
    return tuple((letter, letters.count(letter)) for letter in sorted(set(letters)))


def _least_even(columns: FloatArray, letters: list[str]) -> float:
    evenness = []
    for letter in sorted(set(letters)):
        light = columns[:, np.array([other == letter for other in letters])].sum(axis=1)
        average = float(light.mean()) if light.size else 0.0
        evenness.append(float(light.min()) / average if average > 0.0 else 0.0)
    return min(evenness, default=0.0)
