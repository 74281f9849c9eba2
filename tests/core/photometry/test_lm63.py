"""LM-63 files that must be read, and what is read from them."""

import numpy as np
import pytest

from core.photometry.angles import Symmetry
from core.photometry.lm63 import read_lm63, read_lm63_file
from core.photometry.lm63_heading import Edition
from core.photometry.opening import OpeningShape
from tests.core.photometry.samples import (
    EXPECTED,
    FOLDER,
    GOOD,
    LAMBERTIAN_CANDELA,
    LAMBERTIAN_GAMMA,
    direction,
    lm63_text,
    sample,
)

EXACT_LM = EXPECTED["lambertian"]["piecewise_linear_exact_lm"]
SHORT = {"vertical": (0, 45, 90), "candela": ((100, 70, 0),)}


def edition_heading(id_line: str) -> str:
    return f"{id_line}\n[TEST] none\nTILT=NONE"


# The samples -----------------------------------------------------------------------------------------------


def test_lambertian_sample():
    read = read_lm63_file(FOLDER / "lambertian.ies")
    assert read.name == "lambertian.ies"
    assert read.title == "ideal flat Lambertian panel 0.6 m x 0.6 m"
    assert read.edition is Edition.OF_2002
    assert read.is_absolute
    assert read.lamp_lumens is None
    assert read.lamps == 1
    assert read.input_watts == 40.0
    assert (read.opening.shape, read.opening.width, read.opening.length) == (OpeningShape.RECTANGLE, 0.6, 0.6)
    assert read.keywords["MANUFAC"] == "none (test data)"
    assert read.warnings == ()
    assert read.web.vertical_deg == LAMBERTIAN_GAMMA
    assert read.web.candela == (LAMBERTIAN_CANDELA,)


def test_messy_sample_says_the_same():
    read = read_lm63(sample("lambertian_messy_cp1252.ies"))
    assert read.web == read_lm63(sample("lambertian.ies")).web
    assert read.edition is Edition.OF_1995
    assert read.keywords["MANUFAC"] == "Café Lumière (test data)\nsecond line"


def test_batwing_sample():
    read = read_lm63(sample("batwing.ies"))
    assert read.edition is Edition.OF_2019
    assert read.generation == "computer simulation"
    assert read.web.symmetry is Symmetry.QUADRANT
    # 0.5 by 4 ft, 1 ft = 0.3048 m exactly; width across, length along.
    assert read.opening.width == pytest.approx(0.1524)
    assert read.opening.length == pytest.approx(1.2192)


# What multiplies the candela -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("id_line", "three", "factor"),
    [
        ("IESNA:LM-63-1995", "0.9 0.5 40", 0.9),
        ("IESNA:LM-63-2002", "0.9 0.5 40", 0.9),
        ("IES:LM-63-2019", "0.9 1.10000 40", 0.9),
        ("IESNA91", "0.9 0.5 40", 0.45),
        ("a fixture of 1986", "0.9 0.5 40", 0.45),
    ],
)
def test_only_the_old_editions_have_a_ballast_lamp_factor(id_line, three, factor):
    read = read_lm63(lm63_text(heading=edition_heading(id_line), three=three))
    assert read.web.flux == pytest.approx(factor * EXACT_LM, rel=1e-9)
    assert any("ballast-lamp factor" in warning for warning in read.warnings) == (factor == 0.45)


def test_multiplier_scales_and_lumens_do_not():
    rated = read_lm63(lm63_text(ten="2 2000 0.5 {vertical} {horizontal} 1 2 0.6 1.2 0"))
    assert rated.web.flux == pytest.approx(0.5 * EXACT_LM, rel=1e-9)
    assert rated.lamp_lumens == 4000.0
    assert rated.web.lumens == 4000.0
    assert not rated.is_absolute
    assert rated.web.efficiency == pytest.approx(0.5 * EXACT_LM / 4000.0)
    absolute = read_lm63(lm63_text())
    toward = direction(np.linspace(0.0, 90.0, 7), 0.0)
    np.testing.assert_allclose(rated.web.intensity(toward), absolute.web.intensity(toward), rtol=1e-12)


