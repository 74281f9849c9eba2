"""Small invented rooms for the layout checks."""

from __future__ import annotations

from core.plan import Finish, Furniture, Model, Plan, PowerSetting, Room, Targets
from core.units import FOOT

__all__ = ["PANEL", "STRIP", "bare"]

PANEL = Model(
    "panel-check",
    "Check panel",
    "panel",
    2 * FOOT,
    2 * FOOT,
    0.05,
    "rectangle",
    2 * FOOT,
    2 * FOOT,
    (PowerSetting(40.0, 4000.0),),
    (4000,),
    price=50.0,
)
STRIP = Model(
    "strip-check",
    "Check strip",
    "strip",
    4 * FOOT,
    0.07,
    0.06,
    "rectangle",
    1.19,
    0.06,
    (PowerSetting(20.0, 2500.0), PowerSetting(30.0, 4000.0)),
    (4000,),
    price=40.0,
)


def bare(
    width_ft: float = 12.0,
    depth_ft: float = 10.0,
    height_ft: float = 8.0,
    model: Model = PANEL,
    furniture: tuple[Furniture, ...] = (),
    wall_band: float = 0.5,
) -> Plan:
    """Return a rectangular room, 80/50/20 %, with nothing on its ceiling."""
    w, d = width_ft * FOOT, depth_ft * FOOT
    room = Room(
        ((0.0, 0.0), (w, 0.0), (w, d), (0.0, d)),
        height_ft * FOOT,
        Finish("white", 0.8),
        Finish("painted", 0.5),
        Finish("concrete", 0.2),
    )
    return Plan("Check room", room, furniture, (model,), targets=Targets(wall_band=wall_band))
