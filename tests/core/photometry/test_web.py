"""Tabulated webs: exact flux, exact nodes, symmetries, and interpolation against scipy's."""

import math
import pickle
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter
from scipy.integrate import quad
from scipy.interpolate import RegularGridInterpolator

from core.photometry.angles import Symmetry
from core.photometry.distribution import Distribution, Web
from core.photometry.lm63 import read_lm63
from tests.core.photometry.samples import EXPECTED, LAMBERTIAN_CANDELA, LAMBERTIAN_GAMMA, direction, sample
from tests.core.photometry.samples import sphere_integral as whole

RISING = (0.0, 17.0, 40.0, 61.5, 90.0)
HORIZONTALS = [
    (0.0,),
    (0.0, 30.0, 90.0),
    (0.0, 22.5, 45.0, 67.5, 90.0),
    (0.0, 45.0, 100.0, 180.0),
    (90.0, 120.0, 180.0, 251.0, 270.0),
    (0.0, 90.0, 200.0, 360.0),
    (0.0, 60.0, 120.0, 180.0, 240.0, 300.0),
    (0.0, 0.1234567, 180.0),
]


def random_web(horizontal: tuple[float, ...], vertical: tuple[float, ...] = RISING, seed: int = 5) -> Web:
    rng = np.random.default_rng(seed)
    rows = rng.uniform(1.0, 1000.0, (len(horizontal), len(vertical)))
    if horizontal[-1] == 360.0:
        rows[-1] = rows[0]
    return Web(vertical, horizontal, tuple(tuple(map(float, row)) for row in rows))


def table(web: Web) -> np.ndarray:
    return np.array(web.candela)


# Flux ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "key", "exact"),
    [
        ("lambertian.ies", "lambertian", "piecewise_linear_exact_lm"),
        ("lambertian_messy_cp1252.ies", "lambertian", "piecewise_linear_exact_lm"),
        ("batwing.ies", "batwing", "bilinear_exact_lm"),
    ],
)
def test_flux_of_the_samples(name, key, exact):
    """Values: expected.json beside the samples (scipy, two ways). 'Exact' is the formula behind the table."""
    web = read_lm63(sample(name)).web
    assert web.flux == pytest.approx(EXPECTED[key][exact], rel=1e-9)
    assert web.flux == pytest.approx(EXPECTED[key]["exact_lm"], rel=5e-3)


def test_flux_by_the_zonal_method_of_the_handbooks():
    """Mid-zone candela times zonal constants, as a hand calculation does; value in expected.json."""
    for name, key in (("lambertian.ies", "lambertian"), ("batwing.ies", "batwing")):
        web = read_lm63(sample(name)).web
        c = np.array(web.horizontal_deg)
        weight = np.ones(len(c)) if len(c) == 1 else np.r_[0.5, np.ones(len(c) - 2), 0.5]
        candela = web.intensity(direction(np.arange(5.0, 180.0, 10.0)[:, None], c[None, :])) * web.flux
        mean = candela @ (weight / weight.sum())
        edges = np.radians(np.arange(0.0, 181.0, 10.0))
        zonal = float(mean @ (2.0 * np.pi * -np.diff(np.cos(edges))))
        assert zonal == pytest.approx(EXPECTED[key]["zonal_10deg_midpoint_lm"], rel=1e-9)


def test_zonal_flux_of_an_even_web_gives_the_zonal_constants():
    """IES zonal constants of 10 degree zones, to the four digits printed in expected.json."""
    even = Web(tuple(float(g) for g in range(0, 181, 5)), (0.0,), ((1.0,) * 37,))
    wanted = [constant for _, _, constant in EXPECTED["zonal_constants_10deg"]]
    np.testing.assert_allclose(even.zonal_flux(10.0), wanted, atol=6e-5)
    assert even.flux == pytest.approx(4.0 * math.pi, rel=1e-12)
    assert even.upward_share == pytest.approx(0.5, rel=1e-12)


@pytest.mark.parametrize("step", [0.7, 1.0, 10.0, 25.0, 90.0, 180.0])
def test_zones_add_up_to_the_flux(step):
    web = random_web((0.0, 30.0, 90.0), (90.0, 97.0, 120.0, 180.0))
    zones = web.zonal_flux(step)
    assert len(zones) == math.ceil(180.0 / step)
    assert zones.sum() == pytest.approx(web.flux, rel=1e-12)
    assert web.upward_share == pytest.approx(1.0)


