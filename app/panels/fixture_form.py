"""The inspector's page for fixtures."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.document import Document
from app.panels.entry import Choice, common
from app.panels.placing import Placing
from app.panels.quantity import Quantity
from app.panels.words import link, words
from core.plan import Fixture, Plan
from core.plan.edits import assigned, changed
from core.plan.fixture_settings import with_colour, with_power
from core.plan.wiring import Stage
from core.units import UnitSystem, show_length, show_lumens, show_watts
from core.wiring.decisions import with_stages

__all__ = ["FixtureForm"]

_NEW = "new"
_STAGES = (("to do", "to do"), ("existing", "existing"), ("done", "done"))
_FOR = (("what is selected", "these"), ("all of its switch", "switch"), ("all in the room", "all"))


class FixtureForm(QWidget):
    """Place, height, power, colour and switch of one or several fixtures."""

    data_sheet_wanted = Signal(str)  # id of a model of the plan

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._units = UnitSystem.US
        self._fixtures: tuple[Fixture, ...] = ()
        self.placing = Placing(document, "fixture")
        self.drop = Quantity("drop", "length", 0.0, 30.0, "From the ceiling to the top of the body")
        self.light_at = Quantity("light at", "length", 0.0, 30.0, "Height of the luminous opening above the floor")
        self.note = words("", "small", "muted", wrap=True)
        self.power = Choice("power", tip="The setting of its power switch, from the data sheet")
        self.colour = Choice("colour", tip="Correlated colour temperature")
        self.scope = Choice("applies to", _FOR, "Whether power and colour go to more than what is selected")
        self.scope.set_value("these")
        self.stage = Choice("stage", _STAGES, "Only what is to do is on the shopping list")
        self.switch = Choice("switch", tip="Which wall switch runs it; Shift and a letter does the same")
        self.data_sheet = link("Data sheet…", "See or edit the catalogue entry of this fixture")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        lamp = (self.power, self.colour, self.scope)
        for row in (self.placing, self.drop, self.light_at, self.note, *lamp, self.switch, self.stage):
            column.addWidget(row)
        column.addWidget(self.data_sheet)
        self.drop.entered.connect(lambda value: self._change("Set drop", drop=value, height=None))
        self.light_at.entered.connect(lambda value: self._change("Set height of light", height=value))
        self.power.chosen.connect(lambda value: self._apply("Set power", with_power, value, self.scope.value()))
        self.colour.chosen.connect(lambda value: self._apply("Set colour", with_colour, value, self.scope.value()))
        self.stage.chosen.connect(self._set_stage)
        self.switch.chosen.connect(self._assign)
        self.data_sheet.clicked.connect(self._open_data_sheet)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        self._units = units
        self.placing.set_units(units)
        self.drop.set_units(units)
        self.light_at.set_units(units)

    def title(self, plan: Plan, fixtures: Sequence[Fixture]) -> str:
        """Return what is selected, in words."""
        names = {plan.model(fixture.model).name for fixture in fixtures}
        if len(fixtures) == 1:
            return fixtures[0].name or names.pop()
        return f"{len(fixtures)} × {names.pop()}" if len(names) == 1 else f"{len(fixtures)} fixtures"

    def refresh(self, plan: Plan, fixtures: Sequence[Fixture]) -> None:
        """Show these fixtures."""
        if {f.id for f in fixtures} != {f.id for f in self._fixtures}:
            self.scope.set_value("these")  # a wide reach is meant once, not for what is selected next
        self._fixtures = tuple(fixtures)
        self.placing.refresh(plan, [f.id for f in fixtures], [f.rotation_deg for f in fixtures])
        hang = all(f.height is None for f in fixtures)
        models = [plan.model(f.model) for f in fixtures]
        recessed = any(model.mounting == "recessed" for model in models)
        self.drop.setVisible(hang and not recessed)
        self.drop.set_value(common(f.drop for f in fixtures))
        self.light_at.setVisible(not hang)
        self.light_at.set_value(common(f.height for f in fixtures))
        heights = common(round(plan.opening_height(f), 4) for f in fixtures)
        self.note.setText(
            f"Light at {show_length(heights, self._units)} above the floor" if isinstance(heights, float) else ""
        )
        self.note.setVisible(hang and isinstance(heights, float))
        self._refresh_choices(plan, fixtures)

    def _refresh_choices(self, plan: Plan, fixtures: Sequence[Fixture]) -> None:
        model = common(plan.model(f.model) for f in fixtures)
        alike = hasattr(model, "settings")
        if alike:
            self.power.set_options(
                (f"{show_watts(s.watts)} · {show_lumens(s.lumens)}", i) for i, s in enumerate(model.settings)
            )
            self.power.set_value(common(f.setting for f in fixtures))
        self.power.setVisible(alike)
        colours = set(plan.model(fixtures[0].model).colours)
        for fixture in fixtures:
            colours &= set(plan.model(fixture.model).colours)
        self.colour.set_options((f"{kelvin} K", kelvin) for kelvin in sorted(colours))
        self.colour.set_value(common(f.colour for f in fixtures))
        self.colour.setVisible(bool(colours))
        options = [(f"{group.letter}  {group.label}", group.letter) for group in plan.groups]
        self.switch.set_options([*options, ("new switch", _NEW)])
        self.switch.set_value(common(f.group for f in fixtures))
        self.scope.setVisible(alike or bool(colours))
        self.stage.set_value(common(plan.wiring.stage("fixture", f.id) or "to do" for f in fixtures))
        self.data_sheet.setVisible(alike)

    def _ids(self) -> list[str]:
        return [fixture.id for fixture in self._fixtures]

    def _change(self, text: str, **values: object) -> None:
        self._document.apply(text, changed(self._document.settled_plan, self._ids(), **values))

    def _apply(self, text: str, edit: Callable[..., Plan], *values: object) -> None:
        self._document.apply(text, edit(self._document.settled_plan, self._ids(), *values))

    def _set_stage(self, stage: Stage) -> None:
        self._apply("Set stage", lambda plan, ids: with_stages(plan, (("fixture", i) for i in ids), stage))

    def _assign(self, letter: str) -> None:
        plan = self._document.settled_plan
        if letter == _NEW:
            taken = {group.letter for group in plan.groups}
            letter = next((c for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if c not in taken), "")
            if not letter:
                self.switch.explain("All letters from A to Z have a switch.")
                return
        self._document.apply(f"Put on switch {letter}", assigned(plan, self._ids(), letter))

    def _open_data_sheet(self) -> None:
        if self._fixtures:
            self.data_sheet_wanted.emit(self._fixtures[0].model)
