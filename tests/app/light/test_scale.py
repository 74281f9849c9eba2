"""Levels of the isolines, and how a scale is written."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.light.legend import sentences, ticks
from app.light.scale import Scale, round_levels
from core.units import LUX_PER_FC, UnitSystem
from tests.app.light.standin import shop


def in_fc(target: float, brightest: float) -> list[float]:
    scale = Scale(target * LUX_PER_FC, 0.9)
    return [round(level / LUX_PER_FC, 6) for level in round_levels(scale, brightest * LUX_PER_FC)]


def test_round_numbers_around_the_target() -> None:
    assert in_fc(100.0, 155.0) == [20, 40, 60, 80, 100, 120]
    assert in_fc(50.0, 90.0) == [10, 20, 30, 40, 50, 60, 80]


def test_a_number_beside_the_target_gives_way() -> None:
    assert in_fc(75.0, 110.0) == [20, 40, 60, 75]
    assert in_fc(75.0, 170.0) == [20, 40, 60, 75, 120]


def test_a_dim_room_still_has_lines() -> None:
    assert in_fc(100.0, 11.0) == [2, 4, 6, 8, 10]


def test_far_above_the_target_lines_lie_wide_apart() -> None:
    levels = in_fc(50.0, 1000.0)
    assert levels[:8] == [10, 20, 30, 40, 50, 60, 80, 100]
    assert len(levels) < 14
    assert levels[-1] == 1000


@given(st.floats(1.0, 1e5), st.floats(0.0, 1e6), st.sampled_from(list(UnitSystem)))
def test_levels_are_few_sorted_and_hold_the_target(target: float, brightest: float, units: UnitSystem) -> None:
    scale = Scale(target, 0.9, units)
    levels = round_levels(scale, brightest)
    assert list(levels) == sorted(levels)
    assert len(levels) <= 20
    assert all(0.0 < level <= max(brightest, target) * (1 + 1e-6) for level in levels)
    assert (target in [pytest.approx(level) for level in levels]) == (brightest >= target)
    for level in levels:
        if level != pytest.approx(target):
            shown = level / scale.unit
            digits = shown / 10.0 ** math.floor(math.log10(shown * (1 + 1e-9)))
            assert abs(digits * 10 - round(digits * 10)) < 1e-4  # at most two digits that count


def test_maintained_light_is_scaled_and_named() -> None:
    plan = shop()
    scale = Scale.of(plan, UnitSystem.US, "maintained")
    assert scale.factor == pytest.approx(0.81)
    assert "Maintained light" in sentences(scale)[1]
    assert "Initial light" in sentences(Scale.of(plan))[1]


def test_the_legend_has_numbers_units_target_and_plane() -> None:
    scale = Scale(100 * LUX_PER_FC, 0.9144)
    assert ticks(scale) == [(0.0, "0"), (0.5, "50"), (1.0, "100 fc"), (1.5, "150"), (2.0, "200")]
    assert sentences(scale)[0] == "Target 100 fc at 3' above the floor"
    metric = Scale(750.0, 0.85, UnitSystem.METRIC)
    assert [text for _, text in ticks(metric)] == ["0", "375", "750 lx", "1,125", "1,500"]
    assert [text for _, text in ticks(Scale(75 * LUX_PER_FC, 0.9))] == ["0", "75 fc", "150"]


def test_a_target_set_in_feet_reads_as_whole_lux_in_the_legend() -> None:
    scale = Scale(200.0 * LUX_PER_FC, 0.9, UnitSystem.METRIC)
    assert [text for _, text in ticks(scale)] == ["0", "2,153 lx", "4,306"]
