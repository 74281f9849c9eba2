"""The load of a branch circuit: nameplate amperes at the highest selectable setting, against the breaker.

A breaker and its conductor carry at least the non-continuous load and 125 % of the continuous one (NFPA 70,
210.19(A)(1) and 210.20(A)); continuous is three hours or more (Article 100). So lights that burn that long may take
80 % of the breaker. Other loads on a circuit are counted the same way, on the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.plan.fixtures import Fixture, Model
from core.plan.plan import Plan
from core.plan.wiring import Circuit, Wiring

__all__ = ["CircuitLoad", "circuit_load", "fixture_amperes", "highest_watts"]


@dataclass(frozen=True, slots=True)
class CircuitLoad:
    """Load of one circuit [A]: ``lights`` and ``others``, and the ``limit`` that its breaker allows."""

    circuit: str
    lights: float
    others: float
    limit: float

    @property
    def total(self) -> float:
        """All that is on the circuit [A]."""
        return self.lights + self.others

    @property
    def share(self) -> float:
        """Load as a share of the limit."""
        return self.total / self.limit

    @property
    def is_too_much(self) -> bool:
        """Whether the load is above the limit (a billionth of it is rounding)."""
        return self.share > 1.0 + 1e-9


def highest_watts(model: Model) -> float:
    """Return the watts of the highest setting that the model's switch can be put to."""
    return max(setting.watts for setting in model.settings)


def fixture_amperes(plan: Plan, fixture: Fixture, volts: float) -> float:
    """Return a fixture's amperes: its nameplate's where it is known, else its highest watts / volts."""
    model = plan.model(fixture.model)
    for plate in plan.wiring.nameplates:
        if plate.model == model.id:
            return plate.amperes
    return highest_watts(model) / volts


def circuit_load(plan: Plan, circuit: Circuit, wiring: Wiring | None = None) -> CircuitLoad:
    """Return the load of a circuit with all its groups on at the highest setting."""
    wiring = wiring or plan.wiring
    lights = sum(fixture_amperes(plan, f, circuit.volts) for f in plan.fixtures if f.group in circuit.groups)
    others = sum(other.amperes for other in circuit.others)
    share = wiring.code.continuous_share if circuit.continuous else 1.0
    return CircuitLoad(circuit.id, lights, others, share * circuit.breaker)
