"""Boxes that stores sell, with the volume that counts for their fill [in³].

Metal boxes: NFPA 70, table 314.16(A), from memory; the volume of every other box is stamped in it (314.16(A)(2)), the
sizes here are common ones (common practice, no source). Before buying, read the stamp.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

__all__ = ["BOXES", "BoxKind", "StandardBox", "fitting", "halves"]

BoxKind = Literal["switch", "ceiling"]


@dataclass(frozen=True, slots=True)
class StandardBox:
    """A box as sold: ``gangs`` is 0 for a ceiling box; ``for_closed`` tells that it holds on in a closed surface."""

    id: str
    name: str
    kind: BoxKind
    gangs: int
    volume: float
    for_closed: bool


def _switch(gangs: int, volume: float, closed: bool) -> StandardBox:
    word = ("", "One", "Two", "Three", "Four")[gangs]
    how = "old work" if closed else "nail-on"
    name = f"{word}-gang switch box, {how}, {volume:g} cu in"
    return StandardBox(f"box {gangs} gang {how} {volume:g}", name, "switch", gangs, volume, closed)


def _ceiling(size: str, volume: float, closed: bool) -> StandardBox:
    how = "old work" if closed else "screw-on"
    return StandardBox(
        f"box {size} {volume:g}", f"{size} ceiling box, {how}, {volume:g} cu in", "ceiling", 0, volume, closed
    )


BOXES: Final = (
    *(_switch(1, volume, False) for volume in (18.0, 20.0, 22.5)),
    *(_switch(2, volume, False) for volume in (32.0, 35.0, 42.0)),
    *(_switch(3, volume, False) for volume in (44.0, 54.0, 67.0)),
    *(_switch(4, volume, False) for volume in (57.0, 68.0, 80.0)),
    *(_switch(1, volume, True) for volume in (14.0, 20.0, 22.5)),
    *(_switch(2, volume, True) for volume in (25.0, 34.0, 42.0)),
    *(_switch(3, volume, True) for volume in (44.0, 54.0, 67.0)),
    *(_switch(4, volume, True) for volume in (57.0, 68.0, 80.0)),
    _ceiling("4 x 1 1/4 in octagon", 12.5, False),
    _ceiling("4 x 1 1/2 in octagon", 15.5, False),
    _ceiling("4 x 2 1/8 in octagon", 21.5, False),
    _ceiling("4 x 2 1/8 in square", 30.3, False),
    _ceiling("4 11/16 x 2 1/8 in square", 42.0, False),
    _ceiling("4 in round, shallow", 14.5, True),
    _ceiling("4 in round", 20.0, True),
    _ceiling("4 in round, deep", 23.5, True),
    _ceiling("4 x 2 1/8 in square with clips", 30.3, True),
    _ceiling("4 11/16 x 2 1/8 in square with clips", 42.0, True),
)
"""All boxes, in order of kind and volume."""


def fitting(kind: BoxKind, gangs: int, volume: float, closed: bool) -> tuple[StandardBox | None, StandardBox | None]:
    """Return the smallest box that holds a volume, and the next size, which is pleasant to work in.

    Where there is no larger one, both are the same; where none holds it, both are None.
    """
    sizes = [b for b in BOXES if (b.kind, b.gangs, b.for_closed) == (kind, gangs, closed)]
    holding = sorted((b for b in sizes if b.volume >= volume - 1e-9), key=lambda b: b.volume)
    return (holding[0], holding[min(1, len(holding) - 1)]) if holding else (None, None)


def halves(kind: BoxKind, gangs: int, closed: bool) -> StandardBox:
    """Return the box of which two are taken where none holds all of it: the largest one for half of the switches."""
    half = -(-gangs // 2)
    return max((b for b in BOXES if (b.kind, b.gangs, b.for_closed) == (kind, half, closed)), key=lambda b: b.volume)
