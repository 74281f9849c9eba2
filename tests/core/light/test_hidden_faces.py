"""Touching things: hidden faces stay dark and send no light, and how a thing is built from boxes changes nothing."""

from __future__ import annotations

import numpy as np
import pytest

from core.light.enclosure import enclose
from core.plan import Furniture, Plan
from tests.core.light.rooms import all_on, box, hang, rectangle, room_of, strip

LAMPS = ((strip(1.2, 0.15, 4000.0), 1.5, 1.4, 2.4, 15.0), (strip(1.2, 0.15, 4000.0), 3.0, 2.2, 2.4, 90.0))
POINTS = [(0.8, 0.3, 0.91), (2.0, 0.6, 0.91), (2.9, 0.2, 0.85), (2.4, 2.0, 0.85), (4.1, 1.0, 0.85), (1.5, 1.0, 0.85)]


def shop(*furniture: Furniture) -> Plan:
    return hang(room_of(rectangle(4.4, 3.4), 2.6, 0.8, 0.6, 0.25, furniture), *LAMPS)


def exposed(plan: Plan) -> dict[str, float]:
    """Exposed area of each surface [m2]."""
    areas: dict[str, float] = {}
    for face in enclose(plan).surfaces:
        areas[face.name] = areas.get(face.name, 0.0) + face.exposed.area
    return areas


def test_a_box_in_the_open_shows_all_but_its_underside() -> None:
    areas = exposed(shop(box("a", 2.0, 2.0, 1.0, 0.6, 0.0, 0.9, 0.5, rotation_deg=30.0)))
    assert areas["a underside"] == 0.0
    assert areas["a top"] == pytest.approx(0.6)
    assert sum(areas[f"a side {n}"] for n in range(4)) == pytest.approx(2 * 0.9 * 1.6)
    assert areas["floor"] == pytest.approx(4.4 * 3.4 - 0.6)


def test_a_floating_box_shows_all_of_itself() -> None:
    areas = exposed(shop(box("a", 2.0, 2.0, 1.0, 0.6, 0.5, 0.9, 0.5)))
    assert areas["a underside"] == pytest.approx(0.6)
    assert areas["floor"] == pytest.approx(4.4 * 3.4)


def test_a_box_against_a_wall_hides_its_back_and_the_wall() -> None:
    areas = exposed(shop(box("a", 2.0, 0.3, 1.0, 0.6, 0.0, 0.9, 0.5)))
    assert areas["a side 0"] == 0.0
    assert areas["wall 0"] == pytest.approx(4.4 * 2.6 - 0.9)


def test_a_box_less_than_a_millimetre_from_a_wall_touches_it() -> None:
    areas = exposed(shop(box("a", 2.0, 0.3005, 1.0, 0.6, 0.0, 0.9, 0.5)))
    assert areas["a side 0"] == 0.0
    assert areas["wall 0"] == pytest.approx(4.4 * 2.6 - 0.9)


def test_a_box_in_a_corner_up_to_the_ceiling() -> None:
    areas = exposed(shop(box("a", 0.5, 0.3, 1.0, 0.6, 0.0, 2.6, 0.5)))
    assert [areas[f"a side {n}"] for n in range(4)] == pytest.approx([0.0, 0.6 * 2.6, 1.0 * 2.6, 0.0])
    assert areas["a top"] == 0.0
    assert areas["ceiling"] == pytest.approx(4.4 * 3.4 - 0.6)


def test_boxes_that_touch_hide_what_they_share() -> None:
    """A low box against a tall one: the tall one's side shows only above it."""
    areas = exposed(shop(box("a", 2.0, 1.0, 1.0, 0.6, 0.0, 0.9, 0.5), box("b", 2.8, 1.0, 0.6, 0.8, 0.0, 1.5, 0.5)))
    assert areas["a side 1"] == 0.0
    assert areas["b side 3"] == pytest.approx(0.8 * 1.5 - 0.6 * 0.9)


def test_a_box_on_a_bench() -> None:
    areas = exposed(shop(box("a", 2.0, 1.0, 1.0, 0.6, 0.8, 0.9, 0.5), box("b", 2.4, 1.0, 0.4, 0.4, 0.9, 1.2, 0.5)))
    assert areas["b underside"] == pytest.approx(0.1 * 0.4)
    assert areas["a top"] == pytest.approx(0.6 - 0.3 * 0.4)


def test_one_box_or_two_halves() -> None:
    """A cabinet, and the same cabinet built of two touching boxes: the same light within the program's own error."""
    one = all_on(shop(box("a", 2.0, 0.3, 1.6, 0.6, 0.0, 0.9, 0.5)), POINTS[2:])
    two = all_on(
        shop(box("a", 1.5, 0.3, 0.6, 0.6, 0.0, 0.9, 0.5), box("b", 2.3, 0.3, 1.0, 0.6, 0.0, 0.9, 0.5)), POINTS[2:]
    )
    assert two == pytest.approx(one, rel=3e-3)


ON_FLOOR = box("a", 1.4, 0.35, 1.6, 0.7, 0.0, 0.9, 0.5)


def test_one_box_or_a_stack() -> None:
    one = all_on(shop(ON_FLOOR), POINTS)
    two = all_on(
        shop(box("a", 1.4, 0.35, 1.6, 0.7, 0.0, 0.4, 0.5), box("b", 1.4, 0.35, 1.6, 0.7, 0.4, 0.9, 0.5)), POINTS
    )
    assert two == pytest.approx(one, rel=3e-3)


def test_a_box_inside_another_is_not_there() -> None:
    one = all_on(shop(ON_FLOOR), POINTS)
    two = all_on(
        shop(box("a", 1.4, 0.35, 1.6, 0.7, 0.0, 0.9, 0.5), box("b", 1.4, 0.3, 0.8, 0.3, 0.1, 0.6, 0.9)), POINTS
    )
    assert two == pytest.approx(one, rel=1e-4)


@pytest.mark.parametrize("thick", [0.3, 0.1, 0.02])
def test_a_partition_from_wall_to_wall_shuts_the_light_out(thick: float) -> None:
    """Floor to ceiling, wall to wall: not a lumen gets past it, however thin it is and white on the other side."""
    wall = box("partition", 3.55, 1.7, thick, 3.4, 0.0, 2.6, 0.9)
    plan = hang(room_of(rectangle(4.4, 3.4), 2.6, 0.9, 0.9, 0.9, (wall,)), LAMPS[0])
    found = all_on(plan, [(4.0, 0.5, 0.85), (4.0, 3.0, 2.0), (3.4, 1.0, 0.85)])
    assert found[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert found[2] > 100.0


def test_a_black_box_takes_light_and_a_white_one_gives_it_back() -> None:
    black, white = (all_on(shop(box("a", 2.9, 1.2, 0.8, 0.8, 0.0, 1.6, rho)), POINTS) for rho in (0.0, 0.9))
    assert np.all(white > black)
