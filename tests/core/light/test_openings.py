"""Doors, windows and finishes: patches of their own, and the open overhead door that shades and hides."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.plan import Finish, Opening, Plan
from tests.core.light.rooms import all_on, box, hang, rectangle, room_of, strip

LAMP = strip(1.2, 0.15, 4000.0)
DOOR = Opening("door", "overhead door", 0, 1.0, 2.4, 2.1, reflectance=0.6)
BARE = room_of(rectangle(4.4, 5.0), 2.7, 0.8, 0.6, 0.25)


def with_openings(*openings: Opening, plan: Plan = BARE) -> Plan:
    return replace(plan, room=replace(plan.room, openings=openings))


def areas_by_reflectance(plan: Plan) -> dict[float, float]:
    areas: dict[float, float] = {}
    for face in enclose(plan).surfaces:
        areas[face.reflectance] = areas.get(face.reflectance, 0.0) + face.exposed.area
    return areas


def test_doors_and_windows_are_patches_of_their_own() -> None:
    """A door of 0.9 x 2.0 m and a window of 1.2 x 1.0 m take their areas from the wall's."""
    door = Opening("d", "door", 1, 2.0, 0.9, 2.0, reflectance=0.45)
    window = Opening("w", "window", 1, 3.2, 1.2, 1.0, sill=0.9, reflectance=0.1)
    areas = areas_by_reflectance(with_openings(door, window))
    assert areas[0.45] == pytest.approx(1.8)
    assert areas[0.1] == pytest.approx(1.2)
    assert areas[0.6] == pytest.approx(2.7 * 2 * 9.4 - 3.0)


def test_an_opening_lies_where_it_is_measured_from() -> None:
    """``start`` counts from the wall's first corner. Wall 1 runs up the right side: y = 2.0 to 2.9 there."""
    door = Opening("d", "door", 1, 2.0, 0.9, 2.0, reflectance=0.45)
    (face,) = (f for f in enclose(with_openings(door)).surfaces if f.reflectance == 0.45)
    corners = face.to_room(np.array(face.exposed.exterior.coords))
    assert corners.min(axis=0) == pytest.approx([4.4, 2.0, 0.0])
    assert corners.max(axis=0) == pytest.approx([4.4, 2.9, 2.0])
    assert face.normal == pytest.approx([-1.0, 0.0, 0.0])


def test_an_opening_with_the_walls_reflectance_changes_nothing() -> None:
    lamp = (LAMP, 2.2, 2.5, 2.5, 30.0)
    points = [(0.5, 0.5, 0.85), (4.0, 2.4, 0.85), (4.3, 2.4, 1.2)]
    plain = all_on(hang(BARE, lamp), points)
    door = Opening("d", "door", 1, 2.0, 0.9, 2.0, reflectance=0.6)
    assert all_on(hang(with_openings(door), lamp), points) == pytest.approx(plain, rel=3e-3)


def test_a_dark_window_takes_light() -> None:
    """At night nothing comes back: less light beside it than beside a pale wall."""
    lamp = (LAMP, 2.2, 2.5, 2.5, 30.0)
    window = Opening("w", "window", 1, 1.5, 2.0, 1.8, sill=0.4, reflectance=0.05)
    beside = [(4.2, 2.5, 0.85)]
    assert all_on(hang(with_openings(window), lamp), beside)[0] < 0.95 * all_on(hang(BARE, lamp), beside)[0]


def test_each_wall_has_its_own_finish() -> None:
    """Only the left wall is white; a face that looks at it gets more than one that looks at the right wall."""
    room = replace(BARE.room, wall_finishes=(None, Finish("dark", 0.05), None, Finish("white", 0.85)))
    plan = hang(replace(BARE, room=room), (LAMP, 2.2, 2.5, 2.5, 90.0))
    left, right = all_on(plan, [(2.2, 2.5, 1.2)] * 2, [(-1, 0, 0), (1, 0, 0)])
    assert left > 1.2 * right
    assert areas_by_reflectance(plan)[0.85] == pytest.approx(5.0 * 2.7)


def direct_lux(plan: Plan, points: list[tuple[float, float, float]]) -> np.ndarray:
    black = replace(
        plan,
        room=replace(
            plan.room,
            ceiling=Finish("c", 0.0),
            walls=Finish("w", 0.0),
            floor=Finish("f", 0.0),
            openings=tuple(replace(o, reflectance=0.0) for o in plan.room.openings),
        ),
    )
    return all_on(black, points)


def test_an_open_overhead_door_hides_the_fixtures_above_it() -> None:
    """The sheet hangs at 2.1 m over x 1.0 to 3.4, y 0 to 2.1; a strip above it gives the floor below nothing."""
    shut, ajar = with_openings(DOOR), with_openings(replace(DOOR, is_open=True))
    lamp = (LAMP, 2.2, 1.0, 2.6, 0.0)
    below = [(2.2, 1.0, 0.85), (1.5, 0.5, 0.85)]
    assert np.all(direct_lux(hang(shut, lamp), below) > 100.0)
    # An open door lets no light back in but 2 % of what falls on the night outside.
    assert direct_lux(hang(ajar, lamp), below) == pytest.approx([0.0, 0.0], abs=1.0)


