"""The room as measured: what is needed, what comes out, what cannot be.

That n corners need 2n - 3 distances is Laman's count (G. Laman, J. Eng. Math. 4, 1970); that the measured distances
give the room back is checked against rooms made at random, whose distances are computed here.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from core.ceiling.survey import SurveyError, still_needed, survey
from core.plan.ceiling import CeilingWork, Diagonal, WallLength
from core.plan.outline import outline_problem
from core.units import FOOT, INCH
from tests.core.ceiling.rooms import plan_of, rectangle

ELL = [(0, 0), (20, 0), (20, 8), (12, 8), (12, 14), (0, 14)]
U = [(0, 0), (30, 0), (30, 20), (20, 20), (20, 8), (10, 8), (10, 20), (0, 20)]


def measured(outline, needed) -> CeilingWork:
    """What a tape reads in a room with these corners [ft], for the distances asked for."""
    count = len(outline)
    walls = tuple(WallLength(i, math.dist(outline[i], outline[(i + 1) % count]) * FOOT) for i in range(count))
    diagonals = tuple(
        Diagonal(d.corner, d.other, math.dist(outline[d.corner], outline[d.other]) * FOOT)
        for d in needed
        if not d.is_wall
    )
    return CeilingWork(wall_lengths=walls, diagonals=diagonals)


@pytest.mark.parametrize("outline", [rectangle(24, 20), ELL, U], ids=["rectangle", "L", "U"])
def test_a_room_needs_two_distances_a_corner_less_three(outline) -> None:
    needed = still_needed(plan_of(outline).room, ())
    assert len(needed) == 2 * len(outline) - 3
    assert sum(d.is_wall for d in needed) == len(outline)


def test_diagonals_asked_for_lie_inside_the_room() -> None:
    # In the U the straight line between the tips of the two arms runs through the yard.
    needed = still_needed(plan_of(U).room, ())
    assert all((d.corner, d.other) not in {(2, 7), (2, 6), (3, 6), (3, 7)} for d in needed)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([rectangle(24, 20), ELL, U]),
    st.lists(st.tuples(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4)), min_size=8, max_size=8),
)
def test_walls_and_the_diagonals_asked_for_give_the_real_room_back(outline, errors) -> None:
    real = [(x + dx, y + dy) for (x, y), (dx, dy) in zip(outline, errors, strict=False)]
    assume(outline_problem(real) is None)
    plan = plan_of(outline)
    work = measured(real, still_needed(plan.room, ()))
    found = survey(replace(plan, ceiling=work))
    assert found.is_certain
    for i in range(len(real)):
        for j in range(i):
            got, wanted = math.dist(found.outline[i], found.outline[j]), math.dist(real[i], real[j]) * FOOT
            assert got == pytest.approx(wanted, abs=1e-6)
    # The first corner stays, and the first wall keeps its direction.
    assert found.outline[0] == pytest.approx(plan.room.outline[0], abs=1e-9)
    assert found.outline[1][1] == pytest.approx(0.0, abs=1e-9)


def test_walls_alone_leave_a_diagonal_to_be_measured() -> None:
    plan = plan_of(rectangle(24, 20))
    found = survey(replace(plan, ceiling=measured(rectangle(24, 20), ())))
    assert [d.text() for d in found.needed] == ["the diagonal from corner 1 to corner 3"]
    assert not found.is_certain
    assert found.moves == pytest.approx((0, 0, 0, 0), abs=1e-9)


def test_nothing_measured_leaves_the_drawing() -> None:
    plan = plan_of(ELL)
    found = survey(plan)
    assert found.outline == plan.room.outline
    assert not found.is_certain


def test_a_diagonal_longer_than_two_walls_is_refused() -> None:
    plan = plan_of(rectangle(24, 20))
    work = measured(rectangle(24, 20), ())
    with pytest.raises(SurveyError, match="diagonal from corner 1 to corner 3"):
        survey(replace(plan, ceiling=replace(work, diagonals=(Diagonal(0, 2, 50 * FOOT),))))


def test_a_misread_foot_is_asked_about_and_a_bad_second_diagonal_is_told() -> None:
    plan = plan_of(rectangle(24, 20))
    work = measured(rectangle(24, 20), ())
    longer = (*work.wall_lengths[:3], WallLength(3, 21 * FOOT))
    slip = survey(replace(plan, ceiling=replace(work, wall_lengths=longer)))
    assert any("corner 4 to corner 1" in text and "read the tape again" in text for text in slip.remarks)
    both = (Diagonal(0, 2, math.hypot(24, 20) * FOOT), Diagonal(1, 3, math.hypot(24, 20) * FOOT + 2 * INCH))
    assert any("disagree" in text for text in survey(replace(plan, ceiling=replace(work, diagonals=both))).remarks)
    good = tuple(replace(d, length=math.hypot(24, 20) * FOOT) for d in both)
    assert survey(replace(plan, ceiling=replace(work, diagonals=good))).remarks == ()


def test_measurements_of_walls_that_are_gone_are_passed_over() -> None:
    plan = plan_of(rectangle(24, 20))
    stale = CeilingWork(wall_lengths=(WallLength(9, 3.0),), diagonals=(Diagonal(0, 8, 3.0), Diagonal(0, 1, 3.0)))
    assert survey(replace(plan, ceiling=stale)).measured == 0
