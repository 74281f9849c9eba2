"""Who throws the body shadow, and where the light would have to be instead.

The culprit is the fixture of whose direct light the body takes most from the spot where the hands work. The remedy is
searched, not looked up: the culprit is tried farther and farther along the worker's view, towards the bench and over
it, in steps of 6 in as far as the room and what hangs on its ceiling allow; its direct light is worked out anew at each
place, with and without the body, while reflected light stays as it is. If one fixture is not enough the next culprit
follows, three at most.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from core.checks.body_shadow import BodyShadow, Losses, direct_light, losses_of
from core.light.direct import COARSE
from core.light.grid import FloatArray
from core.light.sources import Source
from core.plan import Plan, box_corners

__all__ = ["Culprit", "Move", "Remedy", "Where", "culprit", "is_fine", "remedy", "where_from"]

STEP = 0.1524
FARTHEST = 3.0
MOST_MOVES = 3
MOST_POINTS = 90
SAME_HEIGHT = 0.3
"""Openings nearer in height than this belong to bodies that may meet [m]."""
OVERHEAD = 0.15
"""A fixture whose centre is nearer than this to the body's centre on the plan hangs right above it [m]."""
TOLERATED = 0.20
"""A loss that is not minded anywhere on the top (common practice, no source)."""
SLIGHT = 0.10
"""An average loss where the hands work that is not minded (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Where:
    """Where a fixture is for the worker: metres ahead of the body's centre (behind: negative) and to the right."""

    ahead: float
    right: float

    @property
    def words(self) -> str:
        """'behind the worker', 'to the worker's left' and so on."""
        if math.hypot(self.ahead, self.right) < OVERHEAD:
            return "right above the worker"
        if abs(self.right) > 2.0 * abs(self.ahead):
            return "to the worker's " + ("right" if self.right > 0.0 else "left")
        is_aside = abs(self.right) >= 0.5 * abs(self.ahead)
        side = f" and to the {'right' if self.right > 0.0 else 'left'}" if is_aside else ""
        if self.ahead < 0.05:
            return ("behind the worker" if self.ahead < -OVERHEAD else "right above the worker") + side
        return "in front of the worker" + side


@dataclass(frozen=True, slots=True)
class Culprit:
    """The fixture (its number) that throws the shadow, the share of what the body takes that it takes of this one's
    light, and where it is."""

    fixture: int
    share: float
    where: Where


@dataclass(frozen=True, slots=True)
class Move:
    """One fixture moved towards the bench by a distance [m], to (x, y)."""

    fixture: int
    distance: float
    x: float
    y: float


@dataclass(frozen=True)
class Remedy:
    """Moves, and the losses after them; ``enough`` where the shadow is then fine."""

    moves: tuple[Move, ...]
    after: Losses
    enough: bool


def where_from(shadow: BodyShadow, source: Source) -> Where:
    """Return where a source is as the worker sees it."""
    ahead = shadow.stand.ahead
    offset = np.array(source.centre[:2]) - (shadow.stand.x, shadow.stand.y)
    return Where(float(offset @ ahead), float(offset @ (ahead[1], -ahead[0])))


def is_fine(found: Losses) -> bool:
    """Whether a body shadow is too slight to mind."""
    return found.worst <= TOLERATED or (found.over[0] <= 0.02 and found.spot <= SLIGHT)


def culprit(shadow: BodyShadow, sources: Sequence[Source], shares: FloatArray) -> Culprit | None:
    """Return who throws the shadow at a setting (fixtures,); None where the body takes no direct light."""
    taken = np.maximum(shadow.straight_before - shadow.straight_after, 0.0)[shadow.spot] * shares
    each = taken.sum(axis=0)
    whole = float(each.sum())
    if whole <= 1e-6:
        return None
    worst = int(each.argmax())
    return Culprit(worst, float(each[worst]) / whole, where_from(shadow, sources[worst]))


def remedy(plan: Plan, shadow: BodyShadow, sources: Sequence[Source], shares: FloatArray) -> Remedy | None:
    """Search where the light would have to be instead; None where no fixture can be moved to any good."""
    trial = _Trial(plan, shadow, tuple(sources), shares)
    found = trial.losses()
    moves: list[Move] = []
    for _ in range(MOST_MOVES):
        if is_fine(found):
            break
        step = trial.best_move({move.fixture for move in moves})
        if step is None:
            break
        move, better = step
        moves.append(move)
        found = better
    return Remedy(tuple(moves), found, is_fine(found)) if moves else None


