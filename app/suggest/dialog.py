"""'Place them for me': ask, look on while answers come, take one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.reading_matter import CAUTION_IN_SHORT
from app.document import Document
from app.panels.words import rule, upright, words
from app.suggest.amounts import amount, hidden_price
from app.suggest.answer_card import AnswerCard
from app.suggest.as_it_hangs import AsItHangs
from app.suggest.form import RequestForm
from app.suggest.runner import Runner
from app.theme import Theme
from core.light.engine import LightEngine
from core.plan import Model, Plan
from core.plan.alternatives import AlternativeError, free_name, with_copy_aside
from core.suggest.answer import Answer, Hindrance, Result, with_answer
from core.suggest.answers import suggest
from core.suggest.improve import Nudge
from core.suggest.request import replaced_ids
from core.suggest.switching import Switching
from core.units import UnitSystem

__all__ = ["PlaceDialog"]

_HINDRANCES = 3


class PlaceDialog(QDialog):
    """Stays open beside the window; what is taken is an ordinary step of undo."""

    used = Signal(str)  # what hangs now
    compare_wanted = Signal(object, object)  # Plan as it is, Plan with an answer

    def __init__(
        self,
        document: Document,
        engine: LightEngine,
        models: Callable[[], Sequence[Model]],
        theme: Theme,
        units: UnitSystem,
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._document, self._engine, self._models = document, engine, models
        self._theme, self._units = theme, units
        self._asked_of: Plan | None = None
        self.cards: list[AnswerCard] = []
        self.setWindowTitle("Place them for me")
        self.runner = Runner(self)
        self.form = RequestForm(units)
        self.form.set_plan(document.settled_plan, models())
        self.hanging = AsItHangs(document, engine, self.runner, units, self._switch_count)
        self._make_parts()
        self._lay_out()
        self._connect()
        self.resize(940, 720)

    def _make_parts(self) -> None:
        self.look = QPushButton("Look for layouts")
        self.look.setDefault(True)
        self.halt = QPushButton("Stop")
        self.halt.setEnabled(False)
        self.halt.setToolTip("End the search and keep what was found")
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setRange(0, 100)
        self.doing = words("", "small", "muted", wrap=True)
        self.bound = words("", "small", "muted", wrap=True)
        self.trouble = words("", tone="warn", wrap=True)
        self.trouble.hide()
        self.empty = words("Say what the light must reach, and look for layouts.", tone="muted", wrap=True)
        self.list = QVBoxLayout()
        self.list.setSpacing(0)
        self.list.addWidget(self.empty)
        self.list.addStretch(1)

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        fields = QScrollArea()
        fields.setWidgetResizable(True)
        fields.setFrameShape(QFrame.Shape.NoFrame)
        fields.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        fields.setWidget(self.form)
        fields.setFixedWidth(292)
        left.addWidget(fields, 1)
        searching = QHBoxLayout()
        searching.addWidget(self.look, 1)
        searching.addWidget(self.halt)
        left.addLayout(searching)
        left.addWidget(self.hanging)
        right = QVBoxLayout()
        scroll = self.pages = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        inner = QWidget()
        inner.setLayout(self.list)
        scroll.setWidget(inner)
        right.addWidget(self.bar)
        right.addWidget(self.doing)
        right.addWidget(self.trouble)
        right.addWidget(scroll, 1)
        right.addWidget(self.bound)
        line = QHBoxLayout()
        line.setSpacing(16)
        line.addLayout(left)
        line.addWidget(upright())
        line.addLayout(right, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 12)
        column.setSpacing(8)
        column.addLayout(line, 1)
        column.addWidget(rule())
        column.addWidget(words(CAUTION_IN_SHORT, "small", "muted", wrap=True))

    def _connect(self) -> None:
        self.look.clicked.connect(self.search)
        self.halt.clicked.connect(self.runner.stop)
        self.hanging.began.connect(self._begin)
        self.hanging.said.connect(self.empty.setText)
        self.hanging.complained.connect(self._complain)
        self._document.changed.connect(self._follow)
        self.runner.progress.connect(self._tell)
        self.runner.found.connect(self._show)
        self.runner.done.connect(self._finished)
        self.runner.failed.connect(self._complain)
        self.runner.busy_changed.connect(self._set_busy)
        self.finished.connect(lambda _=0: self.runner.drop())

    def set_theme(self, theme: Theme) -> None:
        """Change colours; pictures that are shown follow with the next answer."""
        self._theme = theme

    def set_units(self, units: UnitSystem) -> None:
        """Show feet and foot-candles, or metric."""
        if units is not self._units:
            self._units = units
            self.form.set_units(units)
            self.hanging.set_units(units)

    def shutdown(self) -> None:
        """End what runs."""
        self.runner.shutdown()

    # --- asking

    def search(self) -> None:
        """Begin to look for what the fields ask."""
        request = self.form.request()
        if self.form.is_wrong:
            self._complain("One of the fields cannot be read; see what it says under it.")
            return
        plan, engine, catalogue = self._document.settled_plan, self._engine, tuple(self._models())
        self._begin(plan)
        self.runner.start(
            lambda progress, cancelled, found: suggest(
                plan, request, engine, catalogue=catalogue, progress=progress, cancelled=cancelled, found=found
            )
        )

    def _switch_count(self) -> int | None:
        count = self.form.request().groups
        return None if self.form.switches.is_wrong else count

    def _follow(self, _old: Plan, new: Plan) -> None:
        self.form.follow(new)
        self.hanging.follow(new)

    # --- what comes

    def _begin(self, plan: Plan) -> None:
        self._asked_of = plan
        self._complain("")
        self.hanging.clear()
        self.bound.setText("")
        self._put_cards(())

    def _tell(self, share: float, what: str) -> None:
        self.bar.setValue(round(100 * share))
        self.doing.setText(f"{what[:1].upper()}{what[1:]}…")

    def _set_busy(self, busy: bool) -> None:
        self.look.setEnabled(not busy)
        self.hanging.set_busy(busy)
        self.halt.setEnabled(busy)
        self.bar.setVisible(busy)
        if not busy:
            self.doing.setText("")

    def _complain(self, text: str) -> None:
        self.trouble.setText(text)
        self.trouble.setVisible(bool(text))

    def _show(self, result: Result) -> None:
        self._put_cards(result.answers)
        lines = []
        if result.bound is not None and result.answers:
            grid = result.grid_in_words(self._units)
            model = result.answers[0].model.name
            lines.append(f"No layout of {model} on a grid of {grid} does it with fewer than {result.bound}.")
        if price := hidden_price(result):
            lines.append(price)
        if result.limit_hit:
            lines.append("The clock ended the search; a slower or faster machine may find another answer.")
        self.bound.setText(" ".join(lines))
        said = [self._hindrance(part) for part in result.in_the_way[:_HINDRANCES]]
        more = len(result.in_the_way) - len(said)
        self._complain("\n".join([*said, *([f"And {more} more like these."] if more else [])]))

    def _finished(self, result: Result | Nudge | Switching) -> None:
        if not isinstance(result, Result):
            self.hanging.show_found(result)
            return
        self._show(result)
        if not result.answers:
            self.empty.setText("No layout was found. Ask for less, allow more fixtures, or choose a stronger one.")
        elif result.is_stopped:
            self.doing.setText("Stopped; this is what was found.")

    def _hindrance(self, part: Hindrance) -> str:
        if part.what == "place":
            return "Nothing of this size fits on the ceiling; allow it nearer to the walls."
        wanted, reached = (amount(part.what, value, self._units) for value in (part.wanted, part.reached))
        most = "at the most" if part.is_proven else "was found"
        return f"In the way: {part.what} at {part.where_in_words(self._units)}: {reached} {most}, {wanted} was asked."

    def _put_cards(self, answers: Sequence[Answer]) -> None:
        for card in self.cards:
            self.list.removeWidget(card)
            card.hide()
            card.deleteLater()
        self.cards = []
        plan = self._asked_of or self._document.settled_plan
        for number, answer in enumerate(answers):
            card = AnswerCard(plan, answer, self._theme, self._units)
            card.use_wanted.connect(self.use)
            card.aside_wanted.connect(self.use_aside)
            card.compare_wanted.connect(self._compare)
            self.list.insertWidget(number, card)
            card.show()
            self.cards.append(card)
        self.empty.setVisible(not self.cards)
        self.pages.verticalScrollBar().setValue(0)

    # --- taking

    def use(self, answer: Answer) -> None:
        """Put an answer in place of what hangs on the ceiling, as one step of undo."""
        self._put(answer, self._document.settled_plan)

    def use_aside(self, answer: Answer) -> None:
        """Keep what hangs now as a layout of its own and go on with an answer, as one step of undo."""
        plan = self._document.settled_plan
        name = free_name(plan, f"{answer.count} of {answer.model.name}")
        try:
            self._put(answer, with_copy_aside(plan, name))
        except AlternativeError as problem:
            self._complain(str(problem))

    def _put(self, answer: Answer, onto: Plan) -> None:
        plan = with_answer(onto, answer)
        # What makes way leaves its ids behind, which new fixtures may get.
        stays = {fixture.id for fixture in onto.fixtures} - set(replaced_ids(onto))
        new = [fixture.id for fixture in plan.fixtures if fixture.id not in stays]
        self._document.apply(f"Place {answer.count} of {answer.model.name}", plan, select=new)
        for card in self.cards:
            card.hangs.setVisible(card.answer is answer)
        self.used.emit(f"{answer.count} of {answer.model.name} hang now, and every switch is fully on.")

    def _compare(self, answer: Answer) -> None:
        plan = self._document.settled_plan
        self.compare_wanted.emit(plan, with_answer(plan, answer))
