"""The commands that put the selection in order, as the Arrange menu and the context menu offer them.

Each says whether it applies now, and is one step of undo.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from app.canvas.array_panel import can_array
from app.canvas.footprints import named
from core.plan import Fixture, Furniture, KeepOut, Plan
from core.plan.arrange import Edge, aligned, distributed, mirrored
from core.plan.edits import find

if TYPE_CHECKING:
    from app.canvas.canvas import PlanCanvas

__all__ = ["Command", "arrange_commands"]

_EDGES: tuple[tuple[str, Edge], ...] = (
    ("Line up left edges", "left"),
    ("Line up on one upright axis", "centre"),
    ("Line up right edges", "right"),
    ("Line up upper edges", "top"),
    ("Line up on one level axis", "middle"),
    ("Line up lower edges", "bottom"),
)
_AXES: tuple[tuple[str, Literal["across", "up"]], ...] = (
    ("Space evenly across", "across"),
    ("Space evenly up", "up"),
)
_MIRRORS: tuple[tuple[str, Literal["left to right", "up and down"], bool], ...] = (
    ("Mirror left to right", "left to right", False),
    ("Mirror up and down", "up and down", False),
    ("Mirrored copy left to right", "left to right", True),
    ("Mirrored copy up and down", "up and down", True),
)


@dataclass(frozen=True, slots=True)
class Command:
    """A line of a menu; ``key`` is its shortcut in words."""

    text: str
    do: Callable[[], object]
    applies: Callable[[], bool] = lambda: True
    key: str = ""


def arrange_commands(canvas: PlanCanvas) -> tuple[tuple[Command, ...], ...]:
    """Return the commands in groups, to be parted by rules."""

    def at_least(count: int) -> Callable[[], bool]:
        return lambda: len(_placed(canvas)) >= count

    def align(edge: Edge) -> Callable[[], None]:
        return lambda: _apply(canvas, "Line up", lambda plan, ids: aligned(plan, ids, edge))

    def space(axis: Literal["across", "up"]) -> Callable[[], None]:
        return lambda: _apply(canvas, "Space evenly", lambda plan, ids: distributed(plan, ids, axis))

    def mirror(axis: Literal["left to right", "up and down"], copy: bool) -> Callable[[], None]:
        return lambda: _mirror(canvas, axis, copy)

    array = Command("Array…", canvas.array.open_for_selection, lambda: can_array(canvas), "Ctrl+Shift+A")
    return (
        (array,),
        tuple(Command(text, align(edge), at_least(2)) for text, edge in _EDGES),
        tuple(Command(text, space(axis), at_least(3)) for text, axis in _AXES),
        tuple(Command(text, mirror(axis, copy), at_least(1)) for text, axis, copy in _MIRRORS),
    )


def _placed(canvas: PlanCanvas) -> frozenset[str]:
    """Return the selected things that can be lined up."""
    plan = canvas.document.settled_plan
    found = ((identity, find(plan, identity)) for identity in canvas.document.selection)
    return frozenset(identity for identity, thing in found if isinstance(thing, Fixture | Furniture | KeepOut))


def _apply(canvas: PlanCanvas, text: str, arrange: Callable[[Plan, frozenset[str]], Plan]) -> None:
    document, ids = canvas.document, _placed(canvas)
    document.apply(f"{text}: {named(document.settled_plan, ids)}", arrange(document.settled_plan, ids))


def _mirror(canvas: PlanCanvas, axis: Literal["left to right", "up and down"], copy: bool) -> None:
    document, ids = canvas.document, _placed(canvas)
    plan, names = mirrored(document.settled_plan, ids, axis, copy)
    document.apply(f"Mirror {named(document.settled_plan, ids)}", plan, select=names)
