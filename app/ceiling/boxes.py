"""The boxes: where each is marked, where it was really cut, and what the joists would like."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.ceiling.feed_form import FeedForm
from app.document import Document
from app.panels.words import heading, words
from core.ceiling import (
    BoxRow,
    CeilingSheet,
    Nudge,
    as_built_plan,
    deviations,
    nudges,
    taken_into_plan,
    with_as_built,
)
from core.plan.ceiling import AsBuilt
from core.plan.edits import with_model
from core.units import UnitError, parse_length, show_length

__all__ = ["Boxes", "move_words"]

_HEADS = ("mark", "from A", "from B", "joists", "cut: from A", "cut: from B")
_CUT = (4, 5)


class Boxes(QWidget):
    """Follows the sheet that the dialog gives it; ``cost_wanted`` asks what a plan costs in light."""

    cost_wanted = Signal(object, object, object)  # key, plan before, plan after

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._sheet: CeilingSheet | None = None
        self._asked: object = None
        self._typed_cells: dict[str, dict[int, float]] = {}
        self.table = make_table("Box centres", _HEADS, (0, 1, 2))
        self.table.itemChanged.connect(self._typed)
        self.table.currentCellChanged.connect(lambda row, *_: self._show_row(row))
        self.note = words("", "small", "muted", wrap=True)
        self.moves = QVBoxLayout()
        self.cost = words("", "small", "", wrap=True)
        self.take = QPushButton("Take the cut places into the plan")
        self.take.setAutoDefault(False)
        self.take.setToolTip("Fixtures move to where their boxes are; the planned places are given up")
        self.take.clicked.connect(self.take_cut_places)
        self.feed = QPushButton("How it is fed…")
        self.feed.setAutoDefault(False)
        self.feed.setToolTip("Feed point, screws and weight of this model, from its data sheet")
        self.feed.clicked.connect(self.edit_feed)
        self.light = QPushButton("Light as cut")
        self.light.setAutoDefault(False)
        self.light.setToolTip("What the cut places do to the light on the benches")
        self.light.clicked.connect(self._weigh_cut)
        below = QHBoxLayout()
        for button in (self.feed, self.light, self.take):
            below.addWidget(button)
        below.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(heading("Enter where each box really is after cutting, from the same two walls"))
        column.addWidget(self.table, 1)
        column.addWidget(self.note)
        column.addLayout(self.moves)
        column.addWidget(self.cost)
        column.addLayout(below)

    def show_sheet(self, sheet: CeilingSheet) -> None:
        """Show another sheet."""
        self._sheet = sheet
        row = max(self.table.currentRow(), 0)
        off = {d.fixture: d for d in deviations(sheet)}
        self.table.blockSignals(True)
        self.table.setRowCount(len(sheet.rows))
        for number, box in enumerate(sheet.rows):
            cut = ("", "")
            if box.point.fixture.id in off:
                d = off[box.point.fixture.id]
                cut = (sheet.tape(box.from_a + d.off_a), sheet.tape(box.from_b + d.off_b))
            elif box.point.fixture.id in self._typed_cells:
                typed = self._typed_cells[box.point.fixture.id]
                cut = (_shown(sheet, typed.get(4)), _shown(sheet, typed.get(5)))
            joists = "" if box.joist.lies == "unknown" else box.joist.lies
            texts = (box.mark, sheet.tape(box.from_a), sheet.tape(box.from_b), joists, *cut)
            put_row(self.table, number, texts, _CUT, (1, 2, *_CUT))
        self.table.blockSignals(False)
        self.take.setEnabled(bool(off))
        self.light.setEnabled(bool(off))
        self.feed.setEnabled(bool(sheet.rows))
        if sheet.rows:
            self.table.setCurrentCell(min(row, len(sheet.rows) - 1), max(self.table.currentColumn(), 0))
        self._show_row(self.table.currentRow())

    def show_cost(self, key: object, costs: object) -> None:
        """Show what was worked out for a move, if it is still the one that is looked at."""
        if key is not self._asked:
            return
        if not isinstance(costs, tuple):
            self.cost.setText("What it does to the light cannot be worked out now.")
            return
        if not costs:
            self.cost.setText("There is no bench whose light could change.")
            return
        sheet = self._sheet
        assert sheet is not None
        said = [f"{_bench(sheet, c.bench)} {_light(sheet, c.before, c.after)}" for c in costs]
        self.cost.setText(f"Light on the benches, all switches on, before → after: {'; '.join(said)}.")

    def take_cut_places(self) -> None:
        """Move the fixtures to where their boxes were cut."""
        if self._sheet is not None:
            self._document.apply("Take the cut places into the plan", taken_into_plan(self._sheet))

    def edit_feed(self) -> None:
        """Open the form of the chosen fixture's model; what is kept goes into the plan's entry."""
        sheet, row = self._sheet, self.table.currentRow()
        if sheet is None or not 0 <= row < len(sheet.rows):
            return
        plan = self._document.settled_plan
        model = plan.model(sheet.rows[row].point.model.id)
        form = FeedForm(model, sheet.system, self)
        if form.exec() == QDialog.DialogCode.Accepted:
            self._document.apply(f"Say how {model.name} is fed", with_model(plan, replace(model, feeding=form.feeding)))
        form.deleteLater()

    def _weigh_cut(self) -> None:
        """Ask what the places as cut do to the benches' light."""
        if self._sheet is None:
            return
        self._asked = self._sheet
        self.cost.setText("Working out what the cut places do to the light …")
        self.cost_wanted.emit(self._sheet, self._sheet.plan, as_built_plan(self._sheet))

    def _typed(self, item: QTableWidgetItem) -> None:
        sheet = self._sheet
        if sheet is None or item.column() not in _CUT:
            return
        box, text = sheet.rows[item.row()], item.text().strip()
        fixture = box.point.fixture.id
        plan = self._document.settled_plan
        if not text:
            self._typed_cells.pop(fixture, None)
            self._document.apply(f"Forget where {box.mark} was cut", with_as_built(plan, None, fixture))
            self.show_sheet(sheet)
            return
        try:
            typed = {**self._known(sheet, box), item.column(): parse_length(text, sheet.system)}
        except UnitError as problem:
            self.show_sheet(sheet)
            self.note.setText(str(problem))
            return
        self._typed_cells[fixture] = typed
        if len(typed) < 2:
            self.show_sheet(sheet)
            self.note.setText(f"{box.mark}: now its distance from the other wall.")
            return
        self._typed_cells.pop(fixture)
        walls = (sheet.reference.wall_a, sheet.reference.wall_b)
        entry = AsBuilt(fixture, *walls, typed[4], typed[5])
        self._document.apply(f"Enter where {box.mark} was cut", with_as_built(plan, entry, fixture))

    def _known(self, sheet: CeilingSheet, box: BoxRow) -> dict[int, float]:
        for d in deviations(sheet):
            if d.fixture == box.point.fixture.id:
                return {4: box.from_a + d.off_a, 5: box.from_b + d.off_b}
        return self._typed_cells.get(box.point.fixture.id, {})

    def _show_row(self, row: int) -> None:
        """Tell about one box: how far off it was cut, what its joists would like."""
        while self.moves.count():
            item = self.moves.takeAt(0)
            part = item.widget() if item is not None else None
            if part is not None:
                part.hide()
                part.deleteLater()
        self.cost.setText("")
        self._asked = None
        sheet = self._sheet
        if sheet is None or not 0 <= row < len(sheet.rows):
            self.note.setText("No fixture hangs on the ceiling." if sheet is not None and not sheet.rows else "")
            return
        box = sheet.rows[row]
        self.note.setText(_about(sheet, box))
        for nudge in nudges(sheet.plan, box.point.fixture.id):
            self._offer(sheet, box, nudge)

    def _offer(self, sheet: CeilingSheet, box: BoxRow, nudge: Nudge) -> None:
        look = QPushButton(f"{move_words(sheet, box, nudge)}: {nudge.gain}")
        look.setAutoDefault(False)
        look.setToolTip("See what it costs in light; press again to move the fixture")
        look.setProperty("asked", False)
        look.clicked.connect(lambda: self._weigh(look, box, nudge))
        self.moves.addWidget(look, 0, Qt.AlignmentFlag.AlignLeft)

    def _weigh(self, button: QPushButton, box: BoxRow, nudge: Nudge) -> None:
        if button.property("asked"):
            self._document.apply(f"Move {box.mark} for the joists", nudge.plan)
            return
        button.setProperty("asked", True)
        button.setText(f"Do it: {button.text()}")
        self.cost.setText("Working out what it costs in light …")
        self._asked = nudge
        self.cost_wanted.emit(nudge, self._document.settled_plan, nudge.plan)


