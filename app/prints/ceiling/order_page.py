"""The order of work: marking, then hanging alone from few places of the ladder."""

from __future__ import annotations

from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import CeilingSheet, HangingStep, as_built_plan, hanging_steps, in_the_way, ladder_stops
from core.plan import Point
from core.units import UnitSystem, show_inches_decimal, show_length

__all__ = ["order_pages", "weight_text"]

_POUND = 0.45359237

_STEPS = (
    "Measure the room's lengths and diagonals; enter them; print this sheet again.",
    "Lay a rule on the check lines at the foot of this page.",
    "Chalk the long lines on the floor; mark every box on them, each from the wall's face.",
    "Check each mark: to the next one and across. Read the tape aloud.",
    "Carry the marks up with a plumb laser; at the ceiling compare with the plan seen from below.",
    "Find the joists; compare with the joist notes. Drill a thin hole first and feel for wood, pipes and cables.",
    "Circuit off and tested dead. Cut the boxes. Enter where each box really came (as built).",
    "Tape the 1:1 template over the feed point, drill the screw holes.",
    "Hang in the order below.",
)
_STOPS = (
    Column("Stop", 0.6, strong=True),
    Column("Ladder stands at (from A | from B)", 2.2),
    Column("Works on", 3.0, strong=True),
    Column("Watch", 3.0),
    Column("Done", 0.6, "centre"),
)
_HANGS = (
    Column("Mark", 0.6, strong=True),
    Column("Fixture", 1.8),
    Column("Weight", 1.0, "right"),
    Column("Held at (from A | from B)", 1.75),
    Column("Ladder at (from A | from B)", 1.75),
    Column("Prop height", 1.0, "right"),
    Column("Strap loop below ceiling", 1.05, "right"),
    Column("Cable end", 0.85, "right"),
    Column("Floor mark, second person", 2.2),
)


def order_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the pages of the order of work."""
    width = frame_of(paper).width
    parts: list[Part] = [heading("Order of work", width)]
    parts += table(
        (Column("", 0.3, "right"), Column("Step", 8), Column("Done", 0.6, "centre")),
        [[str(n + 1), text, "☐"] for n, text in enumerate((*_clear_first(sheet), *_STEPS))],
        width,
    )
    stops, steps = ladder_stops(sheet), hanging_steps(sheet)
    if not stops:
        return flow("Order of work", parts, paper)
    parts.append(heading(f"The ladder: {len(stops)} places for {len(sheet.rows)} boxes", width))
    parts += table(
        _STOPS,
        [
            [
                str(stop.number),
                _place(sheet, stop.place),
                ", ".join(stop.marks),
                f"{stop.blocked_by} is in the way: move it, or use a plank" if stop.blocked_by else "",
                "☐",
            ]
            for stop in stops
        ],
        width,
    )
    parts.append(heading("Hanging", width))
    parts.append(
        paragraph(
            "Prop height is the underside of the body above the floor: cut a T-prop"
            f" {'1/4 in' if sheet.system is UnitSystem.US else '6 mm'} longer for a snug fit. A strap loop holds a body"
            " while it is wired; two loops or props for two points. Weights are from the data sheet, or assumed for the"
            " kind: weigh the fixture. The ladder round is short, not proved the shortest.",
            width,
        )
    )
    parts += table(_HANGS, [_hang(sheet, step) for step in steps], width)
    return flow("Order of work", parts, paper)


def _clear_first(sheet: CeilingSheet) -> list[str]:
    """Return the step that comes before all others where something is in the way."""
    blocked = in_the_way(as_built_plan(sheet))
    marks = [row.mark for row in sheet.rows if row.point.fixture.id in blocked]
    if not marks:
        return []
    words = f"{', '.join(marks)} cannot hang where drawn (see Conflicts and findings): move what is in the way, or the"
    return [f"{words} fixture, and print again before anything is cut."]


def weight_text(kilograms: float, system: UnitSystem) -> str:
    """Return a weight: pounds, or kilograms."""
    if kilograms <= 0.0:
        return "unknown"
    return f"{kilograms / _POUND:.0f} lb" if system is UnitSystem.US else f"{kilograms:.1f} kg"


def _place(sheet: CeilingSheet, place: Point) -> str:
    a, b = sheet.reference.distances(place)
    return f"{_coarse(sheet, a)} | {_coarse(sheet, b)}"


def _coarse(sheet: CeilingSheet, length: float) -> str:
    return show_length(max(length, 0.0), sheet.system, 1)


def _hang(sheet: CeilingSheet, step: HangingStep) -> list[str]:
    point = sheet.row(step.mark).point
    remarks = [step.floor_note] if step.floor_note else []
    if step.second_person:
        remarks.append(f"HELPER: {step.second_person}")
    return [
        step.mark,
        point.fixture.name or point.model.name,
        weight_text(step.weight, sheet.system),
        "\n".join(_place(sheet, prop) for prop in step.props),
        "\n".join(_place(sheet, place) for place in step.ladders),
        show_length(step.prop_height, sheet.system, 8),
        show_length(step.strap, sheet.system, 1),
        show_inches_decimal(step.cable_end, 0)
        if sheet.system is UnitSystem.US
        else show_length(step.cable_end, sheet.system),
        "; ".join(remarks) or "alone",
    ]
