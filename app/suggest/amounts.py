"""Figures of answers in words: light, shares, glare and circuits, each in its own measure."""

from __future__ import annotations

from core.plan import Plan
from core.suggest.answer import Answer
from core.units import UnitSystem, show_illuminance, show_ratio

__all__ = ["amount", "comfort_text"]


def amount(what: str, value: float, units: UnitSystem) -> str:
    """Return a figure of a requirement, such as 100 fc, 0.6, 25 % of the light, UGR 22 or 2 circuits."""
    if what == "evenness":
        return show_ratio(value)
    if what == "body shadow":
        return f"{100.0 * value:.0f} %"
    if what == "glare":
        return f"UGR {value:.1f}"
    if what == "circuits":
        return f"{value:.0f}"
    return show_illuminance(value, units)


def comfort_text(plan: Plan, answer: Answer) -> str:
    """Return body shadow, glare and circuits of an answer in a sentence; empty where nothing was examined."""
    names = {bench.id: bench.name or bench.id for bench in plan.benches()}
    parts = []
    if answer.comfort.shadows:
        shares = ", ".join(
            f"{names.get(bench, bench)} {100.0 * share:.0f} %" for bench, share in answer.comfort.shadows
        )
        parts.append(f"body shadow at the hands: {shares}")
    if answer.comfort.glare is not None:
        parts.append(f"glare UGR {answer.comfort.glare:.1f} at the worst, {answer.comfort.glare_at}")
    need = answer.circuits
    if need is not None:
        count = "1 circuit" if need.circuits == 1 else f"{need.circuits} circuits"
        parts.append(f"{count}: {need.amperes:.1f} A of lights, {need.limit:.0f} A each")
    said = "; ".join(parts)
    return f"{said[:1].upper()}{said[1:]}"
