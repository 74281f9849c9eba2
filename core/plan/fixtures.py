"""Fixtures: the catalogue entry of a model, and one fixture hung in the room.

A model lists what its data sheet says: body, luminous opening, lumens and watts at each power setting, the colours it
can be set to, and how its light is spread. A fixture's local x runs along its length.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le, MinLen

from core.photometry.distribution import CosinePower, Distribution, Isotropic, Opal, Web
from core.plan.ceiling import Feeding
from core.plan.room import STRICT, Height, Size

__all__ = ["Fixture", "Model", "ModelKind", "PowerSetting", "distribution_of"]

ModelKind = Literal["strip", "wrap", "panel", "high bay", "downlight", "task lamp"]
Mounting = Literal["surface", "suspended", "recessed", "bench"]
Beam = Literal["opal", "cosine power", "web", "all round"]


@dataclass(frozen=True, slots=True)
class PowerSetting:
    """One position of a fixture's power switch, as on its data sheet."""

    watts: Annotated[float, Gt(0.0), Le(5000.0)]
    lumens: Annotated[float, Gt(0.0), Le(500_000.0)]

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Model:
    """A catalogue entry.

    ``opening_length`` by ``opening_width`` is the luminous opening [m]; a round one has its diameter in both. Both are
    zero for a point. ``is_example`` marks an invented entry with a placeholder price. ``feeding`` tells how it
    is wired and held; None means as usual for its kind (`core.ceiling.feeding`).
    """

    id: str
    name: str
    kind: ModelKind
    length: Size
    width: Size
    body_height: Size
    opening: Literal["rectangle", "round", "point"]
    opening_length: Annotated[float, Ge(0.0), Le(20.0)]
    opening_width: Annotated[float, Ge(0.0), Le(20.0)]
    settings: Annotated[tuple[PowerSetting, ...], MinLen(1)]
    colours: Annotated[tuple[int, ...], MinLen(1)]
    cri: Annotated[int, Ge(0), Le(100)] = 80
    lens: Literal["frosted", "clear"] = "frosted"
    beam: Beam = "opal"
    exponent: Annotated[float, Ge(0.0), Le(200.0)] = 1.0
    upward_share: Annotated[float, Ge(0.0), Le(1.0)] = 0.0
    web: Web | None = None
    mounting: Mounting = "surface"
    dimming: Literal["none", "forward phase", "reverse phase", "0-10 V"] = "none"
    price: Annotated[float, Ge(0.0)] = 0.0
    is_example: bool = True
    note: str = ""
    feeding: Feeding | None = None

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Fixture:
    """One fixture in the room.

    ``x, y`` is its centre [m]; ``drop`` the distance from the ceiling to the top of its body [m]. ``height`` gives the
    height of the luminous opening above the floor outright (task lamps); None means that it follows from the ceiling.
    """

    id: str
    model: str
    x: float
    y: float
    rotation_deg: float = 0.0
    drop: Height = 0.0
    height: Height | None = None
    setting: Annotated[int, Ge(0)] = 0
    colour: Annotated[int, Ge(1000), Le(20_000)] = 4000
    group: str = "A"
    name: str = ""

    __pydantic_config__ = STRICT


def distribution_of(model: Model) -> Distribution:
    """Return how a model spreads one lumen.

    Raises
    ------
    ValueError
        If the model says that it has a tabulated web and carries none.
    """
    if model.beam == "web":
        if model.web is None:
            raise ValueError(f"{model.name}: no light distribution in its entry; read its LM-63 file again.")
        return model.web
    if model.beam == "cosine power":
        return CosinePower(model.exponent, model.upward_share)
    if model.beam == "all round":
        return Isotropic()
    return Opal(model.upward_share)
