"""The small panel for an array of fixtures: rows by columns, distances to the walls, turn, switches.

What is typed is shown on the drawing, with its light, as long as the panel is open; Enter keeps it as one step of undo,
Esc puts everything back.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.theme import Theme, font
from core.ceiling.bodies import apart, fixture_body, keep_out_body
from core.plan import Fixture, Plan
from core.plan.arrange import ArrangeError, Array, Switching, in_array
from core.plan.clear_space import clear_space
from core.units import UnitError, parse_angle, parse_length, show_length

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["ArrayPanel", "can_array"]

_WIDTH = 292
_MOST_COMPARED = 600  # pairs of fixtures and obstacles that may be compared at each letter typed
_MARGIN = 12.0  # px from the frame's corner
_COUNTS = re.compile(r"\s*(\d{1,3})\s*(?:x|×|by|\*|,|;|\s)\s*(\d{1,3})\s*", re.IGNORECASE)
_SWITCHING: tuple[tuple[str, Switching], ...] = (
    ("all on one", "as it is"),
    ("one for each row", "one a row"),
    ("one for each column", "one a column"),
)


class ArrayPanel(QFrame):
    """Hidden until `open_for` is called with fixtures selected."""

    def __init__(self, canvas: PlanCanvas) -> None:
        super().__init__(canvas)
        self.canvas = canvas
        self.setObjectName("array")
        self.setFixedWidth(_WIDTH)
        self._before: Plan | None = None
        self._ids: frozenset[str] = frozenset()
        self._name = ""
        self._ground = QRectF()
        self.counts, self.sides, self.ends, self.turned = (QLineEdit(self) for _ in range(4))
        self.switching = QComboBox(self)
        self.switching.addItems([text for text, _ in _SWITCHING])
        self.hang, self.leave = QPushButton("Hang them", self), QPushButton("Leave it", self)
        self._title, self._told = QLabel("Array", self), QLabel(self)
        self._told.setWordWrap(True)
        self._labels: list[QLabel] = []
        self._lay_out()
        self._connect()
        self.hide()

    def _lay_out(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(12, 8, 12, 12)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(4)
        grid.addWidget(self._title, 0, 0, 1, 2)
        rows: tuple[tuple[str, QWidget, str], ...] = (
            ("rows x columns", self.counts, "Rows lie one above the other on the sheet: 2 x 3"),
            ("side walls to centres", self.sides, "From the left and right wall to the nearest centres"),
            ("end walls to centres", self.ends, "From the front and back wall to the nearest centres"),
            ("turned", self.turned, "Counter-clockwise, 0 along the sheet"),
            ("switches", self.switching, "One for each row or column takes the letters that follow"),
        )
        for row, (name, field, tip) in enumerate(rows, start=1):
            label = QLabel(name, self)
            label.setBuddy(field)
            field.setAccessibleName(name)
            field.setToolTip(tip)
            self._labels.append(label)
            grid.addWidget(label, row, 0)
            grid.addWidget(field, row, 1)
        for field in (self.sides, self.ends):
            field.setPlaceholderText("half a spacing")
        self.turned.setPlaceholderText("as it is")
        grid.addWidget(self._told, len(rows) + 1, 0, 1, 2)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addStretch(1)
        buttons.addWidget(self.leave)
        buttons.addWidget(self.hang)
        grid.addLayout(buttons, len(rows) + 2, 0, 1, 2)

    def _connect(self) -> None:
        for field in self._fields():
            field.textChanged.connect(self._show)
            field.installEventFilter(self)
        for other in (self.switching, self.hang, self.leave):
            other.installEventFilter(self)
        self.switching.currentIndexChanged.connect(self._show)
        self.hang.clicked.connect(self.keep)
        self.leave.clicked.connect(self.cancel)
        self.canvas.document.history_changed.connect(self._history_changed)

    def _fields(self) -> tuple[QLineEdit, ...]:
        return self.counts, self.sides, self.ends, self.turned

    @property
    def told(self) -> str:
        """What the panel says under its fields."""
        return self._told.text()

    def dress(self, theme: Theme) -> None:
        """Take over the colours."""
        self._title.setFont(font("body", strong=True))
        for part in (*self._labels, self._told):
            part.setFont(font("small"))
        self.setStyleSheet(
            f"QFrame#array {{ background: {theme.panel.name()}; border: 1px solid {theme.edge.name()};"
            " border-radius: 4px; }"
            f" QFrame#array > QLabel {{ color: {theme.muted.name()}; background: transparent; border: none; }}"
        )

    def open_for_selection(self) -> bool:
        """Open for the selected fixtures; False where there is none."""
        document = self.canvas.document
        plan = document.settled_plan
        chosen = [fixture for fixture in plan.fixtures if fixture.id in document.selection]
        if not chosen:
            return False
        document.cancel()
        self._before, self._ids = plan, frozenset(fixture.id for fixture in chosen)
        self._name = plan.model(chosen[0].model).name
        self._ground = self._ground_of(chosen[0])
        self._title.setText(f"Array of {self._name}")
        for field, text in zip(self._fields(), ("2 x 2", "", "", ""), strict=True):
            field.blockSignals(True)
            field.setText(text)
            field.blockSignals(False)
        self.switching.setCurrentIndex(0)
        self.show()
        self._settle()
        self.raise_()
        self.counts.setFocus(Qt.FocusReason.OtherFocusReason)
        self.counts.selectAll()
        self._show()
        return True

    def keep(self) -> None:
        """Hang what is shown, or say what is missing."""
        if self._before is None:
            return
        made = self._made()
        if isinstance(made, str):
            self._say(made)
            return
        plan, ids = made
        before, self._before = self._before, None
        self._close()
        if self.canvas.document.settled_plan is before:
            array = self._array()
            self.canvas.document.apply(f"Hang {array.rows} x {array.columns} of {self._name}", plan, select=ids)
            self.canvas.say(f"{len(ids)} fixtures hang in {array.rows} x {array.columns}; Ctrl+Z takes them back.")

    def cancel(self) -> None:
        """Put everything back and close."""
        if self._before is None:
            return
        before, self._before = self._before, None
        if self.canvas.document.settled_plan is before:
            self.canvas.document.cancel()
        self._close()

    def _close(self) -> None:
        # First the focus: a field that is hidden with it would hand it on as Tab does.
        self.canvas.setFocus(Qt.FocusReason.OtherFocusReason)
        self.hide()

    def _history_changed(self) -> None:
        if self._before is not None and self.canvas.document.settled_plan is not self._before:
            self._before = None
            self._close()

    def _show(self, *_: object) -> None:
        """Show on the drawing what the fields say; what is half typed shows the plan as it is."""
        if self._before is None:
            return
        made = self._made()
        if isinstance(made, str):
            self.canvas.document.cancel()
            self._say(made)
            return
        plan, ids = made
        self.canvas.document.preview(plan)
        self._say(self._spacing(plan, ids))

    def _made(self) -> tuple[Plan, tuple[str, ...]] | str:
        if self._before is None:
            return ""
        try:
            return in_array(self._before, self._ids, self._array())
        except (UnitError, ArrangeError) as problem:
            return str(problem)

    def _array(self) -> Array:
        found = _COUNTS.fullmatch(self.counts.text())
        if found is None:
            raise ArrangeError("Type rows and columns, such as 2 x 3.")
        units = self.canvas.units

        def given(field: QLineEdit, read: Callable[[str], float]) -> float | None:
            return read(field.text()) if field.text().strip() else None

        def length(text: str) -> float:
            return parse_length(text, units, negative=False)

        return Array(
            rows=int(found[1]),
            columns=int(found[2]),
            side_margin=given(self.sides, length),
            end_margin=given(self.ends, length),
            turned_deg=given(self.turned, parse_angle),
            switching=_SWITCHING[max(self.switching.currentIndex(), 0)][1],
        )

    def _spacing(self, plan: Plan, ids: tuple[str, ...]) -> str:
        array, units = self._array(), self.canvas.units
        hung = [plan.fixture(identity) for identity in ids]
        parts = [f"{len(ids)} fixtures"]
        if array.columns > 1:
            apart = ((hung[1].x - hung[0].x) ** 2 + (hung[1].y - hung[0].y) ** 2) ** 0.5
            parts.append(f"{show_length(apart, units)} between columns")
        if array.rows > 1:
            below = hung[array.columns]
            apart = ((below.x - hung[0].x) ** 2 + (below.y - hung[0].y) ** 2) ** 0.5
            parts.append(f"{show_length(apart, units)} between rows")
        told = ", ".join(parts) + "."
        hits = _in_the_way(plan, ids)
        if hits:
            told += f" {hits} of them would hit something on the ceiling."
        return told

    def _say(self, text: str) -> None:
        if text != self._told.text():
            self._told.setText(text)
            self._settle()

    def _settle(self) -> None:
        """Take the height that the words need, in the corner of the drawing where least of the array is covered."""
        self._told.setFixedHeight(max(self._told.heightForWidth(_WIDTH - 24), 14))
        self.adjustSize()
        frame = self.canvas.frame.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN)
        xs = (max(frame.left(), frame.right() - self.width()), frame.left())
        ys = (frame.top(), max(frame.top(), frame.bottom() - self.height()))
        spots = [QRectF(x, y, self.width(), self.height()) for x in xs for y in ys]
        covered = [spot.intersected(self._ground) for spot in spots]
        areas = [rect.width() * rect.height() for rect in covered]
        self.move(spots[areas.index(min(areas))].topLeft().toPoint())

    def _ground_of(self, fixture: Fixture) -> QRectF:
        """Return where on the screen the array may come to hang."""
        outline, view = self.canvas.document.plan.room.outline, self.canvas.view
        space = clear_space(outline, (fixture.x, fixture.y))
        if space is None:
            return QRectF()
        one, other = view.to_screen(space.left, space.low), view.to_screen(space.right, space.high)
        return QRectF(one, other).normalized()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(watched, QLineEdit):
            event.accept()  # typing must not run the window's shortcuts
            return True
        if not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.KeyPress:
            return False
        if event.key() == Qt.Key.Key_Escape:
            self.cancel()
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if watched is self.leave:
                self.cancel()
            else:
                self.keep()
            return True
        return False


def _in_the_way(plan: Plan, ids: tuple[str, ...]) -> int:
    """Return how many of these fixtures overlap a keep-out on the ceiling."""
    obstacles = [keep_out_body(plan.room, item) for item in plan.room.keep_outs]
    if len(obstacles) * len(ids) > _MOST_COMPARED:
        return 0
    bodies = (fixture_body(plan, plan.fixture(identity)) for identity in ids)
    return sum(any(max(apart(body, other)[:2]) < 0.0 for other in obstacles) for body in bodies)


def can_array(canvas: PlanCanvas) -> bool:
    """Whether fixtures are selected, and of one model only."""
    plan = canvas.document.settled_plan
    return len({f.model for f in plan.fixtures if f.id in canvas.document.selection}) == 1
