"""Two plans side by side: a table of what counts, the differences marked, and a map of the difference in light."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from core.checks.body_shadow import losses
from core.checks.study import Study
from core.light.field import Field, Lighting
from core.light.grid import FloatArray, Grid
from core.plan import Plan
from core.shopping import bill_of_materials
from core.units import FOOT, LUX_PER_FC
from core.wiring.wired import wired

__all__ = ["ComparedRow", "Comparison", "compared"]

Better = Literal["more", "less", "neither"]
_SAME = 0.005
"""Share below which two figures count as the same."""


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One figure of both plans; ``better`` tells which way is good. None: not known for that plan."""

    name: str
    unit: str
    first: float | None
    second: float | None
    better: Better
    decimals: int = 0

    @property
    def difference(self) -> float | None:
        """Second less first."""
        return None if self.first is None or self.second is None else self.second - self.first

    @property
    def verdict(self) -> Literal["better", "worse", "same", ""]:
        """How the second plan compares with the first in this figure."""
        if self.first is None or self.second is None or self.better == "neither":
            return ""
        change = self.second - self.first
        if abs(change) <= _SAME * max(abs(self.first), abs(self.second)) or round(change, self.decimals) == 0.0:
            return "same"
        return "better" if (change > 0.0) == (self.better == "more") else "worse"


@dataclass(frozen=True)
class Comparison:
    """The table, and the second light less the first on the work plane (ny, nx) [lx], None where rooms differ."""

    rows: tuple[ComparedRow, ...]
    grid: Grid | None
    difference: FloatArray | None
    largest: float


def compared(
    first: Plan,
    first_light: Lighting,
    second: Plan,
    second_light: Lighting,
    first_study: Study | None = None,
    second_study: Study | None = None,
) -> Comparison:
    """Compare two plans with everything on.

    Parameters
    ----------
    first_study, second_study
        What `core.checks.checker.Checker` found, for body shadow and glare; left out where they are not at hand.
    """
    one, two = _all_on(first_light), _all_on(second_light)
    rows = [*_light(first, one, second, two), *_checks(first_study, second_study), *_things(first, second)]
    same = first_light.grid == second_light.grid and np.array_equal(first_light.inside, second_light.inside)
    difference = two.lux - one.lux if same else None
    largest = float(np.nanmax(np.abs(difference))) if difference is not None and first_light.inside.any() else 0.0
    return Comparison(tuple(rows), first_light.grid if same else None, difference, largest)


def _all_on(lighting: Lighting) -> Field:
    return lighting.field(dict.fromkeys(lighting.groups, 1.0))


def _light(first: Plan, one: Field, second: Plan, two: Field) -> Iterator[ComparedRow]:
    fc = LUX_PER_FC
    yield _average("average, room", one.room.average, two.room.average, max(first.targets.lux, second.targets.lux))
    yield ComparedRow("minimum, room", "fc", one.room.minimum / fc, two.room.minimum / fc, "more", 1)
    yield ComparedRow("minimum / average", "", one.room.evenness, two.room.evenness, "more", 2)
    benches = {bench.id: bench for bench in (*first.benches(), *second.benches())}
    for bench, item in benches.items():
        name, wanted = item.name, item.target_lux or second.targets.lux
        found = [side.benches.get(bench) for side in (one, two)]
        average = [None if figures is None else figures.average for figures in found]
        minimum = [None if figures is None else figures.minimum / fc for figures in found]
        yield _average(f"average, {name}", average[0], average[1], wanted)
        yield ComparedRow(f"minimum, {name}", "fc", minimum[0], minimum[1], "more", 1)


def _average(name: str, first: float | None, second: float | None, wanted: float) -> ComparedRow:
    """Return the row of two averages [lx]; where both have what is wanted, more is no better."""
    is_enough = first is not None and second is not None and min(first, second) >= wanted
    one, two = (None if lux is None else lux / LUX_PER_FC for lux in (first, second))
    return ComparedRow(name, "fc", one, two, "neither" if is_enough else "more", 1)


def _checks(first: Study | None, second: Study | None) -> Iterator[ComparedRow]:
    if first is None or second is None:
        return
    one, two = _shadows(first), _shadows(second)
    for name in dict.fromkeys((*one, *two)):
        yield ComparedRow(f"body shadow at the hands, {name}", "%", one.get(name), two.get(name), "less", 0)
    yield ComparedRow("worst glare", "UGR", _worst_glare(first), _worst_glare(second), "less", 0)


def _shadows(study: Study) -> dict[str, float]:
    shares = np.ones(len(study.sources))
    return {
        shadow.stand.item.name or shadow.stand.item.id: 100.0 * losses(shadow, shares).spot for shadow in study.shadows
    }


def _worst_glare(study: Study) -> float | None:
    shares = np.ones(len(study.sources))
    values = [view.glare.ugr(shares) for view in study.views]
    return max(values) if values else None


def _things(first: Plan, second: Plan) -> Iterator[ComparedRow]:
    def both(value: FloatArray) -> tuple[float, float]:
        return float(value[0]), float(value[1])

    plans = (first, second)
    counts = np.array([len(plan.fixtures) for plan in plans])
    lumens = np.array([sum(plan.setting(f).lumens for f in plan.fixtures) for plan in plans])
    watts = np.array([sum(plan.setting(f).watts for f in plan.fixtures) for plan in plans])
    bills = np.array([float(bill_of_materials(plan).total) for plan in plans])
    boxes = np.array([len(wired(plan).boxes) if plan.fixtures else 0 for plan in plans])
    cable = np.array([sum(run.length for run in wired(plan).routing.runs) if plan.fixtures else 0.0 for plan in plans])
    yield ComparedRow("fixtures", "", *both(counts), "less")
    yield ComparedRow("lumens", "lm", *both(lumens), "neither")
    yield ComparedRow("power", "W", *both(watts), "less")
    yield ComparedRow("shopping list", first.buying.currency, *both(bills), "less", 2)
    yield ComparedRow("boxes", "", *both(boxes), "less")
    yield ComparedRow("cable", "ft", *both(cable / FOOT), "less")
