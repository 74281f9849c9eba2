"""What cannot be met: which demand is in the way, where, and by how much; the rest is then looked for without it.

Parts of fixtures are allowed here, so what is called impossible is so for every layout on the grid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely

from core.light.field import Lighting
from core.plan import Plan, box_corners
from core.suggest.answer import Hindrance
from core.suggest.demands import HIDDEN, Demand
from core.suggest.free import choices_of
from core.suggest.program import Choices, reach
from core.suggest.search import Search

__all__ = ["as_found", "without_impossible"]

_ROUNDS = 40
_SPOTS = 4
"""Single spots of the open floor that are given up before a requirement as a whole is called out of reach."""
_LESS = 0.97
_EVEN_ENOUGH = 0.9
"""Share of the evenness that parts of fixtures could have which is asked of whole ones."""
_FIELDS = {
    "minimum": "minimum",
    "bench minimum": "bench_minimum",
    "average": "average",
    "reduced average": "reduced_average",
}
_ROOM = ("average", "reduced average")
_MOST_TRIED = 400
"""Cells that are tried one by one for the light that a full ceiling gives them."""
_TOO_MANY = 0.25
"""Share of the spots that is read which may be out of reach before a requirement as a whole is."""
_NEARLY = 0.7
"""A spot that gets less than this share from the grid's places is not looked at more closely."""
_NEAR = 1.2
"""Furniture within this distance [m] is named with a dark spot."""


def without_impossible(search: Search, plan: Plan) -> tuple[Hindrance, ...]:
    """Leave only demands that can be met together in a search; return those that were taken out."""
    out = _even_enough(search)
    if search.request.leave_hidden:
        search.give_up_hidden()
    else:
        out += _unreachable(search, plan)
    spots = 0
    for _ in range(_ROUNDS):
        if len(search.demands) == 0:
            break
        choices = choices_of(search, 0.0)
        found = reach(choices, search.request.limits, search.most)
        if found.share >= 1.0:
            break
        rows = search.demands.without_idle(search.columns * search.trust.correction[:, None]).rows
        row = rows[_in_the_way(choices, found.left, found.duals)]
        spots += 1
        if (spots > _SPOTS or row.kind in _ROOM) and row.kind in _FIELDS and found.share > 0.0:
            out.insert(0, _too_much(search, row, found.share))
            continue
        out.append(_hindrance(search, plan, row, found.share))
        search.give_up(row)
    return tuple(sorted(out, key=lambda part: not part.is_proven))


def _unreachable(search: Search, plan: Plan) -> list[Hindrance]:
    """Ask no more for light where a ceiling full of fixtures does not give the minimum; return these spots.

    Beside every such spot all other cells are tried too, so that no cell is given up that can be lit.
    """
    tried: set[int] = set()
    out: list[Hindrance] = []
    while True:
        rows = [row for row in search.demands.rows if row.kind == "minimum" and row.cell not in tried]
        new = rows if tried else [row for row in rows if row.lit < HIDDEN]
        if not new or len(tried) > _MOST_TRIED:
            return out
        tried |= {row.cell for row in rows}
        slack = search.trust.slack(np.array([row.lit for row in new]))
        dark = [row for row, less in zip(new, slack, strict=True) if _most(search, row) < 1.0 - less]
        if len(dark) > _TOO_MANY * len(rows):
            return out  # it is asked too much of the room as a whole
        out += [_hindrance(search, plan, row, 0.0) for row in dark]
        search.give_up_cells(row.cell for row in dark)
        if not dark:
            return out
        search.read_around([row.cell for row in dark], [row.lit for row in dark])


