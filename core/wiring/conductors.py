"""Copper conductors: resistance, the breaker that protects them, and the room that they need in a box.

Resistance: NFPA 70 Chapter 9 Table 8, uncoated copper, solid, 75 degree C, direct current. Breakers: 240.4(D), for the
60 degree column that NM cable uses. Room in a box: 314.16(B). Volumes are in cubic inches, as stamped in boxes.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

__all__ = ["CONTROL_PAIR_AWG", "MOST_BREAKER", "OHM_PER_METRE", "ROOM_IN3"]

_METRES_PER_KFT = 304.8

OHM_PER_METRE: Final[Mapping[int, float]] = {
    14: 3.07 / _METRES_PER_KFT,
    12: 1.93 / _METRES_PER_KFT,
    10: 1.21 / _METRES_PER_KFT,
}
"""Resistance of one solid conductor [ohm/m] by AWG size (Chapter 9 Table 8)."""

MOST_BREAKER: Final[Mapping[int, int]] = {14: 15, 12: 20, 10: 30}
"""Largest breaker [A] by AWG size of the copper conductor (240.4(D))."""

ROOM_IN3: Final[Mapping[int, float]] = {18: 1.5, 16: 1.75, 14: 2.0, 12: 2.25, 10: 2.5, 8: 3.0, 6: 5.0}
"""Room for one conductor [in³] by AWG size (314.16(B))."""

CONTROL_PAIR_AWG: Final = 18
"""Size of the two wires that carry 0-10 V (common practice, no source)."""
