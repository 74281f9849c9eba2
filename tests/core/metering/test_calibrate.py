"""Calibration and explanations on a small shop: the plan itself, changed, makes the readings."""

from dataclasses import replace

import numpy as np
import pytest

from core.light.engine import LightEngine
from core.metering.calibrate import STEP, _Curve, calibrate, fit_walls, with_light_factor, with_walls
from core.metering.compare import compare, usable
from core.metering.old_light import old_light
from core.metering.pasted import PasteError, read_pasted
from core.metering.predict import predicted_parts, sensor_normal, shares_of
from core.metering.walk import trial, walk_points
from core.plan import Fixture, Furniture
from core.plan.checking import MeterReading
from core.units import LUX_PER_FC, UnitSystem
from tests.core.checks.shops import bench_shop

LEVELS = {"A": 1.0, "B": 1.0}


@pytest.fixture(scope="module")
def engine():
    return LightEngine()


@pytest.fixture(scope="module")
def plan():
    return bench_shop(1.0, Fixture("fixture-2", "strip", 2.25, 2.8, height=2.47, group="B"))


@pytest.fixture(scope="module")
def walk(plan):
    """The walk sheet, and readings where hardly any direct light falls: sensors that look up at walls and ceiling."""
    points = walk_points(plan, LEVELS)
    low = [
        MeterReading(f"low-{n}", x, y, 1.0, tilt, azimuth, (("A", 1.0), ("B", 1.0)))
        for n, (x, y, tilt, azimuth) in enumerate(
            [(0.3, 2.0, 90, 180), (4.2, 2.0, 90, 0), (2.0, 3.4, 90, 90), (1.0, 2.0, 180, 0), (3.5, 2.0, 180, 0)]
        )
    ]
    return [*points, *low]


def read_in(shop, walk, engine, noise=0.0, seed=1):
    lux = (predicted_parts(shop, walk, engine) * shares_of(shop, walk)).sum(axis=1)
    scatter = 1.0 + noise * np.random.default_rng(seed).standard_normal(len(walk))
    return [replace(point, lux=float(value * s)) for point, value, s in zip(walk, lux, scatter, strict=True)]


def test_the_light_factor_is_found_and_applied(plan, walk, engine):
    readings = read_in(with_light_factor(plan, 0.85), walk, engine, 0.03)
    found = calibrate(plan, readings, engine, with_wall=False)
    assert found.comparison.factor.low <= 0.85 <= found.comparison.factor.high
    after = with_light_factor(plan, found.comparison.factor.value)
    again = compare(after, usable(readings), predicted_parts(after, usable(readings), engine))
    assert again.bias == pytest.approx(0.0, abs=1e-3)
    assert "cannot be told apart" in found.words(plan)


def test_the_walls_are_found_where_readings_can_tell(plan, walk, engine):
    shop = with_light_factor(with_walls(plan, 0.35), 0.9)
    found = calibrate(plan, read_in(shop, walk, engine, 0.01), engine)
    assert found.walls.known
    assert found.walls.low <= 0.35 <= found.walls.high
    assert found.walls.high - found.walls.low < 0.2
    assert found.walls.factor == pytest.approx(0.9, rel=0.03)


def test_the_walls_are_refused_where_readings_cannot_tell(plan, walk, engine):
    on_bench = [MeterReading(f"more-{n}", 0.8 + 0.3 * n, 0.35, 0.91, levels=(("A", 1.0),)) for n in range(9)]
    flat = [point for point in walk if point.tilt_deg == 0.0] + on_bench
    found = calibrate(plan, read_in(plan, flat, engine, 0.05), engine)
    assert not found.walls.known
    assert "cannot tell" in found.walls.words


def test_a_line_is_fitted_by_least_squares():
    slope = np.array([0.1, 0.2, 0.4, 0.9, 1.0])
    change, half, a = fit_walls(0.05 - 0.2 * slope, slope)
    assert (change, half, a) == pytest.approx((-0.2, 0.0, 0.05), abs=1e-9)
    assert fit_walls(np.zeros(5), np.ones(5))[1] == np.inf


