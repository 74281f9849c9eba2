"""Chalk lines, and the room as it was measured: what is needed still, and what moves."""

from __future__ import annotations

import math

from app.prints.paper.flow import Column, Part, flow, heading, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from core.ceiling import CeilingSheet, chalk_lines, off_lines, reference_of
from core.ceiling.survey import measured_distances

__all__ = ["chalk_pages"]

_LINES = (
    Column("Line", 0.7, strong=True),
    Column("Two marks, square off", 1.6),
    Column("Distance", 1.2, "right", True),
    Column("On it, running along the line from the other wall", 5.5),
    Column("Done", 0.6, "centre"),
)


def chalk_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the pages of chalk lines and of the measured room."""
    width = frame_of(paper).width
    lines = chalk_lines(sheet)
    parts: list[Part] = [
        paragraph(
            "Snap each line on the floor (or on the ceiling) through two marks near its ends, both measured square off"
            " the wall named. Then tape along the line, from the face of the other wall, for the boxes on it; in a room"
            " out of square this is a little more than the distance square off that wall.",
            width,
        )
    ]
    if lines:
        rows = [
            [
                line.name,
                f"wall {line.along}" if len(line.along) == 1 else f"through {line.stops[0][0]} and {line.stops[-1][0]}",
                sheet.tape(line.distance) if len(line.along) == 1 else line.along,
                ",  ".join(f"{mark} at {sheet.tape(distance)}" for mark, distance in line.stops),
                "☐",
            ]
            for line in lines
        ]
        parts += table(_LINES, rows, width)
    alone = off_lines(sheet, lines)
    if alone:
        parts.append(paragraph(f"On no line, marked one by one: {', '.join(alone)}.", width))
    parts += _room(sheet, width)
    return flow("Chalk lines and the room", parts, paper)


def _room(sheet: CeilingSheet, width: float) -> list[Part]:
    survey = sheet.survey
    parts = [heading("The room as measured", width)]
    if not survey.measured:
        parts.append(
            paragraph(
                "No length was entered: the sheet uses the room as drawn. A room that looks square may be an inch off."
                " Measure the lengths below, enter them, and print again.",
                width,
            )
        )
    else:
        rows = [
            [d.text().capitalize(), sheet.tape(d.length), sheet.tape(math.dist(*_ends(sheet, d.corner, d.other)))]
            for d in measured_distances(sheet.plan)
        ]
        parts += table(
            (Column("Distance", 3), Column("Measured", 1, "right"), Column("Drawn", 1, "right")), rows, width
        )
    if survey.needed:
        parts.append(heading("Still to be measured", width))
        parts += table(
            (Column("Distance", 3), Column("Drawn", 1, "right"), Column("Measured", 1, "right")),
            [[d.text().capitalize(), sheet.tape(d.length), "______________"] for d in survey.needed],
            width,
        )
    parts += [paragraph(f"Note: {remark}", width) for remark in survey.remarks]
    if survey.measured:
        parts += _moves(sheet, width)
    return parts


def _moves(sheet: CeilingSheet, width: float) -> list[Part]:
    """Tell which corners and which distances are not what the drawing says."""
    corners = [
        f"corner {n + 1} by {sheet.tape(move)}" for n, move in enumerate(sheet.survey.moves) if move >= sheet.step
    ]
    said = [f"Corners away from the drawing: {', '.join(corners)}." if corners else "The room is as drawn."]
    drawn = reference_of(sheet.plan.room.outline, sheet.reference.wall_a, sheet.reference.wall_b)
    changed = []
    for row in sheet.rows:
        a, b = drawn.distances((row.point.x, row.point.y))
        if abs(a - row.from_a) >= sheet.step or abs(b - row.from_b) >= sheet.step:
            changed.append(f"{row.mark} ({sheet.tape(a)} | {sheet.tape(b)} in the drawing)")
    if changed:
        said.append(f"Distances from A | B that differ from the drawing: {', '.join(changed)}.")
    return [heading("What moves", width), *(paragraph(text, width) for text in said)]


def _ends(sheet: CeilingSheet, corner: int, other: int) -> tuple[tuple[float, float], tuple[float, float]]:
    outline = sheet.plan.room.outline
    return outline[corner], outline[other]