def test_more_light_than_the_lamps_give_is_warned_of():
    read = read_lm63(lm63_text(ten="1 1000 1 {vertical} {horizontal} 1 2 0.6 1.2 0"))
    assert any("314%" in warning for warning in read.warnings)


@pytest.mark.parametrize(
    ("label", "meaning"),
    [
        ("1.00001", "not stated"),
        ("1.0001", "computer simulation"),
        ("1.10000", "accredited laboratory"),
        ("1.11100", "accredited laboratory, scaled and interpolated"),
        ("7", "not stated"),
    ],
)
def test_generation_type_is_a_label(label, meaning):
    """LM-63-2019, Table 2, as copied in an open source reader."""
    read = read_lm63(lm63_text(heading=edition_heading("IES:LM-63-2019"), three=f"1 {label} 40"))
    assert read.generation == meaning
    assert read.web.flux == pytest.approx(EXACT_LM, rel=1e-9)


# Editions --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("id_line", "edition"),
    [
        ("IESNA91", Edition.OF_1991),
        ("IESNA:LM-63-1995", Edition.OF_1995),
        ("iesna:lm-63-1995  ", Edition.OF_1995),
        ("  IESNA LM-63-2002", Edition.OF_2002),
        ("IES:LM-63-2019", Edition.OF_2019),
        ("\nIES:LM-63-2019", Edition.OF_2019),
        ("IESNA:LM-63-2044", Edition.OF_2002),
        ("strip light, drawing 7", Edition.OF_1986),
        ("", Edition.OF_1986),
    ],
)
def test_edition_by_the_id_line(id_line, edition):
    assert read_lm63(lm63_text(heading=edition_heading(id_line))).edition is edition


def test_guessed_editions_are_warned_of():
    unknown = read_lm63(lm63_text(heading=edition_heading("IESNA:LM-63-2044")))
    none = read_lm63(lm63_text(heading="strip light\nTILT=NONE"))
    assert any("2044" in warning for warning in unknown.warnings)
    assert any("no id line" in warning for warning in none.warnings)
    assert none.labels == ("strip light",)
    assert none.title == "strip light"


def test_keywords():
    keywords = "[MORE] stray\n[lumcat] A-1\n[MORE] long\n[_OWN]x\n[OTHER] one\n[OTHER] two\n[]\n[broken"
    heading = f"IESNA:LM-63-2002\n{keywords}\nTILT=NONE"
    read = read_lm63(lm63_text(heading=heading))
    assert read.keywords == {
        "MORE": "stray",
        "LUMCAT": "A-1\nlong",
        "_OWN": "x",
        "OTHER": "one\ntwo",
        "": "",
    }
    assert read.labels == ("[broken",)
    assert read.title == "A-1"


# What is tolerated -----------------------------------------------------------------------------------------

PLAIN = lm63_text()
TOLERATED = {
    "CR LF": PLAIN.replace("\n", "\r\n"),
    "CR": PLAIN.replace("\n", "\r"),
    "UTF-8 mark": "\ufeff" + PLAIN,
    "tabs": PLAIN.replace(" ", "\t"),
    "commas": PLAIN.replace("TILT=NONE\n", "TILT=NONE\f").replace(" ", ",").replace("TILT=NONE\f", "TILT=NONE\n"),
    "comma and blank": PLAIN.replace(" 5.0 ", " , 5.0 ,"),
    "every number on its own line": lm63_text(
        ten="1\n-1\n1\n{vertical}\n\n{horizontal}\n1\n2\n0.6\n1.2\n0", three="1\n1\n40"
    ).replace(".0 ", ".0\n"),
    "everything on one line": " ".join(PLAIN.split("\n"))
    .replace("63-2002 ", "63-2002\n")
    .replace("none ", "none\n")
    .replace("NONE ", "NONE\n"),
    "blank lines": PLAIN.replace("\n", "\n\n"),
    "no end of line": PLAIN.rstrip(),
    "spaced tilt": PLAIN.replace("TILT=NONE", "  Tilt = None  "),
    "lower case": PLAIN.replace("TILT=NONE", "tilt=none").replace("IESNA:LM", "iesna:lm"),
    "1.0 for 1": lm63_text(ten="1.0 -1.0 1 {vertical}.0 {horizontal}.0 1.0 2.0 0.6 1.2 0"),
    "exponents": lm63_text(ten="1 -1.0e0 +1.E+00 1.9E1 {horizontal} 1 2 .6 12e-1 -0"),
    "old end of file": PLAIN + "\x1a",
}


