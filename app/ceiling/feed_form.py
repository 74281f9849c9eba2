"""How a model is fed and held, as its data sheet says: feed point, screws, weight, wiring through."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.panels.entry import Choice, Entry
from app.panels.quantity import Quantity
from app.panels.words import words
from core.ceiling import feeding_of
from core.plan import Model, Point
from core.plan.ceiling import Feeding, FeedKind
from core.units import UnitSystem, parse_number

__all__ = ["FeedForm", "screws_at"]

_POUND = 0.45359237


def screws_at(along: float, across: float, middle: Point = (0.0, 0.0)) -> tuple[Point, ...]:
    """Return screws about a point: four at corners along x across [m] apart, two where one is 0, else one."""
    x, y = along / 2, across / 2
    corners = ((-x, -y), (x, -y), (x, y), (-x, y))
    return tuple(dict.fromkeys((middle[0] + dx, middle[1] + dy) for dx, dy in corners))


class FeedForm(QDialog):
    """Edits one model's `Feeding`; ``feeding`` is what is entered so far."""

    def __init__(self, model: Model, units: UnitSystem, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.feeding: Feeding = feeding_of(model)
        self._units = units
        self.setWindowTitle(f"How {model.name} is fed")
        half, side = model.length / 2, model.width / 2
        self.kind = Choice(
            "Fed by", [(kind, kind) for kind in get_args(FeedKind)], "How the cable gets in, from its data sheet"
        )
        self.along = Quantity("Feed, along", "length", -half, half, "From the middle of the body along its length")
        self.across = Quantity("Feed, across", "length", -side, side, "From the middle of the body across it")
        self.screw_along = Quantity("Screws, along", "length", 0.0, 20.0, "Distance between screws along the body")
        self.screw_across = Quantity("Screws, across", "length", 0.0, 20.0, "Distance across; 0 for one row")
        self.hole = Quantity("Cut-out", "length", 0.0, 2.0, "Diameter of the hole to cut; 0 for none")
        self.cable = Quantity("Cable end", "length", 0.0, 5.0, "Cable to be left hanging out")
        self.linked = Quantity("Wired through", "whole", 0, 100, "Most bodies in one row by its listing; 0 for none")
        self.weight = Entry(
            "Weight", self._read_weight, self._show_weight, "Of the whole fixture, in lb or kg as shown"
        )
        self._rows = {
            "x": self.along,
            "y": self.across,
            "hole": self.hole,
            "cable_end": self.cable,
            "linked": self.linked,
            "weight": self.weight,
        }
        self._lay_out(model)
        self._connect()
        self._show()

    def _lay_out(self, model: Model) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 16)
        column.setSpacing(8)
        said = "As on the data sheet." if model.feeding is not None else "Assumed so far: the entry does not say."
        column.addWidget(words(f"{said} It counts for every {model.name} of this plan.", "small", "muted", wrap=True))
        screws = (self.screw_along, self.screw_across)
        for row in (self.kind, self.along, self.across, *screws, self.hole, self.cable, self.linked, self.weight):
            if isinstance(row, Quantity):
                row.set_units(self._units)
            column.addWidget(row)
        keep, leave = QPushButton("Keep"), QPushButton("Cancel")
        keep.clicked.connect(self.accept)
        leave.clicked.connect(self.reject)
        foot = QHBoxLayout()
        foot.addStretch(1)
        for button in (keep, leave):
            button.setAutoDefault(False)
            foot.addWidget(button)
        column.addLayout(foot)
        self.keep = keep
        self.resize(400, self.sizeHint().height())

    def _connect(self) -> None:
        self.kind.chosen.connect(lambda value: self._take(kind=value))
        for name, row in self._rows.items():
            row.entered.connect(
                lambda value, name=name: self._take(**{name: int(value) if name == "linked" else value})
            )
        for axis, row in enumerate((self.screw_along, self.screw_across)):
            row.entered.connect(lambda value, axis=axis: self._take_pitch(axis, float(value)))

    def _take(self, **values: object) -> None:
        self.feeding = replace(self.feeding, **values)  # type: ignore[arg-type]

    def _take_pitch(self, axis: int, distance: float) -> None:
        pitch = [self._pitch(0), self._pitch(1)]
        pitch[axis] = distance
        about = (self.feeding.x, self.feeding.y) if pitch == [0.0, 0.0] else (0.0, 0.0)
        self._take(screws=screws_at(pitch[0], pitch[1], about))

    def _pitch(self, axis: int) -> float:
        places = [screw[axis] for screw in self.feeding.screws] or [0.0]
        return max(places) - min(places)

    def _show(self) -> None:
        self.kind.set_value(self.feeding.kind)
        for name, row in self._rows.items():
            row.set_value(getattr(self.feeding, name))
        self.screw_along.set_value(self._pitch(0))
        self.screw_across.set_value(self._pitch(1))

    def _read_weight(self, text: str) -> float:
        value = parse_number(text.lower().removesuffix("lb").removesuffix("kg").strip())
        if not 0.0 <= value <= 1000.0:
            raise ValueError("A weight lies between 0 and 1000. For example: 7")
        return value * _POUND if self._units is UnitSystem.US else value

    def _show_weight(self, kilograms: float) -> str:
        if self._units is UnitSystem.US:
            return f"{kilograms / _POUND:.1f} lb"
        return f"{kilograms:.1f} kg"
