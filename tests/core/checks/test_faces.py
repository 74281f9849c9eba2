"""Faces, surfaces and evenness where there is a closed form."""

import math
from dataclasses import replace

import numpy as np
import pytest

from core.checks.contrast import surface_points
from core.checks.evenness import steepest_step, surround
from core.checks.faces import FaceLight, face_receivers
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.field import Field, Figures
from core.light.grid import Grid
from core.plan import Fixture, Furniture, Plan
from tests.core.checks.shops import lamp, room


def lit(reflectance: float, lumens: float, x: float, y: float, z: float) -> Plan:
    bulb = lamp(lumens)
    return Plan("cube", room(reflectance=reflectance), models=(bulb,), fixtures=(Fixture("f", "bulb", x, y, height=z),))


@pytest.fixture(scope="module")
def engine():
    """One engine for all: what it knows of a room it works out once; no work plane is read here."""
    return LightEngine(step=1.0)


def at_face(engine: LightEngine, plan: Plan, place: tuple[float, float, float], facing: float) -> FaceLight:
    lux = engine.receive(plan, *face_receivers(np.array(place), facing))
    return FaceLight(lux[:-1], lux[-1])


def test_cylindrical_illuminance_of_a_point_source(engine):
    """I sin(theta) / (pi d^2): 1000 cd, 2 m above and 2 m aside give 28.1349 lx (computed two ways)."""
    face = at_face(engine, lit(0.0, 4000.0 * math.pi, 1.0, 2.0, 3.0), (3.0, 2.0, 1.0), 90.0)
    assert face.cylindrical(np.ones(1)) == pytest.approx(28.1349, rel=0.002)
    assert face.level[0] == pytest.approx(1000.0 * math.cos(math.pi / 4) / 8.0, rel=1e-3)
    assert face.modelling(np.ones(1)) == pytest.approx(28.1349 / 88.3883, rel=0.003)


@pytest.mark.parametrize("alpha", [0.0, 60.0, 120.0, 180.0])
def test_semicylindrical_illuminance_of_a_point_source(engine, alpha):
    """I (1 + cos(alpha)) sin(theta) / (pi d^2), alpha between the facing direction and the source (EN 13201-3)."""
    face = at_face(engine, lit(0.0, 4000.0 * math.pi, 1.0, 2.0, 3.0), (3.0, 2.0, 1.0), 180.0 + alpha)
    expected = 28.1349 * (1.0 + math.cos(math.radians(alpha)))
    assert face.semicylindrical(np.ones(1)) == pytest.approx(expected, rel=0.01, abs=0.4)


def test_ceiling_and_walls_of_a_grey_cube(engine):
    """Uniform enclosure: each face of a cube lit from its middle has the mean Phi / (A (1 - rho)), 208.33 lx."""
    plan = lit(0.5, 10_000.0, 2.0, 2.0, 2.0)
    for kind in ("ceiling", "wall"):
        points, normals, weights, reflectance = surface_points(enclose(plan), kind)
        lux = engine.receive(plan, points, normals)[:, 0]
        assert weights.sum() == pytest.approx(1.0)
        assert set(reflectance) == {0.5}
        assert float(weights @ lux) == pytest.approx(208.33, rel=0.02)


def ramp(per_metre: float) -> Field:
    grid = Grid(0.0, 0.0, 0.1524, 30, 20)
    lux = 500.0 + per_metre * np.tile(grid.xs, (20, 1))
    return Field(grid, lux, Figures(0, 0, 0, 0), {})


def test_gradient_of_a_ramp():
    """500 + 100 x [lx] changes by 30.48 lx a foot; the share is largest at the dark end."""
    step = steepest_step(ramp(100.0), np.ones((20, 30), dtype=bool))
    low = 500.0 + 100.0 * 0.1524 / 2
    assert step.per_foot == pytest.approx(30.48 / (low + 15.24), rel=1e-9)
    assert step.low == pytest.approx(low)
    assert step.x == pytest.approx(1.5 * 0.1524)


def test_a_step_is_found_where_it_is_and_not_outside_what_counts():
    field = ramp(0.0)
    lux = field.lux.copy()
    lux[:, 17:] = 100.0
    field = replace(field, lux=lux)
    counted = np.ones((20, 30), dtype=bool)
    step = steepest_step(field, counted)
    assert abs(step.x - 17 * 0.1524) < 0.16
    assert (step.low, step.high) == (100.0, 500.0)
    counted[:, 14:] = False
    assert steepest_step(field, counted) is None


def test_the_surround_leaves_out_what_does_not_count(engine):
    """A bench 0.3 m off a wall: the slot behind it is in the band of 0.5 m, but nearer to the wall than what counts."""
    plan = lit(0.5, 10_000.0, 2.0, 2.0, 3.0)
    bench = Furniture("b", "bench", "Bench", 2.0, 0.65, 1.5, 0.7, 0.9)
    light = LightEngine(step=0.25).solve(replace(plan, furniture=(bench,)), quick=True)
    found = surround(light, bench, np.ones(1))
    points = light.grid.points()[light.inside.ravel()]
    lux = light.responses @ np.ones(1)
    slot = (points[:, 1] < 0.3) & (np.abs(points[:, 0] - 2.0) < 0.7)
    assert lux[slot].min() < found.minimum
    assert found.maximum > found.average > found.minimum > 0.0
