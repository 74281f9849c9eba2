"""Rays: what stands between two points, and what a ray meets first.

Directions are not normalised: the far end of a ray is ``origin + direction``. Embree does the work (single precision,
and it lets other threads run meanwhile); where there is no wheel of it, a NumPy version of Moller and Trumbore's test
(J. Graphics Tools 2(1), 1997) stands in, slower and tested against it.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from itertools import pairwise
from typing import Any, Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray

try:
    from embreex.mesh_construction import TriangleMesh
    from embreex.rtcore_scene import EmbreeScene

    HAS_EMBREE = True
except ImportError:
    HAS_EMBREE = False

__all__ = [
    "HAS_EMBREE",
    "Aside",
    "Blockers",
    "EmbreeBlockers",
    "NumpyBlockers",
    "blockers_of",
    "each_in_threads",
    "in_threads",
]

THREADS = max(1, min(4, os.cpu_count() or 1))
MIN_SPLIT = 6000
POOL_NAME = "rays"
_POOL: ThreadPoolExecutor | None = None
_Made = TypeVar("_Made")


class Blockers(Protocol):
    """Triangles that stop light; ``boxes`` (k, 2, 3), where they are known, hold all of them [m]."""

    boxes: FloatArray | None

    def occluded(self, origins: FloatArray, directions: FloatArray) -> BoolArray:
        """Tell for each ray (n, 3) whether something lies between its origin and its far end, shape (n,)."""

    def occluded_here(self, origins: FloatArray, directions: FloatArray) -> BoolArray:
        """Do the same on the calling thread alone; both arrays contiguous and of single precision."""

    def first_hit(self, origins: FloatArray, directions: FloatArray) -> tuple[NDArray[np.int32], FloatArray]:
        """Return the triangle that each endless ray meets first (-1: none) and where, in direction lengths."""


def in_threads(work: Callable[[slice], Any], count: int, least: int = MIN_SPLIT) -> list[Any]:
    """Run ``work`` on slices of ``range(count)``, on as many threads as there are processors.

    What is already on one of these threads stays on it: a thread that waited for others of its own pool might wait
    for itself.
    """
    parts = min(THREADS, max(1, count // least))
    if parts == 1 or threading.current_thread().name.startswith(POOL_NAME):
        return [work(slice(0, count))]
    edges = np.linspace(0, count, parts + 1).astype(int)
    slices = [slice(int(a), int(b)) for a, b in pairwise(edges)]
    others = [Aside(work, part) for part in slices[1:]]
    return [work(slices[0]), *(job.result() for job in others)]


def each_in_threads(work: Callable[[int], _Made], count: int) -> list[_Made]:
    """Return what ``work`` makes of each number below ``count``, on as many threads as there are processors.

    Each takes the next number when it is done with one, since some may be far more work than others.
    """
    made: dict[int, _Made] = {}
    waiting = iter(range(count))  # taking from it is one step, which no other thread can come between

    def some(_: slice) -> None:
        for number in waiting:
            made[number] = work(number)

    in_threads(some, count, least=1)
    return [made[number] for number in range(count)]


class Aside(Generic[_Made]):
    """Work given to a thread for rays, the calling one being one more; done here if nobody has begun when it is asked
    for. Not from one of those threads."""

    def __init__(self, work: Callable[..., _Made], *given: Any) -> None:
        self._work = partial(work, *given)
        self._job = _pool().submit(self._work)

    def result(self) -> _Made:
        """Return what came of it."""
        return self._work() if self._job.cancel() else self._job.result()


def _pool() -> ThreadPoolExecutor:
    global _POOL
    if _POOL is None:
        _POOL = ThreadPoolExecutor(max(1, THREADS - 1), thread_name_prefix=POOL_NAME)
    return _POOL


class EmbreeBlockers:
    """Ray queries through Embree."""

    def __init__(self, triangles: FloatArray, boxes: FloatArray | None = None) -> None:
        self.boxes = boxes
        self._scene = EmbreeScene(robust=True)
        self._mesh = TriangleMesh(self._scene, np.ascontiguousarray(triangles, dtype=np.float32))

    def occluded(self, origins: FloatArray, directions: FloatArray) -> BoolArray:
        """See `Blockers.occluded`."""
        origin = np.ascontiguousarray(origins, dtype=np.float32)
        direction = np.ascontiguousarray(directions, dtype=np.float32)

        def run(part: slice) -> BoolArray:
            return self.occluded_here(origin[part], direction[part])

        return np.concatenate(in_threads(run, len(origin)))

    def occluded_here(self, origins: FloatArray, directions: FloatArray) -> BoolArray:
        """See `Blockers.occluded_here`."""
        hits = self._scene.run(origins, directions, np.ones(len(origins), dtype=np.float32), query="OCCLUDED")
        blocked: BoolArray = hits >= 0
        return blocked

    def first_hit(self, origins: FloatArray, directions: FloatArray) -> tuple[NDArray[np.int32], FloatArray]:
        """See `Blockers.first_hit`."""
        origin = np.ascontiguousarray(origins, dtype=np.float32)
        direction = np.ascontiguousarray(directions, dtype=np.float32)
        found = self._scene.run(origin, direction, query="INTERSECT", output=True)
        return found["primID"], found["tfar"]


class NumpyBlockers:
    """Ray queries in plain NumPy, in chunks that stay within a few tens of megabytes."""

    CHUNK = 400_000

    def __init__(self, triangles: FloatArray, boxes: FloatArray | None = None) -> None:
        self.boxes = boxes
        corner = np.asarray(triangles, dtype=np.float64)
        self._corner = corner[:, 0]
        self._e1 = corner[:, 1] - corner[:, 0]
        self._e2 = corner[:, 2] - corner[:, 0]

    def occluded(self, origins: FloatArray, directions: FloatArray) -> BoolArray:
        """See `Blockers.occluded`."""
        if not len(self._corner):
            return np.zeros(len(origins), dtype=bool)
        parts = [np.isfinite(t).any(axis=1) for t in self._distances(origins, directions, 1.0)]
        return np.concatenate(parts) if parts else np.zeros(0, dtype=bool)

    occluded_here = occluded

    def first_hit(self, origins: FloatArray, directions: FloatArray) -> tuple[NDArray[np.int32], FloatArray]:
        """See `Blockers.first_hit`."""
        triangle, distance = [np.zeros(0, dtype=np.int32)], [np.zeros(0)]
        for t in self._distances(origins, directions, np.inf):
            best = t.argmin(axis=1)
            nearest = t[np.arange(len(t)), best]
            triangle.append(np.where(np.isfinite(nearest), best, -1).astype(np.int32))
            distance.append(nearest)
        return np.concatenate(triangle), np.concatenate(distance)

    def _distances(self, origins: FloatArray, directions: FloatArray, far: float) -> Any:
        """Yield (rays, triangles) distances in direction lengths, infinite where there is no hit."""
        rows = max(1, self.CHUNK // max(1, len(self._corner)))
        for start in range(0, len(origins), rows):
            o = np.asarray(origins[start : start + rows], dtype=np.float64)[:, None, :]
            d = np.asarray(directions[start : start + rows], dtype=np.float64)[:, None, :]
            p = np.cross(d, self._e2)
            det = np.einsum("rtk,tk->rt", p, self._e1)
            with np.errstate(divide="ignore", invalid="ignore"):
                inverse = 1.0 / det
                s = o - self._corner
                u = np.einsum("rtk,rtk->rt", s, p) * inverse
                q = np.cross(s, self._e1)
                v = np.einsum("rtk,rtk->rt", np.broadcast_to(d, q.shape), q) * inverse
                t = np.einsum("rtk,tk->rt", q, self._e2) * inverse
                hit = (np.abs(det) > 1e-14) & (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (t > 0.0) & (t < far)
            yield np.where(hit, t, np.inf)


def blockers_of(triangles: FloatArray, boxes: FloatArray | None = None) -> Blockers:
    """Return the fastest ray queries that this machine has; where nothing stands, the plain ones are at once done."""
    return (EmbreeBlockers if HAS_EMBREE and len(triangles) else NumpyBlockers)(triangles, boxes)
