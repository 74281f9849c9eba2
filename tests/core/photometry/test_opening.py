"""Luminous openings: the tables of LM-63-1995 and -2002 / 2019, as given by open parser libraries."""

import pytest

from core.photometry.lm63 import read_lm63
from core.photometry.opening import LuminousOpening, OpeningShape, read_opening
from tests.core.photometry.samples import lm63_text

S = OpeningShape

BOTH = [
    ((0, 0, 0), S.POINT, (0, 0, 0)),
    ((2, 4, 0), S.RECTANGLE, (2, 4, 0)),
    ((2, 4, 1), S.BOX, (2, 4, 1)),
    ((0, 4, 0), S.LINE, (0, 4, 0)),
]
OLD = [
    ((-3, 0, 0), S.CIRCLE, (3, 3, 0)),
    ((-2, 4, 0), S.ELLIPSE, (2, 4, 0)),
    ((2, -4, 0), S.ELLIPSE, (2, 4, 0)),
    ((-2, 4, 1), S.ELLIPSE, (2, 4, 1)),
    ((-3, 0, 2), S.VERTICAL_CYLINDER, (3, 3, 2)),
    ((-3, 0, -3), S.SPHERE, (3, 3, 3)),
    ((0, 4, -1), S.CYLINDER_ALONG, (1, 4, 1)),
    ((4, 0, -1), S.CYLINDER_ACROSS, (4, 1, 1)),
]
NEW = [
    ((-3, -3, 0), S.CIRCLE, (3, 3, 0)),
    ((-2, -4, 0), S.ELLIPSE, (2, 4, 0)),
    ((-3, -3, 2), S.VERTICAL_CYLINDER, (3, 3, 2)),
    ((-3, -3, -3), S.SPHERE, (3, 3, 3)),
    ((-1, 4, -1), S.CYLINDER_ALONG, (1, 4, 1)),
    ((4, -1, -1), S.CYLINDER_ACROSS, (4, 1, 1)),
    ((-3, 0, -3), S.VERTICAL_DISC, (3, 0, 3)),
]


@pytest.mark.parametrize(("numbers", "shape", "size"), BOTH + OLD)
def test_shapes_of_1995(numbers, shape, size):
    assert read_opening(*numbers, from_2002=False) == (LuminousOpening(shape, *size), "")


@pytest.mark.parametrize(("numbers", "shape", "size"), BOTH + NEW)
def test_shapes_of_2002_and_2019(numbers, shape, size):
    assert read_opening(*numbers, from_2002=True) == (LuminousOpening(shape, *size), "")


@pytest.mark.parametrize(
    ("numbers", "from_2002", "shape", "size"),
    [((-3, 0, 0), True, S.CIRCLE, (3, 3, 0)), ((-3, -3, 0), False, S.CIRCLE, (3, 3, 0))],
)
def test_the_other_editions_manner_is_read_with_a_warning(numbers, from_2002, shape, size):
    opening, warning = read_opening(*numbers, from_2002=from_2002)
    assert opening == LuminousOpening(shape, *size)
    assert "another edition" in warning


@pytest.mark.parametrize("from_2002", [False, True])
def test_unknown_signs_become_a_rectangle_with_a_warning(from_2002):
    opening, warning = read_opening(1.0, 2.0, -3.0, from_2002=from_2002)
    assert opening == LuminousOpening(S.BOX, 1.0, 2.0, 3.0)
    assert "no shape" in warning


@pytest.mark.parametrize(
    ("id_line", "shape"),
    [("IESNA91", S.SPHERE), ("IESNA:LM-63-1995", S.SPHERE), ("IES:LM-63-2019", S.VERTICAL_DISC)],
)
def test_the_id_line_decides(id_line, shape):
    text = lm63_text(heading=f"{id_line}\nTILT=NONE", ten="1 -1 1 {vertical} {horizontal} 1 1 -1 0 -1")
    opening = read_lm63(text).opening
    assert opening.shape is shape
    assert opening.height == pytest.approx(0.3048)
