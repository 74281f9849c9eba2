"""Four figures to be read from a step away: the first bench, the room, how even, how many watts."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.panels.words import link, words
from app.reading import Reading, power
from core.units import UnitSystem, show_illuminance, show_ratio, show_watts

__all__ = ["FourFigures"]

_NONE = "–"
_SPARE = 2  # px
_MUCH_LESS = 0.6  # of its width: a figure in another unit


class _Figure(QWidget):
    def __init__(self) -> None:
        super().__init__()
        self._shown = ("", "", "")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.value = words(_NONE, "figure", strong=True)
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.about = words("", "small", "muted")
        self.about.setAlignment(Qt.AlignmentFlag.AlignRight)
        column.addWidget(self.value)
        column.addWidget(self.about)

    def put(self, value: str, about: str, tip: str) -> None:
        if (value, about, tip) == self._shown:
            return
        if value != self._shown[0]:
            self._make_room_for(value)
            self.value.setText(value)
        if about != self._shown[1]:
            self.about.setText(about)
        self._shown = (value, about, tip)
        self.setToolTip(tip)
        self.setAccessibleName(f"{about}: {value}")

    def _make_room_for(self, value: str) -> None:
        """Keep the place of the figure as wide as it ever was: another would lay out the whole window anew, and in a
        drag it changes with every frame."""
        wanted = self.value.fontMetrics().horizontalAdvance(value) + _SPARE
        if wanted > self.value.maximumWidth() or wanted < _MUCH_LESS * self.value.minimumWidth() or not self._shown[0]:
            self.value.setFixedSize(wanted, self.value.sizeHint().height())


class FourFigures(QWidget):
    """The answer to 'is it enough?' at the present switch setting."""

    def __init__(self, reading: Reading) -> None:
        super().__init__()
        self._reading = reading
        self._shortened: tuple[tuple[str, str], str] | None = None
        self.units = UnitSystem.US
        self.bench, self.room, self.even, self.watts = (_Figure() for _ in range(4))
        self.toggle: QPushButton = link("")
        self.toggle.setCheckable(True)
        self.toggle.clicked.connect(reading.set_maintained)
        self.note: QLabel = words("", "small", "muted")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(4)
        grid = QGridLayout()
        grid.setHorizontalSpacing(16)
        for column, figure in enumerate((self.bench, self.room, self.even, self.watts)):
            grid.addWidget(figure, 0, column, Qt.AlignmentFlag.AlignRight)
        outer.addLayout(grid)
        line = QHBoxLayout()
        line.setSpacing(4)
        line.addStretch(1)
        line.addWidget(self.note)
        line.addWidget(self.toggle)
        outer.addLayout(line)
        reading.changed.connect(self.refresh)
        self.refresh()

    def set_units(self, units: UnitSystem) -> None:
        """Show foot-candles or lux."""
        self.units = units
        self.refresh()

    def refresh(self) -> None:
        """Read the figures off again."""
        plan, field, kind = self._reading.plan, self._reading.field, self._reading.kind
        factor = self._reading.factor
        benches = plan.benches()
        first = benches[0] if benches else None
        at_bench = field.benches.get(first.id) if field is not None and first is not None else None
        name = self._short(first.name) if first is not None else "no bench yet"
        self.bench.put(
            show_illuminance(at_bench.average * factor, self.units) if at_bench is not None else _NONE,
            f"{name}, {kind}" if first is not None else name,
            f"Average on the top of {first.name}" if first is not None else "Drag a bench onto the plan",
        )
        room = field.room if field is not None else None
        band = "Points on the work plane that lie off the wall band and not under anything taller"
        self.room.put(
            show_illuminance(room.average * factor, self.units) if room is not None else _NONE,
            f"room, {kind}",
            f"Average of the room. {band}",
        )
        is_dark = room is not None and room.average <= 0.0
        self.even.put(
            show_ratio(room.evenness) if room is not None and not is_dark else _NONE,
            "evenness: no light" if is_dark else "min / average",
            f"Evenness of the room: the darkest point divided by the average. {band}",
        )
        watts = power(plan, self._reading.levels)[1]
        self.watts.put(show_watts(watts), "now", "Power of all fixtures at this switch setting")
        self._refresh_toggle()

    def _refresh_toggle(self) -> None:
        factor = self._reading.plan.light_loss.factor
        maintained = self._reading.is_maintained
        self.toggle.setChecked(maintained)
        self.note.setText(
            f"light after dirt and ageing (× {factor:.2f})" if maintained else "light of new, clean fixtures"
        )
        self.toggle.setText("show initial" if maintained else "show maintained")
        self.toggle.setToolTip(
            f"Initial: new and clean. Maintained: after the light loss that is set for the room (now × {factor:.2f})."
        )

    def _short(self, name: str) -> str:
        asked = name, self.font().key()
        if self._shortened is None or self._shortened[0] != asked:
            self._shortened = asked, self.fontMetrics().elidedText(name.lower(), Qt.TextElideMode.ElideRight, 128)
        return self._shortened[1]
