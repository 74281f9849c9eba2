"""The branch circuits: breaker, conductor, groups, load against the limit. Cells are typed into."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.words import words
from app.wiring.stages_page import read_stage
from core.plan import Plan
from core.wiring import Wired
from core.wiring.decisions import (
    with_assumed,
    with_circuit,
    with_new_circuit,
    with_others,
    with_stages,
    without_circuit,
)

__all__ = ["CircuitsPage"]

_HEADS = (
    "circuit",
    "breaker\nA",
    "copper\nAWG",
    "groups",
    "3 h\nor more",
    "also on it,\nwith amperes",
    "load\nA",
    "limit\nA",
    "voltage\ndrop",
    "breaker\nis",
    "volts",
    "receptacles the\ncode asks for",
)
_STAGE, _VOLTS, _RECEPTACLES = 9, 10, 11
_TYPED = (0, 1, 2, 3, 4, 5, _STAGE, _VOLTS, _RECEPTACLES)
_OTHERS = 5
_QUESTIONS = {
    4: ("continuous", "Type yes if the lights burn three hours or more at a time, else no."),
    _RECEPTACLES: (
        "garage_receptacles",
        "Type yes if it is the circuit for receptacles that the code requires in a garage, else no.",
    ),
}
_YES = {"yes", "y", "true", "1", "x"}
_NO = {"no", "n", "false", "0", ""}


class CircuitsPage(QWidget):
    """Follows the wiring that the dialog gives it."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._done: Wired | None = None
        self.table = make_table("Circuits", _HEADS, (1, 2, 3, 4, 6, 7, 8, 9, 10, 11))
        self.table.itemChanged.connect(self._typed)
        self.said = words("", "small", "danger", wrap=True)
        self.add = self._button("Add a circuit", self.add_circuit)
        self.remove = self._button("Remove", self.remove_circuit)
        self.take = self._button("Decide as assumed", self.take_assumed)
        self.take.setToolTip("Make what the program assumes your own: panel, switch boxes and circuits")
        row = QHBoxLayout()
        for button in (self.add, self.remove, self.take):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addLayout(row)

    def _button(self, text: str, do: Callable[[], None]) -> QPushButton:
        button = QPushButton(text)
        button.setAutoDefault(False)
        button.clicked.connect(do)
        return button

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        self._done = done
        self.table.blockSignals(True)
        self.table.setRowCount(len(done.circuits))
        for row, (circuit, load, (drop, _)) in enumerate(zip(done.circuits, done.loads, done.drops, strict=True)):
            name = f"{circuit.name} (assumed)" if circuit.id in done.assumed else circuit.name
            texts = (
                name,
                str(circuit.breaker),
                str(circuit.conductor),
                " ".join(circuit.groups),
                "yes" if circuit.continuous else "no",
                ", ".join(f"{other.name} {other.amperes:g}" for other in circuit.others),
                f"{load.total:.2f}",
                f"{load.limit:.1f}",
                f"{100 * drop:.1f} %",
                done.wiring.stage("breaker", circuit.id) or "to do",
                str(circuit.volts),
                "yes" if circuit.garage_receptacles else "no",
            )
            put_row(self.table, row, texts, _TYPED, (1, 2, 6, 7, 8, _VOLTS))
        self.table.blockSignals(False)
        self.take.setEnabled(bool(done.assumed))

    def add_circuit(self) -> None:
        """Add an empty circuit."""
        self._document.apply("Add a circuit", with_new_circuit(with_assumed(self._document.settled_plan)))

    def remove_circuit(self) -> None:
        """Remove the circuit of the current row."""
        plan = with_assumed(self._document.settled_plan)
        row = self.table.currentRow()
        if 0 <= row < len(plan.wiring.circuits):
            circuit = plan.wiring.circuits[row]
            self._document.apply(f"Remove {circuit.name}", without_circuit(plan, circuit.id))

    def take_assumed(self) -> None:
        """Make what is assumed the plan's own."""
        self._document.apply("Decide the wiring as assumed", with_assumed(self._document.settled_plan))

    def _typed(self, item: QTableWidgetItem) -> None:
        plan = with_assumed(self._document.settled_plan)
        circuit = plan.wiring.circuits[item.row()]
        text = item.text().strip()
        try:
            if item.column() == _OTHERS:
                edited = with_others(plan, circuit.id, _loads(text))
            elif item.column() == _STAGE:
                edited = with_stages(plan, [("breaker", circuit.id)], read_stage(text))
            else:
                edited = with_circuit(plan, circuit.id, **_read(plan, item.column(), text))
        except ValueError as problem:
            self.said.setText(str(problem))
        else:
            self.said.setText("")
            self._document.apply(f"Change {circuit.name}", edited)
        if self._done is not None:
            self.show_wired(self._document.plan, self._done)


def _read(plan: Plan, column: int, text: str) -> dict[str, object]:
    """Return the fields that an entry sets; ValueError says what is wrong with it."""
    if column == 0:
        return {"name": text.removesuffix(" (assumed)")[:60] or "Circuit"}
    if column == 1:
        number = text.upper().removesuffix("A").strip()
        if number not in ("15", "20", "25", "30"):
            raise ValueError("A breaker of a lighting circuit has 15, 20, 25 or 30 A.")
        return {"breaker": int(number)}
    if column == 2:
        number = text.upper().removesuffix("AWG").strip()
        if number not in ("14", "12", "10"):
            raise ValueError("The conductor is 14, 12 or 10 AWG copper.")
        return {"conductor": int(number)}
    if column == 3:
        return {"groups": _letters(plan, text)}
    if column == _VOLTS:
        number = text.upper().removesuffix("V").strip()
        if number not in ("120", "240", "277"):
            raise ValueError("A lighting circuit has 120, 240 or 277 V.")
        return {"volts": int(number)}
    field, question = _QUESTIONS[column]
    if text.lower() in _YES | _NO:
        return {field: text.lower() in _YES}
    raise ValueError(question)


def _loads(text: str) -> list[tuple[str, float]]:
    """Return names and amperes out of a list like ``Table saw 12, Radio 0.5``."""
    found = []
    for part in filter(None, (entry.strip() for entry in text.split(","))):
        name, _, number = part.upper().removesuffix("A").strip().rpartition(" ")
        try:
            amperes = float(number)
        except ValueError:
            amperes = 0.0
        if not name or not 0.0 < amperes <= 400.0:
            raise ValueError("Type name and amperes, as: Table saw 12, Radio 0.5")
        found.append((part[: len(name)].strip(), amperes))
    return found


def _letters(plan: Plan, text: str) -> tuple[str, ...]:
    known = [group.letter for group in plan.groups]
    letters = tuple(dict.fromkeys(letter for letter in text.upper() if letter.isalpha()))
    unknown = [letter for letter in letters if letter not in known]
    if unknown:
        raise ValueError(f"There is no group {', '.join(unknown)}; the groups are {', '.join(known)}.")
    return letters
