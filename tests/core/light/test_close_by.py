"""What is close by a place is cut finer for it: in narrow gaps, and right before a surface.

Source of the illuminances: Mitsuba 3.9.1; see tests/reference/harder/README.md.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import core.light.engine as engine_module
from core.light.close_by import close_by
from core.light.closer import looked_into
from core.light.direct import direct
from core.light.enclosure import enclose
from core.light.engine import LightEngine
from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.quality import FULL
from core.light.roomlight import Column, RoomLight, Watch
from core.light.sources import sources_of
from core.plan import Plan
from tests.core.light.rooms import box, hang, rectangle, room_of, strip
from tests.reference.cases import plan_of

HARDER = Path(__file__).parents[2] / "reference" / "harder"
IN_GAP = (2.0, 2.96, 1.3)
UP, DOWN, NORTH, SOUTH = ((0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0), (0.0, -1.0, 0.0))


def shop(gap: float = 0.05) -> Plan:
    """A cabinet that stands off the north wall."""
    bare = room_of(rectangle(4.0, 3.0), 2.4, 0.8, 0.6, 0.3)
    cabinet = box("cabinet", 2.0, 3.0 - gap - 0.3, 1.2, 0.6, 0.0, 1.9, 0.5, kind="cabinet")
    return hang(replace(bare, furniture=(cabinet,)), (strip(1.2, 0.1, 4000.0), 2.0, 1.2, 2.3, 0.0))


def is_close(plan: Plan, point: tuple[float, float, float], normal: tuple[float, float, float]) -> bool:
    around, close = close_by(enclose(plan).surfaces, np.array([point]), np.array([normal]))
    assert any(around) == bool(close[0])
    return bool(close[0])


@pytest.mark.parametrize(
    ("point", "normal", "wanted"),
    [
        ((2.0, 2.975, 1.0), UP, True),  # behind the cabinet
        ((2.0, 2.975, 1.98), DOWN, True),  # right above the gap
        ((2.0, 2.6, 0.9), UP, False),  # inside of the cabinet, where nobody asks
        ((2.0, 1.2, 0.9), UP, False),  # in the open
        ((0.05, 1.2, 0.9), UP, True),  # beside a wall, which fills half of its view
        ((1.0, 0.05, 0.9), NORTH, False),  # looks away from the wall behind it
        ((1.0, 0.05, 0.9), SOUTH, True),
        ((1.0, 0.3, 0.9), SOUTH, False),
        ((1.0, 1.2, 0.0), UP, False),  # on the floor
    ],
)
def test_which_places_are_looked_at_closely(
    point: tuple[float, float, float], normal: tuple[float, float, float], wanted: bool
) -> None:
    assert is_close(shop(), point, normal) == wanted


def test_wide_gaps_need_no_closer_look() -> None:
    assert not is_close(shop(0.3), (2.0, 2.85, 1.0), UP)


@pytest.fixture(scope="module")
def looked() -> tuple[RoomLight, list[Column], Patches, FloatArray]:
    """A room, its columns, and what a look into the gap behind its cabinet finds."""
    plan = shop(0.09)
    room = LightEngine(step=0.5).ready_room(plan, Watch())
    around, _ = close_by(room.enclosure.surfaces, np.array([IN_GAP]), np.array([UP]))
    columns = room.columns(sources_of(plan), Watch())
    return room, columns, *looked_into(room, sources_of(plan), columns, around, lambda share: None)


def test_only_what_is_around_is_cut_finer(looked: tuple[RoomLight, list[Column], Patches, FloatArray]) -> None:
    room, columns, patches, lit = looked
    was = room.patches.cells.tile_at(patches.tile_surface, patches.tile_points)
    finer = patches.is_finer
    side = np.linalg.norm(patches.tile_sides, axis=2).max(axis=1)
    assert 10_000 < finer.sum() < 60_000
    finest = side < 0.3 * side[~finer].mean()
    assert finest.sum() > 0.9 * finer.sum()  # all of the gap is somewhat finer at any rate
    assert np.array_equal(lit[~finer, 0], columns[0].lit[was[~finer]])
    # Twelve widths of the gap along it, three beyond its mouths, and no more than a tile farther.
    away = np.abs(patches.tile_points[finest] - IN_GAP)
    assert (away.max(axis=0) < (15 * 0.09 + 0.08, 4 * 0.09 + 0.08, 15 * 0.09 + 0.08)).all()


def test_direct_light_on_the_finer_tiles_sees_slivers(
    looked: tuple[RoomLight, list[Column], Patches, FloatArray],
) -> None:
    """Deep in a gap only a sliver of a fixture shows: the light given back holds at least what arrives directly."""
    room, _, patches, lit = looked
    some = np.flatnonzero(patches.is_finer)[::7]
    straight = direct(patches.tile_points[some], patches.tile_normals[some], sources_of(shop(0.09))[0], room.blockers)
    given = lit[some, 0] / patches.reflectance[patches.tile_patch[some]]
    assert (straight > 0.0).sum() > 100
    assert (given > 0.97 * straight).all()


def test_beside_a_surface(monkeypatch: pytest.MonkeyPatch) -> None:
    """The light a few centimetres from something does not hang on how the tiles lie: at this number of patches the
    point was off by 2 to 4 % when tiles kept the few rays they share with their patch."""
    monkeypatch.setattr(engine_module, "FULL", replace(FULL, patches=1900))
    case = read("m3_tight_slot")
    at, normal = np.array(case["points"][29]), np.array(case["normals"][29])
    lux = LightEngine().receive(plan_of(case), at, normal).sum()
    assert lux == pytest.approx(case["E_lux"][29], rel=0.01)


def test_a_rough_look_is_for_the_asking() -> None:
    """Averages over walls need no closer look. In a gap it makes a difference: 3 to 52 % without, and
    `test_reference` holds it to 2 %."""
    case = read("m15_gap_of_5_cm")
    at, normals = np.array(case["points"]), np.array(case["normals"])
    rough = LightEngine().receive(plan_of(case), at, normals, closely=False).sum(axis=1)
    assert np.abs(rough / case["E_lux"] - 1.0).max() > 0.2


def read(name: str) -> dict[str, Any]:
    case: dict[str, Any] = json.loads((HARDER / f"{name}.json").read_text(encoding="utf-8"))
    return case
