"""Aligned patterns: rows along or across the room, each with its own number of fixtures, scored by the thousand.

A pattern is a few parallel lines, evenly spaced, with as many fixtures on each as it says: even rows, a lighter middle,
the ring along the walls (inner lines with their two ends only), rows that follow the benches. Lines are scored once
(the light of a line is the sum of its fixtures' columns, `core.suggest.between`), patterns are sums of lines. A
fixture that something is in the way of is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.between import Between
from core.suggest.candidates import CLEAR, Ceiling, Places
from core.suggest.demands import Demands

__all__ = ["Pattern", "PatternBook"]

MOST_LINES = 6
MOST_ON_LINE = 8
MARGINS = (0.5, 0.4, 0.3, None)
"""Distance of the end fixtures from the wall as a share of the spacing: half of it (common practice), less, or as near
as may be (None)."""
_CHUNK = 20_000
_SAME_PLACES = 4
"""Patterns of different families may have the same places; so many times as many are looked through."""


@dataclass(frozen=True, slots=True)
class Pattern:
    """One aligned layout: what kind it is, its places, and how many fixtures were left out."""

    kind: str
    centres: tuple[tuple[float, float], ...]
    turn: float
    left_out: int
    score: float

    def places(self) -> Places:
        """Return the places as candidates."""
        return Places(np.array(self.centres).reshape(-1, 2), np.full(len(self.centres), self.turn))


@dataclass(frozen=True)
class _Family:
    """All patterns with one direction, rotation, number of lines and pair of margins."""

    turn: float
    lines: NDArray[np.intp]  # (lines of the family, counts 0..most): number of the line in the book
    counts: NDArray[np.intp]  # (patterns, lines): which count each line takes


class PatternBook:
    """All lines of one model in one room, and the patterns that they make."""

    def __init__(self, ceiling: Ceiling, between: dict[float, Between], demands: Demands, is_symmetric: bool) -> None:
        self._ceiling = ceiling
        self._is_symmetric = is_symmetric
        self._centres: list[FloatArray] = []
        self._missing: list[int] = []
        self._turns: list[float] = []
        self._families = list(self._make_families(between))
        self._over, self._under = self._light_of_lines(between, demands)
        self._least = demands.least.astype(np.float32)
        self._totals = [self._total(family) for family in self._families]

    @property
    def size(self) -> int:
        """How many patterns there are."""
        return sum(len(family.counts) for family in self._families)

    def best(self, count: int, how_many: int, cancelled: Callable[[], bool] | None = None) -> list[Pattern]:
        """Return the best patterns with ``count`` fixtures, best first, no two with the same places."""
        found: list[tuple[float, int, int]] = []
        for number, (family, total) in enumerate(zip(self._families, self._totals, strict=True)):
            if cancelled is not None and cancelled():
                break
            rows = np.flatnonzero(total == count)
            if not rows.size:
                continue
            scores = np.concatenate([self._scores(family, rows[k : k + _CHUNK]) for k in range(0, len(rows), _CHUNK)])
            top = scores.argsort(kind="stable")[::-1][: _SAME_PLACES * how_many]
            found += [(round(float(scores[place]), 6), number, int(rows[place])) for place in top]
        found.sort(key=lambda one: (-one[0], one[1], one[2]))
        unique: dict[object, Pattern] = {}
        for score, number, row in found:
            if len(unique) >= how_many:
                break
            pattern = self._pattern(self._families[number], row, score)
            if self._is_symmetric and not self._mirrors(pattern):
                continue
            key = (pattern.turn, tuple(sorted((round(x, 3), round(y, 3)) for x, y in pattern.centres)))
            known = unique.get(key)
            if known is None or pattern.left_out < known.left_out:
                unique[key] = pattern
        return list(unique.values())

    def _mirrors(self, pattern: Pattern) -> bool:
        x0, _, x1, _ = self._ceiling.room.bounds
        mine = {(round(x, 3), round(y, 3)) for x, y in pattern.centres}
        return mine == {(round(x0 + x1 - x, 3), round(y, 3)) for x, y in pattern.centres}

    def _make_families(self, between: dict[float, Between]) -> Iterator[_Family]:
        for turn, along in product(between, (0, 1)):
            for lines in range(1, MOST_LINES + 1):
                for across_margin, along_margin in product(MARGINS, MARGINS):
                    if lines == 1 and across_margin != 0.5:
                        continue
                    family = self._family(turn, along, lines, across_margin, along_margin)
                    if family is not None:
                        yield family

    def _family(
        self, turn: float, along: int, lines: int, across_margin: float | None, along_margin: float | None
    ) -> _Family | None:
        across = 1 - along
        at = self._spread(turn, across, lines, across_margin)
        if at is None:
            return None
        book = np.full((lines, MOST_ON_LINE + 1), -1, dtype=np.intp)
        most = 0
        for count in range(1, MOST_ON_LINE + 1):
            ends = self._spread(turn, along, count, along_margin)
            if ends is None:
                break
            most = count
            for number, place in enumerate(at):
                centres = np.empty((count, 2))
                centres[:, along], centres[:, across] = ends, place
                book[number, count] = self._line(centres, turn)
        if not most:
            return None
        counts = np.array([c for c in _count_vectors(lines, most) if any(c)], dtype=np.intp)
        return _Family(turn, book, counts)

    def _spread(self, turn: float, axis: int, count: int, margin: float | None) -> FloatArray | None:
        """Return ``count`` evenly spaced places along an axis; None where the bodies would touch."""
        span, bounds = self._ceiling.span(turn), self._ceiling.room.bounds
        low, high = span[axis], span[axis + 2]
        if count == 1:
            return np.array([(low + high) / 2])
        if margin is not None:
            spacing = (bounds[axis + 2] - bounds[axis]) / (count - 1 + 2 * margin)
            low, high = max(low, bounds[axis] + margin * spacing), min(high, bounds[axis + 2] - margin * spacing)
        if (high - low) / (count - 1) < 2 * self._ceiling.half(turn)[axis] + CLEAR:
            return None
        return np.linspace(low, high, count)

    def _line(self, centres: FloatArray, turn: float) -> int:
        self._centres.append(centres)
        self._turns.append(turn)
        return len(self._centres) - 1

    def _light_of_lines(self, between: dict[float, Between], demands: Demands) -> tuple[FloatArray, FloatArray | None]:
        """Return what every line gives on both sides of every demand, (lines + 1, rows); the last one is no line."""
        sizes = [len(centres) for centres in self._centres]
        owner = np.repeat(np.arange(len(sizes)), sizes)
        every = np.concatenate(self._centres) if sizes else np.zeros((0, 2))
        turns = np.array(self._turns)[owner]
        free = self._ceiling.free(every, turns) if len(every) else np.zeros(0, dtype=bool)
        edges = np.cumsum(sizes)[:-1]
        self._centres = [c[f] for c, f in zip(self._centres, np.split(free, edges), strict=True)] if sizes else []
        self._missing = [size - len(left) for size, left in zip(sizes, self._centres, strict=True)]
        over = np.zeros((len(sizes) + 1, len(demands)), dtype=np.float32)
        has_under = bool(demands.under.any())
        under = np.zeros_like(over) if has_under else None
        for turn, grid in between.items():
            mine = np.flatnonzero(free & (turns == turn))
            weights = grid.weights(every[mine])
            for matrix, sums in ((demands.over, over), (demands.under, under)):
                if sums is not None:
                    np.add.at(sums, owner[mine], ((matrix @ grid.columns) @ weights).T.astype(np.float32))
        return over, under

    def _total(self, family: _Family) -> NDArray[np.intp]:
        held = np.array([len(centres) for centres in self._centres] + [0], dtype=np.intp)
        total: NDArray[np.intp] = held[self._chosen(family, slice(None))].sum(axis=1)
        return total

    @staticmethod
    def _chosen(family: _Family, rows: NDArray[np.intp] | slice) -> NDArray[np.intp]:
        """Return the lines of some patterns (patterns, lines); -1 is no line."""
        counts = family.counts[rows]
        found: NDArray[np.intp] = family.lines[np.arange(counts.shape[1])[None, :], counts]
        return found

    def _scores(self, family: _Family, rows: NDArray[np.intp]) -> FloatArray:
        chosen = self._chosen(family, rows)
        over = np.zeros((len(rows), len(self._least)), dtype=np.float32)
        under = np.zeros_like(over) if self._under is not None else None
        for line in chosen.T:
            over += self._over[line]
            if under is not None and self._under is not None:
                under += self._under[line]
        asked = self._least if under is None else under + self._least
        score: FloatArray = (over / np.maximum(asked, 1e-6)).min(axis=1, initial=np.inf)
        return score

    def _pattern(self, family: _Family, row: int, score: float) -> Pattern:
        lines = [int(line) for line in self._chosen(family, np.array([row]))[0] if line >= 0]
        centres = [tuple(map(float, centre)) for line in lines for centre in self._centres[line]]
        missing = sum(self._missing[line] for line in lines)
        counts = [len(self._centres[line]) for line in lines if len(self._centres[line])]
        return Pattern(_kind(counts), tuple((c[0], c[1]) for c in centres), family.turn, missing, score)


def _count_vectors(lines: int, most: int) -> Iterator[tuple[int, ...]]:
    """Yield how many fixtures the lines carry: free for up to three lines, else first, inner ones alike, last."""
    if lines <= 3:
        yield from product(range(most + 1), repeat=lines)
        return
    for first, inner, last in product(range(most + 1), repeat=3):
        yield (first, *(inner for _ in range(lines - 2)), last)
        if inner > 1 and lines > 4:
            # Every other inner line lighter: staggered rows.
            yield (first, *(inner - (k % 2) for k in range(lines - 2)), last)


def _kind(counts: Sequence[int]) -> str:
    if len(counts) <= 1:
        return "one row"
    if len(set(counts)) == 1:
        return "even rows"
    inner = counts[1:-1]
    if inner and set(inner) == {2} and min(counts[0], counts[-1]) > 2:
        return "around the walls"
    if len(counts) >= 3 and max(inner) < min(counts[0], counts[-1]):
        return "lighter middle"
    return "rows of their own"
