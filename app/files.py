"""Open and save: which file the plan came from, what is asked before it is left, what is said when one fails.

A file that cannot be used never touches the open plan: it is read whole before anything is replaced.
"""

from __future__ import annotations

import os
from importlib.resources import as_file, files
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.document import Document
from app.templates import blank
from core.plan import Plan
from core.plan.file import PlanFileError, load_plan, save_plan

__all__ = ["PlanFiles", "demo_plan", "demo_shops", "recent_files"]

_RECENT = "files/recent"
_FOLDER = "files/folder"
_MOST_RECENT = 8
_FILTER = "Shop plans (*.json)"


def demo_shops() -> dict[str, str]:
    """Return the demo shops that come with the program: file name by the shop's name."""
    found = {}
    for entry in sorted(files("demo_rooms").iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".json"):
            found[demo_plan(entry.name).name] = entry.name
    return found


def demo_plan(file_name: str) -> Plan:
    """Return one of the demo shops."""
    with as_file(files("demo_rooms").joinpath(file_name)) as path:
        return load_plan(path)


def recent_files() -> list[Path]:
    """Return the files that were open lately and are still there, newest first."""
    stored = QSettings().value(_RECENT, [])
    names = [stored] if isinstance(stored, str) else stored if isinstance(stored, list) else []
    return [path for path in map(Path, names) if path.is_file()]


class PlanFiles(QObject):
    """The document's file."""

    path_changed = Signal()
    recent_changed = Signal()
    opened = Signal()  # another plan is shown
    failed = Signal(str, str)  # title, what is wrong and what to do
    message = Signal(str)

    def __init__(self, document: Document, parent: QWidget, path: Path | None = None) -> None:
        super().__init__(parent)
        self._document, self._window = document, parent
        self._path = path
        if path is not None:
            self._remember(path)

    @property
    def path(self) -> Path | None:
        """The file of the open plan; None while it has none."""
        return self._path

    @property
    def recent(self) -> list[Path]:
        """Files that were open lately and are still there, newest first."""
        return recent_files()

    def open_path(self, path: Path) -> bool:
        """Open a file, after asking about unsaved work; say whether that was done."""
        try:
            plan = load_plan(path)
        except PlanFileError as problem:
            self.failed.emit("This file was not opened", f"{problem}\n\nThe plan that was open is still open.")
            return False
        if not self.may_leave():
            return False
        self._show(plan, path)
        self._remember(path)
        return True

    def open_dialog(self) -> None:
        """Ask for a file and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, "Open a plan", self._folder(), _FILTER)
        if name:
            self.open_path(Path(name))

    def open_demo(self, file_name: str) -> None:
        """Open a demo shop; saving it asks for a name."""
        plan = demo_plan(file_name)
        if self.may_leave():
            self._show(plan, None)

    def new(self, template: str) -> None:
        """Begin with an empty room."""
        if self.may_leave():
            self._show(blank(template, self._document.plan.units), None)

    def save(self) -> bool:
        """Save to the plan's file; ask for one where it has none. Say whether the plan is in a file now."""
        return self.save_as() if self._path is None else self._write(self._path)

    def save_as(self) -> bool:
        """Ask for a file and save there."""
        name = self._document.plan.name.strip().replace(os.sep, "-") or "shop"
        start = str(self._path) if self._path is not None else str(Path(self._folder()) / f"{name}.json")
        chosen, _ = QFileDialog.getSaveFileName(self._window, "Save the plan", start, _FILTER)
        if not chosen:
            return False
        path = Path(chosen)
        return self._write(path if path.suffix else path.with_suffix(".json"))

    def may_leave(self) -> bool:
        """Ask about unsaved work; say whether the open plan may go."""
        if not self._document.is_dirty:
            return True
        box = QMessageBox(self._window)
        box.setIcon(QMessageBox.Icon.Question)
        box.setWindowTitle("Unsaved changes")
        box.setText(f"Save the changes to '{self._document.plan.name}'?")
        box.setInformativeText("Without saving they are lost.")
        buttons = QMessageBox.StandardButton
        box.setStandardButtons(buttons.Save | buttons.Discard | buttons.Cancel)
        box.setDefaultButton(buttons.Save)
        answer = box.exec()
        box.deleteLater()
        if answer == buttons.Save:
            return self.save()
        return answer == buttons.Discard

    def _write(self, path: Path) -> bool:
        plan = self._document.settled_plan
        try:
            save_plan(plan, path)
        except (PlanFileError, OSError) as problem:
            self.failed.emit(
                "The plan was not saved",
                f"{problem}\n\nYour work is still open. Save it under another name or folder.",
            )
            return False
        self._path = path
        self._document.mark_saved(plan)
        self._remember(path)
        self.path_changed.emit()
        self.message.emit(f"Saved to {path}")
        return True

    def _show(self, plan: Plan, path: Path | None) -> None:
        self._path = path
        self._document.replace(plan)
        self.path_changed.emit()
        self.opened.emit()

    def _remember(self, path: Path) -> None:
        settings = QSettings()
        settings.setValue(_FOLDER, str(path.parent))
        kept = [str(path.resolve()), *(str(p) for p in self.recent if p.resolve() != path.resolve())]
        settings.setValue(_RECENT, kept[:_MOST_RECENT])
        self.recent_changed.emit()

    def _folder(self) -> str:
        return str(QSettings().value(_FOLDER, "") or "")
