"""What was measured or marked at a wall, a corner or a thing follows it, and goes with it."""

from __future__ import annotations

from dataclasses import replace

from core.plan import Furniture, edits
from core.plan.ceiling import AsBuilt, CeilingWork, Diagonal, WallLength
from core.plan.wiring import Appliance, Circuit, Nameplate, Staged, SwitchBox, Wiring
from tests.core.plan.test_edits import STRIP
from tests.core.plan.test_walls import PLAN

OUTLINE = PLAN.room.outline


def measured():
    """A 6 x 4 m room: walls and one diagonal as measured, one box as built from walls 0 and 3."""
    ceiling = CeilingWork(
        reference_walls=(0, 3),
        wall_lengths=(WallLength(0, 6.01), WallLength(1, 4.02), WallLength(3, 4.0)),
        diagonals=(Diagonal(0, 2, 7.2),),
        as_built=(AsBuilt("fixture-1", 0, 3, 1.0, 1.0),),
    )
    return replace(PLAN, ceiling=ceiling, wiring=Wiring(wall_access=("open framing", None, None, "closed")))


def lengths(plan):
    """Measured lengths by the wall's first corner."""
    return {plan.room.outline[known.wall]: known.length for known in plan.ceiling.wall_lengths}


def diagonal(plan):
    (known,) = plan.ceiling.diagonals
    return {plan.room.outline[known.corner], plan.room.outline[known.other]}


def test_an_outline_begun_elsewhere_keeps_the_measurements_where_they_were():
    plan = edits.with_outline(measured(), OUTLINE[2:] + OUTLINE[:2])
    assert lengths(plan) == lengths(measured())
    assert diagonal(plan) == diagonal(measured())
    assert plan.ceiling.reference_walls == (2, 1)
    assert (plan.ceiling.as_built[0].wall_a, plan.ceiling.as_built[0].wall_b) == (2, 1)
    assert plan.wiring.wall_access == (None, "closed", "open framing", None)


def test_a_moved_corner_changes_no_number():
    plan = edits.with_corner(measured(), 1, (6.1, 0.0))
    assert plan.ceiling == measured().ceiling
    assert edits.with_wall_shifted(measured(), 0, 0.1).ceiling == measured().ceiling


def test_a_corner_inserted_and_removed_again():
    plan = edits.with_corner_inserted(measured(), 1, (6.5, 2.0))
    assert lengths(plan) == {OUTLINE[0]: 6.01, OUTLINE[3]: 4.0}
    assert diagonal(plan) == diagonal(measured())
    assert plan.ceiling.reference_walls == (0, 4)
    assert plan.wiring.wall_access == ("open framing", None, None, None, "closed")
    back = edits.without_corner(plan, 2)
    assert lengths(back) == {OUTLINE[0]: 6.01, OUTLINE[3]: 4.0}
    assert back.ceiling.reference_walls == (0, 3)


def test_what_was_measured_from_a_wall_that_is_gone_goes_with_it():
    plan = edits.without_corner(measured(), 0)
    assert plan.ceiling.reference_walls is None
    assert plan.ceiling.as_built == ()
    assert plan.ceiling.diagonals == ()
    assert lengths(plan) == {OUTLINE[1]: 4.02}


def test_a_room_turned_inside_out_keeps_its_diagonal():
    room = replace(measured().room, outline=((0.0, 0.0), (6.0, 0.0), (3.0, 2.0)), openings=(), wall_finishes=())
    plan = replace(measured(), room=room, ceiling=CeilingWork(wall_lengths=(WallLength(1, 3.6),)))
    plan = edits.with_corner(plan, 2, (3.0, -2.0))
    (known,) = plan.ceiling.wall_lengths
    assert set(plan.room.wall(known.wall)) == {(6.0, 0.0), (3.0, -2.0)}


def test_another_number_of_corners_keeps_what_belongs_to_walls_that_stayed():
    ell = ((0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (3.0, 2.0), (3.0, 4.0), (0.0, 4.0))
    plan = edits.with_outline(measured(), ell)
    assert lengths(plan) == {(0.0, 0.0): 6.01, (0.0, 4.0): 4.0}
    assert plan.ceiling.reference_walls == (0, 5)
    assert plan.ceiling.diagonals == ()


def test_nothing_speaks_of_a_thing_that_is_gone():
    plan = replace(PLAN, models=(STRIP,), ceiling=measured().ceiling)
    plan, one = edits.hung(plan, "strip-4", 1.0, 1.0)
    plan, two = edits.hung(plan, "strip-4", 3.0, 1.0)
    plan = edits.added(plan, Furniture("machine-1", "machine", "Saw", 3, 3, 1, 1, 1))
    stages = (Staged("fixture", one, "done"), Staged("cable", f"{two} > {one}", "done"), Staged("fixture", two, "done"))
    loads = (Appliance("Saw", 9.0, "machine-1"), Appliance("Fan", 1.0))
    wiring = Wiring(
        circuits=(Circuit("circuit-1", "Lights", others=loads),),
        switch_boxes=(SwitchBox("box-1", 0.0, 1.0, ("A",), opening="door-1"),),
        stages=stages,
        nameplates=(Nameplate("strip-4", 0.4),),
    )
    plan = replace(plan, wiring=wiring)
    after = edits.removed(plan, [one, "machine-1", "door-1"])
    assert after.ceiling.as_built == ()
    assert after.wiring.stages == (Staged("fixture", two, "done"),)
    assert after.wiring.circuits[0].others == (Appliance("Fan", 1.0),)
    assert after.wiring.switch_boxes[0].opening == ""
    assert edits.removed(plan, ["strip-4"]).wiring.stages == ()
    assert edits.removed(plan, ["strip-4"]).wiring.nameplates == ()
    assert edits.fresh_id(after, "fixture") == one


def test_a_wall_number_out_of_range_does_no_harm():
    ceiling = CeilingWork(wall_lengths=(WallLength(17, 1.0),), diagonals=(Diagonal(1, 17, 1.0),))
    plan = edits.with_corner_inserted(replace(PLAN, ceiling=ceiling), 0, (3.0, 0.0))
    assert plan.ceiling.wall_lengths == plan.ceiling.diagonals == ()
