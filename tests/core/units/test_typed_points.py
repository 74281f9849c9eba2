"""Positions typed while drawing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.units import FOOT, UnitError, UnitSystem, parse_point


@pytest.mark.parametrize(
    ("text", "right_ft", "up_ft", "relative"),
    [
        ("3' by 4'", 3, 4, True),
        ("3'; 4'", 3, 4, True),
        ("3;4", 3, 4, True),
        ("3 BY 4", 3, 4, True),
        ("-3' 6\" by 0", -3.5, 0, True),
        ("(10' - 2') / 2 ; 12' 6 - 6\"", 4, 12, True),
        ("to 3' by 4'", 3, 4, False),
        ("To 3'; -4'", 3, -4, False),
        ("12' at 0", 12, 0, True),
        ("12' at 90°", 0, 12, True),
        ("12' at 180 deg", -12, 0, True),
        ("12' at -90", 0, -12, True),
        ("12' at 450", 0, 12, True),
        ("10' at 45°", 10 * math.sqrt(0.5), 10 * math.sqrt(0.5), True),
        ("10' at 150", -10 * math.sqrt(0.75), 5, True),
    ],
)
def test_positions(text: str, right_ft: float, up_ft: float, relative: bool) -> None:
    point = parse_point(text)
    assert point.x == pytest.approx(right_ft * FOOT, abs=1e-9)
    assert point.y == pytest.approx(up_ft * FOOT, abs=1e-9)
    assert point.relative is relative


def test_square_directions_are_exact() -> None:
    assert parse_point("12' at 90") == (0.0, 3.6576, True)
    assert parse_point("12' at 180") == (-3.6576, 0.0, True)


def test_metric_positions() -> None:
    assert parse_point("0,9 by 1,2", UnitSystem.METRIC) == (0.9, 1.2, True)
    assert parse_point("90 cm; 1200 mm", UnitSystem.METRIC) == (0.9, 1.2, True)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "Nothing has been typed"),
        ("12'", "two lengths, or a length and a direction"),
        ("1;2;3", "two lengths, or a length and a direction"),
        ("1 by 2 at 3", "two lengths, or a length and a direction"),
        ("1 at 2 at 3", "two lengths, or a length and a direction"),
        ("by 4'", "One of the two lengths is missing"),
        ("4' by", "One of the two lengths is missing"),
        ("to ; 4'", "One of the two lengths is missing"),
        ("to 5' at 30", "goes without “to”"),
        ("5' at", "Nothing has been typed"),
        ("5' at noon", "“noon”"),
        ("wide by 4'", "“wide”"),
    ],
)
def test_refused_positions(text: str, reason: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_point(text)
    assert reason in refused.value.problem


@given(length=st.integers(0, 900), degrees=st.integers(-720, 720))
def test_a_direction_keeps_the_length(length: int, degrees: int) -> None:
    x, y, relative = parse_point(f"{length} m at {degrees}°")
    assert relative
    assert math.hypot(x, y) == pytest.approx(length, abs=2e-9)
    assert x == pytest.approx(length * math.cos(math.radians(degrees)), abs=1e-8)
