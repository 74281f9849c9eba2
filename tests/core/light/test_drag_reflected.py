"""What a drag frame makes of direct light, against light followed from tile to tile until it is gone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.bounces import first_bounce, tile_exchange
from core.light.drag_reflected import CLOSE_SHARE, DragReflected
from core.light.engine import LightEngine
from core.light.readers import readers
from core.light.roomlight import Column, RoomLight, Watch
from core.light.views import Views
from tests.core.light.rooms import box, rectangle, room_of


@pytest.fixture(scope="module")
def room() -> RoomLight:
    """A small room with a bench in a niche behind a cabinet, so that much of its light comes by many bounces."""
    plan = room_of(rectangle(2.4, 2.0), 2.2, 0.8, 0.6, 0.3)
    niche = (
        box("bench", 0.4, 0.4, 0.7, 0.6, 0.0, 0.9, 0.5, kind="bench"),
        box("cabinet", 0.95, 0.5, 0.3, 0.9, 0.0, 2.0, 0.5, kind="cabinet"),
    )
    return LightEngine(step=0.4).ready_room(replace(plan, furniture=niche), Watch())


def carried_by_all_tiles(room: RoomLight, light: np.ndarray) -> np.ndarray:
    """Follow light on the tiles from tile to tile until a bounce adds a millionth, then to all points: (points,)."""
    exchange = tile_exchange(room.views, room.patches).astype(float)
    total = bounced = light.astype(float)
    while bounced.sum() > 1e-6 * total.sum():
        bounced = exchange @ bounced
        total = total + bounced
    once = first_bounce(room.seen, np.arange(len(room.seen.tiles)), room.patches)
    return readers(room, thin=False).spread(once @ total)


def spotlight(room: RoomLight, seed: int) -> np.ndarray:
    """Direct light that falls off steeply around one spot of the room."""
    points = room.patches.tile_points
    middle = points[np.random.default_rng(seed).integers(len(points))]
    return (1000.0 * np.exp(-4.0 * ((points - middle) ** 2).sum(axis=1))).astype(np.float32)


def column_of(light: np.ndarray, reflected: np.ndarray) -> Column:
    """A full column as far as it is looked at: some direct light everywhere, and what is reflected beside it."""
    none = np.zeros(0, dtype=np.float32)
    return Column(none, (), none, none, light, np.ones(len(reflected), dtype=np.float32), reflected)


@pytest.mark.parametrize("seed", range(4))
def test_one_spot_of_light(room: RoomLight, seed: int) -> None:
    """Rough, single places in the niche are off by 8 %; finely, by 2; without what is uneven in the patches, by 4."""
    light = spotlight(room, seed)
    wanted = carried_by_all_tiles(room, light)
    reflected = DragReflected(room)
    rough, fine = (np.abs(reflected.at_points(light, finely=finely) / wanted - 1.0) for finely in (False, True))
    reflected.settle_where_off([column_of(light, wanted)])
    settled = np.abs(reflected.at_points(light, finely=True) / wanted - 1.0)
    assert rough.max() < 0.12
    assert fine.max() < 0.03
    assert fine.mean() < 0.015
    assert settled.max() < 0.02
    assert settled.mean() <= fine.mean()


def test_patches_lit_evenly_are_carried_as_from_tile_to_tile(room: RoomLight) -> None:
    """Nothing is uneven then, so what is settled is right but for what is left of the iteration."""
    even = np.random.default_rng(1).uniform(10.0, 900.0, len(room.patches)).astype(np.float32)
    light = even[room.patches.tile_patch]
    reflected = DragReflected(room)
    spots = [spotlight(room, seed) for seed in range(8)]
    reflected.settle_where_off([column_of(spot, carried_by_all_tiles(room, spot)) for spot in spots])
    wanted = carried_by_all_tiles(room, light)
    assert reflected.at_points(light, finely=True) == pytest.approx(wanted, rel=0.02)


def test_what_is_right_already_is_left_alone(room: RoomLight) -> None:
    light = spotlight(room, 2)
    reflected = DragReflected(room)
    found = reflected.at_points(light, finely=True)
    reflected.settle_where_off([column_of(light, found)])
    assert np.array_equal(reflected.at_points(light, finely=True), found)


def test_it_can_be_called_off(room: RoomLight) -> None:
    class Enough(Exception):
        pass

    def step() -> None:
        raise Enough

    reflected = DragReflected(room)
    spot = spotlight(room, 1)
    known = column_of(spot, 2.0 * carried_by_all_tiles(room, spot))
    with pytest.raises(Enough):
        reflected.settle_where_off([known], step)
    with pytest.raises(Enough):
        DragReflected(room, step)


def test_tiles_close_by_are_those_that_fill_much_of_a_view(room: RoomLight) -> None:
    close = DragReflected(room).tiles_close_by
    share = first_bounce(room.seen, np.arange(len(room.seen.tiles)), room.patches).toarray().max(axis=0)
    assert 0 < len(close) < len(share)
    assert share[close].min() > CLOSE_SHARE
    assert np.delete(share, close).max() <= CLOSE_SHARE


def test_tiles_exchange_light_as_it_is_gathered(room: RoomLight) -> None:
    light = np.random.default_rng(4).uniform(10.0, 900.0, len(room.patches.tile_patch))
    given_back = light * room.patches.reflectance[room.patches.tile_patch]
    assert tile_exchange(room.views, room.patches) @ light == pytest.approx(room.views.gather(given_back), rel=1e-4)


def test_a_tile_without_a_ray_gets_what_its_patch_gets(room: RoomLight) -> None:
    """The rays of one tile are given to the next one of its patch; both rays together are still the patch's."""
    views, patches = room.views, room.patches
    tile = int(patches.first_tile[5])
    rays_from = views.rays_from.copy()
    rays_from[tile + 1] += rays_from[tile]
    rays_from[tile] = 0
    blind = Views(views.tiles, rays_from, views.patch_of, views.patches)
    light = np.random.default_rng(5).uniform(10.0, 900.0, len(patches.tile_patch))
    given_back = light * patches.reflectance[patches.tile_patch]
    found = (tile_exchange(blind, patches) @ light)[tile]
    patch = patches.tile_patch[tile]
    met = views.tiles[patch]
    wanted = np.where(met >= 0, given_back[np.maximum(met, 0)], 0.0).mean()
    assert found == pytest.approx(wanted, rel=1e-4)
