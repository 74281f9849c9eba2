"""Luminous intensity distributions, per lumen of the fixture.

How the light of a fixture is spread over directions, in the fixture's own frame: local x along its length
(the C = 0 plane), local y across it (C = 90), z up. gamma is the angle from nadir (-z). Every distribution
gives the intensity I [cd] for a fixture that emits one lumen, so its integral over the sphere is 1:

* opal (perfectly diffusing): I = cos(gamma) / pi, Lambert's law;
* cosine power: I = (n + 1) / (2 pi) cos(gamma)^n on the lower half; n = 1 is Lambert's law again;
* isotropic: I = 1 / (4 pi);
* web: tabulated, see `web`.

An *upward share* u of an opal or cosine-power fixture leaves upward by Lambert's law and lights the ceiling;
1 - u leaves downward. Sources: Lambert's cosine law; the cosine-power form is the usual one of illuminating
engineering (integral over the hemisphere: 2 pi / (n + 1)).
"""

import math
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

import numpy as np

from core.photometry.angles import FloatArray
from core.photometry.web import Web

__all__ = ["Axial", "CosinePower", "Distribution", "FloatArray", "Isotropic", "Opal", "Web"]

MOST_EXPONENT = 10_000.0
"""A beam of about one degree; anything narrower is no luminaire for a room."""


@runtime_checkable
class Distribution(Protocol):
    """What the light engine asks of a distribution. Implementations are immutable, hashable values."""

    @property
    def is_lambertian(self) -> bool:
        """True if the downward and the upward light each follow Lambert's law, so closed forms hold."""
        ...

    @property
    def upward_share(self) -> float:
        """Part (0..1) of the fixture's lumens that leaves above the horizontal."""
        ...

    def intensity(self, directions: FloatArray) -> FloatArray:
        """Intensity [cd/lm], shape (...), toward unit vectors (..., 3) that leave the fixture.

        The precision of the input (float32 or float64) is kept.
        """
        ...


@dataclass(frozen=True)
class Opal:
    """Perfectly diffusing (Lambertian) light, downward and, if wanted, upward.

    Parameters
    ----------
    upward_share : float
        Part (0..1) of the lumens that leaves upward.

    Examples
    --------
    >>> import numpy as np
    >>> float(Opal().intensity(np.array([0.0, 0.0, -1.0])))
    0.3183098861837907
    """

    upward_share: float = 0.0

    def __post_init__(self) -> None:
        _check_share(self.upward_share)

    @property
    def is_lambertian(self) -> bool:
        """Always."""
        return True

    def intensity(self, directions: FloatArray) -> FloatArray:
        """Intensity [cd/lm], shape (...), toward unit vectors (..., 3)."""
        return self.of_cosine(-_vertical_part(directions))

    def of_cosine(self, down: FloatArray) -> FloatArray:
        """Intensity [cd/lm] toward directions given by the cosine of gamma, any shape."""
        result: FloatArray = np.maximum(down, 0.0) * ((1.0 - self.upward_share) / math.pi)
        if self.upward_share > 0.0:
            result = result + np.maximum(-down, 0.0) * (self.upward_share / math.pi)
        return result


@dataclass(frozen=True)
class CosinePower:
    """Beam I = (n + 1) / (2 pi) cos(gamma)^n downward; an upward share is Lambertian.

    Parameters
    ----------
    exponent : float
        n, from 0 (uniform over the lower half) to 10,000.
    upward_share : float
        Part (0..1) of the lumens that leaves upward.

    Examples
    --------
    >>> import numpy as np
    >>> round(float(CosinePower(3.0).intensity(np.array([0.0, 0.0, -1.0]))), 6)
    0.63662
    """

    exponent: float
    upward_share: float = 0.0

    def __post_init__(self) -> None:
        _check_share(self.upward_share)
        if not 0.0 <= self.exponent <= MOST_EXPONENT:
            raise ValueError(f"the exponent of a cosine-power beam must lie between 0 and {MOST_EXPONENT:g}")

    @property
    def is_lambertian(self) -> bool:
        """Only for an exponent of 1."""
        return self.exponent == 1.0

    def intensity(self, directions: FloatArray) -> FloatArray:
        """Intensity [cd/lm], shape (...), toward unit vectors (..., 3)."""
        return self.of_cosine(-_vertical_part(directions))

    def of_cosine(self, down: FloatArray) -> FloatArray:
        """Intensity [cd/lm] toward directions given by the cosine of gamma, any shape."""
        peak = (1.0 - self.upward_share) * (self.exponent + 1.0) / (2.0 * math.pi)
        beam = _power(np.maximum(down, 0.0), self.exponent) * peak
        up = np.maximum(-down, 0.0) * (self.upward_share / math.pi)
        result: FloatArray = np.where(down > 0.0, beam, up)
        return result


@dataclass(frozen=True)
class Isotropic:
    """The same intensity, 1 / (4 pi) cd/lm, in every direction: a bare small lamp.

    Examples
    --------
    >>> import numpy as np
    >>> round(float(Isotropic().intensity(np.array([0.0, 0.6, 0.8]))), 8)
    0.07957747
    """

    @property
    def is_lambertian(self) -> bool:
        """Never."""
        return False

    @property
    def upward_share(self) -> float:
        """Half of the light leaves upward."""
        return 0.5

    def intensity(self, directions: FloatArray) -> FloatArray:
        """Intensity [cd/lm], shape (...), toward unit vectors (..., 3)."""
        return self.of_cosine(_vertical_part(directions))

    def of_cosine(self, down: FloatArray) -> FloatArray:
        """Intensity [cd/lm] toward directions given by the cosine of gamma, any shape."""
        return np.full_like(down, 1.0 / (4.0 * math.pi))


Axial = Opal | CosinePower | Isotropic
"""The same all round its axis: the cosine of gamma is all that matters."""


def _power(base: FloatArray, exponent: float) -> FloatArray:
    """Raise values of at least 0 to a power; small whole powers by multiplying, several times as fast."""
    if exponent in (1.0, 2.0, 3.0, 4.0):
        result = base
        for _ in range(int(exponent) - 1):
            result = result * base
        return result
    raised: FloatArray = base**exponent
    return raised


def _vertical_part(directions: FloatArray) -> FloatArray:
    directions = np.asarray(directions)
    if directions.dtype != np.float32:
        directions = directions.astype(np.float64, copy=False)
    return directions[..., 2]


def _check_share(share: float) -> None:
    if not 0.0 <= share <= 1.0:
        raise ValueError("the upward share must lie between 0 and 1")
