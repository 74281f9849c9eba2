"""The window's right side: the properties of what is selected, and under them what the light is like."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.document import Document
from app.guard import guarded
from app.panels.findings import Findings
from app.panels.fixture_form import FixtureForm
from app.panels.furniture_form import FurnitureForm
from app.panels.other_forms import OtherForms
from app.panels.room_form import RoomForm
from app.panels.words import rule, words
from app.prints.wiring.route_plan import fixture_marks
from app.reading import Reading
from app.theme import Theme
from core.plan import Finish, Fixture, Plan
from core.plan.edits import find
from core.units import UnitSystem

__all__ = ["Inspector"]

_CALM_MS = 30


class Inspector(QWidget):
    """Shows one of three forms, or says what is selected where there is none for it."""

    left = Signal()
    """Esc was pressed in a field that had nothing to bring back."""

    def __init__(self, document: Document, reading: Reading, theme: Theme, finishes: Sequence[Finish]) -> None:
        super().__init__()
        self._document = document
        self.title = words("", "body", strong=True, wrap=True)
        self.note = words("", "small", "muted", wrap=True)
        self.fixture_form = FixtureForm(document)
        self.furniture_form = FurnitureForm(document)
        self.room_form = RoomForm(document, finishes)
        self.other_forms = OtherForms(document)
        self.findings = Findings(document, reading, theme)
        self._numbered = self._mark = ""
        self._lay_out()
        # While a drag lasts the figures of the form follow at a calmer pace than the drawing.
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(_CALM_MS)
        self._calm.timeout.connect(self.refresh)
        document.changed.connect(self._plan_changed)
        document.selection_changed.connect(self.refresh)
        self.refresh()

    def _lay_out(self) -> None:
        self.setFixedWidth(300)
        sheet = QWidget()
        form = QVBoxLayout(sheet)
        form.setContentsMargins(16, 16, 16, 8)
        form.setSpacing(8)
        for part in (self.title, self.note, self.fixture_form, self.furniture_form, self.other_forms, self.room_form):
            form.addWidget(part)
        form.addStretch(1)
        self.findings.setContentsMargins(16, 12, 16, 8)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(_scrolling(sheet), 3)
        column.addWidget(rule())
        column.addWidget(_scrolling(self.findings), 2)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        for form in (self.fixture_form, self.furniture_form, self.other_forms, self.room_form, self.findings):
            form.set_units(units)
        self.refresh()

    def enter(self) -> None:
        """Go to the first field by keys."""
        part = self.nextInFocusChain()
        while part is not None and part is not self:
            takes_keys = part.focusPolicy() & Qt.FocusPolicy.TabFocus
            if takes_keys and self.isAncestorOf(part) and part.isVisible() and part.isEnabled():
                part.setFocus(Qt.FocusReason.TabFocusReason)
                return
            part = part.nextInFocusChain()

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def refresh(self) -> None:
        """Show what is selected now."""
        self._calm.stop()
        plan = self._document.plan
        chosen = self._document.selection
        fixtures = [f for f in plan.fixtures if f.id in chosen]
        furniture = [f for f in plan.furniture if f.id in chosen]
        known = {f.id for f in fixtures} | {f.id for f in furniture}
        others = [identity for identity in sorted(chosen) if identity not in known]
        kinds = bool(fixtures) + bool(furniture) + bool(others)
        self.fixture_form.setVisible(kinds == 1 and bool(fixtures))
        self.furniture_form.setVisible(kinds == 1 and bool(furniture))
        self.room_form.setVisible(kinds == 0)
        title = self.other_forms.refresh(plan, others if kinds == 1 else ())
        self.other_forms.setVisible(title is not None)
        note = ""
        if kinds == 0:
            self.title.setText("The room")
            self.room_form.refresh(plan)
        elif kinds == 1 and fixtures:
            self.title.setText(self.fixture_form.title(plan, fixtures))
            self.fixture_form.refresh(plan, fixtures)
            note = self._marked(plan, fixtures[0]) if len(fixtures) == 1 else ""
        elif kinds == 1 and furniture:
            self.title.setText(self.furniture_form.title(plan, furniture))
            self.furniture_form.refresh(plan, furniture)
        elif title is not None:
            self.title.setText(title)
        else:
            self.title.setText(_several(plan, len(fixtures), len(furniture), others))
            note = "Select things of one kind to see and change what they have in common."
        self.note.setText(note)
        self.note.setVisible(bool(note))

    def _marked(self, plan: Plan, fixture: Fixture) -> str:
        """Return the words by which findings and sheets call a fixture; a drag does not number the ceiling anew."""
        if not self._document.in_gesture or fixture.id != self._numbered:
            self._numbered, self._mark = fixture.id, fixture_marks(plan)[fixture.id]
        on_sheet = f" · {self._mark} on the ceiling sheet" if self._mark != fixture.group else ""
        return f"{fixture.id} in findings{on_sheet}" if not fixture.name else on_sheet.removeprefix(" · ")

    def _plan_changed(self, old: Plan, new: Plan) -> None:
        if self._document.in_gesture:
            self._calm.start()
        else:
            self.refresh()


def _scrolling(sheet: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setWidgetResizable(True)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(sheet)
    return area


def _several(plan: Plan, fixtures: int, furniture: int, others: Sequence[str]) -> str:
    parts = []
    if fixtures:
        parts.append(f"{fixtures} fixture{'s' if fixtures > 1 else ''}")
    if furniture:
        parts.append(f"{furniture} piece{'s' if furniture > 1 else ''} of furniture")
    for identity in others:
        thing = find(plan, identity)
        parts.append(str(getattr(thing, "name", "") or getattr(thing, "kind", "something")))
    return ", ".join(parts)
