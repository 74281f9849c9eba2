"""Closed forms of the distributions against published point-source values and their own integral."""

import doctest
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.photometry import distribution as module
from core.photometry.distribution import CosinePower, Distribution, Isotropic, Opal
from tests.core.photometry.samples import direction, sphere_integral

DOWN, UP = np.array([0.0, 0.0, -1.0]), np.array([0.0, 0.0, 1.0])
EVERY = [Opal(), Opal(0.3), Opal(1.0), CosinePower(0.0), CosinePower(1.0, 0.4), CosinePower(6.5), Isotropic()]


def horizontal_illuminance(distribution: Distribution, lumens: float, height: float, aside: np.ndarray) -> np.ndarray:
    """Inverse square and cosine law for a point source `height` above a plane, `aside` from its foot."""
    distance = np.hypot(aside, height)
    toward = np.stack([aside, 0.0 * aside, np.full_like(aside, -height)], axis=-1) / distance[:, None]
    return lumens * distribution.intensity(toward) * height / distance**3


def test_isotropic_point_source():
    # CIE 171:2006 case 5.2 rebuilt from its formula: 10,000 lm, 3 m, r = 0..5 m; computed with scipy.
    wanted = [88.4194, 75.4938, 50.9327, 31.2610, 19.0986, 12.0418]
    found = horizontal_illuminance(Isotropic(), 10_000.0, 3.0, np.arange(6.0))
    np.testing.assert_allclose(found, wanted, atol=6e-5)


def test_opal_point_source():
    # E = I0 h2 / d4 (Lambert's law and the inverse square law), I0 = 1000 cd, h = 2 m, x = 0..3 m.
    found = horizontal_illuminance(Opal(), 1000.0 * math.pi, 2.0, np.arange(4.0))
    np.testing.assert_allclose(found, [250.0, 160.0, 62.5, 23.6686], atol=6e-5)


@pytest.mark.parametrize("exponent", [0.0, 1.0, 2.0, 3.5, 20.0])
def test_cosine_power_follows_its_formula(exponent):
    gamma = np.linspace(0.0, 89.9, 50)
    wanted = (exponent + 1.0) / (2.0 * math.pi) * np.cos(np.radians(gamma)) ** exponent
    np.testing.assert_allclose(CosinePower(exponent).intensity(direction(gamma, 33.0)), wanted, rtol=1e-12)


def test_exponent_one_is_lambert():
    toward = direction(np.linspace(0.0, 180.0, 91), np.linspace(0.0, 360.0, 91))
    np.testing.assert_allclose(CosinePower(1.0, 0.25).intensity(toward), Opal(0.25).intensity(toward), atol=1e-15)
    assert CosinePower(1.0).is_lambertian
    assert not CosinePower(1.5).is_lambertian


@pytest.mark.parametrize("distribution", EVERY, ids=repr)
def test_one_lumen_leaves_per_lumen(distribution):
    assert sphere_integral(distribution) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0.0, 200.0), st.floats(0.0, 1.0))
def test_one_lumen_leaves_whatever_the_beam(exponent, share):
    assert sphere_integral(CosinePower(exponent, share)) == pytest.approx(1.0, abs=1e-5)
    assert sphere_integral(Opal(share)) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize("distribution", [Opal(0.3), CosinePower(4.0, 0.3)], ids=repr)
def test_upward_share_is_lambertian_and_leaves_upward(distribution):
    assert distribution.intensity(UP) == pytest.approx(0.3 / math.pi)
    assert distribution.intensity(direction(120.0, 10.0)) == pytest.approx(0.15 / math.pi)


@pytest.mark.parametrize("distribution", [Opal(), CosinePower(0.0), CosinePower(3.0)], ids=repr)
def test_without_a_share_nothing_leaves_upward(distribution):
    assert np.all(distribution.intensity(direction(np.linspace(90.01, 180.0, 20), 0.0)) == 0.0)
    assert distribution.intensity(DOWN) > 0.0


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
@pytest.mark.parametrize("distribution", EVERY, ids=repr)
def test_shape_and_precision_are_kept(distribution, dtype):
    toward = direction(np.linspace(0.0, 180.0, 12), 20.0, dtype).reshape(3, 4, 3)
    found = distribution.intensity(toward)
    assert found.shape == (3, 4)
    assert found.dtype == dtype
    np.testing.assert_allclose(found, distribution.intensity(toward.astype(np.float64)), rtol=1e-5, atol=1e-7)


@pytest.mark.parametrize("distribution", EVERY, ids=repr)
def test_is_a_value(distribution):
    twin = type(distribution)(**vars(distribution))
    assert twin == distribution
    assert hash(twin) == hash(distribution)
    assert isinstance(distribution, Distribution)


@pytest.mark.parametrize("share", [-0.1, 1.1, math.nan, math.inf])
def test_share_outside_zero_to_one_is_refused(share):
    with pytest.raises(ValueError, match="between 0 and 1"):
        Opal(share)
    with pytest.raises(ValueError, match="between 0 and 1"):
        CosinePower(2.0, share)


@pytest.mark.parametrize("exponent", [-1.0, math.nan, math.inf])
def test_absurd_exponent_is_refused(exponent):
    with pytest.raises(ValueError, match="exponent"):
        CosinePower(exponent)


def test_examples_in_the_docstrings():
    assert doctest.testmod(module).failed == 0
