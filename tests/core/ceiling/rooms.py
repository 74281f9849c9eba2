"""Small rooms for the ceiling tests: an outline in feet, one fixture model, fixtures at given places."""

from __future__ import annotations

from collections.abc import Sequence

from core.plan import Finish, Fixture, Group, JoistZone, KeepOut, Model, Opening, Plan, PowerSetting, Room
from core.plan.ceiling import CeilingWork, Feeding
from core.units import FOOT, INCH

WHITE = Finish("white", 0.8)
BOX_IN_THE_MIDDLE = Feeding("ceiling box")


def model(identity: str = "box-fed", *, feeding: Feeding | None = BOX_IN_THE_MIDDLE, **fields: object) -> Model:
    """An invented 4 ft wrap with its feed in the middle, unless told otherwise."""
    values: dict[str, object] = {
        "id": identity,
        "name": "Invented wrap",
        "kind": "wrap",
        "length": 48 * INCH,
        "width": 6 * INCH,
        "body_height": 3 * INCH,
        "opening": "rectangle",
        "opening_length": 47 * INCH,
        "opening_width": 5 * INCH,
        "settings": (PowerSetting(30.0, 4000.0),),
        "colours": (4000,),
        "feeding": feeding,
    }
    return Model(**(values | fields))  # type: ignore[arg-type]


def plan_of(
    outline_ft: Sequence[tuple[float, float]],
    places_ft: Sequence[tuple[float, float]] = (),
    *,
    made: Model | None = None,
    height_ft: float = 8.0,
    rotation: float = 0.0,
    drop: float = 0.0,
    ceiling: CeilingWork | None = None,
    keep_outs: tuple[KeepOut, ...] = (),
    joists: tuple[JoistZone, ...] = (),
    openings: tuple[Opening, ...] = (),
    units: str = "US",
) -> Plan:
    """A plan with one fixture at each place, all on switch A."""
    made = made or model()
    room = Room(
        outline=tuple((x * FOOT, y * FOOT) for x, y in outline_ft),
        height=height_ft * FOOT,
        ceiling=WHITE,
        walls=WHITE,
        floor=WHITE,
        keep_outs=keep_outs,
        joists=joists,
        openings=openings,
    )
    fixtures = tuple(
        Fixture(f"f{n + 1}", made.id, x * FOOT, y * FOOT, rotation, drop) for n, (x, y) in enumerate(places_ft)
    )
    return Plan(
        name="Test shop",
        room=room,
        models=(made,),
        fixtures=fixtures,
        groups=(Group("A", "Main"),),
        ceiling=ceiling or CeilingWork(),
        units=units,  # type: ignore[arg-type]
    )


def rectangle(width: float, depth: float) -> list[tuple[float, float]]:
    """Corners of a rectangle from the plan's zero [ft]."""
    return [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)]
