"""Joins the wiring to the window: cable on the drawing, the wiring window, and places picked on the plan."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QInputDialog

from app.wiring.dialog import WiringDialog
from app.wiring.dragging import PlaceDrag
from app.wiring.route_sheet import RouteSheet
from core.plan import Point
from core.units import UnitError, parse_length
from core.wiring.decisions import with_assumed, with_lead, with_panel_at, with_switch_box_at

if TYPE_CHECKING:
    from app.theme import Theme
    from app.window import MainWindow

__all__ = ["WiringHook"]

_SHOWN_KEY = "wiring/cable on the plan"


class WiringHook:
    """What the window keeps of the wiring."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        self.sheet = RouteSheet(window.canvas, window.document, window.theme)
        self.drag = PlaceDrag(window.canvas, window.document)
        self.dialog: WiringDialog | None = None
        self._show(self.is_cable_shown)

    @property
    def is_cable_shown(self) -> bool:
        """Whether cable is drawn on the plan."""
        return str(QSettings().value(_SHOWN_KEY, "no")) == "yes"

    def show_cable(self, shown: bool) -> None:
        """Draw cable on the plan, or not."""
        QSettings().setValue(_SHOWN_KEY, "yes" if shown else "no")
        self._show(shown)

    def _show(self, shown: bool) -> None:
        self.sheet.setVisible(shown)
        self.drag.enabled = shown

    def point_at(self, ids: Iterable[str]) -> None:
        """Ring the things of the wiring among these ids; cable is shown while there are some."""
        fixtures = {fixture.id for fixture in self._window.document.plan.fixtures}
        places = frozenset(ids) - fixtures
        self.sheet.point_at(places)
        self._show(self.is_cable_shown or bool(places))

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.sheet.theme = theme
        self.sheet.update()

    def show_dialog(self) -> None:
        """Open the wiring window; the main window stays usable beside it."""
        if self.dialog is None:
            made = WiringDialog(self._window.document, self._window)
            made.switches.panel_wanted.connect(self.place_panel)
            made.switches.box_wanted.connect(self.place_switch_box)
            made.leads.lead_wanted.connect(self.place_lead)
            made.cable.marked.connect(self.sheet.mark)
            made.finished.connect(lambda _=0: self.sheet.mark(frozenset()))
            self.dialog = made
        self.dialog.refresh()
        self.dialog.show()
        self.dialog.raise_()

    def place_panel(self) -> None:
        """One click: the panel goes on the nearest wall."""
        self._window.status.say("Click where the panel is; Esc leaves it.")
        self._window.checks.sheet.pick(self._panel_picked)

    def _panel_picked(self, point: Point | None) -> None:
        document = self._window.document
        if point is not None:
            document.apply("Place the panel", with_panel_at(document.settled_plan, *point))
        self._window.status.say("")

    def place_switch_box(self) -> None:
        """One click and a list of groups: a switch box goes on the nearest wall."""
        self._window.status.say("Click where the switch box is; Esc leaves it.")
        self._window.checks.sheet.pick(self._box_picked)

    def _box_picked(self, point: Point | None) -> None:
        status, document = self._window.status, self._window.document
        status.say("")
        if point is None:
            return
        plan = document.settled_plan
        letters = " ".join(group.letter for group in plan.groups)
        text, fine = QInputDialog.getText(self._window, "Switch box", "Groups that are switched here:", text=letters)
        if not fine:
            return
        try:
            document.apply("Place a switch box", with_switch_box_at(plan, *point, text.upper()))
        except ValueError as problem:
            status.say(str(problem))

    def place_lead(self) -> None:
        """One click, a group and a length: a cable end that was left above the ceiling."""
        self._window.status.say("Click where the lead comes out; Esc leaves it.")
        self._window.checks.sheet.pick(self._lead_picked)

    def _lead_picked(self, point: Point | None) -> None:
        status, document = self._window.status, self._window.document
        status.say("")
        if point is None:
            return
        text, fine = QInputDialog.getText(self._window, "Lead", "Group, and the length that hangs free, as: A 12'")
        if not fine:
            return
        letter, _, length = text.strip().partition(" ")
        try:
            free = parse_length(length, self._window.units)
            if not 0.0 < free <= 300.0:
                raise ValueError("A lead is longer than nothing, and shorter than 300 m.")
            edited = with_lead(document.settled_plan, letter.upper(), *point, free)
        except (UnitError, ValueError) as problem:
            status.say(str(problem))
            return
        document.apply("Place a lead", edited)

    def take_assumed(self) -> None:
        """Make what is assumed the plan's own."""
        document = self._window.document
        document.apply("Decide the wiring as assumed", with_assumed(document.settled_plan))