def move_words(sheet: CeilingSheet, box: BoxRow, nudge: Nudge) -> str:
    """Return a move as the tape shows it: `1 1/2" further from B`."""
    here = sheet.reference.distances((box.point.x, box.point.y))
    there = sheet.reference.distances((box.point.x + nudge.dx, box.point.y + nudge.dy))
    said = []
    for letter, one, other in zip("AB", here, there, strict=True):
        if abs(other - one) >= sheet.step / 2:
            way = "further from" if other > one else "nearer to"
            said.append(f"{show_length(abs(other - one), sheet.system)} {way} {letter}")
    return " and ".join(said)


def _about(sheet: CeilingSheet, box: BoxRow) -> str:
    said = [f"{box.mark}, {box.point.fixture.name or box.point.model.name}: {box.point.what}; {box.joist.box}."]
    said.append(f"{box.joist.text(sheet.system).capitalize()}.")
    if box.joist.screws and box.joist.lies != "unknown":
        said.append(f"{box.joist.screws_in_wood} of {box.joist.screws} screws in wood.")
    for d in deviations(sheet):
        if d.mark == box.mark:
            said.append(f"Cut {show_length(d.distance, sheet.system)} from its mark.")
    if box.point.is_assumed:
        said.append("The data sheet does not say where it is fed; the middle of the body is assumed.")
    return " ".join(said)


def _shown(sheet: CeilingSheet, length: float | None) -> str:
    return "" if length is None else sheet.tape(length)


def _bench(sheet: CeilingSheet, identity: str) -> str:
    return next((item.name for item in sheet.plan.furniture if item.id == identity), identity)


def _light(sheet: CeilingSheet, before: float, after: float) -> str:
    # Tenths, because a nudge is small: whole foot-candles would show no change.
    per = 10.763910416709722 if sheet.system.value == "us" else 1.0
    unit, digits = ("fc", 1) if sheet.system.value == "us" else ("lx", 0)
    return f"{before / per:.{digits}f} → {after / per:.{digits}f} {unit}"
