"""Direct light of single sources in empty space against closed forms and brute force (0.2 % or better)."""

import numpy as np
import pytest

from core.light.direct import spread_places
from core.light.sources import Source
from core.photometry.distribution import CosinePower, Distribution, Isotropic, Opal, Web
from core.photometry.lm63 import read_lm63
from tests.core.light.rooms import lux_at, opal
from tests.core.photometry.samples import sample
from tests.published import published

FOOT = 0.3048


def by_brute_force(source: Source, points: np.ndarray, normal: np.ndarray, cells: int = 1200) -> np.ndarray:
    """Inverse-square and cosine laws summed over a fine mesh of the opening (cells along its longer side)."""
    ratio = source.half_width / source.half_length
    u = (np.arange(cells) + 0.5) / cells * 2.0 - 1.0
    across = max(8, round(cells * ratio))
    v = (np.arange(across) + 0.5) / across * 2.0 - 1.0
    places = source.places(np.stack(np.meshgrid(u, v, indexing="ij"), axis=-1).reshape(-1, 2))
    lux = []
    for point in points:
        ray = places - point
        square = (ray**2).sum(axis=1)
        distance = np.sqrt(square)
        leaving = source.to_local(-ray / distance[:, None])
        lux.append(
            (source.distribution.intensity(leaving) * np.maximum(ray @ normal, 0.0) / (square * distance)).mean()
        )
    return source.lumens * np.array(lux)


def test_an_isotropic_point_over_a_plane() -> None:
    """In the manner of CIE 171:2006, 5.2: 10 000 lm, 3 m up (tests/published/cie171_style.json)."""
    rows = published("cie171_style")["point_isotropic_10000lm_h3"]
    lamp = Source((0.0, 0.0, 3.0), 0.0, 0.0, 0.0, False, 10_000.0, Isotropic())
    found = lux_at(lamp, [(row["r"], 0.0, 0.0) for row in rows])
    assert found == pytest.approx([row["E"] for row in rows], rel=1e-5)


def test_the_cosine_law_and_the_inverse_square_law() -> None:
    """1000 cd, 2 m up, at 0 to 3 m: E = I cos / d^2 (isotropic) and E = I h^2 / d^4 (Lambertian point)."""
    places = [(x, 0.0, 0.0) for x in (0.0, 1.0, 2.0, 3.0)]
    even = Source((0.0, 0.0, 2.0), 0.0, 0.0, 0.0, False, 4000.0 * np.pi, Isotropic())
    assert lux_at(even, places) == pytest.approx([250.0, 178.885, 88.3883, 42.6692], rel=1e-5)
    diffuse = Source((0.0, 0.0, 2.0), 0.0, 0.0, 0.0, False, 1000.0 * np.pi, Opal())
    assert lux_at(diffuse, places) == pytest.approx([250.0, 160.0, 62.5, 23.6686], rel=1e-5)


def test_the_cylindrical_illuminance_of_a_point() -> None:
    """E_z = I sin / (pi d^2): 1000 cd, 2 m up, 2 m off gives 28.1349 lx, here as the mean over 720 upright faces."""
    lamp = Source((0.0, 0.0, 2.0), 0.0, 0.0, 0.0, False, 4000.0 * np.pi, Isotropic())
    angle = np.arange(720) / 720 * 2.0 * np.pi
    faces = np.column_stack([np.cos(angle), np.sin(angle), np.zeros(720)])
    found = lux_at(lamp, np.broadcast_to((2.0, 0.0, 0.0), (720, 3)), faces)
    assert found.mean() == pytest.approx(28.1349, rel=1e-4)


def test_a_panel() -> None:
    """In the manner of CIE 171:2006, 5.3: 1.2 x 0.3 m, 4000 lm, 2 m up; closed form equal to quadrature."""
    panel = opal(0.0, 0.0, 2.0, 1.2, 0.3, 4000.0)
    below, beside = (0.0, 0.0, 0.0), (0.0, 1.5, 0.0)
    assert lux_at(panel, [below, beside]) == pytest.approx([299.545, 125.950], rel=1e-5)
    assert lux_at(panel, [beside], (0.0, -1.0, 0.0)) == pytest.approx([94.0186], rel=1e-5)
    assert lux_at(panel, [beside], (0.0, 1.0, 0.0)) == [0.0]


