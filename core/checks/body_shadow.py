"""Body shadow: how much of the light on a bench the worker's own body takes, and which fixture throws the shadow.

The body is an obstacle that blocks and reflects (`standing`). With and without it the light of every fixture on the
bench's points is known, so loss = 1 - after / before holds for any switch setting. Direct light with the body is worked
out in full, ray by ray. Reflected light with the body is that without, times the ratio of two quick solutions of the
room with and without the body: measured on three demo benches against full solutions of both rooms the loss is within
0.4 percentage points on average and 4 at the worst single point. `thorough` solves the room with the body in full.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from core.checks.standing import Stand, body_at, has_top
from core.light.direct import FINE, ShadowRays, direct
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.field import BenchLight, Lighting
from core.light.grid import BoolArray, FloatArray, Grid
from core.light.quality import FULL, QUICK
from core.light.receivers import UP
from core.light.roomlight import RoomLight, Watch, prepare
from core.light.sources import Source, sources_of
from core.light.visibility import Blockers, blockers_of
from core.plan import Plan

__all__ = ["LOSSES", "BodyShadow", "Losses", "cast", "cast_in_full", "loss_field", "losses", "tops_only"]

LOSSES = (0.2, 0.3, 0.5)
SPOT = 0.4
"""The spot where the work is: what lies within this distance of the hands [m]."""
COARSE_STEP = 0.6
_ON_ONE_TOP = replace(FULL, receiver_rays=FULL.receiver_rays // 4)
"""One top has a few hundred points: a quarter of the rays still leaves each more of them than all benches have."""
_FAINT = 0.5
"""Quick reflected light below this [lx] gives no ratio."""


@dataclass(frozen=True)
class Losses:
    """What the body takes at one setting: share of the top that loses more than 20, 30 and 50 %, and the worst and
    average loss (0 to 1); ``spot`` is the average loss where the hands work; ``worst_at`` (3,) [m]."""

    over: tuple[float, float, float]
    worst: float
    average: float
    spot: float
    worst_at: FloatArray


@dataclass(frozen=True)
class BodyShadow:
    """One bench with and without its worker.

    ``grid``, ``inside`` and ``points`` (n, 3) are those of `core.light.field.BenchLight`; ``before`` and ``after``
    (n, fixtures) the light [lx]; ``straight_before`` and ``straight_after`` its direct part. ``clear`` and ``blocked``
    are the ray queries of the room without and with the body; ``body_size`` its width and depth [m].
    """

    stand: Stand
    grid: Grid
    inside: BoolArray
    points: FloatArray
    before: FloatArray
    after: FloatArray
    straight_before: FloatArray
    straight_after: FloatArray
    clear: Blockers
    blocked: Blockers
    body_size: tuple[float, float]

    @property
    def at_hands(self) -> int:
        """The number of the point that is nearest to the hands."""
        return int(np.linalg.norm(self.points[:, :2] - self.stand.hands[:2], axis=1).argmin())

    @property
    def workable(self) -> BoolArray:
        """Which points (n,) no part of a worker who leans in is right above: under the trunk nobody works."""
        offset = self.points[:, :2] - (self.stand.x, self.stand.y)
        front = float((self.stand.eye[:2] - (self.stand.x, self.stand.y)) @ self.stand.ahead)
        ahead, aside = offset @ self.stand.ahead, offset @ (self.stand.ahead[1], -self.stand.ahead[0])
        free: BoolArray = (ahead > front) | (np.abs(aside) > self.body_size[0] / 2)
        return free if free.any() else np.ones(len(self.points), dtype=bool)

    @property
    def spot(self) -> BoolArray:
        """Which workable points lie where the hands work, (n,); at least the nearest one."""
        distance = np.linalg.norm(self.points[:, :2] - self.stand.hands[:2], axis=1)
        distance[~self.workable] = np.inf
        near: BoolArray = distance <= max(SPOT, float(distance.min()) + 1e-9)
        return near


def losses(shadow: BodyShadow, shares: FloatArray) -> Losses:
    """Return what the body takes where one can work, at the level of each fixture (fixtures,)."""
    free = shadow.workable
    before, after = (shadow.before @ shares)[free], (shadow.after @ shares)[free]
    return losses_of(before, after, shadow.spot[free], shadow.points[free])


def loss_field(before: FloatArray, after: FloatArray) -> FloatArray:
    """Return the loss 1 - after / before, point by point, 0 in the dark; a gain by reflection counts as 0."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share: FloatArray = np.where(before > 1e-6, 1.0 - after / before, 0.0)
    return np.clip(share, 0.0, 1.0)


def losses_of(before: FloatArray, after: FloatArray, spot: BoolArray, points: FloatArray) -> Losses:
    """Return the losses for light without and with the body at the same points (n,)."""
    if not len(before):
        return Losses((0.0, 0.0, 0.0), 0.0, 0.0, 0.0, np.zeros(3))
    share = loss_field(before, after)
    over = tuple(float((share > limit).mean()) for limit in LOSSES)
    here = float(before[spot].sum())
    lost = 1.0 - float(after[spot].sum()) / here if here > 1e-6 else 0.0
    worst = int(share.argmax())
    return Losses((over[0], over[1], over[2]), float(share[worst]), float(share.mean()), max(lost, 0.0), points[worst])


