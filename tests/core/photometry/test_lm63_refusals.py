"""Every reason to refuse an LM-63 file, with the line it is blamed on."""

import os
import re
import tracemalloc

import pytest

from core.photometry.lm63 import PhotometryError, read_lm63, read_lm63_file
from tests.core.photometry.samples import EXPECTED, FOLDER, SMALLEST, lm63_text, sample

TEN = "1 -1 1 {vertical} {horizontal} 1 2 0.6 1.2 0"


def refusal(data: bytes | str) -> PhotometryError:
    with pytest.raises(PhotometryError) as caught:
        read_lm63(data)
    return caught.value


def ten(**changed: str) -> str:
    names = (
        "lamps",
        "lumens",
        "multiplier",
        "vertical",
        "horizontal",
        "kind",
        "units",
        "width",
        "length",
        "height",
    )
    return " ".join(changed.get(name, given) for name, given in zip(names, TEN.split(), strict=True))


def test_the_bad_samples():
    """expected.json says what is wrong with each."""
    wanted = {
        "bad1_short_candela.ies": (13, "18 candela values where 19 are declared"),
        "bad2_vertical_not_ascending.ies": (11, "vertical angle 35 follows 40"),
        "bad3_last_horizontal_135.ies": (12, "last horizontal angle is 135"),
        "bad4_no_tilt.ies": (8, "no TILT= line"),
    }
    assert wanted.keys() == EXPECTED["bad"].keys()
    for name, (line, reason) in wanted.items():
        error = refusal(sample(name))
        assert error.line == line
        assert reason in error.reason
        assert str(error) == f"line {line}: {error.reason}"


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("", 1, "empty"),
        (" \r\n \r\n", 1, "empty"),
        ("a letter\nto a friend", 2, "without a TILT= line"),
        (lm63_text(heading="x\nTILT=INCLUDE"), 2, "TILT=INCLUDE"),
        (lm63_text(heading="x\nTILT=LAMP.TLT"), 2, "'LAMP.TLT' points to another file"),
        (lm63_text(heading="x\nTILT="), 2, "nothing follows TILT="),
        ("IESNA:LM-63-2002\nTILT=NONE", 2, "ends where the number of lamps should follow"),
        ("IESNA:LM-63-2002\nTILT=NONE\n1 -1\n\n", 3, "ends where the candela multiplier should follow"),
        (lm63_text(heading="x\n[A] b\0c\nTILT=NONE"), 2, "binary data"),
    ],
)
def test_heading(text, line, reason):
    error = refusal(text)
    assert error.line == line
    assert reason in error.reason


@pytest.mark.parametrize(
    ("changed", "reason"),
    [
        ({"lamps": "0"}, "number of lamps is 0"),
        ({"lamps": "1.5"}, "number of lamps is 1.5"),
        ({"lamps": "1e9"}, "absurd"),
        ({"lumens": "0"}, "0 lumens per lamp"),
        ({"lumens": "-2"}, "-2 lumens per lamp"),
        ({"multiplier": "0"}, "candela multiplier is 0"),
        ({"multiplier": "-1"}, "candela multiplier is -1"),
        ({"vertical": "0"}, "number of vertical angles is 0"),
        ({"vertical": "-19"}, "number of vertical angles is -19"),
        ({"vertical": "19.5"}, "whole number"),
        ({"vertical": "1001"}, "more than 1000 is absurd"),
        ({"horizontal": "0"}, "number of horizontal angles is 0"),
        ({"horizontal": "1e6"}, "more than 1000 is absurd"),
        ({"kind": "2"}, "Type B"),
        ({"kind": "3"}, "Type A"),
        ({"kind": "4"}, "photometric type is 4"),
        ({"kind": "1.5"}, "photometric type is 1.5"),
        ({"units": "0"}, "units type is 0"),
        ({"units": "3"}, "units type is 3"),
        ({"width": "1e300"}, "width of the luminous opening"),
        ({"height": "-2000"}, "height of the luminous opening"),
    ],
)
def test_ten_numbers(changed, reason):
    error = refusal(lm63_text(ten=ten(**changed)))
    assert error.line == 4
    assert reason in error.reason


