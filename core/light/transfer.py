"""Transfer: how the surfaces of a room pass light to one another.

With the configuration factors F of `views`, illuminances obey E = D + F rho E (diffuse interreflection, all bounces).
It is solved by following the light from bounce to bounce until the rest is a millionth; what is asked for drag frames,
and a room so bright that this would take long, by elimination.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial

import numpy as np

from core.light.grid import FloatArray

__all__ = ["Transfer"]

MOST_BOUNCES = 48
REST = 1e-6
"""Bounces end when one adds less than this share of all light."""
SMALL_SYSTEM = 256
"""Systems of so many patches are inverted as a whole."""
FEW_ROWS = 0.1
"""Receivers are few where they are less than this share of the patches."""


@dataclass(frozen=True)
class Transfer:
    """The solved exchange of light among the patches.

    ``factors`` (n, n) float32 are raw; ``row_sums`` (n,) their sums.
    """

    factors: FloatArray
    reflectance: FloatArray
    area: FloatArray

    @property
    def row_sums(self) -> FloatArray:
        """Raw row sums of the configuration factors, (n,)."""
        sums: FloatArray = self.factors.sum(axis=1)
        return sums

    def settle(self, direct: FloatArray, beside: FloatArray | None = None) -> FloatArray:
        """Return the total illuminance on the patches for direct light (n, k) [lx], (n, k).

        ``beside`` (n, k) is light that the result is added to, so that a small part of it need not be followed as far.
        """
        first: FloatArray = direct.astype(np.float32)
        rho = self.reflectance.astype(np.float32)[:, None]
        if "_all_bounces" not in self.__dict__:
            total: FloatArray = first
            known = 0.0 if beside is None else np.abs(beside).sum(axis=0)
            for _ in range(MOST_BOUNCES):
                before = total
                total = first + self.factors @ (rho * before)
                change = np.abs(total - before).sum(axis=0)
                if (change <= REST * (np.abs(total).sum(axis=0) + known)).all():
                    return total
        settled: FloatArray = self._all_bounces @ first
        return settled

    def carried(self, views: FloatArray, step: Callable[[], None] | None = None) -> FloatArray:
        """Return the operator (receivers, n) from direct light on the patches to reflected light at receivers.

        ``views`` (receivers, n) are the receivers' own configuration factors. Few of them are taken for one part of
        several, and the inverse that is worked out for them serves the others too.
        ``step`` is called between pieces of the work and may raise to end it.
        """
        seen: FloatArray = (views * self.reflectance).astype(np.float32)
        if "_all_bounces" in self.__dict__ or len(seen) < FEW_ROWS * len(self.area):
            operator: FloatArray = seen @ self._all_bounces
            return operator
        return _rows_over(seen, self._system, step)

    def factored(self) -> Callable[[FloatArray], FloatArray]:
        """Return what multiplies the transposed inverse of 1 - F rho with columns (n, k), worked out once for many."""
        # Loading it takes a while, for which nothing that is shown need wait.
        from scipy.linalg import lu_factor, lu_solve

        parts = lu_factor(self._system.T, check_finite=False)
        return partial(lu_solve, parts, check_finite=False)

    def energy_balance(self, total: FloatArray, lumens: FloatArray) -> FloatArray:
        """Return absorbed / emitted lumens for each column of patch illuminances (n, k), (k,)."""
        absorbed: FloatArray = (self.area * (1.0 - self.reflectance)) @ total / lumens
        return absorbed

    @property
    def _system(self) -> FloatArray:
        """The matrix 1 - F rho, (n, n) float32: from total to direct light."""
        system: FloatArray = self.factors * -self.reflectance.astype(np.float32)
        system[np.diag_indices_from(system)] += 1.0
        return system

    @cached_property
    def _all_bounces(self) -> FloatArray:
        """The inverse of 1 - F rho, (n, n) float32: from direct to total light, worked out once."""
        return _rows_over(np.eye(len(self.area), dtype=np.float32), self._system)


def _rows_over(rows: FloatArray, system: FloatArray, step: Callable[[], None] | None = None) -> FloatArray:
    """Return ``rows @ inv(system)`` for rows (k, n) and a system (n, n), both float32, without the whole inverse.

    The system is cut in halves until they are small, so nearly all of the work is plain products of matrices. None of
    it looks for pivots: what patches pass on is less than what they get, so the diagonal of 1 - F rho outweighs the
    rest of its row, and it still does in what is left after each step (G. H. Golub and C. F. Van Loan, Matrix
    Computations, on block LU of such systems; from memory).
    """
    if step is not None:
        step()
    size = len(system)
    if size <= SMALL_SYSTEM:
        solved: FloatArray = rows @ np.linalg.inv(system)
        return solved
    half = size // 2
    upper = _rows_over(np.concatenate([system[half:, :half], rows[:, :half]]), system[:half, :half], step)
    passed = upper @ system[:half, half:]
    low = size - half
    right = _rows_over(rows[:, half:] - passed[low:], system[half:, half:] - passed[:low], step)
    return np.concatenate([upper[low:] - right @ upper[:low], right], axis=1)