@pytest.mark.parametrize("step", [0.0, -5.0, math.nan, 181.0])
def test_senseless_zones_are_refused(step):
    with pytest.raises(ValueError, match="zone"):
        random_web((0.0,)).zonal_flux(step)


def test_zonal_flux_against_quadrature():
    """scipy.integrate.quad over the interpolated candela of an axial web."""
    web = random_web((0.0,))
    for low, high, found in zip((0, 25, 50, 75), (25, 50, 75, 100), web.zonal_flux(25.0), strict=False):
        integral, _ = quad(
            lambda g: np.interp(g, RISING, web.candela[0], right=0.0) * math.sin(math.radians(g)),
            low,
            high,
            points=[g for g in RISING if low < g < high],
        )
        assert found == pytest.approx(2.0 * math.pi * math.radians(integral), rel=1e-7)


@pytest.mark.parametrize("horizontal", HORIZONTALS, ids=str)
def test_one_lumen_leaves_per_lumen(horizontal):
    assert whole(random_web(horizontal)) == pytest.approx(1.0, abs=1e-9)


# Interpolation ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("horizontal", HORIZONTALS, ids=str)
def test_nodes_give_the_tabulated_values(horizontal):
    web = random_web(horizontal)
    toward = direction(np.array(RISING)[1:, None], np.array(horizontal)[None, :])
    np.testing.assert_allclose(web.intensity(toward).T * web.flux, table(web)[:, 1:], rtol=1e-9)
    np.testing.assert_allclose(web.intensity(toward.astype(np.float32)).T * web.flux, table(web)[:, 1:], rtol=2e-3)


@pytest.mark.parametrize("horizontal", HORIZONTALS[1:], ids=str)
def test_interpolation_against_scipy(horizontal):
    """scipy's RegularGridInterpolator over the same table, closed at 360 where the circle is open."""
    web, rows = random_web(horizontal), table(random_web(horizontal))
    c = horizontal
    if 180.0 < c[-1] < 360.0 and c[0] == 0.0:
        c, rows = (*c, 360.0), np.vstack([rows, rows[:1]])
    rng = np.random.default_rng(8)
    gamma, at = rng.uniform(0.01, 90.0, 500), rng.uniform(c[0], c[-1], 500)
    wanted = RegularGridInterpolator((c, RISING), rows)(np.stack([at, gamma], axis=-1))
    np.testing.assert_allclose(web.intensity(direction(gamma, at)) * web.flux, wanted, rtol=1e-9)


def test_length_of_the_direction_does_not_matter():
    web = random_web((0.0, 30.0, 90.0))
    toward = direction(np.linspace(1.0, 80.0, 9), 20.0)
    np.testing.assert_allclose(web.intensity(3.0 * toward), web.intensity(toward), rtol=1e-12)


def test_outside_the_table_is_dark():
    web = random_web((0.0,))
    assert np.all(web.intensity(direction([90.1, 120.0, 180.0], 0.0)) == 0.0)
    upward = random_web((0.0,), (90.0, 120.0, 180.0))
    assert np.all(upward.intensity(direction([0.0, 45.0, 89.9], 0.0)) == 0.0)
    assert upward.intensity(direction(180.0, 0.0)) * upward.flux == pytest.approx(upward.candela[0][-1])


@pytest.mark.parametrize("dtype", [np.float32, np.float64])
@pytest.mark.parametrize("horizontal", HORIZONTALS, ids=str)
def test_shape_and_precision_are_kept(horizontal, dtype):
    found = random_web(horizontal).intensity(np.ones((2, 5, 3), dtype) / dtype(math.sqrt(3.0)))
    assert found.shape == (2, 5)
    assert found.dtype == dtype
    assert random_web(horizontal).intensity(np.array([0.0, 0.0, -1.0], dtype)).shape == ()


# Symmetry --------------------------------------------------------------------------------------------------


def unfolded(web: Web, mirrors: list) -> Web:
    """The same web tabulated all round, by the mirrors (functions of C) of its symmetry."""
    rows = dict(zip(web.horizontal_deg, web.candela, strict=True))
    for mirror in mirrors:
        rows |= {mirror(c) % 360.0: row for c, row in list(rows.items())}
    rows[360.0] = rows[0.0]
    angles = tuple(sorted(rows))
    return Web(web.vertical_deg, angles, tuple(rows[c] for c in angles))