@pytest.mark.parametrize(
    ("three", "reason"),
    [
        ("0 1 40", "ballast factor is 0"),
        ("-1 1 40", "ballast factor is -1"),
        ("1e300 1 40", "absurd"),
        ("1 x 40", "'x' stands where"),
        ("1 1 40W", "'40W' stands where the input watts"),
    ],
)
def test_three_numbers(three, reason):
    error = refusal(lm63_text(three=three))
    assert error.line == 5
    assert reason in error.reason


def test_ballast_lamp_factor_of_1991():
    error = refusal(lm63_text(heading="IESNA91\n[TEST] none\nTILT=NONE", three="1 0 40"))
    assert (error.line, "ballast-lamp photometric factor is 0" in error.reason) == (5, True)


@pytest.mark.parametrize(
    ("vertical", "horizontal", "candela", "line", "reason"),
    [
        ((0,), (0,), ((5,),), 6, "at least two vertical angles"),
        ((5, 90), (0,), ((5, 5),), 6, "first vertical angle is 5"),
        ((-90, 90), (0,), ((5, 5),), 6, "first vertical angle is -90"),
        ((0, 85), (0,), ((5, 5),), 6, "last vertical angle is 85"),
        ((0, 200), (0,), ((5, 5),), 6, "last vertical angle is 200"),
        ((0, 45, 45, 90), (0,), ((5,) * 4,), 6, "vertical angle 45 follows 45"),
        ((0, 90), (45,), ((5, 5),), 7, "first horizontal angle is 45"),
        ((0, 90), (0, 400), ((5, 5),) * 2, 7, "last horizontal angle is 400"),
        ((0, 90), (90, 180), ((5, 5),) * 2, 7, "270"),
        ((0, 90), (90,), ((5, 5),), 7, "270"),
        ((0, 90), (0, 90, 45), ((5, 5),) * 3, 7, "horizontal angle 45 follows 90"),
        ((0, 90), (0,), ((5, -1),), 8, "candela value -1 is below zero"),
        ((0, 90), (0,), ((5, "1e200"),), 8, "larger than any lamp"),
        ((0, 90), (0,), ((0, 0),), 8, "no light"),
        ((0, 90), (0,), ((0, "1e-300"),), 8, "no light"),
        ((0, 90), (0, 90), ((5, 5), (5,)), 9, "3 candela values where 4 are declared"),
        ((0, 90), (0,), ((5,),), 8, "1 candela value where 2 are declared"),
        ((0, 90), (0,), ((5, 5, 5),), 8, "more candela values follow than the 2"),
        ((0, 90), (0,), ((5, 5), (5, 5)), 9, "more candela values follow than the 2"),
        ((0, 90), (0,), ((5, "END"),), 8, "'END' stands where candela value 2 of 2 should be"),
    ],
)
def test_angles_and_candela(vertical, horizontal, candela, line, reason):
    error = refusal(lm63_text(vertical=vertical, horizontal=horizontal, candela=candela))
    assert error.line == line
    assert reason in error.reason


def test_one_angle_less_than_declared():
    """The next number, the horizontal 0, is taken for an angle; the message says that one may be missing."""
    error = refusal(lm63_text(ten=TEN.replace("{vertical}", "3"), vertical=(0, 90), candela=((5, 5),)))
    assert "0 follows 90" in error.reason
    assert "fewer than the declared 3" in error.reason


SNEAKY = [
    "nan",
    "NaN",
    "inf",
    "-inf",
    "Infinity",
    "1_000",
    "0x10",
    "1e999",
    "-1e999",
    "1" + "0" * 400,
    "1" * 5000,
    "1." + "0" * 100,
    "٣",
    "１２",
    "²",
    "1j",
    "1.2.3",
    "--1",
    "1e",
    ".",
    "+",
    "1,e5x",
    "1d3",
    "5\u00a06",
    "5\u20036",
    "1\u200b",
    "None",
    "True",
]


