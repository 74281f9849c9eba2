"""The details of the light on faces and racks: vertical, cylindrical, semi-cylindrical, modelling."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidgetItem

from app.checks.told_table import ToldTable
from core.checks.faces import LEAST_CYLINDRICAL, MODELLING, FaceLight
from core.checks.finding import Wording
from core.checks.study import Study
from core.light.grid import FloatArray

__all__ = ["FacesTable"]

_EMPTY = "Nobody stands anywhere and no tall cabinet is on the plan: mark the side of a bench where its worker stands."


class FacesTable(ToldTable):
    """One line a face or rack at the present switch setting."""

    def __init__(self) -> None:
        super().__init__(_EMPTY)
        self.setColumnCount(6)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setAccessibleName("Light on faces and racks")
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)

    def put(self, study: Study | None, shares: FloatArray | None, wording: Wording) -> None:
        """Show a study at a setting (fixtures,), or nothing."""
        unit = wording.light_unit
        self.setHorizontalHeaderLabels(
            ["where", f"vertical\n{unit}", f"cylin-\ndrical\n{unit}", f"semi-\ncyl.\n{unit}", "cyl. /\nhoriz.", ""]
        )
        lines: list[tuple[str, FaceLight]] = []
        if study is not None:
            lines += [(f"face at {stand.item.name or stand.item.id}", light) for stand, light in study.faces]
            lines += [(f"before {rack.item.name or rack.item.id}", rack.light) for rack in study.racks]
        self.setRowCount(len(lines) if shares is not None else 0)
        if shares is None:
            return
        for row, (name, light) in enumerate(lines):
            for column, text in enumerate((name, *_figures(light, shares, wording))):
                item = QTableWidgetItem(text)
                side = Qt.AlignmentFlag.AlignLeft if column in (0, 5) else Qt.AlignmentFlag.AlignRight
                item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
                item.setToolTip(text)
                self.setItem(row, column, item)
        self.wrap_rows()


def _figures(light: FaceLight, shares: FloatArray, wording: Wording) -> tuple[str, ...]:
    ratio, around = light.modelling(shares), light.cylindrical(shares) * wording.factor
    low, high = MODELLING
    word = "gloomy" if around < LEAST_CYLINDRICAL else "flat" if ratio > high else "harsh" if ratio < low else "good"
    return (
        f"{wording.number(light.vertical(shares) * wording.factor):.0f}",
        f"{wording.number(around):.0f}",
        f"{wording.number(light.semicylindrical(shares) * wording.factor):.0f}",
        f"{ratio:.2f}",
        word,
    )
