"""The inspector's pages for what is neither fixture nor furniture: openings, ceiling, joists, notes, picture."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.joist_form import JoistForm
from app.panels.keep_out_form import KeepOutForm
from app.panels.opening_form import OpeningForm
from app.panels.sheet_form import NoteForm, PictureForm
from core.plan import JoistZone, KeepOut, Note, Opening, Plan, Underlay
from core.plan.edits import find
from core.units import UnitSystem

__all__ = ["OtherForms"]


class OtherForms(QWidget):
    """Shows the one page that suits the selection, or none."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.openings, self.keep_outs, self.joists = OpeningForm(document), KeepOutForm(document), JoistForm(document)
        self.notes, self.picture = NoteForm(document), PictureForm(document)
        self._forms: dict[type, Any] = {
            Opening: self.openings,
            KeepOut: self.keep_outs,
            JoistZone: self.joists,
            Note: self.notes,
            Underlay: self.picture,
        }
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for form in self._forms.values():
            column.addWidget(form)
            form.hide()

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        for form in self._forms.values():
            form.set_units(units)

    def refresh(self, plan: Plan, ids: Collection[str]) -> str | None:
        """Show the page for these things and return its title; None where they are of several kinds."""
        things = [thing for identity in ids if (thing := find(plan, identity)) is not None]
        kinds = {type(thing) for thing in things}
        wanted = self._forms.get(kinds.pop()) if len(kinds) == 1 else None
        for form in self._forms.values():
            form.setVisible(form is wanted)
        if wanted is None:
            return None
        wanted.refresh(plan, things)
        title: str = wanted.title(things)
        return title
