"""Open and save: which file the plan came from, what is asked before it is left, what is said when one fails.

A file that cannot be used never touches the open plan: it is read whole before anything is replaced. A file that
another program has changed meanwhile is never written over without asking.
"""

from __future__ import annotations

import os
from importlib.resources import as_file, files
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, Signal
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

from app.document import Document
from app.saving import WayOut, ask_after_change, ask_after_failure, free_name
from app.templates import blank
from app.unsaved.autosave import AutoSave
from app.unsaved.copies import Copy, Work, left_behind
from app.unsaved.offer import Wish, ask_about
from core.plan import Plan
from core.plan.file import PlanFileError, load_plan, save_plan
from core.plan.stamp import Stamp, stamp_of

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
        self._stamp = None if path is None else stamp_of(path)
        self.autosave = AutoSave(document, self)
        self.autosave.set_file(path)
        self.autosave.trouble.connect(self.message)
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
        stamp = stamp_of(path)  # before it is read: what changes in between counts as changed meanwhile
        try:
            plan = load_plan(path)
        except PlanFileError as problem:
            if self._recover(path):
                return True
            self.failed.emit(
                "This file was not opened",
                f"{problem}\n\nPlans are the .json files that Candlebench saves. What is in the window is still open.",
            )
            return False
        if not self.may_leave():
            return False
        self._show(plan, path, stamp)
        self._remember(path)
        self._recover(path)
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

    def offer_unsaved(self) -> None:
        """Ask what is to be done with work that a killed program left: of the open file, and of plans without one."""
        if self._path is not None and self._recover(self._path):
            return
        self._recover(None)

    def finish(self) -> None:
        """The window closes: what is unsaved was saved or dropped on purpose."""
        self.autosave.finish()

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
        theirs = self._changed_meanwhile(path)
        if theirs is not None:
            way = ask_after_change(path, theirs, self._window)
            if way is WayOut.NOT_NOW:
                return False
            path = free_name(path) if way is WayOut.BOTH else path
        plan = self._document.settled_plan
        try:
            save_plan(plan, path)
        except (PlanFileError, OSError) as problem:
            self.autosave.write_now()
            way = ask_after_failure(str(problem), self._window)
            if way is WayOut.AGAIN:
                return self._write(path)
            return self.save_as() if way is WayOut.ELSEWHERE else False
        self._path, self._stamp = path, stamp_of(path)
        self._document.mark_saved(plan)
        self._remember(path)
        self.autosave.set_file(path)
        self.path_changed.emit()
        self.message.emit(f"Saved to {path}")
        return True

    def _changed_meanwhile(self, path: Path) -> Stamp | None:
        """Return the stamp of what another program has put in the plan's file; None while it is ours."""
        if self._path is None or self._stamp is None or path.resolve() != self._path.resolve():
            return None
        now = stamp_of(path)
        return None if now is None or now.same_as(self._stamp) else now

    def _show(self, plan: Plan, path: Path | None, stamp: Stamp | None = None, saved: bool = True) -> None:
        self._path, self._stamp = path, stamp
        self._document.replace(plan, saved)
        self.autosave.set_file(path)
        self.path_changed.emit()
        self.opened.emit()

    def _recover(self, path: Path | None) -> bool:
        """Offer what was left behind of a file; say whether it is open now."""
        file = None if path is None else Path(os.path.realpath(path))
        copies = left_behind(file)
        while copies:
            copy = copies.pop(0)
            work = copy.read()
            if path is not None and path == self._path and work.plan == self._document.settled_plan:
                copy.remove()  # it was saved in the end
                continue
            wish = ask_about(work, file, self._window)
            if wish is Wish.DROP:
                copy.remove()
            elif wish is Wish.OPEN and self._bring_back(copy, work, path):
                for other in copies:
                    other.leave()
                return True
            else:
                copy.leave()
        return False

    def _bring_back(self, copy: Copy, work: Work, path: Path | None) -> bool:
        """Show work that was left behind: as a step after the plan of its file, where that can be read."""
        if path is None or path != self._path:
            if not self.may_leave():
                return False
            # A file that is there but cannot be opened stays as it is: saving asks for another name.
            self._show(work.plan, None if path is not None and path.exists() else path, saved=False)
            self.autosave.adopt(copy, work.plan)
        else:
            self.autosave.adopt(copy, work.plan)
            self._document.apply("Bring back unsaved work", work.plan)
        self.message.emit("This is the unsaved work. Save it to put it in its file.")
        return True

    def _remember(self, path: Path) -> None:
        settings = QSettings()
        settings.setValue(_FOLDER, str(path.parent))
        kept = [str(path.resolve()), *(str(p) for p in self.recent if p.resolve() != path.resolve())]
        settings.setValue(_RECENT, kept[:_MOST_RECENT])
        self.recent_changed.emit()

    def _folder(self) -> str:
        return str(QSettings().value(_FOLDER, "") or "")
