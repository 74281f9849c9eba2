"""Three things to try at the first start: a strip above the plan that goes away for good.

It goes when all three were done, or with one click. The first two may come in any order; reading the light comes last,
because a pointer crosses the plan all the time.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, QSettings, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout

from app.document import Document
from app.panels.words import link, words
from app.switches import Switches
from app.theme import font
from core.plan import Plan

__all__ = ["FirstSteps", "are_wanted"]

_DONE = "window/first_steps_done"
_STEPS = {
    "drag": ("Drag a fixture", "Press on a fixture of the plan, hold, and move it: the light follows"),
    "flip": ("Flip a switch: press A", "Click a switch at the foot of the window, or press its letter"),
    "read": ("Point at a bench", "The light at the pointer is read there and shown beside it"),
}


def are_wanted() -> bool:
    """Whether the three steps were neither done nor put away yet."""
    return not QSettings().value(_DONE, False, bool)


class FirstSteps(QFrame):
    """Shows which of the steps are done."""

    gone = Signal(str)  # what to say when all is done; '' where the user put it away

    def __init__(self, document: Document, switches: Switches, pointer: QObject) -> None:
        super().__init__()
        self._document = document
        self._places = _places(document.settled_plan)
        self._done: set[str] = set()
        self._is_gone = False
        self.setAccessibleName("Three things to try")
        self.labels = {}
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 4, 8, 4)
        line.setSpacing(16)
        for name, (_, tip) in _STEPS.items():
            self.labels[name] = words("", "small")
            self.labels[name].setToolTip(tip)
            line.addWidget(self.labels[name])
        line.addStretch(1)
        self.away = link("Got it", "Put this away for good")
        self.away.setFont(font("small"))
        self.away.clicked.connect(lambda: self._leave(""))
        line.addWidget(self.away)
        self._show_steps()
        document.history_changed.connect(self._see_places)
        switches.changed.connect(lambda: self._did("flip"))
        pointer.pointer_moved.connect(self._see_pointer)  # type: ignore[attr-defined]

    def pause(self) -> None:
        """Another plan was opened: hide until the next start with a demo shop."""
        self._is_gone = True
        self.hide()

    def _see_places(self) -> None:
        before, self._places = self._places, _places(self._document.settled_plan)
        both = before.keys() & self._places.keys()
        if self._document.undo_text is not None and any(before[i] != self._places[i] for i in both):
            self._did("drag")

    def _see_pointer(self, spot: object) -> None:
        if spot is not None and {"drag", "flip"} <= self._done:
            self._did("read")

    def _did(self, name: str) -> None:
        if name in self._done or self._is_gone:
            return
        self._done.add(name)
        self._show_steps()
        if len(self._done) == len(_STEPS):
            self._leave("That is how it works. File, New begins a shop of your own.")

    def _show_steps(self) -> None:
        for number, (name, (text, _)) in enumerate(_STEPS.items(), start=1):
            done = name in self._done
            label = self.labels[name]
            label.setText(f"{'✓' if done else number}  {text}")
            label.setEnabled(not done)
            label.setAccessibleName(f"Step {number}: {text}, {'done' if done else 'to do'}")

    def _leave(self, said: str) -> None:
        QSettings().setValue(_DONE, True)
        self._is_gone = True
        self.hide()
        self.gone.emit(said)


def _places(plan: Plan) -> dict[str, tuple[float, float]]:
    return {fixture.id: (fixture.x, fixture.y) for fixture in plan.fixtures}
