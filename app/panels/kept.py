"""Kept combinations: each a button with its digit; the one that is in force now is marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from PySide6.QtCore import QPoint, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QInputDialog,
    QLineEdit,
    QMenu,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.document import Document
from app.panels.words import link
from app.switches import Switches
from core.plan import Combination, Plan
from core.plan.edits import with_combination, without_combination

__all__ = ["KeptCombinations"]

_WIDEST = 192  # px of a button; a longer name is cut
_COLUMNS_FROM = 4  # from this many on they stand in two columns


class KeptCombinations(QWidget):
    """Takes, keeps, renames and forgets switch settings."""

    message = Signal(str)

    def __init__(self, document: Document, switches: Switches) -> None:
        super().__init__()
        self._document, self._switches = document, switches
        self.buttons: list[QPushButton] = []
        self.keep_button = link("Keep this setting", "Give the present switch setting a name and a digit")
        self.keep_button.clicked.connect(self.keep_present)
        self._sheet = QWidget()
        self._grid = QGridLayout(self._sheet)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(4)
        self._grid.setVerticalSpacing(4)
        self._grid.setAlignment(Qt.AlignmentFlag.AlignTop)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(self._sheet)
        self._scroll = scroll
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(scroll, 1)
        column.addWidget(self.keep_button, 0, Qt.AlignmentFlag.AlignLeft)
        document.changed.connect(self._plan_changed)
        switches.changed.connect(self.refresh)
        self._rebuild(document.plan)

    def take(self, digit: int) -> None:
        """Put the switches as in the kept combination with this digit."""
        kept = self._document.plan.combinations
        if 1 <= digit <= len(kept):
            self._switches.take(kept[digit - 1])
        else:
            self.message.emit(f"There is no kept setting {digit} yet. Set the switches, then 'Keep this setting'.")

    def keep_present(self) -> None:
        """Ask for a name and keep the present setting under it."""
        name, fine = QInputDialog.getText(
            self, "Keep this setting", "What do you do in this light?", QLineEdit.EchoMode.Normal, ""
        )
        if fine and name.strip():
            plan = with_combination(self._document.settled_plan, self._switches.keep(name.strip()))
            self._document.apply(f"Keep setting '{name.strip()}'", plan)
            self.refresh()

    def rename(self, index: int) -> None:
        """Ask for another name for a kept combination."""
        plan = self._document.settled_plan
        old = plan.combinations[index]
        name, fine = QInputDialog.getText(
            self, "Rename setting", "What do you do in this light?", QLineEdit.EchoMode.Normal, old.name
        )
        name = name.strip()
        if not fine or not name or name == old.name:
            return
        if any(kept.name == name for kept in plan.combinations):
            self.message.emit(f"There is already a setting called '{name}'.")
            return
        kept = tuple(replace(c, name=name) if i == index else c for i, c in enumerate(plan.combinations))
        self._document.apply(f"Rename setting '{old.name}'", replace(plan, combinations=kept))

    def forget(self, index: int) -> None:
        """Forget a kept combination."""
        plan = self._document.settled_plan
        name = plan.combinations[index].name
        self._document.apply(f"Forget setting '{name}'", without_combination(plan, name))

    def refresh(self) -> None:
        """Mark the combination that is in force."""
        levels = self._switches.levels
        for button, kept in zip(self.buttons, self._document.plan.combinations, strict=False):
            button.setChecked(_is_set(kept, levels))

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        if old.combinations != new.combinations:
            self._rebuild(new)
        elif old.groups != new.groups:
            self.refresh()

    def _rebuild(self, plan: Plan) -> None:
        for button in self.buttons:
            self._grid.removeWidget(button)
            button.hide()
            button.deleteLater()
        columns = 1 if len(plan.combinations) < _COLUMNS_FROM else 2
        self.buttons = [self._made(index, kept) for index, kept in enumerate(plan.combinations)]
        for index, button in enumerate(self.buttons):
            self._grid.addWidget(button, index // columns, index % columns)
        widths = [max((b.width() for b in self.buttons[column::columns]), default=0) for column in range(columns)]
        for index, button in enumerate(self.buttons):
            button.setFixedWidth(widths[index % columns])
        self._scroll.setFixedWidth(sum(widths) + 4 * columns + 8)
        self._scroll.setVisible(bool(self.buttons))
        self.refresh()

    def _made(self, index: int, kept: Combination) -> QPushButton:
        digit = f"{index + 1}  " if index < 9 else ""
        button = QPushButton()
        button.setProperty("role", "kept")
        button.setCheckable(True)
        button.setText(button.fontMetrics().elidedText(digit + kept.name, Qt.TextElideMode.ElideRight, _WIDEST - 24))
        button.setFixedWidth(button.fontMetrics().horizontalAdvance(button.text()) + 24)
        key = f", or press {index + 1}" if index < 9 else ""
        button.setToolTip(f"{kept.name}: click{key}; right-click to rename or forget")
        button.setAccessibleName(f"Setting {kept.name}")
        button.clicked.connect(lambda: self._taken(index))
        button.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        button.customContextMenuRequested.connect(lambda at: self._menu(index).popup(button.mapToGlobal(QPoint(at))))
        return button

    def _taken(self, index: int) -> None:
        self._switches.take(self._document.plan.combinations[index])
        self.refresh()

    def _menu(self, index: int) -> QMenu:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.addAction("Rename…").triggered.connect(lambda: self.rename(index))
        menu.addAction("Set it as the switches are now").triggered.connect(lambda: self._set_anew(index))
        menu.addAction("Forget").triggered.connect(lambda: self.forget(index))
        return menu

    def _set_anew(self, index: int) -> None:
        plan = self._document.settled_plan
        name = plan.combinations[index].name
        self._document.apply(f"Change setting '{name}'", with_combination(plan, self._switches.keep(name)))


def _is_set(kept: Combination, levels: Mapping[str, float]) -> bool:
    shares = kept.shares()
    return all(abs(shares.get(letter, 0.0) - level) < 0.005 for letter, level in levels.items())
