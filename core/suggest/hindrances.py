"""What cannot be met: which demand is in the way, where, and by how much; the rest is then looked for without it.

Parts of fixtures are allowed here, so what is called impossible is so for every layout on the grid.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from core.plan import Plan, box_corners
from core.suggest.answer import Hindrance
from core.suggest.demands import Demand, Demands
from core.suggest.program import Choices, reach
from core.suggest.search import Search

__all__ = ["without_impossible"]

_ROUNDS = 40
_NEAR = 1.2
"""Furniture within this distance [m] is named with a dark spot."""


def without_impossible(search: Search, plan: Plan) -> tuple[Demands, tuple[Hindrance, ...]]:
    """Return the demands that can be met together, and those that were taken out."""
    demands, out = _even_enough(search)
    search.demands = demands
    for _ in range(_ROUNDS):
        if len(search.demands) == 0:
            break
        choices, _members = search.choices(0.0)
        need = 1.0 + search.trust.margin
        found = reach(choices, search.request.limits, search.most)
        if found.share >= need:
            break
        rows = search.demands.without_idle(search.columns * search.trust.correction[:, None]).rows
        tight = _in_the_way(choices, found.left, found.duals)
        row = rows[tight]
        most = _alone(search, choices, tight)
        reached = row.wanted * max(most if most < need else found.share, 0.0) / need
        out.append(Hindrance(row.kind, _where(plan, row), row.wanted, reached))
        kept = np.array([other != row for other in search.demands.rows])
        search.demands = search.demands.only(kept)
    return search.demands, tuple(out)


def _in_the_way(choices: Choices, left: np.ndarray, duals: np.ndarray) -> int:
    """Return the demand that holds the others back most."""
    if not len(left):
        return 0
    ratio = np.where(choices.right > 0.0, left / np.where(choices.right > 0.0, choices.right, 1.0), np.inf)
    tight = ratio <= ratio.min() + 1e-6
    return int(np.where(tight, duals, -1.0).argmax())


def _alone(search: Search, choices: Choices, row: int) -> float:
    """Return the largest share of one demand that can be met if nothing else is asked."""
    only = replace(choices, left=choices.left[[row]], right=choices.right[[row]])
    return reach(only, search.request.limits, search.most).share


def _even_enough(search: Search) -> tuple[Demands, list[Hindrance]]:
    """Lower an evenness that no layout on the grid has, by halving steps, and tell how much can be had."""
    demands, wanted = search.demands, search.request.evenness
    if not wanted or _can_hold(search, demands):
        return demands, []
    low, high = 0.0, wanted
    for _ in range(7):
        middle = (low + high) / 2
        if _can_hold(search, _at_evenness(demands, middle / wanted)):
            low = middle
        else:
            high = middle
    search.request = replace(search.request, evenness=max(low * 0.95, 1e-3))
    lowered = _at_evenness(demands, search.request.evenness / wanted)
    return lowered, [Hindrance("evenness", "the work plane", wanted, low)]


def _can_hold(search: Search, demands: Demands) -> bool:
    search.demands = demands
    choices, _ = search.choices(0.0)
    return reach(choices, search.request.limits, search.most).share >= 1.0


def _at_evenness(demands: Demands, share: float) -> Demands:
    is_even = np.array([row.kind == "evenness" for row in demands.rows])
    rows = tuple(replace(row, wanted=row.wanted * share) if row.kind == "evenness" else row for row in demands.rows)
    return replace(demands, rows=rows, under=np.where(is_even[:, None], demands.under * share, demands.under))


def _where(plan: Plan, row: Demand) -> str:
    if row.bench:
        return next((bench.name for bench in plan.benches() if bench.id == row.bench), row.bench)
    if row.kind == "average":
        return "the work plane"
    spot = shapely.Point(row.x, row.y)
    near = []
    for item in plan.furniture:
        shape = shapely.Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
        near.append((float(shape.distance(spot)), item.name or item.id))
    names = [name for distance, name in sorted(near) if distance < _NEAR][:2]
    beside = f" beside {' and '.join(names)}" if names else ""
    return f"x {row.x:.2f} m, y {row.y:.2f} m{beside}"
