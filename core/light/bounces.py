"""Single bounces, tile by tile: what receivers, and the tiles themselves, get of light that tiles give back at once.

Where a point sees little but the side of a cabinet, it matters which of that side's tiles are lit: an average over the
patch may be off by half. Later on light is smooth, and the patches do; but the tiles of the first bounce still see the
patches each in its own way.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.light.patches import Patches
from core.light.views import Views

if TYPE_CHECKING:
    from scipy.sparse import csr_array

__all__ = ["first_bounce", "near_and_far", "second_views", "tile_exchange"]

NEAR = 4.0
"""Sides of a patch: seen from farther away its tiles count nearly alike."""
PIECE = 100
"""Receivers worked on at a time: a few hundredths of a second, for which a change may have to wait."""


def first_bounce(seen: Views, rows: NDArray[np.int64], patches: Patches) -> csr_array:
    """Return what receivers get of direct light on the tiles after one bounce, (rows, tiles) float32.

    ``rows`` (k,) picks some of the viewers ``seen``, each of a single origin.
    """
    met = seen.tiles.take(rows, axis=0)
    rays = np.full(len(rows), met.shape[1])
    bounce = _shares(met.ravel(), rays, len(patches.tile_patch), patches.reflectance.take(patches.tile_patch))
    bounce.sum_duplicates()
    return bounce


def tile_exchange(views: Views, patches: Patches) -> csr_array:
    """Return what the tiles get of light on the tiles after one bounce, (tiles, tiles) float32.

    ``views`` are the patches' own. A tile without a ray of its own sees what its patch sees.
    """
    from scipy.sparse import csr_array

    met, weight = views.tiles.ravel(), patches.reflectance.take(patches.tile_patch)
    exchange = _shares(met, views.rays_from, len(weight), weight)
    blind = np.flatnonzero(views.rays_from == 0)
    if blind.size:
        by_patch = _shares(met, np.full(len(patches), views.tiles.shape[1]), len(weight), weight)
        places = np.ones(len(blind), dtype=np.float32), (blind, patches.tile_patch.take(blind))
        exchange += csr_array(places, shape=(len(weight), len(patches))) @ by_patch
    exchange.sum_duplicates()
    return exchange


def near_and_far(bounce: csr_array, places: FloatArray, patches: Patches) -> tuple[csr_array, FloatArray]:
    """Part a bounce for receivers at ``places`` (k, 3) [m].

    Returns
    -------
    What comes from patches near a receiver, tile by tile (k, tiles), and what from the others, patch by patch
    (k, patches).
    """
    from scipy.sparse import csr_array

    row = np.repeat(np.arange(len(places)), np.diff(bounce.indptr))
    tile, share = bounce.indices, bounce.data
    patch = patches.tile_patch.take(tile)
    away = np.linalg.norm(places.take(row, axis=0) - patches.tile_points.take(tile, axis=0), axis=1)
    is_near = away < NEAR * np.sqrt(patches.area).take(patch)
    near = csr_array((share[is_near], (row[is_near], tile[is_near])), shape=bounce.shape)
    far = csr_array((share[~is_near], (row[~is_near], patch[~is_near])), shape=(len(places), len(patches)))
    return near, far.toarray()


def second_views(
    bounce: csr_array, views: Views, patches: Patches, step: Callable[[], None] | None = None
) -> FloatArray:
    """Return how receivers see the patches by way of the tiles, (rows, patches) float32.

    ``bounce`` is `first_bounce`. What the patches give back then reaches the receivers with two bounces or more.
    ``step`` is called between pieces of the work and may raise to end it.
    """
    patch = np.append(patches.tile_patch, -1).take(views.tiles.ravel())
    each = _shares(patch, views.rays_from, len(patches))
    found = np.empty((bounce.shape[0], len(patches)), dtype=np.float32)
    for start in range(0, len(found), PIECE):
        if step is not None:
            step()
        part = slice(start, start + PIECE)
        found[part] = (bounce[part] @ each).toarray()
    # A tile without a ray of its own sees what its patch sees.
    blind = np.flatnonzero(views.rays_from == 0)
    if blind.size:
        found += bounce[:, blind] @ views.factors(patches.tile_patch.take(blind))
    return found


def _shares(
    met: NDArray[np.signedinteger], rays: NDArray[np.int64], count: int, weight: FloatArray | None = None
) -> csr_array:
    """Return which shares of each origin's rays met what (origins, ``count``), times a weight (count,) of what was met.

    ``met`` (all rays,) has the rays in the order of their origins, -1 where one met nothing.
    """
    # Loading it takes a tenth of a second, for which the first picture need not wait.
    from scipy.sparse import csr_array

    found = met >= 0
    what = met[found]
    share = np.repeat((1.0 / np.maximum(rays, 1)).astype(np.float32), rays)[found]
    if weight is not None:
        share *= weight.astype(np.float32).take(what)
    ends = np.cumsum(np.concatenate([[0], found])).take(np.cumsum(np.concatenate([[0], rays])))
    return csr_array((share, what, ends), shape=(len(rays), count))