ACROSS, ALONG = (lambda c: -c), (lambda c: 180.0 - c)
FOLDED = [
    ((0.0, 22.5, 60.0, 90.0), [ALONG, ACROSS], Symmetry.QUADRANT),
    ((0.0, 22.5, 60.0, 135.0, 180.0), [ACROSS], Symmetry.ACROSS_MIRRORED),
    ((90.0, 112.5, 180.0, 215.0, 270.0), [ALONG], Symmetry.ALONG_MIRRORED),
]


@pytest.mark.parametrize(("horizontal", "mirrors", "kind"), FOLDED, ids=[kind.name for _, _, kind in FOLDED])
def test_full_circle_equals_the_folded_table(horizontal, mirrors, kind):
    web = random_web(horizontal)
    full = unfolded(web, mirrors)
    rng = np.random.default_rng(3)
    toward = direction(rng.uniform(0.0, 180.0, 400), rng.uniform(-360.0, 360.0, 400))
    assert web.symmetry is kind
    assert full.symmetry is Symmetry.NONE
    assert full.flux == pytest.approx(web.flux, rel=1e-12)
    np.testing.assert_allclose(full.intensity(toward), web.intensity(toward), rtol=1e-9, atol=1e-15)


def test_open_circle_is_closed_with_the_zero_plane():
    # 315 is the last plane; halfway to 360 lies the mean of the 315 plane and the 0 plane.
    web = Web((0.0, 90.0), (0.0, 90.0, 180.0, 270.0, 315.0), tuple((c, c) for c in (100.0, 1.0, 2.0, 3.0, 40.0)))
    found = web.intensity(direction(60.0, [0.0, 315.0, 337.5, 360.0, -22.5])) * web.flux
    np.testing.assert_allclose(found, [100.0, 40.0, 70.0, 100.0, 70.0], rtol=1e-12)


def test_zero_plane_lies_along_and_ninety_across():
    """C = 0 is local x (length), C = 90 local y (width), counter-clockwise: LM-63 Type C."""
    web = Web((0.0, 90.0), (0.0, 90.0, 180.0, 270.0, 360.0), tuple((c, c) for c in (1.0, 2.0, 3.0, 4.0, 1.0)))
    sides = np.array([[1.0, 0, -1], [0, 1, -1], [-1, 0, -1], [0, -1, -1]]) / math.sqrt(2.0)
    np.testing.assert_allclose(web.intensity(sides) * web.flux, [1.0, 2.0, 3.0, 4.0], rtol=1e-12)


def test_batwing_follows_the_formula_behind_it():
    """Formula in expected.json. Linear interpolation errs by at most h2/8 max|f''| in each angle:

    over C, h = 22.5 degrees, f'' <= 800 * 0.3849 * 3 cd: 17.8 cd;
    over gamma, h = 5 degrees, f'' <= 4800 cd: 4.6 cd.
    """
    web = read_lm63(sample("batwing.ies")).web
    rng = np.random.default_rng(4)
    gamma, c = rng.uniform(0.0, 85.0, 500), rng.uniform(0.0, 360.0, 500)
    g, s = np.radians(gamma), np.sin(np.radians(c))
    wanted = 800.0 * np.cos(g) * (1.0 + 2.0 * np.sin(g) ** 2 * (0.25 + 0.75 * s**2))
    np.testing.assert_allclose(web.intensity(direction(gamma, c)) * web.flux, wanted, rtol=0.0, atol=22.4)
    assert web.peak_candela == pytest.approx(EXPECTED["batwing"]["peak_cd"], abs=6e-4)


# A value ---------------------------------------------------------------------------------------------------


def test_equal_by_value_and_hashable():
    one, two = random_web(HORIZONTALS[1]), random_web(HORIZONTALS[1])
    one.intensity(direction(10.0, 10.0))
    assert one == two
    assert hash(one) == hash(two)
    assert one != random_web(HORIZONTALS[1], seed=6)
    assert isinstance(one, Distribution)
    assert not one.is_lambertian
    assert pickle.loads(pickle.dumps(one)) == one


def test_hash_of_a_large_web_is_worked_out_once():
    web = random_web(tuple(np.linspace(0.0, 360.0, 73)), tuple(np.linspace(0.0, 180.0, 37)))
    hash(web)
    assert hash(web) == web._hash
    assert "_hash" in vars(web)


