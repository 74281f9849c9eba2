"""Shadows: a shelf before a panel, a door sheet, a post, and the two ways of tracing rays against each other."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.light.visibility import HAS_EMBREE, EmbreeBlockers, NumpyBlockers
from core.photometry.distribution import CosinePower
from tests.core.light.rooms import lux_at, opal, sheet
from tests.published import published


def test_a_shelf_before_a_panel() -> None:
    """In the manner of CIE 171:2006, 5.7, rebuilt: the shelf is projected onto the panel's plane and subtracted.

    Source: tests/published/cie171_style.json, closed form equal to brute force. (Table 19 of the report itself is in
    error: I. Ashdown, "CIE 171:2006 - Errata", All Things Lighting, 2016.) What is open is exact; the seen share comes
    from 512 rays and is within 0.5 % of the open light.
    """
    case = published("cie171_style")["obstructed_panel"]["points"]
    panel, shelf = opal(0.0, 0.0, 2.4, 1.2, 0.6, 7200.0), sheet(0.0, -0.5, 1.0, 0.5, 1.8)
    points = [(row["x"], 0.0, 0.9) for row in case]
    bare = np.array([row["E_unobstructed"] for row in case])
    assert lux_at(panel, points) == pytest.approx(bare, rel=1e-5)
    shaded = lux_at(panel, points, blockers=shelf)
    assert shaded / bare == pytest.approx([row["shadow_ratio"] for row in case], abs=5e-3)


def test_a_beam_behind_an_edge() -> None:
    """A sheet whose edge lies right below the middle of a beam's opening halves the light there (by symmetry)."""
    beam = opal(0.0, 0.0, 2.4, 1.2, 0.3, 3000.0, 0.0, CosinePower(4.0))
    half = lux_at(beam, [(0.0, 0.0, 0.0)], blockers=sheet(0.0, -2.0, 3.0, 2.0, 1.0))[0]
    assert half / lux_at(beam, [(0.0, 0.0, 0.0)])[0] == pytest.approx(0.5, abs=5e-3)


def test_what_lies_beyond_the_source_or_behind_the_point_does_not_block() -> None:
    lamp = opal(0.0, 0.0, 2.0, 1.0, 0.2, 1000.0)
    for height in (2.001, -0.001):
        assert lux_at(lamp, [(0.0, 0.0, 0.0)], blockers=sheet(-5, -5, 5, 5, height)) == lux_at(lamp, [(0.0, 0.0, 0.0)])
    assert lux_at(lamp, [(0.0, 0.0, 0.0)], blockers=sheet(-5, -5, 5, 5, 1.0)) == [0.0]


@pytest.mark.skipif(not HAS_EMBREE, reason="no Embree on this machine")
@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 40), scale=st.sampled_from([0.1, 1.0, 30.0]))
def test_both_ways_of_tracing_agree(seed: int, count: int, scale: float) -> None:
    """Random triangles and rays: the same hits but for those that graze an edge (single precision against double)."""
    random = np.random.default_rng(seed)
    triangles = random.normal(size=(count, 3, 3)) * scale
    origins, directions = random.normal(size=(2, 500, 3)) * scale
    fast, plain = EmbreeBlockers(triangles), NumpyBlockers(triangles)
    assert (fast.occluded(origins, directions) != plain.occluded(origins, directions)).sum() <= 1
    (hit, far), (hit_too, far_too) = fast.first_hit(origins, directions), plain.first_hit(origins, directions)
    same = hit == hit_too
    assert (~same).sum() <= 1
    met = same & (hit >= 0)
    assert far[met] == pytest.approx(far_too[met], rel=1e-3, abs=1e-5)


def test_tracing_nothing() -> None:
    none = np.zeros((0, 3))
    triangles = np.array([[[0.0, 0.0, 1.0], [1.0, 0.0, 1.0], [0.0, 1.0, 1.0]]])
    kinds = [NumpyBlockers(triangles), *([EmbreeBlockers(triangles)] if HAS_EMBREE else [])]
    for blockers in kinds:
        assert blockers.occluded(none, none).shape == (0,)
        assert blockers.first_hit(none, none)[0].shape == (0,)