def test_an_open_overhead_door_throws_a_shadow() -> None:
    """A strip beside the sheet, 0.45 m above it: by similar triangles the shade begins right below the sheet's edge."""
    shut, ajar = with_openings(DOOR), with_openings(replace(DOOR, is_open=True))
    lamp = (strip(0.02, 0.02, 4000.0), 2.2, 3.0, 2.6, 0.0)
    edge, sheet_top, lamp_y, lamp_z, plane = 2.1, 2.15, 3.0, 2.6, 0.85
    shade = lamp_y - (lamp_y - edge) * (lamp_z - plane) / (lamp_z - sheet_top)
    assert shade == pytest.approx(-0.5)  # behind the door: the far side of the sheet counts
    low_edge = lamp_y - (lamp_y - edge) * (lamp_z - plane) / (lamp_z - 2.1)
    open_points = [(2.2, y, plane) for y in (1.8, 2.5)]
    assert low_edge < 0.0
    assert direct_lux(hang(ajar, lamp), open_points) == pytest.approx(
        direct_lux(hang(shut, lamp), open_points), rel=1e-3
    )
    high = [(2.2, y, 1.9) for y in (0.2, 1.0, 1.6, 1.9, 2.6)]
    lit, dark = direct_lux(hang(shut, lamp), high), direct_lux(hang(ajar, lamp), high)
    border = lamp_y - (lamp_y - edge) * (lamp_z - 1.9) / (lamp_z - 2.1)
    for (_, y, _), bright, left in zip(high, lit, dark, strict=True):
        assert left == pytest.approx(0.0 if y < border - 0.05 else bright, rel=1e-3, abs=1e-2)


def test_hung_heights() -> None:
    """A recessed opening lies 3 mm below the ceiling, a hung one at its drop and body height: inverse square."""
    point = strip(0.0, 0.0, 1000.0, opening="point", mounting="recessed", beam="cosine power", exponent=0.0)
    plan = hang(room_of(rectangle(6.0, 6.0), 3.0, 0.0, 0.0, 0.0), (point, 3.0, 3.0, 1.0, 0.0))
    recessed = replace(plan, fixtures=(replace(plan.fixtures[0], height=None),))
    candela = 1000.0 / (2.0 * np.pi)
    assert all_on(recessed, [(3.0, 3.0, 0.0)])[0] == pytest.approx(candela / 2.997**2, rel=1e-4)
    hung_model = replace(point, mounting="suspended", body_height=0.1)
    hung = replace(recessed, models=(hung_model,), fixtures=(replace(recessed.fixtures[0], drop=1.4),))
    assert all_on(hung, [(3.0, 3.0, 0.0)])[0] == pytest.approx(candela / 1.5**2, rel=1e-4)


def test_an_upward_share_lights_the_ceiling() -> None:
    """Hung 0.8 m below a white ceiling, the same lumens all upward still light the bench, by reflection alone."""
    bare = room_of(rectangle(4.0, 4.0), 2.8, 0.85, 0.7, 0.25)
    lamp = strip(1.2, 0.15, 4000.0, upward_share=1.0)
    plan = hang(bare, (lamp, 2.0, 2.0, 2.0, 0.0))
    black = replace(plan, room=replace(plan.room, ceiling=Finish("c", 0.0), walls=Finish("w", 0.0)))
    ceiling, bench = all_on(plan, [(2.0, 2.0, 2.79), (1.0, 1.0, 0.85)], [(0, 0, -1), (0, 0, 1)])[:2]
    assert ceiling > 5.0 * bench > 100.0
    assert all_on(black, [(1.0, 1.0, 0.85)]) == pytest.approx([0.0], abs=1e-9)


def test_things_standing_in_the_room_for_once() -> None:
    """``extra`` solids block like furniture: a worker between lamp and bench."""
    plan = hang(
        replace(BARE, furniture=(box("b", 2.2, 0.4, 2.0, 0.8, 0.0, 0.9, 0.4, kind="bench"),)),
        (LAMP, 2.2, 2.0, 2.6, 0.0),
    )
    from core.light.enclosure import worker_solid

    engine, point, up = LightEngine(step=0.5), np.array([(2.2, 0.5, 0.9)]), np.array([(0.0, 0.0, 1.0)])
    alone = engine.receive(plan, point, up)
    shaded = engine.receive(plan, point, up, extra=(worker_solid(2.2, 1.03, -90.0, plan),))
    assert shaded < 0.8 * alone
    assert engine.receive(plan, point, up) == pytest.approx(alone, rel=1e-9)
