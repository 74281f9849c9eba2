"""The enclosure: every surface that light can meet, and the part of each that is not covered by something else.

The room is a prism over its outline; benches, machines, cabinets and open overhead doors are upright boxes. All
surfaces are flat, opaque, perfectly diffuse and grey. Where two boxes touch, or a box touches a wall or the floor, the
shared part is hidden: it neither receives nor reflects. Things closer than 1 mm count as touching.

Each surface has a frame of its own: ``origin + u * u_axis + v * v_axis`` with ``u_axis x v_axis`` the normal that looks
into the room.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from core.light.grid import BoolArray, FloatArray
from core.plan import Furniture, Opening, Plan, Point, Room, box_corners

__all__ = ["TOUCH", "Enclosure", "Solid", "Surface", "enclose", "worker_solid"]

TOUCH = 1e-3
DOOR_SHEET = 0.05
OUTSIDE_AT_NIGHT = 0.02
LEVEL = 2
"""Floor and ceiling, the first of an enclosure's surfaces."""


@dataclass(frozen=True)
class Solid:
    """An upright box: its plan corners (counter-clockwise), the heights it fills [m], its reflectance."""

    name: str
    corners: tuple[Point, ...]
    bottom: float
    top: float
    reflectance: float


@dataclass(frozen=True)
class Surface:
    """A flat piece: frame, whole shape and exposed shape (both in u, v), reflectance."""

    name: str
    origin: FloatArray
    u_axis: FloatArray
    v_axis: FloatArray
    whole: Polygon
    exposed: BaseGeometry
    reflectance: float

    @cached_property
    def normal(self) -> FloatArray:
        """Unit normal into the room, shape (3,)."""
        (a, b, c), (d, e, f) = self.u_axis.tolist(), self.v_axis.tolist()
        return np.array([b * f - c * e, c * d - a * f, a * e - b * d])

    def to_room(self, uv: FloatArray) -> FloatArray:
        """Map (n, 2) surface coordinates to (n, 3) room coordinates [m]."""
        return self.origin + uv[:, :1] * self.u_axis + uv[:, 1:] * self.v_axis


@dataclass(frozen=True)
class Enclosure:
    """All surfaces, and the triangles that stop rays.

    ``triangles`` has shape (m, 3, 3) [m]; ``triangle_surface`` (m,) says to which surface each belongs. The first
    ``shell`` surfaces are the room's own, floor and ceiling before the walls.
    """

    outline: Polygon
    height: float
    solids: tuple[Solid, ...]
    surfaces: tuple[Surface, ...]
    triangles: FloatArray
    triangle_surface: NDArray[np.int32]
    shell: int

    @property
    def between(self) -> FloatArray:
        """The triangles (k, 3, 3) that can come between two points in the room [m].

        Floor and ceiling never do, and the walls only where the outline has a corner that juts in: a convex room lies
        whole on the inner side of each of its surfaces.
        """
        return self.triangles[self.triangle_surface >= (self.shell if self.is_convex else LEVEL)]

    @property
    def boxes_between(self) -> FloatArray:
        """Low and high corners (k, 2, 3) of boxes along the axes that hold all triangles in `between` [m]."""
        ring = np.array(self.outline.exterior.coords)
        walls = [] if self.is_convex else [(np.array(pair), 0.0, self.height) for pair in pairwise(ring)]
        upright = [*walls, *((np.array(solid.corners), solid.bottom, solid.top) for solid in self.solids)]
        boxes = [((*flat.min(axis=0), low), (*flat.max(axis=0), high)) for flat, low, high in upright]
        return np.array(boxes, dtype=float).reshape(-1, 2, 3)

    @property
    def exposed_area(self) -> float:
        """The area of all surfaces that light can meet [m2]."""
        return float(sum(face.exposed.area for face in self.surfaces))

    @property
    def is_convex(self) -> bool:
        """Whether no corner of the outline juts into the room."""
        return bool(self.outline.area > (1.0 - 1e-9) * self.outline.convex_hull.area)

    def holds(self, points: FloatArray) -> bool:
        """Tell whether all points (n, 3) lie in the room or on its surfaces."""
        level = (points[:, 2] >= 0.0) & (points[:, 2] <= self.height)
        return bool(level.all()) and bool(shapely.intersects_xy(self.outline, points[:, 0], points[:, 1]).all())

    def covers(self, points: FloatArray) -> BoolArray:
        """Tell which points (n, 3) lie inside a solid or outside the room, shape (n,) bool."""
        hidden: BoolArray = ~shapely.contains_xy(self.outline, points[:, 0], points[:, 1])
        hidden |= (points[:, 2] < 0.0) | (points[:, 2] > self.height)
        low, high = points[:, :2].min(axis=0, initial=np.inf), points[:, :2].max(axis=0, initial=-np.inf)
        for solid, footprint in self._standing.near(low, high):
            within = (points[:, 2] > solid.bottom) & (points[:, 2] < solid.top)
            hidden |= within & shapely.contains_xy(footprint, points[:, 0], points[:, 1])
        return hidden

    @cached_property
    def _standing(self) -> _Standing:
        return _Standing(self.solids)


