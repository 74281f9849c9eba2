"""How one kind of quantity is typed: its units, and what a number without a unit means."""

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["Measure", "Unit"]


@dataclass(frozen=True)
class Unit:
    """A unit and its kin: the parts of one quantity go from larger to smaller within one `family`."""

    size: float
    family: str = ""
    then: float | None = None
    """Size of the unit meant by a number without unit that follows this one (feet, then inches)."""


@dataclass(frozen=True)
class Measure:
    """How one kind of quantity is typed."""

    name: str
    units: Mapping[str, Unit]
    bare: float
    """Size of the unit that a number without unit has."""
    example: str
    thousands: bool = True
    """Whether 1,234 is a thousand and more."""
    mixes: bool = True
    """Whether a number without unit may be added to one with a unit."""
    drawing_hyphen: bool = False
    """Whether 12-6 could be meant as feet and inches."""
