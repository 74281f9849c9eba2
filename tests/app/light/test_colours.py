"""The colour map, measured with an outside library.

Reference: colour-science (CIELAB after CIE 15:2004; CIEDE2000 after CIE 142-2001; dichromacy after Machado,
Oliveira and Fernandes 2009 at severity 1.0), all through its own tables and conversions.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from app.light.colours import SIZE, SPAN, colour_table, lightness, packed_table, wanted_colour

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

THEMES = pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
MIDDLE = SIZE // 2


def lab_of(rgb: np.ndarray) -> np.ndarray:
    return np.asarray(colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb)))


def sampled(dark: bool, steps: int = 16) -> tuple[np.ndarray, np.ndarray]:
    """Encoded sRGB at even shares of the target: the low side from the target down, the high side up."""
    rgb = colour_table(dark)[:, :3] / 255.0
    low = rgb[np.linspace(MIDDLE - 1, 0, steps + 1).round().astype(int)]
    high = rgb[np.linspace(MIDDLE, SIZE - 1, steps + 1).round().astype(int)]
    return low, high


@THEMES
def test_lightness_falls_on_both_sides_of_the_target(dark: bool) -> None:
    for side in sampled(dark, 64):
        assert np.all(np.diff(lab_of(side)[:, 0]) < 0.0)


@THEMES
def test_steps_are_even(dark: bool) -> None:
    """In 16 steps a side no CIEDE2000 difference strays from its side's mean by more than a third.

    The colours are the table's own, rounded to 8 bits (half a unit of rounding is up to 0.5 CIEDE2000).
    """
    for side in sampled(dark):
        lab = lab_of(side)
        steps = colour.delta_E(lab[:-1], lab[1:], method="CIE 2000")
        assert steps.min() > 0.67 * steps.mean()
        assert steps.max() < 1.33 * steps.mean()


@THEMES
def test_no_step_of_the_table_shows(dark: bool) -> None:
    """Neighbouring entries stay below the just noticeable difference, 2.3 in CIELAB units.

    Source: Mahy, Van Eycken, Oosterlinck, Color Research and Application 19 (1994) 105-121 (from memory).
    """
    lab = lab_of(colour_table(dark)[:, :3] / 255.0)
    assert colour.delta_E(lab[:-1], lab[1:], method="CIE 1976").max() < 2.3


@THEMES
def test_hues_are_blue_and_yellow_never_red_or_green(dark: bool) -> None:
    low, high = (lab_of(side) for side in sampled(dark))
    hue_low = np.degrees(np.arctan2(low[-1, 2], low[-1, 1])) % 360.0
    hue_high = np.degrees(np.arctan2(high[8:, 2], high[8:, 1])) % 360.0
    assert 240.0 < hue_low < 290.0
    assert np.all((hue_high > 60.0) & (hue_high < 100.0))


@THEMES
@pytest.mark.filterwarnings("ignore:.*tritanomaly is based on the shift paradigm")
@pytest.mark.parametrize("deficiency", ["Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_dichromats_tell_the_two_sides_apart(dark: bool, deficiency: str) -> None:
    """A fifth off the target the sides differ by 5 CIEDE2000 or more, each end by 20 from the middle."""
    matrix = colour.matrix_cvd_Machado2009(deficiency, 1.0)

    def seen(rgb: np.ndarray) -> np.ndarray:
        linear = colour.models.eotf_sRGB(rgb) @ np.asarray(matrix).T
        return lab_of(colour.models.eotf_inverse_sRGB(np.clip(linear, 0.0, 1.0)))

    low, high = (seen(side) for side in sampled(dark, 20))
    apart = colour.delta_E(low[4:, None, :], high[None, 4:, :], method="CIE 2000")
    assert apart.min() > 5.0
    assert colour.delta_E(low[0], low[-1], method="CIE 2000") > 20.0
    assert colour.delta_E(high[0], high[-1], method="CIE 2000") > 20.0


@THEMES
def test_grey_tells_too_little_from_the_rest(dark: bool) -> None:
    """In grey (CIELAB lightness alone) below four tenths of the target is darker than anything above it."""
    level = lab_of(colour_table(dark)[:, :3] / 255.0)[:, 0]
    share = np.linspace(0.0, SPAN, SIZE)
    assert level[share < 0.4].max() < level[share >= 1.0].min()
    assert level[share < 0.05].max() < level[share >= 1.0].min() - 25.0


@THEMES
def test_the_middle_is_the_target(dark: bool) -> None:
    table = colour_table(dark)
    assert np.abs(table[MIDDLE, :3].astype(int) - np.array(wanted_colour(dark))).max() <= 1
    assert int(np.argmax(lab_of(table[:, :3] / 255.0)[:, 0])) in range(MIDDLE - 6, MIDDLE + 6)
    for share in (0.0, 0.5, 1.0, 1.7, 9.0):
        entry = min(round(share / SPAN * (SIZE - 1)), SIZE - 1)
        assert lightness(share, dark) == pytest.approx(lab_of(table[entry, :3] / 255.0)[0], abs=0.5)


def test_packed_pixels_hold_the_same_colours() -> None:
    table, packed = colour_table(False), packed_table(False)
    assert table.shape == (SIZE, 4)
    assert table.dtype == np.uint8
    assert packed[700] == 0xFF000000 | int(table[700, 0]) << 16 | int(table[700, 1]) << 8 | int(table[700, 2])
