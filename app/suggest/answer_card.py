"""One answer: a small plan with its light, its figures, and what can be done with it."""

from __future__ import annotations

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout

from app.panels.words import words
from app.suggest.amounts import amount, comfort_text, left_out_text
from app.suggest.picture import PlanPicture
from app.theme import Theme
from core.plan import Plan
from core.suggest.answer import Answer, Hindrance, with_answer
from core.suggest.request import replaced_ids
from core.units import UnitSystem, show_illuminance, show_ratio, show_watts

__all__ = ["AnswerCard"]

_KINDS = {
    "one row": "One row",
    "even rows": "Even rows",
    "around the walls": "Along the walls",
    "lighter middle": "Fewer in the middle",
    "rows of their own": "Rows of different length",
    "rows where they help most": "Rows where they help most",
    "rows, unevenly spaced": "Rows, unevenly spaced",
    "free": "Free places on the grid",
    "free, mirrored": "Free places, mirrored",
}


class AnswerCard(QFrame):
    """Asks by signals to be used or compared."""

    use_wanted = Signal(object)
    compare_wanted = Signal(object)
    aside_wanted = Signal(object)

    def __init__(self, plan: Plan, answer: Answer, theme: Theme, units: UnitSystem) -> None:
        super().__init__()
        self.answer = answer
        self.picture = PlanPicture(theme, QSize(220, 180))
        self.picture.show_plan(_only(plan, answer), answer.lighting)
        count = words(f"{answer.count} of {answer.model.name}", strong=True, wrap=True)
        kind = words(_KINDS.get(answer.kind, answer.kind), tone="muted", wrap=True)
        self.figures = words(figures_text(answer, units), wrap=True)
        self.comfort = words(comfort_text(plan, answer), "small", wrap=True)
        self.comfort.setVisible(bool(self.comfort.text()))
        self.left_out = words(left_out_text(answer, units), "small", wrap=True)
        self.left_out.setVisible(bool(self.left_out.text()))
        money = f"{plan.buying.currency}{answer.cost:,.0f}, " if answer.cost else ""
        cost = words(f"{money}{show_watts(answer.watts)}", tone="muted")
        self.staying = words(staying_text(plan), "small", "muted", wrap=True)
        self.staying.setVisible(bool(self.staying.text()))
        self.state = words(_state(answer, units), "small", "" if answer.is_met else "warn", wrap=True)
        self.hangs = words("It hangs now. Ctrl+Z brings back what hung before.", "small", strong=True, wrap=True)
        self.hangs.hide()
        self.use = QPushButton("Use this one")
        self.use.clicked.connect(lambda: self.use_wanted.emit(self.answer))
        self.compare = QPushButton("Compare")
        self.compare.setProperty("role", "quiet")
        self.compare.setToolTip("Put it beside the plan as it is")
        self.compare.clicked.connect(lambda: self.compare_wanted.emit(self.answer))
        self.aside = QPushButton("As a new layout")
        self.aside.setProperty("role", "quiet")
        self.aside.setToolTip("Keep what hangs now as a layout of its own in this file, and go on with this one")
        self.aside.clicked.connect(lambda: self.aside_wanted.emit(self.answer))
        buttons = QHBoxLayout()
        buttons.addWidget(self.use)
        buttons.addWidget(self.aside)
        buttons.addWidget(self.compare)
        buttons.addStretch(1)
        column = QVBoxLayout()
        column.setSpacing(4)
        for label in (
            count,
            kind,
            self.figures,
            self.left_out,
            self.comfort,
            cost,
            self.staying,
            self.state,
            self.hangs,
        ):
            column.addWidget(label)
        column.addStretch(1)
        column.addLayout(buttons)
        line = QHBoxLayout(self)
        line.setContentsMargins(0, 8, 0, 8)
        line.setSpacing(16)
        line.addWidget(self.picture)
        line.addLayout(column, 1)
        is_ready = answer.recomputed is not None
        self.use.setEnabled(is_ready)
        self.compare.setEnabled(is_ready)
        self.aside.setEnabled(is_ready)


def staying_text(plan: Plan) -> str:
    """Return in a sentence what hangs or stands besides an answer, whose figures leave it out."""
    out = set(replaced_ids(plan))
    staying = [fixture for fixture in plan.fixtures if fixture.id not in out]
    if not staying:
        return ""
    watts = show_watts(sum(plan.setting(fixture).watts for fixture in staying))
    if len(staying) == 1:
        return f"1 lamp stays that does not hang from the ceiling; its light and {watts} come on top."
    return f"{len(staying)} lamps stay that do not hang from the ceiling; their light and {watts} come on top."


def figures_text(answer: Answer, units: UnitSystem) -> str:
    """Return the light of an answer in words."""
    found = answer.recomputed or answer.promised
    points = answer.points
    if points is not None and points.left_out:
        darkest = f"darkest {show_illuminance(points.least_elsewhere, units)} (but for what is left out)"
    else:
        darkest = f"darkest {show_illuminance(found.minimum, units)}"
    left = ""
    if answer.reduced and found.reduced is not None:
        left = f", with only {' and '.join(answer.reduced)} on {show_illuminance(found.reduced, units)}"
    return (
        f"average {show_illuminance(found.average, units)}, {darkest}, min / average {show_ratio(found.evenness)}{left}"
    )


def _state(answer: Answer, units: UnitSystem) -> str:
    if answer.recomputed is None:
        return "First estimate; being worked out in full."
    if answer.short:
        missed = [_miss(part, units) for part in answer.short]
        return f"Misses: {'; '.join(missed)}."
    return "Worked out in full: holds what was asked." if answer.is_met else "Not all that was asked; see above."


def _only(plan: Plan, answer: Answer) -> Plan:
    return with_answer(plan, answer)


def _miss(part: Hindrance, units: UnitSystem) -> str:
    reached, wanted = (amount(part.what, value, units) for value in (part.reached, part.wanted))
    return f"{part.what} at {part.where}: {reached}, {wanted} asked"
