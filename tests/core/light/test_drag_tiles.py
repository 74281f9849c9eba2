"""Direct light on the tiles in a drag frame: no tile that gets light is left out, and the sums agree with the full."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from core.light.direct import direct, spread_places, unshadowed
from core.light.drag_tiles import DragTiles
from core.light.engine import LightEngine
from core.light.roomlight import RoomLight, Watch
from core.light.sources import Source, sources_of
from core.plan import Plan
from tests.core.light.rooms import box, hang, rectangle, room_of, strip

PLACES = 16
LAMPS: dict[str, dict[str, Any]] = {
    "opal": {},
    "upward": {"upward_share": 0.4},
    "round": {"opening": "round"},
    "beam": {"beam": "cosine power", "exponent": 6.0},
    "point": {"opening": "point", "beam": "cosine power", "exponent": 3.0},
}


def shop(turned: float, **parts: Any) -> Plan:
    bare = room_of(rectangle(4.0, 3.0), 2.6, 0.8, 0.6, 0.3)
    furniture = (
        box("cabinet", 3.6, 1.5, 0.6, 1.2, 0.0, 1.9, 0.5, kind="cabinet"),
        box("table", 1.2, 2.2, 0.9, 0.7, 0.1, 0.9, 0.4),
    )
    lamp = strip(0.6, 0.6, 4000.0, **parts) if parts.get("opening") == "round" else strip(1.2, 0.1, 4000.0, **parts)
    return hang(replace(bare, furniture=furniture), (lamp, 1.7, 1.3, 2.2, turned))


@pytest.fixture(scope="module")
def room() -> RoomLight:
    return LightEngine(step=0.4).ready_room(shop(0.0), Watch())


def spots_of(source: Source) -> np.ndarray:
    return np.ascontiguousarray(source.places(spread_places(PLACES)).T, dtype=np.float32)


@pytest.mark.parametrize("turned", [0.0, 37.0, 90.0])
@pytest.mark.parametrize("parts", LAMPS.values(), ids=LAMPS.keys())
def test_no_tile_that_gets_light_is_left_out(room: RoomLight, parts: dict[str, Any], turned: float) -> None:
    source = sources_of(shop(turned, **parts))[0]
    patches, tiles = room.patches, DragTiles(room.patches, PLACES, 2)
    lit = tiles.lit_by(source, spots_of(source))
    lit.shine()
    found = lit.light(np.zeros(len(lit.rays()[0]), dtype=bool))
    wanted = unshadowed(patches.tile_points, patches.tile_normals, source)
    left_out = np.setdiff1d(np.arange(len(wanted)), lit.chosen)
    assert len(left_out) > 0.1 * len(wanted)
    assert wanted[left_out].max() < 1e-6 * wanted.max()
    lumens = (found * patches.tile_area).sum() / (wanted * patches.tile_area).sum()
    assert lumens == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize(("each", "mean", "largest"), [(1, 0.03, 0.05), (2, 0.008, 0.024), (4, 0.005, 0.02)])
def test_shadows_are_those_of_the_full_light(room: RoomLight, each: int, mean: float, largest: float) -> None:
    """By patches, on which neighbouring tiles see other places of the strip; as shares of mean and largest light."""
    source = sources_of(shop(20.0))[0]
    patches = room.patches
    lit = DragTiles(patches, PLACES, each).lit_by(source, spots_of(source))
    lit.shine()
    stopped = room.between.occluded_here(*lit.rays())
    found = patches.average(lit.light(stopped))
    assert np.array_equal(found, patches.average(lit.light(stopped))), "asking twice changes nothing"
    wanted = patches.average(direct(patches.tile_points, patches.tile_normals, source, room.between))
    off = np.abs(found - wanted)
    assert off.mean() < mean * wanted.mean()
    assert off.max() < largest * wanted.max()


def test_each_tile_sees_places_far_apart_and_a_patch_sees_nearly_all(room: RoomLight) -> None:
    tiles = DragTiles(room.patches, PLACES, 4)
    apart = np.diff(np.sort(tiles.place, axis=0), axis=0)
    assert apart.min() >= PLACES // 4 - 1
    edges = room.patches.first_tile
    seen = [len(np.unique(tiles.place[:, a:b])) for a, b in pairwise(edges) if b - a >= 9]
    assert min(seen) == PLACES


@pytest.mark.parametrize("parts", LAMPS.values(), ids=LAMPS.keys())
def test_tiles_close_by_see_places_of_their_own(room: RoomLight, parts: dict[str, Any]) -> None:
    """Every third tile is said to be close by; together both parts are all tiles that are lit, none of them twice."""
    source = sources_of(shop(20.0, **parts))[0]
    patches, close = room.patches, np.arange(0, len(room.patches.tile_patch), 3)
    tiles = DragTiles(patches, PLACES, 2, close)
    looked_at = np.ascontiguousarray(source.places(spread_places(64)).T, dtype=np.float32)
    near = tiles.close_lit_by(source, spots_of(source), looked_at)
    others, whole = (tiles.lit_by(source, spots_of(source), but_close_by=apart) for apart in (True, False))
    assert np.array_equal(np.sort(np.concatenate([near.chosen, others.chosen])), whole.chosen)
    assert np.isin(near.chosen, close).all()
    assert len(near.rays()[0]) == 64 * len(near.chosen)
    near.shine()
    found = near.light(room.between.occluded_here(*near.rays()))[near.chosen]
    wanted = direct(patches.tile_points, patches.tile_normals, source, room.between)[near.chosen]
    assert np.abs(found - wanted).mean() < 0.01 * wanted.mean()
    assert np.abs(found - wanted).max() < 0.06 * wanted.max()
