"""Nameplates: the amperes printed on each model, where they differ from highest watts over volts."""

from __future__ import annotations

from PySide6.QtWidgets import QTableWidgetItem, QVBoxLayout, QWidget

from app.ceiling.cells import make_table, put_row
from app.document import Document
from app.panels.words import words
from core.plan import Model, Plan
from core.units import show_watts
from core.wiring import Wired
from core.wiring.decisions import with_nameplate
from core.wiring.load import highest_watts

__all__ = ["NameplatesPage"]

_HEADS = ("model", "fixtures", "highest setting", "nameplate A", "counts as")
_AMPERES = 3
_VOLTS = 120.0


class NameplatesPage(QWidget):
    """Follows the wiring that the dialog gives it."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._models: tuple[Model, ...] = ()
        self.table = make_table("Nameplates", _HEADS, (1, 2, 3, 4))
        self.table.itemChanged.connect(self._typed)
        self.said = words("", "small", "danger", wrap=True)
        text = (
            "Type the amperes printed on the fixture; they win over watts. An empty cell counts the highest setting"
            " that its switch can be put to, over the circuit's volts. The watts of each setting are in the data sheet:"
            " select a fixture, then 'Data sheet…'."
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.table, 1)
        column.addWidget(self.said)
        column.addWidget(words(text, "small", "muted", wrap=True))

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        used = {fixture.model for fixture in plan.fixtures}
        self._models = tuple(model for model in plan.models if model.id in used)
        plates = {plate.model: plate.amperes for plate in plan.wiring.nameplates}
        self.table.blockSignals(True)
        self.table.setRowCount(len(self._models))
        for row, model in enumerate(self._models):
            amperes = plates.get(model.id)
            watts = highest_watts(model)
            counts = f"{amperes:g} A" if amperes else f"{watts / _VOLTS:.2f} A at 120 V"
            count = sum(fixture.model == model.id for fixture in plan.fixtures)
            texts = (model.name, f"{count}", show_watts(watts), f"{amperes:g}" if amperes else "", counts)
            put_row(self.table, row, texts, (_AMPERES,), (1, 2, 3, 4))
        self.table.blockSignals(False)

    def _typed(self, item: QTableWidgetItem) -> None:
        model = self._models[item.row()]
        plan = self._document.settled_plan
        try:
            edited = with_nameplate(plan, model.id, _amperes(item.text()))
        except ValueError as problem:
            self.said.setText(str(problem))
            plates = {plate.model: f"{plate.amperes:g}" for plate in plan.wiring.nameplates}
            self.table.blockSignals(True)
            item.setText(plates.get(model.id, ""))
            self.table.blockSignals(False)
            return
        self.said.setText("")
        self._document.apply(f"Nameplate of {model.name}", edited)


def _amperes(text: str) -> float | None:
    number = text.upper().strip().removesuffix("A").strip()
    if not number:
        return None
    try:
        value = float(number)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= 400.0:
        raise ValueError("Type the amperes printed on the fixture, as 0.55, or nothing.")
    return value
