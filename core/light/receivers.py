"""Receivers: the points at which a plan's light is read.

The grid of the work plane, the top of every bench, and a wider mesh at which the reflected light, which is smooth, is
gathered and from which it is interpolated to the grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from core.light.enclosure import TOUCH, Enclosure
from core.light.grid import BoolArray, FloatArray, Grid
from core.plan import Furniture, Plan, box_corners

__all__ = ["BenchPoints", "Interpolation", "PlanePoints", "bench_points", "no_plane", "plane_points", "thinned"]

BENCH_INSET = 0.0508
BENCH_STEP = 0.10
BENCH_MOST = 400
MESH_POINTS = 700
BESIDE = 0.15
"""Nearer than this to something tall [m], reflected light is gathered at the point itself, at `MOST_BESIDE` points."""
MOST_BESIDE = 300
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class Interpolation:
    """Bilinear weights from a mesh to points: (n, 4) mesh points and (n, 4) weights."""

    corners: NDArray[np.int64]
    weights: FloatArray

    def __call__(self, on_mesh: FloatArray) -> FloatArray:
        """Interpolate (mesh,) or (mesh, k) values to the points."""
        picked = on_mesh.take(self.corners, axis=0)
        result: FloatArray = np.einsum("nc...,nc->n...", picked, self.weights.astype(on_mesh.dtype))
        return result


@dataclass(frozen=True)
class PlanePoints:
    """The work plane: cells in the room and those that count, points (n, 3), mesh (m, 3) of reflected light."""

    grid: Grid
    inside: BoolArray
    counted: BoolArray
    points: FloatArray
    mesh: FloatArray
    spread: Interpolation


@dataclass(frozen=True)
class BenchPoints:
    """One bench's top: grid in its own frame, free cells, their points (n, 3)."""

    bench: str
    grid: Grid
    inside: BoolArray
    points: FloatArray


def plane_points(plan: Plan, enclosure: Enclosure, step: float) -> PlanePoints:
    """Lay the grid of the work plane with cells of ``step`` [m]."""
    x0, y0, x1, y1 = enclosure.outline.bounds
    grid = Grid.over(x0, y0, x1, y1, step)
    points = grid.points()
    free = _free(points, plan, enclosure.outline)
    band = plan.targets.wall_band
    core = enclosure.outline.buffer(-band) if band > 0.0 else enclosure.outline
    counted = free & shapely.intersects_xy(core, points[:, 0], points[:, 1])
    level = np.column_stack([points[free], np.full(int(free.sum()), plan.work_plane)])
    mesh, spread = _refined(level, plan, *_mesh(level, plan, enclosure))
    return PlanePoints(grid, free.reshape(grid.shape), counted.reshape(grid.shape), level, mesh, spread)


def no_plane() -> PlanePoints:
    """Return a work plane without points, where only benches are read."""
    grid = Grid.over(0.0, 0.0, 1.0, 1.0, 1.0)
    none = np.zeros((0, 3))
    spread = Interpolation(np.zeros((0, 4), dtype=np.int64), np.zeros((0, 4)))
    return PlanePoints(grid, np.zeros(grid.shape, dtype=bool), np.zeros(grid.shape, dtype=bool), none, none, spread)


def bench_points(item: Furniture, enclosure: Enclosure) -> BenchPoints:
    """Lay points over a bench's top, at least 2 in from its edge where it is large enough."""
    inset = min(BENCH_INSET, 0.4 * min(item.width, item.depth))
    half_w, half_d = item.width / 2 - inset, item.depth / 2 - inset
    step = max(min(BENCH_STEP, min(half_w, half_d)), (4.0 * half_w * half_d / BENCH_MOST) ** 0.5)
    grid = Grid.over(-half_w, -half_d, half_w, half_d, step)
    local = np.clip(grid.points(), (-half_w, -half_d), (half_w, half_d))
    turn = np.radians(item.rotation_deg)
    c, s = np.cos(turn), np.sin(turn)
    x = item.x + c * local[:, 0] - s * local[:, 1]
    y = item.y + s * local[:, 0] + c * local[:, 1]
    points = np.column_stack([x, y, np.full(len(x), item.top)])
    free = ~enclosure.covers(points + UP * TOUCH)
    return BenchPoints(item.id, grid, free.reshape(grid.shape), points[free])


def thinned(bench: BenchPoints) -> tuple[NDArray[np.int64], Interpolation]:
    """Return every other point of a bench's rows and columns, and the weights that give back the others.

    A point at the edge of what is free, where something stands on the bench, is kept itself.

    Returns
    -------
    (k,) indices of the points that are kept, and the interpolation from them to all n points.
    """
    ny, nx = bench.inside.shape
    number = np.full((ny, nx), -1, dtype=np.int64)
    number[bench.inside] = np.arange(len(bench.points))
    rows, columns = np.nonzero(bench.inside)
    (r0, r1, v), (c0, c1, u) = _every_other(rows, ny), _every_other(columns, nx)
    corners = np.stack([number[r0, c0], number[r0, c1], number[r1, c0], number[r1, c1]], axis=1)
    weights = np.stack([(1 - v) * (1 - u), (1 - v) * u, v * (1 - u), v * u], axis=1)
    alone = (corners < 0).any(axis=1)
    corners[alone] = np.flatnonzero(alone)[:, None]
    weights[alone] = 0.25
    kept, place = np.unique(corners, return_inverse=True)
    return kept, Interpolation(place.reshape(corners.shape), weights)


