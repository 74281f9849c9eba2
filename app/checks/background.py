"""The checks follow the plan in the background: one thread, the newest request wins, an older one is called off.

A settled change begins a study once its full light is there; a turned switch only reads the study that is at hand. The
window never waits; what arrives for an older plan or setting is dropped. A failure is a result too.
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from threading import Event

from PySide6.QtCore import QCoreApplication, QObject, QTimer, Signal

from app.document import Document
from app.light.worker import in_plain_words
from app.reading import Reading
from app.solver import Solver
from core.ceiling.as_findings import ceiling_findings
from core.checks.checker import Checker
from core.checks.finding import Finding, in_order
from core.checks.findings import findings
from core.checks.study import Study
from core.light.engine import LightEngine
from core.light.field import Lighting
from core.light.roomlight import Cancelled
from core.plan import Plan
from core.wiring.as_findings import wiring_findings

__all__ = ["Background", "Found"]

_REST_MS = 250
_NO_LIGHT = (
    "The light of this plan was not worked out, so its shadows and glare are not known. Change something to try again."
)
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class _Request:
    number: int
    plan: Plan
    lighting: Lighting
    setting: str
    levels: Mapping[str, float]
    factor: float
    off: Event = field(default_factory=Event)


@dataclass(frozen=True)
class Found:
    """What came of one request: the study and the findings at the setting, or a failure in plain words."""

    number: int
    study: Study | None
    setting: str
    levels: Mapping[str, float]
    findings: tuple[Finding, ...]
    failure: str = ""


class Background(QObject):
    """Keeps the findings of the document's plan at the present switch setting."""

    arrived = Signal(object)  # Found of the newest request
    busy_changed = Signal(bool)

    _done = Signal(object)

    def __init__(self, document: Document, reading: Reading, solver: Solver, engine: LightEngine) -> None:
        super().__init__(solver)
        self._document, self._reading, self._solver = document, reading, solver
        self._checker = Checker(engine)
        self._pool = ThreadPoolExecutor(max_workers=1, thread_name_prefix="checks")
        self._request: _Request | None = None
        self._future: Future[None] | None = None
        self._number = 0
        self._closed = self._busy = False
        self.found: Found | None = None
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._begin)
        self._done.connect(self._take)
        reading.changed.connect(self._ask)
        document.history_changed.connect(self._ask)
        document.changed.connect(self._plan_changed)
        solver.busy_changed.connect(self._ask)
        app = QCoreApplication.instance()
        if app is not None:
            app.aboutToQuit.connect(self.shutdown)

    @property
    def is_busy(self) -> bool:
        """Whether findings are being worked out, or wait to be."""
        return self._busy

    def shutdown(self) -> None:
        """Call off what runs and wait for its end."""
        if not self._closed:
            self._closed = True
            self._rest.stop()
            self._call_off()
            self._pool.shutdown(wait=True, cancel_futures=True)

    def _ask(self) -> None:
        if self._closed:
            return
        self._call_off()
        self._rest.start()
        self._set_busy(True)

    def _plan_changed(self) -> None:
        if not self._document.in_gesture:  # also a gesture that was given up: no other signal tells that
            self._ask()

    def _set_busy(self, busy: bool) -> None:
        if busy != self._busy:
            self._busy = busy
            self.busy_changed.emit(busy)

    def _call_off(self) -> None:
        if self._request is not None:
            self._request.off.set()
            self._request = None

    def _begin(self) -> None:
        """Begin, if the plan is at rest and its full light is there; what is awaited asks again when it comes."""
        if self._closed or self._document.in_gesture or self._solver.is_busy:
            return
        self._number += 1
        lighting, plan, levels = self._solver.lighting, self._document.plan, dict(self._reading.levels)
        name = setting_name(plan, levels)
        if lighting is None or not lighting.is_full or self._solver.is_stale:
            self._end(Found(self._number, None, name, levels, (), _NO_LIGHT))
            return
        self._request = _Request(self._number, plan, lighting, name, levels, self._reading.factor)
        self._future = self._pool.submit(self._work, self._request)

    def _work(self, request: _Request) -> None:
        try:
            study = self._checker.study(request.plan, request.lighting, cancelled=request.off.is_set)
            of_light = findings(study, request.setting, request.levels, request.factor)
            found = in_order([*of_light, *ceiling_findings(request.plan), *wiring_findings(request.plan)])
            result = Found(request.number, study, request.setting, request.levels, tuple(found))
        except Cancelled:
            return
        except Exception as problem:
            if request.off.is_set():
                return
            _log.exception("checks of the plan %r", request.plan.name)
            words = in_plain_words(problem).replace("The light could", "Shadows and glare could")
            result = Found(request.number, None, request.setting, request.levels, (), words)
        if not request.off.is_set():
            self._done.emit(result)

    def _take(self, result: Found) -> None:
        if self._closed or self._request is None or result.number != self._request.number:
            return
        self._end(result)

    def _end(self, result: Found) -> None:
        self._request = None
        self.found = result
        self.arrived.emit(result)
        self._set_busy(False)


def setting_name(plan: Plan, levels: Mapping[str, float]) -> str:
    """Return what a setting is called: a kept combination's name, 'All on', or the letters that are on."""
    lit = {letter: share for letter, share in levels.items() if share > 0.0}
    for kept in plan.combinations:
        if {k: v for k, v in kept.shares().items() if v > 0.0} == lit:
            return kept.name
    if lit and len(lit) == len(levels) and all(share >= 1.0 for share in lit.values()):
        return "All on"
    return (
        " and ".join(letter if share >= 1.0 else f"{letter} at {share:.0%}" for letter, share in lit.items())
        or "All off"
    )
