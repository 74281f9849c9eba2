"""The switch diagram: one line a group, from its breaker through its switches to its fixtures."""

from __future__ import annotations

from app.prints.paper.draft import Draft, text_width
from app.prints.paper.page import Frame
from app.prints.wiring.route_plan import short_names
from core.plan import Group, Plan
from core.wiring import Wired
from core.wiring.dimming import Control
from core.wiring.places import is_plugged_in
from core.wiring.routes import Run

__all__ = ["diagram_height", "paint_switch_diagram"]

_ROW, _LEAST_ROW = 11.0, 8.8
_SIZE = 2.2


def diagram_height(done: Wired) -> float:
    """Return how high the diagram is [mm]."""
    return _ROW * max(len(done.controls), 1)


def paint_switch_diagram(draft: Draft, frame: Frame, plan: Plan, done: Wired) -> None:
    """Draw the diagram from the top of a frame: as many groups as it has room for, and how many are left out."""
    groups = {group.letter: group for group in plan.groups}
    row = min(_ROW, max(frame.height / max(len(done.controls), 1), _LEAST_ROW))
    fits = max(int(frame.height / row), 1)
    if fits < len(done.controls):
        fits -= 1
        words = f"… and {len(done.controls) - fits} more groups: see the wiring window."
        draft.text(frame.x, frame.y + row * fits, frame.width, words, _SIZE)
    for number, control in enumerate(done.controls[:fits]):
        _group(draft, frame, frame.y + row * (number + 0.62), plan, done, groups[control.group], control)


def _group(draft: Draft, frame: Frame, y: float, plan: Plan, done: Wired, group: Group, control: Control) -> None:
    count = sum(fixture.group == group.letter for fixture in plan.fixtures)
    name = f"{group.letter} {group.label}"
    draft.text(frame.x, y - 6.6, frame.width, name if len(name) < 44 else name[:42] + "…", _SIZE, strong=True)
    circuit = next((c for c in done.circuits if group.letter in c.groups), None)
    if circuit is None:
        return
    own = [f for f in plan.fixtures if f.group == group.letter]
    if all(is_plugged_in(plan, fixture) for fixture in own):
        words = f"{count} with a plug, on {circuit.name} ({circuit.breaker} A); switched at the lamp"
        draft.text(frame.x, y - 1.0, frame.width, words, _SIZE)
        return
    x = _breaker(draft, frame.x, y, f"{circuit.breaker} A")
    for text, cable in _switches(done, group.letter, control):
        x = _wire(draft, x, y, cable)
        x = _switch(draft, x, y, text)
    legs = [run for run in done.routing.runs if run.group == group.letter and run.role != "travellers"]
    x = _wire(draft, x, y, legs[0].cable if legs else "")
    draft.circle(x + 1.3, y, 1.3, 0.25)
    draft.line(x + 0.4, y - 0.9, x + 2.2, y + 0.9, 0.2)
    draft.line(x + 0.4, y + 0.9, x + 2.2, y - 0.9, 0.2)
    draft.text(x + 3.2, y - 1.5, 20, f"× {count}", _SIZE)


def _switches(done: Wired, letter: str, control: Control) -> list[tuple[str, str]]:
    """Return the switches in order, each with the cable that leads to it."""
    names = short_names(done)
    travellers = [run for run in done.routing.runs if run.group == letter and run.role == "travellers"]
    leg = next((run for run in done.routing.runs if run.group == letter and run.role == "switch leg"), None)
    if travellers:
        ids = [travellers[0].start.id, *[run.end.id for run in travellers]]
    elif leg is not None and leg.start.kind == "switch box":
        ids = [leg.start.id]
    else:
        return [("lead", "")] if leg is not None and leg.start.kind == "lead" else []
    feed = _feed_of(done, ids[0])
    cables = [feed.cable if feed is not None else "", *[run.cable for run in travellers]]
    found = []
    for number, (identity, cable) in enumerate(zip(ids, cables, strict=True)):
        last = number == len(ids) - 1
        mark = "S" if len(ids) == 1 else "S3" if number == 0 or last else "S4"
        if last and control.kind != "none":
            mark = "D" if len(ids) == 1 else "D3"
        found.append((f"{mark} in {names.get(identity, identity)}", cable.removesuffix(" NM-B")))
    return found


def _feed_of(done: Wired, box: str) -> Run | None:
    return next((run for run in done.routing.runs if not run.group and run.end.id == box), None)


def _breaker(draft: Draft, x: float, y: float, text: str) -> float:
    wide = text_width(text, _SIZE) + 2.0
    draft.rect(x, y - 1.9, wide, 3.8, 0.3)
    draft.text(x + 1.0, y - 1.5, wide, text, _SIZE)
    return x + wide


def _switch(draft: Draft, x: float, y: float, text: str) -> float:
    wide = text_width(text, _SIZE) + 2.0
    draft.rect(x, y - 1.9, wide, 3.8, 0.2, 240)
    draft.text(x + 1.0, y - 1.5, wide + 1.0, text, _SIZE)
    return x + wide


def _wire(draft: Draft, x: float, y: float, cable: str) -> float:
    text = cable.removesuffix(" NM-B")
    wide = max(text_width(text, 1.9) + 1.6, 5.0)
    draft.line(x, y, x + wide, y, 0.3)
    if text:
        draft.text(x + 0.8, y - 2.7, wide, text, 1.9)
    return x + wide
