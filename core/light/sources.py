"""Sources: the luminous opening of one fixture, where it hangs, and how it spreads its light.

An opening is a flat, horizontal, uniformly bright patch (rectangle, round, or a point). Fixture bodies neither block
nor reflect light.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from core.light.grid import FloatArray
from core.photometry.distribution import Distribution
from core.plan import Fixture, Plan, distribution_of

__all__ = ["Source", "source_of", "sources_of", "square_to_disc"]

ROUND_SIDES = 32


@dataclass(frozen=True)
class Source:
    """One luminous opening.

    ``centre`` (x, y, z) [m]; ``half_length`` along local x and ``half_width`` along local y [m]; ``rotation`` [rad]
    counter-clockwise; ``lumens`` leave it in all. Hashable: equal sources give equal light.
    """

    centre: tuple[float, float, float]
    half_length: float
    half_width: float
    rotation: float
    is_round: bool
    lumens: float
    distribution: Distribution

    @property
    def is_point(self) -> bool:
        """Whether the opening has no size."""
        return self.half_length == 0.0 and self.half_width == 0.0

    @property
    def is_diffuse(self) -> bool:
        """Whether closed forms for diffuse openings apply."""
        return self.distribution.is_lambertian and self.half_length > 0.0 and self.half_width > 0.0

    @property
    def axes(self) -> tuple[FloatArray, FloatArray]:
        """Unit vectors along the length and across it, each (3,)."""
        c, s = math.cos(self.rotation), math.sin(self.rotation)
        return np.array([c, s, 0.0]), np.array([-s, c, 0.0])

    def places(self, local: FloatArray) -> FloatArray:
        """Map (n, 2) coordinates in -1..1 of the opening's box to the room (n, 3) [m]; a disc by equal areas."""
        return self.places_of(square_to_disc(local) if self.is_round else local)

    def places_of(self, local: FloatArray) -> FloatArray:
        """Do the same for coordinates of a round opening that lie in its disc already."""
        along, across = self.axes
        offset = local[:, :1] * self.half_length * along + local[:, 1:] * self.half_width * across
        spots: FloatArray = np.asarray(self.centre) + offset
        return spots

    def box(self) -> FloatArray:
        """Return the corners (4, 3) of the rectangle that the opening fills or lies in [m]."""
        along, across = self.axes
        u, v = np.array([[-1.0], [1.0], [1.0], [-1.0]]), np.array([[-1.0], [-1.0], [1.0], [1.0]])
        corners: FloatArray = np.asarray(self.centre) + u * self.half_length * along + v * self.half_width * across
        return corners

    def polygon(self) -> FloatArray:
        """Return the opening's corners (m, 3) [m]; a round one as a polygon of equal area."""
        if not self.is_round:
            return self.box()
        turn = 2.0 * math.pi / ROUND_SIDES
        grow = math.sqrt(turn / math.sin(turn))
        angle = (np.arange(ROUND_SIDES) + 0.5) * turn
        along, across = self.axes
        ring = np.cos(angle)[:, None] * self.half_length * along + np.sin(angle)[:, None] * self.half_width * across
        corners: FloatArray = np.asarray(self.centre) + grow * ring
        return corners

    def gap_to(self, points: FloatArray) -> FloatArray:
        """Return the distance from points (n, 3) to the nearest spot of the opening's box, (n,) [m]."""
        along, across = self.axes
        offset = points - np.asarray(self.centre)
        u = np.maximum(np.abs(offset @ along) - self.half_length, 0.0)
        v = np.maximum(np.abs(offset @ across) - self.half_width, 0.0)
        gap: FloatArray = np.sqrt(u * u + v * v + offset[:, 2] ** 2)
        return gap

    def to_local(self, directions: FloatArray) -> FloatArray:
        """Turn directions in the room (..., 3) into the fixture's own frame."""
        c, s = math.cos(self.rotation), math.sin(self.rotation)
        x, y = directions[..., 0], directions[..., 1]
        return np.stack([c * x + s * y, -s * x + c * y, directions[..., 2]], axis=-1)


def source_of(plan: Plan, fixture: Fixture) -> Source:
    """Return the source that a fixture of a plan is, at its power setting."""
    model = plan.model(fixture.model)
    z = plan.opening_height(fixture)
    small = model.opening == "point"
    return Source(
        centre=(fixture.x, fixture.y, min(z, plan.room.height - 1e-3)),
        half_length=0.0 if small else model.opening_length / 2,
        half_width=0.0 if small else model.opening_width / 2,
        rotation=math.radians(fixture.rotation_deg),
        is_round=model.opening == "round",
        lumens=plan.setting(fixture).lumens,
        distribution=distribution_of(model),
    )


_last: tuple[Plan, tuple[Source, ...]] | None = None


def sources_of(plan: Plan) -> tuple[Source, ...]:
    """Return the sources of all fixtures, in the plan's order; those of the plan asked for last are remembered."""
    global _last
    known = _last
    if known is None or known[0] is not plan:
        kept = _unchanged(*known, plan) if known is not None else {}
        sources = tuple(kept.get(id(fixture)) or source_of(plan, fixture) for fixture in plan.fixtures)
        known = _last = plan, sources
    return known[1]


def _unchanged(old: Plan, sources: tuple[Source, ...], plan: Plan) -> dict[int, Source]:
    """Return the sources of the very fixtures (by `id`) of an old plan that shine alike in a new one.

    A drag makes a new plan every frame, all but one of whose fixtures are the old one's.
    """
    if plan.models is not old.models or plan.room.height != old.room.height:
        return {}
    return {id(fixture): source for fixture, source in zip(old.fixtures, sources, strict=True)}


def square_to_disc(local: FloatArray) -> FloatArray:
    """Map the square -1..1 to the unit disc with equal areas (P. Shirley and K. Chiu, J. Graphics Tools 2(3), 1997)."""
    x, y = local[:, 0], local[:, 1]
    wide = np.abs(x) > np.abs(y)
    radius = np.where(wide, x, y)
    with np.errstate(divide="ignore", invalid="ignore"):
        angle = np.where(wide, (np.pi / 4) * (y / x), np.pi / 2 - (np.pi / 4) * (x / y))
    angle = np.where(radius == 0.0, 0.0, angle)
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
