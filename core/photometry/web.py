"""A tabulated luminous intensity distribution ("photometric web") of Type C.

Between the tabulated angles the intensity is interpolated linearly in gamma and in C; outside the table's
range of gamma it is zero. Planes that are not tabulated follow from the symmetry (see `angles`); a table
whose last C angle lies between 180 and 360 is closed with its 0 plane.

The *luminous flux* is the exact integral of that interpolation over the sphere. On [a, b] a linear
intensity with end values Ia and Ib gives

    integral I sin(g) dg = Ia (cos a - m) + Ib (m - cos b),   m = (sin b - sin a) / (b - a).

Per emitted lumen the intensity is candela / flux, for absolute and for relative photometry alike. The rated
lamp lumens of relative photometry say what the lamps produce; what leaves the fixture is the integral,
and the two differ by the fixture's efficiency. The integral of `Web.intensity` over the sphere is thus 1
by construction, whatever lamp the fixture is then planned with.

Source: zonal lumen method with zones of zero width, IES zonal constants 2 pi (cos a - cos b).
"""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from core.photometry.angles import AngleAxis, FloatArray, Symmetry, horizontal_fault, symmetry, vertical_fault

__all__ = ["LEAST_FLUX_LM", "MOST_CANDELA", "Web"]

MOST_CANDELA = 1e12
"""No lamp comes near this intensity [cd]; a larger value is a damaged number."""
LEAST_FLUX_LM = 1e-6
"""A table with less flux [lm] than this is dark."""
_EDGE_DEG = 1e-4
"""Rounding allowed at the table's first and last gamma [deg], for directions in single precision."""