@pytest.mark.parametrize("text", TOLERATED.values(), ids=TOLERATED.keys())
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "utf-16"])
def test_tolerated(text, encoding):
    if encoding == "cp1252":
        text = text.lstrip("\ufeff").replace("[TEST] none", "[TEST] 0.6 m² — café")
    plain = read_lm63(PLAIN)
    for data in (text, text.encode(encoding)):
        read = read_lm63(data)
        assert read.web == plain.web
        assert read.opening == plain.opening
        assert read.input_watts == 40.0
        assert read.warnings == ()


def test_bytes_outside_every_code_page_do_no_harm():
    data = PLAIN.encode().replace(b"[TEST] none", b"[TEST] \x81\x8d\xff")
    assert read_lm63(data).web == read_lm63(PLAIN).web


def test_words_after_the_last_candela_are_warned_of():
    read = read_lm63(lm63_text(after="\n12 o'clock, end of test\nmore"))
    assert read.web == read_lm63(PLAIN).web
    assert read.warnings == ('line 10: text after the last candela value is ignored: "12 o\'clock end of test"',)


def test_watts_that_say_nothing():
    assert read_lm63(lm63_text(three="1 1 0")).input_watts is None
    negative = read_lm63(lm63_text(three="1 1 -40"))
    assert negative.input_watts is None
    assert any("watts" in warning for warning in negative.warnings)


def test_large_opening_is_warned_of():
    read = read_lm63(lm63_text(ten="1 -1 1 {vertical} {horizontal} 1 2 600 600 0"))
    assert any("600 m large" in warning for warning in read.warnings)


# Symmetries ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("horizontal", "kind"),
    [
        ((0,), Symmetry.AXIAL),
        ((0, 45, 90), Symmetry.QUADRANT),
        ((0, 90, 180), Symmetry.ACROSS_MIRRORED),
        ((90, 180, 270), Symmetry.ALONG_MIRRORED),
        ((0, 90, 270), Symmetry.NONE),
        ((0, 120, 350), Symmetry.NONE),
        ((0, 180, 360), Symmetry.NONE),
    ],
)
def test_symmetry_by_the_horizontal_angles(horizontal, kind):
    heading = edition_heading("IESNA:LM-63-1995")
    candela = ((100, 70, 0),) * len(horizontal)
    read = read_lm63(lm63_text(heading=heading, vertical=(0, 45, 90), horizontal=horizontal, candela=candela))
    assert read.web.symmetry is kind
    assert read.warnings == ()


def test_ninety_to_270_outside_1995_is_warned_of():
    text = lm63_text(vertical=(0, 45, 90), horizontal=(90, 180, 270), candela=((100, 70, 0),) * 3)
    assert any("1995" in warning for warning in read_lm63(text).warnings)


def test_vertical_angle_runs_fastest():
    text = lm63_text(vertical=(0, 90), horizontal=(0, 90), candela=((1, 2), (3, 4)))
    assert read_lm63(text).web.candela == ((1.0, 2.0), (3.0, 4.0))


@pytest.mark.parametrize("name", GOOD)
def test_full_circle_written_out_reads_the_same(name):
    web = read_lm63(sample(name)).web
    horizontal = range(0, 361, 15)
    nodes = direction(np.array(web.vertical_deg)[None, :], np.array(horizontal)[:, None])
    candela = (web.intensity(nodes) * web.flux).tolist()
    full = read_lm63(lm63_text(vertical=web.vertical_deg, horizontal=horizontal, candela=candela)).web
    toward = direction(np.linspace(0.0, 90.0, 19)[:, None], np.arange(0.0, 360.0, 15.0)[None, :])
    np.testing.assert_allclose(full.intensity(toward), web.intensity(toward), rtol=5e-3)
    assert full.flux == pytest.approx(web.flux, rel=5e-3)
