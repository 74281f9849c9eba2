"""The light for the sheet's pages, worked out aside: pictures' light, findings of kept settings, what moves cost."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal

from app.ceiling.aside import Aside
from app.checks.background import Background
from app.prints.ceiling.light_page import SheetLight
from app.solver import Solver
from core.ceiling import CeilingSheet, as_built_plan, costs_of
from core.checks.checker import Checker
from core.checks.findings import findings
from core.checks.study import Study
from core.light.engine import LightEngine
from core.plan import Plan
from core.report.combinations import ALL_ON, reported_combinations

__all__ = ["LightOfSheet"]

_REST_MS = 500  # entries come one after the other; the light is begun when they rest


class LightOfSheet(QObject):
    """Works out a `SheetLight` for the newest sheet; ``ready`` brings the sheet and it, or None where it failed."""

    ready = Signal(object, object)

    def __init__(self, solver: Solver, background: Background | None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._solver, self._background = solver, background
        self._aside = Aside(self)
        self._aside.answered.connect(self.ready)
        self._checker = Checker(solver.engine) if isinstance(solver.engine, LightEngine) else None
        self._waiting: CeilingSheet | None = None
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._begin_unless_window_is_at_it)
        if background is not None:
            background.busy_changed.connect(self._begin_unless_window_is_at_it)

    @property
    def is_busy(self) -> bool:
        """Whether it is being worked out, or waits for the findings of the window."""
        return self._waiting is not None or self._aside.is_busy

    def ask(self, sheet: CeilingSheet) -> None:
        """Begin soon, or wait for the study that the window makes of the same plan."""
        self.call_off()
        self._waiting = sheet
        self._rest.start()

    def hurry(self) -> None:
        """Begin at once: somebody waits for it."""
        self._rest.stop()
        self._begin_unless_window_is_at_it()

    def call_off(self) -> None:
        """Give up what is being worked out."""
        self._rest.stop()
        self._waiting = None
        self._aside.call_off()

    def finish(self) -> None:
        """Give up what is being worked out, and wait for its end."""
        self.call_off()
        self._aside.finish()

    def _begin_unless_window_is_at_it(self) -> None:
        sheet, background = self._waiting, self._background
        if sheet is None or self._rest.isActive():
            return
        if background is None or not background.is_busy or as_built_plan(sheet) is not sheet.plan:
            self._begin_waiting()

    def _begin_waiting(self) -> None:
        sheet, self._waiting = self._waiting, None
        if sheet is not None:
            self._aside.ask(sheet, self._work(as_built_plan(sheet), self._study_at_hand(sheet.plan)))

    def _study_at_hand(self, plan: Plan) -> Study | None:
        found = self._background.found if self._background is not None else None
        study = found.study if found is not None else None
        return study if study is not None and study.plan is plan else None

    def _work(self, plan: Plan, study: Study | None) -> Callable[[Callable[[], bool]], SheetLight]:
        engine, checker = self._solver.engine, self._checker

        def work(is_old: Callable[[], bool]) -> SheetLight:
            lighting = engine.solve(plan, cancelled=is_old)
            known = study
            if known is None or known.plan is not plan:
                known = checker.study(plan, lighting, cancelled=is_old) if checker is not None else None
            told = []
            for setting in reported_combinations(plan):
                if known is not None and (setting.is_kept or setting.name == ALL_ON):
                    told += findings(known, setting.name, setting.levels)
            costs = costs_of(plan, lighting, lambda moved: engine.solve(moved, cancelled=is_old))
            return SheetLight(plan, lighting, told, costs)

        return work
