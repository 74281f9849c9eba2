"""Tables of cable and of boxes, with a row of buttons that say how far what is selected has come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QAbstractItemView, QHBoxLayout, QPushButton, QTableWidget, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.words import words
from app.prints.wiring.route_plan import fixture_marks
from core.plan import Plan
from core.plan.wiring import Stage, StagedThing
from core.units import UnitSystem, show_length
from core.wiring import BoxFill, Wired
from core.wiring.decisions import with_assumed, with_stages
from core.wiring.places import Place

__all__ = ["BoxesPage", "CablePage", "read_stage"]

_MARKS = "A1, B2 … are the marks of the ceiling sheet and the permit sheet."
_STAGES: tuple[tuple[str, Stage], ...] = (("To do", "to do"), ("Existing", "existing"), ("Done", "done"))


def read_stage(text: str) -> Stage:
    """Return a stage as it is typed, its first letters will do; ValueError for anything else."""
    for _, stage in _STAGES:
        if text.strip() and stage.startswith(text.strip().lower()):
            return stage
    raise ValueError("Type to do, existing or done.")


def _named(place: Place, marks: Mapping[str, str]) -> str:
    """Return what a place is called: a fixture by its mark on the ceiling sheet, after its own name if it has one."""
    if place.kind != "fixture":
        return place.name
    mark = marks[place.id]
    return mark if place.name == place.id else f"{place.name} ({mark})"


class _StagesPage(QWidget):
    """A table of things whose stage can be set for several at once."""

    def __init__(self, document: Document, name: str, heads: Sequence[str], narrow: Sequence[int]) -> None:
        super().__init__()
        self._document = document
        self.table: QTableWidget = make_table(name, heads, narrow)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.note = words("", "small", "muted", wrap=True)
        row = QHBoxLayout()
        row.addWidget(words("Selected:", "small", "muted"))
        self.buttons: dict[str, QPushButton] = {}
        for text, stage in _STAGES:
            button = QPushButton(text)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, stage=stage: self.set_stage(stage))
            self.buttons[stage] = button
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addWidget(self.note)
        column.addLayout(row)

    def rows(self) -> list[int]:
        """Return the selected rows."""
        return sorted({index.row() for index in self.table.selectedIndexes()})

    def set_stage(self, stage: Stage) -> None:
        """Say how far the selected things are."""
        raise NotImplementedError


class CablePage(_StagesPage):
    """Every length of cable, and how the routes were found."""

    marked = Signal(object)  # ids of the selected runs

    def __init__(self, document: Document) -> None:
        heads = ("from", "to", "cable", "length", "slack", "stage", "what for")
        super().__init__(document, "Cable", heads, (2, 3, 4, 5))
        self._done: Wired | None = None
        self.table.itemSelectionChanged.connect(self._mark)

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        self._done = done
        system = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
        marks = fixture_marks(plan)
        self.table.setRowCount(len(done.routing.runs))
        for row, run in enumerate(done.routing.runs):
            what = run.role + (f" {run.group}" if run.group else "") + (", with 0-10 V pair" if run.has_control else "")
            lengths = (show_length(run.length, system, 2), show_length(run.slack, system, 2))
            ends = (_named(run.start, marks), _named(run.end, marks))
            texts = (*ends, run.cable, *lengths, run.stage, what)
            put_row(self.table, row, texts, (), (3, 4))
        total = sum(run.to_buy for run in done.routing.runs)
        found = "; ".join(f"{method.part}: {method.text}" for method in done.routing.methods)
        self.note.setText(f"{show_length(total, system, 1)} to lay, with slack and without waste. {found}. {_MARKS}")

    def set_stage(self, stage: Stage) -> None:
        """Say how far the selected cables are."""
        if self._done is None:
            return
        things: list[tuple[StagedThing, str]] = [("cable", self._done.routing.runs[row].id) for row in self.rows()]
        if things:
            self._document.apply("Change how far cable is", with_stages(self._document.settled_plan, things, stage))

    def _mark(self) -> None:
        if self._done is not None:
            self.marked.emit(frozenset(self._done.routing.runs[row].id for row in self.rows()))


class BoxesPage(_StagesPage):
    """Every box with its fill; fixtures with a compartment of their own among them."""

    def __init__(self, document: Document) -> None:
        heads = ("box", "wires in it", "needs", "smallest", "planned", "stage")
        super().__init__(document, "Boxes", heads, (2, 3, 5))
        self._boxes: tuple[BoxFill, ...] = ()
        self.note.setText(
            "Volumes after NFPA 70, 314.16(B), clamps counted. Boxes are stamped with theirs: read the stamp. "
            f"With a fixture, its box and the cable between two such things count as there, too. {_MARKS}"
        )

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        self._boxes = done.boxes
        marks = fixture_marks(plan)
        self.table.setRowCount(len(done.boxes))
        for row, box in enumerate(done.boxes):
            wires = ", ".join(f"{count} × {awg}" for awg, count in box.conductors) + f", {box.grounds} × ground"
            if box.kind == "fixture":
                volumes = ("", "", "in the fixture itself")
            else:
                smallest = f"{box.smallest.volume:g} in³" if box.smallest else "none"
                volumes = (f"{box.needed:.2f} in³", smallest, box.pleasant.name if box.pleasant else "divide it")
            put_row(self.table, row, (_named(box.place, marks), wires, *volumes, box.stage), (), (2, 3))

    def set_stage(self, stage: Stage) -> None:
        """Say how far the selected boxes, and the fixtures under them, are."""
        things: list[tuple[StagedThing, str]] = []
        plan = with_assumed(self._document.settled_plan)
        for row in self.rows():
            box = self._boxes[row]
            if box.place.kind == "switch box":
                things.append(("switch box", box.place.id))
            elif box.kind == "fixture":
                things.append(("fixture", box.place.id))
            elif box.place.kind == "fixture":
                things.append(("fixture box", box.place.id))
        if things:
            self._document.apply("Change how far boxes are", with_stages(plan, things, stage))
