"""What is asked of a layout, in plain fields."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QVBoxLayout, QWidget

from app.panels.entry import Choice
from app.panels.quantity import Quantity
from app.panels.words import heading
from app.suggest.models_choice import ModelsChoice
from core.plan import Model, Plan
from core.suggest.improve import works_at_a_bench
from core.suggest.request import ASKED_TOO_MUCH, Request, ceiling_models, replaced_ids
from core.units import FOOT, LUX_PER_FC, UnitSystem, show_watts

__all__ = ["RequestForm"]

_MOST_LUX = 5000.0 * LUX_PER_FC
_ON_JOISTS = "Rows are shifted by half a bay at the most, so that at least half the screws of a fixture bite into wood"
_NO_JOISTS = "No joists are drawn on the ceiling of this plan"


class RequestForm(QWidget):
    """Holds the request; a field that is left empty asks for nothing."""

    changed = Signal()

    def __init__(self, units: UnitSystem) -> None:
        super().__init__()
        self._values: dict[str, Any] = {}
        self.model = ModelsChoice("Fixture", "Which models may be used, one or several; those of the plan first")
        self.power = Choice("Power", tip="The setting of the switch on the fixture")
        self.minimum = self._quantity("Darkest spot", "minimum", "light", 0.0, _MOST_LUX, "At least this much anywhere")
        self.average = self._quantity("Average", "average", "light", 0.0, _MOST_LUX, "Over the work plane")
        self.bench_minimum = self._quantity(
            "Each bench", "bench_minimum", "light", 0.0, _MOST_LUX, "At least this much anywhere on every bench"
        )
        self.evenness = self._quantity("Min / average", "evenness", "share", 0.0, 1.0, "0.6 is even, 0.3 is patchy")
        self.count = self._quantity("Exactly", "count", "whole", 1.0, ASKED_TOO_MUCH, "What you have: use all of them")
        self.at_most = self._quantity("At most", "at_most", "whole", 1.0, ASKED_TOO_MUCH, "No more than so many")
        self.wall = self._quantity("From walls", "wall_distance", "length", 0.0, 10.0, "Least distance of a centre")
        self.switches = self._quantity("Switches", "groups", "whole", 1.0, 12.0, "Fixtures are shared out to so many")
        self.reduced = self._quantity(
            "Reduced", "reduced_average", "light", 0.0, _MOST_LUX, "Average that is left with only some switches on"
        )
        self.reduced_on = self._quantity(
            "Switches on",
            "reduced_on",
            "whole",
            1.0,
            12.0,
            "How many switches are on in the reduced setting; the brightest ones",
        )
        self.shadow = self._quantity(
            "Body shadow",
            "shadow_limit",
            "percent",
            0.0,
            1.0,
            "The most that a body may take at the hands, at any bench",
        )
        self.glare = self._quantity(
            "Glare, UGR", "glare_limit", "whole", 5.0, 40.0, "The most at any standing place; 19 is an office's limit"
        )
        self.circuits = self._quantity("Circuits", "circuits", "whole", 1.0, 50.0, "The most that the lights may need")
        self.hidden = QCheckBox("Leave out hidden spots")
        self.hidden.setChecked(True)
        self.hidden.setToolTip(
            "A gap between two machines where no hand works would cost fixtures; answers say how dark it stays"
        )
        self.benches = QCheckBox("Every bench reaches its target")
        self.doors = QCheckBox("Nothing above overhead doors")
        self.mirrored = QCheckBox("Mirrored left to right")
        self.joists = QCheckBox("On joists where it costs no fixture")
        self.arrangement = Choice(
            "Arrangement", [("Rows and free", "any"), ("Rows only", "rows"), ("Free only", "free")]
        )
        self.minimise = Choice(
            "As little", [("money", "cost"), ("fixtures", "fixtures"), ("power", "watts"), ("body shadow", "shadow")]
        )
        self._models: dict[str, Model] = {}
        self.model.chosen.connect(lambda _value: self._offer_power())
        self._lay_out()
        self.set_units(units)
        self._put("wall_distance", 2 * FOOT, self.wall)
        self.arrangement.set_value("any")
        self.minimise.set_value("cost")

    def _lay_out(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        parts: Sequence[tuple[str, Sequence[QWidget]]] = (
            (
                "What must hold",
                (self.minimum, self.hidden, self.average, self.bench_minimum, self.evenness, self.benches),
            ),
            ("To work in", (self.shadow, self.glare, self.circuits)),
            ("What with", (self.model, self.power, self.count, self.at_most, self.minimise)),
            ("Where", (self.wall, self.arrangement, self.mirrored, self.joists, self.doors)),
            ("Switches", (self.switches, self.reduced, self.reduced_on)),
        )
        for title, rows in parts:
            column.addWidget(heading(title))
            for row in rows:
                column.addWidget(row)
            column.addSpacing(8)
        column.addStretch(1)

    def _quantity(self, name: str, field: str, sort: Any, low: float, high: float, tip: str) -> Quantity:
        row = Quantity(name, sort, low, high, tip, empty=True)
        row.entered.connect(lambda value: self._take(field, value))
        return row

    def _take(self, field: str, value: Any) -> None:
        self._values[field] = value
        self.changed.emit()

    def _put(self, field: str, value: Any, row: Quantity) -> None:
        self._values[field] = value
        row.set_value(value)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units."""
        for row, field in (
            (self.minimum, "minimum"),
            (self.average, "average"),
            (self.bench_minimum, "bench_minimum"),
            (self.evenness, "evenness"),
            (self.reduced, "reduced_average"),
            (self.shadow, "shadow_limit"),
            (self.wall, "wall_distance"),
        ):
            row.set_units(units)
            row.set_value(self._values.get(field))
        low, high = ("30 fc", "60 fc") if units is UnitSystem.US else ("300 lx", "600 lx")
        for row, example in (
            (self.minimum, low),
            (self.average, high),
            (self.bench_minimum, high),
            (self.evenness, "0.4"),
            (self.shadow, "20 %"),
            (self.glare, "19"),
            (self.circuits, "1"),
            (self.count, "6"),
            (self.at_most, "10"),
            (self.switches, "3"),
            (self.reduced, low),
            (self.reduced_on, "1"),
        ):
            row.show_example(f"such as {example}")

    def set_plan(self, plan: Plan, catalogue: Sequence[Model]) -> None:
        """Offer the plan's models, then those of the catalogue; ask for the plan's target to begin with."""
        own = ceiling_models(plan)
        known = {model.id for model in own}
        others = [m for m in catalogue if m.mounting != "bench" and m.id not in known]
        self.model.set_models(own, others)
        self._models = {model.id: model for model in (*own, *others)}
        self._offer_power()
        if not self._values.get("average") and not self._values.get("minimum"):
            self._put("average", plan.targets.lux, self.average)
        if not self._values.get("groups"):
            gone = set(replaced_ids(plan))
            self._put("groups", max(1, len({f.group for f in plan.fixtures if f.id in gone})), self.switches)
        self.follow(plan)

    def follow(self, plan: Plan) -> None:
        """Let only be asked for what the plan has a use for."""
        self.shadow.setEnabled(works_at_a_bench(plan))
        self.benches.setEnabled(bool(plan.benches()))
        self.bench_minimum.setEnabled(bool(plan.benches()))
        self.joists.setEnabled(bool(plan.room.joists))
        self.joists.setToolTip(_ON_JOISTS if plan.room.joists else _NO_JOISTS)

    def _offer_power(self) -> None:
        """Offer the settings of the one model that is chosen; several have only their strongest in common."""
        ids = self.model.value()
        chosen = self.power.value()
        settings = self._models[ids[0]].settings if len(ids) == 1 and ids[0] in self._models else ()
        options: list[tuple[str, int | None]] = [("Strongest", None)]
        if len(settings) > 1:
            options += [
                (f"{show_watts(setting.watts)}, {setting.lumens:,.0f} lm", k) for k, setting in enumerate(settings)
            ]
        self.power.set_options(options)
        self.power.set_value(chosen if chosen in [value for _, value in options] else None)
        self.power.setEnabled(len(options) > 1)

    @property
    def _rows(self) -> tuple[Quantity, ...]:
        light = (self.minimum, self.average, self.bench_minimum, self.evenness)
        comfort = (self.shadow, self.glare, self.circuits)
        return (*light, *comfort, self.count, self.at_most, self.wall, self.switches, self.reduced, self.reduced_on)

    @property
    def is_wrong(self) -> bool:
        """Whether a field holds an entry that was refused."""
        return any(row.is_wrong for row in self._rows)

    def request(self) -> Request:
        """Return what is asked."""
        for row in self._rows:
            row.take()
        value = self._values.get
        count, most, wall = value("count"), value("at_most"), value("wall_distance")
        return Request(
            minimum=value("minimum") or 0.0,
            leave_hidden=self.hidden.isChecked(),
            average=value("average") or 0.0,
            benches=self.benches.isChecked() and self.benches.isEnabled(),
            bench_minimum=(value("bench_minimum") or 0.0) if self.bench_minimum.isEnabled() else 0.0,
            evenness=value("evenness") or 0.0,
            models=self.model.value(),
            setting=self.power.value(),
            count=int(count) if count else None,
            at_most=int(most) if most else None,
            arrangement=self.arrangement.value() or "any",
            symmetric=self.mirrored.isChecked(),
            on_joists=self.joists.isChecked() and self.joists.isEnabled(),
            minimise=self.minimise.value() or "cost",
            wall_distance=2 * FOOT if wall is None else wall,
            clear_of_doors=self.doors.isChecked(),
            groups=int(value("groups") or 1),
            shadow_limit=(value("shadow_limit") or 0.0) if self.shadow.isEnabled() else 0.0,
            glare_limit=value("glare_limit") or 0.0,
            circuits=int(value("circuits") or 0),
            reduced_average=value("reduced_average") or 0.0,
            reduced_on=int(value("reduced_on") or 0),
        )
