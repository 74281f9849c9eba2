"""The definitions behind every figure on screen."""

import numpy as np
import pytest
import scipy.constants

from core.units import FOOT, INCH, LUX_PER_FC, UnitError, to_fc, to_lux


def test_foot_and_inch_are_the_international_ones() -> None:
    # International yard and pound agreement, 1959 (from memory): 1 ft = 0.3048 m, 1 in = 25.4 mm, both exact.
    assert FOOT == 0.3048
    assert INCH == 0.0254
    # Reference library: scipy.constants, which multiplies them up and so rounds in the last digit.
    assert pytest.approx(scipy.constants.foot, rel=1e-15) == FOOT
    assert pytest.approx(scipy.constants.inch, rel=1e-15) == INCH


def test_foot_candle_is_one_lumen_per_square_foot() -> None:
    # Published: 1 fc = 10.763910 lx (general photometry texts); exact: 1 / 0.3048**2.
    assert pytest.approx(10.763910, abs=5e-7) == LUX_PER_FC
    assert pytest.approx(10.763910416709722, rel=1e-15) == LUX_PER_FC
    assert pytest.approx(1 / scipy.constants.foot**2, rel=1e-15) == LUX_PER_FC


def test_light_turns_over_and_back_for_numbers_and_arrays() -> None:
    assert to_fc(LUX_PER_FC) == 1.0
    assert to_lux(100.0) == pytest.approx(1076.3910416709722)
    field = np.array([[0.0, 107.63910416709722], [538.195520835486, np.nan]])
    np.testing.assert_allclose(to_fc(field), np.array([[0, 10], [50, np.nan]]), rtol=1e-14)
    np.testing.assert_allclose(to_lux(to_fc(field)), field, rtol=1e-14)


def test_an_error_tells_the_problem_and_an_example() -> None:
    error = UnitError("Nothing has been typed yet.", "12' 6\"")
    assert isinstance(error, ValueError)
    assert str(error) == "Nothing has been typed yet. For example: 12' 6\""
    assert (error.problem, error.example) == ("Nothing has been typed yet.", "12' 6\"")
