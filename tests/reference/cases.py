"""Reference cases from an independent renderer, read into a Plan and worked out by the core at its default quality.

The case format is that of `tests/reference/public/README.md`.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from core.light.engine import LightEngine
from core.plan import Finish, Fixture, Furniture, Model, Plan, PowerSetting, Room

__all__ = ["illuminance", "plan_of"]

_BEAMS: dict[str, Any] = {"rect_lambert": "opal", "cos_power": "cosine power", "point": "all round"}


def illuminance(case: dict[str, Any]) -> NDArray[np.float64]:
    """Return the total illuminance at the case's points, shape (N,) [lx]."""
    responses = LightEngine().receive(plan_of(case), np.array(case["points"]), np.array(case["normals"]))
    return np.asarray(responses.sum(axis=1), dtype=np.float64)


def plan_of(case: dict[str, Any]) -> Plan:
    """Build the plan that a case describes."""
    room, share = case["room"], case["room"]["reflectance"]
    boxes = [
        Furniture(
            id=f"box{number}",
            kind="machine",
            name=str(box.get("name", f"box {number}")),
            x=box["centre"][0],
            y=box["centre"][1],
            width=box["width"],
            depth=box["depth"],
            top=box["z1"],
            bottom=box["z0"],
            rotation_deg=box.get("rotation_deg", 0.0),
            reflectance=box["reflectance"],
        )
        for number, box in enumerate(case["obstacles"])
    ]
    models = [_model(number, fixture) for number, fixture in enumerate(case["fixtures"])]
    hung = [
        Fixture(
            id=f"fixture{number}",
            model=models[number].id,
            x=fixture["centre"][0],
            y=fixture["centre"][1],
            rotation_deg=fixture.get("rotation_deg", 0.0),
            height=fixture["centre"][2],
        )
        for number, fixture in enumerate(case["fixtures"])
    ]
    return Plan(
        name=case["name"],
        room=Room(
            outline=tuple((float(x), float(y)) for x, y in room["outline"]),
            height=room["height"],
            ceiling=Finish("ceiling", share["ceiling"]),
            walls=Finish("walls", share["wall"]),
            floor=Finish("floor", share["floor"]),
        ),
        furniture=tuple(boxes),
        models=tuple(models),
        fixtures=tuple(hung),
    )


def _model(number: int, fixture: dict[str, Any]) -> Model:
    kind = fixture["kind"]
    return Model(
        id=f"model{number}",
        name=kind,
        kind="strip",
        length=max(fixture.get("length", 0.1), 0.01),
        width=max(fixture.get("width", 0.1), 0.01),
        body_height=0.05,
        opening="rectangle" if kind == "rect_lambert" else "point",
        opening_length=fixture.get("length", 0.0),
        opening_width=fixture.get("width", 0.0),
        settings=(PowerSetting(1.0, fixture["lumens"]),),
        colours=(4000,),
        beam=_BEAMS[kind],
        exponent=fixture.get("exponent", 1.0),
    )
