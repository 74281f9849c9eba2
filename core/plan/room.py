"""The room: a simple polygon seen from above, its ceiling height, its finishes and what is in its walls.

Plan coordinates are metres, x to the right and y up the sheet; angles run counter-clockwise from +x in degrees; z is
height above the floor. The outline runs counter-clockwise, so the room lies to the left of every wall. Wall ``i`` goes
from corner ``i`` to corner ``i + 1``. Reflectances are diffuse and without colour (0 to 1).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le

__all__ = [
    "Finish",
    "JoistZone",
    "KeepOut",
    "KeepOutKind",
    "Opening",
    "OpeningKind",
    "Point",
    "Room",
]

Point = tuple[float, float]
Reflectance = Annotated[float, Ge(0.0), Le(0.95)]
Size = Annotated[float, Gt(0.0), Le(300.0)]
Height = Annotated[float, Ge(0.0), Le(30.0)]

STRICT = {"extra": "forbid", "allow_inf_nan": False}


@dataclass(frozen=True, slots=True)
class Finish:
    """A surface finish: what it is called and the share of the light that it gives back."""

    name: str
    reflectance: Reflectance

    __pydantic_config__ = STRICT


OpeningKind = Literal["door", "window", "overhead door"]


@dataclass(frozen=True, slots=True)
class Opening:
    """A door, window or overhead door in one wall.

    ``start`` is the distance from the wall's first corner to the near jamb [m]. An open overhead door hangs as a sheet
    under the ceiling, reaching ``height`` back into the room at the height of its head. ``swing`` is where the leaf of
    a door goes: into the room, out of it, or along the wall.
    """

    id: str
    kind: OpeningKind
    wall: Annotated[int, Ge(0)]
    start: Annotated[float, Ge(0.0)]
    width: Size
    height: Size
    sill: Height = 0.0
    reflectance: Reflectance = 0.5
    is_open: bool = False
    hinge: Literal["start", "end"] = "start"
    swing: Literal["in", "out", "along"] = "in"
    name: str = ""

    __pydantic_config__ = STRICT


KeepOutKind = Literal["track", "opener", "hatch", "beam", "duct", "sprinkler", "fan", "other"]


@dataclass(frozen=True, slots=True)
class KeepOut:
    """Something on the ceiling where no fixture can go; ``drop`` is how far it hangs below the ceiling [m].

    ``door`` is the id of the overhead door that it belongs to and follows; empty for what stands for itself.
    """

    id: str
    kind: KeepOutKind
    x: float
    y: float
    width: Size
    depth: Size
    rotation_deg: float = 0.0
    drop: Height = 0.0
    name: str = ""
    door: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class JoistZone:
    """Ceiling joists: the way they run, their spacing and where the first one lies.

    ``offset`` is the distance from the plan's origin to a joist's centre line, square to the joists [m]. An empty
    ``outline`` means the whole room.
    """

    id: str
    direction_deg: float = 0.0
    spacing: Size = 0.4064
    offset: float = 0.0
    joist_width: Size = 0.0381
    outline: tuple[Point, ...] = ()

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Room:
    """The room's shell. ``wall_finishes`` has one entry a wall, or is empty; None means the room's own wall finish."""

    outline: tuple[Point, ...]
    height: Annotated[float, Gt(1.0), Le(30.0)]
    ceiling: Finish
    walls: Finish
    floor: Finish
    wall_finishes: tuple[Finish | None, ...] = ()
    openings: tuple[Opening, ...] = ()
    keep_outs: tuple[KeepOut, ...] = ()
    joists: tuple[JoistZone, ...] = field(default=())

    __pydantic_config__ = STRICT

    def wall(self, index: int) -> tuple[Point, Point]:
        """Return the two corners of wall ``index``."""
        return self.outline[index], self.outline[(index + 1) % len(self.outline)]

    def wall_finish(self, index: int) -> Finish:
        """Return the finish of wall ``index``: its own, else the room's."""
        own = self.wall_finishes[index] if index < len(self.wall_finishes) else None
        return own or self.walls
