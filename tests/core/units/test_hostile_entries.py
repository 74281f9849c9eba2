"""Whatever is typed or pasted ends in a value within bounds or in a UnitError, never in anything else."""

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from core.units import (
    MAX_LENGTH,
    UnitError,
    parse_angle,
    parse_illuminance,
    parse_length,
    parse_lumens,
    parse_money,
    parse_number,
    parse_point,
    parse_ratio,
    parse_watts,
)

READERS: list[Callable[[str], object]] = [
    parse_length,
    parse_angle,
    parse_number,
    parse_ratio,
    parse_illuminance,
    parse_lumens,
    parse_watts,
    parse_money,
    parse_point,
]

HOSTILE = [
    "(" * 100,
    "(" * 10_000 + "1" + ")" * 10_000,
    "(" * 40 + "1" + ")" * 40,
    "-" * 99 + "1",
    "9" * 100,
    "9" * 1_000_000,
    "1/" * 49 + "1",
    "99999999999999999999*" * 4 + "9",
    "1/99999999999999999",
    "9*" * 49 + "9",
    "9**9**9**9",
    "__import__('os').system('true')",
    "1'\x00",
    "\ud800",
    "1' \u202e6\"",
    "İ" * 60,
    "½½½",
    "1½½",
    "1/2/3/4",
    "'" * 100,
    "foot-candle" * 1000,
    "$" * 100,
    " " * 1_000_000,
    "1 by" * 25,
    "at at at",
    "to to to",
]


def settles(reader: Callable[[str], object], text: str) -> None:
    refusal = None
    try:
        value = reader(text)
    except UnitError as refused:
        refusal = refused
    if refusal is not None:
        assert refusal.problem.endswith(".")
        assert len(str(refusal)) < 500
        return
    numbers = value if isinstance(value, tuple) else (value,)
    for number in numbers:
        assert isinstance(number, float | bool)
        assert math.isfinite(number)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_entries_are_refused_in_words(reader: Callable[[str], object], text: str) -> None:
    settles(reader, text)


@pytest.mark.parametrize("reader", READERS)
@given(text=st.one_of(st.text(max_size=120), st.text("0123456789.,/ '\"-+*()½ftinmc°%;byato", max_size=40)))
def test_any_text_settles(reader: Callable[[str], object], text: str) -> None:
    settles(reader, text)


@settings(suppress_health_check=[HealthCheck.filter_too_much])
@given(text=st.text("0123456789./ '\"-+*½m", min_size=1, max_size=12))
def test_no_length_is_out_of_bounds(text: str) -> None:
    try:
        length = parse_length(text)
    except UnitError:
        reject()
    assert abs(length) <= MAX_LENGTH


def test_too_long_deep_and_large_are_named() -> None:
    with pytest.raises(UnitError, match="longer than 100 characters"):
        parse_length("1 + " * 30 + "1")
    with pytest.raises(UnitError, match="8 deep"):
        parse_length("(" * 9 + "1'" + ")" * 9)
    with pytest.raises(UnitError, match="too large"):
        parse_number("9999999999 * 9999999999")
    with pytest.raises(UnitError, match="A number here may have up to 20 digits"):
        parse_number("9" * 21)
    with pytest.raises(UnitError, match="A fraction here may have up to 20 digits"):
        parse_number("1/" + "9" * 20)


Typed = tuple[str, Fraction]


def _lengths() -> st.SearchStrategy[Typed]:
    def typed(feet: int, inches: int, above: int) -> Typed:
        text = f"{feet}' {inches} {above}/16\"" if above else f"{feet}' {inches}\""
        return text, feet * 12 + inches + Fraction(above, 16)

    return st.builds(typed, st.integers(0, 60), st.integers(0, 11), st.integers(0, 15))


def _calculated(parts: st.SearchStrategy[Typed]) -> st.SearchStrategy[Typed]:
    plus = st.builds(lambda a, b: (f"({a[0]} + {b[0]})", a[1] + b[1]), parts, parts)
    less = st.builds(lambda a, b: (f"({a[0]} - {b[0]})", a[1] - b[1]), parts, parts)
    times = st.builds(lambda a, n: (f"{n} * {a[0]}", n * a[1]), parts, st.integers(0, 9))
    over = st.builds(lambda a, n: (f"{a[0]} / {n}", a[1] / n), parts, st.integers(1, 9))
    return st.one_of(plus, less, times, over)


@given(st.recursive(_lengths(), _calculated, max_leaves=5).filter(lambda typed: len(typed[0]) <= 100))
def test_arithmetic_agrees_with_exact_fractions(typed: Typed) -> None:
    # Reference library: fractions of the standard library, in inches.
    text, inches = typed
    exact = float(inches * Fraction(254, 10_000))
    if abs(exact) > MAX_LENGTH or text.count("(") > 8:
        return
    assert parse_length(text) == pytest.approx(exact, abs=1e-9)