@pytest.mark.parametrize(
    ("distance", "square", "line"),
    [(1, -24.8, -13.6), (2, -7.67, -3.95), (3, -3.57, -1.81), (5, -1.31, -0.66), (10, -0.33, -0.17)],
)
def test_how_far_a_point_source_is_off(distance: float, square: float, line: float) -> None:
    """True / point - 1 on axis [%] for a square of side s and a narrow strip of length s, at so many s."""
    point = 1000.0 / np.pi / distance**2
    panel = lux_at(opal(0.0, 0.0, distance, 1.0, 1.0, 1000.0), [(0.0, 0.0, 0.0)])[0]
    strip = lux_at(opal(0.0, 0.0, distance, 1.0, 1e-4, 1000.0), [(0.0, 0.0, 0.0)])[0]
    assert 100.0 * (panel / point - 1.0) == pytest.approx(square, abs=0.05)
    assert 100.0 * (strip / point - 1.0) == pytest.approx(line, abs=0.05)


def test_a_narrow_strip() -> None:
    """1000 lm, 1.2 x 0.1 m, 2 m up: E = L w h^2 [y / (2 d^2 (d^2 + y^2)) + atan(y / d) / (2 d^3)] between its ends.

    The formula has no width; what 0.1 m of width change is bounded by the panel form: below 0.1 %.
    """
    strip = opal(0.0, 0.0, 2.0, 1.2, 0.1, 1000.0, 90.0)
    found = lux_at(strip, [(0.0, 0.0, 0.0), (1.5, 0.0, 0.0), (1.5, -1.0, 0.0)])
    assert found == pytest.approx([75.1591, 31.4048, 24.0619], rel=1e-3)
    thin = opal(0.0, 0.0, 2.0, 1.2, 1e-4, 1000.0, 90.0)
    found = lux_at(thin, [(0.0, 0.0, 0.0), (1.5, 0.0, 0.0), (1.5, -1.0, 0.0)])
    assert found == pytest.approx([75.1591, 31.4048, 24.0619], rel=2e-5)
    along = lux_at(thin, [(1.5, -0.6, 0.0)], (0.0, 1.0, 0.0))
    assert along == pytest.approx([7.94740], rel=2e-5)


def test_the_aspect_factor_of_a_strip() -> None:
    """AF = (a + sin a cos a) / 2 of the angle a that the strip fills, seen square from its end; af = sin^2 a / 2.

    Source: Offshore Electrical Engineering Manual, eq. 2.14.3 to 2.14.5, with the half that its own integral needs.
    """
    alpha = np.radians([15.0, 30.0, 45.0, 60.0, 75.0])
    aspect = [0.255900, 0.478306, 0.642699, 0.740105, 0.779498]
    for angle, factor in zip(alpha, aspect, strict=True):
        length = np.tan(angle)
        strip = opal(length / 2, 0.0, 1.0, length, 1e-5, np.pi * length)
        assert lux_at(strip, [(0.0, 0.0, 0.0)])[0] == pytest.approx(factor, rel=1e-4)
        assert lux_at(strip, [(0.0, 0.0, 0.0)], (1.0, 0.0, 0.0))[0] == pytest.approx(np.sin(angle) ** 2 / 2, rel=1e-4)


def test_a_round_opening_on_its_axis() -> None:
    """A disc of radius r seen from h below its centre fills r^2 / (r^2 + h^2) of the view (Lambert).

    It is a polygon of 32 sides here: within 0.2 % from half its radius on.
    """
    disc = Source((0.0, 0.0, 1.0), 0.4, 0.4, 0.0, True, 3000.0, Opal())
    exitance = 3000.0 / (np.pi * 0.16)
    for height in (0.2, 0.5, 1.0, 3.0):
        found = lux_at(disc, [(0.0, 0.0, 1.0 - height)])[0]
        assert found == pytest.approx(exitance * 0.16 / (0.16 + height**2), rel=2e-3)


DISTRIBUTIONS: dict[str, Distribution] = {
    "opal": Opal(),
    "beam": CosinePower(3.0),
    "narrow beam": CosinePower(20.0),
    "wide": CosinePower(0.3),
    "web": read_lm63(sample("batwing.ies")).web,
}


