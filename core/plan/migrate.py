"""Old plan files: one step for each version, from the data of that version to the data of the next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from core.plan.plan import VERSION

__all__ = ["STEPS", "Step", "migrate"]

Step = Callable[[dict[str, Any]], dict[str, Any]]

STEPS: Mapping[int, Step] = {}
"""``STEPS[n]`` turns the plan data of file version n into those of n + 1. Data are what JSON holds, not yet
checked: a step passes over what is missing or of a wrong kind, and leaves it to the check that follows to
name it."""


def migrate(data: Mapping[str, Any], steps: Mapping[int, Step] = STEPS, newest: int = VERSION) -> dict[str, Any]:
    """Return the plan data of a file in the newest version.

    Parameters
    ----------
    data : mapping
        The whole file: its version under ``candlebench``, the plan's data under ``plan``.
    steps, newest
        The chain; given only by tests.
    """
    plan: dict[str, Any] = data["plan"]
    for version in range(data["candlebench"], newest):
        plan = steps[version](plan)
    return plan
