"""Figures of answers in words: light, shares, glare and circuits, each in its own measure."""

from __future__ import annotations

from core.plan import Plan
from core.suggest.answer import Answer, Result
from core.suggest.improve import Nudge
from core.suggest.switching import Switching
from core.units import UnitSystem, show_illuminance, show_ratio

__all__ = ["amount", "comfort_text", "hidden_price", "left_out_text", "nudge_text", "switching_text"]


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
    """Return body shadow, glare, circuits and joists of an answer in a sentence; empty where nothing was examined."""
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
    if answer.on_joists is not None:
        parts.append(f"{answer.on_joists} of {answer.count} on joists")
    said = "; ".join(parts)
    return f"{said[:1].upper()}{said[1:]}"


def hidden_price(result: Result) -> str:
    """Return in a sentence what it costs to light hidden spots as well; empty where none are insisted on."""
    hidden = result.hidden
    if hidden is None:
        return ""
    spots = "One hidden spot" if hidden.points == 1 else f"{hidden.points} hidden spots"
    does = "is" if hidden.points == 1 else "are"
    share = 100.0 * hidden.points / max(1, hidden.counted)
    return (
        f"{spots} beside or between machines, {share:.1f} % of the floor, {does} lit as well: no fewer than "
        f"{hidden.bound} fixtures do that, and no fewer than {hidden.bound_without} would do without."
    )


def left_out_text(answer: Answer, units: UnitSystem) -> str:
    """Return in a sentence how many points the minimum leaves out and how dark they are; empty where there are none."""
    points, found = answer.points, answer.recomputed or answer.promised
    if points is None or not points.left_out:
        return ""
    spots = "1 point" if points.left_out == 1 else f"{points.left_out} points"
    share = 100.0 * points.left_out / max(1, points.counted)
    darkest, other = (show_illuminance(value, units) for value in (found.minimum, points.least_elsewhere))
    return f"Left out: {spots} of the floor ({share:.1f} %), {darkest} at the darkest; {other} or more everywhere else."


def nudge_text(nudge: Nudge, most: str, units: UnitSystem) -> str:
    """Return in a sentence what a nudge by ``most`` (in words) gains; or that there is nothing to gain."""
    if not nudge.moves:
        return f"Within {most} no row has a better place."
    before, after = nudge.before, nudge.after
    names = {bench.id: bench.name or bench.id for bench in nudge.plan.benches()}
    then = dict(nudge.shadows_after)
    shadows = ", ".join(
        f"{names.get(bench, bench)} {100.0 * share:.0f} % → {100.0 * then[bench]:.0f} %"
        for bench, share in nudge.shadows_before
    )
    count = "1 fixture" if len(nudge.moves) == 1 else f"{len(nudge.moves)} fixtures"
    return (
        f"Moving {count} by {most} at the most: "
        f"{f'body shadow at the hands {shadows}; ' if shadows else ''}darkest spot "
        f"{show_illuminance(before.minimum, units)} → {show_illuminance(after.minimum, units)}, "
        f"min / average {show_ratio(before.evenness)} → {show_ratio(after.evenness)}, "
        f"average {show_illuminance(before.average, units)} → {show_illuminance(after.average, units)}."
    )


def switching_text(made: Switching) -> str:
    """Return in a sentence which switches are proposed, and how much more even the least even one gets."""
    parts = ", ".join(f"{letter} {count}" for letter, count in made.sizes)
    if not made.is_better:
        return f"The switches are as even as they get: {parts}."
    return (
        f"Fixtures on each switch: {parts}. Least even switch alone, min / average: {show_ratio(made.before)} → "
        f"{show_ratio(made.after)}."
    )
