"""Direct illuminance from one source, with shadows.

What would arrive if nothing stood between comes first: in closed form for diffuse openings (`closed_forms`), by
Gauss-Legendre quadrature that raises its order until the result stays for beams and tabulated webs, and by the
inverse-square and cosine laws for a point. It is then multiplied by the visible share of the opening: rays to places
spread over it, each weighted by what it would contribute; where some are stopped and some are not, many more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from core.light.closed_forms import polygon_factor
from core.light.grid import BoolArray, FloatArray
from core.light.sources import Source
from core.light.visibility import Blockers
from core.light.ways import may_be_hidden
from core.photometry.distribution import Axial

__all__ = ["COARSE", "FINE", "ShadowRays", "direct", "spread_places", "unshadowed"]

CLEAR = 1e-4
"""Rays start this far off the surface [m]."""
SETTLED = 5e-4
"""Quadrature stops when a higher order moves the result by less than this share."""
CHUNK_RAYS = 100_000
"""Rays worked on at a time: few enough to stay near the processor."""
CLOSE, FAR = 2.0, 5.0
"""Nearer than this many half lengths of the opening, the quadrature must settle twice; farther, one order does."""
ORDERS = (4, 8, 16, 32, 64)


@dataclass(frozen=True, slots=True)
class ShadowRays:
    """How many rays decide whether an opening is seen, and how many measure a partly hidden one.

    ``first`` go to places spread over the opening, ``rim`` along its edge, where a sliver shows or hides first.
    """

    first: int
    more: int
    rim: int = 0


FINE = ShadowRays(32, 512, 16)
COARSE = ShadowRays(12, 64)


def direct(
    points: FloatArray, normals: FloatArray, source: Source, blockers: Blockers, rays: ShadowRays = FINE
) -> FloatArray:
    """Return the direct illuminance of one source.

    Parameters
    ----------
    points, normals : (n, 3)
        Receivers [m] and unit normals.

    Returns
    -------
    (n,) [lx]
    """
    lux = unshadowed(points, normals, source)
    lit = np.flatnonzero(lux > 0.0)
    if lit.size == 0:
        return lux
    starts = points[lit] + CLEAR * normals[lit]
    hemmed = np.flatnonzero(may_be_hidden(starts, source, blockers, rays.first + rays.rim))
    lit, starts = lit[hemmed], starts[hemmed]
    if lit.size == 0:
        return lux
    places = np.zeros((1, 2)) if source.is_point else spread_places(rays.first)
    share = _visible_share(starts, normals[lit], source, blockers, places)
    if source.is_point:
        lux[lit] *= share
        return lux
    if rays.rim:
        plain = np.flatnonzero((share == 0.0) | (share == 1.0))
        at_rim = _visible_share(starts[plain], normals[lit[plain]], source, blockers, rim_places(rays.rim))
        share[plain[at_rim != share[plain]]] = 0.5
    part = np.flatnonzero((share > 0.0) & (share < 1.0))
    if part.size:
        share[part] = _visible_share(starts[part], normals[lit[part]], source, blockers, spread_places(rays.more))
    lux[lit] *= share
    return lux


def unshadowed(points: FloatArray, normals: FloatArray, source: Source) -> FloatArray:
    """Return the illuminance that would arrive if nothing stood between, shape (n,) [lx]."""
    if source.is_diffuse:
        return _diffuse(points, normals, source)
    if source.is_point:
        return _from_places(points, normals, source, np.zeros((1, 2)), np.ones(1))
    return _settled_quadrature(points, normals, source)


def spread_places(count: int) -> FloatArray:
    """Return ``count`` places evenly spread over the square -1..1 (Hammersley's set), shape (count, 2)."""
    index = np.arange(count)
    inverse = np.zeros(count)
    base, rest = 0.5, index.copy()
    while rest.any():
        inverse += base * (rest & 1)
        rest >>= 1
        base /= 2.0
    inverse += base
    return np.column_stack([2.0 * (index + 0.5) / count - 1.0, 2.0 * inverse - 1.0])


def rim_places(count: int) -> FloatArray:
    """Return ``count`` places (a multiple of four) along the edge of the square -1..1, shape (count, 2)."""
    along = np.arange(count // 4) / (count // 4) * 2.0 - 1.0
    one = np.ones_like(along)
    sides = [(along, -one), (one, along), (-along, one), (-one, -along)]
    return 0.999 * np.concatenate([np.column_stack(side) for side in sides])


def _diffuse(points: FloatArray, normals: FloatArray, source: Source) -> FloatArray:
    """A flat diffuse opening: exitance times configuration factor, below it and, with an upward share, above it."""
    area = 4.0 * source.half_length * source.half_width * (np.pi / 4 if source.is_round else 1.0)
    upward = source.distribution.upward_share
    below = points[:, 2] < source.centre[2]
    exitance = source.lumens / area * np.where(below, 1.0 - upward, upward)
    lux = np.zeros(len(points))
    seen = (exitance > 0.0) & (np.abs(points[:, 2] - source.centre[2]) > 1e-9)
    lux[seen] = exitance[seen] * polygon_factor(points[seen], normals[seen], source.polygon())
    return lux


def _offsets(points: FloatArray, spots: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return x, y and z from points (n, 3) to spots (k, 3), each (k, n): one spot's side by side, which is quicker."""
    x, y, z = (spots[:, axis, None] - points[None, :, axis] for axis in range(3))
    return x, y, z


def _contributions(ray: tuple[FloatArray, FloatArray, FloatArray], normals: FloatArray, source: Source) -> FloatArray:
    """Return what a lumen at each spot gives each point (k, n) [lx/lm]; rays as `_offsets`, normals (n, 3)."""
    x, y, z = ray
    square = x * x
    square += y * y
    square += z * z
    distance = np.sqrt(square)
    facing = x * normals[:, 0]
    facing += y * normals[:, 1]
    facing += z * normals[:, 2]
    np.maximum(facing, 0.0, out=facing)
    facing *= _intensity(source, ray, distance)
    square *= distance
    facing /= square
    return facing


def _intensity(source: Source, ray: tuple[FloatArray, FloatArray, FloatArray], distance: FloatArray) -> FloatArray:
    """Return the intensity per lumen (k, n) towards where rays of some length come from."""
    if isinstance(source.distribution, Axial):
        return source.distribution.of_cosine(ray[2] / distance)
    leaving = np.stack([-axis / distance for axis in ray], axis=-1)
    return source.distribution.intensity(source.to_local(leaving))


def _from_places(
    points: FloatArray, normals: FloatArray, source: Source, local: FloatArray, weights: FloatArray
) -> FloatArray:
    spots = source.places(local)
    chunk = max(1, CHUNK_RAYS // len(local))
    lux = np.empty(len(points))
    for k in range(0, len(points), chunk):
        part = slice(k, k + chunk)
        lux[part] = weights @ _contributions(_offsets(points[part], spots), normals[part], source)
    return source.lumens * lux


def _settled_quadrature(points: FloatArray, normals: FloatArray, source: Source) -> FloatArray:
    """Raise the order until the result moves by less than `SETTLED`, point by point.

    Close to the opening it must stay so twice running, since two orders may agree by chance where light falls steeply.
    From afar the opening is nearly a point, and the first order does.
    """
    lux = _from_places(points, normals, source, *_gauss(source, ORDERS[0]))
    reach = source.gap_to(points) / max(source.half_length, source.half_width)
    needed = np.where(reach < CLOSE, 2, 1)
    calm = np.zeros(len(points), dtype=int)
    open_ = np.flatnonzero(reach < FAR)
    for order in ORDERS[1:]:
        if open_.size == 0:
            break
        better = _from_places(points[open_], normals[open_], source, *_gauss(source, order))
        still = np.abs(better - lux[open_]) <= SETTLED * np.maximum(better, 1e-6)
        calm[open_] = np.where(still, calm[open_] + 1, 0)
        lux[open_] = better
        open_ = open_[calm[open_] < needed[open_]]
    return lux


def _gauss(source: Source, order: int) -> tuple[FloatArray, FloatArray]:
    """Gauss-Legendre places and weights over an opening: ``order`` along its longer side, in proportion across."""
    long, short = max(source.half_length, source.half_width), min(source.half_length, source.half_width)
    across = max(3 if short > 0.0 else 1, int(np.ceil(order * short / long)))
    counts = (order, across) if source.half_length >= source.half_width else (across, order)
    (u, wu), (v, wv) = (_legendre(n) for n in counts)
    places = np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2)
    return places, np.outer(wu, wv).ravel() / 4.0


@cache
def _legendre(order: int) -> tuple[FloatArray, FloatArray]:
    places, weights = np.polynomial.legendre.leggauss(order)
    return places, weights


def _visible_share(
    starts: FloatArray, normals: FloatArray, source: Source, blockers: Blockers, local: FloatArray
) -> FloatArray:
    """Return the seen share of an opening's places (k, 2), weighted by contribution, shape (n,)."""
    starts, normals = starts.astype(np.float32), normals.astype(np.float32)
    spots = source.places(local).astype(np.float32)
    share = np.ones(len(starts))
    chunk = max(1, CHUNK_RAYS // len(local))
    for k in range(0, len(starts), chunk):
        part = slice(k, k + chunk)
        free = _seen(starts[part], spots, blockers)
        # What is seen whole needs no weights; there is plenty of it.
        hidden = np.flatnonzero(~free.all(axis=0))
        if hidden.size:
            some = k + hidden
            weight = _contributions(_offsets(starts[some], spots), normals[some], source)
            total, seen = weight.sum(axis=0), (weight * free[:, hidden]).sum(axis=0)
            # Nothing sampled although the closed form sees a sliver: call it seen, it carries next to nothing.
            share[some] = np.divide(seen, total, out=np.ones_like(total), where=total > 0.0)
    return share


def _seen(starts: FloatArray, spots: FloatArray, blockers: Blockers) -> BoolArray:
    """Tell which spots (k, 3) are seen from points (n, 3), both of single precision, (k, n)."""
    directions = np.empty((len(spots), len(starts), 3), dtype=np.float32)
    for axis in range(3):
        np.subtract(spots[:, axis, None], starts[None, :, axis], out=directions[..., axis])
    origins = np.tile(starts, (len(spots), 1))
    free: BoolArray = ~blockers.occluded(origins, directions.reshape(-1, 3)).reshape(directions.shape[:2])
    return free
