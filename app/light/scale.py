"""What the colours and numbers of the light mean: target, unit, plane, and initial or maintained."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from core.plan import Plan
from core.units import LUX_PER_FC, UnitSystem, show_illuminance

__all__ = ["Scale", "round_levels"]

Shown = Literal["initial", "maintained"]

_STEPS = (1.0, 2.0, 5.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """How illuminance is shown.

    Attributes
    ----------
    target : float
        What the user wants [lx].
    plane : float
        Height of the work plane above the floor [m].
    factor : float
        What turns initial into shown light: 1, or the light loss factor.
    """

    target: float
    plane: float
    units: UnitSystem = UnitSystem.US
    shown: Shown = "initial"
    factor: float = 1.0

    @classmethod
    def of(cls, plan: Plan, units: UnitSystem = UnitSystem.US, shown: Shown = "initial") -> Scale:
        """Return the scale of a plan: its target, work plane and, for maintained light, its light loss."""
        factor = plan.light_loss.factor if shown == "maintained" else 1.0
        return cls(plan.targets.lux, plan.work_plane, units, shown, factor)

    @property
    def unit(self) -> float:
        """One unit on screen [lx]."""
        return LUX_PER_FC if self.units is UnitSystem.US else 1.0

    @property
    def symbol(self) -> str:
        """The unit's symbol."""
        return "fc" if self.units is UnitSystem.US else "lx"

    @property
    def words(self) -> str:
        """Which light is shown, in words."""
        return f"{self.shown} light"

    def text(self, lux: float) -> str:
        """Write a shown illuminance [lx] with its unit."""
        return show_illuminance(lux, self.units)

    def number(self, lux: float) -> str:
        """Write a round illuminance [lx] in the unit on screen, without its symbol; from ten on, whole."""
        value = lux / self.unit
        return f"{value:,.0f}" if value >= 10.0 else f"{round(value, 3):g}"


def round_levels(scale: Scale, brightest: float) -> tuple[float, ...]:
    """Return the isolines' levels [lx]: round numbers on screen and, always, the target.

    Below the target the step is about a fifth of it, or of the brightest point where all is dimmer. What is more than
    needed wants fewer lines: twice the step up to twice the target, and beyond that wide ones. A round level too near
    the target gives way to it.
    """
    top, target = brightest / scale.unit, scale.target / scale.unit
    step = _round_step(min(target, max(top, target / 50.0)) / 5.0)
    levels = _multiples(step, 0.0, min(target, top))
    levels += _multiples(2.0 * step, target, min(2.0 * target, top))
    wide = _round_step(max(target, (top - 2.0 * target) / 4.0))
    levels += _multiples(wide, 2.0 * target + 0.5 * wide, top)
    kept = [level for level in levels if abs(level - target) > 0.35 * step]
    if top >= target:
        kept.append(target)
    return tuple(level * scale.unit for level in sorted(kept))


def _multiples(step: float, above: float, up_to: float) -> list[float]:
    """Return the multiples of ``step`` that are more than ``above`` and at most ``up_to``."""
    return [step * i for i in range(int(above / step + 1e-6) + 1, int(up_to / step + 1e-6) + 1)]


def _round_step(wanted: float) -> float:
    """Return the round number (1, 2 or 5 times a power of ten) nearest to a step by ratio."""
    power = 1e-6
    while power * 10.0 <= wanted:
        power *= 10.0
    steps = [power * s for s in (*_STEPS, 10.0)]
    return float(min(steps, key=lambda s: max(s / wanted, wanted / s)))
