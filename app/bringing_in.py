"""What comes into the plan from outside: things off the shelf, catalogue entries, and the user's own entries."""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from app.canvas.new_things import with_new_furniture
from app.dialogs.data_sheet import DataSheetDialog
from app.document import Document
from app.own_catalogue import OwnCatalogueError, add_own, free_id, own_models
from core.catalogue import catalogue
from core.plan import Model, Plan
from core.plan.edits import all_ids, hung, with_model
from core.units import UnitSystem

__all__ = ["BringingIn"]

_LARGEST_STEP = 40  # tries to find a free spot in the middle of the room
_BESIDE = 0.3048  # m


class BringingIn(QObject):
    """Knows every entry that can be hung, places things by a double click, and edits entries on a data sheet."""

    models_changed = Signal(object)  # tuple of Model: all that can be hung
    message = Signal(str)
    trouble = Signal(str, str)  # title, text

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self._document, self._window = document, window
        self._own: tuple[Model, ...] = ()
        self.units = UnitSystem.US

    def model_with(self, identity: str) -> Model | None:
        """Return the entry with this id: the plan's, the user's own, or the catalogue's."""
        for models in (self._document.plan.models, self._own, catalogue()):
            for model in models:
                if model.id == identity:
                    return model
        return None

    def tell_models(self) -> None:
        """Tell of every entry that can be hung; the plan's own before the user's, then the catalogue's."""
        known: dict[str, Model] = {}
        for model in (*catalogue(), *self._own, *self._document.plan.models):
            known[model.id] = model
        self.models_changed.emit(tuple(known.values()))

    def read_own_catalogue(self) -> None:
        """Read the user's own entries."""
        try:
            self._own = own_models()
        except OwnCatalogueError as problem:
            self.message.emit(str(problem))

    def place(self, thing: dict[str, str], letter: str | None = None) -> None:
        """Put a thing from the shelf in the middle of the room, on a switch if told."""
        plan = self._document.settled_plan
        x, y = self._free_spot(plan)
        if thing.get("what") == "fixture":
            model = self.model_with(str(thing.get("model")))
            if model is None:
                return
            made, identity = hung(plan, model, x, y, group=letter)
            name = model.name
        else:
            made, identity = with_new_furniture(plan, thing["what"], x, y)  # type: ignore[arg-type]
            name = thing["what"]
        self._document.apply(f"Add {name}", made, select=(identity,))
        self.message.emit(f"{name.capitalize()}: in the middle of the room now; drag it or type where it goes.")

    @staticmethod
    def _free_spot(plan: Plan) -> tuple[float, float]:
        """Return the middle of the room, or a spot beside it where something is there already."""
        room = shapely.Polygon(plan.room.outline)
        middle = room.centroid if room.contains(room.centroid) else room.representative_point()
        taken = [(f.x, f.y) for f in plan.fixtures] + [(item.x, item.y) for item in plan.furniture]
        for step in range(_LARGEST_STEP):
            # Round and round, a little wider each time.
            x = middle.x + _BESIDE * math.sqrt(step) * math.cos(2.4 * step)
            y = middle.y + _BESIDE * math.sqrt(step) * math.sin(2.4 * step)
            if room.contains(shapely.Point(x, y)) and all(math.dist((x, y), spot) > _BESIDE / 2 for spot in taken):
                return x, y
        return float(middle.x), float(middle.y)

    def edit_entry_of_plan(self, identity: str) -> None:
        """Open the data sheet of one of the plan's entries."""
        model = self._document.plan.model(identity)
        self.edit_entry(model, model.name)

    def edit_entry(self, model: Model, title: str) -> None:
        """Open the data sheet form; what is saved goes to the user's own catalogue, and to the plan if it is there."""
        dialog = DataSheetDialog(model, self.units, title, self._window)
        accepted = dialog.exec() == QDialog.DialogCode.Accepted
        made = dialog.model
        dialog.deleteLater()
        if not accepted:
            return
        plan = self._document.settled_plan
        is_own = any(known.id == made.id for known in self._own)
        in_plan = any(known.id == made.id for known in plan.models)
        if not is_own and not in_plan:
            taken = {m.id for m in (*catalogue(), *self._own)} | all_ids(plan)
            made = free_id(replace(made, is_example=False), taken)
        self._keep_entry(made)
        if in_plan:
            self._document.apply(f"Change data sheet of {made.name}", with_model(plan, made))
        self.tell_models()

    def _keep_entry(self, model: Model) -> None:
        if model.is_example:
            return
        try:
            add_own(model)
            self._own = own_models()
        except OwnCatalogueError as problem:
            self.trouble.emit("Kept in this plan only", str(problem))
            self._own = (*(known for known in self._own if known.id != model.id), model)
