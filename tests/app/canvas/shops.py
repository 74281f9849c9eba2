"""An invented shop for the canvas tests: an L-shaped room with a bench of each kind and six fixtures."""

from __future__ import annotations

from core.plan import Finish, Fixture, Furniture, Group, KeepOut, Model, Opening, Plan, PowerSetting, Room
from core.units import FOOT, INCH

STRIP = Model(
    id="strip-4",
    name="4 ft strip",
    kind="strip",
    length=4 * FOOT,
    width=3.2 * INCH,
    body_height=3 * INCH,
    opening="rectangle",
    opening_length=3.9 * FOOT,
    opening_width=2.4 * INCH,
    settings=(PowerSetting(35.0, 4400.0),),
    colours=(4000, 5000),
)
PANEL = Model(
    id="panel-2x2",
    name="2 x 2 panel",
    kind="panel",
    length=2 * FOOT,
    width=2 * FOOT,
    body_height=3 * INCH,
    opening="rectangle",
    opening_length=22 * INCH,
    opening_width=22 * INCH,
    settings=(PowerSetting(36.0, 4000.0),),
    colours=(4000,),
    mounting="recessed",
)
HIGH_BAY = Model(
    id="round-bay",
    name="Round high bay",
    kind="high bay",
    length=12 * INCH,
    width=12 * INCH,
    body_height=6 * INCH,
    opening="round",
    opening_length=11 * INCH,
    opening_width=11 * INCH,
    settings=(PowerSetting(100.0, 15000.0),),
    colours=(5000,),
    mounting="suspended",
)


def rectangle(width: float = 20 * FOOT, depth: float = 14 * FOOT, **parts: object) -> Plan:
    """Return a plain room with its lower left corner at the plan's zero."""
    room = Room(
        outline=((0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)),
        height=8 * FOOT,
        ceiling=Finish("white paint", 0.8),
        walls=Finish("light paint", 0.6),
        floor=Finish("concrete", 0.25),
    )
    plan = Plan(name="Test shop", room=room, models=(STRIP, PANEL, HIGH_BAY), groups=(Group("A", "Benches"),))
    return Plan(**{**{f: getattr(plan, f) for f in plan.__dataclass_fields__}, **parts})  # type: ignore[arg-type]


def empty() -> Plan:
    """Return a sheet without a room."""
    plan = rectangle()
    room = Room(
        outline=(), height=plan.room.height, ceiling=plan.room.ceiling, walls=plan.room.walls, floor=plan.room.floor
    )
    return Plan(name="New shop", room=room, models=plan.models)


def strip(identity: str, x_ft: float, y_ft: float, group: str = "A", turn: float = 0.0) -> Fixture:
    """Return a 4 ft strip at a place in feet."""
    return Fixture(id=identity, model="strip-4", x=x_ft * FOOT, y=y_ft * FOOT, group=group, rotation_deg=turn)


def furnished() -> Plan:
    """Return the L-shaped shop."""
    outline = tuple((x * FOOT, y * FOOT) for x, y in ((0, 0), (20, 0), (20, 8.5), (13.5, 8.5), (13.5, 14), (0, 14)))
    furniture = (
        Furniture("bench-1", "bench", "Carving bench", 5.5 * FOOT, 12.6 * FOOT, 9 * FOOT, 2.2 * FOOT, 36 * INCH,
                  33 * INCH, worker_side="front"),
        Furniture("machine-1", "machine", "Bandsaw", 10 * FOOT, 5.5 * FOOT, 2.4 * FOOT, 2.2 * FOOT, 66 * INCH),
        Furniture("cabinet-1", "cabinet", "Wood rack", 1 * FOOT, 4 * FOOT, 5 * FOOT, 1.8 * FOOT, 78 * INCH,
                  rotation_deg=90.0),
        Furniture("bench-2", "bench", "Setup bench", 17.5 * FOOT, 1.4 * FOOT, 4 * FOOT, 2 * FOOT, 36 * INCH,
                  33 * INCH, worker_side="back"),
        Furniture("machine-2", "machine", "Lathe", 14 * FOOT, 5.5 * FOOT, 3.6 * FOOT, 1.2 * FOOT, 44 * INCH,
                  rotation_deg=30.0, worker_side="front"),
    )  # fmt: skip
    fixtures = (
        strip("f-1", 3, 11.2), strip("f-2", 8, 11.2),
        strip("f-3", 4, 7, "B"), strip("f-4", 9, 7, "B"),
        strip("f-5", 4, 2.4, "C"), strip("f-6", 11, 2.4, "C", turn=90.0),
        Fixture("f-7", "panel-2x2", 17 * FOOT, 6.5 * FOOT, group="B"),
        Fixture("f-8", "round-bay", 17 * FOOT, 3.2 * FOOT, group="A", drop=0.3),
    )  # fmt: skip
    openings = (
        Opening("door-1", "door", 0, 7 * FOOT, 3 * FOOT, 6.8 * FOOT),
        Opening("window-1", "window", 1, 2.5 * FOOT, 4 * FOOT, 3 * FOOT, 3.5 * FOOT),
        Opening("gate-1", "overhead door", 5, 6 * FOOT, 6 * FOOT, 3 * FOOT),
    )
    keep_outs = (KeepOut("hatch-1", "hatch", 11.5 * FOOT, 12.5 * FOOT, 2 * FOOT, 2 * FOOT),)
    base = rectangle()
    room = Room(outline, 7.5 * FOOT, base.room.ceiling, base.room.walls, base.room.floor, openings=openings,
                keep_outs=keep_outs)  # fmt: skip
    groups = (Group("A", "Benches"), Group("B", "Middle"), Group("C", "Door side"))
    return Plan("Luthier's basement", room, furniture, base.models, fixtures, groups, invented=True)
