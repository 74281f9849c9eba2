"""Lines moved by inches until fewer of them do: each line's place, ends, spacing, number and rotation, one at a time.

Whatever lowers the sum of the squares by which demands are missed is kept (steepest descent). Lines stay lines.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.candidates import CLEAR
from core.suggest.lines import Line, LinePool

__all__ = ["fewest_lines", "mended"]

_STEPS = 40
"""Most moves of one descent."""
_STARTS = 12
_MORE = 3
"""Most fixtures that are added to lines which miss something."""
_MET = 1e-12
_Index = NDArray[np.intp]


def fewest_lines(
    pool: LinePool,
    lines: list[Line],
    at_least: int,
    cancelled: Callable[[], bool] | None = None,
    tries: int = _STARTS,
) -> list[Line]:
    """Return lines with as few fixtures as moving these about gets by with, not below ``at_least``.

    ``tries`` is from how many ways of leaving one out it is tried.
    """
    if pool.is_paired:
        return lines
    descent = _Descent(pool)
    while sum(pool.size(line) for line in lines) > at_least:
        starts = sorted((descent.missed(list(start)), list(start)) for start in descent.one_less(lines))
        fewer = None
        for _, start in starts[:tries]:
            if cancelled is not None and cancelled():
                return lines
            missed, end = descent.down(start)
            if missed <= _MET:
                fewer = end
                break
        if fewer is None:
            return lines
        lines = fewer
    return lines


def mended(pool: LinePool, lines: list[Line], cancelled: Callable[[], bool] | None = None) -> list[Line] | None:
    """Return lines that meet the demands, moved about or with a few fixtures more; None where that does not do."""
    if pool.is_paired:
        return None
    descent = _Descent(pool)
    starts = [list(lines)]
    for _ in range(_MORE + 1):
        ends = []
        for start in starts:
            if cancelled is not None and cancelled():
                return None
            missed, end = descent.down(start)
            if missed <= _MET:
                return end
            ends.append((missed, end))
        best = min(ends)[1]
        more = sorted((descent.missed(list(start)), list(start)) for start in descent.one_more(best))
        starts = [start for _, start in more[:_STARTS]]
        if not starts:
            return None
    return None


class _Descent:
    def __init__(self, pool: LinePool) -> None:
        self._pool = pool
        self._number: list[dict[tuple[int, int, int], int]] = []
        for bundle in pool.bundles:
            none = len(bundle.along)
            table: dict[tuple[int, int, int], int] = {}
            for number, spots in enumerate(bundle.spots.tolist()):
                count = sum(spot < none for spot in spots)
                table[spots[0], spots[1] - spots[0] if count > 1 else 0, count] = number
            self._number.append(table)

    def _spread(self, line: Line) -> tuple[int, int, int]:
        """Return first place, spacing and number of a line, in places along it."""
        bundle = self._pool.bundles[line[0]]
        spots = bundle.spots[line[2]].tolist()
        count = sum(spot < len(bundle.along) for spot in spots)
        return spots[0], spots[1] - spots[0] if count > 1 else 0, count

    def missed(self, lines: list[Line]) -> float:
        """Return the sum of squares by which demands are missed."""
        total = np.sum([self._pool.light(line) for line in lines], axis=0)
        return float((np.maximum(self._pool.right - total, 0.0) ** 2).sum())

    def one_less(self, lines: Sequence[Line]) -> Iterator[tuple[Line, ...]]:
        """Yield the lines with one fixture less on one of them."""
        for number, line in enumerate(lines):
            rest = [*lines[:number], *lines[number + 1 :]]
            if self._pool.size(line) == 1:
                yield tuple(rest)
                continue
            for spread in self._other_numbers(line, -1):
                yield (*rest, spread)

    def one_more(self, lines: Sequence[Line]) -> Iterator[tuple[Line, ...]]:
        """Yield the lines with one fixture more on one of them."""
        for number, line in enumerate(lines):
            rest = [*lines[:number], *lines[number + 1 :]]
            for spread in self._other_numbers(line, 1):
                yield (*rest, spread)

    def _other_numbers(self, line: Line, more: int) -> Iterator[Line]:
        """Yield the line with more (or fewer) fixtures: between the same ends, or one end longer or shorter."""
        first, gap, count = self._spread(line)
        bundle, across, _ = line
        last, new = first + (count - 1) * gap, count + more
        tried: list[tuple[int, int]] = []
        if new == 1:
            yield from self._known(bundle, across, [((len(self._pool.bundles[bundle].along) - 1) // 2, 0, 1)])
            return
        if new > 1 and count > 1:
            even = (last - first) // (new - 1)
            tried = [(first, even), (first, even + 1), (last - (new - 1) * even, even)]
            tried += [(first, gap), (first - more * gap, gap)]
        elif new > 1:
            span = len(self._pool.bundles[bundle].along) - 1
            tried = [(span // 4, span // 2), (span // 6, 2 * span // 3)]
        yield from self._known(bundle, across, [(start, between, new) for start, between in dict.fromkeys(tried)])

    def _known(self, bundle: int, across: int, spreads: Sequence[tuple[int, int, int]]) -> Iterator[Line]:
        if 0 <= across < len(self._pool.bundles[bundle].across):
            for spread in spreads:
                number = self._number[bundle].get(spread)
                if number is not None:
                    yield bundle, across, number

    def _moves(self, line: Line) -> Iterator[Line]:
        """Yield the line a little elsewhere, wider, narrower or turned."""
        bundle, across, _ = line
        first, gap, count = self._spread(line)
        for by in (-2, -1, 1, 2):
            yield from self._known(bundle, across + by, [(first, gap, count)])
        if count > 1:
            wider = [(first + a, gap + b, count) for a in (-3, -2, -1, 0, 1, 2, 3) for b in (-2, -1, 0, 1, 2)]
            yield from self._known(bundle, across, wider)
            for by in (-1, 1):
                yield from self._known(bundle, across + by, wider)
        for other, there in enumerate(self._pool.bundles):
            if other != bundle:
                here = self._pool.bundles[bundle]
                near = int(np.abs(there.across - here.across[across]).argmin())
                start = int(np.abs(there.along - here.along[first]).argmin())
                spreads = [(start + a, gap + b, count) for a in (-2, -1, 0, 1, 2) for b in (-1, 0, 1)]
                yield from self._known(other, near, spreads)

    def down(self, lines: list[Line]) -> tuple[float, list[Line]]:
        """Move lines as long as that helps; return what is missed in the end, and the lines."""
        pool = self._pool
        lines = list(lines)
        lights = [pool.light(line) for line in lines]
        best = self.missed(lines)
        for _ in range(_STEPS):
            if best <= _MET:
                break
            total = np.sum(lights, axis=0)
            found: tuple[float, list[tuple[int, Line, FloatArray]]] | None = None
            for number in range(len(lines)):
                moved = self._best_move(lines, lights, number, total)
                if moved is not None and (found is None or moved[0] < found[0]):
                    found = moved[0], [(number, moved[1], moved[2])]
            if found is None or found[0] >= best * (1.0 - 1e-4):
                found = self._best_exchange(lines, lights, total)
            if found is None or found[0] >= best * (1.0 - 1e-4):
                break
            best = found[0]
            for number, line, light in found[1]:
                lines[number], lights[number] = line, light
        return best, lines

    def _best_move(
        self, lines: list[Line], lights: list[FloatArray], number: int, total: FloatArray
    ) -> tuple[float, Line, FloatArray] | None:
        pool, line = self._pool, lines[number]
        size = pool.size(line)
        others = [other for k, other in enumerate(lines) if k != number]
        moves = [
            move for move in dict.fromkeys(self._moves(line)) if pool.size(move) == size and self._fits(move, others)
        ]
        if not moves:
            return None
        made = self._lights(moves)
        missed = (np.maximum(pool.right - (total - lights[number]) - made, 0.0) ** 2).sum(axis=1)
        k = int(missed.argmin())
        return float(missed[k]), moves[k], made[k]

    def _best_exchange(
        self, lines: list[Line], lights: list[FloatArray], total: FloatArray
    ) -> tuple[float, list[tuple[int, Line, FloatArray]]] | None:
        """Return the best way to hand one fixture from one line to another."""
        pool = self._pool
        fewer = [[m for m in self._other_numbers(line, -1) if pool.size(m) == pool.size(line) - 1] for line in lines]
        more = [[m for m in self._other_numbers(line, 1) if pool.size(m) == pool.size(line) + 1] for line in lines]
        best: tuple[float, list[tuple[int, Line, FloatArray]]] | None = None
        for giver, less in enumerate(fewer):
            for line in less:
                light = pool.light(line)
                for taker, longer in enumerate(more):
                    if taker == giver or not longer:
                        continue
                    made = self._lights(longer)
                    rest = total - lights[giver] - lights[taker] + light
                    missed = (np.maximum(pool.right - rest - made, 0.0) ** 2).sum(axis=1)
                    k = int(missed.argmin())
                    if best is None or missed[k] < best[0]:
                        best = float(missed[k]), [(giver, line, light), (taker, longer[k], made[k])]
        return best

    def _lights(self, lines: Sequence[Line]) -> FloatArray:
        """Return what lines give to every demand (lines, rows)."""
        made = np.empty((len(lines), len(self._pool.right)), dtype=np.float32)
        for number, bundle in enumerate(self._pool.bundles):
            mine = [k for k, line in enumerate(lines) if line[0] == number]
            if mine:
                across = np.array([lines[k][1] for k in mine])
                spots = bundle.spots[[lines[k][2] for k in mine]]
                made[mine] = bundle.light[across[:, None], spots].sum(axis=1)
        return made

    def _fits(self, line: Line, others: Sequence[Line]) -> bool:
        """Tell whether a line's bodies stay clear of the other lines'."""
        bundle = self._pool.bundles[line[0]]
        at = bundle.across[line[1]]
        for other in others:
            there = self._pool.bundles[other[0]]
            if abs(at - there.across[other[1]]) < bundle.half + there.half + CLEAR - 1e-6:
                return False
        return True
