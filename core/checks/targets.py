"""What the figures are held against: the user's own targets first, recommended values beside them.

`resources/targets.json` lists recommended illuminances with their sources; each is marked as published (read in a
public text), common practice (no source) or from memory (recalled, not verified).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from pydantic import TypeAdapter

from core.plan import Furniture, Plan

__all__ = ["KnownTarget", "Target", "known_targets", "room_target", "work_target"]

_FOR_BENCH = "joiner's bench, gluing, assembly"
_FOR_MACHINE = "woodworking machines"
USERS_OWN = "your target"
PREFERENCE = "home shop practice 80 to 100 fc (a preference, common practice, no source)"


@dataclass(frozen=True, slots=True)
class KnownTarget:
    """A recommended value: illuminance ``lux`` to ``lux_to`` [lx], UGR limit, evenness, least Ra, source and mark."""

    source: str
    task: str
    lux: float
    lux_to: float
    ugr: float | None
    evenness: float | None
    cri: int | None
    mark: str


@dataclass(frozen=True, slots=True)
class Target:
    """A value to hold a figure against, and where it comes from."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class _File:
    about: str
    targets: tuple[KnownTarget, ...]


@lru_cache(maxsize=1)
def known_targets() -> tuple[KnownTarget, ...]:
    """Return the recommended values that ship with the program."""
    text = files("resources").joinpath("targets.json").read_bytes()
    return TypeAdapter(_File).validate_json(text, strict=True).targets


def known_target(task: str) -> KnownTarget:
    """Return the recommended value for a task; KeyError if the list has none."""
    for target in known_targets():
        if target.task == task:
            return target
    raise KeyError(task)


def work_target(plan: Plan, item: Furniture) -> Target:
    """Return the illuminance wanted at a bench or machine [lx]: its own, else the plan's, with a standard's beside."""
    known = known_target(_FOR_MACHINE if item.kind == "machine" else _FOR_BENCH)
    beside = f"EN 12464-1: {known.lux:g} lx for {'machine' if item.kind == 'machine' else 'bench'} work"
    if item.target_lux is not None:
        return Target(item.target_lux, f"{USERS_OWN} for it; {beside}")
    if item.kind == "machine":
        return Target(known.lux, beside)
    return Target(plan.targets.lux, f"{_own_or_preference(plan)}; {beside}")


def room_target(plan: Plan) -> Target:
    """Return the average illuminance wanted in the room [lx]."""
    known = known_target("plant and shops incl. carpenter shops, rigging lofts, active store rooms, workrooms")
    beside = f"29 CFR 1926.56 asks for {known.lux:g} lx at least in carpenter shops on building sites"
    return Target(plan.targets.lux, f"{_own_or_preference(plan)}; {beside}")


def _own_or_preference(plan: Plan) -> str:
    practice = known_target("general home workshop")
    if practice.lux - 1.0 <= plan.targets.lux <= practice.lux_to + 1.0:
        return PREFERENCE
    return USERS_OWN
