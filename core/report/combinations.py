"""Which switch settings are reported: all on, each group alone, every kept one; all 2^n where n is at most 4."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations

from core.plan import Plan
from core.tables import slug

__all__ = ["ALL_ON", "MOST_GROUPS_FOR_ALL", "ReportedCombination", "reported_combinations"]

ALL_ON = "All on"
MOST_GROUPS_FOR_ALL = 4


@dataclass(frozen=True)
class ReportedCombination:
    """A switch setting: a name of its own, the level of every group, its file's middle part, whether it was kept."""

    name: str
    levels: Mapping[str, float]
    slug: str
    is_kept: bool = False


def reported_combinations(plan: Plan) -> tuple[ReportedCombination, ...]:
    """Return the settings that are reported, each name and each file name once.

    A kept combination whose name is taken keeps its levels and gets a number behind its name; one that is the
    very same, name and levels, is not repeated. Among the settings that nobody named, equal levels are listed
    once.
    """
    reported: list[ReportedCombination] = []
    for name, levels, kept in _candidates(plan):
        if any(known.levels == levels and (not kept or known.name == name) for known in reported):
            continue
        unique = _unlike(name, {known.name for known in reported})
        reported.append(ReportedCombination(unique, levels, slug(unique, {known.slug for known in reported}), kept))
    return tuple(reported)


def _candidates(plan: Plan) -> Iterator[tuple[str, dict[str, float], bool]]:
    """Yield name, level of every group, and whether the user kept it."""
    letters = [group.letter for group in plan.groups]
    yield ALL_ON, dict.fromkeys(letters, 1.0), False
    for letter in letters:
        yield f"{letter} alone", _lit(letters, (letter,)), False
    for kept in plan.combinations:
        shares = kept.shares()
        yield kept.name or "Unnamed", {letter: shares.get(letter, 0.0) for letter in letters}, True
    if len(letters) <= MOST_GROUPS_FOR_ALL:
        for count in range(2, len(letters)):
            for lit in combinations(letters, count):
                yield " and ".join(lit), _lit(letters, lit), False
        yield "All off", dict.fromkeys(letters, 0.0), False


def _lit(letters: list[str], lit: tuple[str, ...]) -> dict[str, float]:
    return {letter: float(letter in lit) for letter in letters}


def _unlike(name: str, taken: set[str]) -> str:
    unique, number = name, 1
    while unique in taken:
        number += 1
        unique = f"{name} ({number})"
    return unique
