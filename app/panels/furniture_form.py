"""The inspector's page for benches, machines and cabinets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, Entry, common
from app.panels.placing import Placing
from app.panels.quantity import Quantity
from core.plan import Furniture, Plan
from core.plan.edits import changed
from core.units import UnitSystem, show_illuminance, show_length

__all__ = ["FurnitureForm"]

_SIDES = (
    ("front", "front"),
    ("back", "back"),
    ("left", "left"),
    ("right", "right"),
    ("nobody", "nobody"),
)


def _a_name(text: str) -> str:
    if not text:
        raise ValueError("Give it a name, so that lists can speak of it.")
    return text


class FurnitureForm(QWidget):
    """Name, size, place and use of one or several boxes."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._units = UnitSystem.US
        self._items: tuple[Furniture, ...] = ()
        self.name = Entry("name", _a_name, tip="What it is called on the plan and in lists")
        self.wide = Quantity("width", "length", 0.01, 300.0, "Along its front")
        self.deep = Quantity("depth", "length", 0.01, 300.0, "From front to back")
        self.top = Quantity("top at", "length", 0.01, 30.0, "Height of its top above the floor")
        self.bottom = Quantity(
            "underside at",
            "length",
            0.0,
            30.0,
            "0: stands on the floor. A bench on legs: underside of its top",
        )
        self.placing = Placing(document, "piece")
        self.reflects = Quantity(
            "reflects",
            "share",
            0.0,
            0.95,
            "Share of the light that its surfaces give back: raw wood 0.4, white 0.8",
        )
        self.worker = Choice("worker at", _SIDES, "The side where somebody stands")
        self.target = Quantity(
            "target", "light", 1.0, 100_000.0, "Light wanted on its top; empty: the room's target", empty=True
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        rows = (
            self.name,
            self.wide,
            self.deep,
            self.top,
            self.bottom,
            self.placing,
            self.reflects,
            self.worker,
            self.target,
        )
        for row in rows:
            column.addWidget(row)
        self._connect()

    def _connect(self) -> None:
        self.name.entered.connect(lambda value: self._change("Rename", name=value))
        self.wide.entered.connect(lambda value: self._change("Set width", width=value))
        self.deep.entered.connect(lambda value: self._change("Set depth", depth=value))
        self.top.entered.connect(self._set_top)
        self.bottom.entered.connect(self._set_bottom)
        self.reflects.entered.connect(lambda value: self._change("Set finish", reflectance=value))
        self.worker.chosen.connect(lambda value: self._change("Set worker's side", worker_side=value))
        self.target.entered.connect(lambda value: self._change("Set target", target_lux=value))

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self._units = units
        for row in (self.wide, self.deep, self.top, self.bottom, self.target, self.placing):
            row.set_units(units)

    def title(self, plan: Plan, items: Sequence[Furniture]) -> str:
        """Return what is selected, in words."""
        if len(items) == 1:
            return items[0].name
        kind = common(item.kind for item in items)
        plural = {"bench": "benches", "machine": "machines", "cabinet": "cabinets"}
        return f"{len(items)} {plural.get(kind, 'pieces')}"

    def refresh(self, plan: Plan, items: Sequence[Furniture]) -> None:
        """Show these pieces."""
        self._items = tuple(items)
        self.name.set_value(common(item.name for item in items))
        for row, field in (
            (self.wide, "width"),
            (self.deep, "depth"),
            (self.top, "top"),
            (self.bottom, "bottom"),
            (self.reflects, "reflectance"),
            (self.worker, "worker_side"),
            (self.target, "target_lux"),
        ):
            row.set_value(common(getattr(item, field) for item in items))
        if all(item.target_lux is None for item in items):
            self.target.line.setPlaceholderText(f"room: {show_illuminance(plan.targets.lux, self._units)}")
        self.placing.refresh(plan, [item.id for item in items], [item.rotation_deg for item in items])
        self.worker.setVisible(all(item.kind != "cabinet" for item in items))
        self.target.setVisible(all(item.kind == "bench" for item in items))

    def _set_top(self, top: float) -> None:
        if any(item.bottom >= top for item in self._items):
            self.top.refuse("The top has to be higher than the underside. Lower the underside first.")
            return
        height = self._document.plan.room.height
        if top > height:
            self.top.refuse(f"The ceiling is at {show_length(height, self._units)}; nothing here is taller.")
            return
        self._change("Set height", top=top)

    def _set_bottom(self, bottom: float) -> None:
        if any(item.top <= bottom for item in self._items):
            self.bottom.refuse("The underside has to be lower than the top.")
            return
        self._change("Set underside", bottom=bottom)

    def _change(self, text: str, **values: Any) -> None:
        ids = [item.id for item in self._items]
        noun = common(item.kind for item in self._items)
        noun = noun if isinstance(noun, str) else "pieces"
        self._document.apply(f"{text} of {noun}", changed(self._document.settled_plan, ids, **values))
