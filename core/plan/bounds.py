"""How much a plan file may hold: what goes beyond is refused before it is looked at closely.

A file from a stranger may be made to keep the program busy. No list of a real plan comes near these bounds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

__all__ = ["MOST_CONTAINERS", "MOST_ENTRIES", "what_is_too_much"]

MOST_ENTRIES = 5000
"""Most entries of one list: ten times the largest hall that the program is meant for, and any table of a fixture."""
MOST_CONTAINERS = 100_000
"""Most lists and sets of fields in one file: 5,000 things and 200 large tables of intensities."""
_SHORT = 100


def what_is_too_much(data: object) -> str | None:
    """Return what makes JSON data too much to be a plan, in one line; None where nothing does."""
    waiting: list[tuple[str, object]] = [("the plan", data)]
    for seen in range(MOST_CONTAINERS + 1):
        if not waiting:
            return None
        name, value = waiting.pop()
        if isinstance(value, dict):
            waiting.extend((str(key)[:40], entry) for key, entry in value.items() if isinstance(entry, dict | list))
        elif isinstance(value, list):
            problem = _list_problem(name, value)
            if problem is not None:
                return problem
            if value and isinstance(value[0], dict | list):
                waiting.extend((name, entry) for entry in value)
        if seen + len(waiting) > MOST_CONTAINERS:
            break
    return f"the file holds more than {MOST_CONTAINERS} lists and sets of fields; no plan is that large."


def _list_problem(name: str, entries: list[object]) -> str | None:
    if len(entries) > MOST_ENTRIES:
        return f"{name}: {len(entries)} entries are more than the {MOST_ENTRIES} that can be handled."
    if len(entries) > _SHORT and not _are_alike(entries):
        return f"{name}: its {len(entries)} entries are of different kinds, or not numbers that can be handled."
    return None


def _are_alike(entries: Iterable[object]) -> bool:
    kinds = {type(entry) for entry in entries}
    if kinds <= {int, float}:
        return all(abs(n) < 1e300 and math.isfinite(n) for n in entries if isinstance(n, int | float))
    return len(kinds) == 1 and kinds <= {dict, list}