def test_other_walls_between_the_solved_ones_follow_a_parabola():
    """Closed form of a uniform enclosure, E ~ 1 / (1 - rho) (integrating sphere): within 0.5 % between the nodes."""
    middle, places = 0.5, np.linspace(0.5 - STEP, 0.5 + STEP, 13)
    ends = [np.array([-np.log(1.0 - rho)]) for rho in (middle - STEP, middle, middle + STEP)]
    curve = _Curve(middle - STEP, middle, middle + STEP, *ends)
    assert [curve.at(rho)[0] for rho in places] == pytest.approx(-np.log(1.0 - places), abs=0.005)
    assert curve.at(middle + STEP) == pytest.approx(ends[2])
    assert curve.at(middle - STEP) == pytest.approx(ends[0])
    assert curve.slope(middle)[0] == pytest.approx(1.0 / (1.0 - middle), rel=0.05)


def test_the_walls_interval_holds_the_truth_in_85_to_95_percent():
    """Synthetic: 20 readings with slopes from 0.1 to 1.2, 3 % noise, a true change of -0.1; 200 seeds."""
    held = 0
    for seed in range(200):
        random = np.random.default_rng(seed)
        slope = random.uniform(0.1, 1.2, 20)
        change, half, _ = fit_walls(0.2 - 0.1 * slope + 0.03 * random.standard_normal(20), slope)
        held += abs(change + 0.1) <= half
    assert 0.85 <= held / 200 <= 0.95


def explained(plan, walk, engine, change):
    readings = read_in(plan, walk, engine, 0.01)
    change(readings)
    taken = usable(readings)
    rows = compare(plan, taken, predicted_parts(plan, taken, engine)).rows
    return [row for row in rows if row.is_odd]


def test_a_slip_of_the_decimal_point_is_named(plan, walk, engine):
    def slip(readings):
        readings[3] = replace(readings[3], lux=readings[3].lux / 10.0)

    (row,) = explained(plan, walk, engine, slip)
    assert row.reading.id == walk[3].id
    assert "decimal point" in row.why


def test_a_slip_of_ten_times_is_named_though_the_reading_scatters(plan, walk, engine):
    """9 % off besides: 9 scatters of the others, but no other slip is near."""

    def slip(readings):
        readings[3] = replace(readings[3], lux=readings[3].lux * 9.1)

    (row,) = explained(plan, walk, engine, slip)
    assert "decimal point: a tenth of it fits" in row.why


def test_foot_candles_typed_as_lux_are_named(plan, walk, engine):
    def slip(readings):
        readings[2] = replace(readings[2], lux=readings[2].lux / LUX_PER_FC)

    (row,) = explained(plan, walk, engine, slip)
    assert "foot-candles" in row.why


def test_exchanged_readings_are_named(plan, walk, engine):
    def slip(readings):
        low, high = readings[0], readings[-1]
        readings[0], readings[-1] = replace(low, lux=high.lux), replace(high, lux=low.lux)

    rows = explained(plan, walk, engine, slip)
    assert len(rows) == 2
    assert all("exchanged" in row.why for row in rows)


def test_a_wrong_switch_is_named(plan, walk, engine):
    def slip(readings):
        parts = predicted_parts(plan, [readings[1]], engine)[0]
        readings[1] = replace(readings[1], lux=float(parts[0]))

    (row,) = explained(plan, walk, engine, slip)
    assert "switch setting: with A on" in row.why


def test_the_lights_off_reading_is_subtracted(plan, walk, engine):
    readings = [replace(r, lux=r.lux + 30.0, dark_lux=30.0) for r in read_in(plan, walk, engine)]
    found = compare(plan, usable(readings), predicted_parts(plan, usable(readings), engine))
    assert found.bias == pytest.approx(0.0, abs=1e-6)


def test_readings_that_hold_no_light_are_left_out():
    base = MeterReading("r", 0, 0, levels=(("A", 1.0),))
    off = replace(base, lux=5.0, levels=(("A", 0.0),))
    assert usable([base, replace(base, lux=3.0, dark_lux=4.0), off, replace(base, lux=4.0)]) == [replace(base, lux=4.0)]


def test_sensor_directions():
    assert sensor_normal(MeterReading("r", 0, 0)) == pytest.approx((0, 0, 1))
    assert sensor_normal(MeterReading("r", 0, 0, tilt_deg=90, azimuth_deg=90)) == pytest.approx((0, 1, 0), abs=1e-12)
    assert sensor_normal(MeterReading("r", 0, 0, tilt_deg=180)) == pytest.approx((0, 0, -1), abs=1e-12)


