"""Joins the search for layouts to the window: its dialogs, and comparing with another plan file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog

from app.suggest.compare_dialog import CompareDialog
from app.suggest.dialog import PlaceDialog
from app.suggest.layouts_dialog import LayoutsDialog
from core.catalogue import catalogue
from core.plan import Model, Plan
from core.plan.file import PlanFileError, load_plan

if TYPE_CHECKING:
    from app.window import MainWindow
    from core.light.engine import LightEngine

__all__ = ["SuggestHook"]


class SuggestHook:
    """What the window keeps of the search."""

    def __init__(self, window: MainWindow, engine: LightEngine) -> None:
        self._window, self._engine = window, engine
        self.dialog: PlaceDialog | None = None
        self.layouts_dialog: LayoutsDialog | None = None
        self.comparisons: list[CompareDialog] = []

    def show_dialog(self) -> None:
        """Open 'Place them for me'; the window stays usable beside it."""
        window = self._window
        if self.dialog is None:
            made = PlaceDialog(window.document, self._engine, self._models, window.theme, window.units, window)
            made.compare_wanted.connect(lambda now, then: self.compare(("now", now), ("proposed", then)))
            made.used.connect(self._light_up)
            self.dialog = made
        self.dialog.set_theme(window.theme)
        self.dialog.set_units(window.units)
        self.dialog.form.set_plan(window.document.settled_plan, self._models())
        self.dialog.show()
        self.dialog.raise_()

    def _light_up(self, text: str) -> None:
        """Show a layout with everything on, as its figures are: fixtures may have come on a switch that was off."""
        self._window.switch_all(1.0)
        self._window.status.say(text)

    def show_layouts(self) -> None:
        """Open the list of the layouts in this file."""
        if self.layouts_dialog is None:
            self.layouts_dialog = LayoutsDialog(self._window.document, self._window)
            self.layouts_dialog.compare_wanted.connect(self.compare)
        self.layouts_dialog.refresh()
        self.layouts_dialog.show()
        self.layouts_dialog.raise_()

    def compare(self, first: tuple[str, Plan], second: tuple[str, Plan]) -> None:
        """Put two plans side by side."""
        window = self._window
        dialog = CompareDialog(first, second, self._engine, window.theme, window.units, window)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.comparisons.append(dialog)
        dialog.finished.connect(lambda _=0: self.comparisons.remove(dialog))
        dialog.show()

    def compare_with_file(self) -> None:
        """Ask for another plan and put it beside this one."""
        window = self._window
        chosen, _ = QFileDialog.getOpenFileName(window, "Compare with another plan", "", "Plans (*.json)")
        if not chosen:
            return
        try:
            other = load_plan(chosen)
        except PlanFileError as problem:
            window.tell("That plan cannot be read", str(problem))
            return
        plan = window.document.settled_plan
        names = plan.name or "this plan", other.name or Path(chosen).stem
        first, second = names if names[0] != names[1] else ("this plan", Path(chosen).stem)
        self.compare((first, plan), (second, other))

    def shutdown(self) -> None:
        """End what runs in the background."""
        if self.dialog is not None:
            self.dialog.shutdown()
        for dialog in list(self.comparisons):
            dialog.runner.shutdown()

    def _models(self) -> tuple[Model, ...]:
        return catalogue()
