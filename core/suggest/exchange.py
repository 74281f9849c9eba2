"""Choices exchanged one for another until every demand holds: often far sooner than a program finds such choices.

Each in turn is exchanged for the one by which the sum of the squares of what is missed becomes least, until nothing
helps (steepest descent); then a few are taken anywhere and it begins again (`core.suggest.local_search`). Chance has a
fixed seed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.light.grid import BoolArray, FloatArray
from core.suggest.local_search import MET, SHORT, begun_again, missed_squares, taken_up
from core.suggest.program import Choices

__all__ = ["Exchange"]

MOST_CHOICES = 2000
"""With more of them it is not tried: the table of what goes together would be large."""
_TRIES, _FIRST_TRIES = 150, 10
"""Beginnings for one number of fixtures."""
_SWEEPS = 30
_DEMANDS_FIRST = 80
_BETTER = 1e-7


class Exchange:
    """Looks for the fewest fixtures among choices."""

    def __init__(self, choices: Choices, cancelled: Callable[[], bool] | None = None) -> None:
        self._choices, self._cancelled = choices, cancelled
        self._left: FloatArray = choices.left.astype(np.float32)
        self._right = choices.right.astype(np.float32)
        self._chance = np.random.default_rng(0)
        size = len(choices.weights)
        self._clash: BoolArray = np.eye(size, dtype=bool)
        for clique in choices.cliques:
            self._clash[np.ix_(clique, clique)] = True
        ease = self._left.sum(axis=1) / np.maximum(self._right, SHORT)
        self._used: NDArray[np.intp] = np.sort(ease.argsort(kind="stable")[:_DEMANDS_FIRST])
        self._take_up()

    def _take_up(self) -> None:
        # A choice's light lies together: every exchange reads it so.
        self._light = np.ascontiguousarray(self._left[self._used].T)
        self._asked = self._right[self._used]

    def fewest(self, at_least: int, at_most: int) -> NDArray[np.intp] | None:
        """Return the choices with the fewest fixtures that were found to meet the demands, None where none were."""
        best: NDArray[np.intp] | None = None
        count = at_most
        while count > at_least and self._anywhere(count) is None:
            count -= 1  # so many do not fit
        while count >= max(1, at_least) and not self._is_stopped():
            found = self.reached(count, best)
            if found is None:
                break
            best = found
            count = int(self._choices.weights[best].sum()) - 1
        return best

    def reached(self, count: int, begin: NDArray[np.intp] | None = None) -> NDArray[np.intp] | None:
        """Return choices with ``count`` fixtures that meet the demands, None where none were found."""

        def start(best: NDArray[np.intp] | None, attempt: int) -> NDArray[np.intp] | None:
            if best is not None and attempt % 4:
                return self._shaken(best)
            return self._anywhere(count) if begin is None or attempt else self._cut_to(begin, count)

        found = begun_again(start, self._down, self._misses_others, _TRIES, _FIRST_TRIES, self._is_stopped)
        return None if found is None else np.sort(found)

    def _down(self, chosen: NDArray[np.intp]) -> tuple[float, NDArray[np.intp]]:
        """Exchange choices as long as that helps; return what is missed in the end, and the choices."""
        chosen = chosen.copy()
        weights = self._choices.weights
        total = self._light[chosen].sum(axis=0)
        best = float(missed_squares(self._asked - total))
        taken = self._clash[chosen].sum(axis=0)
        for _ in range(_SWEEPS):
            before = best
            for k in self._chance.permutation(len(chosen)):
                old = chosen[k]
                asked = self._asked - (total - self._light[old])
                missed = missed_squares(asked - self._light)
                missed[(taken - self._clash[old] > 0) | (weights != weights[old])] = np.inf
                new = int(missed.argmin())
                if missed[new] < best - _BETTER * max(1.0, best):
                    best, chosen[k] = float(missed[new]), new
                    total = self._asked - asked + self._light[new]
                    taken += self._clash[new].astype(taken.dtype) - self._clash[old]
                if best <= MET:
                    return best, chosen
            if best > before * 0.99:
                break
        return best, chosen

    def _misses_others(self, chosen: NDArray[np.intp]) -> bool:
        """Tell whether choices miss a demand that was left out so far; such ones are taken up."""
        used = taken_up(self._used, self._right - self._left[:, chosen].sum(axis=1))
        if used is not None:
            self._used = used
            self._take_up()
        return used is not None

    def _anywhere(self, count: int) -> NDArray[np.intp] | None:
        """Return choices by chance, None where they do not fit."""
        weights = self._choices.weights
        for _ in range(_SWEEPS):
            chosen: list[int] = []
            free: BoolArray = np.ones(len(weights), dtype=bool)
            while (rest := count - int(weights[chosen].sum())) > 0:
                # An odd one, where there are pairs, first: pairs alone would never come out at an odd number.
                fits = free & ((weights % 2 == 1) if rest % 2 else (weights <= rest))
                open_ = np.flatnonzero(fits)
                if not open_.size:
                    break
                chosen.append(int(self._chance.choice(open_)))
                free &= ~self._clash[chosen[-1]]
            else:
                return np.array(chosen, dtype=np.intp)
        return None

    def _shaken(self, chosen: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return choices with a few of them taken anywhere."""
        chosen = chosen.copy()
        weights = self._choices.weights
        for _ in range(int(self._chance.integers(2, 5))):
            k = int(self._chance.integers(len(chosen)))
            others = np.delete(chosen, k)
            free = ~self._clash[others].any(axis=0) & (weights == weights[chosen[k]])
            chosen[k] = self._chance.choice(np.flatnonzero(free))
        return chosen

    def _cut_to(self, chosen: NDArray[np.intp], count: int) -> NDArray[np.intp] | None:
        """Return choices without those whose loss is missed least."""
        weights = self._choices.weights
        while (over := int(weights[chosen].sum()) - count) > 0:
            total = self._light[chosen].sum(axis=0)
            missed = missed_squares(self._asked - (total - self._light[chosen]))
            missed[weights[chosen] > over] = np.inf
            if not np.isfinite(missed).any():
                return self._anywhere(count)
            chosen = np.delete(chosen, int(missed.argmin()))
        return chosen

    def _is_stopped(self) -> bool:
        return self._cancelled is not None and self._cancelled()
