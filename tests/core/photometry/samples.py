"""Sample files, a small writer of LM-63 text, and an integral over the sphere."""

import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from core.photometry.distribution import Distribution, Web

FOLDER = Path(__file__).parent / "lm63"
GOOD = ("lambertian.ies", "lambertian_messy_cp1252.ies", "batwing.ies")
EXPECTED = json.loads((FOLDER / "expected.json").read_text())

LAMBERTIAN_GAMMA = tuple(float(g) for g in range(0, 91, 5))
LAMBERTIAN_CANDELA = tuple(round(1000.0 * float(np.cos(np.radians(g))), 3) for g in LAMBERTIAN_GAMMA)

SMALLEST = "1 -1 1 2 1 1 2 0.6 1.2 0 1 1 40 0 90 0 100 50"
"""The numbers of a file with two candela values."""


def sample(name: str) -> bytes:
    return (FOLDER / name).read_bytes()


def lm63_text(
    *,
    heading: str = "IESNA:LM-63-2002\n[TEST] none\nTILT=NONE",
    ten: str = "1 -1 1 {vertical} {horizontal} 1 2 0.6 1.2 0",
    three: str = "1 1 40",
    vertical: Sequence[object] = LAMBERTIAN_GAMMA,
    horizontal: Sequence[object] = (0,),
    candela: Sequence[Sequence[object]] = (LAMBERTIAN_CANDELA,),
    after: str = "",
) -> str:
    """LM-63 text, one line for each part, every part replaceable. The numbers begin on line 4."""
    counts = ten.format(vertical=len(vertical), horizontal=len(horizontal))
    rows = [" ".join(map(str, row)) for row in (vertical, horizontal, *candela)]
    return "\n".join([heading, counts, three, *rows]) + "\n" + after


def direction(gamma_deg: object, c_deg: object, dtype: type = np.float64) -> np.ndarray:
    """Unit vectors (..., 3) toward gamma (from nadir) and C [deg]."""
    gamma, c = np.radians(np.asarray(gamma_deg, float)), np.radians(np.asarray(c_deg, float))
    parts = np.broadcast_arrays(np.sin(gamma) * np.cos(c), np.sin(gamma) * np.sin(c), -np.cos(gamma))
    return np.stack(parts, axis=-1).astype(dtype)


def sphere_integral(distribution: Distribution) -> float:
    """Integral of the intensity over all directions: Gauss-Legendre cell by cell, so kinks do no harm."""
    if isinstance(distribution, Web):
        gamma_cuts = np.union1d([0.0, 90.0, 180.0], distribution.vertical_deg)
        planes = np.array(distribution.horizontal_deg)
        mirrored = np.concatenate([planes, 180.0 - planes, 180.0 + planes, -planes]) % 360.0
        c_cuts = np.unique([0.0, 90.0, 180.0, 270.0, 360.0, *mirrored])
    else:
        # Finer toward the horizon, where a small exponent falls off steeply.
        gamma_cuts = np.union1d(np.arange(0.0, 181.0, 2.5), 90.0 - 2.5 * 0.5 ** np.arange(1, 20))
        c_cuts = np.array([0.0, 180.0, 360.0])
    gamma, gamma_weight = _gauss(gamma_cuts)
    c, c_weight = _gauss(c_cuts)
    values = distribution.intensity(direction(gamma[:, None], c[None, :]))
    return float(gamma_weight * np.sin(np.radians(gamma)) @ values @ c_weight)


def _gauss(cuts: np.ndarray, order: int = 6) -> tuple[np.ndarray, np.ndarray]:
    """Nodes [deg] and weights [rad] of Gauss-Legendre rules between neighbouring cuts [deg]."""
    node, weight = np.polynomial.legendre.leggauss(order)
    half, middle = np.diff(cuts)[:, None] / 2.0, (cuts[:-1] + cuts[1:])[:, None] / 2.0
    return (middle + half * node).ravel(), np.radians(half * weight).ravel()
