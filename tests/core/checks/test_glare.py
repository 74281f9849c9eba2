"""Glare against published values: position index and a worked UGR example (tests/core/checks/data/README.md)."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from core.checks.glare import brightness, glare_terms, glare_threshold_limits, position_index, ugr
from core.light.sources import Source
from core.light.visibility import blockers_of
from core.photometry.distribution import Isotropic, Opal

PUBLISHED = json.loads((Path(__file__).parent / "data" / "ugr.json").read_text(encoding="utf-8"))
NOTHING = blockers_of(np.array([[[90.0, 90.0, 90.0], [91.0, 90.0, 90.0], [90.0, 91.0, 90.0]]]))
EYE = np.array([0.0, 0.0, 1.2])


def panel(aside: float, ahead: float, up: float = 1.8, lumens: float = 4000.0, side: float = 0.6) -> Source:
    """A square panel as seen by the eye, which looks along +x."""
    return Source((ahead, -aside, EYE[2] + up), side / 2, side / 2, 0.0, False, lumens, Opal())


def seen(*sources: Source, indirect: float = 40.0 * math.pi, blockers=NOTHING) -> float:
    share = np.full(len(sources), indirect / len(sources))
    return glare_terms(EYE, 0.0, sources, blockers, share).ugr(np.ones(len(sources)))


@pytest.mark.parametrize("tau", PUBLISHED["guth"])
def test_position_index_equals_the_published_table(tau):
    for sigma, expected in PUBLISHED["guth"][tau].items():
        assert position_index(float(sigma), float(tau)) == pytest.approx(expected, abs=6e-6)


def test_worked_example_of_four_panels():
    four = [panel(t, r) for t, r in ((0, 2.5), (0, 5), (1.5, 3), (-1.5, 3))]
    terms = glare_terms(EYE, 0.0, tuple(four), NOTHING, np.full(4, 10.0 * math.pi))
    assert terms.terms == pytest.approx([source["term"] for source in PUBLISHED["sources"]], rel=1e-4)
    assert terms.ugr(np.ones(4)) == pytest.approx(PUBLISHED["UGR"], abs=0.002)
    assert terms.luminance == pytest.approx(np.full(4, PUBLISHED["inputs"]["L"]), rel=1e-6)


def test_single_source_of_the_published_example():
    given = PUBLISHED["single"]
    assert ugr(given["Lb"], given["L"] ** 2 * given["omega"] / given["p"] ** 2) == pytest.approx(given["UGR"], abs=1e-4)


def test_doubling_rules_of_the_formula():
    """CIE 117: doubling the luminance +4.816, the background -2.408, the area at equal lumens -2.408."""
    one = seen(panel(0, 4))
    assert seen(panel(0, 4, lumens=8000.0)) - one == pytest.approx(16 * math.log10(2), abs=1e-6)
    assert seen(panel(0, 4), indirect=80 * math.pi) - one == pytest.approx(-8 * math.log10(2), abs=1e-6)
    small, large = panel(0, 6, side=0.3), panel(0, 6, side=0.3 * math.sqrt(2))
    assert seen(large) - seen(small) == pytest.approx(-8 * math.log10(2), abs=1e-6)


def test_a_dimmed_source_loses_luminance_and_background():
    terms = glare_terms(EYE, 0.0, (panel(0, 4),), NOTHING, np.array([100.0]))
    assert terms.ugr(np.array([1.0])) - terms.ugr(np.array([0.5])) == pytest.approx(8 * math.log10(2))


def test_what_cannot_be_seen_does_not_glare():
    wall = blockers_of(np.array([[[1.0, -9, -9], [1.0, 9, -9], [1.0, 0, 30.0]]]))
    assert seen(panel(0, 3), blockers=wall) == 10.0
    assert seen(panel(0, -3)) == 10.0
    assert seen(panel(0, 3, up=-0.5)) == 10.0
    assert seen(panel(10, 3)) == 10.0, "T/R beyond 3"
    assert seen(panel(0, 0.8)) == 10.0, "hidden by the brow"
    assert seen(panel(0, 3)) > 15.0


def test_a_long_strip_is_cut_into_pieces_that_add_up():
    strip = Source((3.0, 0.0, 3.0), 1.2, 0.05, 0.0, False, 5000.0, Opal())
    whole = glare_terms(EYE, 0.0, (strip,), NOTHING, np.ones(1)).terms[0]
    halves = tuple(Source((3.0 + d, 0.0, 3.0), 0.6, 0.05, 0.0, False, 2500.0, Opal()) for d in (-0.6, 0.6))
    assert glare_terms(EYE, 0.0, halves, NOTHING, np.ones(2)).terms.sum() == pytest.approx(whole, rel=0.01)


def test_a_point_counts_by_the_small_source_form():
    """CIE 146/147: L^2 omega is 200 I^2 / d^2."""
    point = Source((4.0, 0.0, 2.2), 0.0, 0.0, 0.0, False, 1000.0, Isotropic())
    distance = math.hypot(4.0, 1.0)
    sigma = math.degrees(math.asin(1.0 / distance))
    expected = 200.0 * (1000.0 / (4 * math.pi)) ** 2 / distance**2 / float(position_index(sigma, 0.0)) ** 2
    assert glare_terms(EYE, 0.0, (point,), NOTHING, np.ones(1)).terms[0] == pytest.approx(expected, rel=1e-9)


def test_limits_of_validity_are_told():
    assert "1.5 m2" in glare_threshold_limits(2.0, 0.01)
    assert "sr" in glare_threshold_limits(0.5, 0.2)
    assert glare_threshold_limits(0.36, 0.02) == ""
    near = glare_terms(EYE, 0.0, (panel(0, 1.0, up=0.8, side=1.0),), NOTHING, np.ones(1))
    assert near.limits[0]


def test_a_lambertian_opening_is_equally_bright_from_everywhere():
    """L = Phi / (pi A)."""
    for place in ((0.0, 0.0, 0.0), (3.0, 1.0, 0.5)):
        assert brightness(panel(0, 2), np.array(place)) == pytest.approx(4000.0 / (math.pi * 0.36))
