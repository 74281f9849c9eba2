"""When something inside fails, the stack goes to the log, the user gets one plain message, and work goes on.

Errors of the window's thread, of other threads and of Python's clean-up arrive here. Ctrl-C in the terminal
closes the window in the ordinary way, so that unsaved work is asked about; a second one closes it outright.
"""

from __future__ import annotations

import logging
import logging.handlers
import signal
import socket
import sys
import threading
from pathlib import Path
from types import TracebackType
from typing import Any

from PySide6.QtCore import (
    QCoreApplication,
    QMessageLogContext,
    QObject,
    QSocketNotifier,
    QStandardPaths,
    QtMsgType,
    Signal,
    qInstallMessageHandler,
)

__all__ = ["Faults", "Interrupt", "route_qt_messages", "start_log"]

_LOG = logging.getLogger("candlebench")
_QT_LOG = logging.getLogger("qt")
_LOG_BYTES = 500_000


def start_log() -> Path | None:
    """Write warnings and errors to a file in the user's data folder; return it, None where that fails."""
    folder = Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.AppLocalDataLocation))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = logging.handlers.RotatingFileHandler(
            folder / "candlebench.log", maxBytes=_LOG_BYTES, backupCount=1, encoding="utf-8", delay=True
        )
    except OSError as problem:
        _LOG.warning("no log file: %s", problem)
        return None
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    handler.setLevel(logging.WARNING)
    logging.getLogger().addHandler(handler)
    return folder / "candlebench.log"


def route_qt_messages() -> Any:
    """Send what Qt has to say to the log; only what ends the program still goes to the terminal.

    Returns what took the messages before, to be given back to `qInstallMessageHandler`.
    """
    levels = {
        QtMsgType.QtDebugMsg: logging.DEBUG,
        QtMsgType.QtInfoMsg: logging.INFO,
        QtMsgType.QtWarningMsg: logging.WARNING,
    }

    def take(kind: QtMsgType, _context: QMessageLogContext, text: str) -> None:
        if kind in levels:
            _QT_LOG.log(levels[kind], "%s", text)
        else:
            print(f"candlebench: Qt: {text}", file=sys.stderr)

    _QT_LOG.propagate = any(True for _ in logging.getLogger().handlers)
    return qInstallMessageHandler(take)


class Faults(QObject):
    """Catches what nobody caught."""

    happened = Signal(str)  # one plain sentence for the user

    def __init__(self, log: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._log = log
        self._before: tuple[Any, Any, Any] | None = None

    def install(self) -> None:
        """Take over the hooks of the interpreter."""
        self._before = (sys.excepthook, threading.excepthook, sys.unraisablehook)
        sys.excepthook = self._uncaught
        threading.excepthook = self._uncaught_in_thread
        sys.unraisablehook = self._unraisable

    def remove(self) -> None:
        """Give the hooks back."""
        if self._before is not None:
            sys.excepthook, threading.excepthook, sys.unraisablehook = self._before
            self._before = None

    def report(self, problem: BaseException) -> None:
        """Log a problem with its stack and tell the user that something went wrong."""
        _LOG.error("unexpected problem", exc_info=(type(problem), problem, problem.__traceback__))
        where = f" Details are in {self._log}." if self._log is not None else ""
        self.happened.emit(
            "Something went wrong inside the program; the last action may not have had its effect. "
            f"Your plan is still open: save it under a new name to be safe.{where}"
        )

    def _uncaught(self, kind: type[BaseException], problem: BaseException, stack: TracebackType | None) -> None:
        if not isinstance(problem, KeyboardInterrupt):
            self.report(problem.with_traceback(stack))

    def _uncaught_in_thread(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is not None:
            self.report(args.exc_value)

    def _unraisable(self, args: Any) -> None:
        if args.exc_value is not None:
            self.report(args.exc_value)


class Interrupt(QObject):
    """Turns Ctrl-C into a signal of the event loop, without waking up when nothing happens."""

    asked = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._count = 0
        self._ours, theirs = socket.socketpair()
        self._theirs = theirs
        for end in (self._ours, theirs):
            end.setblocking(False)
        self._old_fd = signal.set_wakeup_fd(theirs.fileno(), warn_on_full_buffer=False)
        self._old = signal.signal(signal.SIGINT, lambda *_: None)
        self._notifier = QSocketNotifier(self._ours.fileno(), QSocketNotifier.Type.Read, self)
        self._notifier.activated.connect(self._woken)

    def remove(self) -> None:
        """Give Ctrl-C back to the interpreter."""
        self._notifier.setEnabled(False)
        signal.set_wakeup_fd(self._old_fd)
        signal.signal(signal.SIGINT, self._old)
        self._ours.close()
        self._theirs.close()

    def _woken(self) -> None:
        try:
            received = self._ours.recv(64)
        except BlockingIOError:
            return
        if signal.SIGINT in received:
            self._count += 1
            if self._count > 1:
                QCoreApplication.exit(0)
            else:
                self.asked.emit()
