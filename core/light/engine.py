"""The light engine: a plan in, its light out, nothing worked out twice.

Rooms that were made ready, and the columns of their fixtures, are kept by value (least recently used go first), so a
renamed or undone thing costs nothing and a moved fixture costs one column. A drag frame is one column at drag quality
(`drag`), on the calling thread.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from typing import Generic, TypeVar

import numpy as np

from core.light.anywhere import reflected_at
from core.light.carried import Before
from core.light.direct import direct
from core.light.drag import DragRoom
from core.light.enclosure import Solid
from core.light.field import BenchLight, Lighting
from core.light.grid import FloatArray
from core.light.keys import RoomKey, room_key
from core.light.quality import FULL, QUICK, Quality
from core.light.roomlight import Cancelled, Column, RoomLight, Watch, prepare
from core.light.sources import Source, sources_of
from core.plan import Plan

__all__ = ["GRID_STEP", "Cancelled", "LightEngine"]

GRID_STEP = 0.1524
"""Side of the work plane's cells [m]: 6 in."""
MOST_CELLS = 12_000
KEPT_ROOMS = 12
UNIT_LUMENS = 1000.0
KEPT_COLUMNS = 400
MOST_TRIED = 24
"""Fixtures whose own light drag frames are tried with when a room is laid out for them."""

_Key = TypeVar("_Key")
_Value = TypeVar("_Value")