@pytest.mark.parametrize("token", SNEAKY, ids=ascii)
@pytest.mark.parametrize("place", [0, 2, 3, 7, 11])
def test_only_plain_numbers_are_numbers(token, place):
    numbers = SMALLEST.split()
    assert read_lm63("IESNA91\nTILT=NONE\n" + " ".join(numbers)).web.candela == ((100.0, 50.0),)
    for at in (place, 13, 16):
        error = refusal("IESNA91\nTILT=NONE\n" + " ".join([*numbers[:at], token, *numbers[at + 1 :]]))
        assert error.line == 3
        assert "no finite number" in error.reason
        assert len(str(error)) < 300


def test_messages_are_short_and_printable():
    error = refusal("IESNA91\nTILT=NONE\n\x1b[31m" + "é" * 10_000)
    assert str(error).isprintable()
    assert len(str(error)) < 200


def test_disorder_is_blamed_on_its_own_line():
    text = lm63_text(vertical=("0\n30", "60\n\n50", "90"), candela=((5,) * 5,))
    error = refusal(text.replace(" 3 1 1 2 ", " 5 1 1 2 "))
    assert error.line == 9
    assert "50 follows 60" in error.reason


# Size and memory -------------------------------------------------------------------------------------------


def peak_bytes(text: bytes) -> int:
    tracemalloc.start()
    try:
        refusal(text)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(("vertical", "horizontal"), [(1000, 1000), (1_000_000, 1000), (1000, 1_000_000)])
def test_declared_values_cost_no_memory(vertical, horizontal):
    angles = " ".join(str(90.0 * i / 999) for i in range(1000))
    if vertical > 1000:
        angles = ""
    numbers = f"1 -1 1 {vertical} {horizontal} 1 2 0.6 1.2 0\n1 1 40\n{angles}\n0 1 2 3 4 5 6 7 8 9"
    assert peak_bytes(f"IESNA91\nTILT=NONE\n{numbers}".encode()) < 1_000_000


def test_full_angles_and_ten_of_a_million_values():
    vertical = " ".join(str(90.0 * i / 999) for i in range(1000))
    horizontal = " ".join(str(90.0 * i / 999) for i in range(1000))
    text = f"IESNA91\nTILT=NONE\n1 -1 1 1000 1000 1 2 0 0 0 1 1 40\n{vertical}\n{horizontal}\n" + "5 " * 10
    error = refusal(text)
    assert error.line == 6
    assert "10 candela values where 1000000 are declared" in error.reason
    assert peak_bytes(text.encode()) < 1_000_000


def test_a_file_of_100_mb_is_refused_unread(tmp_path, monkeypatch):
    path = tmp_path / "large.ies"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    monkeypatch.setattr("builtins.open", lambda *_: pytest.fail("opened"))
    with pytest.raises(PhotometryError, match=re.escape("the file is 100.0 MB large")) as caught:
        read_lm63_file(path)
    assert caught.value.line == 0


@pytest.mark.parametrize("data", [b"x" * 5_000_001, "x" * 5_000_001], ids=["bytes", "text"])
def test_large_data_is_refused(data):
    assert "5.0 MB large" in refusal(data).reason


def test_paths_that_are_no_files(tmp_path):
    for path in (tmp_path, tmp_path / "missing.ies", "a\0b", "x" * 5000):
        with pytest.raises(PhotometryError) as caught:
            read_lm63_file(path)
        assert caught.value.line == 0
        assert caught.value.reason


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.ies")
    with pytest.raises(PhotometryError, match="ordinary file"):
        read_lm63_file(tmp_path / "pipe.ies")


def test_good_files_are_not_refused():
    """The other side of all of the above."""
    assert read_lm63(lm63_text()).warnings == ()
    assert read_lm63_file(str(FOLDER / "batwing.ies")).warnings == ()
