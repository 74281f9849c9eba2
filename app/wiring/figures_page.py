"""The figures that the wiring is counted with: edition of the code, limits, slack, waste. All can be changed."""

from __future__ import annotations

from dataclasses import fields, replace

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, Entry
from app.panels.quantity import Quantity
from app.panels.words import words
from core.plan import Plan
from core.plan.wiring import CodeValues
from core.units import UnitSystem
from core.wiring import Wired
from core.wiring.decisions import with_wiring

__all__ = ["FiguresPage"]

_PREMISES = [
    ("Garage", "garage"),
    ("Basement", "basement"),
    ("Accessory building", "accessory building"),
    ("Another room", "other"),
]
_MOST_LETTERS = 80


class FiguresPage(QWidget):
    """Follows the wiring that the dialog gives it."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.premises = Choice("room is", _PREMISES, "Decides which rules of the code are looked at")
        self.premises.chosen.connect(self._set_premises)
        self.edition = Entry("edition", _edition, str, "The code and edition that your inspector works with")
        self.rows: dict[str, Entry] = {
            "edition": self.edition,
            "continuous_share": Quantity("3 h limit", "percent", 0.1, 1.0, "Of the breaker, for lights of 3 h: 80 %"),
            "drop_mentioned": Quantity("voltage drop", "percent", 0.005, 0.2, "Mentioned above this share: 3 %"),
            "slack_at_box": Quantity("slack at a box", "length", 0.0, 5.0, "Cable kept at each box"),
            "slack_at_panel": Quantity("at the panel", "length", 0.0, 10.0, "Cable kept at the panel"),
            "waste": Quantity("waste", "percent", 0.0, 1.0, "Cut-offs, as a share of the cable"),
            "staple_spacing": Quantity("staples", "length", 0.2, 5.0, "Largest distance between staples"),
            "staple_at_box": Quantity("from a box", "length", 0.0, 2.0, "First staple from a box"),
        }
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.premises)
        for name, row in self.rows.items():
            row.setMaximumWidth(520)
            row.entered.connect(lambda value, name=name: self._set(name, value))
            column.addWidget(row)
        self.premises.setMaximumWidth(520)
        self.back = QPushButton("Back to the figures of the program")
        self.back.setAutoDefault(False)
        self.back.clicked.connect(self.take_defaults)
        column.addWidget(self.back, 0, Qt.AlignmentFlag.AlignLeft)
        text = (
            "Defaults: 80 % after 210.19(A)(1) and 210.20(A), 3 % after a note to 210.19, staples after 334.30, free"
            " conductor after 300.14; slack and waste are common practice. Editions differ; yours decides."
        )
        column.addWidget(words(text, "small", "muted", wrap=True))
        column.addStretch(1)

    def show_wired(self, plan: Plan, done: Wired) -> None:
        """Show another wiring."""
        code, units = plan.wiring.code, UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
        self.premises.set_value(plan.wiring.premises)
        for name, row in self.rows.items():
            if isinstance(row, Quantity):
                row.set_units(units)
            row.set_value(getattr(code, name))
        self.back.setEnabled(any(getattr(code, f.name) != f.default for f in fields(CodeValues)))

    def take_defaults(self) -> None:
        """Go back to the program's own figures."""
        plan = self._document.settled_plan
        self._document.apply("Back to the program's figures", with_wiring(plan, code=CodeValues()))

    def _set_premises(self, value: object) -> None:
        plan = self._document.settled_plan
        self._document.apply("Change what the room is", with_wiring(plan, premises=value))

    def _set(self, name: str, value: object) -> None:
        plan = self._document.settled_plan
        code = replace(plan.wiring.code, **{name: value})  # type: ignore[arg-type]
        self._document.apply("Change a figure of the wiring", with_wiring(plan, code=code))


def _edition(text: str) -> str:
    if not text:
        raise ValueError("Name the code and its edition, as NFPA 70, 2023.")
    return text[:_MOST_LETTERS]
