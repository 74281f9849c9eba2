"""What the user has decided about the wiring: the panel, circuits, switch boxes, dimmers, and what is there already.

All of it may be left empty: `core.wiring` then assumes what it needs and says so. Places are plan points [m] on a wall;
the wall is the nearest one, so that a box stays with its place when a corner is inserted. An entry for something that
is gone from the plan (a group, a machine) is passed over. Figures of the electrical code in `CodeValues` are defaults
that the user can change; where each is from is said beside it. A planning aid: local rules and the inspector decide.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MaxLen, MinLen

from core.plan.ceiling import CeilingAccess
from core.plan.room import STRICT, Height

__all__ = [
    "Access",
    "Appliance",
    "Circuit",
    "CodeValues",
    "Dimmer",
    "DimmerKind",
    "Lead",
    "Nameplate",
    "Panel",
    "Premises",
    "Scheme",
    "Stage",
    "Staged",
    "StagedThing",
    "SwitchBox",
    "Wiring",
]

Stage = Literal["existing", "to do", "done"]
Access = CeilingAccess
Scheme = Literal["daisy chain", "junction boxes"]
DimmerKind = Literal["none", "forward phase", "reverse phase", "0-10 V"]
Premises = Literal["garage", "basement", "accessory building", "other"]
StagedThing = Literal["fixture", "fixture box", "switch box", "switch", "cable", "breaker"]
Amperes = Annotated[float, Gt(0.0), Le(400.0)]
Letter = Annotated[str, MinLen(1), MaxLen(1)]
Share = Annotated[float, Ge(0.0), Le(1.0)]
Id = Annotated[str, MinLen(1)]


@dataclass(frozen=True, slots=True)
class Panel:
    """The breaker panel; ``height`` is that of its top, where the cables leave [m]: 6 ft (common practice)."""

    x: float
    y: float
    height: Height = 1.8288
    name: str = "Panel"

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class SwitchBox:
    """A box in a wall with one switch for each of its ``groups``.

    A group that is listed in two boxes has a three-way switch in each; in more, the ones between are four-way.
    ``height`` is that of its middle [m]: 48 in (common practice). ``opening`` names the door that it belongs to.
    """

    id: Id
    x: float
    y: float
    groups: Annotated[tuple[Letter, ...], MinLen(1), MaxLen(8)]
    height: Height = 1.2192
    opening: str = ""
    name: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Appliance:
    """Another load on a circuit; ``machine`` is the id of the machine on the plan, if it is one."""

    name: str
    amperes: Amperes
    machine: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Circuit:
    """A branch circuit: breaker, copper conductor, voltage, the switch groups on it and what else it feeds.

    ``continuous``: the lights burn three hours or more at a time. ``garage_receptacles`` marks the receptacle circuit
    that the code requires in a garage and that may feed nothing else.
    """

    id: Id
    name: str
    breaker: Annotated[int, Ge(10), Le(100)] = 15
    conductor: Literal[14, 12, 10] = 14
    volts: Literal[120, 240, 277] = 120
    groups: Annotated[tuple[Letter, ...], MaxLen(26)] = ()
    continuous: bool = True
    others: Annotated[tuple[Appliance, ...], MaxLen(50)] = ()
    garage_receptacles: bool = False

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Dimmer:
    """The dimmer bought for a group: how it dims, and the watts of LED that its maker allows (0: not known)."""

    group: Letter
    kind: DimmerKind
    most_watts: Annotated[float, Ge(0.0), Le(10_000.0)] = 0.0

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Lead:
    """A switched cable end that was left above the ceiling for a group, with the length that hangs free [m]."""

    id: Id
    group: Letter
    x: float
    y: float
    length: Annotated[float, Gt(0.0), Le(300.0)]
    conductor: Literal[14, 12, 10] = 14
    name: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Staged:
    """How far a thing is: ``at`` is the id of its fixture, switch box or circuit; of a cable, both ends: ``a > b``."""

    thing: StagedThing
    at: str
    stage: Stage

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Nameplate:
    """The amperes printed on a model's nameplate, where they are known; otherwise watts / volts count."""

    model: str
    amperes: Amperes

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class CodeValues:
    """Figures of NFPA 70 and of practice that the program counts with; lengths in metres."""

    edition: str = "NFPA 70 (NEC), 2023 edition assumed"
    continuous_share: Annotated[float, Gt(0.0), Le(1.0)] = 0.8  # 210.19(A)(1), 210.20(A): 1 / 125 %
    drop_mentioned: Annotated[float, Gt(0.0), Le(0.2)] = 0.03  # informational note to 210.19
    slack_at_box: Height = 0.3048  # 6 in free (300.14) and as much again (common practice)
    slack_at_panel: Height = 1.2192  # 4 ft, to reach any breaker (common practice)
    waste: Share = 0.1  # of the cable, cut-offs (common practice)
    staple_spacing: Annotated[float, Gt(0.1), Le(10.0)] = 1.3716  # 4 1/2 ft, 334.30
    staple_at_box: Height = 0.3048  # within 12 in of a box, 334.30; 8 in where the box has no clamp, 314.17(C)

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Wiring:
    """All that the user has decided about the wiring. ``wall_access`` has one entry a wall, or is empty.

    How the ceiling can be reached is in `CeilingWork.access`.
    """

    panel: Panel | None = None
    circuits: Annotated[tuple[Circuit, ...], MaxLen(60)] = ()
    switch_boxes: Annotated[tuple[SwitchBox, ...], MaxLen(60)] = ()
    dimmers: Annotated[tuple[Dimmer, ...], MaxLen(60)] = ()
    leads: Annotated[tuple[Lead, ...], MaxLen(60)] = ()
    stages: Annotated[tuple[Staged, ...], MaxLen(2000)] = ()
    nameplates: Annotated[tuple[Nameplate, ...], MaxLen(200)] = ()
    walls: Access = "closed"
    wall_access: Annotated[tuple[Access | None, ...], MaxLen(2000)] = ()
    scheme: Scheme = "daisy chain"
    premises: Premises = "garage"
    code: CodeValues = field(default_factory=CodeValues)

    __pydantic_config__ = STRICT

    def stage(self, thing: StagedThing, at: str) -> Stage | None:
        """Return how far a thing is; None where the user has said nothing."""
        return next((known.stage for known in self.stages if (known.thing, known.at) == (thing, at)), None)

    def with_stage(self, thing: StagedThing, at: str, stage: Stage | None) -> Wiring:
        """Say how far a thing is; None forgets it."""
        others = tuple(known for known in self.stages if (known.thing, known.at) != (thing, at))
        return replace(self, stages=others if stage is None else (*others, Staged(thing, at, stage)))

    def access_of_wall(self, wall: int) -> Access:
        """Return how wall ``wall`` can be reached."""
        own = self.wall_access[wall] if wall < len(self.wall_access) else None
        return own or self.walls
