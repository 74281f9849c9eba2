"""What a drag frame makes of direct light, against the exchange of all tiles solved as one system of equations."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.bounces import first_bounce, tile_exchange
from core.light.drag_reflected import CLOSE_SHARE, DragReflected
from core.light.engine import LightEngine
from core.light.roomlight import RoomLight, Watch
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


@pytest.fixture(scope="module")
def rows(room: RoomLight) -> np.ndarray:
    return np.arange(0, len(room.seen.tiles), 5)


@pytest.fixture(scope="module")
def solved(room: RoomLight, rows: np.ndarray) -> np.ndarray:
    """All bounces, E = M (D + E) on the tiles and then once more to the receivers: (rows, tiles)."""
    exchange = tile_exchange(room.views, room.patches).toarray().astype(float)
    once = first_bounce(room.seen, rows, room.patches).toarray().astype(float)
    return np.linalg.solve(np.eye(len(exchange)) - exchange.T, once.T).T


def spotlight(room: RoomLight, seed: int) -> np.ndarray:
    """Direct light that falls off steeply around one spot of the room."""
    points = room.patches.tile_points
    middle = points[np.random.default_rng(seed).integers(len(points))]
    return (1000.0 * np.exp(-4.0 * ((points - middle) ** 2).sum(axis=1))).astype(np.float32)


@pytest.mark.parametrize("seed", range(4))
def test_one_spot_of_light(room: RoomLight, rows: np.ndarray, solved: np.ndarray, seed: int) -> None:
    """Settled rows are as good as the system; without, single places in the niche are several times as far off."""
    light = spotlight(room, seed)
    wanted = solved @ light
    reflected = DragReflected(room, rows)
    rough = np.abs(reflected.carried(light) / wanted - 1.0)
    reflected.settle(np.arange(len(rows)))
    fine = np.abs(reflected.carried(light) / wanted - 1.0)
    assert rough.max() < 0.12
    assert fine.max() < 0.02
    assert fine.max() < rough.max()
    assert fine.mean() < 0.004


def test_patches_lit_evenly_are_carried_as_the_system_says(
    room: RoomLight, rows: np.ndarray, solved: np.ndarray
) -> None:
    """Nothing is uneven then, so settled rows are right but for what is left of the iteration."""
    even = np.random.default_rng(1).uniform(10.0, 900.0, len(room.patches)).astype(np.float32)
    light = even[room.patches.tile_patch]
    reflected = DragReflected(room, rows)
    reflected.settle(np.arange(len(rows)))
    assert reflected.carried(light) == pytest.approx(solved @ light, rel=2e-3)


def test_only_the_rows_asked_for_are_settled(room: RoomLight, rows: np.ndarray) -> None:
    light = spotlight(room, 2)
    reflected = DragReflected(room, rows)
    before = reflected.carried(light)
    reflected.settle(np.array([3, 7]))
    changed = reflected.carried(light) != before
    assert changed[[3, 7]].all()
    assert changed.sum() == 2


def test_it_can_be_called_off(room: RoomLight, rows: np.ndarray) -> None:
    class Enough(Exception):
        pass

    def step() -> None:
        raise Enough

    reflected = DragReflected(room, rows)
    with pytest.raises(Enough):
        reflected.settle(np.arange(3), step)
    with pytest.raises(Enough):
        DragReflected(room, rows, step)


def test_tiles_close_by_are_those_that_fill_much_of_a_view(room: RoomLight, rows: np.ndarray) -> None:
    close = DragReflected(room, rows).tiles_close_by
    share = first_bounce(room.seen, rows, room.patches).toarray().max(axis=0)
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