def enclose(plan: Plan, extra: Iterable[Solid] = ()) -> Enclosure:
    """Build the enclosure of a plan, with more solids (a standing worker, say) if wanted."""
    room = plan.room
    solids = [_furniture_solid(item) for item in plan.furniture]
    solids += [_door_sheet(room, o) for o in room.openings if o.kind == "overhead door" and o.is_open]
    solids += list(extra)
    outline = Polygon(room.outline)
    shell = _shell(room)
    bare = [*shell, *(face for solid in solids for face in _faces(solid))]
    standing = _Standing(solids)
    surfaces = tuple(_with_exposed(face, outline, room.height, standing) for face in bare)
    triangles, owner = _triangulate(surfaces)
    return Enclosure(outline, room.height, tuple(solids), surfaces, triangles, owner, len(shell))


def worker_solid(x: float, y: float, facing_deg: float, plan: Plan) -> Solid:
    """Return the plan's worker standing at a place and looking in a direction [degree]."""
    worker = plan.worker
    corners = box_corners(x, y, worker.width, worker.depth, facing_deg - 90.0)
    return Solid("worker", corners, 0.0, worker.height, worker.reflectance)


def _furniture_solid(item: Furniture) -> Solid:
    corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    return Solid(item.id, corners, item.bottom, item.top, item.reflectance)


def _door_sheet(room: Room, opening: Opening) -> Solid:
    """An open overhead door: a sheet at the height of the opening's head, reaching back into the room."""
    a, b = np.array(room.wall(opening.wall))
    along = (b - a) / np.hypot(*(b - a))
    inward = np.array([-along[1], along[0]])
    p, q = a + along * opening.start, a + along * (opening.start + opening.width)
    ring = (p, q, q + inward * opening.height, p + inward * opening.height)
    bottom = opening.sill + opening.height
    top = min(bottom + DOOR_SHEET, room.height - TOUCH)
    corners = tuple((float(c[0]), float(c[1])) for c in ring)
    return Solid(opening.id, corners, min(bottom, top - 0.01), top, opening.reflectance)


def _surface(
    name: str,
    origin: Sequence[float],
    u: Sequence[float],
    v: Sequence[float],
    shape: Polygon,
    rho: float,
) -> Surface:
    frame = (np.asarray(origin, float), np.asarray(u, float), np.asarray(v, float))
    return Surface(name, *frame, shape, shape, rho)


def _shell(room: Room) -> list[Surface]:
    flat = Polygon(room.outline)
    mirrored = Polygon([(x, -y) for x, y in room.outline])
    faces = [
        _surface("floor", (0, 0, 0), (1, 0, 0), (0, 1, 0), flat, room.floor.reflectance),
        _surface("ceiling", (0, 0, room.height), (1, 0, 0), (0, -1, 0), mirrored, room.ceiling.reflectance),
    ]
    for index in range(len(room.outline)):
        faces += _wall(room, index)
    return faces


def _wall(room: Room, index: int) -> list[Surface]:
    """One wall and the openings in it. Its u runs from its second corner to its first, so its normal looks in."""
    a, b = np.array(room.wall(index))
    length = float(np.hypot(*(b - a)))
    frame = ((b[0], b[1], 0.0), [*((a - b) / length).tolist(), 0.0], (0.0, 0.0, 1.0))
    sheet = shapely.box(0.0, 0.0, length, room.height)
    faces, plain = [], sheet
    for opening in room.openings:
        if opening.wall != index:
            continue
        right = length - opening.start
        hole = shapely.box(right - opening.width, opening.sill, right, opening.sill + opening.height)
        hole = shapely.intersection(hole, plain)
        if hole.area < TOUCH**2:
            continue
        plain = shapely.difference(plain, hole)
        gone = opening.kind == "overhead door" and opening.is_open
        rho = OUTSIDE_AT_NIGHT if gone else opening.reflectance
        faces += [_surface(f"opening {opening.id}", *frame, part, rho) for part in _polygons(hole)]
    rho = room.wall_finish(index).reflectance
    return [_surface(f"wall {index}", *frame, part, rho) for part in _polygons(plain)] + faces


