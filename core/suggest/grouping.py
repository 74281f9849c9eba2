"""Which fixtures go on which switch: shared out so that every switch alone lights the room as evenly as it can.

Fixtures start in turn along the room and are then exchanged in pairs as long as the least even switch gets more even.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray

__all__ = ["LETTERS", "brightest_on", "shared_out"]

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_SWAPS = 200


def shared_out(columns: FloatArray, centres: FloatArray, letters: Sequence[str]) -> list[str]:
    """Return a switch letter for each fixture.

    Parameters
    ----------
    columns : (n, fixtures)
        Light of each fixture at the points whose evenness counts [lx].
    centres : (fixtures, 2)
        Their places [m]; they are numbered along the room, row by row.
    letters
        The switches.
    """
    count, switches = len(centres), len(letters)
    if switches <= 1 or count == 0:
        return [letters[0] if letters else "A"] * count
    order = np.lexsort((centres[:, 0], np.round(centres[:, 1], 1)))
    owner = np.empty(count, dtype=np.intp)
    owner[order] = np.arange(count) % switches
    best = _worst(columns, owner, switches)
    for _ in range(_SWAPS):
        swap = _better_swap(columns, owner, switches, best)
        if swap is None:
            break
        owner, best = swap
    return [letters[int(number)] for number in owner]


def brightest_on(owners: Sequence[str], light: FloatArray, on: Sequence[str]) -> list[str]:
    """Return the switch letters (fixtures,) exchanged so that the brightest switches have the letters ``on``.

    ``light`` (fixtures,) is what each fixture gives to the average.
    """
    totals: dict[str, float] = {}
    for letter, part in zip(owners, light, strict=True):
        totals[letter] = totals.get(letter, 0.0) + float(part)
    for letter in on:
        totals.setdefault(letter, 0.0)
    bright = sorted(totals, key=lambda letter: (-round(totals[letter], 6), letter not in on, letter))
    rest = sorted(letter for letter in totals if letter not in on)
    renamed = dict(zip(bright, [*sorted(on), *rest], strict=True))
    return [renamed[letter] for letter in owners]


def _better_swap(
    columns: FloatArray, owner: NDArray[np.intp], switches: int, best: float
) -> tuple[NDArray[np.intp], float] | None:
    found = None
    for a, b in combinations(range(len(owner)), 2):
        if owner[a] == owner[b]:
            continue
        tried = owner.copy()
        tried[a], tried[b] = owner[b], owner[a]
        value = _worst(columns, tried, switches)
        if value > best + 1e-6:
            found, best = tried, value
    return None if found is None else (found, best)


def _worst(columns: FloatArray, owner: NDArray[np.intp], switches: int) -> float:
    """Return the least evenness (minimum / average) of any switch alone, plus a little of their mean."""
    evenness = []
    for number in range(switches):
        light = columns[:, owner == number].sum(axis=1)
        average = float(light.mean()) if light.size else 0.0
        evenness.append(float(light.min()) / average if average > 0.0 else 0.0)
    return min(evenness) + 0.01 * sum(evenness) / len(evenness)
