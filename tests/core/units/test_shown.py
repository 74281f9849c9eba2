"""Figures as shown, and shown figures typed again."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.units import (
    FOOT,
    INCH,
    LUX_PER_FC,
    UnitSystem,
    parse_angle,
    parse_illuminance,
    parse_length,
    parse_lumens,
    show_angle,
    show_area,
    show_illuminance,
    show_inches_decimal,
    show_length,
    show_lumens,
    show_ratio,
    show_watts,
)
from core.units.show import FRACTIONS, Style

US, METRIC = UnitSystem.US, UnitSystem.METRIC


@pytest.mark.parametrize(
    ("inches", "tape", "short"),
    [
        (150.5, "12' 6 1/2\"", "12'6½\""),
        (150, "12' 6\"", "12'6\""),
        (0, '0"', '0"'),
        (-3.25, '-3 1/4"', '-3¼"'),
        (72, "6'", "6'"),
        (0.5, '1/2"', '½"'),
        (3 / 16, '3/16"', '3/16"'),
        (12 + 3 / 16, "1' 0 3/16\"", "1'0 3/16\""),
        (12.125, "1' 0 1/8\"", "1'0⅛\""),
        (11 + 31 / 32, "1'", "1'"),
        (11 + 15 / 16, '11 15/16"', '11 15/16"'),
        (23 + 63 / 64, "2'", "2'"),
        (1 / 32, '1/16"', '1/16"'),
        (1 / 33, '0"', '0"'),
        (-1 / 33, '0"', '0"'),
        (-0.0, '0"', '0"'),
        (-150.5, "-12' 6 1/2\"", "-12'6½\""),
        (12_000, "1000'", "1000'"),
    ],
)
def test_feet_and_inches(inches: float, tape: str, short: str) -> None:
    assert show_length(inches * 0.0254) == tape
    assert show_length(inches * 0.0254, style="short") == short


@pytest.mark.parametrize(
    ("fraction", "shown"),
    [
        (1, '5"'),
        (2, '4 1/2"'),
        (4, '4 3/4"'),
        (8, '4 5/8"'),
        (16, '4 11/16"'),
        (32, '4 21/32"'),
        (64, '4 43/64"'),
    ],
)
def test_the_finest_part_is_chosen(fraction: int, shown: str) -> None:
    # 4.67 in: 4.67*64 = 298.88, *32 = 149.44, *16 = 74.72, *8 = 37.36, *4 = 18.68, *2 = 9.34
    assert show_length(4.67 * 0.0254, fraction=fraction) == shown


@pytest.mark.parametrize("fraction", [0, -16, 3, 10, 128])
def test_other_fractions_are_refused(fraction: int) -> None:
    with pytest.raises(ValueError, match="fraction must be one of"):
        show_length(1.0, fraction=fraction)


@pytest.mark.parametrize(
    ("metres", "tape", "short"),
    [
        (3.81, "3.810 m", "3.81 m"),
        (4, "4.000 m", "4 m"),
        (10, "10.000 m", "10 m"),
        (0.038, "38 mm", "38 mm"),
        (0.9994, "999 mm", "999 mm"),
        (0.9996, "1.000 m", "1 m"),
        (0, "0 mm", "0 mm"),
        (-0.0001, "0 mm", "0 mm"),
        (-1.5, "-1.500 m", "-1.5 m"),
        (1234.5, "1234.500 m", "1234.5 m"),
    ],
)
def test_metric_lengths(metres: float, tape: str, short: str) -> None:
    assert show_length(metres, METRIC) == tape
    assert show_length(metres, METRIC, style="short") == short


def test_inches_with_decimals() -> None:
    assert show_inches_decimal(3.8227) == '150.50"'
    assert show_inches_decimal(-0.00001) == '0.00"'
    assert show_inches_decimal(1.0, digits=3) == '39.370"'


lengths = st.floats(-9_000, 9_000)
shop_lengths = st.floats(-30, 30)


@given(
    metres=st.one_of(lengths, shop_lengths),
    fraction=st.sampled_from(FRACTIONS),
    style=st.sampled_from(["tape", "short"]),
)
def test_a_shown_length_typed_again_is_within_half_a_part(metres: float, fraction: int, style: Style) -> None:
    shown = show_length(metres, US, fraction, style)
    typed = parse_length(shown)
    assert abs(typed - metres) <= INCH / fraction / 2 + 2e-9
    assert show_length(typed, US, fraction, style) == shown


@given(
    metres=st.one_of(lengths, shop_lengths),
    style=st.sampled_from(["tape", "short"]),
    system=st.sampled_from(UnitSystem),
)
def test_a_shown_metric_length_typed_again_is_within_half_a_millimetre(
    metres: float, style: Style, system: UnitSystem
) -> None:
    shown = show_length(metres, METRIC, style=style)
    typed = parse_length(shown, system)
    assert abs(typed - metres) <= 0.0005 + 2e-9
    assert show_length(typed, METRIC, style=style) == shown


@given(sixty_fourths=st.integers(-64 * 12 * 500, 64 * 12 * 500))
def test_every_sixty_fourth_is_kept_exactly(sixty_fourths: int) -> None:
    # Reference library: fractions of the standard library.
    metres = float(Fraction(sixty_fourths, 64) * Fraction(254, 10_000))
    assert parse_length(show_length(metres, fraction=64)) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize(
    ("fc", "shown"),
    [
        (0, "0 fc"),
        (0.004, "0.00 fc"),
        (0.04, "0.04 fc"),
        (0.0949, "0.09 fc"),
        (0.0951, "0.1 fc"),
        (0.4, "0.4 fc"),
        (7.5, "7.5 fc"),
        (9.94, "9.9 fc"),
        (9.96, "10 fc"),
        (104.2, "104 fc"),
        (1234, "1,234 fc"),
        (-3.2, "-3.2 fc"),
        (-0.001, "0.00 fc"),
    ],
)
def test_foot_candles(fc: float, shown: str) -> None:
    assert show_illuminance(fc * 10.763910416709722) == shown


def test_lux() -> None:
    assert show_illuminance(1119.4, METRIC) == "1,119 lx"
    assert show_illuminance(7.5, METRIC) == "7.5 lx"
    assert show_illuminance(float(np.float64(500)), METRIC) == "500 lx"


@given(lux=st.floats(0, 200_000), system=st.sampled_from(UnitSystem))
def test_shown_light_typed_again_is_within_half_a_digit(lux: float, system: UnitSystem) -> None:
    shown = show_illuminance(lux, system)
    typed = parse_illuminance(shown, system)
    unit = LUX_PER_FC if system is US else 1.0
    value = lux / unit
    step = 0.01 if value < 0.095 else 0.1 if value < 9.95 else 1.0
    assert abs(typed / unit - value) <= step / 2 + 1e-9
    assert show_illuminance(typed, system) == shown or typed == 0


def test_lamps() -> None:
    assert show_lumens(4000) == "4,000 lm"
    assert show_watts(40) == "40 W"
    assert show_watts(7.54) == "7.5 W"
    assert show_watts(99.97) == "100 W"
    assert show_watts(1250.4) == "1,250 W"
    assert show_watts(100) == "100 W"


@given(st.integers(0, 10**9))
def test_shown_lumens_can_be_typed(lumens: int) -> None:
    assert parse_lumens(show_lumens(lumens)) == lumens


def test_areas_angles_and_shares() -> None:
    assert show_area(14 * 20 * FOOT**2) == "280 sq ft"
    assert show_area(26.012, METRIC) == "26.0 m²"
    assert show_angle(45) == "45°"
    assert show_angle(22.5) == "22.5°"
    assert show_angle(-0.01) == "0°"
    assert show_angle(100) == "100°"
    assert show_ratio(0.6199) == "0.62"
    assert show_ratio(1) == "1.00"


@given(st.floats(-720, 720))
def test_a_shown_angle_typed_again_is_within_half_a_tenth(degrees: float) -> None:
    assert abs(parse_angle(show_angle(degrees)) - degrees) <= 0.05 + 1e-9


@pytest.mark.parametrize("missing", [math.nan, math.inf, -math.inf])
def test_a_value_that_does_not_exist_is_a_dash(missing: float) -> None:
    for show in (show_length, show_inches_decimal, show_illuminance, show_lumens, show_watts, show_area):
        assert show(missing) == "–"
    assert show_angle(missing) == show_ratio(missing) == show_length(missing, METRIC) == "–"
