"""What the light costs to run: kilowatt-hours and money a year, for the hours that each combination is in use.

Watts are those of the setting in force; at a dimmed level they are counted in proportion to the light. Old lights are
counted for all of the same hours.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.plan import Combination, Plan

__all__ = ["RunningCost", "combination_watts", "hourly_cost", "running_cost"]


@dataclass(frozen=True, slots=True)
class CombinationCost:
    """One combination: its watts, hours a year, kilowatt-hours and money a year."""

    name: str
    watts: float
    hours: float
    energy: float
    money: float


@dataclass(frozen=True, slots=True)
class RunningCost:
    """All combinations in use, their sums, and the old lights' for the same hours (0 where their watts are unknown)."""

    combinations: tuple[CombinationCost, ...]
    energy: float
    money: float
    old_energy: float
    old_money: float

    @property
    def saved(self) -> float:
        """Money saved a year against the old lights."""
        return self.old_money - self.money


def combination_watts(plan: Plan, combination: Combination) -> float:
    """Return the watts of a kept combination."""
    shares = combination.shares()
    return sum(plan.setting(fixture).watts * shares.get(fixture.group, 0.0) for fixture in plan.fixtures)


def hourly_cost(plan: Plan, watts: float) -> float:
    """Return what an hour of so many watts costs, in the user's currency."""
    return watts / 1000.0 * plan.buying.energy_price


def running_cost(plan: Plan) -> RunningCost:
    """Return what the light costs a year for the hours that the user has given."""
    known = {combination.name: combination for combination in plan.combinations}
    price, rows, hours = plan.buying.energy_price, [], 0.0
    for entry in plan.buying.hours:
        if entry.combination in known and entry.hours > 0.0:
            watts = combination_watts(plan, known[entry.combination])
            energy = watts * entry.hours / 1000.0
            rows.append(CombinationCost(entry.combination, watts, entry.hours, energy, energy * price))
            hours += entry.hours
    energy = sum(row.energy for row in rows)
    old = plan.buying.old_watts * hours / 1000.0
    return RunningCost(tuple(rows), energy, energy * price, old, old * price)
