"""Two sheets worked out by hand, one of them in a room that is out of square.

Room 1, 24 x 20 ft, square. Walls A (front) and B (left) are the plan's axes, so the distances are the coordinates.
Boxes at (6, 5), (12, 5), (18, 5), (6, 15) and (18 ft, 15 ft 2 3/8 in). By Pythagoras, in inches:
(6, 5) to (12, 5): 72. (6, 15) to (18, 15 ft 2 3/8 in): sqrt(144^2 + 2.375^2) = 144.0196, on the tape 12'.

Room 2, walls 24, 20, 24, 20 ft as before, but the diagonal from corner 1 to corner 3 was measured one inch longer than
sqrt(24^2 + 20^2) = 31.2410 ft, that is 374.8920 + 1 = 375.8920 in. Law of cosines in the triangle of corners 1, 2, 3:
cos(angle at 2) = (288^2 + 240^2 - 375.8920^2) / (2 * 288 * 240) = (82944 + 57600 - 141294.78) / 138240 = -0.0054310,
so the angle at corner 2 is 90.3112 degrees: 0.31 degrees out of square, as the note on squaring says for this room.
Corner 3 = (288 + 240 * 0.0054310, 240 * sqrt(1 - 0.0054310^2)) = (289.3034, 239.9965) in. The room is a
parallelogram, so corner 4 = corner 3 - (288, 0) = (1.3034, 239.9965). Wall B (left) leans right by 1.3034 in over
239.9965, so a point (x, y) lies (x * 239.9965 - y * 1.3034) / 240 from it. Box at (6 ft, 5 ft) = (72, 60) in:
(72 * 239.9965 - 60 * 1.3034) / 240 = 71.6731 in from B: 5' 11 11/16" on the tape (11.6731 = 11 10.77/16).
Box at (12, 15 ft): (144 * 239.9965 - 180 * 1.3034) / 240 = 143.0203 in: 11' 11". Distances from A stay 60 and 180 in.
"""

from __future__ import annotations

import csv
import io
import math
from itertools import pairwise

import pytest

from core.ceiling import box_centres_text, ceiling_sheet, chalk_lines, off_lines
from core.plan.ceiling import CeilingWork, Diagonal, WallLength
from core.units import FOOT, INCH
from tests.core.ceiling.rooms import plan_of, rectangle

ROOM = rectangle(24, 20)
WALLS = (0, 3)  # front and left


def _tapes(sheet) -> dict[str, tuple[str, str]]:
    return {row.mark: (sheet.tape(row.from_a), sheet.tape(row.from_b)) for row in sheet.rows}


def test_square_room_by_hand() -> None:
    last = (18.0, 15 + 2.375 / 12)
    plan = plan_of(ROOM, [(6, 5), (12, 5), (18, 5), (6, 15), last])
    sheet = ceiling_sheet(plan, WALLS)
    assert _tapes(sheet) == {
        "A1": ("5'", "6'"),
        "A2": ("5'", "12'"),
        "A3": ("5'", "18'"),
        "A4": ("15'", "6'"),
        "A5": ("15' 2 3/8\"", "18'"),
    }
    first, fourth = sheet.row("A1"), sheet.row("A4")
    assert (first.next_mark, first.to_next / INCH) == ("A2", pytest.approx(72.0))
    assert (fourth.next_mark, fourth.to_next / INCH) == ("A5", pytest.approx(144.0196, abs=1e-4))
    assert sheet.tape(fourth.to_next) == "12'"
    lines = chalk_lines(sheet)
    assert [(line.name, sheet.tape(line.distance), [m for m, _ in line.stops]) for line in lines] == [
        ("A-1", "5'", ["A1", "A2", "A3"]),
        ("B-1", "6'", ["A1", "A4"]),
        ("B-2", "18'", ["A3", "A5"]),
    ]
    assert off_lines(sheet, lines) == ()


