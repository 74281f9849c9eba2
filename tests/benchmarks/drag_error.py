"""How far the picture shown while dragging is from the full one, off the edges of shadows.

A point lies near a shadow's edge where moving it changes the illuminance by more than 4 % per 2 cm: that is how the
reference cases mark such points. It is tried 2 in away in eight directions, with the direct light of the dragged
fixture, the only one whose column differs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from core.light.direct import direct
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.grid import BoolArray, FloatArray
from core.light.sources import sources_of
from core.light.visibility import blockers_of
from core.plan import Plan

__all__ = ["DragError", "drag_error"]

_AWAY = 0.0508  # m: 2 in
_STEEP = 0.04 / 0.02  # share per metre


@dataclass(frozen=True)
class DragError:
    """Relative deviations of a drag picture from the full one, at all points off shadow edges."""

    largest: float
    percentile_99: float
    mean: float
    largest_anywhere: float
    points: int
    near_edge: int


def drag_error(
    shown: Lighting,
    plan: Plan,
    identity: str,
    triangles: FloatArray,
    *,
    alone: bool = False,
    full: Lighting | None = None,
) -> DragError:
    """Compare the light shown for ``plan`` with one worked out anew at full quality (or ``full``), everything on.

    With ``alone`` the dragged fixture is all that is on, so that nothing else drowns what its light is off by.
    """
    full = full or LightEngine().solve(plan)
    on = np.array([not alone or fixture.id == identity for fixture in plan.fixtures], dtype=np.float32)
    points, mine, wanted = _points(full, plan), _lux(shown, on), _lux(full, on)
    source = sources_of(plan)[[fixture.id for fixture in plan.fixtures].index(identity)]
    near = _near_edges(points, wanted, source, triangles)
    off = np.abs(mine - wanted) / wanted
    clear = off[~near]
    return DragError(
        float(clear.max()),
        float(np.percentile(clear, 99.0)),
        float(clear.mean()),
        float(off.max()),
        len(points),
        int(near.sum()),
    )


def _points(lighting: Lighting, plan: Plan) -> FloatArray:
    flat = lighting.grid.points()[lighting.inside.ravel()]
    plane = np.column_stack([flat, np.full(len(flat), plan.work_plane)])
    return np.concatenate([plane, *(bench.points for bench in lighting.benches)])


def _lux(lighting: Lighting, shares: FloatArray) -> FloatArray:
    parts = [lighting.responses @ shares, *(bench.responses @ shares for bench in lighting.benches)]
    return np.concatenate(parts).astype(float)


def _near_edges(points: FloatArray, lux: FloatArray, source: object, triangles: FloatArray) -> BoolArray:
    blockers = blockers_of(np.asarray(triangles, dtype=float))
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0]), points.shape)
    here = direct(points, up, source, blockers)  # type: ignore[arg-type]
    near = np.zeros(len(points), dtype=bool)
    for turn in np.arange(8) * (np.pi / 4):
        moved = points + _AWAY * np.array([np.cos(turn), np.sin(turn), 0.0])
        there = direct(moved, up, source, blockers)  # type: ignore[arg-type]
        near |= np.abs(there - here) > _STEEP * _AWAY * lux
    return near