@dataclass(frozen=True)
class Web:
    """Luminous intensity by table, in the fixture's own frame (x along, y across, z up).

    Parameters
    ----------
    vertical_deg : tuple of float
        gamma angles [deg], rising, from 0 or 90 to 90 or 180.
    horizontal_deg : tuple of float
        C angles [deg], rising: 0; 0..90; 0..180; 0..(180, 360]; or 90..270.
    candela : tuple of tuple of float
        Intensity [cd], one row of len(vertical_deg) values for each C angle.
    lumens : float, optional
        Rated lumens [lm] of all lamps, for which relative photometry states its candela; None for absolute
        photometry. Does not enter `intensity` or `flux`.

    Raises
    ------
    ValueError
        For disordered angles, a table of the wrong shape, negative, non-finite or absurd
        candela, a dark table.

    Notes
    -----
    A value: equal when all fields are equal, hashable, and meant to be shared by reference. Arrays for the
    look-up are made once, on first use.
    """

    vertical_deg: tuple[float, ...]
    horizontal_deg: tuple[float, ...]
    candela: tuple[tuple[float, ...], ...]
    lumens: float | None = None

    def __post_init__(self) -> None:
        for fault in (vertical_fault(self.vertical_deg), horizontal_fault(self.horizontal_deg)):
            if fault is not None:
                raise ValueError(fault.reason)
        if len(self.candela) != len(self.horizontal_deg):
            raise ValueError(f"{len(self.candela)} rows of candela for {len(self.horizontal_deg)} horizontal angles")
        if any(len(row) != len(self.vertical_deg) for row in self.candela):
            raise ValueError(f"every row of candela must hold {len(self.vertical_deg)} values")
        if self.lumens is not None and not (math.isfinite(self.lumens) and self.lumens > 0.0):
            raise ValueError("rated lamp lumens must be above zero, or None for absolute photometry")
        table = np.array(self.candela, dtype=np.float64)
        if not np.all((table >= 0.0) & (table <= MOST_CANDELA)):
            raise ValueError(f"candela values must lie between 0 and {MOST_CANDELA:g}")
        if self.flux < LEAST_FLUX_LM:
            raise ValueError("the table gives no light: its total flux is zero")

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.vertical_deg, self.horizontal_deg, self.candela))

    @property
    def is_lambertian(self) -> bool:
        """Never: even a table of cosines is only nearly so."""
        return False

    @property
    def is_absolute(self) -> bool:
        """True if the candela are those of the fixture itself, False if they are for rated lamps."""
        return self.lumens is None

    @property
    def symmetry(self) -> Symmetry:
        """What the tabulated planes repeat."""
        return symmetry(self.horizontal_deg)

    @property
    def efficiency(self) -> float | None:
        """Flux of the fixture per rated lumen of its lamps; None for absolute photometry."""
        return None if self.lumens is None else self.flux / self.lumens

    @cached_property
    def flux(self) -> float:
        """Luminous flux [lm], the exact integral of the interpolated table over the sphere."""
        return float(self.zonal_flux(180.0).sum())

    @cached_property
    def upward_share(self) -> float:
        """Part (0..1) of the flux that leaves above the horizontal."""
        return float(self.zonal_flux(90.0)[1]) / self.flux

    @cached_property
    def peak_candela(self) -> float:
        """Largest tabulated intensity [cd]."""
        return max(max(row) for row in self.candela)

    def zonal_flux(self, step_deg: float = 10.0) -> FloatArray:
        """Flux [lm] in each zone of gamma, from nadir up, exact for the interpolated table.

        Parameters
        ----------
        step_deg : float
            Width of a zone [deg], 0.01 to 180; the last zone ends at 180 and may be narrower.

        Returns
        -------
        ndarray, shape (ceil(180 / step_deg),)
        """
        if not 0.01 <= step_deg <= 180.0:
            raise ValueError("a zone must be between 0.01 and 180 degrees wide")
        zones = math.ceil(180.0 / step_deg - 1e-9)
        edges = np.minimum(np.arange(zones + 1) * step_deg, 180.0)
        edges[-1] = 180.0
        gamma = np.array(self.vertical_deg)
        cuts = np.union1d(gamma, np.clip(edges, gamma[0], gamma[-1]))
        pieces = _segment_flux(np.radians(cuts), np.interp(cuts, gamma, self._mean_over_c))
        zone = np.clip(np.searchsorted(edges, (cuts[:-1] + cuts[1:]) / 2.0) - 1, 0, zones - 1)
        flux: FloatArray = np.bincount(zone, weights=pieces, minlength=zones).astype(np.float64)
        return flux

    def intensity(self, directions: FloatArray) -> FloatArray:
        """Luminous intensity per lumen leaving the fixture.

        Parameters
        ----------
        directions : ndarray, shape (..., 3)
            Directions leaving the fixture, in its own frame. Their length does not matter here.

        Returns
        -------
        ndarray, shape (...)
            Intensity [cd/lm], in the precision of `directions`.
        """
        directions = np.asarray(directions)
        if directions.dtype != np.float32:
            directions = directions.astype(np.float64, copy=False)
        x, y, z = directions[..., 0], directions[..., 1], directions[..., 2]
        # From the tangent: the arc cosine loses half the digits near nadir.
        gamma = np.degrees(np.arctan2(np.sqrt(x * x + y * y), -z))
        row, along = self._vertical.locate(gamma)
        flat = self._table32 if directions.dtype == np.float32 else self._table64
        width = len(self._vertical.nodes)
        if self._horizontal is None:
            found = _between(flat, row, 1, along)
        else:
            column, across = self._horizontal.locate(self._folded(x, y))
            row = row + column * width
            low, high = _between(flat, row, 1, along), _between(flat, row + width, 1, along)
            found = low + across * (high - low)
        inside = (gamma >= self.vertical_deg[0] - _EDGE_DEG) & (gamma <= self.vertical_deg[-1] + _EDGE_DEG)
        result: FloatArray = np.where(inside, found, found.dtype.type(0.0))
        return result

    def _folded(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """C angle [deg] of the tabulated plane that stands for directions (x, y)."""
        kind = self.symmetry
        if kind is Symmetry.QUADRANT:
            return np.degrees(np.arctan2(np.abs(y), np.abs(x)))
        if kind is Symmetry.ACROSS_MIRRORED:
            return np.degrees(np.arctan2(np.abs(y), x))
        if kind is Symmetry.ALONG_MIRRORED:
            return 180.0 - np.degrees(np.arctan2(y, np.abs(x)))
        angle = np.degrees(np.arctan2(y, x))
        turned: FloatArray = np.where(angle < 0.0, angle + angle.dtype.type(360.0), angle)
        return turned

    @cached_property
    def _closed(self) -> tuple[tuple[float, ...], FloatArray]:
        """C angles [deg] and table [cd] (C, gamma), closed with the 0 plane at 360 if need be."""
        table = np.array(self.candela, dtype=np.float64)
        if self.symmetry is Symmetry.NONE and self.horizontal_deg[-1] < 360.0:
            return (*self.horizontal_deg, 360.0), np.vstack([table, table[:1]])
        return self.horizontal_deg, table

    @cached_property
    def _mean_over_c(self) -> FloatArray:
        """Intensity [cd] at each gamma angle, averaged over the whole turn of C."""
        angles, table = self._closed
        if len(angles) == 1:
            only: FloatArray = table[0]
            return only
        width = np.diff(angles)[:, None]
        mean: FloatArray = ((table[:-1] + table[1:]) / 2.0 * width).sum(axis=0) / width.sum()
        return mean

    @cached_property
    def _vertical(self) -> AngleAxis:
        return AngleAxis(self.vertical_deg)

    @cached_property
    def _horizontal(self) -> AngleAxis | None:
        angles, _ = self._closed
        return AngleAxis(angles) if len(angles) > 1 else None

    @cached_property
    def _table64(self) -> FloatArray:
        """Intensity [cd/lm] at the axes' nodes, flat, gamma fastest."""
        table = self._vertical.spread(self._closed[1] / self.flux)
        if self._horizontal is not None:
            table = self._horizontal.spread(table.T).T
        flat: FloatArray = np.ascontiguousarray(table).ravel()
        flat.setflags(write=False)
        return flat

    @cached_property
    def _table32(self) -> FloatArray:
        flat = self._table64.astype(np.float32)
        flat.setflags(write=False)
        return flat


def _between(flat: FloatArray, index: npt.NDArray[np.intp], stride: int, fraction: FloatArray) -> FloatArray:
    low = flat.take(index)
    result: FloatArray = low + fraction * (flat.take(index + stride) - low)
    return result


def _segment_flux(gamma: FloatArray, mean: FloatArray) -> FloatArray:
    """Flux [lm] between neighbours of `gamma` [rad] for intensities [cd] that run straight between them."""
    low, high = gamma[:-1], gamma[1:]
    # (sin b - sin a) / (b - a) without the cancellation of near angles.
    middle = np.cos((low + high) / 2.0) * np.sinc((high - low) / (2.0 * np.pi))
    from_low = np.maximum(np.cos(low) - middle, 0.0)
    from_high = np.maximum(middle - np.cos(high), 0.0)
    result: FloatArray = 2.0 * np.pi * (mean[:-1] * from_low + mean[1:] * from_high)
    return result