def cast(
    plan: Plan,
    stand: Stand,
    bare: Lighting,
    before: FloatArray | None,
    engine: LightEngine,
    clear: Blockers,
    cancelled: Callable[[], bool] | None = None,
) -> BodyShadow:
    """Work out one bench with and without its worker, reflected light with the body by the quick ratio.

    Parameters
    ----------
    bare : Lighting
        The quick light of `tops_only(plan, stand.item.id)` without anybody.
    before : (n, fixtures) or None
        The light on the bench's points from a full solution, if it is at hand [lx].
    engine : LightEngine
        Used for this bench only, so that its rooms stay at hand; cells of `COARSE_STEP` will do.
    clear : Blockers
        The ray queries of the room without anybody.
    """
    body = body_at(plan, stand)
    empty = _bench_of(bare, stand)
    dimmed = _bench_of(engine.solve(tops_only(plan, stand.item.id), quick=True, extra=body, cancelled=cancelled), stand)
    blocked = blockers_of(enclose(plan, body).triangles)
    points, sources = empty.points, sources_of(plan)
    straight_before = direct_light(points, sources, clear, FINE)
    straight_after = direct_light(points, sources, blocked, FINE)
    light = np.asarray(empty.responses if before is None else before, float)
    # The quick solution's own rays: its direct part must fall away exactly, or it would pass for reflected light.
    quick_before = empty.responses - direct_light(points, sources, clear, QUICK.on_points)
    quick_after = dimmed.responses - direct_light(points, sources, blocked, QUICK.on_points)
    usable = quick_before > _FAINT
    ratio = np.where(usable, quick_after / np.where(usable, quick_before, 1.0), 1.0)
    reflected = np.maximum(light - straight_before, 0.0)
    shaded = straight_after + reflected * np.clip(ratio, 0.0, 1.1)
    parts = (light, shaded, straight_before, straight_after)
    size = (plan.worker.width, plan.worker.depth)
    return BodyShadow(stand, empty.grid, empty.inside, points, *parts, clear, blocked, size)


def cast_in_full(
    plan: Plan,
    stand: Stand,
    before: FloatArray | None,
    engine: LightEngine | None,
    clear: Blockers,
    cancelled: Callable[[], bool] | None = None,
) -> BodyShadow:
    """Work out one bench with and without its worker by solving the room with the worker in full.

    That room is read on this bench only. ``before`` (n, fixtures) is the light on its points where it is known from the
    room's full solution [lx]; else ``engine``, which knows that room, is asked for it; without one the room without the
    worker is solved in the same way.
    """
    sources, watch = sources_of(plan), Watch(None, cancelled)
    item = plan.piece(stand.item.id)
    room = prepare(plan, _ON_ONE_TOP, COARSE_STEP, watch, body_at(plan, stand), (item,))
    top, shaded = room.benches[0], _on_top(room, sources, watch)
    if before is None and engine is None:
        before = _on_top(prepare(plan, _ON_ONE_TOP, COARSE_STEP, watch, (), (item,)), sources, watch)
    elif before is None and engine is not None:
        before = engine.receive(
            plan, top.points, np.broadcast_to(UP, top.points.shape), cancelled=cancelled, closely=False
        )
    straight_before = direct_light(top.points, sources, clear, FINE)
    straight_after = direct_light(top.points, sources, room.blockers, FINE)
    parts = (np.asarray(before, float), shaded, straight_before, straight_after)
    size = (plan.worker.width, plan.worker.depth)
    return BodyShadow(stand, top.grid, top.inside, top.points, *parts, clear, room.blockers, size)


def _on_top(room: RoomLight, sources: tuple[Source, ...], watch: Watch) -> FloatArray:
    """Return the light of each fixture (n, fixtures) on the one top that a room is read on [lx]."""
    columns = [column.benches[0] for column in room.columns(sources, watch)]
    return np.column_stack(columns) if columns else np.zeros((len(room.benches[0].points), 0))


def tops_only(plan: Plan, also: str = "") -> Plan:
    """Return the plan with every bench and low machine, and the piece ``also``, as a bench, so that its top is read;
    light passes alike."""
    furniture = tuple(
        replace(item, kind="bench") if has_top(item) or item.id == also else item for item in plan.furniture
    )
    return replace(plan, furniture=furniture)


def _bench_of(lighting: Lighting, stand: Stand) -> BenchLight:
    return next(bench for bench in lighting.benches if bench.bench == stand.item.id)


def direct_light(
    points: FloatArray, sources: tuple[Source, ...], blockers: Blockers, rays: ShadowRays = FINE
) -> FloatArray:
    """Return the direct light (n, fixtures) on points that look up [lx]."""
    normals = np.broadcast_to(UP, points.shape)
    columns = [direct(points, normals, source, blockers, rays) for source in sources]
    return np.column_stack(columns) if columns else np.zeros((len(points), 0))
