"""What a move costs in light, worked out off the window's thread; the newest question wins."""

from __future__ import annotations

import logging
from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, QObject, QRunnable, QThreadPool, Signal

from core.ceiling import light_cost
from core.light.engine import Cancelled
from core.light.field import Lighting
from core.plan import Plan

__all__ = ["LightCost"]

Solve = Callable[[Plan, Callable[[], bool]], Lighting]
_LOG = logging.getLogger(__name__)


class LightCost(QObject):
    """Compares the benches' light of two plans; ``answered`` brings the question's key and the costs, or None."""

    answered = Signal(object, object)
    _found = Signal(int, object, object)

    def __init__(self, solve: Solve, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._solve = solve
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._newest = 0
        self._found.connect(self._take)
        app = QCoreApplication.instance()
        if app is not None:
            app.aboutToQuit.connect(self.call_off)

    def ask(self, key: object, before: Plan, after: Plan) -> None:
        """Work out the light of both plans and compare it."""
        self._newest += 1
        self._pool.start(_Work(self, self._newest, key, before, after))

    def call_off(self) -> None:
        """Forget what is being worked out, and wait for its end."""
        self._newest += 1
        self._pool.waitForDone()

    def work(self, number: int, key: object, before: Plan, after: Plan) -> None:
        """Do the work of one question; on the pool's thread."""

        def is_old() -> bool:
            return number != self._newest

        answer: object = None
        try:
            answer = light_cost(self._solve(before, is_old), self._solve(after, is_old))
        except Cancelled:
            return
        except Exception:
            # Told to the user as "cannot be worked out"; the stack is for the log.
            _LOG.exception("light of a moved fixture in %r", before.name)
        if not is_old():
            self._found.emit(number, key, answer)

    def _take(self, number: int, key: object, answer: object) -> None:
        if number == self._newest:
            self.answered.emit(key, answer)


class _Work(QRunnable):
    def __init__(self, owner: LightCost, number: int, key: object, before: Plan, after: Plan) -> None:
        super().__init__()
        self._given = (number, key, before, after)
        self._owner = owner

    def run(self) -> None:
        self._owner.work(*self._given)
