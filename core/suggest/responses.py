"""Unit responses of fixtures anywhere in a room, quick enough for hundreds of places.

Light is linear, so a layout's light is the sum of its fixtures' columns. They are worked out with few rays
(`core.light.quick_room`) in the room that full solutions use. They are read at few points: of every block of the work
plane's grid the cell that is darkest under an evenly lit ceiling and the one in its middle, and of every bench a sample
of its points. The average is read from the middles. What columns are off is measured against full solutions and kept as
a margin (`core.suggest.trust`).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.light.direct import direct
from core.light.grid import BoolArray, FloatArray
from core.light.quick_room import QuickRoom
from core.light.receivers import UP, PlanePoints
from core.light.roomlight import RoomLight, Watch
from core.light.sources import Source, source_of
from core.light.visibility import each_in_threads
from core.plan import Fixture, Model, Plan
from core.suggest.columns import QuickColumns
from core.suggest.hanging import candidate_fixture

__all__ = ["Readings", "Responses"]

BLOCKS = 150
"""About how many blocks the counted part of the work plane is divided into."""
BENCH_POINTS = 24
SAMPLES = 12
"""Fixtures of the evenly lit ceiling, by which dark spots are found."""
_Rows = NDArray[np.intp]


@dataclass(frozen=True)
class Readings:
    """The points at which layouts are judged.

    ``points`` (n, 3) [m]; ``room`` (n,) tells which of them must reach the room's minimum, ``average`` (n,) which of
    them make up its average; ``bench`` (n,) is the number of the bench, -1 for the work plane. ``cells`` (n,) are
    indices into the full grid's inside cells, -1 on benches; ``bench_rows`` those of the bench readings, in their
    order, among the points of all benches. ``evenly_lit`` (n,) is the light under an even ceiling, 1 in the median.
    """

    points: FloatArray
    room: BoolArray
    average: BoolArray
    bench: _Rows
    cells: _Rows
    benches: tuple[str, ...]
    bench_rows: _Rows
    evenly_lit: FloatArray

    def __len__(self) -> int:
        return len(self.points)


class Responses:
    """The quick columns of one room, kept by source.

    Parameters
    ----------
    plan : Plan
        Its fixtures play no part.
    room : RoomLight
        The plan's room made ready.
    model : Model
        What the ceiling is lit with to find the dark spots.
    """

    def __init__(self, plan: Plan, room: RoomLight, model: Model, watch: Watch) -> None:
        self.plan = replace(plan, fixtures=())
        self._watch = watch
        self.grid, self.counted = room.plane.grid, room.plane.counted
        self._room = room
        self._light = QuickRoom(room)
        lit = _evenly_lit(self.plan, room, self._light, model, watch)
        self._quick = QuickColumns(room, self._light)
        self._take_up(_choose(room, lit))
        median = float(np.median(lit[0][self.readings.cells[self.readings.cells >= 0]]))
        self.evenly_lit: FloatArray = lit[0] / max(median, 1e-9)
        """Light of every inside cell of the full grid under an even ceiling, 1 in the median of the readings."""
        self.version = 0
        """Changes with every change of the readings."""

    def column(self, source: Source) -> FloatArray:
        """Return one source's light at the readings, (n,) float32 [lx]."""
        return self._quick.at([source], self._read)[:, 0]

    def _take_up(self, readings: Readings) -> None:
        self.readings = readings
        on_benches = len(self._room.plane.points) + readings.bench_rows
        self._read = readings.cells.copy()
        self._read[readings.cells < 0] = on_benches

    def everywhere(self, fixtures: Iterable[Fixture], model: Model) -> FloatArray:
        """Return the light of some fixtures at every inside cell of the full grid (n,) [lx]."""
        light: FloatArray = self._quick.at(self.sources(fixtures, model), self._cells).sum(axis=1, dtype=float)
        return light

    def on_every_cell(self, fixtures: Sequence[Fixture], model: Model) -> FloatArray:
        """Return the columns of fixtures at every inside cell of the full grid, (n, fixtures) float32 [lx]."""
        return self._quick.at(self.sources(fixtures, model), self._cells)

    @property
    def _cells(self) -> _Rows:
        return np.arange(len(self._room.plane.points))

    def sharper(self, cells: _Rows, fixtures: Sequence[Fixture], model: Model) -> FloatArray:
        """Return the columns of fixtures at some inside cells, their direct light that of full solutions.

        (cells, fixtures) float32 [lx]; a millisecond for a hundred cells, where a full solution takes forty.
        """
        room, points = self._room, self._room.plane.points[cells]
        up = np.broadcast_to(UP, points.shape)
        sources = self.sources(fixtures, model)

        def of(number: int) -> FloatArray:
            source = sources[number]
            quick = self._quick.at([source], cells)[:, 0]
            full = direct(points, up, source, room.shades_of(source), room.quality.on_points)
            column: FloatArray = quick + (full - self._light.straight(source, cells))
            return column

        return np.column_stack(each_in_threads(of, len(sources))).astype(np.float32)

    def at_cell(self, cell: int, fixtures: Sequence[Fixture], model: Model) -> FloatArray:
        """Return what each fixture gives to one inside cell of the full grid, (fixtures,) [lx]."""
        light: FloatArray = self._quick.at(self.sources(fixtures, model), np.array([cell]))[0]
        return light

    @property
    def cells(self) -> tuple[FloatArray, BoolArray]:
        """The inside cells of the full grid (n, 3) [m], and which of them count."""
        plane = self._room.plane
        return plane.points, plane.counted[plane.inside]

    def read_more(self, cells: Sequence[int]) -> None:
        """Judge layouts at further cells too (indices into the full grid's inside cells); they come last."""
        old, new = self.readings, np.array(sorted(set(cells) - set(self.readings.cells.tolist())), dtype=np.intp)
        if not new.size:
            return
        none = np.zeros(len(new), dtype=bool)
        part = Readings(
            self._room.plane.points[new],
            ~none,
            none,
            np.full(len(new), -1),
            new,
            old.benches,
            np.zeros(0, dtype=np.intp),
            self.evenly_lit[new],
        )
        self.version += 1
        longer = ("points", "room", "average", "bench", "cells", "evenly_lit")
        grown: dict[str, Any] = {name: np.concatenate([getattr(old, name), getattr(part, name)]) for name in longer}
        self._take_up(replace(old, **grown))

    def open_beside(self, cells: Sequence[int], lit: float, reach: float) -> list[int]:
        """Return the darkest cell that counts near each cell and still has ``lit`` under an even ceiling.

        Near is within ``reach`` [m]. Where a block's darkest cell is left out of account, these stand for its rest.
        """
        plane = self._room.plane
        points, usable = plane.points[:, :2], plane.counted[plane.inside] & (self.evenly_lit >= lit)
        found = set()
        for cell in cells:
            near = np.flatnonzero(usable & (np.hypot(*(points - points[cell]).T) <= reach))
            if near.size:
                found.add(int(near[self.evenly_lit[near].argmin()]))
        return sorted(found)

    def dark_beside(self, cells: Sequence[int], lit: Sequence[float], reach: float) -> list[int]:
        """Return the cells that count within ``reach`` [m] of some cells and have no more than ``lit`` of each."""
        plane = self._room.plane
        points, counted = plane.points[:, :2], plane.counted[plane.inside]
        near: BoolArray = np.zeros(len(points), dtype=bool)
        for cell, most in zip(cells, lit, strict=True):
            near |= (np.hypot(*(points - points[cell]).T) <= reach) & (self.evenly_lit <= most)
        return np.flatnonzero(near & counted).tolist()

    def columns(self, sources: Sequence[Source]) -> FloatArray:
        """Return the columns of several sources, (n, sources) float32 [lx]."""
        return self._quick.at(sources, self._read, self._watch)

    def of(self, fixtures: Iterable[Fixture], model: Model) -> FloatArray:
        """Return the columns of fixtures of one model, (n, fixtures) [lx]."""
        return self.columns(self.sources(fixtures, model))

    def sources(self, fixtures: Iterable[Fixture], model: Model) -> list[Source]:
        """Return fixtures of one model as sources of light."""
        plan = self.plan
        if all(known.id != model.id for known in plan.models):
            plan = replace(plan, models=(*plan.models, model))
        return [source_of(plan, fixture) for fixture in fixtures]


