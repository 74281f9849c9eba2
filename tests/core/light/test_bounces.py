"""The first bounce tile by tile, and the views of the patches by way of the tiles, against sums written out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from core.light.bounces import NEAR, PIECE, first_bounce, near_and_far, second_views
from core.light.engine import LightEngine
from core.light.roomlight import RoomLight, Watch
from core.light.views import Views
from tests.core.light.rooms import box, rectangle, room_of


@pytest.fixture(scope="module")
def room() -> RoomLight:
    plan = room_of(rectangle(3.0, 2.5), 2.4, 0.8, 0.6, 0.3)
    plan = replace(plan, furniture=(box("bench", 1.0, 0.4, 1.4, 0.6, 0.0, 0.9, 0.5, kind="bench"),))
    return LightEngine(step=0.4).ready_room(plan, Watch())


def test_patches_lit_evenly_bounce_as_their_factors_say(room: RoomLight) -> None:
    """Where all tiles of a patch get the same, the first bounce is what the configuration factors make of it."""
    rows = np.arange(0, len(room.seen.tiles), 3)
    on_patches = np.random.default_rng(1).uniform(10.0, 900.0, len(room.patches))
    bounced = first_bounce(room.seen, rows, room.patches) @ on_patches[room.patches.tile_patch]
    wanted = (room.seen.factors(rows) * room.patches.reflectance) @ on_patches
    assert bounced == pytest.approx(wanted, rel=1e-4)


def test_tiles_lit_each_their_own_way_bounce_as_they_are_gathered(room: RoomLight) -> None:
    rows = np.arange(len(room.seen.tiles))
    on_tiles = np.random.default_rng(2).uniform(10.0, 900.0, len(room.patches.tile_patch))
    bounced = first_bounce(room.seen, rows, room.patches) @ on_tiles
    assert bounced == pytest.approx(
        room.seen.gather(on_tiles * room.patches.reflectance[room.patches.tile_patch]), 1e-4
    )


def test_the_second_bounce_sees_patches_through_the_tiles(room: RoomLight) -> None:
    """Gathered twice: the patches' light at the tiles, then what the tiles give back at the receivers."""
    patches, rows = room.patches, np.arange(0, len(room.seen.tiles), 7)
    given = np.random.default_rng(3).uniform(10.0, 900.0, len(patches))
    at_tiles = room.views.gather(given[patches.tile_patch])
    wanted = room.seen.gather(at_tiles * patches.reflectance[patches.tile_patch])[rows]
    found = second_views(first_bounce(room.seen, rows, patches), room.views, patches) @ given
    assert found == pytest.approx(wanted, rel=1e-3)


def test_a_tile_without_a_ray_sees_what_its_patch_sees(room: RoomLight) -> None:
    """The rays of the tile that is met most are given to the next one of its patch, so that it has none."""
    views, patches = room.views, room.patches
    bounce = first_bounce(room.seen, np.arange(len(room.seen.tiles)), patches)
    met = bounce.sum(axis=0) * (np.diff(patches.tile_patch, append=-1) == 0)
    tile = int(met.argmax())
    rays_from = views.rays_from.copy()
    rays_from[tile + 1] += rays_from[tile]
    rays_from[tile] = 0
    blind = Views(views.tiles, rays_from, views.patch_of, views.patches)
    found, wanted = (second_views(bounce, each, patches).sum(axis=1) for each in (blind, views))
    assert met[tile] > 0.0
    assert found == pytest.approx(wanted, rel=1e-4)


def test_it_can_be_ended_between_pieces(room: RoomLight) -> None:
    class Enough(Exception):
        pass

    told = []

    def step() -> None:
        told.append(1)
        if len(told) == 2:
            raise Enough

    bounce = first_bounce(room.seen, np.resize(np.arange(len(room.seen.tiles)), 3 * PIECE), room.patches)
    with pytest.raises(Enough):
        second_views(bounce, room.views, room.patches, step)


def test_near_and_far_make_up_the_whole(room: RoomLight) -> None:
    """Lit evenly patch by patch it is all the same; one patch lit unevenly differs only where it is near."""
    patches, rows = room.patches, np.arange(0, len(room.seen.tiles), 3)
    places = np.concatenate([room.plane.mesh, room.benches[0].points])[rows]
    bounce = first_bounce(room.seen, rows, patches)
    near, far = near_and_far(bounce, places, patches)
    even = np.random.default_rng(6).uniform(10.0, 900.0, len(patches))
    assert near @ even[patches.tile_patch] + far @ even == pytest.approx(bounce @ even[patches.tile_patch], rel=1e-4)
    away = np.linalg.norm(places[:, None] - patches.tile_points, axis=2)
    is_near = away < NEAR * np.sqrt(patches.area)[patches.tile_patch]
    assert np.array_equal(near.toarray() > 0.0, (bounce.toarray() > 0.0) & is_near)
    assert 0.05 < is_near.mean() < 0.95
