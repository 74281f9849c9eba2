"""Conductors, box fill and voltage drop against published values (`electrical.json`, see ORIGIN.md)."""

from __future__ import annotations

import json
from importlib.resources import files

import pytest

from core.units import FOOT
from core.wiring.boxes import fill_volume
from core.wiring.conductors import MOST_BREAKER, OHM_PER_METRE, ROOM_IN3
from core.wiring.voltage import drop_volts

PUBLISHED = json.loads((files("tests.core.wiring") / "electrical.json").read_text(encoding="utf-8"))


def test_resistance_is_that_of_chapter_9_table_8():
    for row in PUBLISHED["conductors"]["rows"]:
        assert OHM_PER_METRE[row["awg"]] * 1000 * FOOT == pytest.approx(row["ohm_per_kft_solid"], rel=1e-12)


def test_resistance_follows_from_the_resistivity_of_copper():
    # 17.241 nOhm m at 20 degree C, 0.00393 per K (International Annealed Copper Standard), area in circular mils.
    for row in PUBLISHED["conductors"]["rows"]:
        area = row["cmil"] * 5.067075e-10
        at_75 = 17.241e-9 * (1 + 0.00393 * 55) / area
        # The table prints three digits; 10 AWG computes to 1.215 ohm per 1000 ft and is printed as 1.21.
        assert OHM_PER_METRE[row["awg"]] == pytest.approx(at_75, rel=0.005)


def test_breakers_are_those_of_240_4_d():
    assert {str(awg): most for awg, most in MOST_BREAKER.items()} == PUBLISHED["ocpd_max_amp_copper"]


def test_room_for_a_conductor_is_that_of_314_16_b():
    assert {str(awg): room for awg, room in ROOM_IN3.items()} == PUBLISHED["box_fill_in3"]


@pytest.mark.parametrize("case", PUBLISHED["box_fill_checks"], ids=lambda case: case["case"])
def test_box_fill(case):
    volume = fill_volume(
        [(case["awg"], case["conductors"])], case["egc_count"], case["yokes"], case["internal_clamp"], case["awg"]
    )
    assert volume == pytest.approx(case["in3"], abs=1e-9)
    assert volume / ROOM_IN3[case["awg"]] == pytest.approx(case["allowances"], abs=1e-9)


@pytest.mark.parametrize("case", [c for c in PUBLISHED["voltage_drop_checks"] if c["type"] == "solid"])
def test_voltage_drop(case):
    volts = drop_volts(case["one_way_ft"] * FOOT, case["amp"], case["awg"])
    assert volts == pytest.approx(case["drop_V"], rel=1e-9)
    assert 100 * volts / case["volts"] == pytest.approx(case["drop_pct"], abs=1e-3)


@pytest.mark.parametrize(("awg", "amperes", "feet"), [(14, 12, 48.9), (12, 16, 58.3)])
def test_the_length_at_which_three_percent_are_lost(awg, amperes, feet):
    assert PUBLISHED["max_one_way_ft_3pct_120V"][f"{awg}_solid_{amperes}A"] == feet
    assert drop_volts(feet * FOOT, amperes, awg) / 120 == pytest.approx(0.03, rel=1e-3)