def _evenly_lit(
    plan: Plan, room: RoomLight, light: QuickRoom, model: Model, watch: Watch
) -> tuple[FloatArray, list[FloatArray]]:
    """Return the light of an even spread of fixtures on the plane's points and on each bench [lx]."""
    x0, y0, x1, y1 = room.enclosure.outline.bounds
    across = max(1, round((SAMPLES * (x1 - x0) / (y1 - y0)) ** 0.5))
    down = max(1, round(SAMPLES / across))
    lit: FloatArray = np.zeros(len(room.plane.points))
    benches: list[FloatArray] = [np.zeros(len(bench.points)) for bench in room.benches]
    with_model = plan if any(m.id == model.id for m in plan.models) else replace(plan, models=(*plan.models, model))
    for i in range(across):
        for j in range(down):
            watch.at((i * down + j) / (across * down), "dark spots")
            x, y = x0 + (i + 0.5) / across * (x1 - x0), y0 + (j + 0.5) / down * (y1 - y0)
            on_plane, *on_benches = light.everywhere(source_of(with_model, candidate_fixture(model, x, y, 0.0)))
            lit += on_plane
            for total, part in zip(benches, on_benches, strict=True):
                total += part
    return lit, benches


def _choose(room: RoomLight, lit: tuple[FloatArray, list[FloatArray]]) -> Readings:
    plane, benches = lit
    darkest, middles = _of_blocks(room.plane, plane)
    cells = np.union1d(darkest, middles)
    points, bench, index = [room.plane.points[cells]], [np.full(len(cells), -1)], [cells]
    rows, start = [np.zeros(0, dtype=np.intp)], 0
    even = [plane[cells]]
    for number, (part, light) in enumerate(zip(room.benches, benches, strict=True)):
        chosen = _of_bench(light)
        points.append(part.points[chosen])
        bench.append(np.full(len(chosen), number))
        index.append(np.full(len(chosen), -1))
        rows.append(start + chosen)
        start += len(part.points)
        even.append(light[chosen])
    where = np.concatenate(index)
    return Readings(
        np.concatenate(points),
        where >= 0,
        np.isin(where, middles) & (where >= 0),
        np.concatenate(bench).astype(np.intp),
        where.astype(np.intp),
        tuple(part.bench for part in room.benches),
        np.concatenate(rows).astype(np.intp),
        np.concatenate(even) / max(float(np.median(plane[cells])), 1e-9),
    )