def test_walk_sheet_has_points_on_the_bench_at_the_eye_and_in_the_room(plan):
    points = walk_points(plan, LEVELS, "all on")
    assert [point.id for point in points] == [f"reading-{n}" for n in range(1, len(points) + 1)]
    on_bench = [point for point in points if "on Bench" in point.note]
    assert len(on_bench) == 3
    assert all(point.height == 0.91 for point in on_bench)
    assert sum(point.tilt_deg == 90.0 for point in points) == 1
    assert any(point.note == "in the room" for point in points)
    assert all(point.lux is None and point.combination == "all on" for point in points)


def test_a_trial_expects_what_the_lamp_alone_gives(plan, engine):
    told = trial(plan, "fixture-2", engine)
    parts = predicted_parts(plan, [told.reading], engine)
    assert told.expected == pytest.approx(float(parts[0, 1]), rel=0.01)
    assert "4 ft strip" in told.words
    corrected = with_light_factor(plan, 0.8, models=("strip",))
    assert corrected.model("strip").settings[0].lumens == pytest.approx(4000.0)
    assert corrected.model("bulb") == plan.model("bulb")


@pytest.mark.parametrize(("lux", "dark", "words"), [(5.0, 6.0, "lamp on"), (1.0, 0.0, "unit"), (9e4, 0.0, "unit")])
def test_a_trial_refuses_what_cannot_be_that_lamp(plan, engine, lux, dark, words):
    with pytest.raises(ValueError, match=words):
        trial(plan, "fixture-2", engine).factor(lux, dark)


def test_a_trial_corrects_by_the_net_reading(plan, engine):
    told = trial(plan, "fixture-2", engine)
    assert told.factor(0.9 * told.expected + 20.0, 20.0) == pytest.approx(0.9)


def test_a_lamp_over_a_cabinet_cannot_be_tried(plan, engine):
    cabinet = Furniture("c", "cabinet", "Cabinet", 2.25, 2.8, 1.0, 0.6, 2.0)
    with pytest.raises(ValueError, match="stands under"):
        trial(replace(plan, furniture=(*plan.furniture, cabinet)), "fixture-2", engine)


def test_the_old_light_is_set_beside_the_plan(plan, walk, engine):
    """Old lamps take no part in calibrating; the gain is planned light with everything on over what was read."""
    old = [replace(point, lux=50.0, dark_lux=10.0, lamps="old", levels=()) for point in walk[:3]]
    assert usable(old) == []
    found = old_light(plan, [*old, *walk], engine)
    planned = predicted_parts(plan, walk[:3], engine).sum(axis=1)
    assert [row.times for row in found.rows] == pytest.approx(list(planned / 40.0))
    assert "3 readings" in found.words(plan)
    assert old_light(plan, walk, engine) is None


def test_pasted_tables(plan):
    points = walk_points(plan, LEVELS)
    blank = points[0]
    found = read_pasted("1\t84\n2\t92 fc\t1.5\n3\t910 lx", points, blank, UnitSystem.US)
    assert [r.lux for r in found] == pytest.approx([84 * LUX_PER_FC, 92 * LUX_PER_FC, 910.0])
    assert found[1].dark_lux == pytest.approx(1.5 * LUX_PER_FC)
    assert (found[0].x, found[2].unit) == (points[0].x, "lx")
    headed = "x, y, height, reading\n3' 4\", 2', 36\", 75 fc\n"
    (own,) = read_pasted(headed, points, blank, UnitSystem.US)
    assert (own.x, own.y, own.height) == pytest.approx((1.016, 0.6096, 0.9144))
    assert own.lux == pytest.approx(75 * LUX_PER_FC)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing to read"),
        ("1\tbright", "Line 1"),
        ("99\t80", "no point 99"),
        ("x,y\n1,2", "'reading'"),
        ("1,2,3,4,5", "Line 1"),
        ("point,reading\n1,80\n2,8O", "Line 3"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(plan, text, words):
    points = walk_points(plan, LEVELS)
    with pytest.raises(PasteError, match=words):
        read_pasted(text, points, points[0], UnitSystem.US)