def _too_much(search: Search, row: Demand, share: float) -> Hindrance:
    """Lower a requirement that is out of reach in many spots to what can be had everywhere; tell how much that is."""
    field = _FIELDS[row.kind]
    wanted = float(getattr(search.request, field))
    lower: dict[str, Any] = {field: wanted * share * _LESS / (1.0 + search.trust.margin)}
    search.ask(replace(search.request, **lower))
    where = "every bench" if row.bench else "the work plane"
    is_proven = share < 0.97 and row.kind != "reduced average"  # switches could be shared out unevenly
    return Hindrance(row.kind, where, wanted, wanted * min(share * (1.0 + search.trust.margin), 1.0), is_proven)


def as_found(parts: Sequence[Hindrance], lighting: Lighting | None) -> tuple[Hindrance, ...]:
    """Return what is in the way with the light that an answer has at spots which were only not insisted on."""
    if lighting is None:
        return tuple(parts)
    light = lighting.responses.sum(axis=1)
    found = [
        replace(part, reached=float(light[part.cell])) if part.cell >= 0 and not part.is_proven else part
        for part in parts
    ]
    return tuple(part for part in found if part.is_proven or part.reached < part.wanted)


def _hindrance(search: Search, plan: Plan, row: Demand, together: float) -> Hindrance:
    """Say how far a demand can be met at the most; where it could be alone, how far it was together with the rest."""
    margin = search.trust.margin
    alone = max(_alone(search, row), 0.0) * (1.0 + margin)
    is_proven = alone < 1.0
    share = alone if is_proven else min(max(together, 0.0) / (1.0 + margin), 1.0)
    place = (row.x, row.y) if row.cell >= 0 else None
    return Hindrance(row.kind, _where(plan, row), row.wanted, row.wanted * share, is_proven, place, row.cell)


def _in_the_way(choices: Choices, left: np.ndarray, duals: np.ndarray) -> int:
    """Return the demand that holds the others back most."""
    if not len(left):
        return 0
    ratio = np.where(choices.right > 0.0, left / np.where(choices.right > 0.0, choices.right, 1.0), np.inf)
    tight = ratio <= ratio.min() + 1e-6
    return int(np.where(tight, duals, -1.0).argmax())


def _alone(search: Search, row: Demand) -> float:
    """Return the largest share of one demand that can be met if nothing else is asked."""
    alone = search.demands.only(np.array([other == row for other in search.demands.rows]))
    return reach(choices_of(search, 0.0, demands=alone), search.request.limits, search.most).share


def _most(search: Search, row: Demand) -> float:
    """Return the largest share of one demand that places can give alone.

    Where the grid just misses a spot, places between those of the grid are taken up near it.
    """
    share = _alone(search, row)
    if _NEARLY <= share < 1.0 and search.finer_near(row.x, row.y):
        return _alone(search, row)
    return share


def _even_enough(search: Search) -> list[Hindrance]:
    """Lower an evenness that no layout on the grid has, by halving steps, and tell how much can be had."""
    wanted = search.request.evenness
    if not wanted or _can_hold(search, wanted):
        return []
    low, high = 0.0, wanted
    for _ in range(7):
        middle = (low + high) / 2
        if _can_hold(search, middle):
            low = middle
        else:
            high = middle
    search.ask(replace(search.request, evenness=max(low * _EVEN_ENOUGH, 1e-3)))
    return [Hindrance("evenness", "the work plane", wanted, low)]


def _can_hold(search: Search, evenness: float) -> bool:
    search.ask(replace(search.request, evenness=evenness))
    choices = choices_of(search, 0.0)
    return reach(choices, search.request.limits, search.most).share >= 1.0


def _where(plan: Plan, row: Demand) -> str:
    if row.bench:
        return next((bench.name for bench in plan.benches() if bench.id == row.bench), row.bench)
    if row.kind in _ROOM:
        return "the work plane"
    spot = shapely.Point(row.x, row.y)
    near = []
    for item in plan.furniture:
        shape = shapely.Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
        near.append((float(shape.distance(spot)), item.name or item.id))
    names = [name for distance, name in sorted(near) if distance < _NEAR][:2]
    return f" beside {' and '.join(names)}" if names else ""
