"""Which settings a table of all switch settings shows, and how a setting is said in words.

With up to six groups every combination of on and off is shown, and every kept one. With more there would be hundreds:
then everything on, the kept ones and those that were asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from core.plan import Plan

__all__ = ["MOST_GROUPS_FOR_TABLE", "Setting", "levels_in_words", "table_settings"]

MOST_GROUPS_FOR_TABLE = 6


@dataclass(frozen=True)
class Setting:
    """One line of the table: its name and the level of every group; ``digit`` is 0 where it is not kept."""

    name: str
    levels: Mapping[str, float]
    digit: int = 0


def table_settings(plan: Plan, asked: Sequence[Mapping[str, float]] = ()) -> tuple[Setting, ...]:
    """Return the settings that a table shows: everything on, the kept ones, those asked for, then all others.

    A setting that nobody named is not repeated; kept ones are all there, also two that are alike.
    """
    letters = [group.letter for group in plan.groups]
    found = [Setting("All on", dict.fromkeys(letters, 1.0))]
    for digit, kept in enumerate(plan.combinations, start=1):
        shares = kept.shares()
        found.append(Setting(kept.name or "Unnamed", {a: shares.get(a, 0.0) for a in letters}, digit))
    more = [{letter: levels.get(letter, 0.0) for letter in letters} for levels in asked]
    if len(letters) <= MOST_GROUPS_FOR_TABLE:
        for count in range(1, len(letters)):
            more += [{a: float(a in lit) for a in letters} for lit in combinations(letters, count)]
        more.append(dict.fromkeys(letters, 0.0))
    for levels in more:
        if all(known.levels != levels for known in found):
            found.append(Setting(levels_in_words(levels), levels))
    return tuple(found)


def levels_in_words(levels: Mapping[str, float]) -> str:
    """Return a setting in words, as "A alone", "A alone at 40 %", "A and B at 40 %", "All off"."""
    lit = [letter if share >= 1.0 else f"{letter} at {100 * share:.0f} %" for letter, share in levels.items() if share]
    if not lit:
        return "All off"
    if len(lit) == 1:
        letter, at, share = lit[0].partition(" at ")
        return (f"{letter} alone" if len(levels) > 1 else letter) + at + share
    return f"{', '.join(lit[:-1])} and {lit[-1]}"