@pytest.mark.parametrize("name", DISTRIBUTIONS)
@pytest.mark.parametrize("wall", [True, False], ids=["on the wall", "on the bench"])
def test_close_to_the_source(name: str, wall: bool) -> None:
    """An 8 ft strip 1 ft from a wall, and points from 0.3 m below it: within 0.2 % of brute force."""
    source = opal(0.0, FOOT, 2.4, 8 * FOOT, 0.1, 8000.0, 0.0, DISTRIBUTIONS[name])
    if wall:
        points = np.array([(x, 0.0, z) for x in (0.0, 0.7, 1.2, 1.6) for z in (0.5, 1.5, 2.1, 2.3)])
        normal = np.array([0.0, 1.0, 0.0])
    else:
        points = np.array([(x, y, z) for x in (0.0, 0.7, 1.2, 1.6) for y in (0.02, FOOT, 0.6) for z in (2.1, 1.2)])
        normal = np.array([0.0, 0.0, 1.0])
    exact = by_brute_force(source, points, normal)
    counts = exact > 1e-3 * exact.max()
    assert lux_at(source, points, normal)[counts] == pytest.approx(exact[counts], rel=2e-3)


def test_a_web_shaped_like_a_batwing_below_a_point() -> None:
    """I = 800 cos g (1 + 2 sin^2 g (0.25 + 0.75 sin^2 C)) cd at tabulated angles; E = I cos / d^2 there.

    The formula is that of the sample file (tests/core/photometry/lm63), whose candela have three digits after the
    point. The fixture is turned by 25 degrees; C = 202.5 is not tabulated itself but follows from symmetry.
    """
    web = read_lm63(sample("batwing.ies")).web
    lamp = Source((0.0, 0.0, 2.0), 0.0, 0.0, np.radians(25.0), False, web.flux, web)
    angle = np.radians(np.array([(g, c) for g in (0.0, 20.0, 40.0, 55.0) for c in (0.0, 45.0, 90.0, 202.5)]))
    gamma, c = angle.T
    at = np.column_stack([np.tan(gamma) * np.cos(c + lamp.rotation), np.tan(gamma) * np.sin(c + lamp.rotation), 0 * c])
    candela = 800.0 * np.cos(gamma) * (1.0 + 2.0 * np.sin(gamma) ** 2 * (0.25 + 0.75 * np.sin(c) ** 2))
    exact = candela * np.cos(gamma) ** 3 / 4.0
    assert lux_at(lamp, 2.0 * at) == pytest.approx(exact, rel=1e-5)


def test_a_web_of_cosines_a_cosine_beam_and_opal_agree() -> None:
    """Three ways to say Lambert's law. A table every degree is within (1 degree)^2 / 8 = 0.004 % of the cosine."""
    degrees = tuple(float(g) for g in range(91))
    web = Web(degrees, (0.0,), (tuple(1000.0 * float(np.cos(np.radians(g))) for g in degrees),))
    points = np.array([(0.1, 0.2, 2.1), (0.5, 0.4, 1.0), (2.0, 0.3, 0.0), (3.0, 2.0, 1.5)])
    exact = lux_at(opal(0.0, 0.0, 2.4, 1.2, 0.15, 4000.0), points)
    for other in (web, CosinePower(1.0), CosinePower(1.0000001)):
        assert lux_at(opal(0.0, 0.0, 2.4, 1.2, 0.15, 4000.0, 0.0, other), points) == pytest.approx(exact, rel=1e-3)


def test_light_leaves_only_where_it_should() -> None:
    """An opening without an upward share is dark from above and in its own plane."""
    lamp = opal(0.0, 0.0, 2.0, 1.2, 0.2, 4000.0)
    assert lux_at(lamp, [(0.3, 0.1, 2.3)], (0.0, 0.0, -1.0)) == [0.0]
    assert lux_at(lamp, [(1.0, 0.0, 2.0)], (-1.0, 0.0, 0.0)) == [0.0]
    shared = opal(0.0, 0.0, 2.0, 1.2, 0.2, 4000.0, 0.0, Opal(0.25))
    down, up = lux_at(shared, [(0.0, 0.0, 1.0)])[0], lux_at(shared, [(0.0, 0.0, 3.0)], (0.0, 0.0, -1.0))[0]
    assert down == pytest.approx(3.0 * up)


def test_places_are_evenly_spread() -> None:
    """Hammersley's set of 32: each of 32 strips and each cell of a 4 x 8 mesh holds exactly one place."""
    places = (spread_places(32) + 1.0) / 2.0
    assert len(set((places[:, 0] * 32).astype(int))) == 32
    assert len(set((places[:, 1] * 32).astype(int))) == 32
    cells = (places[:, 0] * 4).astype(int) * 8 + (places[:, 1] * 8).astype(int)
    assert len(set(cells)) == 32
