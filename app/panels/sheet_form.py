"""The inspector's pages for notes and for the picture underneath."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, Entry, common
from app.panels.quantity import Quantity
from app.panels.words import link, words
from core.plan import Note, Plan, Underlay
from core.plan.edits import changed, removed
from core.units import UnitSystem

__all__ = ["NoteForm", "PictureForm"]


def _a_text(text: str) -> str:
    if not text:
        raise ValueError("Type what the note says, or delete the note.")
    return "\n".join(part.strip() for part in text.split(" / "))[:2000]


class NoteForm(QWidget):
    """What notes say and how large."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._notes: tuple[Note, ...] = ()
        self.text = Entry("says", _a_text, lambda text: " / ".join(text.splitlines()), "A slash begins another line")
        self.letter = Quantity("letters", "length", 0.01, 3.0, "Height of the letters on the plan")
        self.turned = Quantity("turned", "angle", -3600.0, 3600.0, "Counter-clockwise, 0 along the sheet")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in (self.text, self.letter, self.turned):
            column.addWidget(row)
        self.text.entered.connect(lambda value: self._change("Rewrite a note", text=value))
        self.letter.entered.connect(lambda value: self._change("Size a note", letter=value))
        self.turned.entered.connect(lambda value: self._change("Turn a note", rotation_deg=value % 360.0))

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self.letter.set_units(units)

    def title(self, notes: Sequence[Note]) -> str:
        """Return what is selected, in words."""
        return "Note" if len(notes) == 1 else f"{len(notes)} notes"

    def refresh(self, plan: Plan, notes: Sequence[Note]) -> None:
        """Show these notes."""
        self._notes = tuple(notes)
        self.text.set_value(common(note.text for note in notes))
        self.letter.set_value(common(note.letter for note in notes))
        self.turned.set_value(common(note.rotation_deg for note in notes))

    def _change(self, step: str, **values: Any) -> None:
        ids = [note.id for note in self._notes]
        self._document.apply(step, changed(self._document.settled_plan, ids, **values))


class PictureForm(QWidget):
    """Size, turn, strength and lock of the picture underneath."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._picture: Underlay | None = None
        self.wide = Quantity("width", "length", 0.01, 300.0, "How wide the whole picture is on the plan")
        self.turned = Quantity("turned", "angle", -3600.0, 3600.0, "Counter-clockwise")
        self.strength = Quantity("strength", "share", 0.0, 1.0, "How much of it shows: 0 nothing, 1 all")
        self.lock = Choice(
            "moves", (("by hand", False), ("not: it is locked", True)), "Whether the pointer can move it"
        )
        self.note = words(
            "With the picture tool, click two points and type how far apart they are.", "small", "muted", wrap=True
        )
        self.remove = link("Remove the picture")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in (self.wide, self.turned, self.strength, self.lock, self.note, self.remove):
            column.addWidget(row)
        self.wide.entered.connect(lambda value: self._change("Size the picture", width=value))
        self.turned.entered.connect(lambda value: self._change("Turn the picture", rotation_deg=value % 360.0))
        self.strength.entered.connect(lambda value: self._change("Fade the picture", strength=value))
        self.lock.chosen.connect(
            lambda value: self._change("Lock the picture" if value else "Unlock the picture", locked=value)
        )
        self.remove.clicked.connect(self._remove)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self.wide.set_units(units)

    def title(self, pictures: Sequence[Underlay]) -> str:
        """Return what is selected, in words."""
        return pictures[0].name or "Picture underneath"

    def refresh(self, plan: Plan, pictures: Sequence[Underlay]) -> None:
        """Show the picture."""
        self._picture = picture = pictures[0]
        self.wide.set_value(picture.width)
        self.turned.set_value(picture.rotation_deg)
        self.strength.set_value(picture.strength)
        self.lock.set_value(picture.locked)

    def _change(self, text: str, **values: Any) -> None:
        if self._picture is not None:
            self._document.apply(text, changed(self._document.settled_plan, [self._picture.id], **values))

    def _remove(self) -> None:
        if self._picture is not None:
            plan = removed(self._document.settled_plan, [self._picture.id])
            self._document.apply("Remove the picture", plan, select=())
