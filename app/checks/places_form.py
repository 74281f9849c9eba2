"""Eyes and cameras that the user placed, one by one: where they are, where they look, what they are called."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.checks.fields import Fields, corner_of, units_of
from app.document import Document
from app.panels.entry import Choice, Entry
from app.panels.quantity import Quantity
from app.panels.words import words
from core.plan import Plan
from core.plan.checking import Camera, ViewPlace, with_entry, without_entry

__all__ = ["PlacesForm"]

_FAR = 100.0


class PlacesForm(QWidget):
    """A list to choose from and the fields of the chosen one; each entry is one step of undo."""

    eye_wanted = Signal()
    camera_wanted = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.which = Choice("place", tip="The eye or camera that is shown below")
        self.name = Entry("name", str, tip="What it is called in the findings")
        self.beside, self.below = (Quantity(f"from {side}", "length", 0.0, _FAR) for side in ("the left", "below"))
        self.above = Quantity("height", "length", 0.0, 10.0, "Of the eye or the lens above the floor")
        self.direction = Quantity("looks", "angle", -360.0, 360.0, "0 to the right of the plan, 90 up, 180 to the left")
        self.angle = Quantity("lens angle", "angle", 2.0, 170.0, "How wide the picture is, side to side")
        self.face_left, self.face_lower = (
            Quantity(f"person, {side}", "length", 0.0, _FAR) for side in ("left", "below")
        )
        self.face = Quantity("face height", "length", 0.0, 10.0)
        self.hands = Quantity("hands height", "length", 0.0, 10.0)
        self._eye_rows: tuple[QWidget, ...] = (self.direction,)
        self._camera_rows: tuple[QWidget, ...] = (self.angle, self.face_left, self.face_lower, self.face, self.hands)
        always = (self.name, self.beside, self.below, self.above)
        self._fields = Fields(("", (*always, *self._eye_rows, *self._camera_rows)))
        self.empty = words(
            "No eye or camera yet. An eye shows the glare from where you look; a camera, the light on a face and what "
            "is in the picture. Each is placed by two clicks on the plan.",
            "small",
            "muted",
            wrap=True,
        )
        self.buttons: dict[str, QPushButton] = {}
        self._lay_out()
        self._connect()
        document.changed.connect(self.refresh)
        self.refresh()

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        for text, do in (
            ("Place an eye…", self.eye_wanted.emit),
            ("Place a camera…", self.camera_wanted.emit),
            ("Remove", self.remove),
        ):
            button = QPushButton(text)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, do=do: do())
            row.addWidget(button)
            self.buttons[text] = button
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 8, 8, 8)
        column.addLayout(row)
        column.addWidget(self.empty)
        column.addWidget(self.which)
        column.addWidget(self._fields, 1)

    def _connect(self) -> None:
        self.which.chosen.connect(lambda _value: self.refresh())
        self.name.entered.connect(lambda value: self._change("Rename a place", name=value))
        self.beside.entered.connect(lambda value: self._change("Move a place", x=value + self._corner[0]))
        self.below.entered.connect(lambda value: self._change("Move a place", y=value + self._corner[1]))
        self.above.entered.connect(lambda value: self._change("Set a place's height", height=value))
        self.direction.entered.connect(lambda value: self._change("Turn an eye", direction_deg=math.fmod(value, 360.0)))
        self.angle.entered.connect(lambda value: self._change("Set the lens angle", angle_deg=value))
        self.face_left.entered.connect(lambda v: self._change("Move the person", subject_x=v + self._corner[0]))
        self.face_lower.entered.connect(lambda v: self._change("Move the person", subject_y=v + self._corner[1]))
        self.face.entered.connect(lambda value: self._change("Set the face's height", face_height=value))
        self.hands.entered.connect(lambda value: self._change("Set the hands' height", hands_height=value))

    @property
    def _corner(self) -> tuple[float, float]:
        return corner_of(self._document.plan)

    def chosen(self) -> ViewPlace | Camera | None:
        """Return the eye or camera that is shown."""
        return next((place for place in _places(self._document.plan) if place.id == self.which.value()), None)

    def refresh(self) -> None:
        """Show the plan's places and the fields of the chosen one."""
        plan = self._document.plan
        places = _places(plan)
        kept = self.which.value()
        self.which.set_options((place.name or place.id, place.id) for place in places)
        known = [place.id for place in places]
        self.which.set_value(kept if kept in known else known[-1] if known else None)
        place = self.chosen()
        self.empty.setVisible(place is None)
        for part in (self.which, self._fields):
            part.setVisible(place is not None)
        self.buttons["Remove"].setEnabled(place is not None)
        if place is not None:
            self._show(plan, place)

    def _show(self, plan: Plan, place: ViewPlace | Camera) -> None:
        self._fields.set_units(units_of(plan))
        x0, y0 = self._corner
        self.name.set_value(place.name)
        self.beside.set_value(place.x - x0)
        self.below.set_value(place.y - y0)
        self.above.set_value(place.height)
        for row in self._eye_rows:
            row.setVisible(isinstance(place, ViewPlace))
        for row in self._camera_rows:
            row.setVisible(isinstance(place, Camera))
        if isinstance(place, ViewPlace):
            self.direction.set_value(place.direction_deg)
        else:
            self.angle.set_value(place.angle_deg)
            self.face_left.set_value(place.subject_x - x0)
            self.face_lower.set_value(place.subject_y - y0)
            self.face.set_value(place.face_height)
            self.hands.set_value(place.hands_height)

    def remove(self) -> None:
        """Take the chosen place off the plan."""
        place, plan = self.chosen(), self._document.settled_plan
        if place is not None:
            what = "an eye" if isinstance(place, ViewPlace) else "a camera"
            self._document.apply(f"Remove {what}", replace(plan, checking=without_entry(plan.checking, place.id)))

    def _change(self, text: str, **values: Any) -> None:
        place, plan = self.chosen(), self._document.settled_plan
        if place is not None:
            changed = with_entry(plan.checking, replace(place, **values))
            self._document.apply(text, replace(plan, checking=changed))


def _places(plan: Plan) -> list[ViewPlace | Camera]:
    return [*plan.checking.views, *plan.checking.cameras]
