"""Angles, shares, light, power and prices as typed."""

import pytest

from core.units import (
    LUX_PER_FC,
    UnitError,
    UnitSystem,
    parse_angle,
    parse_illuminance,
    parse_lumens,
    parse_money,
    parse_number,
    parse_ratio,
    parse_watts,
)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("45", 45),
        ("45°", 45),
        ("45 DEG", 45),
        ("22,5 degrees", 22.5),
        ("-90", -90),
        ("360/7", 360 / 7),
        ("30° + 15", 45),
        ("90 - 22.5", 67.5),
        ("450", 450),
        ("22½º", 22.5),
    ],
)
def test_angles(text: str, degrees: float) -> None:
    assert parse_angle(text) == pytest.approx(degrees)


@pytest.mark.parametrize("text", ["", "45 rad", "45'", "40000", "north", "1,234"])
def test_refused_angles(text: str) -> None:
    with pytest.raises(UnitError, match="For example: 45"):
        parse_angle(text)


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("4", 4),
        ("0,75", 0.75),
        ("3 1/2", 3.5),
        ("24/2", 12),
        ("1,234", 1234),
        ("1,234,567.5", 1234567.5),
        ("-2", -2),
        ("10-3/2", 8.5),
        ("10-1/2", 10.5),
        ("1/2.5", 0.4),
        ("1/2,5", 0.4),
    ],
)
def test_numbers(text: str, number: float) -> None:
    assert parse_number(text) == number


@pytest.mark.parametrize(("text", "share"), [("0.8", 0.8), ("80%", 0.8), ("80 %", 0.8), ("0,8", 0.8), ("1/2", 0.5)])
def test_shares(text: str, share: float) -> None:
    assert parse_ratio(text) == pytest.approx(share)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("80", "between 0 and 1"),
        ("-0.1", "between 0 and 1"),
        ("101 %", "between 0 and 1"),
        ("80% + 0.1", "needs a unit"),
    ],
)
def test_refused_shares(text: str, reason: str) -> None:
    with pytest.raises(UnitError, match=reason):
        parse_ratio(text)


@pytest.mark.parametrize(
    "text",
    ["80", "80 fc", "80 FC", "80fc", "80 foot-candles", "80 footcandles", "80ft-c", "80 ft c", "60 fc + 20"],
)
def test_foot_candles(text: str) -> None:
    # 1 fc = 10.763910 lx, published in general photometry texts.
    assert parse_illuminance(text) == pytest.approx(861.1128, abs=1e-4)
    assert parse_illuminance("80 fc", UnitSystem.METRIC) == 80 * LUX_PER_FC


def test_lux() -> None:
    assert parse_illuminance("800 lx") == parse_illuminance("800", UnitSystem.METRIC) == 800
    assert parse_illuminance("1,119 lux") == 1119
    assert parse_illuminance("7,5 lx") == 7.5


@pytest.mark.parametrize("text", ["-5", "80 lm", "bright", "80 foot", "fc"])
def test_refused_illuminance(text: str) -> None:
    with pytest.raises(UnitError, match="For example: 80"):
        parse_illuminance(text)


def test_lamps_and_prices() -> None:
    assert parse_lumens("4,000 lm") == parse_lumens("4000") == parse_lumens("2 * 2000 lumens") == 4000
    assert parse_watts("40 W") == parse_watts("40") == parse_watts("0.04 kW") == 40
    assert parse_money("$1,299.95") == parse_money("1299.95 €") == parse_money("£ 1299,95") == 1299.95
    assert parse_money("4 * 89.5") == 358


@pytest.mark.parametrize("reader", [parse_lumens, parse_watts, parse_money])
def test_lamps_and_prices_are_not_below_zero(reader: type[float]) -> None:
    with pytest.raises(UnitError, match="below zero"):
        reader("-1")


@pytest.mark.parametrize("text", ["$", "$$5", "-$5", "5 W", "free"])
def test_refused_prices(text: str) -> None:
    with pytest.raises(UnitError):
        parse_money(text)
