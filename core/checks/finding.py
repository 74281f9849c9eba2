"""One finding: what was looked at, the figure, what it is held against, and what to do; and how figures are written."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

from core.plan import Plan, Point
from core.units import LUX_PER_FC, UnitSystem, show_illuminance, show_length

__all__ = ["Finding", "Severity", "Wording", "in_order"]


_PLACE = re.compile(r", its centre .*? of the plan")


class Severity(IntEnum):
    """How much a finding matters; the lowest comes first."""

    ACT = 0
    MIND = 1
    GOOD = 2

    @property
    def word(self) -> str:
        """'to do', 'to mind' or 'good'."""
        return ("to do", "to mind", "good")[self]


@dataclass(frozen=True, slots=True)
class Finding:
    """One line of the list.

    ``figure`` is in ``unit``; ``target`` is written out ('at least 100', 'at most 25'), '' where there is none;
    ``source`` says where the target is from. ``title`` and ``detail`` say it all in plain words. ``place`` is the point
    on the plan [m] and ``about`` the ids of what is meant. ``weight`` orders findings of one severity, heaviest first.
    """

    severity: Severity
    combination: str
    where: str
    what: str
    figure: float | None
    unit: str
    target: str
    source: str
    cause: str
    remedy: str
    title: str
    place: Point | None = None
    about: tuple[str, ...] = ()
    weight: float = 0.0

    @property
    def detail(self) -> str:
        """Target, cause and remedy in one run of sentences."""
        unit = "" if self.unit in ("", "share", "ratio") else f" {self.unit}"
        wanted = f"Wanted: {self.target}{unit} ({self.source})." if self.target else ""
        return " ".join(part for part in (wanted, self.cause, self.remedy) if part)

    @property
    def brief(self) -> str:
        """The cause's first sentence and the remedy without its measured place, for where room is short."""
        cause = self.cause.split(". ")[0].rstrip(".")
        remedy = _PLACE.sub("", self.remedy)
        return " ".join(part for part in (f"{cause}." if cause else "", remedy) if part)


@dataclass(frozen=True)
class Wording:
    """How a plan's figures are written: units, light loss, the name of the switch setting."""

    plan: Plan
    combination: str
    factor: float = 1.0

    @property
    def system(self) -> UnitSystem:
        """The plan's units."""
        return UnitSystem.METRIC if self.plan.units == "metric" else UnitSystem.US

    @property
    def light_unit(self) -> str:
        """'fc' or 'lx'."""
        return "lx" if self.system is UnitSystem.METRIC else "fc"

    @property
    def kind(self) -> str:
        """'initial' or 'maintained'."""
        return "initial" if self.factor == 1.0 else "maintained"

    def number(self, lux: float) -> float:
        """Return an illuminance in the plan's unit, as a number with what digits it is good for."""
        value = lux if self.system is UnitSystem.METRIC else lux / LUX_PER_FC
        return round(value, 1)

    def light(self, lux: float) -> str:
        """Write an illuminance."""
        return show_illuminance(lux, self.system)

    def length(self, metres: float) -> str:
        """Write a length, to the inch or the centimetre."""
        if self.system is UnitSystem.METRIC:
            return f"{metres:.2f} m"
        return show_length(metres, self.system, fraction=1)

    def spot(self, x: float, y: float) -> str:
        """Write a place by its distances from the left and the front end of the plan."""
        xs, ys = zip(*self.plan.room.outline, strict=True)
        return (
            f"{self.length(x - min(xs))} from the left and {self.length(y - min(ys))} from the lower wall of the plan"
        )

    def fixture(self, number: int) -> str:
        """Return what a fixture is called: its own name, else its model's with its switch and id."""
        fixture = self.plan.fixtures[number]
        if fixture.name:
            return fixture.name
        return f"{self.plan.model(fixture.model).name} ({fixture.id}, switch {fixture.group})"


def in_order(found: Sequence[Finding]) -> list[Finding]:
    """Return findings, most important first; equals stay in the order in which they were found."""
    return sorted(found, key=lambda finding: (finding.severity, -finding.weight))
