"""Reference walls, ceiling, paper, and the lengths that were measured."""

from __future__ import annotations

import math
from dataclasses import replace

from PySide6.QtWidgets import QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.entry import Choice
from app.panels.words import heading, words
from core.ceiling import CeilingSheet, pair_problem, wall_name
from core.ceiling.survey import Distance, measured_distances, still_needed
from core.plan import Plan
from core.plan.ceiling import CeilingWork, Diagonal, WallLength
from core.units import UnitError, parse_length

__all__ = ["Measures", "with_measured"]

_ACCESS = (("open framing", "open framing"), ("closed", "closed"), ("reached from the attic", "from the attic"))
_PAPERS = (("letter, 8 1/2 x 11 in", "letter"), ("A4, 210 x 297 mm", "A4"))


def with_measured(plan: Plan, distance: Distance, length: float | None) -> Plan:
    """Return the plan with one measured length entered, changed, or (None) taken back."""
    ceiling = plan.ceiling
    if distance.is_wall:
        kept = tuple(w for w in ceiling.wall_lengths if w.wall != distance.corner)
        entry = () if length is None else (WallLength(distance.corner, length),)
        return replace(plan, ceiling=replace(ceiling, wall_lengths=(*kept, *entry)))
    ends = {distance.corner, distance.other}
    left = tuple(d for d in ceiling.diagonals if {d.corner, d.other} != ends)
    more = () if length is None else (Diagonal(distance.corner, distance.other, length),)
    return replace(plan, ceiling=replace(ceiling, diagonals=(*left, *more)))


class Measures(QWidget):
    """Follows the sheet that the dialog gives it; every entry is one step of undo."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._sheet: CeilingSheet | None = None
        self._listed: list[Distance] = []
        self.wall_a = Choice("Wall A", tip="The first wall that distances are taken from")
        self.wall_b = Choice("Wall B", tip="The second one; it must meet the first at 45° to 135°")
        self.access = Choice("Ceiling", _ACCESS, "How the framing is reached: it decides which boxes fit")
        self.paper = Choice("Paper", _PAPERS, "What the sheet is printed on")
        self.why = words("", "small", "danger", wrap=True)
        self.state = words("", "small", "muted", wrap=True)
        self.table = make_table("Measured lengths", ("distance", "drawn", "measured"), (0,))
        self.table.itemChanged.connect(self._typed)
        for choice in (self.wall_a, self.wall_b):
            choice.chosen.connect(self._walls_chosen)
        self.access.chosen.connect(lambda value: self._change("Choose how the ceiling is reached", access=value))
        self.paper.chosen.connect(lambda value: self._change("Choose the paper", paper=value))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        for part in (heading("Every distance is taken from two walls"), self.wall_a, self.wall_b, self.why):
            column.addWidget(part)
        column.addWidget(heading("The room as the tape reads it, corner to corner"))
        column.addWidget(self.table, 1)
        column.addWidget(self.state)
        for choice in (self.access, self.paper):
            column.addWidget(choice)

    def show_sheet(self, sheet: CeilingSheet) -> None:
        """Show another sheet."""
        self._sheet = sheet
        plan = sheet.plan
        outline = plan.room.outline
        options = [(wall_name(outline, i), i) for i in range(len(outline))]
        for choice, wall in ((self.wall_a, sheet.reference.wall_a), (self.wall_b, sheet.reference.wall_b)):
            choice.set_options(options)
            choice.set_value(wall)
        self.access.set_value(plan.ceiling.access)
        self.paper.set_value(plan.ceiling.paper)
        self.why.setText(sheet.remark)
        self.why.setVisible(bool(sheet.remark))
        self._fill(sheet)
        self.state.setText(_state(sheet))

    def _fill(self, sheet: CeilingSheet) -> None:
        plan = sheet.plan
        known = {frozenset((d.corner, d.other)): d.length for d in measured_distances(plan)}
        base = still_needed(plan.room, ())
        extra = [d for d in (*measured_distances(plan), *sheet.survey.needed) if not _has(base, d)]
        self._listed = [*base, *extra]
        self.table.blockSignals(True)
        self.table.setRowCount(len(self._listed))
        for row, distance in enumerate(self._listed):
            drawn = math.dist(plan.room.outline[distance.corner], plan.room.outline[distance.other])
            length = known.get(frozenset((distance.corner, distance.other)))
            texts = (distance.text(), sheet.tape(drawn), "" if length is None else sheet.tape(length))
            put_row(self.table, row, texts, (2,), (1, 2))
        self.table.blockSignals(False)

    def _typed(self, item: QTableWidgetItem) -> None:
        if self._sheet is None or item.column() != 2:
            return
        distance, text = self._listed[item.row()], item.text().strip()
        try:
            length = parse_length(text, self._sheet.system) if text else None
            if length is not None and not 0.0 < length <= 300.0:
                raise ValueError("A measured length lies between 0 and 300 m (984 ft).")
        except (UnitError, ValueError) as problem:
            self._fill(self._sheet)
            self.state.setText(str(problem))
            return
        plan = with_measured(self._document.settled_plan, distance, length)
        self._document.apply(f"Measure {distance.text()}", plan)

    def _walls_chosen(self, _value: object) -> None:
        if self._sheet is None:
            return
        pair = (int(self.wall_a.value()), int(self.wall_b.value()))
        problem = pair_problem(self._sheet.survey.outline, *pair)
        if problem is not None:
            self.why.setText(problem)
            self.why.show()
            return
        self._change("Choose the reference walls", reference_walls=pair)

    def _change(self, text: str, **values: object) -> None:
        plan = self._document.settled_plan
        ceiling: CeilingWork = replace(plan.ceiling, **values)  # type: ignore[arg-type]
        self._document.apply(text, replace(plan, ceiling=ceiling))


def _has(distances: tuple[Distance, ...], wanted: Distance) -> bool:
    ends = {wanted.corner, wanted.other}
    return any({d.corner, d.other} == ends for d in distances)


def _state(sheet: CeilingSheet) -> str:
    survey = sheet.survey
    if survey.is_certain:
        farthest = max(survey.moves)
        said = f"The room is known. Corners lie up to {sheet.tape(farthest)} from where they are drawn."
    elif survey.measured:
        said = f"Still to be measured: {', '.join(d.text() for d in survey.needed)}."
    else:
        said = "Nothing measured yet: the sheet trusts the drawing."
    return " ".join([said, *survey.remarks])
