"""The configuration factor of a flat diffuse opening against handbook forms and against brute force.

Sources: point to rectangle, parallel and perpendicular: algorithms 3.14 and 3.15 of Tregenza & Sharples, Daylight
Algorithms, after Siegel & Howell 1972; values computed twice (closed form, adaptive quadrature), in
tests/published/view_factors.json.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad

from core.light.closed_forms import polygon_factor
from tests.published import published

FACTORS = published("view_factors")


def rectangle_above(x0: float, x1: float, y0: float, y1: float, z: float) -> np.ndarray:
    return np.array([(x0, y0, z), (x1, y0, z), (x1, y1, z), (x0, y1, z)])


def factor(normal: tuple[float, float, float], polygon: np.ndarray) -> float:
    return float(polygon_factor(np.zeros((1, 3)), np.array([normal]), polygon)[0])


def by_quadrature(normal: np.ndarray, x0: float, x1: float, y0: float, y1: float, z: float) -> float:
    """The definition: the integral of cos cos / (pi d^2) over the part in front of the receiver."""

    def piece(y: float, x: float) -> float:
        square = x * x + y * y + z * z
        return max(float(normal @ (x, y, z)), 0.0) * z / (np.pi * square * square)

    return float(dblquad(piece, x0, x1, y0, y1, epsabs=1e-8)[0])


@pytest.mark.parametrize("row", FACTORS["element_parallel_corner"], ids=lambda r: f"{r['a']} {r['b']} {r['c']}")
def test_a_rectangle_parallel_to_the_receiver(row: dict[str, float]) -> None:
    above = rectangle_above(0.0, row["a"], 0.0, row["b"], row["c"])
    assert factor((0, 0, 1), above) == pytest.approx(row["C"], abs=1e-7)


@pytest.mark.parametrize("row", FACTORS["element_perpendicular_corner"], ids=lambda r: f"{r['a']} {r['b']} {r['c']}")
def test_a_rectangle_that_ends_in_the_receivers_own_plane(row: dict[str, float]) -> None:
    """b runs along the receiver's normal, a across it."""
    above = rectangle_above(0.0, row["a"], 0.0, row["b"], row["c"])
    assert factor((0, 1, 0), above) == pytest.approx(row["C"], abs=1e-7)


@pytest.mark.parametrize("row", FACTORS["element_perpendicular_corner"], ids=lambda r: f"{r['a']} {r['b']} {r['c']}")
def test_what_lies_behind_the_receivers_plane_is_cut_off(row: dict[str, float]) -> None:
    """The same rectangle drawn out backwards through the receiver's plane gives the same."""
    drawn_out = rectangle_above(0.0, row["a"], -1.7, row["b"], row["c"])
    assert factor((0, 1, 0), drawn_out) == pytest.approx(row["C"], abs=1e-7)
    assert factor((0, 1, 0), rectangle_above(0.0, row["a"], -1.7, -0.1, row["c"])) == 0.0


def test_an_endless_ceiling_fills_the_view() -> None:
    """Limits of both forms: 1 for a level receiver, one half for an upright one (the ceiling is half its view)."""
    ceiling = rectangle_above(-1e4, 1e4, -1e4, 1e4, 1.0)
    assert factor((0, 0, 1), ceiling) == pytest.approx(1.0, abs=1e-6)
    assert factor((0, 1, 0), ceiling) == pytest.approx(0.5, abs=1e-3)
    assert factor((0, 0, -1), ceiling) == 0.0


SMALL = st.floats(-2.0, 2.0)


@given(x=SMALL, y=SMALL, z=st.floats(0.3, 2.0), turn=st.floats(0.0, 6.3), tilt=st.floats(0.0, 3.1))
def test_any_receiver_agrees_with_the_definition(x: float, y: float, z: float, turn: float, tilt: float) -> None:
    """Against a midpoint sum over 200 x 200 cells; its own error where the plane cuts a cell is below 2e-4."""
    normal = np.array([np.sin(tilt) * np.cos(turn), np.sin(tilt) * np.sin(turn), np.cos(tilt)])
    u = (np.arange(200) + 0.5) / 200
    gx, gy = np.meshgrid(x + 0.8 * u, y + 1.3 * u)
    square = gx**2 + gy**2 + z**2
    facing = np.maximum(normal[0] * gx + normal[1] * gy + normal[2] * z, 0.0)
    summed = float((facing * z / (np.pi * square**2)).mean() * 0.8 * 1.3)
    found = polygon_factor(np.zeros((1, 3)), normal[None], rectangle_above(x, x + 0.8, y, y + 1.3, z))[0]
    assert found == pytest.approx(summed, abs=2e-4)


def test_a_tilted_receiver_agrees_with_adaptive_quadrature() -> None:
    """scipy's dblquad (QUADPACK) over a rectangle that the receiver's plane cuts."""
    normal = np.array([0.6, 0.0, 0.8])
    found = polygon_factor(np.zeros((1, 3)), normal[None], rectangle_above(-2.0, 0.5, -0.4, 0.7, 0.9))[0]
    assert found == pytest.approx(by_quadrature(normal, -2.0, 0.5, -0.4, 0.7, 0.9), rel=1e-4)
