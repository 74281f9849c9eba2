"""The smooth picture of a field: exact where theory says so, no ringing, no sharp end at what is covered.

Cubic convolution with a = -1/2 reproduces polynomials up to degree 2 (Keys 1981, third-order accuracy); the bilinear
reading is compared with scipy's RegularGridInterpolator.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from app.light.colours import SIZE, SPAN, packed_table
from app.light.picture import FieldPicture
from core.light.grid import Grid

ALL = np.ones((12, 17), dtype=bool)


def picture(values: np.ndarray, inside: np.ndarray | None = None, fine: int = 70) -> FieldPicture:
    grid = Grid(1.0, -2.0, 0.25, values.shape[1], values.shape[0])
    made = FieldPicture(grid, np.ones(values.shape, dtype=bool) if inside is None else inside, fine)
    made.set_values(values)
    return made


def sampled(function, shape: tuple[int, int] = (12, 17)) -> np.ndarray:  # type: ignore[no-untyped-def]
    grid = Grid(1.0, -2.0, 0.25, shape[1], shape[0])
    x, y = np.meshgrid(grid.xs, grid.ys)
    return function(x, y).astype(np.float32)


@pytest.mark.parametrize("fine", [17, 34, 51, 70, 90])
def test_quadratics_are_exact_away_from_the_edges(fine: int) -> None:
    # Rising throughout, so that keeping within the neighbours' values changes nothing.
    def surface(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 100 + 20 * x + 3 * x * x + 15 * (y + 2) + 4 * (y + 2) ** 2

    made = picture(sampled(surface), fine=fine)
    x, y = np.meshgrid(*made.fine_axes)
    inner = slice(2 * made.factor, -2 * made.factor)
    assert made.factor == max(1, round(fine / 17))
    np.testing.assert_allclose(made.fine[inner, inner], surface(x, y)[inner, inner], rtol=2e-6)


def test_a_shadows_edge_neither_rings_nor_moves() -> None:
    values = np.full((12, 17), 100.0, dtype=np.float32)
    values[:, 8:] = 1000.0
    made = picture(values)
    assert made.fine.min() == 100.0
    assert made.fine.max() == 1000.0
    x = made.fine_axes[0]
    middle = np.interp(550.0, made.fine[20], x)
    assert middle == pytest.approx(1.0 + 8 * 0.25, abs=1e-3)


def test_light_runs_on_beneath_a_box() -> None:
    def slope(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        return 300 + 40 * x + 25 * y

    values, inside = sampled(slope), ALL.copy()
    inside[4:8, 5:9] = False
    values[~inside] = np.nan
    made = picture(values, inside)
    assert np.isfinite(made.fine).all()
    # The slope goes on for the first cell around (nearly, see _SLOPE), so nothing shows at the box's edge.
    expected = sampled(slope)
    step = 40 * 0.25
    ring = np.abs(made.values - expected)
    assert ring[4, 5:9].max() < 0.5 * step
    assert ring.max() < 2.5 * step
    assert made.values[~inside].min() > values[inside].min()
    assert made.values[~inside].max() < values[inside].max()


def test_values_under_a_box_are_never_read() -> None:
    values, inside = sampled(lambda x, y: 100 * x + y), ALL.copy()
    inside[4:8, 5:9] = False
    one = picture(np.where(inside, values, np.nan).astype(np.float32), inside).fine
    other = picture(np.where(inside, values, 1e9).astype(np.float32), inside).fine
    np.testing.assert_array_equal(one, other)


def test_a_room_without_points_is_dark() -> None:
    made = picture(np.full((12, 17), np.nan, dtype=np.float32), np.zeros((12, 17), dtype=bool))
    assert made.fine.max() == 0.0
    assert made.at(2.0, -1.0) is None


@settings(max_examples=40, deadline=None)
@given(
    st.integers(0, 2**31),
    st.floats(0.0, 1.0),
    st.integers(1, 9),
    st.integers(1, 9),
)
def test_any_mask_gives_finite_values_within_reach(seed: int, share: float, ny: int, nx: int) -> None:
    rng = np.random.default_rng(seed)
    values = rng.uniform(0.0, 1000.0, (ny, nx)).astype(np.float32)
    inside = rng.random((ny, nx)) < share
    made = picture(np.where(inside, values, np.nan).astype(np.float32), inside, fine=30)
    assert np.isfinite(made.fine).all()
    cells = made.fine.reshape(ny, made.factor, nx, made.factor)
    assert cells.shape == (ny, made.factor, nx, made.factor)
    if inside.any():
        np.testing.assert_array_equal(made.values[inside], values[inside])


def test_reading_is_bilinear() -> None:
    rng = np.random.default_rng(5)
    values = rng.uniform(100.0, 900.0, (12, 17)).astype(np.float32)
    made = picture(values)
    grid = made.grid
    reference = RegularGridInterpolator((grid.ys, grid.xs), values.astype(float))
    points = rng.uniform((grid.ys[0], grid.xs[0]), (grid.ys[-1], grid.xs[-1]), (50, 2))
    mine = [made.at(x, y) for y, x in points]
    np.testing.assert_allclose(mine, reference(points), rtol=1e-5)
    assert made.at(grid.x0 - 0.01, grid.ys[3]) is None
    assert made.at(grid.x0 + 0.01, grid.ys[3]) == pytest.approx(float(values[3, 0]))


@pytest.mark.parametrize("dark", [False, True])
def test_pixels_are_the_table_at_the_value(dark: bool) -> None:
    values = np.full((12, 17), 750.0, dtype=np.float32)
    made = picture(values)
    image = made.image(500.0, dark)
    expected = packed_table(dark)[int(1.5 / SPAN * (SIZE - 1))]
    assert image.pixel(3, 3) == expected
    assert image.pixel(image.width() - 1, image.height() - 1) == expected
    made.set_values(values * 100.0)
    assert made.image(500.0, dark).pixel(3, 3) == packed_table(dark)[-1]


def test_the_picture_is_upright() -> None:
    made = picture(sampled(lambda x, y: 1000.0 * (y + 2.0)))
    image = made.image(2000.0, False)
    assert image.pixel(5, image.height() - 1) == packed_table(False)[int(made.fine[0, 5] * (SIZE - 1) / 4000.0)]
