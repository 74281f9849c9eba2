"""Lengths as typed: what is accepted, what is refused and why.

Expected values are worked out by hand in inches or metres, with 1 in = 0.0254 m exact.
"""

import pytest

from core.units import FOOT, INCH, UnitError, UnitSystem, parse_length

US, METRIC = UnitSystem.US, UnitSystem.METRIC

INCHES = [
    ("12' 6 1/2\"", 150.5),
    ("12'6\"", 150),
    ("12' 6", 150),
    ("12'6½", 150.5),
    ("12 ft 6 in", 150),
    ("12 ft. 6 in.", 150),
    ("12 feet 6 inches", 150),
    ("12ft6in", 150),
    ("1 foot 1 inch", 13),
    ("12.5 ft", 150),
    ("12.5'", 150),
    ("12 1/2'", 150),
    ("12", 144),
    ("12.5", 150),
    (".5", 6),
    ("6 1/2 in", 6.5),
    ('6-1/2"', 6.5),
    ('6½"', 6.5),
    ('6 ½"', 6.5),
    ('3/4"', 0.75),
    ('¾"', 0.75),
    ('⅛" + ⅜" + ⅝" + ⅞" + ¼"', 2.25),
    ("12'-6\"", 150),
    ("12'-6 1/2\"", 150.5),
    ("12'-6-1/2\"", 150.5),
    ("12'6-1/2\"", 150.5),
    ("12'–6″", 150),
    ("12’ 6”", 150),
    ("12′ 6 1⁄2″", 150.5),
    ("12′ 6′′", 150),
    ("12' 6''", 150),
    ("12'\u00a06\u202f1/2\"", 150.5),
    ("  12 FT 6 IN\t", 150),
    ("12' 14\"", 158),
    ("2 yd", 72),
    ("2 yd 1 ft 3 in", 87),
    ("0", 0),
    ("-3'", -36),
    ("−3' 6\"", -42),
    ("-3' 6\"", -42),
    ("+3'", 36),
    ("12' 6 - 3 1/2\"", 146.5),
    ('12\' 6"-3 1/2"', 146.5),
    ('12\'-6" - 3 1/2"', 146.5),
    ("20'-2*6\"", 228),
    ("20'-6'", 168),
    ("20 ft / 3", 80),
    ("20/3 ft", 80),
    ("(20 / 3) ft", 80),
    ("(10' - 2*6\")/2", 54),
    ("12 - 6", 72),
    ("24 / 2 / 3", 48),
    ("2 * (3' + 4\")", 80),
    ("3' × 2 ÷ 4", 18),
    ("8' / 2 1/2", 38.4),
    ("3' * 1/2", 18),
    ("3' / (3/4)", 48),
    ("10' * (6' / 3')", 240),
    ("3' - -6\"", 42),
    ("-(3' - 5')", 24),
    ("((((((((1'))))))))", 12),
]

METRES = [
    ("3.81 m", 3.81),
    ("3,81 m", 3.81),
    ("0,125 m", 0.125),
    ("381 cm", 3.81),
    ("3810 mm", 3.81),
    ("3810MM", 3.81),
    ("3 metres", 3),
    ("3 m 81 cm", 3.81),
    ("3 m 81 cm 5 mm", 3.815),
    ("3 m - 20 cm", 2.8),
    ("1 m + 1 ft", 1.3048),
    ("1,234.5 mm", 1.2345),
]


