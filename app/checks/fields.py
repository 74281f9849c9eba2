"""Rows of a form under headings, all in the plan's units; and distances from the left and the lower wall."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.panels.quantity import Quantity
from app.panels.words import heading
from core.plan import Plan
from core.units import UnitSystem

__all__ = ["Fields", "corner_of", "scrolled", "units_of"]


class Fields(QWidget):
    """A column of rows; a group is its heading ('' for none) and its rows."""

    def __init__(self, *groups: tuple[str, Sequence[QWidget]]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(4)
        self._rows: list[QWidget] = []
        self._units: UnitSystem | None = None
        for title, rows in groups:
            if title:
                head = heading(title)
                head.setContentsMargins(0, 8, 0, 2)
                column.addWidget(head)
            for row in rows:
                column.addWidget(row)
            self._rows += rows
        column.addStretch(1)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in a system of units."""
        if units is not self._units:
            self._units = units
            for row in self._rows:
                if isinstance(row, Quantity):
                    row.set_units(units)


def scrolled(page: QWidget) -> QScrollArea:
    """Return a page that scrolls up and down where the window is low, never sideways."""
    area = QScrollArea()
    area.setWidget(page)
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    return area


def units_of(plan: Plan) -> UnitSystem:
    """Return the plan's system of units."""
    return UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US


def corner_of(plan: Plan) -> tuple[float, float]:
    """Return where distances from the left and from the lower wall of the plan begin (x, y) [m]."""
    xs, ys = zip(*plan.room.outline, strict=True)
    return min(xs), min(ys)
