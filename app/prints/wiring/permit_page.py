"""The permit sheet: one page with circuits, routes, boxes and their fill, switch diagram, inspections and cautions.

It always says that it is a planning aid, and it always carries the cautions; neither can be left out.
"""

from __future__ import annotations

from collections.abc import Sequence

from app.prints.paper.draft import BODY, SMALL, Draft, text_height
from app.prints.paper.flow import Column, Part, paragraph, table
from app.prints.paper.page import Frame, Page
from app.prints.wiring.route_plan import DASHES, fixture_marks, paint_route_plan, short_names
from app.prints.wiring.switch_diagram import diagram_height, paint_switch_diagram
from core.plan import Plan
from core.units import FOOT
from core.wiring import Wired
from core.wiring.boxes import BoxFill
from core.wiring.cautions import CAUTIONS, PLANNING_AID

__all__ = ["permit_page"]

_SIZES = (2.5, 2.3, 2.1, 1.9, 1.7)
_GAP = 4.0
_PLAN_SHARE = 0.56
_LEAST_PLAN, _MOST_PLAN = 58.0, 92.0
_MOST_DANGERS = 6
_CIRCUITS = (
    Column("Circuit", 2.2, strong=True),
    Column("Line", 0.9),
    Column("Breaker", 0.9),
    Column("Conductor", 1.1),
    Column("Groups", 1.0),
    Column("Load / limit", 1.5),
    Column("Voltage drop", 1.0),
)
_BOXES = (
    Column("Box", 3.0, strong=True),
    Column("Wires in it", 2.4),
    Column("Needs", 0.9),
    Column("Smallest", 0.9),
    Column("Planned", 3.0),
)
INSPECTIONS = (
    "Rough-in, before anything is covered: boxes, cable secured and protected, grounds made up, nail plates.",
    "Final: devices, covers, fixtures, breakers labelled, GFCI and switched outlets tested.",
    "Ask your inspector for the order and the dates (common practice, no source).",
)


def permit_page(plan: Plan, done: Wired) -> Page:
    """Return the permit sheet of a plan."""

    def paint(draft: Draft, frame: Frame) -> None:
        _paint(draft, frame, plan, done)

    return Page("Permit sheet", paint)


def _paint(draft: Draft, frame: Frame, plan: Plan, done: Wired) -> None:
    top = frame.y + _banner(draft, frame, done)
    bottom = frame.y + frame.height
    for size in _SIZES:
        tables, closing = _tables(plan, done, frame.width, size), _closing(done, frame.width, size)
        lower = sum(part.height for part in (*tables, *closing))
        if lower <= bottom - top - _LEAST_PLAN - _GAP:
            break
    high = min(max(bottom - top - lower - _GAP, _LEAST_PLAN), _MOST_PLAN)
    _drawings(draft, Frame(frame.x, top, frame.width, high), plan, done)
    # Inspections and cautions have their place whatever else there is; tables that are too long are cut short.
    y = top + high + _GAP
    last = bottom - sum(part.height for part in closing)
    for number, part in enumerate(tables):
        more = size * 1.6 if number + 1 < len(tables) else 0.0
        if y + part.height + more > last + 0.1:
            draft.text(frame.x, y, frame.width, "… more than one page holds: see the wiring window.", size)
            y = last
            break
        part.paint(draft, frame.x, y)
        y += part.height
    for part in closing:
        part.paint(draft, frame.x, y)
        y += part.height


def _drawings(draft: Draft, frame: Frame, plan: Plan, done: Wired) -> None:
    """Draw the plan with its cable, and the switch diagram beside it."""
    wide = frame.width * _PLAN_SHARE
    paint_route_plan(draft, Frame(frame.x, frame.y, wide, frame.height), plan, done)
    left, width = frame.x + wide + _GAP, frame.width - wide - _GAP
    draft.text(left, frame.y, width, "Switch diagram", BODY, strong=True)
    diagram = Frame(left, frame.y + 5.5, width, frame.height - 6.0)
    paint_switch_diagram(draft, diagram, plan, done)
    _key(draft, diagram, frame.y + frame.height, done)


def _banner(draft: Draft, frame: Frame, done: Wired) -> float:
    """Draw what this sheet is and is not; return its height [mm]."""
    words = f"{PLANNING_AID} {done.wiring.code.edition}; your own code and its edition decide."
    assumed = [finding.what for finding in done.findings if finding.source == "assumption of the program"]
    if assumed:
        words = " ".join([words, *assumed])
    wide = frame.width - 5.0
    high = text_height(words, wide, SMALL + 0.2, True) + 2.4
    draft.rect(frame.x, frame.y, frame.width, high, 0.5)
    draft.text(frame.x + 2.5, frame.y + 1.2, wide, words, SMALL + 0.2, True)
    return high + 2.0


