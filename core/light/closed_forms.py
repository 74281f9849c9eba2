"""Illuminance from a flat uniform diffuse source, in closed form.

A polygon of luminance L seen from a point gives E = (L/2) * sum over its edges of theta_k (g_k . n), where theta_k is
the angle that edge k subtends and g_k the unit normal of the plane through edge and point (Lambert's formula; P. Moon,
The Scientific Basis of Illuminating Engineering, 1936; the configuration factors of Siegel & Howell, 1972, are its
special cases for rectangles). What lies behind the receiver's own plane is cut off first.
"""

from __future__ import annotations

import numpy as np

from core.light.grid import FloatArray

__all__ = ["polygon_factor"]


def polygon_factor(points: FloatArray, normals: FloatArray, polygon: FloatArray) -> FloatArray:
    """Return the configuration factor of a flat polygon at points, E / (pi L).

    Parameters
    ----------
    points, normals : (n, 3)
        Receivers [m] and their unit normals.
    polygon : (m, 3)
        Corners of a convex polygon [m], in order. Both of its faces count; the caller leaves out receivers behind it.

    Returns
    -------
    (n,)
        Factor between 0 and 1, not negative.
    """
    ray = polygon[None, :, :] - points[:, None, :]
    height = np.einsum("nmk,nk->nm", ray, normals)
    above = height > 1e-12
    whole = above.all(axis=1)
    mixed = above.any(axis=1) & ~whole
    factor = np.zeros(len(points))
    if whole.any():
        ends = ray[whole]
        total = _edges(ends, np.roll(ends, -1, axis=1), normals[whole]).sum(axis=1)
        factor[whole] = np.abs(total) / (2.0 * np.pi)
    if mixed.any():
        factor[mixed] = _clipped(ray[mixed], height[mixed], normals[mixed])
    return factor


def _edges(a: FloatArray, b: FloatArray, normals: FloatArray) -> FloatArray:
    """Return theta (g . n) of edges from a to b, both (n, m, 3); shape (n, m)."""
    cross = np.cross(a, b)
    size = np.sqrt(np.einsum("nmk,nmk->nm", cross, cross))
    angle = np.arctan2(size, np.einsum("nmk,nmk->nm", a, b))
    along = np.einsum("nmk,nk->nm", cross, normals)
    turned: FloatArray = np.where(size > 1e-300, angle * along / np.maximum(size, 1e-300), 0.0)
    return turned


def _clipped(ray: FloatArray, height: FloatArray, normals: FloatArray) -> FloatArray:
    """The same where the receiver's plane cuts the polygon: clip each edge, and close along the plane."""
    a, b = ray, np.roll(ray, -1, axis=1)
    ha, hb = height, np.roll(height, -1, axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        cut = a + (b - a) * (ha / (ha - hb))[..., None]
    starts, ends = ha > 1e-12, hb > 1e-12
    leaves, enters = starts & ~ends, ~starts & ends
    a_clip = np.where(enters[..., None], cut, a)
    b_clip = np.where(leaves[..., None], cut, b)
    kept = starts | ends
    zero = np.zeros_like(a)
    total = _edges(np.where(kept[..., None], a_clip, zero), np.where(kept[..., None], b_clip, zero), normals)
    out = np.where(leaves[..., None], cut, 0.0).sum(axis=1, keepdims=True)
    back = np.where(enters[..., None], cut, 0.0).sum(axis=1, keepdims=True)
    closing = _edges(out, back, normals)
    factor: FloatArray = np.abs(total.sum(axis=1) + closing[:, 0]) / (2.0 * np.pi)
    return factor
