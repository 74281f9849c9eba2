"""One room made ready for light: its patches, what they see of each other, and the points at which light is read.

Everything here depends on the room and what stands in it, not on the fixtures. A fixture then costs one column: its
direct light on tiles and points, and what the room makes of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from core.light.carried import Before, Carried
from core.light.direct import ShadowRays, direct
from core.light.enclosure import Enclosure, Solid, enclose
from core.light.grid import FloatArray
from core.light.keys import RoomKey, room_key
from core.light.on_tiles import direct_on_tiles
from core.light.patches import Patches, cut_into_patches
from core.light.quality import Quality
from core.light.receivers import UP, BenchPoints, PlanePoints, bench_points, no_plane, plane_points
from core.light.sources import Source
from core.light.transfer import Transfer
from core.light.views import Viewers, Views, count_views, viewers_at, viewers_of_patches
from core.light.visibility import Blockers, blockers_of, each_in_threads
from core.plan import Furniture, Plan

__all__ = ["Cancelled", "Column", "RoomLight", "Watch", "prepare", "told_between"]


class Cancelled(Exception):
    """Raised where a computation was told to stop."""


@dataclass(frozen=True)
class Watch:
    """How a long computation tells how far it is, and hears that it should stop."""

    progress: Callable[[float, str], None] | None = None
    cancelled: Callable[[], bool] | None = None

    def at(self, share: float, what: str) -> None:
        """Report, and raise `Cancelled` where the work is no longer wanted."""
        if self.cancelled is not None and self.cancelled():
            raise Cancelled
        if self.progress is not None:
            self.progress(share, what)


@dataclass(frozen=True)
class Column:
    """One fixture's light at full level: on the plane's points, on each bench's points, and what became of it.

    ``settled`` (patches,) is the total on the patches [lx]; ``lit`` (tiles,) what the tiles give back [lm/m2].
    ``on_tiles`` (tiles,) and ``straight`` (all points,) are direct light alone, ``reflected`` (all points,) what the
    points get of the rest; all points are those of the plane and then of the benches [lx].
    """

    plane: FloatArray
    benches: tuple[FloatArray, ...]
    settled: FloatArray
    lit: FloatArray
    on_tiles: FloatArray
    straight: FloatArray
    reflected: FloatArray

    def times(self, factor: float) -> Column:
        """Return the column of the same fixture with ``factor`` times the lumens."""
        single = np.float32(factor)
        return Column(
            self.plane * factor,
            tuple(bench * factor for bench in self.benches),
            self.settled * factor,
            self.lit * single,
            self.on_tiles * single,
            self.straight * single,
            self.reflected * single,
        )


@dataclass(frozen=True)
class RoomLight:
    """A room at one quality. ``views`` are the patches', ``seen`` those of the mesh and bench points, in that order.

    ``blockers`` are all surfaces, ``between`` those that can come between two places in the room.
    """

    key: RoomKey
    quality: Quality
    enclosure: Enclosure
    blockers: Blockers
    between: Blockers
    patches: Patches
    views: Views
    transfer: Transfer
    plane: PlanePoints
    benches: tuple[BenchPoints, ...]
    seen: Views

    @property
    def energy_factors(self) -> FloatArray:
        """Raw row sums of the configuration factors, (patches,)."""
        return self.transfer.row_sums

    def shades_of(self, source: Source) -> Blockers:
        """Return what can stop a source's light on its way into the room; a fixture may hang through a wall."""
        return self.between if self.enclosure.holds(source.polygon()) else self.blockers

    @property
    def points(self) -> FloatArray:
        """All points at which light is read: the plane's and then the benches', (n, 3) [m]."""
        return np.concatenate([self.plane.points, *(bench.points for bench in self.benches)])

    def columns(
        self, sources: tuple[Source, ...], watch: Watch, before: Before | None = None, finer: Before | None = None
    ) -> list[Column]:
        """Work out the columns of some fixtures.

        ``before`` is a room of the same quality from before a change: where direct light cannot have changed it is
        taken from there. ``finer`` is the same room as that at a better quality. Then direct light on the points is
        worked out as well as there, and where a point was read there too, the reflected light is corrected by what it
        was off by before the change.
        """
        if not sources:
            return []
        known = Carried(self, before, finer)

        def on_tiles_of(number: int) -> FloatArray:
            watch.at(number / len(sources), "direct light")
            return known.on_tiles(sources[number], partial(self._on_tiles, sources[number]))

        tiles = each_in_threads(on_tiles_of, len(sources))
        on_tiles = np.stack(tiles, axis=1)
        settled = self.transfer.settle(self.patches.average(on_tiles))
        rest = self._finer(on_tiles, settled)
        given_back = ((on_tiles + rest).T * self._tile_reflectance).astype(np.float32)

        def column_of(number: int) -> Column:
            watch.at(number / len(sources), "shadows and reflections")
            source, lit = sources[number], given_back[number]
            straight = known.straight(source, partial(self._straight, source, known.on_points))
            reflected = self._reflected(lit)
            parts = np.split(straight + known.corrected(source, reflected), self._part_edges)
            return Column(parts[0], tuple(parts[1:]), settled[:, number], lit, tiles[number], straight, reflected)

        return each_in_threads(column_of, len(sources))

    def _on_tiles(self, source: Source, chosen: NDArray[np.int64]) -> FloatArray:
        """Direct light on some tiles (k,) [lx]."""
        return direct_on_tiles(self.patches, chosen, source, self.shades_of(source), self.quality.on_tiles)

    def _straight(self, source: Source, rays: ShadowRays, chosen: NDArray[np.int64]) -> FloatArray:
        """Direct light on some of all points (k,) [lx]."""
        points = self.points[chosen]
        return direct(points, np.broadcast_to(UP, points.shape), source, self.shades_of(source), rays)

    @property
    def _tile_reflectance(self) -> FloatArray:
        share: FloatArray = self.patches.reflectance[self.patches.tile_patch]
        return share

    def _finer(self, on_tiles: FloatArray, settled: FloatArray) -> FloatArray:
        """Settle the exchange tile by tile and return the reflected light on the tiles (tiles, k) [lx].

        It begins with what the patches found. Each sweep gathers what the tiles see of each other; what that moves a
        patch by on average is passed on among the patches at once (a two-grid iteration), so light does not seep
        through patches that lie half in a shadow and few sweeps do.
        """
        patches = self.patches
        rest = (settled - patches.average(on_tiles)).astype(np.float32)
        reflected: FloatArray = rest[patches.tile_patch]
        for _ in range(self.quality.sweeps):
            given_back = ((on_tiles + reflected).T * self._tile_reflectance).astype(np.float32)
            better = np.column_stack(each_in_threads(lambda k: self.views.gather(given_back[k]), len(given_back)))  # noqa: B023
            better -= reflected
            change = np.nan_to_num(better, copy=False, nan=0.0)
            moved = patches.average(change).astype(np.float32)
            reflected += change
            reflected += (self.transfer.settle(moved, settled) - moved)[patches.tile_patch]
        return reflected

    def _reflected(self, lit: FloatArray) -> FloatArray:
        """Reflected light on all points (n,) [lx] for what the tiles give back (tiles,)."""
        gathered = self.seen.gather(lit)
        mesh = len(self.plane.mesh)
        return np.concatenate([self.plane.spread(gathered[:mesh]), gathered[mesh:]])

    @cached_property
    def _part_edges(self) -> NDArray[np.int64]:
        """Where in all points the plane and each bench but the last end."""
        return np.cumsum([len(self.plane.points), *(len(bench.points) for bench in self.benches)])[:-1]


