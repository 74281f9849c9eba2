"""The Plan: everything that the user has drawn and decided, as one immutable value.

Every change makes a new Plan; parts that did not change are shared. Nothing here computes light or touches a file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Annotated, Literal, TypeVar

from annotated_types import Ge, Gt, Le, MaxLen, MinLen

from core.plan.buying import Buying
from core.plan.ceiling import AsBuilt, CeilingWork
from core.plan.checking import Checking
from core.plan.fixtures import Fixture, Model, PowerSetting
from core.plan.furniture import Furniture, Worker
from core.plan.room import STRICT, Height, Room
from core.plan.sheet import Note, Underlay
from core.plan.wiring import Staged, Wiring

__all__ = ["VERSION", "Alternative", "Combination", "Group", "Level", "LightLoss", "Plan", "Targets", "Thing"]

VERSION = 1

Thing = Fixture | Furniture
Share = Annotated[float, Ge(0.0), Le(1.0)]


@dataclass(frozen=True, slots=True)
class Group:
    """A switch group: one switch leg with its letter. ``minimum`` is the lowest level of its dimmer."""

    letter: Annotated[str, MinLen(1), MaxLen(1)]
    label: str
    dimmable: bool = False
    minimum: Share = 0.1

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Level:
    """How far one group is up in a kept combination (0 off, 1 full)."""

    group: str
    share: Share

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Combination:
    """A named setting of all switches; a group that is not listed is off."""

    name: str
    levels: tuple[Level, ...] = ()

    __pydantic_config__ = STRICT

    def shares(self) -> dict[str, float]:
        """Return the level of each listed group."""
        return {level.group: level.share for level in self.levels}


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another layout of the same shop, put aside under a name (`core.plan.alternatives`)."""

    name: Annotated[str, MinLen(1)]
    fixtures: tuple[Fixture, ...] = ()
    groups: tuple[Group, ...] = ()
    combinations: tuple[Combination, ...] = ()
    as_built: tuple[AsBuilt, ...] = ()
    stages: tuple[Staged, ...] = ()

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Targets:
    """What the user wants. The defaults: 80 to 100 fc is a preference seen in home shops (common practice, no source);
    0.5 m beside the walls does not count for the room's figures (EN 12464-1 leaves such a band)."""

    lux: Annotated[float, Ge(1.0), Le(100_000.0)] = 1076.3910416709722
    evenness: Share = 0.6
    wall_band: Height = 0.5

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class LightLoss:
    """Factors that turn initial light into maintained light. Defaults: lumen depreciation 0.90 (within 0.85 to 0.95)
    and dirt 0.90 (dusty shop 0.80 to 0.90), both common practice, editable."""

    lumen_depreciation: Annotated[float, Gt(0.0), Le(1.0)] = 0.90
    dirt: Annotated[float, Gt(0.0), Le(1.0)] = 0.90

    __pydantic_config__ = STRICT

    @property
    def factor(self) -> float:
        """The product of the factors."""
        return self.lumen_depreciation * self.dirt


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole document."""

    name: str
    room: Room
    furniture: tuple[Furniture, ...] = ()
    models: tuple[Model, ...] = ()
    fixtures: tuple[Fixture, ...] = ()
    groups: tuple[Group, ...] = ()
    combinations: tuple[Combination, ...] = ()
    work_plane: Annotated[float, Ge(0.0), Le(5.0)] = 0.9144
    targets: Targets = field(default_factory=Targets)
    light_loss: LightLoss = field(default_factory=LightLoss)
    worker: Worker = field(default_factory=Worker)
    units: Literal["US", "metric"] = "US"
    invented: bool = False
    about: str = ""
    ceiling: CeilingWork = field(default_factory=CeilingWork)
    wiring: Wiring = field(default_factory=Wiring)
    buying: Buying = field(default_factory=Buying)
    checking: Checking = field(default_factory=Checking)
    layout: Annotated[str, MinLen(1)] = "First layout"
    alternatives: Annotated[tuple[Alternative, ...], MaxLen(30)] = ()
    notes: tuple[Note, ...] = ()
    underlay: Underlay | None = None

    __pydantic_config__ = STRICT

    def model(self, identity: str) -> Model:
        """Return the catalogue entry with this id; KeyError if the plan has none."""
        return _by_id(self.models, identity)

    def fixture(self, identity: str) -> Fixture:
        """Return the fixture with this id; KeyError if there is none."""
        return _by_id(self.fixtures, identity)

    def piece(self, identity: str) -> Furniture:
        """Return the bench, machine or cabinet with this id; KeyError if there is none."""
        return _by_id(self.furniture, identity)

    def setting(self, fixture: Fixture) -> PowerSetting:
        """Return the power setting in force at a fixture."""
        settings = self.model(fixture.model).settings
        return settings[min(fixture.setting, len(settings) - 1)]

    def opening_height(self, fixture: Fixture) -> float:
        """Return the height of a fixture's luminous opening above the floor [m].

        A recessed opening lies 3 mm below the ceiling, that of other fixtures at the underside of the body.
        """
        if fixture.height is not None:
            return fixture.height
        model = self.model(fixture.model)
        below = 0.003 if model.mounting == "recessed" else fixture.drop + model.body_height
        return max(self.room.height - below, 0.01)

    def benches(self) -> tuple[Furniture, ...]:
        """Return the benches, in plan order."""
        return tuple(item for item in self.furniture if item.kind == "bench")


_Identified = TypeVar("_Identified", Model, Fixture, Furniture)


def _by_id(items: Sequence[_Identified], identity: str) -> _Identified:
    for item in items:
        if item.id == identity:
            return item
    raise KeyError(identity)
