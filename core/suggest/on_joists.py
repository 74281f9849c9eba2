"""Which fixtures are screwed to joists, and rows shifted square to the joists so that more of them are.

A fixture counts as on joists where at least half of its screws bite into wood (`core.ceiling.joists.hits_joist`): its
weight then hangs on the framing, however the other screws are held (common practice, no source). Fixtures at one x, or
at one y, stay in line; bodies end to end stay together. Joists askew to the sheet move a layout as a whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.ceiling.feeding import LINK_GAP, CeilingPoint, ceiling_points
from core.ceiling.joists import BITE, hits_joist, joist_normal, place_to_joists, zone_at
from core.light.grid import BoolArray, FloatArray
from core.plan import Fixture, Plan
from core.suggest.candidates import Ceiling, Places, cliques_of
from core.suggest.climb import in_line

__all__ = ["fixtures_on_joists", "shifted_to_joists"]

_STRAIGHT = 1e-6
_HAIR = 1e-4
"""A screw that is to be just inside a joist is so much farther in than it needs [m]."""
_Index = NDArray[np.intp]


def fixtures_on_joists(plan: Plan, fixtures: Sequence[Fixture]) -> int | None:
    """Return how many fixtures have at least half of their screws in joists; None where no joists are drawn, or where
    no fixture has screws."""
    if not plan.room.joists:
        return None
    points = [point for point in _points(plan, fixtures) if point.screws]
    if not points:
        return None
    return sum(2 * sum(hits_joist(plan, screw) for screw in point.screws) >= len(point.screws) for point in points)


def shifted_to_joists(ceiling: Ceiling, places: Places, is_symmetric: bool = False) -> Places | None:
    """Return places with rows shifted by half a joist spacing at the most, so that more fixtures are on joists.

    They stay clear of walls, keep-outs and each other. A symmetric layout is shifted up or down the sheet only. None
    where no shift brings more fixtures onto joists.
    """
    now = fixtures_on_joists(ceiling.plan, ceiling.fixtures(places))
    if now is None or now == len(places):
        return None
    there = places
    for normal, zones in _by_direction(ceiling.plan):
        if is_symmetric and abs(normal[0]) > _STRAIGHT:
            continue
        for members in _movable(ceiling, there, normal):
            there = _best(ceiling, there, members, normal, zones)
    found = fixtures_on_joists(ceiling.plan, ceiling.fixtures(there)) or 0
    return there if found > now else None


def _by_direction(plan: Plan) -> list[tuple[FloatArray, tuple[str, ...]]]:
    """Return the directions square to joists, and the ids of the zones of each."""
    found: dict[tuple[float, float], list[str]] = {}
    for zone in plan.room.joists:
        nx, ny = joist_normal(zone)
        found.setdefault((round(nx, 6), round(ny, 6)), []).append(zone.id)
    return [(np.array(normal), tuple(ids)) for normal, ids in found.items()]


def _movable(ceiling: Ceiling, places: Places, normal: FloatArray) -> list[_Index]:
    """Return which places move together in a direction: those in line, and lines whose bodies are end to end."""
    axis = int(abs(normal[1]) > abs(normal[0]))
    if abs(normal[1 - axis]) > _STRAIGHT:
        return [np.arange(len(places))]
    lines = [members for along, members in in_line(places.centres) if along == axis]
    half = np.array([ceiling.half(turn) for turn in places.turns])
    joined: list[_Index] = []
    for line in lines:
        if joined and _meet(places.centres, half, joined[-1], line, axis):
            joined[-1] = np.sort(np.concatenate([joined[-1], line]))
        else:
            joined.append(line)
    return joined


def _meet(centres: FloatArray, half: FloatArray, some: _Index, others: _Index, axis: int) -> bool:
    """Whether bodies of two lines are end to end along an axis."""
    gap = np.abs(centres[some][:, None] - centres[others][None]) - half[some][:, None] - half[others][None]
    return bool(((gap[..., axis] <= LINK_GAP) & (gap[..., 1 - axis] < 0.0)).any())


@dataclass(frozen=True)
class _Screws:
    """Screws that are under joists of one direction: how far each lies off its joist (n,) [m], and whose it is (n,).

    ``spacing``, ``reach`` (n,) are those of its joists [m]: a screw holds within ``reach`` of the middle of one.
    ``totals`` (fixtures,) counts all screws of each fixture.
    """

    off: FloatArray
    owner: _Index
    spacing: FloatArray
    reach: FloatArray
    totals: _Index

    @classmethod
    def of(cls, ceiling: Ceiling, places: Places, zones: tuple[str, ...]) -> _Screws:
        plan = ceiling.plan
        points = _points(plan, ceiling.fixtures(places))
        found = [(number, screw) for number, point in enumerate(points) for screw in point.screws]
        under = [(number, screw, zone_at(plan, screw)) for number, screw in found]
        held = [(number, screw, zone) for number, screw, zone in under if zone is not None and zone.id in zones]
        return cls(
            np.array([place_to_joists(zone, screw)[0] for _, screw, zone in held]),
            np.array([number for number, _, _ in held], dtype=np.intp),
            np.array([zone.spacing for _, _, zone in held]),
            np.array([zone.joist_width / 2 - min(BITE, zone.joist_width / 4) for _, _, zone in held]),
            np.array([len(point.screws) for point in points], dtype=np.intp),
        )

    def shifts(self) -> FloatArray:
        """Return the shifts worth trying: those that bring a screw to the middle of a joist or just into it."""
        inside = self.reach - _HAIR
        joists = self.spacing[:, None] * np.array([-1.0, 0.0, 1.0]) - self.off[:, None]
        every = joists[..., None] + inside[:, None, None] * np.array([-1.0, 0.0, 1.0])
        near = np.abs(every) <= self.spacing[:, None, None] / 2
        return np.unique(every[near].round(5))

    def caught(self, shifts: FloatArray) -> tuple[_Index, _Index]:
        """Return for each shift how many fixtures are on joists, and how many screws bite."""
        moved = self.off[None] + shifts[:, None]
        moved -= np.round(moved / self.spacing) * self.spacing
        bites: BoolArray = np.abs(moved) <= self.reach
        of_each = np.column_stack([bites[:, self.owner == number].sum(axis=1) for number in range(len(self.totals))])
        hung = ((2 * of_each >= self.totals) & (self.totals > 0)).sum(axis=1)
        return hung, bites.sum(axis=1)


def _best(ceiling: Ceiling, places: Places, members: _Index, normal: FloatArray, zones: tuple[str, ...]) -> Places:
    """Return the places with some of them shifted so that most of these are on joists, by the shortest way."""
    screws = _Screws.of(ceiling, Places(places.centres[members], places.turns[members]), zones)
    shifts = screws.shifts()
    if not shifts.size:
        return places
    hung, bites = screws.caught(shifts)
    now = screws.caught(np.zeros(1))[0][0]
    for k in np.lexsort((np.abs(shifts), -bites, -hung)):
        if hung[k] <= now:
            break
        centres = places.centres.copy()
        centres[members] += shifts[k] * normal
        there = Places(centres, places.turns)
        if ceiling.free(centres[members], places.turns[members]).all() and not cliques_of(ceiling, there):
            return there
    return places


def _points(plan: Plan, fixtures: Sequence[Fixture]) -> tuple[CeilingPoint, ...]:
    named = [replace(fixture, id=f"at-{number}") for number, fixture in enumerate(fixtures)]
    return ceiling_points(replace(plan, fixtures=tuple(named)))
