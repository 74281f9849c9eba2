"""Colour against published values (tests/core/checks/data/README.md) and the reference library colour-science."""

import json
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.checks.colour import cct_and_duv, chromaticity, mccamy, mixed

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

PUBLISHED = json.loads((Path(__file__).parent / "data" / "colour.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("row", PUBLISHED["planckian"], ids=lambda row: str(row["T"]))
def test_planckian_locus(row):
    assert chromaticity(row["T"]) == pytest.approx((row["x"], row["y"]), abs=2e-5)
    # x and y are printed to five digits, which is worth 0.3 K.
    assert mccamy(row["x"], row["y"]) == pytest.approx(row["mccamy"], abs=0.3)


@pytest.mark.parametrize("mix", PUBLISHED["mixing"], ids=lambda mix: str(mix["cct"]))
def test_mixes_by_tristimulus_addition(mix):
    nominal = {(row["x"], row["y"]): row["T"] for row in PUBLISHED["planckian"]}
    found = mixed([(part["lumens"], nominal[part["x"], part["y"]]) for part in mix["parts"]])
    assert (found.x, found.y) == pytest.approx((mix["x"], mix["y"]), abs=3e-5)
    assert found.cct == pytest.approx(mix["cct"], abs=1.5)
    assert found.duv == pytest.approx(mix["duv"], abs=2e-5)


@pytest.mark.parametrize("name", PUBLISHED["quadrangles"])
def test_quadrangle_centres_of_c78_377(name):
    quadrangle = PUBLISHED["quadrangles"][name]
    cct, duv = cct_and_duv(*quadrangle["centre"])
    assert cct == pytest.approx(quadrangle["centre_cct"], abs=2.0)
    assert duv == pytest.approx(quadrangle["centre_duv"], abs=6e-4)


@given(st.floats(2500.0, 8000.0), st.floats(-0.015, 0.015))
def test_cct_and_duv_agree_with_ohno_2013_in_colour_science(kelvin, duv):
    uv = colour.temperature.CCT_to_uv_Ohno2013([kelvin, duv])
    x, y = colour.UCS_uv_to_xy(uv)
    found = cct_and_duv(float(x), float(y))
    assert found[0] == pytest.approx(kelvin, rel=6e-4)
    assert found[1] == pytest.approx(duv, abs=3e-5)


@given(st.floats(0.30, 0.48), st.floats(0.30, 0.42))
def test_mccamy_agrees_with_colour_science(x, y):
    assert mccamy(x, y) == pytest.approx(float(colour.temperature.xy_to_CCT_McCamy1992([x, y])), rel=1e-9)


@given(st.floats(1.0, 1e5), st.floats(1800.0, 9000.0))
def test_equal_lights_mix_to_themselves(lumens, kelvin):
    found = mixed([(lumens, kelvin), (2 * lumens, kelvin)])
    assert found.cct == pytest.approx(kelvin, rel=2e-4)
    assert abs(found.duv) < 2e-5


@given(st.lists(st.tuples(st.floats(50.0, 5000.0), st.floats(2200.0, 7500.0)), min_size=2, max_size=4))
def test_mixes_are_the_tristimulus_sums_of_colour_science(parts):
    """Each light on the locus (Ohno 2013), XYZ added, and the sum's chromaticity, CCT and Duv taken by the library."""
    total = np.zeros(3)
    for lumens, kelvin in parts:
        x, y = colour.UCS_uv_to_xy(colour.temperature.CCT_to_uv_Ohno2013([kelvin, 0.0]))
        total += colour.xyY_to_XYZ([x, y, lumens])
    found = mixed(parts)
    x, y = colour.XYZ_to_xy(total)
    assert (found.x, found.y) == pytest.approx((float(x), float(y)), abs=4e-5)
    kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(colour.xy_to_UCS_uv([x, y]))
    assert found.cct == pytest.approx(float(kelvin), rel=1e-3)
    assert found.duv == pytest.approx(float(duv), abs=5e-5)


def test_no_light_has_no_colour():
    assert mixed([]) is None
    assert mixed([(0.0, 4000.0)]) is None


def test_impossible_temperatures_are_refused():
    for kelvin in (0.0, 500.0, 90_000.0):
        with pytest.raises(ValueError, match="between"):
            chromaticity(kelvin)