def _key(draft: Draft, diagram: Frame, bottom: float, done: Wired) -> None:
    """Say what the marks of the diagram mean, where there is room below it."""
    words = "S switch, S3 three-way, S4 four-way, D dimmer; thick line: power or travellers; grey: there already"
    high = text_height(words, diagram.width, 2.1)
    if diagram.y + diagram_height(done) + high < bottom:
        draft.text(diagram.x, bottom - high - 0.5, diagram.width, words, 2.1)


def _tables(plan: Plan, done: Wired, width: float, size: float) -> list[Part]:
    return [
        *table(_CIRCUITS, _circuit_rows(done), width, size),
        _space(2.2),
        *table(_BOXES, _box_rows(plan, done), width, size),
        _space(1.4),
        paragraph(_cable_words(done), width, size),
    ]


def _closing(done: Wired, width: float, size: float) -> list[Part]:
    """Return what is never left out."""
    dangers = [f"{found.where}: {found.what}." for found in done.findings if found.severity != "note"]
    parts = []
    if dangers:
        rest = f" And {len(dangers) - _MOST_DANGERS} more." if len(dangers) > _MOST_DANGERS else ""
        parts.append(paragraph("To be put right first: " + " ".join(dangers[:_MOST_DANGERS]) + rest, width, size))
    parts.append(paragraph("Inspections. " + " ".join(INSPECTIONS), width, size))
    parts.append(paragraph("Cautions. " + " ".join(CAUTIONS), width, size))
    return parts


def _space(high: float) -> Part:
    return Part(high, lambda _draft, _x, _y: None)


def _circuit_rows(done: Wired) -> list[list[str]]:
    rows = []
    for number, (circuit, load, (drop, _)) in enumerate(zip(done.circuits, done.loads, done.drops, strict=True)):
        rule = f"{100 * done.wiring.code.continuous_share:.0f} %" if circuit.continuous else "100 %"
        rows.append(
            [
                circuit.name + (" (assumed)" if circuit.id in done.assumed else ""),
                DASHES[number % len(DASHES)],
                f"{circuit.breaker} A, {circuit.volts} V",
                f"{circuit.conductor} AWG Cu",
                " ".join(circuit.groups),
                f"{load.total:.2f} A / {load.limit:.1f} A ({rule})",
                f"{100 * drop:.1f} %",
            ]
        )
    return rows


def _box_rows(plan: Plan, done: Wired) -> list[list[str]]:
    """Return one row for each kind of box: those that are alike are listed together."""
    alike: dict[tuple[object, ...], list[BoxFill]] = {}
    for box in done.boxes:
        if box.kind != "fixture":
            key = (box.kind, box.gangs, box.conductors, box.grounds, box.pleasant, box.stage, box.closed)
            alike.setdefault(key, []).append(box)
    names, marks = short_names(done), fixture_marks(plan)
    rows = []
    for boxes in alike.values():
        sample = boxes[0]
        named = [_box_name(names, marks, box) for box in boxes]
        rows.append(
            [
                ", ".join(named),
                _wires(sample),
                f"{sample.needed:.2f} in³",
                f"{sample.smallest.volume:g} in³" if sample.smallest else "none",
                (sample.pleasant.name if sample.pleasant else "divide it")
                + ("" if sample.stage == "to do" else " (there)"),
            ]
        )
    return rows


def _box_name(names: dict[str, str], marks: dict[str, str], box: BoxFill) -> str:
    if box.place.kind == "switch box":
        return f"{names[box.place.id]} ({' '.join(box.groups)})"
    if box.place.kind == "fixture":
        return marks[box.place.id]
    return box.place.name


def _wires(box: BoxFill) -> str:
    parts = [f"{count} × {awg} AWG" for awg, count in box.conductors]
    parts.append(f"{box.grounds} ground{'s' if box.grounds > 1 else ''}, clamps")
    if box.gangs:
        parts.append(f"{box.gangs} device{'s' if box.gangs > 1 else ''}")
    return ", ".join(parts)


def _cable_words(done: Wired) -> str:
    totals: dict[str, float] = {}
    for run in done.routing.runs:
        if run.to_buy > 0.0:
            totals[run.cable] = totals.get(run.cable, 0.0) + run.to_buy / FOOT
    cable = ", ".join(f"{name} {feet:.0f} ft" for name, feet in sorted(totals.items())) or "none to lay"
    how = "; ".join(_methods(done))
    return (
        f"Marks are those of the ceiling sheet. Cable with slack: {cable}. Box fill after 314.16(B), clamps counted;"
        " fixtures with a wiring compartment of their own have no box. A neutral is at every switch (404.2(C))."
        f" Routes: {how}."
    )


def _methods(done: Wired) -> Sequence[str]:
    """Return how the routes were found, each way of it once."""
    return list(dict.fromkeys(method.text.split(": ", 1)[-1] for method in done.routing.methods))
