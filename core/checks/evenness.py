"""Evenness: minimum / average and minimum / maximum, steps that the eye sees, and the darkest place to stand.

Illuminance uniformity U0 = minimum / average (EN 12464-1); the immediate surround is the band of 0.5 m around the task
(EN 12464-1), read on the work plane. A step is the change of illuminance over one foot, divided by the mean of the two
ends; more than 0.5 a foot is called visible (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from core.checks.standing import Stand
from core.light.field import Field, Figures, Lighting, figures
from core.light.grid import BoolArray, FloatArray
from core.plan import Furniture, box_corners
from core.units import FOOT

__all__ = ["BAND", "SURROUND_LEAST", "VISIBLE_STEP", "Step", "darkest_stand", "steepest_step", "surround"]

BAND = 0.5
"""Width of the immediate surround [m], EN 12464-1."""
SURROUND_LEAST = 0.40
"""Least uniformity of the surround, EN 12464-1:2011 (luminaire makers' explainers)."""
VISIBLE_STEP = 0.5


@dataclass(frozen=True, slots=True)
class Step:
    """The steepest change of light: its share a foot, its middle (x, y) [m], and the light at its two ends [lx]."""

    per_foot: float
    x: float
    y: float
    low: float
    high: float


def surround(lighting: Lighting, item: Furniture, shares: FloatArray) -> Figures:
    """Return the figures of the band around a bench or machine, on the work plane; zero where there is no room.

    Of the band only what counts for the room is read, if there is any: a slot between a machine and the wall does not.
    """
    footprint = Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
    band = footprint.buffer(BAND, join_style="mitre")
    points = lighting.grid.points()[lighting.inside.ravel()]
    near = shapely.contains_xy(band, points[:, 0], points[:, 1])
    near &= ~shapely.contains_xy(footprint, points[:, 0], points[:, 1])
    counts = near & lighting.counted[lighting.inside]
    return figures(lighting.responses[counts if counts.any() else near] @ shares)


def steepest_step(field: Field, counted: BoolArray) -> Step | None:
    """Return the steepest change over a foot between points that count; None where no two are that far apart."""
    cells = max(1, round(FOOT / field.grid.step))
    foot = cells * field.grid.step / FOOT
    best: Step | None = None
    for dy, dx in ((0, cells), (cells, 0)):
        ny, nx = field.lux.shape
        if dy >= ny or dx >= nx:
            continue
        here, there = field.lux[: ny - dy, : nx - dx], field.lux[dy:, dx:]
        both = counted[: ny - dy, : nx - dx] & counted[dy:, dx:]
        for k in range(1, cells):
            between = counted[k * (dy > 0) :, k * (dx > 0) :][: ny - dy, : nx - dx]
            both &= between
        mean = (here + there) / 2.0
        with np.errstate(divide="ignore", invalid="ignore"):
            change = np.where(both & (mean > 0.0), np.abs(there - here) / mean / foot, 0.0)
        if change.size == 0:
            continue
        row, column = np.unravel_index(int(np.nanargmax(change)), change.shape)
        share = float(change[row, column])
        if share > 0.0 and (best is None or share > best.per_foot):
            ends = sorted((float(here[row, column]), float(there[row, column])))
            x = float(field.grid.xs[column]) + dx * field.grid.step / 2
            y = float(field.grid.ys[row]) + dy * field.grid.step / 2
            best = Step(share, x, y, *ends)
    return best


def darkest_stand(lighting: Lighting, stands: Sequence[Stand], shares: FloatArray) -> tuple[Stand, float] | None:
    """Return the standing place with the least light on the work plane [lx], and that light."""
    points = lighting.grid.points()[lighting.inside.ravel()]
    if not stands or not len(points):
        return None
    lux = lighting.responses @ shares
    found = []
    for stand in stands:
        square = ((points - (stand.x, stand.y)) ** 2).sum(axis=1)
        found.append((stand, float(lux[int(square.argmin())])))
    return min(found, key=lambda pair: pair[1])
