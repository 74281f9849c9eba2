"""Keeps a copy of unsaved work on the disk, a few seconds behind, and takes it away when the work is saved or dropped.

The plan is an immutable value, so a thread of its own writes it while the user goes on. Nothing is written that has not
changed. Where the file's folder takes no copy, the program's data folder does; where neither does, the user is told.
"""

from __future__ import annotations

import logging
import os
from pathlib import Path
from threading import Thread

from PySide6.QtCore import QObject, QTimer, Signal

from app.document import Document
from app.unsaved.copies import Copy, new_copy
from core.plan import Plan

__all__ = ["DELAY_MS", "AutoSave"]

DELAY_MS = 10_000
"""From a change to the moment its copy is begun: a third of the 30 s that may be lost at most."""

_log = logging.getLogger(__name__)


class AutoSave(QObject):
    """Follows a document; the copy is there exactly while work is unsaved."""

    written = Signal(object)  # the Plan that is on the disk now
    trouble = Signal(str)  # no copy can be kept: why, and what to do; told once

    _done = Signal(object, object)  # Plan, and the OSError if there was one

    def __init__(self, document: Document, parent: QObject | None = None, delay_ms: int = DELAY_MS) -> None:
        super().__init__(parent)
        self._document = document
        self._file: Path | None = None
        self._copy: Copy | None = None
        self._kept: Plan | None = None  # what the copy holds
        self._older: list[Copy] = []  # in a folder that takes no more
        self._thread: Thread | None = None
        self._beside = True
        self._told = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(delay_ms)
        self._timer.timeout.connect(self.write_now)
        self._done.connect(self._take)
        document.history_changed.connect(self._follow)

    @property
    def copy(self) -> Copy | None:
        """The copy in use; None while nothing is unsaved."""
        return self._copy

    def set_file(self, path: Path | None) -> None:
        """Say which file the document has now."""
        self._file = None if path is None else Path(os.path.realpath(path))
        self._beside = True

    def adopt(self, copy: Copy, plan: Plan) -> None:
        """Go on with a copy that was left behind and holds this plan."""
        self._join()
        self._drop()
        self._copy, self._kept = copy, plan

    def write_now(self) -> None:
        """Begin to write what is unsaved, if it is not on the disk yet."""
        self._timer.stop()
        plan = self._document.settled_plan
        if not self._document.is_dirty or plan is self._kept:
            return
        if self._thread is not None:
            self._timer.start()
            return
        try:
            self._copy = self._copy or self._place()
        except OSError as problem:
            self._tell(problem)
            return
        self._thread = Thread(target=self._write, args=(self._copy, plan, self._file), name="autosave")
        self._thread.start()

    def finish(self) -> None:
        """The work is saved or dropped on purpose: no copy stays. Waits for a copy that is being written."""
        self._timer.stop()
        self._join()
        self._drop()

    def _follow(self) -> None:
        if not self._document.is_dirty:
            self._timer.stop()
            if self._thread is None:
                self._drop()
        elif self._document.settled_plan is not self._kept and not self._timer.isActive():
            self._timer.start()

    def _place(self) -> Copy:
        if self._beside:
            try:
                return new_copy(self._file)
            except OSError as problem:
                _log.warning("no copy of unsaved work beside the file: %s", problem)
                self._beside = False
        return new_copy(self._file, beside=False)

    def _write(self, copy: Copy, plan: Plan, file: Path | None) -> None:
        problem: Exception | None = None
        try:
            copy.write(plan, file)
        except Exception as error:  # told by the window's thread, whatever it is
            problem = error
        self._done.emit(plan, problem)

    def _take(self, plan: Plan, problem: Exception | None) -> None:
        if self._thread is None:
            return  # waited for already
        self._join()
        if problem is not None:
            self._failed(problem)
        else:
            self._kept, self._told = plan, False
            self.written.emit(plan)
        self._follow()

    def _failed(self, problem: Exception) -> None:
        # A copy that was written before stays: it is better than nothing, and the next one may go elsewhere.
        if self._kept is None and self._copy is not None:
            self._drop()
        if self._beside and self._file is not None and self._document.is_dirty:
            _log.warning("no copy of unsaved work beside the file: %s", problem)
            self._beside = False
            if self._copy is not None:
                self._older.append(self._copy)
            self._copy, self._kept = None, None
            self.write_now()
        else:
            self._tell(problem)

    def _tell(self, problem: Exception) -> None:
        _log.warning("no copy of unsaved work: %s", problem)
        self._timer.start()
        if not self._told:
            self._told = True
            why = getattr(problem, "strerror", None) or problem
            self.trouble.emit(f"No copy of your unsaved work can be kept ({why}): save it soon.")

    def _drop(self) -> None:
        for copy in (*self._older, *([self._copy] if self._copy is not None else [])):
            try:
                copy.remove()
            except OSError as problem:
                _log.warning("a copy of unsaved work could not be removed: %s", problem)
        self._copy, self._kept = None, None
        self._older.clear()

    def _join(self) -> None:
        if self._thread is not None:
            self._thread.join()
            self._thread = None
