"""Joins the checks and the light meter to the window: the findings beside the plan, a menu, marks on the drawing."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QDialog

from app.checks.background import Background, Found
from app.checks.findings_window import FindingsWindow
from app.checks.mark_sheet import MarkSheet
from app.checks.meter_window import MeterWindow
from app.panels.sentences import Sentence, Weight
from core.checks.finding import Finding, Severity
from core.light.engine import LightEngine
from core.plan import Point
from core.plan.checking import Camera, ViewPlace, fresh_number, with_entry

if TYPE_CHECKING:
    from app.theme import Theme
    from app.window import MainWindow

__all__ = ["Checks", "sentence_of"]

_WEIGHTS = {Severity.ACT: Weight.ACT, Severity.MIND: Weight.MIND, Severity.GOOD: Weight.GOOD}
_SAID_AT_ONCE = ("average light on its top", "average light (", "evenness (", "light", "benches")


class Checks:
    """What the window keeps of the checks: the background work, the marks, the two windows."""

    def __init__(self, window: MainWindow, engine: LightEngine) -> None:
        self._window, self._engine = window, engine
        self.sheet = MarkSheet(window.canvas, window.document, window.theme)
        self.background = Background(window.document, window.reading, window.solver, engine)
        self.findings_window: FindingsWindow | None = None
        self.meter_window: MeterWindow | None = None
        self._first: Point | None = None
        self.background.arrived.connect(self._arrived)
        self.background.busy_changed.connect(window.inspector.findings.set_waiting)
        window.inspector.findings.all_wanted.connect(self.show_findings)
        window.inspector.findings.place_wanted.connect(self.sheet.point_at)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self.sheet.theme = theme
        self.sheet.update()
        for dialog in (self.findings_window, self.meter_window):
            if dialog is not None:
                dialog.refresh()

    def shutdown(self) -> None:
        """End what runs in the background."""
        self.background.shutdown()
        if self.meter_window is not None:
            self.meter_window.shutdown()

    def _arrived(self, found: Found) -> None:
        if found.failure:
            self._window.status.say(found.failure)
        benches = {bench.id for bench in self._window.document.plan.benches()}
        deep = [sentence_of(f) for f in found.findings if not _is_said_at_once(f, benches)]
        self._window.inspector.findings.set_deep(deep, {sentence_of(f): f.place for f in found.findings})

    # --- windows

    def show_findings(self) -> None:
        """Open the table of all findings."""
        if self.findings_window is None:
            window = self._window
            made = FindingsWindow(
                window.document, window.reading, self.background, self.sheet, lambda: window.theme, window
            )
            made.places.eye_wanted.connect(self.place_eye)
            made.places.camera_wanted.connect(self.place_camera)
            self.findings_window = made
        _raise(self.findings_window)

    def show_places(self) -> None:
        """Open the fields of eyes and cameras."""
        self.show_findings()
        if self.findings_window is not None:
            self.findings_window.show_places()

    def show_meter(self) -> None:
        """Open the light meter."""
        if self.meter_window is None:
            window = self._window
            made = MeterWindow(window.document, window.reading, self._engine, self.sheet, lambda: window.theme, window)
            self.meter_window = made
        self.sheet.show_readings = True
        self.meter_window.refresh()
        _raise(self.meter_window)

    def show_limits(self) -> None:
        """Open what findings are held against, and the worker."""
        self.show_findings()
        if self.findings_window is not None:
            self.findings_window.show_limits()

    # --- places

    def place_eye(self) -> None:
        """Two clicks: where the eye is, and what it looks at; its glare is then among the findings."""
        self._pick_two("Click where the eye is.", "Now click what it looks at.", self._add_eye)

    def place_camera(self) -> None:
        """Two clicks: the camera, and the person that it looks at."""
        self._pick_two("Click where the camera is.", "Now click the person that it looks at.", self._add_camera)

    def clear_places(self) -> None:
        """Take all eyes and cameras off the plan."""
        plan = self._window.document.settled_plan
        if not (plan.checking.views or plan.checking.cameras):
            self._window.status.say("There is no eye or camera on the plan.")
            return
        bare = replace(plan, checking=replace(plan.checking, views=(), cameras=()))
        self._window.document.apply("Remove eyes and cameras", bare)

    def _pick_two(self, first: str, second: str, then: Callable[[Point, Point], None]) -> None:
        status = self._window.status
        aside = self.findings_window if self.findings_window is not None and self.findings_window.isVisible() else None

        def one(point: Point | None) -> None:
            if point is None:
                end("Nothing was placed.")
            else:
                self.sheet.pick(lambda other: two(point, other), second)

        def two(point: Point, other: Point | None) -> None:
            if other is None or math.dist(point, other) < 0.05:
                end("Nothing was placed." if other is None else "The two places are the same; try again.")
            else:
                then(point, other)
                end("")

        def end(words: str) -> None:
            status.say(words)
            if aside is not None:
                aside.show_places()
                _raise(aside)

        if aside is not None:
            aside.hide()
        self.sheet.pick(one, first)

    def _add_eye(self, at: Point, towards: Point) -> None:
        document = self._window.document
        plan = document.settled_plan
        identity = fresh_number(plan.checking, "view")
        direction = math.degrees(math.atan2(towards[1] - at[1], towards[0] - at[0])) % 360.0
        number = len(plan.checking.views) + 1
        eye = ViewPlace(identity, at[0], at[1], plan.worker.height * 0.936, direction, f"Eye {number}")
        document.apply("Place an eye", replace(plan, checking=with_entry(plan.checking, eye)))

    def _add_camera(self, at: Point, subject: Point) -> None:
        document = self._window.document
        plan = document.settled_plan
        identity = fresh_number(plan.checking, "camera")
        camera = Camera(identity, *at, *subject, name=f"Camera {len(plan.checking.cameras) + 1}")
        document.apply("Place a camera", replace(plan, checking=with_entry(plan.checking, camera)))


def sentence_of(finding: Finding) -> Sentence:
    """Return a finding as the panel shows it."""
    share = 1.0 - min(max(finding.weight, 0.0), 1.0)
    return Sentence(_WEIGHTS[finding.severity], finding.title, finding.brief, finding.about, share)


def _is_said_at_once(finding: Finding, benches: Collection[str]) -> bool:
    """Whether the panel says it by itself, from the light alone: of the room and of benches, not of machines."""
    is_first = finding.where == "Room" or any(identity in benches for identity in finding.about)
    return (is_first and finding.what.startswith(_SAID_AT_ONCE[:3])) or finding.what in _SAID_AT_ONCE[3:]


def _raise(dialog: QDialog) -> None:
    dialog.show()
    dialog.raise_()
    dialog.activateWindow()
