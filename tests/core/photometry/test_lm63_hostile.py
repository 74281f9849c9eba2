"""Files from strangers: whatever comes in, a sound web or a `PhotometryError` comes out."""

import random
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from core.photometry.lm63 import PhotometryError, read_lm63
from core.photometry.lm63_text import MOST_BYTES, is_plain_number
from core.photometry.web import Web
from tests.core.photometry.samples import GOOD, SMALLEST, direction, lm63_text, sample, sphere_integral

ROUND = direction(np.linspace(0.0, 180.0, 7)[:, None], np.linspace(0.0, 360.0, 9)[None, :])


def read_or_refuse(data: bytes | str) -> bool:
    """Whether the data are read. Any error but `PhotometryError`, or an unsound result, fails the test."""
    try:
        read = read_lm63(data)
    except PhotometryError as error:
        refusal = error
    else:
        _check_web(read.web)
        return True
    line_ends = (b"\n", b"\r") if isinstance(data, bytes) else ("\n", "\r")
    assert 0 <= refusal.line <= 1 + sum(map(data.count, line_ends))
    assert refusal.reason
    assert str(refusal).isprintable()
    return False


def _check_web(web: Web) -> None:
    assert 0.0 < web.flux < np.inf
    found = web.intensity(ROUND)
    assert np.all((found >= 0.0) & np.isfinite(found))


# Hypothesis ------------------------------------------------------------------------------------------------

PLAIN = "0 -0 1 -1 1.0 0.5 90 180 270 360 2 3 19 1000 1001 1e9 1e308 1e-320"
ALIEN = ["1e999", "nan", "inf", "-inf", "1_000", "0x10", "٣", "TILT=NONE", "[MORE]", "1" + "0" * 400, "5,,6"]
ODD = st.sampled_from([*PLAIN.split(), *ALIEN, "", "\n", "\r", "\0"])
NUMBER = st.one_of(ODD, st.integers(-5, 400).map(str), st.floats().map(repr), st.text(max_size=4))


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=400))
@example(b"\xff\xfe")
@example(b"\xff\xfeT\0I\0L\0T\0=\0N\0O\0N\0E\0\n")
def test_any_bytes(data):
    read_or_refuse(data)
    read_or_refuse(b"IESNA91\nTILT=NONE\n" + data)


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=300))
def test_any_text(text):
    read_or_refuse(text)
    read_or_refuse("IESNA:LM-63-2002\n" + text + "\nTILT=NONE\n" + text)


@settings(deadline=None, max_examples=400)
@given(
    st.sampled_from(["IESNA91", "IESNA:LM-63-1995", "IES:LM-63-2019", "", "\ufeffIESNA:LM-63-2002"]),
    st.lists(NUMBER, max_size=40),
)
def test_any_numbers(id_line, numbers):
    read_or_refuse(f"{id_line}\nTILT=NONE\n" + " ".join(numbers))


@settings(deadline=None, max_examples=400)
@given(st.lists(st.tuples(st.integers(0, 17), NUMBER), max_size=3))
def test_numbers_of_a_good_file_replaced(changes):
    numbers = SMALLEST.split()
    for at, token in changes:
        numbers[at] = token
    read_or_refuse("IESNA91\nTILT=NONE\n" + " ".join(numbers))


@given(st.one_of(st.text(max_size=12), st.from_regex(r"[-+0-9._eE]{1,12}", fullmatch=True)))
def test_a_plain_number_is_a_finite_number(token):
    if is_plain_number(token):
        assert np.isfinite(float(token))
        assert token.isascii()
        assert not set(token.lower()) & set("_nixft")


@settings(deadline=None, max_examples=60)
@given(
    st.integers(2, 12),
    st.sampled_from([(0,), (0, 33, 90), (0, 100, 180), (90, 111, 270), (0, 200, 360)]),
    st.data(),
)
def test_what_is_written_is_read(count, horizontal, data):
    vertical = tuple(90.0 * i / (count - 1) for i in range(count))
    values = st.lists(st.floats(0.0, 1e6), min_size=count, max_size=count)
    candela = [data.draw(values) for _ in horizontal]
    candela[0][0], candela[0][-1] = 10.0, 10.0
    heading = "IESNA:LM-63-1995\nTILT=NONE"
    read = read_lm63(lm63_text(heading=heading, vertical=vertical, horizontal=horizontal, candela=candela))
    assert read.web.vertical_deg == vertical
    assert read.web.horizontal_deg == horizontal
    assert read.web.candela == tuple(map(tuple, candela))
    if horizontal[-1] != 360:
        assert sphere_integral(read.web) == pytest.approx(1.0, abs=1e-4)


# 10,000 damaged files --------------------------------------------------------------------------------------

HUGE = [b"1e308", b"9" * 400, b"1e999", b"-1e308", b"4294967296", b"1000000000", b"0.0000000001", b"1e-320"]
JUNK = [
    b"\0",
    b"\xff\xfe",
    b"\xef\xbb\xbf",
    b"\x1a",
    b"\r",
    b"\n",
    b",",
    b"[",
    b"]",
    b"\xc2\xa0",
    b"\x85",
    b"-",
]
WORDS = [
    b"nan",
    b"inf",
    b"-inf",
    b"NaN",
    b"1_000",
    b"0x1F",
    b"TILT=INCLUDE",
    b"x",
    b"\xd9\xa3",
    b"-5",
    b"0",
    b"1.5",
]

