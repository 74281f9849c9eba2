"""The exchange of light among patches against the same equations solved by LAPACK in double precision."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.light.grid import FloatArray
from core.light.transfer import SMALL_SYSTEM, Transfer
from core.light.views import Views

SIZES = (3, SMALL_SYSTEM, SMALL_SYSTEM + 1, 2 * SMALL_SYSTEM + 45)


def exchange(size: int, brightest: float, seed: int = 7) -> Transfer:
    """Factors at random, few of them large, with some light lost; reflectances from 0 to ``brightest``."""
    chance = np.random.default_rng(seed)
    factors = chance.random((size, size)) ** 8
    factors *= (chance.uniform(0.95, 1.0, size) / factors.sum(axis=1))[:, None]
    reflectance = np.concatenate([[brightest], chance.uniform(0.0, brightest, size - 1)])
    return Transfer(factors.astype(np.float32), reflectance, np.ones(size))


def wanted(transfer: Transfer, direct: FloatArray) -> FloatArray:
    system = np.eye(len(transfer.area)) - transfer.factors.astype(float) * transfer.reflectance
    return np.linalg.solve(system, direct)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("rows", [2, 200], ids=["few receivers", "many receivers"])
def test_what_is_carried_to_receivers(size: int, rows: int) -> None:
    """The operator of drag frames, whichever way it is worked out, within a hundred-thousandth of the light there."""
    transfer, chance = exchange(size, 0.95), np.random.default_rng(8)
    views, direct = transfer.factors[chance.integers(0, size, rows)], chance.random((size, 3))
    exact = (views.astype(float) * transfer.reflectance) @ wanted(transfer, direct)
    np.testing.assert_allclose(transfer.carried(views) @ direct, exact, rtol=1e-5)


@pytest.mark.parametrize("brightest", [0.5, 0.9, 0.999], ids=["dim", "bright", "too bright for bounces"])
def test_what_settles(brightest: float) -> None:
    transfer, chance = exchange(300, brightest), np.random.default_rng(9)
    direct = chance.random((300, 2))
    np.testing.assert_allclose(transfer.settle(direct), wanted(transfer, direct), rtol=2e-5)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 40), st.floats(0.0, 0.98), st.integers(0, 10_000))
def test_more_light_gives_more_light_everywhere(size: int, brightest: float, seed: int) -> None:
    transfer = exchange(size, brightest, seed)
    one = np.zeros((size, 1))
    one[seed % size] = 1.0
    assert (transfer.settle(one) >= one - 1e-6).all()
    assert (transfer.carried(transfer.factors) >= -1e-6).all()


def test_factors_are_the_shares_of_rays() -> None:
    """Three viewers of eight rays; tiles 0 and 1 make patch 0, tile 2 is patch 1; a ray that met nothing counts not."""
    tiles = np.array([[0, 0, 1, 1, 2, 2, 2, 2], [-1, -1, 0, 0, 0, 0, 0, 2], [2] * 8], dtype=np.int32)
    views = Views(tiles, np.full(3, 8), np.array([0, 0, 1]), 2)
    np.testing.assert_allclose(views.factors(), [[0.5, 0.5], [0.625, 0.125], [0.0, 1.0]])
    np.testing.assert_array_equal(views.factors(np.array([2, 0])), views.factors()[[2, 0]])
    np.testing.assert_allclose(views.gather(np.array([8.0, 0.0, 16.0])), [10.0, 7.0, 16.0])
