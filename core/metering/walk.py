"""The walk sheet: where to read, numbered, with blanks, and how to read well. And a trial before buying.

Points are laid on every bench (its middle and, on a longer one, near both ends), at the eye of whoever stands there
(upright sensor, facing the bench), and over the room on the work plane. How to read is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from core.checks.finding import Wording
from core.checks.standing import stands
from core.light.engine import LightEngine
from core.plan import Fixture, Furniture, Plan, Point, box_corners
from core.plan.checking import MeterReading

__all__ = ["HOW_TO_READ", "Trial", "trial", "walk_points"]

HOW_TO_READ = (
    "Let the lamps burn for 20 to 30 minutes first: their light settles as they warm up.",
    "Draw curtains or go at night; read every point once more with the lights off and write it in the last column.",
    "Lay the sensor flat at the height given, facing as given. Keep your own body, hands and dark clothes off it.",
    "Use the same switches for a whole walk, and write down which were on.",
    "New lamps are compared with initial light. The meter's own uncertainty is the same for all readings.",
)
SPACING = 1.5
MOST_OVER_ROOM = 25
LONG_BENCH = 1.5
LEAST_EXPECTED = 1.0
UPRIGHT = 90.0
MOST_OFF = 3.0
"""A lamp whose light is more times off its data sheet is read wrongly (common practice, no source)."""


@dataclass(frozen=True)
class Trial:
    """A lamp taped up before buying: where it hangs, the blank reading, what to expect [lx], and all that in words."""

    fixture: Fixture
    reading: MeterReading
    expected: float
    words: str

    def factor(self, lux: float, dark_lux: float = 0.0) -> float:
        """Return what the lumens of this model have to be multiplied by after a reading [lx].

        Raises
        ------
        ValueError
            If the reading cannot be that of this lamp; a sentence for the user.
        """
        if lux <= dark_lux:
            raise ValueError("The reading is not more than that with the lights off. Is the lamp on?")
        times = (lux - dark_lux) / self.expected
        if not 1.0 / MOST_OFF <= times <= MOST_OFF:
            raise ValueError(
                f"That is {times:.2g} times what is expected. No lamp is that far off its data sheet: look at the unit "
                "(fc or lx), the height, the power setting, and whether the sensor lies straight below."
            )
        return times


def walk_points(plan: Plan, levels: Mapping[str, float], combination: str = "") -> list[MeterReading]:
    """Return numbered blank readings for a walk at a switch setting."""
    blank = MeterReading(
        "1",
        0.0,
        0.0,
        levels=tuple((letter, float(share)) for letter, share in levels.items() if share > 0.0),
        combination=combination,
        unit="lx" if plan.units == "metric" else "fc",
    )
    spots: list[tuple[Point, float, float, float, str]] = []
    for bench in plan.benches():
        along = (0.0,) if bench.width < LONG_BENCH else (-0.35 * bench.width, 0.0, 0.35 * bench.width)
        turn = math.radians(bench.rotation_deg)
        for offset in along:
            at = (bench.x + offset * math.cos(turn), bench.y + offset * math.sin(turn))
            spots.append((at, bench.top, 0.0, 0.0, f"on {bench.name or bench.id}"))
    for stand in stands(plan):
        at = (float(stand.eye[0]), float(stand.eye[1]))
        words = f"at the eye, facing {stand.item.name or stand.item.id}"
        spots.append((at, float(stand.eye[2]), UPRIGHT, stand.facing_deg, words))
    spots += [(at, plan.work_plane, 0.0, 0.0, "in the room") for at in _over_room(plan)]
    return [
        replace(blank, id=f"reading-{n}", x=x, y=y, height=height, tilt_deg=tilt, azimuth_deg=azimuth, note=words)
        for n, ((x, y), height, tilt, azimuth, words) in enumerate(spots, start=1)
    ]


def trial(plan: Plan, fixture_id: str, engine: LightEngine, cancelled: Callable[[], bool] | None = None) -> Trial:
    """Return where to tape up one fixture of the plan, where to stand, and what to read there.

    The reading corrects the lumens of that fixture's model (`core.metering.calibrate.with_light_factor` with
    ``models=(fixture.model,)`` and `Trial.factor`).

    Raises
    ------
    ValueError
        If none of the lamp's light would get to the sensor; a sentence for the user.
    """
    fixture = plan.fixture(fixture_id)
    alone = replace(plan, fixtures=(replace(fixture, group="A"),))
    at = (fixture.x, fixture.y)
    over = next((bench for bench in plan.benches() if _over(bench, at)), None)
    height = over.top if over is not None else plan.work_plane
    reading = MeterReading("trial-1", *at, height, levels=(("A", 1.0),), note=f"trial of {fixture.id}")
    if any(item is not over and item.top > height and _over(item, at) for item in plan.furniture):
        raise ValueError("Something stands under this fixture, so nothing can be read below it: choose another.")
    lit = engine.receive(alone, np.array([[*at, height]]), np.array([[0.0, 0.0, 1.0]]), cancelled=cancelled)
    expected = float(lit[0, 0])
    if expected < LEAST_EXPECTED:
        raise ValueError("Hardly any light of this fixture falls straight below it: choose another.")
    wording = Wording(plan, "")
    model = plan.model(fixture.model)
    where = f"on {over.name or over.id}" if over is not None else f"{wording.length(height)} above the floor"
    words = (
        f"Tape or clamp one {model.name} safely up at {wording.spot(*at)}, its light "
        f"{wording.length(plan.opening_height(fixture))} above the floor, all other lights off. Let it burn for 20 "
        f"minutes. Read straight below it, {where}, sensor flat, standing aside. Expect "
        f"{wording.light(expected)}; "
        "what you read corrects this model's lumens."
    )
    return Trial(fixture, reading, expected, words)


def _over_room(plan: Plan) -> list[Point]:
    room = Polygon(plan.room.outline).buffer(-min(plan.targets.wall_band, 0.6))
    if room.is_empty:
        return []
    step = max(SPACING, math.sqrt(room.area / MOST_OVER_ROOM))
    x0, y0, x1, y1 = room.bounds
    nx, ny = max(1, round((x1 - x0) / step)), max(1, round((y1 - y0) / step))
    taken = shapely.union_all(
        [
            Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg))
            for item in plan.furniture
            if item.bottom < plan.work_plane + 0.3
        ]
    ).buffer(0.05)
    spots = [(x0 + (i + 0.5) * (x1 - x0) / nx, y0 + (j + 0.5) * (y1 - y0) / ny) for j in range(ny) for i in range(nx)]
    return [at for at in spots if shapely.contains_xy(room, *at) and not shapely.contains_xy(taken, *at)]


def _over(item: Furniture, at: Point) -> bool:
    corners = box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)
    return bool(shapely.contains_xy(Polygon(corners), *at))
