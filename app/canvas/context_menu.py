"""The menu at the pointer: everything that can be done with what lies there, with its keys."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtWidgets import QMenu

from app.canvas import commands
from app.canvas.arranging import Command, arrange_commands
from app.canvas.hit import corner_under, picture_under, things_under, wall_under
from core.ceiling.joists import zone_at
from core.plan import Fixture, Furniture, Opening, Point
from core.plan.edits import changed, find, with_corner_inserted, with_door_gear, without_corner
from core.plan.outline import OutlineError

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["add_commands", "menu_at", "open_menu"]

_REACH_PX = 6.0


def open_menu(canvas: PlanCanvas, pos: QPointF, at: QPoint) -> QMenu:
    """Show the menu for a place of the drawing [px]; ``at`` is the same place on the screen."""
    menu = menu_at(canvas, pos)
    menu.aboutToHide.connect(menu.deleteLater)
    menu.popup(at)
    return menu


def menu_at(canvas: PlanCanvas, pos: QPointF) -> QMenu:
    """Return the menu for a place of the drawing [px]; what lies there is selected, unless it is already."""
    document = canvas.document
    point, reach = canvas.view.to_plan(pos), _REACH_PX / canvas.view.scale
    stack = things_under(document.plan, point, reach)
    if stack and not document.selection & set(stack):
        document.select({stack[0]})
    menu = QMenu(canvas)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose, False)
    menu.setAccessibleName("What can be done here")
    if stack:
        _of_selection(canvas, menu)
    else:
        _of_place(canvas, menu, point)
    menu.addSeparator()
    add_commands(menu, _of_history(canvas))
    return menu


def add_commands(menu: QMenu, found: Iterable[Command]) -> None:
    """Put commands into a menu; one that does not apply is greyed out."""
    for command in found:
        text = f"{command.text}\t{command.key}" if command.key else command.text
        action = menu.addAction(text)
        action.setEnabled(command.applies())
        action.triggered.connect(lambda _=False, do=command.do: do())


def _of_selection(canvas: PlanCanvas, menu: QMenu) -> None:
    document = canvas.document
    plan, ids = document.settled_plan, document.selection
    things = [thing for identity in ids if (thing := find(plan, identity)) is not None]
    openings = [thing for thing in things if isinstance(thing, Opening)]
    if openings:
        _of_openings(canvas, menu, openings)
    if len(openings) < len(things):
        own = [
            Command("Turn by 90°", lambda: commands.turn(document, 90.0), key="R"),
            Command("Turn by 15°", lambda: commands.turn(document, 15.0), key="Shift+R"),
            Command("Duplicate", lambda: commands.duplicate(document), key="Ctrl+D"),
        ]
        add_commands(menu, own)
    add_commands(menu, [Command("Delete", lambda: commands.delete(document), key="Del")])
    menu.addSeparator()
    if any(isinstance(thing, Fixture) for thing in things):
        _of_fixtures(canvas, menu)
    kinds = {thing.kind for thing in things if isinstance(thing, Furniture | Opening)}
    if kinds:
        text = f"Select every {kinds.pop()}" if len(kinds) == 1 else "Select all of these kinds"
        add_commands(menu, [Command(text, lambda: commands.select_all_of_kind(document))])
    arrange = menu.addMenu("Arrange")
    for group in arrange_commands(canvas):
        add_commands(arrange, group)
        arrange.addSeparator()
    arrange.menuAction().setEnabled(any(c.applies() for group in arrange_commands(canvas) for c in group))
    add_commands(menu, [Command("Show the selection", canvas.zoom_to_selection, key="Shift+Home")])


def _of_openings(canvas: PlanCanvas, menu: QMenu, openings: list[Opening]) -> None:
    document = canvas.document
    overhead = [door for door in openings if door.kind == "overhead door"]
    if overhead:
        word = "Shut the overhead door" if all(door.is_open for door in overhead) else "Open the overhead door"
        add_commands(menu, [Command(word, lambda: commands.open_or_shut(document), key="Double click")])

        def gear() -> None:
            plan = document.settled_plan
            for door in overhead:
                plan = with_door_gear(plan, door.id)
            document.apply("Hang tracks and opener", plan)

        add_commands(menu, [Command("Hang its tracks and opener", gear)])
    hinged = [door for door in openings if door.kind == "door"]
    if hinged:

        def swing() -> None:
            plan = document.settled_plan
            for door in hinged:
                plan = changed(plan, [door.id], hinge="end" if door.hinge == "start" else "start")
            document.apply("Hinge a door on its other side", plan)

        add_commands(menu, [Command("Hinge on the other side", swing)])


def _of_fixtures(canvas: PlanCanvas, menu: QMenu) -> None:
    document = canvas.document
    switches = menu.addMenu("Put on switch")
    for group in document.settled_plan.groups:
        put = partial(commands.assign_group, document, group.letter)
        add_commands(switches, [Command(f"{group.letter}  {group.label}", put, key=f"Shift+{group.letter}")])
    found = [
        Command("Select every fixture of this model", lambda: commands.select_all_of_model(document)),
        Command("Select every fixture on this switch", lambda: commands.select_all_of_group(document)),
        Command("Select every fixture", lambda: commands.select_all_of_kind(document)),
    ]
    add_commands(menu, found)


def _of_place(canvas: PlanCanvas, menu: QMenu, point: Point) -> None:
    """Offer what can be done with the wall, the corner or the empty paper at a point."""
    document, reach = canvas.document, 2 * _REACH_PX / canvas.view.scale
    plan = document.settled_plan
    corner = corner_under(plan.room.outline, point, reach)
    wall = wall_under(plan.room.outline, point, reach)
    if corner is not None:
        add_commands(menu, [Command("Remove this corner", partial(_remove_corner, canvas, corner), key="Del")])
    elif wall is not None:
        add = partial(_add_corner, canvas, wall, point)
        add_commands(menu, [Command("Put a corner here", add, key="Double click")])
    zone = zone_at(plan, point) if plan.room.joists else None
    if zone is not None:
        add_commands(menu, [Command("Joists here", partial(document.select, {zone.id}))])
    picture = picture_under(plan, point)
    if picture is not None:
        select = partial(document.select, {picture})
        add_commands(menu, [Command("Picture underneath", select, key="Ctrl+click")])
    menu.addSeparator()
    draw = menu.addMenu("Draw")
    for name in canvas.tool_names():
        if name != "select":
            add_commands(draw, [Command(name.capitalize(), partial(canvas.set_tool, name))])
    found = [
        Command("Select all", lambda: commands.select_all(document), key="Ctrl+A"),
        Command("Whole room", canvas.zoom_to_fit, key="Home"),
        Command("Zoom in", lambda: canvas.zoom_by(1.25), key="Ctrl++"),
        Command("Zoom out", lambda: canvas.zoom_by(0.8), key="Ctrl+-"),
    ]
    add_commands(menu, found)


def _remove_corner(canvas: PlanCanvas, corner: int) -> None:
    try:
        canvas.document.apply("Remove a corner", without_corner(canvas.document.settled_plan, corner))
    except OutlineError as problem:
        canvas.say(str(problem))


def _add_corner(canvas: PlanCanvas, wall: int, point: Point) -> None:
    try:
        canvas.document.apply("Add a corner", with_corner_inserted(canvas.document.settled_plan, wall, point))
    except OutlineError as problem:
        canvas.say(str(problem))


def _of_history(canvas: PlanCanvas) -> tuple[Command, Command]:
    document = canvas.document
    back, again = document.undo_text, document.redo_text
    return (
        Command(f"Undo: {back}" if back else "Undo", document.undo, lambda: back is not None, "Ctrl+Z"),
        Command(f"Redo: {again}" if again else "Redo", document.redo, lambda: again is not None, "Ctrl+Shift+Z"),
    )
