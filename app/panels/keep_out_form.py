"""The inspector's page for what is on the ceiling: tracks, openers, hatches, beams, ducts, sprinklers, fans."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, get_args

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.canvas.new_things import KEEP_OUT_SIZES
from app.document import Document
from app.panels.entry import Choice, Entry, common
from app.panels.placing import Placing
from app.panels.quantity import Quantity
from app.panels.words import words
from core.plan import KeepOut, Plan
from core.plan.edits import changed
from core.plan.room import KeepOutKind
from core.units import UnitSystem

__all__ = ["KeepOutForm"]

_WORDS: dict[KeepOutKind, str] = {
    "track": "door track",
    "opener": "door opener",
    "hatch": "attic hatch",
    "sprinkler": "sprinkler head",
    "other": "something else",
}


class KeepOutForm(QWidget):
    """What it is, its size and place, and how far it hangs down."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._items: tuple[KeepOut, ...] = ()
        self.kind = Choice(
            "it is a", ((_WORDS.get(kind, kind), kind) for kind in get_args(KeepOutKind)), "What hangs there"
        )
        self.name = Entry("name", str, tip="What it is called on the plan and in lists")
        self.wide = Quantity("width", "length", 0.01, 300.0, "Along its own level axis")
        self.deep = Quantity("depth", "length", 0.01, 300.0, "Square to its width")
        self.drop = Quantity(
            "hangs down", "length", 0.0, 30.0, "Below the ceiling; 0 for what lies flush, like a hatch"
        )
        self.placing = Placing(document, "obstacle")
        self.note = words("", "small", "muted", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for row in (self.kind, self.name, self.wide, self.deep, self.drop, self.placing, self.note):
            column.addWidget(row)
        self.kind.chosen.connect(self._set_kind)
        self.name.entered.connect(lambda value: self._change("Rename obstacle", name=value))
        self.wide.entered.connect(lambda value: self._change("Set width of obstacle", width=value))
        self.deep.entered.connect(lambda value: self._change("Set depth of obstacle", depth=value))
        self.drop.entered.connect(self._set_drop)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        for row in (self.wide, self.deep, self.drop, self.placing):
            row.set_units(units)

    def title(self, items: Sequence[KeepOut]) -> str:
        """Return what is selected, in words."""
        if len(items) == 1:
            return items[0].name or _WORDS.get(items[0].kind, items[0].kind).capitalize()
        return f"{len(items)} ceiling obstacles"

    def refresh(self, plan: Plan, items: Sequence[KeepOut]) -> None:
        """Show these obstacles."""
        self._items = tuple(items)
        rows: tuple[tuple[Any, str], ...] = (
            (self.kind, "kind"),
            (self.name, "name"),
            (self.wide, "width"),
            (self.deep, "depth"),
            (self.drop, "drop"),
        )
        for row, field in rows:
            row.set_value(common(getattr(item, field) for item in items))
        self.placing.refresh(plan, [item.id for item in items], [item.rotation_deg for item in items])
        belongs = any(item.door for item in items)
        self.note.setVisible(belongs)
        self.note.setText("It follows its overhead door until it is moved or changed by itself." if belongs else "")

    def _set_kind(self, kind: KeepOutKind) -> None:
        plan = self._document.settled_plan
        for item in self._items:
            values: dict[str, Any] = {"kind": kind}
            if item.drop == KEEP_OUT_SIZES[item.kind][2]:  # nobody has set another one
                values["drop"] = min(KEEP_OUT_SIZES[kind][2], plan.room.height)
            plan = changed(plan, [item.id], **values)
        self._document.apply(f"Make it a {_WORDS.get(kind, kind)}", plan)

    def _set_drop(self, drop: float) -> None:
        if drop > self._document.plan.room.height:
            self.drop.refuse("That is lower than the floor.")
            return
        self._change("Set drop of obstacle", drop=drop)

    def _change(self, text: str, **values: Any) -> None:
        ids = [item.id for item in self._items]
        self._document.apply(text, changed(self._document.settled_plan, ids, **values))