class _Trial:
    """The bench while fixtures are tried elsewhere: direct light anew, reflected light as it was."""

    def __init__(self, plan: Plan, shadow: BodyShadow, sources: tuple[Source, ...], shares: FloatArray) -> None:
        free = np.flatnonzero(shadow.workable)
        some = free[:: max(1, math.ceil(len(free) / MOST_POINTS))]
        self._plan, self._shadow, self._sources, self._shares = plan, shadow, list(sources), shares
        self._points, self._spot = shadow.points[some], shadow.spot[some]
        if not self._spot.any():
            self._spot = np.zeros(len(self._points), dtype=bool)
            self._spot[np.linalg.norm(self._points[:, :2] - shadow.stand.hands[:2], axis=1).argmin()] = True
        self._rest_before = (shadow.before - shadow.straight_before)[some] @ shares
        self._rest_after = (shadow.after - shadow.straight_after)[some] @ shares
        self._before, self._after = shadow.straight_before[some].copy(), shadow.straight_after[some].copy()
        self._room = Polygon(plan.room.outline)
        self._hung = shapely.union_all(
            [Polygon(box_corners(k.x, k.y, k.width, k.depth, k.rotation_deg)) for k in plan.room.keep_outs]
        )

    def losses(self) -> Losses:
        before = self._rest_before + self._before @ self._shares
        after = self._rest_after + self._after @ self._shares
        return losses_of(before, after, self._spot, self._points)

    def best_move(self, moved: set[int]) -> tuple[Move, Losses] | None:
        """Move the worst fixture that was not moved yet: as little as is fine, else to where the loss is least."""
        taken = (np.maximum(self._before - self._after, 0.0) * self._shares)[self._spot].sum(axis=0)
        taken[list(moved)] = 0.0
        if not taken.any():
            return None
        number = int(taken.argmax())
        kept = (self._before[:, number].copy(), self._after[:, number].copy())
        start = self.losses()
        best: tuple[float, Source, Losses, tuple[FloatArray, FloatArray]] | None = None
        for distance in np.arange(1, round(FARTHEST / STEP) + 1) * STEP:
            tried = self._shifted(number, float(distance))
            if tried is None:
                continue
            columns = self._columns(tried)
            self._before[:, number], self._after[:, number] = columns
            found = self.losses()
            if best is None or _badness(found) < _badness(best[2]) - 0.005:
                best = (float(distance), tried, found, columns)
            if is_fine(found):
                break
        self._before[:, number], self._after[:, number] = kept
        if best is None or _badness(best[2]) > _badness(start) - 0.02:
            return None
        distance, tried, found, columns = best
        self._sources[number] = tried
        self._before[:, number], self._after[:, number] = columns
        return Move(number, distance, tried.centre[0], tried.centre[1]), found

    def _columns(self, source: Source) -> tuple[FloatArray, FloatArray]:
        clear, blocked = self._shadow.clear, self._shadow.blocked
        return (
            direct_light(self._points, (source,), clear, COARSE)[:, 0],
            direct_light(self._points, (source,), blocked, COARSE)[:, 0],
        )

    def _shifted(self, number: int, distance: float) -> Source | None:
        """Return a source farther towards the bench; None where it would leave the room or meet what is there."""
        source, ahead = self._sources[number], self._shadow.stand.ahead * distance
        x, y, z = source.centre
        moved = replace(source, centre=(x + float(ahead[0]), y + float(ahead[1]), z))
        opening = Polygon(moved.polygon()[:, :2]) if not moved.is_point else shapely.Point(moved.centre[:2])
        fits = self._room.contains(opening) and not self._hung.intersects(opening)
        inside_furniture = any(
            item.top >= z >= item.bottom
            and Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)).intersects(opening)
            for item in self._plan.furniture
        )
        return moved if fits and not inside_furniture and not self._is_taken(number, moved) else None

    def _is_taken(self, number: int, moved: Source) -> bool:
        """Whether another fixture hangs where the body of a moved one would be."""
        body = self._body(number, moved)
        return any(
            abs(other.centre[2] - moved.centre[2]) < SAME_HEIGHT and self._body(k, other).intersects(body)
            for k, other in enumerate(self._sources)
            if k != number
        )

    def _body(self, number: int, source: Source) -> Polygon:
        fixture = self._plan.fixtures[number]
        model = self._plan.model(fixture.model)
        return Polygon(box_corners(*source.centre[:2], model.length, model.width, fixture.rotation_deg))


def _badness(found: Losses) -> float:
    return found.worst + found.spot + found.over[0]