def test_out_of_square_room_by_hand() -> None:
    measured = CeilingWork(
        wall_lengths=tuple(WallLength(i, ft * FOOT) for i, ft in enumerate((24, 20, 24, 20))),
        diagonals=(Diagonal(0, 2, 375.8920 * INCH),),
    )
    sheet = ceiling_sheet(plan_of(ROOM, [(6, 5), (12, 15)], ceiling=measured), WALLS)
    corners = [(x / INCH, y / INCH) for x, y in sheet.survey.outline]
    assert corners[2] == pytest.approx((289.3034, 239.9965), abs=5e-4)
    assert corners[3] == pytest.approx((1.3034, 239.9965), abs=5e-4)
    assert sheet.survey.is_certain
    assert sheet.reference.angle_deg == pytest.approx(180 - 90.3112, abs=1e-3)
    assert _tapes(sheet) == {"A1": ("5'", "5' 11 11/16\""), "A2": ("15'", "11' 11\"")}


def test_the_check_across_is_to_another_mark_than_the_next() -> None:
    # In order: (5 | 6), (6 | 8), (15 | 16) ft from A | B. For the first the second is next and would show a slip best
    # (1 and 2 ft of 2.24 ft), so the third checks it: 10 and 10 ft.
    sheet = ceiling_sheet(plan_of(ROOM, [(6, 5), (8, 6), (16, 15)]), WALLS)
    first = sheet.row("A1")
    assert (first.next_mark, first.partner) == ("A2", "A3")
    assert first.to_partner / FOOT == pytest.approx(math.sqrt(200))
    # With two boxes there is no other.
    pair = ceiling_sheet(plan_of(ROOM, [(6, 5), (8, 6)]), WALLS)
    assert [(row.next_mark, row.partner) for row in pair.rows] == [("A2", "A2"), (None, "A1")]


def test_rows_square_to_a_are_lines_too_where_b_leans() -> None:
    measured = CeilingWork(
        wall_lengths=tuple(WallLength(i, ft * FOOT) for i, ft in enumerate((24, 20, 24, 20))),
        diagonals=(Diagonal(0, 2, 375.8920 * INCH),),
    )
    # Drawn as two rows of two: 6 and 18 ft from the left, 5 and 15 ft from the front. Wall B leans by 1.3 in over
    # 20 ft, so the left row is 71.67 in from B in front and 71.02 in at the back: on no line along B.
    sheet = ceiling_sheet(plan_of(ROOM, [(6, 5), (18, 5), (6, 15), (18, 15)], ceiling=measured), WALLS)
    lines = chalk_lines(sheet)
    assert [(line.name, line.along, [mark for mark, _ in line.stops]) for line in lines] == [
        ("A-1", "A", ["A1", "A2"]),
        ("A-2", "A", ["A3", "A4"]),
        ("S-1", "square to A", ["A1", "A3"]),
        ("S-2", "square to A", ["A2", "A4"]),
    ]
    assert off_lines(sheet, lines) == ()


def test_metric_sheet_rounds_to_the_millimetre() -> None:
    sheet = ceiling_sheet(plan_of(ROOM, [(6, 5)], units="metric"), WALLS)
    assert _tapes(sheet) == {"A1": ("1.524 m", "1.829 m")}
    assert sheet.row("A1").from_b == pytest.approx(1.829)


def test_the_file_agrees_with_the_sheet() -> None:
    plan = plan_of(ROOM, [(6, 5), (12.0123, 5.4), (18, 15)])
    rows = list(csv.DictReader(io.StringIO(box_centres_text(ceiling_sheet(plan, WALLS)))))
    assert [row["fixture"] for row in rows] == ["f1", "f2", "f3"]
    first = "fixture, point, wall_a, from_a_in, from_a_tape, wall_b, from_b_in, from_b_tape, joist, box, note"
    assert ", ".join(list(rows[0])[:11]) == first
    # Distances recomputed from the printed coordinates: walls at right angles, so Pythagoras.
    for row, after in pairwise(rows):
        steps = [float(after[name]) - float(row[name]) for name in ("from_a_in", "from_b_in")]
        assert float(row["to_next_in"]) == pytest.approx(math.hypot(*steps), abs=1e-3)
    for row in rows:
        assert float(row["from_a_in"]) * 16 == pytest.approx(round(float(row["from_a_in"]) * 16), abs=1e-6)
        assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in row.values())
