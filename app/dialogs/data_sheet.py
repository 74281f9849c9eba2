"""A catalogue entry from a data sheet: every figure with its unit, what is wrong explained beside it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.dialogs.data_sheet_model import taken_over, what_is_wrong
from app.dialogs.data_sheet_readers import (
    beam_exponent,
    beam_width,
    read_colours,
    read_settings,
    show_settings,
)
from app.panels.entry import Choice, Entry
from app.panels.quantity import Quantity
from app.panels.words import heading, words
from core.photometry.lm63 import PhotometryError, read_lm63_file
from core.plan import Model
from core.units import UnitSystem, parse_money, show_lumens, show_watts

__all__ = ["DataSheetDialog"]

_KINDS = [(kind, kind) for kind in ("strip", "wrap", "panel", "high bay", "downlight", "task lamp")]
_MOUNTINGS = [(kind, kind) for kind in ("surface", "suspended", "recessed", "bench")]
_DIMMINGS = [(kind, kind) for kind in ("none", "forward phase", "reverse phase", "0-10 V")]
_OPENINGS = [("rectangle", "rectangle"), ("round", "round"), ("a point", "point")]
_BEAMS = [
    ("as an opal sheet (wide)", "opal"),
    ("a beam of some angle", "cosine power"),
    ("from an LM-63 file", "web"),
    ("all round, bare lamp", "all round"),
]


def _text(text: str) -> str:
    return text


def _a_name(text: str) -> str:
    if not text:
        raise ValueError("Give it a name, as you would look for it on the shelf.")
    return text


class DataSheetDialog(QDialog):
    """Edits one catalogue entry; `model` holds the result after it was accepted."""

    def __init__(self, model: Model, units: UnitSystem, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = model
        self._units = units
        self.setWindowTitle(title)
        self._make_rows()
        self._lay_out()
        self._connect()
        self._show(model)

    def _make_rows(self) -> None:
        self.name = Entry("name", _a_name, tip="What it is called on the shelf and in lists")
        self.kind = Choice("kind", _KINDS, "What sort of fixture it is")
        self.length = Quantity("length", "length", 0.01, 20.0, "Of the body")
        self.body_width = Quantity("width", "length", 0.01, 20.0, "Of the body")
        self.body_height = Quantity(
            "height", "length", 0.001, 5.0, "Of the body, from its top to where the light leaves"
        )
        self.opening = Choice("opening", _OPENINGS, "Shape of the part that shines")
        self.opening_length = Quantity(
            "its length", "length", 0.001, 20.0, "Of the part that shines; its diameter if round"
        )
        self.opening_width = Quantity("its width", "length", 0.001, 20.0, "Of the part that shines")
        self.settings = Entry(
            "power settings",
            read_settings,
            show_settings,
            "Watts and lumens at each position: 40 W 4400 lm; 50 W 5500 lm",
        )
        self.colours = Entry(
            "colours, K",
            read_colours,
            lambda found: ", ".join(str(k) for k in found),
            "Colour temperatures in kelvin: 3000, 4000",
        )
        self.cri = Quantity("CRI", "whole", 0, 100, "Colour rendering index, Ra")
        self.lens = Choice("lens", [("frosted", "frosted"), ("clear", "clear")], "What is in front of the light source")
        self.beam = Choice("light spreads", _BEAMS, "How the light leaves it; an LM-63 file says it best")
        self.beam_angle = Quantity(
            "beam angle", "angle", 5.0, 175.0, "Full angle between the directions of half the peak intensity"
        )
        self.upward = Quantity("goes upward", "percent", 0.0, 1.0, "Share of the lumens that leaves upward")
        self.file_button = QPushButton("Read an LM-63 file…")
        self.file_note = words("", "small", "muted", wrap=True)
        self.mounting = Choice("mounting", _MOUNTINGS, "bench: a task lamp that stands or is clamped")
        self.dimming = Choice("dimming", _DIMMINGS, "What its driver takes")
        self.price = Entry(
            "price each", parse_money, lambda value: f"{value:,.2f}", "In your own currency, such as 49.90"
        )
        self.note = Entry("note", _text, tip="For yourself, such as where you saw it")
        self.problem = words("", "body", "danger", wrap=True)

    def _lay_out(self) -> None:
        left, right = QVBoxLayout(), QVBoxLayout()
        columns: tuple[tuple[QVBoxLayout, tuple[str | QWidget, ...]], ...] = (
            (
                left,
                (
                    "What it is",
                    self.name,
                    self.kind,
                    self.mounting,
                    "Body",
                    self.length,
                    self.body_width,
                    self.body_height,
                    "Part that shines",
                    self.opening,
                    self.opening_length,
                    self.opening_width,
                    self.lens,
                ),
            ),
            (
                right,
                (
                    "Light and power",
                    self.settings,
                    self.colours,
                    self.cri,
                    self.dimming,
                    "How the light spreads",
                    self.beam,
                    self.beam_angle,
                    self.upward,
                    self.file_button,
                    self.file_note,
                    "Shopping",
                    self.price,
                    self.note,
                ),
            ),
        )
        for column, parts in columns:
            column.setSpacing(4)
            for part in parts:
                if isinstance(part, str):
                    part = heading(part)
                    part.setContentsMargins(0, 8, 0, 2)
                column.addWidget(part)
            column.addStretch(1)
        sheet = QWidget()
        both = QHBoxLayout(sheet)
        both.setContentsMargins(16, 8, 16, 8)
        both.setSpacing(32)
        both.addLayout(left, 1)
        both.addLayout(right, 1)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(sheet)
        buttons = QDialogButtonBox.StandardButton
        self.buttons = QDialogButtonBox(buttons.Save | buttons.Cancel)
        foot = QHBoxLayout()
        foot.setContentsMargins(16, 8, 16, 16)
        foot.addWidget(self.problem, 1)
        foot.addWidget(self.buttons, 0, Qt.AlignmentFlag.AlignBottom)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll, 1)
        outer.addLayout(foot)
        self.resize(680, 560)

    def _connect(self) -> None:
        for quantity in self.findChildren(Quantity):
            quantity.set_units(self._units)
        for field, row in self._fields().items():
            signal = row.chosen if isinstance(row, Choice) else row.entered
            signal.connect(lambda value, field=field: self._set(**{field: value}))
        self.settings.entered.connect(lambda value: self._set(settings=value))
        self.colours.entered.connect(lambda value: self._set(colours=value))
        self.opening.chosen.connect(self._set_opening)
        self.opening_length.entered.connect(self._set_opening_length)
        self.beam_angle.entered.connect(lambda value: self._set(exponent=beam_exponent(value)))
        self.file_button.clicked.connect(self._ask_for_file)
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)

    def _fields(self) -> dict[str, Entry | Choice]:
        return {
            "name": self.name,
            "kind": self.kind,
            "length": self.length,
            "width": self.body_width,
            "body_height": self.body_height,
            "opening_width": self.opening_width,
            "cri": self.cri,
            "lens": self.lens,
            "beam": self.beam,
            "upward_share": self.upward,
            "mounting": self.mounting,
            "dimming": self.dimming,
            "price": self.price,
            "note": self.note,
        }

    def _entries(self) -> list[Entry]:
        return self.findChildren(Entry)

    def _show(self, model: Model) -> None:
        self.model = model
        for field, row in self._fields().items():
            row.set_value(getattr(model, field))
        self.opening.set_value(model.opening)
        self.opening_length.set_value(model.opening_length)
        self.settings.set_value(model.settings)
        self.colours.set_value(model.colours)
        self.beam_angle.set_value(beam_width(model.exponent))
        self.opening_length.setVisible(model.opening != "point")
        self.opening_length.label.setText("diameter" if model.opening == "round" else "its length")
        self.opening_width.setVisible(model.opening == "rectangle")
        self.beam_angle.setVisible(model.beam == "cosine power")
        self.upward.setVisible(model.beam in ("opal", "cosine power"))
        if model.beam == "web" and model.web is None:
            self.file_note.setText("Read the file of this fixture: the form takes the light's spread from it.")
        elif model.beam == "web" and model.web is not None:
            self.file_note.setText(f"Table of {len(model.web.candela)} by {len(model.web.vertical_deg)} directions.")
        else:
            self.file_note.setText("")

    def _set(self, **values: Any) -> None:
        if "cri" in values:
            values["cri"] = int(values["cri"])
        self._show(replace(self.model, **values))

    def _set_opening(self, shape: str) -> None:
        model = self.model
        if shape == "point":
            self._set(opening=shape, opening_length=0.0, opening_width=0.0)
        else:
            length = model.opening_length or model.length * 0.9
            width = length if shape == "round" else model.opening_width or model.width * 0.9
            self._set(opening=shape, opening_length=length, opening_width=width)

    def _set_opening_length(self, length: float) -> None:
        both = {"opening_width": length} if self.model.opening == "round" else {}
        self._set(opening_length=length, **both)

    def _ask_for_file(self) -> None:
        name, _ = QFileDialog.getOpenFileName(
            self, "Photometric file", "", "LM-63 files (*.ies *.IES *.txt);;All files (*)"
        )
        if name:
            self.read_file(name)

    def read_file(self, name: str) -> None:
        """Take the spread of the light, and what else it says, from an LM-63 file."""
        try:
            found = read_lm63_file(name)
        except PhotometryError as problem:
            self.problem.setText(f"{name.rsplit('/', 1)[-1]} cannot be used: {problem}")
            return
        self.problem.setText("")
        self._show(taken_over(self.model, found))
        flux, watts = show_lumens(found.web.flux), found.input_watts
        said = [f"Read: {flux}" + (f", {show_watts(watts)}" if watts else ", no watts stated") + "."]
        self.file_note.setText(" ".join([*said, *(f"{w}." if not w.endswith(".") else w for w in found.warnings)]))

    def accept(self) -> None:
        """Close if all that was typed can be used; else say what cannot."""
        for row in self._entries():
            if row.isVisibleTo(self):
                row.take()
        wrong = [row.label.text() for row in self._entries() if row.is_wrong and row.isVisibleTo(self)]
        problem = f"Correct first: {', '.join(wrong)}." if wrong else what_is_wrong(self.model)
        self.problem.setText(problem)
        if not problem:
            super().accept()