def _faces(solid: Solid) -> list[Surface]:
    flat = Polygon(solid.corners)
    mirrored = Polygon([(x, -y) for x, y in solid.corners])
    rho = solid.reflectance
    faces = [
        _surface(f"{solid.name} top", (0, 0, solid.top), (1, 0, 0), (0, 1, 0), flat, rho),
        _surface(f"{solid.name} underside", (0, 0, solid.bottom), (1, 0, 0), (0, -1, 0), mirrored, rho),
    ]
    count = len(solid.corners)
    for i in range(count):
        a, b = np.array(solid.corners[i]), np.array(solid.corners[(i + 1) % count])
        length = float(np.hypot(*(b - a)))
        side = shapely.box(0.0, solid.bottom, length, solid.top)
        u = [*((b - a) / length).tolist(), 0.0]
        faces.append(_surface(f"{solid.name} side {i}", (a[0], a[1], 0), u, (0, 0, 1), side, rho))
    return faces


class _Standing:
    """The solids with their footprints, and which of them are near a place."""

    def __init__(self, solids: Sequence[Solid]) -> None:
        self._solids = solids
        self._footprints = [Polygon(solid.corners) for solid in solids]
        self._heights = np.array([(solid.bottom, solid.top) for solid in solids]).reshape(-1, 2)
        self._bounds = shapely.bounds(np.array(self._footprints, dtype=object)).reshape(-1, 4)

    def near(self, low: FloatArray, high: FloatArray) -> list[tuple[Solid, Polygon]]:
        """Return the solids whose footprint may reach into a box in plan, low to high corner (2,) [m]."""
        apart = (self._bounds[:, :2] > high + TOUCH).any(axis=1) | (self._bounds[:, 2:] < low - TOUCH).any(axis=1)
        return [(self._solids[k], self._footprints[k]) for k in np.flatnonzero(~apart).tolist()]

    def at(self, z: float, low: FloatArray, high: FloatArray) -> list[Polygon]:
        """Return the footprints of those that may reach into a box in plan and are cut by a level [m]."""
        return [footprint for solid, footprint in self.near(low, high) if solid.bottom < z < solid.top]


def _with_exposed(face: Surface, outline: Polygon, height: float, standing: _Standing) -> Surface:
    """Cut away what is covered: whatever lies within a solid, or outside the room, 1 mm in front of the face."""
    front = face.origin + face.normal * TOUCH
    if abs(face.normal[2]) > 0.5:
        z = float(front[2])
        if not 0.0 < z < height:
            return _replace_exposed(face, Polygon())
        mirror = face.v_axis[1] < 0.0
        left: BaseGeometry = shapely.intersection(face.whole, _flipped(outline, mirror))
        x0, y0, x1, y1 = _flipped(face.whole, mirror).bounds
        for footprint in standing.at(z, np.array([x0, y0]), np.array([x1, y1])):
            left = shapely.difference(left, _flipped(footprint, mirror))
        return _replace_exposed(face, left)
    left = face.whole
    low, _, high, _ = left.bounds
    a, b = front[:2] + face.u_axis[:2] * low, front[:2] + face.u_axis[:2] * high
    line = LineString([a, b])
    left = shapely.intersection(left, _strips(line, outline, face, low, 0.0, height))
    for solid, footprint in standing.near(np.minimum(a, b), np.maximum(a, b)):
        if shapely.intersects(line, footprint):
            left = shapely.difference(left, _strips(line, footprint, face, low, solid.bottom, solid.top))
    return _replace_exposed(face, left)


def _strips(line: LineString, shape: Polygon, face: Surface, low: float, z0: float, z1: float) -> BaseGeometry:
    """Return the part of an upright face's plane above the line's stay in ``shape``, between two heights."""
    start = np.array(line.coords[0])
    boxes = []
    for part in shapely.get_parts(shapely.intersection(line, shape)):
        if part.geom_type != "LineString" or part.length < 1e-9:
            continue
        along = (np.array(part.coords) - start) @ face.u_axis[:2] + low
        boxes.append(shapely.box(along.min(), z0, along.max(), z1))
    return shapely.union_all(boxes) if boxes else Polygon()


def _flipped(shape: Polygon, mirror: bool) -> Polygon:
    return Polygon([(x, -y) for x, y in shape.exterior.coords]) if mirror else shape


def _replace_exposed(face: Surface, exposed: BaseGeometry) -> Surface:
    return Surface(face.name, face.origin, face.u_axis, face.v_axis, face.whole, exposed, face.reflectance)


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    return [p for p in shapely.get_parts(shape) if p.geom_type == "Polygon" and p.area > TOUCH**2]


def _triangulate(surfaces: Sequence[Surface]) -> tuple[FloatArray, NDArray[np.int32]]:
    triangles, owner = [], []
    for index, face in enumerate(surfaces):
        for piece in shapely.get_parts(shapely.constrained_delaunay_triangles(face.whole)):
            triangles.append(face.to_room(np.array(piece.exterior.coords)[:3]))
            owner.append(index)
    return np.array(triangles), np.array(owner, dtype=np.int32)
