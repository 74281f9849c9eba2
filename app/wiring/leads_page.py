"""Leads: switched cable ends that were left above the ceiling, each with its group, wire and length."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.words import words
from core.plan import Plan
from core.units import UnitError, UnitSystem, parse_length, show_length
from core.wiring import Wired
from core.wiring.decisions import with_lead_changed, without_lead

__all__ = ["LeadsPage"]

_HEADS = ("group", "length that hangs free", "copper AWG", "what it does")
_LENGTH, _WIRE = 1, 2
_MOST = 300.0


class LeadsPage(QWidget):
    """Follows the wiring that the dialog gives it; places on the plan are picked by whoever listens."""

    lead_wanted = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.table = make_table("Leads", _HEADS, (0, 1, 2))
        self.table.itemChanged.connect(self._typed)
        self.said = words("", "small", "danger", wrap=True)
        self.place = QPushButton("Place a lead")
        self.place.setToolTip("A switched cable end that was left above the ceiling counts with its length")
        self.place.clicked.connect(lambda _=False: self.lead_wanted.emit())
        self.remove = QPushButton("Remove")
        self.remove.clicked.connect(lambda _=False: self.remove_lead())
        row = QHBoxLayout()
        for button in (self.place, self.remove):
            button.setAutoDefault(False)
            row.addWidget(button)
        row.addStretch(1)
        text = (
            "A group with a lead needs no switch, no home run and no breaker any more. A lead that reaches its first"
            " box with slack is the cable; one that is too short is spliced in a box that stays within reach."
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addWidget(words(text, "small", "muted", wrap=True))
        column.addLayout(row)

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        labels = {group.letter: group.label for group in plan.groups}
        notes = {run.start.id: run.note for run in done.routing.runs if run.start.kind == "lead"}
        self.table.blockSignals(True)
        self.table.setRowCount(len(plan.wiring.leads))
        for row, lead in enumerate(plan.wiring.leads):
            name = f"{lead.group} {labels.get(lead.group, '')}".strip()
            texts = (name, show_length(lead.length, _system(plan)), f"{lead.conductor}", notes.get(lead.id, "not used"))
            put_row(self.table, row, texts, (_LENGTH, _WIRE), (_LENGTH, _WIRE))
        self.table.blockSignals(False)
        self.remove.setEnabled(bool(plan.wiring.leads))

    def remove_lead(self) -> None:
        """Remove the lead of the current row."""
        plan, row = self._document.settled_plan, self.table.currentRow()
        if 0 <= row < len(plan.wiring.leads):
            lead = plan.wiring.leads[row]
            self._document.apply(f"Remove lead {lead.group}", without_lead(plan, lead.id))

    def _typed(self, item: QTableWidgetItem) -> None:
        plan = self._document.settled_plan
        lead = plan.wiring.leads[item.row()]
        text = item.text().strip()
        try:
            if item.column() == _LENGTH:
                length = parse_length(text, _system(plan))
                if not 0.0 < length <= _MOST:
                    raise ValueError("A lead is longer than nothing, and shorter than 300 m.")
                edited = with_lead_changed(plan, lead.id, length=length)
            else:
                wire = text.upper().removesuffix("AWG").strip()
                if wire not in ("14", "12", "10"):
                    raise ValueError("The conductor is 14, 12 or 10 AWG copper.")
                edited = with_lead_changed(plan, lead.id, conductor=int(wire))
        except (UnitError, ValueError) as problem:
            self.said.setText(str(problem))
            shown = show_length(lead.length, _system(plan)) if item.column() == _LENGTH else f"{lead.conductor}"
            self.table.blockSignals(True)
            item.setText(shown)
            self.table.blockSignals(False)
            return
        self.said.setText("")
        self._document.apply(f"Change lead {lead.group}", edited)


def _system(plan: Plan) -> UnitSystem:
    return UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