class _Kept(Generic[_Key, _Value]):
    """A small store by value; the least recently used goes first. Safe to use from several threads."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._items: OrderedDict[_Key, _Value] = OrderedDict()
        self._lock = threading.Lock()

    def get(self, key: _Key) -> _Value | None:
        with self._lock:
            if key in self._items:
                self._items.move_to_end(key)
            return self._items.get(key)

    def put(self, key: _Key, value: _Value) -> None:
        with self._lock:
            self._items[key] = value
            self._items.move_to_end(key)
            while len(self._items) > self._most:
                self._items.popitem(last=False)


class LightEngine:
    """Works out the light of plans and remembers what it worked out."""

    def __init__(self, step: float = GRID_STEP) -> None:
        self._step = step
        self._rooms: _Kept[tuple[RoomKey, Quality], RoomLight] = _Kept(KEPT_ROOMS)
        self._columns: _Kept[tuple[RoomKey, Quality, Source], Column] = _Kept(KEPT_COLUMNS)
        self._drags: _Kept[RoomKey, DragRoom] = _Kept(2)
        self._latest: RoomKey | None = None  # of the room that was last solved in full
        self.rooms_made = 0
        self.columns_made = 0

    def solve(
        self,
        plan: Plan,
        *,
        quick: bool = False,
        extra: tuple[Solid, ...] = (),
        progress: Callable[[float, str], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Lighting:
        """Return the light of a plan, with ``extra`` things standing in the room (a worker, say).

        Raises
        ------
        Cancelled
            If ``cancelled()`` became true meanwhile.
        """
        watch = Watch(progress, cancelled)
        room = self._room(plan, QUICK if quick else FULL, watch, extra)
        sources = sources_of(plan)
        columns = self._columns_of(room, sources, watch, None if extra else self._latest)
        if not extra and not quick:
            self._latest = room.key
        return _lighting(plan, room, sources, columns, not quick)

    def ready_room(self, plan: Plan, watch: Watch) -> RoomLight:
        """Return the plan's room made ready in full, as `solve` uses it; raises `Cancelled`."""
        return self._room(plan, FULL, watch)

    def make_ready_to_drag(self, plan: Plan, *, cancelled: Callable[[], bool] | None = None) -> None:
        """Lay a solved room out for drag frames, so that the first one is as quick as the others.

        Raises
        ------
        Cancelled
            If ``cancelled()`` became true meanwhile.
        """
        key = room_key(plan)
        room, drag = self._rooms.get((key, FULL)), self._drags.get(key)
        if room is None:
            return
        watch = Watch(None, cancelled)
        if drag is None:
            drag = DragRoom(room, lambda: watch.at(0.0, "drags"))
            self._drags.put(key, drag)  # from now on frames can be had; what follows makes them better
        if not drag.is_settled:
            kept = [self._columns.get((key, FULL, _at_unit(source))) for source in sources_of(plan)]
            known = list({id(column): column for column in kept if column is not None}.values())
            drag.settle(known[:: max(1, -(-len(known) // MOST_TRIED))], lambda: watch.at(0.0, "drags"))

    def follow(self, base: Lighting, plan: Plan, *, finely: bool = False) -> Lighting | None:
        """Return the light of a plan whose fixtures moved since ``base``: a drag frame, on the calling thread.

        Fixtures that did not change keep their columns; one that was worked out before takes its full column; others
        get one at drag quality, ``finely`` where little else is on, which takes a tenth longer. None where the room
        itself changed or was not made ready.
        """
        if room_key(plan) != base.room_key:
            return None
        drag = self._drags.get(base.room_key)
        if drag is None:
            return None
        sources = sources_of(plan)
        plane, benches, missing = base.columns_of(sources)
        for number in missing:
            source = sources[number]
            kept = self._columns.get((base.room_key, FULL, _at_unit(source)))
            column = drag.column(source, finely=finely) if kept is None else kept.times(source.lumens / UNIT_LUMENS)
            plane[:, number] = column.plane
            for target, part in zip(benches, column.benches, strict=True):
                target[:, number] = part
        return replace(
            base,
            responses=plane,
            benches=tuple(replace(b, responses=r) for b, r in zip(base.benches, benches, strict=True)),
            groups=tuple(fixture.group for fixture in plan.fixtures),
            sources=sources,
            is_full=False,
        )

    def drag_rays(self, plan: Plan, index: int) -> tuple[FloatArray, FloatArray, FloatArray] | None:
        """Return origins, directions and triangles of the rays that a drag frame of fixture ``index`` sends.

        The triangles are those that they are tried against.
        """
        drag, room = self._drags.get(room_key(plan)), self._rooms.get((room_key(plan), FULL))
        if drag is None or room is None:
            return None
        source = sources_of(plan)[index]
        shades = room.enclosure.between if room.shades_of(source) is room.between else room.enclosure.triangles
        return *drag.rays(source), shades.astype(np.float32)

    def receive(
        self,
        plan: Plan,
        points: FloatArray,
        normals: FloatArray,
        *,
        extra: tuple[Solid, ...] = (),
        cancelled: Callable[[], bool] | None = None,
        closely: bool = True,
    ) -> FloatArray:
        """Return the illuminance that each fixture alone gives at any points and directions.

        Parameters
        ----------
        points, normals : (n, 3)
            Places [m] and the unit normals of the planes on which the light is read.
        closely
            Whether to look closer, for a second or three, where a point lies in a narrow gap or close to a surface.

        Returns
        -------
        (n, fixtures) [lx]
        """
        points, normals = np.asarray(points, float).reshape(-1, 3), np.asarray(normals, float).reshape(-1, 3)
        watch = Watch(None, cancelled)
        room = self._room(plan, FULL, watch, extra)
        sources = sources_of(plan)
        if not sources or not len(points):
            return np.zeros((len(points), len(sources)))
        columns = self._columns_of(room, sources, watch)
        straight = np.empty((len(points), len(sources)))
        for number, source in enumerate(sources):
            watch.at(number / len(sources), "direct light")
            straight[:, number] = direct(points, normals, source, room.blockers)
        return straight + reflected_at(room, points, normals, sources, columns, watch, closely)

    def _room(self, plan: Plan, quality: Quality, watch: Watch, extra: tuple[Solid, ...] = ()) -> RoomLight:
        key = room_key(plan, extra)
        room = self._rooms.get((key, quality))
        if room is None:
            known = self._rooms.get((key, FULL if quality is QUICK else QUICK))
            room = prepare(plan, quality, self.cell(plan), watch, extra, known=known)
            self.rooms_made += 1
            self._rooms.put((key, quality), room)
        return room

    def _columns_of(
        self, room: RoomLight, sources: tuple[Source, ...], watch: Watch, latest: RoomKey | None = None
    ) -> list[Column]:
        """Light is linear: columns are kept for `UNIT_LUMENS`, so that another power setting costs nothing.

        Those that are missing are made with the help of the room ``latest``.
        """
        known: dict[Source, Column] = {}
        units = [_at_unit(source) for source in sources]
        for unit in units:
            kept = self._columns.get((room.key, room.quality, unit))
            if kept is not None:
                known[unit] = kept
        missing = tuple(dict.fromkeys(unit for unit in units if unit not in known))
        before = self._before(latest, room.quality, missing)
        finer = self._before(latest, FULL, missing) if room.quality is QUICK else None
        for unit, column in zip(missing, room.columns(missing, watch, before, finer), strict=True):
            self.columns_made += 1
            self._columns.put((room.key, room.quality, unit), column)
            known[unit] = column
        return [known[u].times(s.lumens / UNIT_LUMENS) for u, s in zip(units, sources, strict=True)]

    def _before(self, key: RoomKey | None, quality: Quality, sources: tuple[Source, ...]) -> Before | None:
        room = None if key is None else self._rooms.get((key, quality))
        if room is None or not sources:
            return None
        kept = {source: self._columns.get((room.key, quality, source)) for source in sources}
        return Before(room, {source: column for source, column in kept.items() if column is not None})

    def cell(self, plan: Plan) -> float:
        """Return the side of the work plane's cells [m]: 6 in; wider in a hall, never more than `MOST_CELLS` in all."""
        xs, ys = zip(*plan.room.outline, strict=True)
        return float(max(self._step, ((max(xs) - min(xs)) * (max(ys) - min(ys)) / MOST_CELLS) ** 0.5))


def _at_unit(source: Source) -> Source:
    return replace(source, lumens=UNIT_LUMENS)


def _lighting(
    plan: Plan, room: RoomLight, sources: tuple[Source, ...], columns: list[Column], is_full: bool
) -> Lighting:
    def stacked(parts: list[FloatArray], rows: int) -> FloatArray:
        if not parts:
            return np.zeros((rows, 0), dtype=np.float32)
        return np.stack(parts, axis=1).astype(np.float32)

    benches = tuple(
        BenchLight(
            bench.bench,
            bench.grid,
            bench.inside,
            bench.points,
            stacked([column.benches[number] for column in columns], len(bench.points)),
        )
        for number, bench in enumerate(room.benches)
    )
    lumens = np.array([source.lumens for source in sources])
    settled = stacked([column.settled for column in columns], len(room.patches))
    balance = room.transfer.energy_balance(settled, lumens) if len(sources) else np.ones(1)
    worst = float(balance[np.abs(balance - 1.0).argmax()])
    return Lighting(
        grid=room.plane.grid,
        inside=room.plane.inside,
        counted=room.plane.counted,
        responses=stacked([column.plane for column in columns], len(room.plane.points)),
        benches=benches,
        groups=tuple(fixture.group for fixture in plan.fixtures),
        energy_balance=worst,
        row_sums=room.transfer.row_sums,
        is_full=is_full,
        sources=sources,
        room_key=room.key,
    )