def _of_blocks(plane: PlanePoints, lit: FloatArray) -> tuple[_Rows, _Rows]:
    """Return the darkest counted cell of every block, and the one next to its middle (rows of the plane's points)."""
    counted = plane.counted[plane.inside]
    rows = np.flatnonzero(counted)
    side = max(1, round(float(np.sqrt(len(rows) / BLOCKS))))
    i, j = np.nonzero(plane.inside)
    block = (i // side) * (plane.grid.nx + 1) + j // side
    off = (i % side - (side - 1) / 2) ** 2 + (j % side - (side - 1) / 2) ** 2
    dark, middle = [], []
    for name in np.unique(block[rows]):
        here = rows[block[rows] == name]
        dark.append(here[lit[here].argmin()])
        # A sliver of a block would count as much as a whole one in the average.
        if len(here) * 2 >= side * side:
            middle.append(here[off[here].argmin()])
    return np.array(dark, dtype=np.intp), np.array(middle or dark, dtype=np.intp)


def _of_bench(lit: FloatArray) -> _Rows:
    """Return a sample of a bench's points: an even one, with the darkest of all."""
    if len(lit) <= BENCH_POINTS:
        return np.arange(len(lit))
    even = np.linspace(0, len(lit) - 1, BENCH_POINTS).round().astype(np.intp)
    return np.union1d(even, lit.argsort(kind="stable")[:4])
