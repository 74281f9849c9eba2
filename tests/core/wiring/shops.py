"""Small shops for the tests of the wiring: lengths in feet, so that every cable can be measured in one's head."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.plan import Finish, Fixture, Group, JoistZone, Model, Plan, PowerSetting, Room
from core.plan.ceiling import CeilingWork, Feeding
from core.plan.settle import settled
from core.plan.wiring import Circuit, Panel, SwitchBox, Wiring
from core.units import FOOT

WHITE = Finish("white", 0.8)
BOXED = Feeding("ceiling box")


def feet(*values: float) -> tuple[float, ...]:
    return tuple(settled(value * FOOT) for value in values)


def model(identity: str = "wrap", watts: Sequence[float] = (60.0, 120.0), dimming: str = "none", **fields) -> Model:
    settings = tuple(PowerSetting(w, 100 * w) for w in watts)
    fields = {"feeding": BOXED, "price": 50.0, **fields}
    return Model(
        identity, identity, "wrap", 1.2, 0.2, 0.08, "rectangle", 1.1, 0.18, settings, (4000,), dimming=dimming, **fields
    )


def room(*corners: tuple[float, float], height: float = 8.0) -> Room:
    outline = tuple(feet(*corner) for corner in corners)
    return Room(outline, *feet(height), WHITE, WHITE, WHITE, joists=(JoistZone("j", 0.0),))  # type: ignore[arg-type]


def fixture(number: int, x: float, y: float, group: str = "A", of: str = "wrap") -> Fixture:
    return Fixture(f"f{number}", of, *feet(x, y), group=group)


def box(identity: str, x: float, y: float, groups: str, height: float = 4.0) -> SwitchBox:
    return SwitchBox(identity, *feet(x, y), tuple(groups), *feet(height))


def shop(fixtures: Sequence[Fixture], models: Sequence[Model] | None = None, **fields) -> Plan:
    """A room of 20 x 16 ft, 8 ft high; panel at the left wall, 8 ft up the sheet, its top at 6 ft; switch at (9, 0)."""
    letters = sorted({f.group for f in fixtures})
    wiring = Wiring(
        panel=Panel(*feet(0, 8), *feet(6)),
        circuits=(Circuit("c1", "Lights", groups=tuple(letters)),),
        switch_boxes=(box("s1", 9, 0, "".join(letters)),) if letters else (),
        walls="open framing",
    )
    plan = Plan(
        name="Shop",
        room=room((0, 0), (20, 0), (20, 16), (0, 16)),
        models=tuple(models or (model(),)),
        fixtures=tuple(fixtures),
        groups=tuple(Group(letter, f"Group {letter}") for letter in letters),
        ceiling=CeilingWork(access="open framing"),
        wiring=wiring,
    )
    return replace(plan, **fields)


def rewired(plan: Plan, **fields) -> Plan:
    return replace(plan, wiring=replace(plan.wiring, **fields))