def test_tables_cannot_be_written_to():
    web = random_web(HORIZONTALS[1])
    with pytest.raises(ValueError, match="read-only"):
        web._table64[0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        web._table32[0] = 1.0


def test_spread_tables_stay_small():
    """Angles without a useful common step are looked up as they are."""
    web = random_web((0.0, 0.1234567, 180.0), (0.0, 0.001, 90.0))
    web.intensity(direction(10.0, 10.0))
    assert sys.getsizeof(web._table64.base if web._table64.base is not None else web._table64) < 10_000


def test_a_plan_file_can_hold_it():
    adapter = TypeAdapter(Web)
    web = random_web(HORIZONTALS[1])
    assert adapter.validate_json(adapter.dump_json(web)) == web
    assert set(adapter.dump_python(web)) == {"vertical_deg", "horizontal_deg", "candela", "lumens"}


def test_efficiency_is_flux_over_lamp_lumens():
    row = LAMBERTIAN_CANDELA
    rated = Web(LAMBERTIAN_GAMMA, (0.0,), (row,), 4000.0)
    assert rated.efficiency == pytest.approx(EXPECTED["lambertian"]["piecewise_linear_exact_lm"] / 4000.0)
    assert not rated.is_absolute
    absolute = Web(LAMBERTIAN_GAMMA, (0.0,), (row,))
    assert absolute.is_absolute
    assert absolute.efficiency is None
    np.testing.assert_array_equal(
        rated.intensity(direction([3.0, 50.0], 0.0)), absolute.intensity(direction([3.0, 50.0], 0.0))
    )


@pytest.mark.parametrize(
    ("vertical", "horizontal", "candela", "reason"),
    [
        ((0.0,), (0.0,), ((1.0,),), "two vertical"),
        ((0.0, 90.0), (), (), "no horizontal"),
        ((0.0, 80.0), (0.0,), ((1.0, 1.0),), "last vertical angle is 80"),
        ((10.0, 90.0), (0.0,), ((1.0, 1.0),), "first vertical angle is 10"),
        ((0.0, 50.0, 50.0, 90.0), (0.0,), ((1.0,) * 4,), "50 follows 50"),
        ((0.0, math.nan, 90.0), (0.0,), ((1.0,) * 3,), "must rise"),
        ((0.0, 90.0), (0.0, 45.0), ((1.0, 1.0),) * 2, "last horizontal angle is 45"),
        ((0.0, 90.0), (90.0, 180.0), ((1.0, 1.0),) * 2, "270"),
        ((0.0, 90.0), (0.0, 90.0), ((1.0, 1.0),), "1 rows of candela for 2"),
        ((0.0, 90.0), (0.0,), ((1.0,),), "must hold 2"),
        ((0.0, 90.0), (0.0,), ((1.0, -1.0),), "between 0 and"),
        ((0.0, 90.0), (0.0,), ((1.0, math.nan),), "between 0 and"),
        ((0.0, 90.0), (0.0,), ((1.0, math.inf),), "between 0 and"),
        ((0.0, 90.0), (0.0,), ((0.0, 0.0),), "no light"),
    ],
)
def test_senseless_tables_are_refused(vertical, horizontal, candela, reason):
    with pytest.raises(ValueError, match=reason):
        Web(vertical, horizontal, candela)


@st.composite
def webs(draw) -> Web:
    inner = st.floats(0.001, 0.999)
    start, end = draw(st.sampled_from([(0.0, 90.0), (0.0, 180.0), (90.0, 180.0)]))
    vertical = sorted({start, end, *(start + f * (end - start) for f in draw(st.lists(inner, max_size=6)))})
    first, last = draw(st.sampled_from([(0.0, 0.0), (0.0, 90.0), (0.0, 180.0), (90.0, 270.0), (0.0, 350.0)]))
    horizontal = sorted({first, last, *(first + f * (last - first) for f in draw(st.lists(inner, max_size=4)))})
    row = st.lists(st.floats(0.0, 1e5), min_size=len(vertical), max_size=len(vertical)).map(tuple)
    rows = draw(st.lists(row, min_size=len(horizontal), max_size=len(horizontal)))
    rows[0] = (*rows[0][:-1], 100.0)
    return Web(tuple(vertical), tuple(horizontal), tuple(rows))


@settings(deadline=None)
@given(webs())
def test_any_web_gives_one_lumen_per_lumen(web):
    assert whole(web) == pytest.approx(1.0, abs=1e-4)
    assert web.zonal_flux(10.0).min() >= 0.0
    assert 0.0 <= web.upward_share <= 1.0 + 1e-12