def prepare(
    plan: Plan,
    quality: Quality,
    step: float,
    watch: Watch,
    extra: tuple[Solid, ...] = (),
    tops: tuple[Furniture, ...] | None = None,
    known: RoomLight | None = None,
) -> RoomLight:
    """Make a plan's room ready, with ``extra`` things standing in it; ``step`` is the side of the plane's cells [m].

    With ``tops`` light is read on those pieces only, in place of the work plane and all benches. ``known`` is the same
    room at another quality: what does not depend on it is shared.
    """
    watch.at(0.0, "surfaces")
    if known is None:
        enclosure = enclose(plan, extra)
        blockers = blockers_of(enclosure.triangles)
        between = blockers_of(enclosure.between, enclosure.boxes_between)
    else:
        enclosure, blockers, between = known.enclosure, known.blockers, known.between
    patches = cut_into_patches(enclosure, quality.patch_size(enclosure.exposed_area), quality.side)
    watch.at(0.2, "what the surfaces see")
    rays = quality.rays_each(quality.patch_rays, len(patches))
    every = told_between(watch, 0.2, 0.6, "what the surfaces see")
    views = count_views(viewers_of_patches(patches), rays, enclosure, patches, blockers, every)
    if known is None:
        plane = plane_points(plan, enclosure, step) if tops is None else no_plane()
        benches = tuple(bench_points(item, enclosure) for item in (plan.benches() if tops is None else tops))
    else:
        plane, benches = known.plane, known.benches
    points = np.concatenate([plane.mesh, *(bench.points for bench in benches)])
    rays = quality.rays_each(quality.receiver_rays, len(points))
    every = told_between(watch, 0.6, 0.9, "what the benches see")
    seen = count_views(_up(points), rays, enclosure, patches, blockers, every)
    transfer = Transfer(views.factors(), patches.reflectance, patches.area)
    key = room_key(plan, extra)
    return RoomLight(key, quality, enclosure, blockers, between, patches, views, transfer, plane, benches, seen)


def _up(points: FloatArray) -> Viewers:
    return viewers_at(points, np.broadcast_to(UP, points.shape))


def told_between(watch: Watch, start: float, end: float, what: str) -> Callable[[float], None]:
    """Return a callback for `count_views` that reports between two shares of the whole work."""

    def told(share: float) -> None:
        watch.at(start + (end - start) * share, what)

    return told
