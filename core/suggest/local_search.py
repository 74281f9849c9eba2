"""Iterated local search: something is changed as long as that helps, then shaken, and changed again.

H. R. Lourenco, O. C. Martin, T. Stuetzle, Handbook of Metaheuristics (2003) 321-353. What is to become nothing is the
sum of the squares by which demands are missed. Only the demands that were hard so far are looked at; where these are
met, those that are missed nevertheless are taken up. It proves nothing: how few will do is for a program to say
(`core.suggest.program`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray

__all__ = ["MET", "begun_again", "missed_squares", "taken_up"]

MET, SHORT = 1e-12, 1e-6
"""A sum of squares that is nothing, and what one demand may be short of."""
HOPEFUL = 0.05
"""Where no less is missed than this after the first beginnings, no more are tried [sum of squares]."""
MORE = 20
"""Demands taken up at once."""
_Kind = TypeVar("_Kind")


def missed_squares(left: FloatArray) -> FloatArray:
    """Return the sums of squares of what is still asked for, over the last axis."""
    short = np.maximum(left, 0.0)
    total: FloatArray = np.einsum("...k,...k->...", short, short)
    return total


def taken_up(used: NDArray[np.intp], short: FloatArray) -> NDArray[np.intp] | None:
    """Return the demands in use with the worst of those that are ``short`` (rows,); None where no others are."""
    rest = short.copy()
    rest[used] = 0.0
    worst = rest.argsort(kind="stable")[::-1][:MORE]
    worst = worst[rest[worst] > SHORT]
    return np.union1d(used, worst) if worst.size else None


def begun_again(
    begin: Callable[[_Kind | None, int], _Kind | None],
    down: Callable[[_Kind], tuple[float, _Kind]],
    misses_others: Callable[[_Kind], bool],
    tries: int,
    first: int,
    is_stopped: Callable[[], bool],
) -> _Kind | None:
    """Return what meets every demand, None where that was not found.

    Parameters
    ----------
    begin
        Makes a beginning of the best so far (None: there is none) and the number of the try.
    down
        Changes it as long as that helps; returns what is missed, and what it came to.
    misses_others
        Tells whether demands that were left out are missed, and takes them up.
    tries, first
        Most beginnings, and how many are made however much is missed.
    """
    best: _Kind | None = None
    least = np.inf
    for attempt in range(tries):
        if is_stopped() or (attempt >= first and least > HOPEFUL):
            return None
        start = begin(best, attempt)
        if start is None:
            return None
        missed, end = down(start)
        while missed <= MET and misses_others(end):
            best, least = None, np.inf
            missed, end = down(end)
        if missed <= MET:
            return end
        if missed < least:
            best, least = end, missed
    return None
