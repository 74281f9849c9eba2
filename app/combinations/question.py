"""'What is the least that reaches N fc at this bench?': the question in one row, and its answer in words below.

The answer is worked out off the window's thread; an answer for a plan that has changed since is dropped.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.panels.entry import Choice
from app.panels.quantity import Quantity
from app.panels.words import words
from app.reading import Reading
from app.style import restyle
from app.suggest.runner import Runner
from core.combinations import Least, Wanted, least_combination, levels_in_words
from core.plan import Plan
from core.units import LUX_PER_FC, UnitSystem, show_illuminance, show_watts

__all__ = ["LeastQuestion"]

_MOST_LUX = 10_000.0 * LUX_PER_FC
_ROOM = "the whole room"


class LeastQuestion(QWidget):
    """Asks for the switch setting with the fewest watts that is light enough."""

    answered = Signal(object)  # Least

    def __init__(self, reading: Reading, units: UnitSystem) -> None:
        super().__init__()
        self._reading, self._units = reading, units
        self._asked_of: tuple[Plan, object] | None = None
        self.answer: Least | None = None
        tip = "The light that is wanted, initial or maintained as the table shows it"
        self.light = Quantity("the least that reaches", "light", 0.1, _MOST_LUX, tip)
        self.bench = Choice("at", tip="Which bench, or the whole room")
        self.where = Choice("as", [("average", False), ("darkest spot", True)], "Average, or every point of it")
        self.find_it = QPushButton("Find it")
        self.find_it.setAutoDefault(False)
        self.find_it.setToolTip("Find the switch setting with the fewest watts that reaches it")
        self.stop = QPushButton("Stop")
        self.stop.setAutoDefault(False)
        self.stop.setToolTip("Call the search off")
        self.stop.hide()
        self.said = words("", "small", "", wrap=True)
        self.said.hide()
        self._runner = Runner(self)
        self._lay_out()
        self._connect()
        self.light.set_units(units)
        self.light.set_value(reading.plan.targets.lux)
        self._lux = reading.plan.targets.lux
        self.refresh()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(12)
        for part in (self.light, self.bench, self.where):
            row.addWidget(part, 1, Qt.AlignmentFlag.AlignTop)
        for part, width in ((self.bench, 20), (self.where, 20), (self.light, 142)):
            part.label.setFixedWidth(width)
        row.addWidget(self.find_it, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.stop, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(row)
        column.addWidget(self.said)

    def _connect(self) -> None:
        self.light.entered.connect(self._take_light)
        self.light.line.returnPressed.connect(self.ask)
        self.find_it.clicked.connect(lambda _=False: self.ask())
        self.stop.clicked.connect(lambda _=False: self._runner.drop())
        self._runner.done.connect(self._take)
        self._runner.failed.connect(lambda text: self._say(text, "danger"))
        self._runner.busy_changed.connect(self._busy)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show foot-candles or lux."""
        self._units = units
        self.light.set_units(units)
        self.light.set_value(self._lux)
        if self.answer is not None:
            self._say_answer(self.answer)

    def refresh(self) -> None:
        """Follow the plan; an answer that was for another plan or light goes."""
        plan, chosen = self._reading.plan, self.bench.value()
        self.bench.set_options([*((bench.name, bench.id) for bench in plan.benches()), (_ROOM, "")])
        known = [bench.id for bench in plan.benches()] + [""]
        self.bench.set_value(chosen if chosen in known else known[0])
        if self.where.value() is None:
            self.where.set_value(False)
        if self._asked_of is not None and self._asked_of != self._now():
            self._runner.drop()
            self.answer, self._asked_of = None, None
            self.said.hide()

    def shutdown(self) -> None:
        """End what runs."""
        self._runner.shutdown()

    def ask(self) -> None:
        """Begin the search."""
        self.light.take()
        lighting, plan = self._reading.lighting, self._reading.plan
        if self.light.is_wrong:
            return
        if lighting is None or not plan.fixtures:
            said = "The light is still being worked out; ask again in a moment."
            self._say(said if plan.fixtures else "Nothing hangs here yet: drag fixtures onto the plan.", "danger")
            return
        wanted = Wanted(self._lux / self._reading.factor, self.bench.value() or "", bool(self.where.value()))
        self._asked_of = self._now()

        def job(progress: object, cancelled: Callable[[], bool], found: object) -> Any:
            try:
                return least_combination(plan, lighting, wanted, cancelled)
            except ValueError as problem:
                return str(problem)

        self._runner.start(job)

    def _now(self) -> tuple[Plan, object]:
        return self._reading.plan, self._reading.factor

    def _take_light(self, lux: float) -> None:
        self._lux = lux

    def _take(self, found: Any) -> None:
        if isinstance(found, str):
            self._say(found, "danger")
            return
        self.answer = found
        self._say_answer(found)
        self.answered.emit(found)

    def _say_answer(self, found: Least) -> None:
        factor, plan = self._reading.factor, self._reading.plan
        reached = show_illuminance(found.reached * factor, self._units)
        name = next((bench.name for bench in plan.benches() if bench.id == found.wanted.bench), _ROOM)
        how = "at its darkest spot" if found.wanted.everywhere else "on average"
        light = f"{reached} {self._reading.kind} light {how} at {name}"
        if found.is_enough:
            self._say(f"{levels_in_words(found.levels)}, {show_watts(found.watts)}: {light}.", "good")
            return
        short = show_illuminance(found.short * factor, self._units)
        self._say(f"No setting reaches it. Everything on gives {light}: {short} short.", "warn")

    def _say(self, text: str, tone: str) -> None:
        self.said.setText(text)
        self.said.setProperty("role", tone)
        restyle(self.said)
        self.said.setVisible(bool(text))

    def _busy(self, busy: bool) -> None:
        self.find_it.setVisible(not busy)
        self.stop.setVisible(busy)
