"""What a plan knows about the work on the ceiling: how a fixture is fed and held, what was measured, what was cut.

Everything here is what a person reads off a data sheet or a tape measure; what follows from it (box centres, checks,
conflicts) is worked out in `core.ceiling` and never stored. Lengths in metres, a fixture's local x along its length.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le

from core.plan.room import STRICT, Height, Point, Size

__all__ = [
    "AsBuilt",
    "CeilingAccess",
    "CeilingClearances",
    "CeilingWork",
    "Diagonal",
    "FeedKind",
    "Feeding",
    "WallLength",
]

FeedKind = Literal["ceiling box", "cable through knock-out", "cut-out", "hook and box", "plug and cord"]
CeilingAccess = Literal["open framing", "closed", "from the attic"]
Offset = Annotated[float, Ge(-20.0), Le(20.0)]


@dataclass(frozen=True, slots=True)
class Feeding:
    """How a model is fed and held, from its data sheet.

    ``x, y`` is the feed point from the centre of the body [m], ``screws`` the mounting screws, hooks or toggles.
    ``linked`` is the most bodies that may be wired through in one row where the listing allows it, 0 where it does
    not. ``hole`` is the diameter of the opening to be cut [m], 0 for none; ``weight`` is in kilograms, 0 unknown.
    """

    kind: FeedKind
    x: Offset = 0.0
    y: Offset = 0.0
    screws: tuple[Point, ...] = ()
    linked: Annotated[int, Ge(0), Le(100)] = 0
    hole: Annotated[float, Ge(0.0), Le(2.0)] = 0.0
    weight: Annotated[float, Ge(0.0), Le(500.0)] = 0.0
    cable_end: Annotated[float, Ge(0.0), Le(20.0)] = 0.4572

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class WallLength:
    """One wall as the tape read it, corner to corner."""

    wall: Annotated[int, Ge(0)]
    length: Size

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Diagonal:
    """The straight distance between two corners that are not neighbours, as the tape read it."""

    corner: Annotated[int, Ge(0)]
    other: Annotated[int, Ge(0)]
    length: Size

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class AsBuilt:
    """Where a fixture's box really is after cutting, from the two walls it was measured from."""

    fixture: str
    wall_a: Annotated[int, Ge(0)]
    wall_b: Annotated[int, Ge(0)]
    from_a: Annotated[float, Ge(-300.0), Le(300.0)]
    from_b: Annotated[float, Ge(-300.0), Le(300.0)]

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class CeilingClearances:
    """Free distances wanted around a fixture's body [m], all editable; local code and the makers' sheets come first.

    Tracks and opener 2 in, beams 1/2 in, ducts 1 in, hatch leaf 2 in, fan 12 in, others 1 in: common practice, no
    source. Sprinklers 18 in below the deflector (rule of NFPA 13, from memory) and 12 in beside it (a guess on the
    safe side). Door headroom 12 in (published door guides, torsion springs). A person of 6 ft 4 in, a sheet 8 ft tall.
    """

    track: Height = 0.0508
    opener: Height = 0.0508
    hatch: Height = 0.0508
    beam: Height = 0.0127
    duct: Height = 0.0254
    sprinkler: Height = 0.3048
    below_sprinkler: Height = 0.4572
    fan: Height = 0.3048
    other: Height = 0.0254
    door_headroom: Height = 0.3048
    door_side: Height = 0.09525
    door_leaf: Height = 0.0127
    person: Annotated[float, Gt(0.0), Le(3.0)] = 1.9304
    raised_sheet: Height = 2.4384

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class CeilingWork:
    """Choices, measurements and results of the work on the ceiling.

    ``reference_walls`` are the two walls that every distance is taken from; None leaves the choice to the sheet.
    """

    reference_walls: tuple[int, int] | None = None
    access: CeilingAccess = "closed"
    wall_lengths: tuple[WallLength, ...] = ()
    diagonals: tuple[Diagonal, ...] = ()
    as_built: tuple[AsBuilt, ...] = ()
    clearances: CeilingClearances = field(default_factory=CeilingClearances)
    paper: Literal["letter", "A4"] = "letter"

    __pydantic_config__ = STRICT
