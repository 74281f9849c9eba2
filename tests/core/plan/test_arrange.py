"""Arrays, lining up, equal spacing and mirror images, against distances worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.catalogue import blank_plan, catalogue
from core.plan import Furniture, Plan, box_corners, standing_place
from core.plan.arrange import ArrangeError, Array, aligned, distributed, in_array, mirrored
from core.plan.clear_space import clear_space
from core.plan.edits import hung, removed
from core.plan.walls import with_outline
from core.plan.whole import what_is_not_whole
from core.units import FOOT
from tests.core.plan.strategies import outlines, plans

L_SHAPE = tuple((x * FOOT, y * FOOT) for x, y in ((0, 0), (20, 0), (20, 8), (12, 8), (12, 16), (0, 16)))


def shop(*places: tuple[float, float], outline=None, turn: float = 0.0) -> Plan:  # type: ignore[no-untyped-def]
    """Return a room of 20 x 16 ft with strips at places in feet."""
    plan = blank_plan("Shop")
    if outline is not None:
        plan = with_outline(plan, outline)
    for x, y in places:
        plan, _ = hung(plan, catalogue()[1], x * FOOT, y * FOOT, rotation_deg=turn)
    return plan


def centres(plan: Plan) -> list[tuple[float, float]]:
    return [(round(f.x / FOOT, 6), round(f.y / FOOT, 6)) for f in plan.fixtures]


def test_an_array_leaves_half_a_spacing_at_the_walls():
    plan, ids = in_array(shop((3, 3)), ["fixture-1"], Array(2, 3))
    third = round(10 / 3, 6)
    assert centres(plan) == [(third, 12), (10, 12), (round(50 / 3, 6), 12), (third, 4), (10, 4), (round(50 / 3, 6), 4)]
    assert ids == tuple(f.id for f in plan.fixtures)
    assert ids[0] == "fixture-1"
    assert what_is_not_whole(plan) is None


def test_an_array_with_margins_begins_there():
    plan, _ = in_array(shop((3, 3)), ["fixture-1"], Array(2, 3, 4 * FOOT, 2.5 * FOOT, 90.0))
    assert centres(plan) == [(4, 13.5), (10, 13.5), (16, 13.5), (4, 2.5), (10, 2.5), (16, 2.5)]
    assert {f.rotation_deg for f in plan.fixtures} == {90.0}


def test_rows_of_an_array_get_switches_of_their_own():
    plan, _ = in_array(shop((3, 3)), ["fixture-1"], Array(2, 3, switching="one a row"))
    assert [f.group for f in plan.fixtures] == ["A", "A", "A", "B", "B", "B"]
    assert [group.letter for group in plan.groups] == ["A", "B"]
    plan, _ = in_array(shop((3, 3)), ["fixture-1"], Array(2, 3, switching="one a column"))
    assert [f.group for f in plan.fixtures] == ["A", "B", "C", "A", "B", "C"]


def test_an_array_keeps_to_its_wing_of_the_room():
    # Between the walls of the left wing, 12 x 16 ft; the right wing's own, 20 x 8 ft, is smaller.
    plan, _ = in_array(shop((3, 12), outline=L_SHAPE), ["fixture-1"], Array(2, 2))
    assert centres(plan) == [(3, 12), (9, 12), (3, 4), (9, 4)]
    plan, _ = in_array(shop((18, 3), outline=L_SHAPE), ["fixture-1"], Array(1, 2))
    assert centres(plan) == [(5, 4), (15, 4)]


def test_what_is_there_already_is_used_first():
    plan, ids = in_array(shop((3, 3), (9, 9)), ["fixture-1", "fixture-2"], Array(1, 3))
    assert ids == ("fixture-1", "fixture-2", "fixture-3")
    assert centres(plan) == [(round(10 / 3, 6), 8), (10, 8), (round(50 / 3, 6), 8)]


@pytest.mark.parametrize(
    ("array", "words"),
    [
        (Array(1, 1), "too few places"),
        (Array(0, 3), "at least one row"),
        (Array(100, 100), "at most"),
        (Array(2, 2, 11 * FOOT), "Twice that distance"),
        (Array(2, 2, 10 * FOOT), "no distance"),
        (Array(30, 1, switching="one a row"), "letters"),
    ],
)
def test_arrays_that_cannot_be(array, words):
    with pytest.raises(ArrangeError, match=words):
        in_array(shop((3, 3), (5, 5)), ["fixture-1", "fixture-2"], array)


def test_an_array_needs_one_model_inside_of_the_room():
    with pytest.raises(ArrangeError, match="Select a fixture"):
        in_array(shop(), [], Array(2, 2))
    with pytest.raises(ArrangeError, match="outside"):
        in_array(shop((30, 3)), ["fixture-1"], Array(2, 2))
    plan, _ = hung(shop((3, 3)), catalogue()[0], FOOT, FOOT)
    with pytest.raises(ArrangeError, match="one model"):
        in_array(plan, ["fixture-1", "fixture-2"], Array(2, 2))


def test_lining_up_by_the_edges_of_the_boxes():
    wide = Furniture("bench-1", "bench", "Wide", 5.0, 2.0, 2.0, 1.0, 0.9)
    turned = Furniture("bench-2", "bench", "Turned", 8.0, 4.0, 2.0, 0.6, 0.9, rotation_deg=90.0)
    plan = replace(shop(), furniture=(wide, turned))
    ids = ["bench-1", "bench-2"]
    assert [item.x for item in aligned(plan, ids, "left").furniture] == [5.0, 4.3]
    assert [item.x for item in aligned(plan, ids, "right").furniture] == pytest.approx([7.3, 8.0])
    assert [item.x for item in aligned(plan, ids, "centre").furniture] == pytest.approx([6.15, 6.15])
    assert [item.y for item in aligned(plan, ids, "bottom").furniture] == pytest.approx([2.0, 2.5])
    assert [item.y for item in aligned(plan, ids, "top").furniture] == pytest.approx([4.5, 4.0])
    assert [item.y for item in aligned(plan, ids, "middle").furniture] == pytest.approx([3.25, 3.25])
    assert aligned(plan, ["bench-1"], "left") is plan


def test_equal_spacing_keeps_the_two_outermost():
    plan = shop((2, 3), (14, 5), (4, 9), (8, 1))
    ids = [f.id for f in plan.fixtures]
    assert centres(distributed(plan, ids, "across")) == [(2, 3), (14, 5), (6, 9), (10, 1)]
    assert [y for _, y in centres(distributed(plan, ids, "up"))] == pytest.approx([11 / 3, 19 / 3, 9, 1], abs=1e-5)
    assert distributed(plan, ids[:2], "across") is plan


def test_a_mirrored_bench_is_the_mirror_image_worker_and_all():
    bench = Furniture("bench-1", "bench", "Bench", 2.0, 3.0, 2.0, 0.7, 0.9, rotation_deg=30.0, worker_side="left")
    plan = replace(shop(), furniture=(bench,))
    middle = 10 * FOOT
    made, ids = mirrored(plan, ["bench-1"], "left to right")
    (there,) = made.furniture
    assert ids == ("bench-1",)
    shown = sorted(box_corners(there.x, there.y, there.width, there.depth, there.rotation_deg))
    image = sorted((2 * middle - x, y) for x, y in box_corners(2.0, 3.0, 2.0, 0.7, 30.0))
    assert [p for c in shown for p in c] == pytest.approx([p for c in image for p in c])
    x, y, _ = standing_place(bench, plan.worker)
    assert standing_place(there, plan.worker)[:2] == pytest.approx((2 * middle - x, y))
    made, _ = mirrored(plan, ["bench-1"], "up and down")
    assert standing_place(made.furniture[0], plan.worker)[:2] == pytest.approx((x, 16 * FOOT - y))


def test_a_mirrored_copy_leaves_the_first_one():
    plan = shop((3, 4))
    made, ids = mirrored(plan, ["fixture-1"], "left to right", copy=True)
    assert centres(made) == [(3, 4), (17, 4)]
    assert ids == ("fixture-2",)


@given(plans(), st.sampled_from(["left to right", "up and down"]))
def test_mirrored_twice_is_as_before(plan, axis):
    ids = [thing.id for thing in (*plan.fixtures, *plan.furniture, *plan.room.keep_outs)]
    once, names = mirrored(plan, ids, axis)
    twice, _ = mirrored(once, names, axis)
    for old, new in zip((*plan.fixtures, *plan.furniture), (*twice.fixtures, *twice.furniture), strict=True):
        assert (new.x, new.y) == pytest.approx((old.x, old.y), abs=1e-7)
        assert (new.rotation_deg - old.rotation_deg + 180) % 360 == pytest.approx(180, abs=1e-7)
    assert [item.worker_side for item in twice.furniture] == [item.worker_side for item in plan.furniture]


@given(outlines(), st.sampled_from([0.0, 30.0]))
def test_clear_space_lies_within_the_room_and_holds_the_point(outline, skew):
    import shapely

    room = shapely.Polygon(outline)
    point = room.representative_point()
    space = clear_space(outline, (point.x, point.y), skew)
    assert space is not None
    corners = [(space.left, space.low), (space.right, space.low), (space.right, space.high), (space.left, space.high)]
    shape = shapely.Polygon([space.to_sheet(*corner) for corner in corners])
    assert room.buffer(1e-5).covers(shape)
    assert shape.buffer(1e-5).covers(point)


def test_clear_space_of_plain_rooms():
    square = ((0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0))
    space = clear_space(square, (1.0, 1.0))
    assert (space.left, space.low, space.right, space.high) == (0.0, 0.0, 4.0, 3.0)
    assert clear_space(square, (9.0, 1.0)) is None
    assert removed(shop((3, 3)), ["fixture-1"]).fixtures == ()
