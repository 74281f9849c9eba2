"""What keys and menus do with the selection: plain functions of a document, each one step of undo.

Every function returns whether it applied, so that a menu may grey out what does not.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

from app.canvas.footprints import Drawn, box_around, drawn_things, named
from app.canvas.steps import NUDGES
from app.document import Document
from core.plan import Fixture, Plan
from core.plan.edits import assigned, changed, duplicated, moved, removed, turned, with_wall_shifted
from core.units import FOOT

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = [
    "assign_group",
    "delete",
    "duplicate",
    "nudge",
    "open_or_shut",
    "run_key",
    "select_all",
    "select_all_of_group",
    "select_all_of_kind",
    "select_all_of_model",
    "select_next",
    "turn",
    "with_wall_length",
]

Key = Qt.Key
_ARROWS = {Key.Key_Left: (-1, 0), Key.Key_Right: (1, 0), Key.Key_Up: (0, 1), Key.Key_Down: (0, -1)}


def select_all(document: Document) -> bool:
    """Select everything that can be moved or removed."""
    document.select(thing.id for thing in drawn_things(document.plan))
    return bool(document.selection)


def select_all_of_model(document: Document) -> bool:
    """Select every fixture of the models that are selected now."""
    plan = document.plan
    models = {f.model for f in plan.fixtures if f.id in document.selection}
    if models:
        document.select(f.id for f in plan.fixtures if f.model in models)
    return bool(models)


def select_all_of_group(document: Document, letter: str | None = None) -> bool:
    """Select every fixture on one switch group, or on those of the selected fixtures."""
    plan = document.plan
    letters = {letter} if letter else {f.group for f in plan.fixtures if f.id in document.selection}
    found = [f.id for f in plan.fixtures if f.group in letters]
    if found:
        document.select(found)
    return bool(found)


def select_all_of_kind(document: Document) -> bool:
    """Select everything of the kinds that are selected now: all fixtures, all benches, all windows, ..."""
    plan = document.plan
    kinds = {_kind(thing) for thing in drawn_things(plan) if thing.id in document.selection}
    if kinds:
        document.select(thing.id for thing in drawn_things(plan) if _kind(thing) in kinds)
    return bool(kinds)


def _kind(thing: Drawn) -> str:
    return "fixture" if isinstance(thing, Fixture) else f"{type(thing).__name__} {getattr(thing, 'kind', '')}"


def select_next(document: Document, step: int) -> bool:
    """Select the thing after (1) or before (-1) the selected one, in reading order; False past either end."""
    plan = document.plan
    order = [fixture.id for fixture in plan.fixtures] + [item.id for item in plan.furniture]
    order += [opening.id for opening in plan.room.openings] + [item.id for item in plan.room.keep_outs]
    order += [note.id for note in plan.notes] + [zone.id for zone in plan.room.joists]
    order += [plan.underlay.id] if plan.underlay is not None else []
    here = [place for place, identity in enumerate(order) if identity in document.selection]
    place = (here[-1] + 1 if step > 0 else here[0] - 1) if here else (0 if step > 0 else len(order) - 1)
    if not 0 <= place < len(order):
        document.select(())
        return False
    document.select({order[place]})
    return True


def nudge(document: Document, dx: float, dy: float) -> bool:
    """Move the selection by a little [m]."""
    ids = document.selection
    if ids:
        document.apply(f"Nudge {named(document.settled_plan, ids)}", moved(document.settled_plan, ids, dx, dy))
    return bool(ids)


def turn(document: Document, degrees: float) -> bool:
    """Turn the selection counter-clockwise: one thing on its spot, several about their middle."""
    plan, ids = document.settled_plan, document.selection
    box = box_around(plan, ids)
    if box is None:
        return False
    about = None if len(ids) == 1 else ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    document.apply(f"Turn {named(plan, ids)}", turned(plan, ids, degrees, about))
    return True


def duplicate(document: Document, dx: float = FOOT, dy: float = -FOOT) -> bool:
    """Copy the selection, set the copies a little off, and select them."""
    plan, ids = document.settled_plan, document.selection
    made, new_ids = duplicated(plan, ids, dx, dy)
    if new_ids:
        document.apply(f"Duplicate {named(plan, ids)}", made, select=new_ids)
    return bool(new_ids)


def delete(document: Document) -> bool:
    """Remove the selection."""
    plan, ids = document.settled_plan, document.selection
    if ids:
        document.apply(f"Delete {named(plan, ids)}", removed(plan, ids), select=())
    return bool(ids)


def assign_group(document: Document, letter: str) -> bool:
    """Put the selected fixtures on a switch group; False where none is selected."""
    plan = document.settled_plan
    ids = frozenset(f.id for f in plan.fixtures if f.id in document.selection)
    if ids:
        document.apply(f"Put {named(plan, ids)} on switch {letter}", assigned(plan, ids, letter))
    return bool(ids)


def open_or_shut(document: Document, ids: frozenset[str] | set[str] | None = None) -> bool:
    """Raise the overhead doors among these things (by default the selected ones), or lower them if all are up."""
    plan = document.settled_plan
    chosen = document.selection if ids is None else ids
    doors = [o for o in plan.room.openings if o.kind == "overhead door" and o.id in chosen]
    if doors:
        up = not all(door.is_open for door in doors)
        text = "Open the overhead door" if up else "Shut the overhead door"
        document.apply(text, changed(plan, [door.id for door in doors], is_open=up))
    return bool(doors)


def with_wall_length(plan: Plan, wall: int, length: float) -> Plan:
    """Return the plan in which a wall has this length [m]: the wall after it is shifted. Raises
    OutlineError."""
    count = len(plan.room.outline)
    (ax, ay), (bx, by) = plan.room.wall(wall)
    (_, _), (cx, cy) = plan.room.wall((wall + 1) % count)
    now, other = math.dist((ax, ay), (bx, by)), math.dist((bx, by), (cx, cy))
    ux, uy = (bx - ax) / now, (by - ay) / now
    nx, ny = (cy - by) / other, (bx - cx) / other  # outward of the next wall
    return with_wall_shifted(plan, (wall + 1) % count, (length - now) * (ux * nx + uy * ny))


def run_key(canvas: PlanCanvas, event: QKeyEvent) -> bool:
    """Do what a key means for the selection; False for keys that are not ours, so that they go on to the
    window."""
    document = canvas.document
    key, held = Key(event.key()), event.modifiers()
    shift = bool(held & Qt.KeyboardModifier.ShiftModifier)
    ctrl = bool(held & Qt.KeyboardModifier.ControlModifier)
    if held & Qt.KeyboardModifier.AltModifier:
        return False
    if key in _ARROWS:
        plain, far, fine = NUDGES[canvas.units]
        step = fine if ctrl else far if shift else plain
        return nudge(document, _ARROWS[key][0] * step, _ARROWS[key][1] * step)
    if ctrl:
        return _run_ctrl(document, key)
    if key in (Key.Key_Delete, Key.Key_Backspace):
        return delete(document)
    if key == Key.Key_R:
        return turn(document, 15.0 if shift else 90.0)
    if key in (Key.Key_Return, Key.Key_Enter) and document.selection:
        canvas.fields_wanted.emit()
        return True
    if key == Key.Key_Home:
        return canvas.zoom_to_selection() if shift else canvas.zoom_to_fit()
    if Key.Key_A <= key <= Key.Key_H:
        return _run_letter(canvas, chr(key.value), shift)
    return False


def _run_ctrl(document: Document, key: Key) -> bool:
    if key == Key.Key_A:
        return select_all(document)
    return duplicate(document) if key == Key.Key_D else False


def _run_letter(canvas: PlanCanvas, letter: str, shift: bool) -> bool:
    """A to H are switches: Shift puts the selected fixtures on one. F fits the view where there is no
    switch F."""
    document = canvas.document
    is_switch = any(group.letter == letter for group in document.plan.groups)
    if letter == "F" and not is_switch:
        return canvas.zoom_to_selection() if shift else canvas.zoom_to_fit()
    return assign_group(document, letter) if shift else False
