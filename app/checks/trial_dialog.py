"""Try a lamp before buying: where to tape one up, where to read, and its lumens corrected by what was read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.checks.fields import units_of
from app.document import Document
from app.panels.entry import Choice
from app.panels.quantity import Quantity
from app.panels.words import words
from app.style import restyle
from app.suggest.runner import Runner
from core.light.engine import LightEngine
from core.metering.calibrate import with_light_factor
from core.metering.walk import Trial, trial
from core.plan import Fixture, Plan

__all__ = ["TrialDialog"]

_MOST = 1_000_000.0
_NO_FIXTURE = (
    "There is no fixture on the plan. Put the lamp that you have, or mean to buy one of, where you can tape it up, "
    "then come back."
)


class TrialDialog(QDialog):
    """One fixture of the plan: hung alone, read below, and its model corrected as one step of undo."""

    def __init__(self, document: Document, engine: LightEngine, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._engine = document, engine
        self._trial: Trial | None = None
        self._lux: float | None = None
        self._dark_lux: float = 0.0
        self.setWindowTitle("Try a lamp before buying")
        self.which = Choice("fixture", tip="The lamp that you have, where it can be taped up")
        self.told = words("", wrap=True)
        self.read = Quantity("you read", "light", 0.0, _MOST, "With only this lamp on", empty=True)
        self.dark = Quantity("lights off", "light", 0.0, _MOST, "At the same place with all lights off")
        self.outcome = words("", wrap=True)
        self.correct = QPushButton("Correct this model's lumens")
        self.correct.setAutoDefault(False)
        self.correct.setEnabled(False)
        self.runner = Runner(self)
        self._lay_out()
        self._connect()
        self.resize(520, 380)
        self._fill()

    def _lay_out(self) -> None:
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.correct)
        foot.addWidget(close)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        for part in (self.which, self.told, self.read, self.dark, self.outcome):
            column.addWidget(part)
        column.addStretch(1)
        column.addLayout(foot)

    def _connect(self) -> None:
        self.which.chosen.connect(self.begin)
        self.read.entered.connect(lambda value: self._judge(value, self._dark_lux))
        self.dark.entered.connect(self._set_dark)
        self.correct.clicked.connect(self.apply)
        self.runner.done.connect(self._take)
        self.runner.failed.connect(lambda text: self.told.setText(text))
        self.finished.connect(lambda _=0: self.runner.shutdown())

    def _fill(self) -> None:
        plan, chosen = self._document.settled_plan, self._document.selection
        units = units_of(plan)
        for row in (self.read, self.dark):
            row.set_units(units)
        self.dark.set_value(0.0)
        self.which.set_options((_name(plan, fixture), fixture.id) for fixture in plan.fixtures)
        first = next((f.id for f in plan.fixtures if f.id in chosen), plan.fixtures[0].id if plan.fixtures else None)
        self.which.set_value(first)
        for part in (self.which, self.read, self.dark):
            part.setEnabled(first is not None)
        if first is None:
            self.told.setText(_NO_FIXTURE)
        else:
            self.begin(first)

    def begin(self, fixture: str) -> None:
        """Work out what to expect of a fixture."""
        plan, engine = self._document.settled_plan, self._engine
        self._trial = None
        self._judge(None, self._dark_lux)
        self.told.setText("What to expect is being worked out…")

        def work(_progress: Any, cancelled: Callable[[], bool], _found: Any) -> Trial | str:
            try:
                return trial(plan, fixture, engine, cancelled)
            except ValueError as problem:
                return str(problem)

        self.runner.start(work)

    def _take(self, result: Trial | str) -> None:
        self._trial = result if isinstance(result, Trial) else None
        self.told.setText(result.words if isinstance(result, Trial) else result)
        self._judge(self._lux, self._dark_lux)

    def _set_dark(self, value: float) -> None:
        self._judge(self._lux, value)

    def _judge(self, lux: float | None, dark: float) -> None:
        """Say what a reading means, or what is wrong with it."""
        self._lux, self._dark_lux = lux, dark
        text, tone = "", ""
        if self._trial is not None and lux is not None:
            try:
                text = self._meaning(self._trial, self._trial.factor(lux, dark))
            except ValueError as problem:
                text, tone = str(problem), "danger"
        self.outcome.setText(text)
        self.outcome.setProperty("role", tone)
        restyle(self.outcome)
        self.correct.setEnabled(bool(text) and not tone)

    def _meaning(self, tried: Trial, times: float) -> str:
        plan = self._document.settled_plan
        model, meter = plan.model(tried.fixture.model), plan.checking.meter_share
        lumens = plan.setting(tried.fixture).lumens
        return (
            f"You read {times:.2f} times what was expected; with a meter that may be off by {100 * meter:g} %, "
            f"{times * (1 - meter):.2f} to {times * (1 + meter):.2f}. {model.name} then gives {lumens * times:,.0f} lm "
            f"in place of {lumens:,.0f} lm."
        )

    def apply(self) -> None:
        """Multiply the lumens of the fixture's model, as one step of undo."""
        if self._trial is None or self._lux is None:
            return
        plan, model = self._document.settled_plan, self._trial.fixture.model
        times = self._trial.factor(self._lux, self._dark_lux)
        self._document.apply(
            f"Correct {plan.model(model).name}, times {times:.2f}", with_light_factor(plan, times, (model,))
        )
        self.read.set_value(None)
        self.begin(self._trial.fixture.id)


def _name(plan: Plan, fixture: Fixture) -> str:
    return fixture.name or f"{plan.model(fixture.model).name} ({fixture.id}, switch {fixture.group})"
