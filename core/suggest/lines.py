"""Aligned rows chosen by an integer program: parallel lines anywhere across the room, each with its own number.

A choice is a whole line (so many fixtures, evenly spaced, so far from the ends), so that rows stay rows and the program
still proves that no other set of lines does it with fewer. One program for each direction and rotation.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.between import Between
from core.suggest.candidates import CLEAR, Ceiling, Places, axis_places
from core.suggest.demands import Demands
from core.suggest.patterns import MARGINS, MOST_ON_LINE
from core.suggest.program import Choices, Outcome, fewest
from core.suggest.request import Limits

__all__ = ["LineSet", "best_lines"]


@dataclass(frozen=True)
class LineSet:
    """Lines of one direction and rotation: their places (k arrays), and the program's choices."""

    turn: float
    centres: tuple[FloatArray, ...]
    choices: Choices

    def places(self, chosen: NDArray[np.intp]) -> Places:
        """Return the places of the chosen lines."""
        every = np.concatenate([self.centres[k] for k in chosen])
        return Places(every, np.full(len(every), self.turn))


def best_lines(
    ceiling: Ceiling,
    grid: Between,
    turn: float,
    along: int,
    demands: Demands,
    margin: float,
    limits: Limits,
    at_least: int,
    at_most: int,
    step: float,
    is_symmetric: bool = False,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[LineSet, Outcome]:
    """Return the lines along an axis (0: x, 1: y), and which of them meet the demands with the fewest fixtures.

    ``margin`` is the share by which the demands must be exceeded.
    """
    lines = _lines(ceiling, grid, turn, along, demands, step, is_symmetric)
    raised = Choices(
        lines.choices.left, lines.choices.right * (1.0 + margin), lines.choices.weights, lines.choices.cliques
    )
    if not lines.centres:
        return lines, Outcome(None, np.nan, 0.0, False, True, False, 0)
    return lines, fewest(raised, limits, at_least=at_least, at_most=at_most, hasty=True, cancelled=cancelled)


def _lines(
    ceiling: Ceiling, grid: Between, turn: float, along: int, demands: Demands, step: float, is_symmetric: bool
) -> LineSet:
    across = 1 - along
    span, bounds = ceiling.span(turn), ceiling.room.bounds
    at = axis_places(span[across], span[across + 2], step)
    made: list[FloatArray] = []
    where: list[int] = []
    for number, place in enumerate(at):
        for ends in _spreads(span, bounds, along, ceiling.half(turn)[along]):
            centres = np.empty((len(ends), 2))
            centres[:, along], centres[:, across] = ends, place
            made.append(centres)
            where.append(number)
    if is_symmetric and along == 1:
        made, where = _paired(made, where, len(at))
    sizes = [len(centres) for centres in made]
    every = np.concatenate(made) if made else np.zeros((0, 2))
    free = ceiling.free(every, np.full(len(every), turn)) if len(every) else np.zeros(0, dtype=bool)
    light = grid.columns @ grid.weights(every)
    columns, kept = [], []
    for number, (start, size) in enumerate(zip(np.cumsum([0, *sizes[:-1]]), sizes, strict=True)):
        mine = np.flatnonzero(free[start : start + size]) + start
        if mine.size:
            kept.append((number, every[mine]))
            columns.append(light[:, mine].sum(axis=1))
    if not kept:
        empty = Choices(np.zeros((len(demands), 0)), np.zeros(len(demands)), np.zeros(0, dtype=np.intp), [])
        return LineSet(turn, (), empty)
    left, right = demands.linear(np.column_stack(columns))
    place = np.array([where[number] for number, _ in kept])
    weights = np.array([len(centres) for _, centres in kept], dtype=np.intp)
    cliques = _neighbours(place, at, 2 * ceiling.half(turn)[across] + CLEAR)
    return LineSet(turn, tuple(c for _, c in kept), Choices(left, right, weights, cliques))


def _spreads(span: tuple[float, ...], bounds: tuple[float, ...], axis: int, half: float) -> list[FloatArray]:
    """Return every even spread of fixtures along a line."""
    found: list[FloatArray] = [np.array([(span[axis] + span[axis + 2]) / 2])]
    for count in range(2, MOST_ON_LINE + 1):
        for margin in MARGINS:
            low, high = span[axis], span[axis + 2]
            if margin is not None:
                spacing = (bounds[axis + 2] - bounds[axis]) / (count - 1 + 2 * margin)
                low, high = max(low, bounds[axis] + margin * spacing), min(high, bounds[axis + 2] - margin * spacing)
            if (high - low) / (count - 1) < 2 * half + CLEAR:
                continue
            ends = np.linspace(low, high, count)
            if not any(len(ends) == len(other) and np.allclose(ends, other) for other in found):
                found.append(ends)
    return found


def _paired(made: list[FloatArray], where: list[int], count: int) -> tuple[list[FloatArray], list[int]]:
    """Join upright lines with their mirror images about the room's middle."""
    each = len(made) // count
    joined, places = [], []
    for number in range((count + 1) // 2):
        for k in range(each):
            mine, other = made[number * each + k], made[(count - 1 - number) * each + k]
            joined.append(mine if number == count - 1 - number else np.concatenate([mine, other]))
            places.append(number)
    return joined, places


def _neighbours(place: NDArray[np.intp], at: FloatArray, apart: float) -> list[NDArray[np.intp]]:
    """Return sets of lines of which one at most can be used: those at one place, and those too close to it."""
    sets: dict[tuple[int, ...], None] = {}
    for number in range(len(at)):
        close = np.flatnonzero((at - at[number] >= -1e-9) & (at - at[number] < apart - 1e-9))
        members = np.flatnonzero(np.isin(place, close if close.size else [number]))
        if len(members) > 1:
            sets[tuple(members.tolist())] = None
    return [np.array(members, dtype=np.intp) for members in sets]
