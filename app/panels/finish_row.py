"""A row for a surface finish: a common one from the list, or a number of one's own."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QVBoxLayout

from app.panels.entry import Row, ShortCombo
from app.style import restyle
from core.plan import Finish
from core.units import parse_ratio, show_ratio

__all__ = ["FinishRow"]

_HIGHEST = 0.95
_LABEL = 120  # px


class FinishRow(Row):
    """Name of the finish, and the share of the light that it gives back."""

    chosen = Signal(object)  # a Finish, or None for 'as the other walls'

    def __init__(self, name: str, finishes: Sequence[Finish], none_text: str = "") -> None:
        self.box = ShortCombo()
        self.share = QLineEdit()
        verb = "reflect" if name.endswith("s") else "reflects"
        super().__init__(
            f"{name} {verb}", self.share, "Share of the light that the surface gives back, 0 to 0.95", _LABEL
        )
        outer = self.layout()
        if isinstance(outer, QVBoxLayout):
            outer.setSpacing(4)
            outer.insertWidget(1, self.box)  # names of finishes are long: a line of their own
        self.box.setMinimumContentsLength(4)
        self.box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.box.setAccessibleName(f"{name}, finish")
        self.share.setAccessibleName(f"{name}, share of light given back")
        self.label.setBuddy(self.box)
        self.none_text = none_text
        self.finishes = tuple(finishes)
        self._shown: Finish | None = None
        self.box.addItems([*([none_text] if none_text else []), *(f.name for f in finishes), "own number"])
        self.box.view().setMinimumWidth(220)
        self.box.activated.connect(self._picked)
        self.share.editingFinished.connect(self._typed)

    def set_value(self, finish: Finish | None) -> None:
        """Show a finish; None stands for 'as the other walls'."""
        self._shown = finish
        index = 0 if finish is None and self.none_text else self.box.count() - 1
        if finish in self.finishes:
            index = self.finishes.index(finish) + bool(self.none_text)
        self.box.setCurrentIndex(index)
        self.box.setToolTip(finish.name if finish is not None else self.none_text)
        if not self.share.hasFocus() or not self.share.isModified():
            self.share.setText(show_ratio(finish.reflectance) if finish is not None else "")
            self._mark("")
        self.share.setEnabled(finish is not None)

    def _picked(self, index: int) -> None:
        place = index - bool(self.none_text)
        if place < 0:
            self.chosen.emit(None)
        elif place < len(self.finishes):
            self.chosen.emit(self.finishes[place])
        else:
            self.share.setEnabled(True)
            self.share.setFocus()
            self.share.selectAll()

    def _typed(self) -> None:
        text = self.share.text().strip()
        if self._shown is not None and text == show_ratio(self._shown.reflectance):
            self._mark("")
            return
        try:
            value = self._read(text)
        except ValueError as problem:
            self._mark(str(problem))
            return
        self._mark("")
        self.share.setModified(False)
        self.chosen.emit(Finish("own number", value))

    def _read(self, text: str) -> float:
        value = parse_ratio(text)
        if value > _HIGHEST:
            raise ValueError(f"No paint gives back more than {_HIGHEST:g}. For example: 0.8 or 80 %")
        return round(value, 4)

    def _mark(self, reason: str) -> None:
        self.explain(reason)
        if bool(self.share.property("wrong")) != bool(reason):
            self.share.setProperty("wrong", bool(reason))
            restyle(self.share)
