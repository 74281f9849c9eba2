"""The solver of whole-number programs (HiGHS) without its greeting, which would mix with what is printed for others."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import highspy

__all__ = ["QuietHighs", "quiet_solver"]


class QuietHighs(highspy.Highs):
    """HiGHS greets as it turns its callbacks on; it is silenced just before."""

    def enableCallbacks(self) -> Any:
        self.silent()
        return super().enableCallbacks()  # type: ignore[no-untyped-call]


def quiet_solver(options: Mapping[str, float | str]) -> Any:
    """Return a solver on one thread with a fixed seed, so that the same question has the same answer.

    Parameters
    ----------
    options
        Further settings by their name in HiGHS.
    """
    solver: Any = QuietHighs()  # type: ignore[no-untyped-call]
    for name, value in {"threads": 1, "parallel": "off", "random_seed": 7, "mip_rel_gap": 0.0, **options}.items():
        solver.setOptionValue(name, value)
    return solver