def _every_other(at: NDArray[np.int64], count: int) -> tuple[NDArray[np.int64], NDArray[np.int64], FloatArray]:
    """Return the even numbers (the last one counts as even) before and after each, and the share of the way between."""
    before = np.minimum(at // 2 * 2, count - 1)
    before = np.where(at == count - 1, at, before)
    after = np.minimum(before + 2, count - 1)
    share = (at - before) / np.maximum(after - before, 1)
    return before, after, share


def _free(points: FloatArray, plan: Plan, outline: Polygon) -> BoolArray:
    """Tell which points (n, 2) are in the room and not in or under furniture taller than the work plane.

    A point on a face is in the furniture: light there would depend on the last bit of its place, and it is not the
    limit of the light before the face.
    """
    free: BoolArray = shapely.contains_xy(outline, points[:, 0], points[:, 1])
    for footprint in _tall(plan):
        with_faces = footprint.buffer(TOUCH, join_style="mitre")
        near = _near(points, with_faces, 0.0)
        free[near] &= ~shapely.contains_xy(with_faces, points[near, 0], points[near, 1])
    return free


def _tall(plan: Plan) -> list[Polygon]:
    """Return the footprints of all furniture taller than the work plane."""
    tall = [item for item in plan.furniture if item.top > plan.work_plane + TOUCH]
    return [Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)) for item in tall]


def _near(points: FloatArray, shape: Polygon, reach: float) -> NDArray[np.int64]:
    """Return which points (n, 2) lie within ``reach`` [m] of the box around a shape."""
    x0, y0, x1, y1 = shape.bounds
    x, y = points[:, 0], points[:, 1]
    return np.flatnonzero((x >= x0 - reach) & (x <= x1 + reach) & (y >= y0 - reach) & (y <= y1 + reach))


def _mesh(level: FloatArray, plan: Plan, enclosure: Enclosure) -> tuple[FloatArray, Interpolation]:
    """Lay the mesh of reflected light over the points (n, 3) and return it with the weights to interpolate.

    Mesh points fall on the room's edges too; those are moved a hand's breadth inside by the way weights are shared out:
    only mesh points that are in the room and free count, and a point with none around takes the nearest one.
    """
    x0, y0, x1, y1 = enclosure.outline.bounds
    pitch = max(0.25, ((x1 - x0) * (y1 - y0) / MESH_POINTS) ** 0.5)
    nx, ny = (max(2, int(np.ceil(length / pitch)) + 1) for length in (x1 - x0, y1 - y0))
    edge = 0.02
    xs, ys = np.linspace(x0 + edge, x1 - edge, nx), np.linspace(y0 + edge, y1 - edge, ny)
    gx, gy = np.meshgrid(xs, ys)
    flat = np.column_stack([gx.ravel(), gy.ravel()])
    free = _free(flat, plan, enclosure.outline)
    if not free.any():
        return level[:1], Interpolation(np.zeros((len(level), 4), dtype=np.int64), np.full((len(level), 4), 0.25))
    number = np.cumsum(free) - 1
    u = np.clip((level[:, 0] - xs[0]) / (xs[1] - xs[0]), 0.0, nx - 1 - 1e-9)
    v = np.clip((level[:, 1] - ys[0]) / (ys[1] - ys[0]), 0.0, ny - 1 - 1e-9)
    i, j = u.astype(int), v.astype(int)
    fu, fv = u - i, v - j
    corner = np.stack([j * nx + i, j * nx + i + 1, (j + 1) * nx + i, (j + 1) * nx + i + 1], axis=1)
    weight = np.stack([(1 - fu) * (1 - fv), fu * (1 - fv), (1 - fu) * fv, fu * fv], axis=1) * free[corner]
    total = weight.sum(axis=1)
    lost = np.flatnonzero(total < 1e-6)
    weight = weight / np.where(total < 1e-6, 1.0, total)[:, None]
    if lost.size:
        near = np.flatnonzero(free)
        square = ((level[lost, None, :2] - flat[near][None]) ** 2).sum(axis=2)
        corner[lost] = near[square.argmin(axis=1)][:, None]
        weight[lost] = 0.25
    corners = np.where(free[corner], number[corner], 0)
    mesh = np.column_stack([flat[free], np.full(int(free.sum()), plan.work_plane)])
    return mesh, Interpolation(corners, weight)


def _refined(
    level: FloatArray, plan: Plan, mesh: FloatArray, spread: Interpolation
) -> tuple[FloatArray, Interpolation]:
    """Add the points right beside something tall, which hides half of their view, to the mesh.

    Where there are more than `MOST_BESIDE`, the nearest count.
    """
    away = np.full(len(level), np.inf)
    spots = shapely.points(level[:, :2])
    for footprint in _tall(plan):
        around = _near(level, footprint, BESIDE)
        away[around] = np.minimum(away[around], shapely.distance(footprint, spots[around]))
    near = np.argsort(away, kind="stable")[:MOST_BESIDE]
    near = near[away[near] < BESIDE]
    corners, weights = spread.corners.copy(), spread.weights.copy()
    corners[near] = (len(mesh) + np.arange(len(near)))[:, None]
    weights[near] = 0.25
    return np.concatenate([mesh, level[near]]), Interpolation(corners, weights)