@pytest.mark.parametrize(("text", "inches"), INCHES)
def test_feet_and_inches(text: str, inches: float) -> None:
    assert parse_length(text) == pytest.approx(inches * 0.0254, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("system", [US, METRIC])
@pytest.mark.parametrize(("text", "metres"), METRES)
def test_metric_units_in_both_systems(text: str, metres: float, system: UnitSystem) -> None:
    assert parse_length(text, system) == pytest.approx(metres, rel=1e-9)


def test_a_bare_number_has_the_unit_of_its_box() -> None:
    assert parse_length("36") == pytest.approx(36 * 0.3048)
    assert parse_length("36", METRIC) == 36
    assert parse_length("3,5", METRIC) == 3.5
    assert parse_length("36", US, bare=INCH) == pytest.approx(0.9144)
    assert parse_length("36 1/2", US, INCH) == pytest.approx(36.5 * 0.0254)
    assert parse_length("12-6", US, bare=INCH) == pytest.approx(6 * 0.0254)
    assert parse_length("12-6", METRIC) == 6
    assert parse_length("900", METRIC, bare=0.001) == pytest.approx(0.9)
    assert parse_length("3'", US, bare=INCH) == pytest.approx(0.9144)


def test_equal_lengths_typed_differently_are_equal() -> None:
    assert parse_length("3'") == parse_length('36"') == parse_length("1 yd") == 0.9144
    assert parse_length("12' 6") == parse_length("3.81 m") == 3.81


REFUSED = [
    ("", "Nothing has been typed"),
    (" \t ", "Nothing has been typed"),
    ("wide", "number is missing before “wide”"),
    ("12 furlongs", "“furlongs” is not a unit of length"),
    ("12 fc", "“fc” is not a unit of length"),
    ("12' 6 @", "“@” has no meaning"),
    ("12'; 6'", "“;” has no meaning"),
    ("1e5", "“e” is not a unit"),
    ("0x10", "“x” is not a unit"),
    ("nan", "“nan”"),
    ("inf", "“inf”"),
    ("1_000", "“_”"),
    ("٣ m", "“٣” has no meaning"),
    ("1.2.3 m", "“1.2.3” is not a number"),
    ("1,23,4 m", "is not a number"),
    ("1,234 mm", "can mean 1234 or 1.234"),
    ("12-6", "Feet and inches, or a subtraction"),
    ("24-12-6", "Feet and inches, or a subtraction"),
    ("12' - 6", "The 6 in this sum needs a unit"),
    ('36" + 2', "The 2 in this sum needs a unit"),
    ("12' 6'", "missing before “6”"),
    ("6\" 12'", "missing before “12”"),
    ('12 6"', "missing before “6”"),
    ("3 m 81", "missing before “81”"),
    ('3 m 6"', "missing before “6”"),
    ("12.5' 6\"", "smallest part"),
    ("12'-1/2\"", "Write 0 1/2"),
    ('12\'-6"-3"', "Put blanks around every sign"),
    ("2*12'-6\"", "Put blanks around every sign"),
    ("12'-6\"/2", "Put blanks around every sign"),
    ('5 3/2"', "fraction below one"),
    ('5.5 1/2"', "fraction below one"),
    ('1/0"', "divides by zero"),
    ("3' / 0", "divides by zero"),
    ("3' / (1' - 12\")", "divides by zero"),
    ('3 / 4"', "fractions without blanks"),
    ("2'/1/2", "brackets: / (1/2)"),
    ("12' * 3'", "multiplied"),
    ("20' / 5'", "plain number, not to length"),
    ("20' / 5' + 2", "plain number, not to length"),
    ("3' + 20' / 5'", "needs a unit"),
    ("(3') ft", "unit inside and another"),
    ("(3'", "not closed"),
    ("3')", "“)” is not understood"),
    ("3'(2)", "“(” is not understood"),
    ("()", "number is missing before “)”"),
    ("3' +", "stops where a number should follow"),
    ("--3'", "number is missing before “-”"),
    ("* 3'", "number is missing before “*”"),
    ("'", "number is missing before “'”"),
    ("10000.1 m", "longer than 10 km"),
    ("-40000'", "longer than 10 km"),
]


@pytest.mark.parametrize(("text", "reason"), REFUSED)
def test_refused_with_the_reason_and_an_example(text: str, reason: str) -> None:
    with pytest.raises(UnitError) as refused:
        parse_length(text)
    assert reason in refused.value.problem
    assert parse_length(refused.value.example.split(",")[0]) > 0


def test_below_zero_only_where_it_makes_sense() -> None:
    assert parse_length("3' - 4'") == pytest.approx(-0.3048)
    with pytest.raises(UnitError, match="below zero"):
        parse_length("3' - 4'", negative=False)
    assert parse_length("0", negative=False) == 0


def test_the_longest_length_itself_is_accepted() -> None:
    assert parse_length("10000 m") == 10_000
    assert parse_length("-10000 m") == -10_000


def test_the_examples_in_messages_are_understood() -> None:
    for system in UnitSystem:
        with pytest.raises(UnitError) as refused:
            parse_length("?", system)
        for example in refused.value.example.replace(" or ", ", ").split(", "):
            assert 3 < parse_length(example, system) < 4


def test_feet_stay_feet_in_metric() -> None:
    assert parse_length("12' 6", METRIC) == parse_length("12' 6") == pytest.approx(12.5 * FOOT)
