"""One thread for searches and comparisons: one job at a time, with progress, the best so far, and stop.

What comes of a job arrives on the thread of the `Runner`; a job that was stopped still hands back what it had found. A
failure is a result too.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Event
from typing import Any

from PySide6.QtCore import QCoreApplication, QObject, Signal

from core.light.roomlight import Cancelled
from core.suggest.request import RequestError

__all__ = ["Job", "Runner"]

_log = logging.getLogger(__name__)
Job = Callable[[Callable[[float, str], None], Callable[[], bool], Callable[[Any], None]], Any]
"""``job(progress, cancelled, found)`` returns its result."""


class Runner(QObject):
    """Runs jobs off the window's thread."""

    progress = Signal(float, str)
    found = Signal(object)  # the best so far
    done = Signal(object)
    failed = Signal(str)
    busy_changed = Signal(bool)

    _told = Signal(int, str, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="layouts")
        self._off = Event()
        self._number = 0
        self.is_busy = False
        self._told.connect(self._take)
        app = QCoreApplication.instance()
        if app is not None:
            app.aboutToQuit.connect(self.shutdown)

    def start(self, job: Job) -> None:
        """Begin a job; one that runs is dropped."""
        self._off.set()
        self._off = Event()
        self._number += 1
        self._set_busy(True)
        self._pool.submit(self._work, self._number, self._off, job)

    def stop(self) -> None:
        """Ask the job to end with what it has."""
        self._off.set()

    def drop(self) -> None:
        """End the job and forget it."""
        self._off.set()
        self._number += 1
        self._set_busy(False)

    def shutdown(self) -> None:
        """End what runs and wait for it."""
        self._off.set()
        self._number += 1
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _work(self, number: int, off: Event, job: Job) -> None:
        try:
            result = job(
                lambda share, what: self._told.emit(number, "progress", (share, what)),
                off.is_set,
                lambda best: self._told.emit(number, "found", best),
            )
            self._told.emit(number, "done", result)
        except Cancelled:
            self._told.emit(number, "stopped", None)
        except RequestError as problem:
            text = str(problem)
            self._told.emit(number, "failed", text[:1].upper() + text[1:])
        except Exception:
            _log.exception("looking for layouts")
            self._told.emit(number, "failed", "This could not be worked out for this plan. Save it and try again.")

    def _take(self, number: int, what: str, value: Any) -> None:
        if number != self._number:
            return
        if what == "progress":
            self.progress.emit(*value)
            return
        if what == "found":
            self.found.emit(value)
            return
        self._set_busy(False)
        if what == "done":
            self.done.emit(value)
        elif what == "failed":
            self.failed.emit(value)

    def _set_busy(self, busy: bool) -> None:
        if busy != self.is_busy:
            self.is_busy = busy
            self.busy_changed.emit(busy)