Mutation = Callable[[bytes, random.Random], bytes]


def _pieces(separator: bytes, change: Callable[[list[bytes], random.Random], None]) -> Mutation:
    def mutate(data: bytes, rng: random.Random) -> bytes:
        pieces = data.split(separator)
        change(pieces, rng)
        return separator.join(pieces)

    return mutate


def _delete(pieces: list[bytes], rng: random.Random) -> None:
    del pieces[rng.randrange(len(pieces))]


def _duplicate(pieces: list[bytes], rng: random.Random) -> None:
    pieces.insert(rng.randrange(len(pieces) + 1), pieces[rng.randrange(len(pieces))])


def _swap(pieces: list[bytes], rng: random.Random) -> None:
    a, b = rng.randrange(len(pieces)), rng.randrange(len(pieces))
    pieces[a], pieces[b] = pieces[b], pieces[a]


def _replace(choice: list[bytes]) -> Callable[[list[bytes], random.Random], None]:
    def change(pieces: list[bytes], rng: random.Random) -> None:
        pieces[rng.randrange(len(pieces))] = rng.choice(choice)

    return change


def _digit(data: bytes, rng: random.Random) -> bytes:
    at = [index for index, byte in enumerate(data) if chr(byte).isdigit()]
    if not at:
        return data
    index = rng.choice(at)
    return data[:index] + rng.choice(b"0123456789-.e").to_bytes(1, "little") + data[index + 1 :]


def _truncate(data: bytes, rng: random.Random) -> bytes:
    return data[: rng.randrange(len(data) + 1)]


def _junk(data: bytes, rng: random.Random) -> bytes:
    at = rng.randrange(len(data) + 1)
    return data[:at] + rng.choice([*JUNK, rng.randbytes(5)]) + data[at:]


def _flip(data: bytes, rng: random.Random) -> bytes:
    if not data:
        return data
    at = rng.randrange(len(data))
    return data[:at] + rng.randbytes(1) + data[at + 1 :]


def _repeat(data: bytes, rng: random.Random) -> bytes:
    return data + data[rng.randrange(len(data) + 1) :]


MUTATIONS: list[Mutation] = [
    *(_pieces(mark, change) for mark in (b" ", b"\n") for change in (_delete, _duplicate, _swap)),
    _pieces(b" ", _replace(HUGE)),
    _pieces(b" ", _replace(WORDS)),
    _pieces(b"\n", _replace(HUGE + WORDS)),
    _digit,
    _digit,
    _truncate,
    _junk,
    _flip,
    _repeat,
]
CHUNKS, CHUNK = 10, 1000


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_damaged_files(chunk):
    rng = random.Random(6300 + chunk)
    originals = [sample(name) for name in GOOD]
    read = 0
    for _ in range(CHUNK):
        data = rng.choice(originals)
        for _ in range(rng.choice((1, 1, 1, 2, 3, 8))):
            data = rng.choice(MUTATIONS)(data, rng)
        read += read_or_refuse(data)
    # Both outcomes must be common, or the damage tests nothing.
    assert 0.05 * CHUNK < read < 0.8 * CHUNK


# Sizes that would make a careless reader hang --------------------------------------------------------------

FILL = MOST_BYTES // 3  # a reader of quadratic cost would not come back from this either
SLOW = {
    "more lines": "IESNA91\n[A] x\n" + "[MORE] y\n" * (FILL // 9),
    "one keyword again and again": "IESNA91\n" + "[A] y\n" * (FILL // 6),
    "many keywords": "IESNA91\n" + "".join(f"[{i}]\n" for i in range(400_000)),
    "open brackets": "[" * FILL,
    "blanks": " " * FILL,
    "line ends": "\r\n" * (FILL // 2),
    "lone CR": "\r" * FILL,
    "one token": "IESNA91\nTILT=NONE\n" + "1" * FILL,
    "commas": "IESNA91\nTILT=NONE\n" + "," * FILL,
    "exponents": "IESNA91\nTILT=NONE\n" + "1e" * (FILL // 2),
    "numbers after the end": lm63_text(after="1 " * (FILL // 2)),
    "words after the end": lm63_text(after="x " * (FILL // 2)),
    "numbers without tilt": "1 2 3x\n" * (FILL // 7),
    "nearly tilt": "TILT " * (FILL // 5),
    "blanks before tilt": (" " * 5000 + "TILT\n") * 900,
    "nearly an id line": "IES" + " :" * (FILL // 2),
    "binary": "\r\n" * (FILL // 2 - 1) + "\0",
}


@pytest.mark.parametrize("text", SLOW.values(), ids=SLOW.keys())
def test_no_text_hangs_the_reader(text):
    """No clock is read: a reader of quadratic cost would simply not come back."""
    read_or_refuse(text.encode())


def test_the_largest_table_is_read():
    """500 x 600 values, 3 MB."""
    vertical = [180.0 * i / 499 for i in range(500)]
    horizontal = [360.0 * i / 600 for i in range(600)]
    text = lm63_text(vertical=vertical, horizontal=horizontal, candela=[["100.125"] * 500] * 600)
    read = read_lm63(text)
    assert read.web.flux == pytest.approx(4.0 * np.pi * 100.125, rel=1e-9)
    np.testing.assert_allclose(read.web.intensity(ROUND), 1.0 / (4.0 * np.pi), rtol=1e-9)
