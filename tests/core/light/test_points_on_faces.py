"""Points of the work plane that lie exactly on the side of something tall: they do not count."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.receivers import plane_points
from core.plan import box_corners
from tests.core.light.rooms import box, hang, rectangle, room_of, strip

# Cells of 0.2 m have their centres at odd tenths of a metre; the box's sides lie at 1.1 and 2.1 m, 1.5 and 2.3 m.
BOX = box("cabinet", 1.6, 1.9, 1.0, 0.8, 0.0, 1.8, 0.5)
PLAN = room_of(rectangle(4.0, 4.0), 2.6, 0.8, 0.5, 0.3, (BOX,))


def test_no_point_on_a_face_counts() -> None:
    plane = plane_points(PLAN, enclose(PLAN), 0.2)
    shape = shapely.Polygon(box_corners(BOX.x, BOX.y, BOX.width, BOX.depth, BOX.rotation_deg))
    away = shapely.distance(shape, shapely.points(plane.points[:, :2]))
    assert away.min() > 0.05
    # The next row out is still there: only points in the box and on its sides went, 6 x 5 of them.
    assert np.sum(away < 0.21) > 0
    assert plane.grid.nx * plane.grid.ny - len(plane.points) == 30


def test_the_darkest_point_is_as_bright_as_the_light_a_little_farther_from_the_box() -> None:
    """Light is continuous before a face: 1 cm off it is no fifth brighter than at the darkest point that counts."""
    plan = hang(PLAN, (strip(1.2, 0.15, 4000.0), 2.0, 2.0, 2.6, 0.0), (strip(1.2, 0.15, 4000.0), 3.2, 2.0, 2.6, 0.0))
    engine = LightEngine(step=0.2)
    lighting = engine.solve(plan)
    light = lighting.responses.sum(axis=1)
    points = lighting.grid.points()[lighting.inside.ravel()]
    darkest = int(np.where(lighting.counted[lighting.inside], light, np.inf).argmin())
    x, y = points[darkest]
    around = np.array([(x + dx, y + dy, plan.work_plane) for dx in (-0.01, 0.01) for dy in (-0.01, 0.01)])
    near = engine.receive(plan, around, np.tile([0.0, 0.0, 1.0], (4, 1))).sum(axis=1)
    assert near == pytest.approx(np.full(4, light[darkest]), rel=0.2)
