"""The light that is read off now: what was computed, at the present switch setting, initial or maintained."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject, Signal

from app.document import Document
from app.switches import Switches
from core.light.field import Field, Lighting
from core.plan import Plan

__all__ = ["Reading", "power"]


def power(plan: Plan, levels: Mapping[str, float], letter: str | None = None) -> tuple[float, float]:
    """Return lumens and watts at a setting, of one group or of all.

    Both are taken in proportion to the dimmer's level; a driver's own losses at low levels are left out.
    """
    lumens = watts = 0.0
    for fixture in plan.fixtures:
        if letter is None or fixture.group == letter:
            share = levels.get(fixture.group, 0.0)
            setting = plan.setting(fixture)
            lumens += setting.lumens * share
            watts += setting.watts * share
    return lumens, watts


class Reading(QObject):
    """Keeps the present field for all panels, so that each switch setting is summed once."""

    changed = Signal()

    def __init__(self, document: Document, switches: Switches, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._switches = document, switches
        self._lighting: Lighting | None = None
        self._field: Field | None = None
        self._is_maintained = False
        document.changed.connect(self._plan_changed)

    @property
    def plan(self) -> Plan:
        """The plan that is shown."""
        return self._document.plan

    @property
    def levels(self) -> Mapping[str, float]:
        """The present switch setting."""
        return self._switches.levels

    @property
    def lighting(self) -> Lighting | None:
        """The light of every setting; None before the first picture."""
        return self._lighting

    @property
    def field(self) -> Field | None:
        """The initial light at the present setting."""
        return self._field

    @property
    def is_maintained(self) -> bool:
        """Whether figures are shown after light loss."""
        return self._is_maintained

    @property
    def factor(self) -> float:
        """What figures are multiplied with: 1 for initial light."""
        return self.plan.light_loss.factor if self._is_maintained else 1.0

    @property
    def kind(self) -> str:
        """The word that stands beside every figure."""
        return "maintained" if self._is_maintained else "initial"

    def set_light(self, lighting: Lighting | None, field: Field | None) -> None:
        """Take over the light of the plan and its field at the present setting."""
        self._lighting, self._field = lighting, field
        self.changed.emit()

    def set_maintained(self, maintained: bool) -> None:
        """Show maintained (after light loss) or initial figures."""
        if maintained != self._is_maintained:
            self._is_maintained = maintained
            self.changed.emit()

    def at(self, levels: Mapping[str, float]) -> Field | None:
        """Return the initial light at another setting."""
        return self._lighting.field(levels) if self._lighting is not None else None

    def _plan_changed(self) -> None:
        # Names, targets and light loss change what is read off, too; during a gesture the light itself tells.
        if not self._document.in_gesture:
            self.changed.emit()
