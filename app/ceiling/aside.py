"""Work off the window's thread; the newest question wins, an older one is called off."""

from __future__ import annotations

import logging
from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, QObject, QRunnable, QThreadPool, Signal

from core.light.engine import Cancelled

__all__ = ["Aside", "Work"]

Work = Callable[[Callable[[], bool]], object]
"""What is done aside; it is given what tells whether its answer is still wanted: True once it is not."""
_LOG = logging.getLogger(__name__)


class Aside(QObject):
    """Does one piece of work at a time; ``answered`` brings the question's key and the answer, None on a failure."""

    answered = Signal(object, object)
    _found = Signal(int, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._newest = 0
        self._busy = False
        self._found.connect(self._take)
        app = QCoreApplication.instance()
        if app is not None:
            app.aboutToQuit.connect(self.finish)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._busy

    def ask(self, key: object, work: Work) -> None:
        """Begin a piece of work."""
        self._newest += 1
        self._busy = True
        self._pool.start(_Job(self, self._newest, key, work))

    def call_off(self) -> None:
        """Forget what is being worked out; it ends by itself soon."""
        self._newest += 1
        self._busy = False

    def finish(self) -> None:
        """Forget what is being worked out, and wait for its end."""
        self.call_off()
        self._pool.waitForDone()

    def do(self, number: int, key: object, work: Work) -> None:
        """Do one piece of work; on the pool's thread."""

        def is_old() -> bool:
            return number != self._newest

        answer: object = None
        try:
            answer = work(is_old)
        except Cancelled:
            return
        except Exception:
            # Told to the user as "cannot be worked out"; the stack is for the log.
            _LOG.exception("work for the ceiling sheet")
        if not is_old():
            self._found.emit(number, key, answer)

    def _take(self, number: int, key: object, answer: object) -> None:
        if number == self._newest:
            self._busy = False
            self.answered.emit(key, answer)


class _Job(QRunnable):
    def __init__(self, owner: Aside, number: int, key: object, work: Work) -> None:
        super().__init__()
        self._given = (number, key, work)
        self._owner = owner

    def run(self) -> None:
        self._owner.do(*self._given)
