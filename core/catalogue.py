"""What the shelf holds before the user adds anything: example fixtures, common finishes, an empty room.

The fixtures are invented, with efficacies of 110 to 150 lm/W as sold today (common practice, no source) and
placeholder prices; each is marked as an example. The finishes carry the source of their reflectance, or say that
the value is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from pydantic import TypeAdapter

from core.plan import Finish, Group, Model, Plan, Room

__all__ = ["KnownFinish", "blank_plan", "catalogue", "catalogue_model", "finish_named", "finishes"]

_FOOT = 0.3048


@dataclass(frozen=True, slots=True)
class KnownFinish:
    """A common finish: its reflectance (0 to 1), the range it is met in, and where the value is from.

    ``source`` is empty where ``mark`` is "from memory".
    """

    name: str
    reflectance: float
    low: float | None
    high: float | None
    mark: Literal["published", "from memory"]
    source: str

    @property
    def finish(self) -> Finish:
        """The finish as a plan holds it."""
        return Finish(self.name, self.reflectance)


@dataclass(frozen=True, slots=True)
class _Catalogue:
    about: str
    models: tuple[Model, ...]


@dataclass(frozen=True, slots=True)
class _Finishes:
    about: str
    finishes: tuple[KnownFinish, ...]


@lru_cache(maxsize=1)
def catalogue() -> tuple[Model, ...]:
    """Return the example fixtures, in the order of the shelf."""
    return TypeAdapter(_Catalogue).validate_json(_resource("catalogue.json"), strict=True).models


def catalogue_model(identity: str) -> Model:
    """Return the example fixture with this id; KeyError if there is none."""
    for model in catalogue():
        if model.id == identity:
            return model
    raise KeyError(identity)


@lru_cache(maxsize=1)
def finishes() -> tuple[KnownFinish, ...]:
    """Return the common finishes, in the order of their list."""
    return TypeAdapter(_Finishes).validate_json(_resource("finishes.json"), strict=True).finishes


def finish_named(name: str) -> Finish:
    """Return a common finish by its name; KeyError if there is none."""
    for known in finishes():
        if known.name == name:
            return known.finish
    raise KeyError(name)


def blank_plan(name: str) -> Plan:
    """Return an empty room to begin with: 16 x 20 ft, 8 ft high, painted white above a concrete floor, one switch."""
    width, depth = 20 * _FOOT, 16 * _FOOT
    room = Room(
        outline=((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)),
        height=8 * _FOOT,
        ceiling=finish_named("white paint, plaster"),
        walls=finish_named("painted gypsum wall board (as built)"),
        floor=finish_named("concrete, generic"),
    )
    return Plan(name=name, room=room, groups=(Group("A", "Main light"),))


def _resource(name: str) -> bytes:
    return (files("resources") / name).read_bytes()
