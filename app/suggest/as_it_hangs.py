"""What can be made better of the fixtures that hang already: nudged rows, and what is on which switch."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import ShortCombo
from app.panels.quantity import Quantity
from app.suggest.amounts import nudge_text, switching_text
from app.suggest.runner import Runner
from core.light.engine import LightEngine
from core.plan import Plan
from core.suggest.improve import Better, Nudge, nudged, works_at_a_bench
from core.suggest.switching import Switching, proposed_switches
from core.units import FOOT, INCH, UnitSystem, show_length

__all__ = ["AsItHangs"]

_BETTER: tuple[tuple[Better, str, str], ...] = (
    (
        "dark spots",
        "so that dark spots get lighter",
        "Shift the present rows, by this distance at the most, so that dark spots get lighter",
    ),
    (
        "body shadow",
        "so that your body shades the work less",
        "Shift the present rows, by this distance at the most, so that the worker’s body takes less of the light at "
        "the benches; the darkest spot keeps 95 % of its light",
    ),
)
_NOBODY = "Nobody stands at a bench of this plan; say at which side of a bench the worker stands"


class AsItHangs(QWidget):
    """Looks for something better than what hangs now, and puts it into the plan as one step of undo.

    ``switch_count`` returns for how many switches is asked, None where that field cannot be read.
    """

    began = Signal(object)  # the Plan that is looked at
    said = Signal(str)
    complained = Signal(str)

    def __init__(
        self,
        document: Document,
        engine: LightEngine,
        runner: Runner,
        units: UnitSystem,
        switch_count: Callable[[], int | None],
    ) -> None:
        super().__init__()
        self._document, self._engine, self._runner, self._units = document, engine, runner, units
        self._switch_count = switch_count
        self._looked_at: Plan | None = None
        self.found: Nudge | Switching | None = None
        self._tolerance = FOOT
        self.nudge = QPushButton("Nudge what hangs now")
        self.better = ShortCombo()
        self.better.setAccessibleName("What a nudge betters")
        self.better.addItems([text for _, text, _ in _BETTER])
        self.tolerance = Quantity("by at most", "length", 0.5 * INCH, 10 * FOOT, "How far a fixture may be moved")
        self.tolerance.set_units(units)
        self.tolerance.set_value(self._tolerance)
        self.take_nudge = QPushButton("Move them so")
        self.switches = QPushButton("Propose switches")
        self.switches.setToolTip(
            "Share what hangs now out to as many switches as are asked for, each as even as it gets"
        )
        self.take_switches = QPushButton("Switch them so")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        for part in (self.nudge, self.better, self.tolerance, self.take_nudge, self.switches, self.take_switches):
            column.addWidget(part)
        self.clear()
        self.nudge.clicked.connect(self.try_nudge)
        self.take_nudge.clicked.connect(self._use_nudge)
        self.better.currentIndexChanged.connect(lambda _: self._explain())
        self.tolerance.entered.connect(self._take_tolerance)
        self.switches.clicked.connect(self.try_switches)
        self.take_switches.clicked.connect(self._use_switches)
        self.follow(document.settled_plan)

    def follow(self, plan: Plan) -> None:
        """Offer what the plan has a use for: body shadow only where somebody stands at a bench."""
        can = works_at_a_bench(plan)
        self.better.setEnabled(can)
        if not can:
            self.better.setCurrentIndex(0)
        self._explain()

    def _explain(self) -> None:
        tip = _BETTER[self.better.currentIndex()][2]
        self.nudge.setToolTip(tip)
        self.better.setToolTip(tip if self.better.isEnabled() else _NOBODY)

    def set_units(self, units: UnitSystem) -> None:
        """Show feet and foot-candles, or metric."""
        self._units = units
        self.tolerance.set_units(units)
        self.tolerance.set_value(self._tolerance)

    def set_busy(self, busy: bool) -> None:
        """Let nothing be begun while something runs."""
        self.nudge.setEnabled(not busy)
        self.switches.setEnabled(not busy)

    def clear(self) -> None:
        """Forget what was found."""
        self.found = None
        self.take_nudge.hide()
        self.take_switches.hide()

    def _take_tolerance(self, value: float) -> None:
        self._tolerance = value

    # --- asking

    def try_nudge(self) -> None:
        """Look for a better place for what hangs now."""
        self.tolerance.take()
        if self.tolerance.is_wrong:
            return
        plan, engine, most = self._begin(), self._engine, self._tolerance
        better = _BETTER[self.better.currentIndex()][0]
        self._runner.start(
            lambda progress, cancelled, _found: nudged(
                plan, most, engine, better=better, progress=progress, cancelled=cancelled
            )
        )

    def try_switches(self) -> None:
        """Look for switches for what hangs now."""
        count = self._switch_count()
        if count is None:
            return
        plan, engine = self._begin(), self._engine
        self._runner.start(lambda _progress, cancelled, _found: proposed_switches(plan, count, engine, cancelled))

    def _begin(self) -> Plan:
        plan = self._looked_at = self._document.settled_plan
        self.began.emit(plan)
        return plan

    # --- what came of it

    def show_found(self, found: Nudge | Switching) -> None:
        """Say what was found, and offer it where it is better."""
        self.found = found
        if isinstance(found, Switching):
            self.take_switches.setVisible(found.is_better)
            self.said.emit(switching_text(found))
            return
        self.take_nudge.setVisible(bool(found.moves))
        self.said.emit(nudge_text(found, show_length(self._tolerance, self._units), self._units))

    def _use_nudge(self) -> None:
        if isinstance(self.found, Nudge):
            self._put("Nudge the fixtures", self.found.plan, "nudge again")
        self.take_nudge.hide()

    def _use_switches(self) -> None:
        if isinstance(self.found, Switching):
            self._put("Share out the switches", self.found.plan, "propose switches again")
        self.take_switches.hide()

    def _put(self, step: str, plan: Plan, again: str) -> None:
        if self._looked_at is self._document.settled_plan:
            self._document.apply(step, plan)
        else:
            self.complained.emit(f"The plan has changed since; {again}.")
