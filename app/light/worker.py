"""One thread that computes light: the newest request wins, an older one is called off between its pieces of work.

A request is a frozen value with a number. What comes of it arrives on the thread of the `Worker` object, and only while
it is still the newest. A failure is a result too.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from threading import Event
from time import monotonic
from typing import Protocol

from PySide6.QtCore import QObject, Signal

from core.light.field import Lighting
from core.light.keys import room_key
from core.plan import Plan

__all__ = ["Engine", "Result", "Worker", "in_plain_words"]

_TELL_S = 0.08
_log = logging.getLogger(__name__)


class Engine(Protocol):
    """What is asked of the light engine; `solve` on any thread."""

    def solve(
        self,
        plan: Plan,
        *,
        quick: bool = False,
        progress: Callable[[float, str], None] | None = None,
        cancelled: Callable[[], bool] | None = None,
    ) -> Lighting:
        """Return the light of a plan; an exception of its own when it is called off."""

    def make_ready_to_drag(self, plan: Plan, *, cancelled: Callable[[], bool] | None = None) -> None:
        """Lay a solved room out, so that `follow` can answer; an exception of its own when it is called off."""

    def follow(self, base: Lighting, plan: Plan, *, finely: bool = False) -> Lighting | None:
        """Return the light after fixtures moved, in a few milliseconds; None where the room changed."""


@dataclass(frozen=True)
class _Request:
    number: int
    plan: Plan
    passes: tuple[bool, ...]  # quick or not, in order
    off: Event = field(default_factory=Event)


@dataclass(frozen=True)
class Result:
    """What came of one pass: light, or None and a failure in plain words. ``is_last`` ends the request."""

    number: int
    lighting: Lighting | None
    failure: str
    is_last: bool


class Worker(QObject):
    """Computes one plan at a time in the background."""

    arrived = Signal(object)  # Result of the newest request
    progress = Signal(float, str)  # share of the pass, and what is being worked out

    _done = Signal(object)
    _went_on = Signal(int, float, str)

    def __init__(self, engine: Engine, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._engine = engine
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="light")
        self._request: _Request | None = None
        self._future: Future[None] | None = None
        self._readying: tuple[Plan, Event] | None = None
        self._number = 0
        self._done.connect(self._take)
        self._went_on.connect(self._tell)

    @property
    def plan(self) -> Plan | None:
        """The plan that is being computed."""
        return self._request.plan if self._request is not None else None

    def begin(self, plan: Plan, quick_first: bool) -> None:
        """Compute a plan in the place of what was being computed: a quick picture first if wanted, then full."""
        self.call_off()
        if self._is_readying_other_than(plan):
            self._leave_unready()
        self._number += 1
        self._request = _Request(self._number, plan, (True, False) if quick_first else (False,))
        self._future = self._pool.submit(self._work, self._request)

    def make_ready(self, plan: Plan) -> None:
        """Prepare a solved plan for dragging, after what is being computed."""
        if self._is_readying_other_than(plan):
            self._leave_unready()
        self._readying = self._readying or (plan, Event())
        self._future = self._pool.submit(self._make_ready, *self._readying)

    def _is_readying_other_than(self, plan: Plan) -> bool:
        return self._readying is not None and room_key(self._readying[0]) != room_key(plan)

    def _leave_unready(self) -> None:
        """Prepare nothing more for drags: the room has changed."""
        if self._readying is not None:
            self._readying[1].set()
            self._readying = None

    def call_off(self) -> None:
        """Drop the present request; its thread stops at the next piece of work."""
        if self._request is not None:
            self._request.off.set()
            self._request = None

    def wait(self) -> None:
        """Wait until the thread is free."""
        if self._future is not None:
            wait([self._future])

    def shutdown(self) -> None:
        """Call off what runs and wait for the thread's end."""
        self.call_off()
        self._leave_unready()
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _work(self, request: _Request) -> None:
        for quick in request.passes:
            result = self._pass(request, quick)
            if request.off.is_set():
                return
            self._done.emit(result)
            if result.is_last:
                return

    def _make_ready(self, plan: Plan, off: Event) -> None:
        if off.is_set():
            return
        try:
            self._engine.make_ready_to_drag(plan, cancelled=off.is_set)
        except Exception:
            # A drag then falls back on the worker, which tells the user if it fails as well.
            if not off.is_set():
                _log.exception("preparing the plan %r for dragging", plan.name)

    def _pass(self, request: _Request, quick: bool) -> Result:
        told = 0.0

        def tell(share: float, what: str) -> None:
            nonlocal told
            now = monotonic()
            # Often enough to be seen moving; more would keep the window busy, and this thread from its turn.
            if now - told >= _TELL_S and not request.off.is_set():
                told = now
                self._went_on.emit(request.number, share, what)

        try:
            light = self._engine.solve(request.plan, quick=quick, progress=tell, cancelled=request.off.is_set)
        except Exception as problem:
            # A solve that is called off ends by an exception too; nobody waits for that one.
            if not request.off.is_set():
                _log.exception("light of the plan %r", request.plan.name)
            return Result(request.number, None, in_plain_words(problem), True)
        return Result(request.number, light, "", quick == request.passes[-1])

    def _take(self, result: Result) -> None:
        if self._request is None or result.number != self._request.number:
            return
        if result.is_last:
            self._request = None
        self.arrived.emit(result)

    def _tell(self, number: int, share: float, what: str) -> None:
        if self._request is not None and number == self._request.number:
            self.progress.emit(share, what)


def in_plain_words(problem: Exception) -> str:
    """Return a failure in the user's words: the core's own sentence where it has one, and what to do."""
    if isinstance(problem, MemoryError):
        return "The light could not be computed: memory is full. Close other programs, or plan a smaller room."
    if isinstance(problem, ValueError) and str(problem).rstrip().endswith("."):
        return f"The light could not be computed. {problem}"
    return (
        "The light could not be computed for this plan; the picture is the one from before the change. "
        "Undo the change, or save the plan and open it again."
    )
