"""The luminous opening of a fixture, as an LM-63 file states it.

Three numbers, width, length and height, tell shape and size. Width is measured across the fixture (the 90-270
plane, local y), length along it (the 0-180 plane, local x), height up. A number below zero marks a round
outline, but what the signs mean changed with the 2002 edition: (-d, 0, -d) is a sphere in 1995 and a
vertical disc later. Each edition is therefore read by its own table; where only the other edition's table
knows the signs, that one is used and the file gets a warning.

Source: ANSI/IES LM-63-1995 and LM-63-2002 / 2019, luminous opening tables, as given by open parser libraries.
"""

from dataclasses import dataclass
from enum import Enum

__all__ = ["LuminousOpening", "OpeningShape", "read_opening"]

_SAME = 1e-6
"""Relative difference below which two stated diameters are the same."""


class OpeningShape(Enum):
    """Shape of a luminous opening."""

    POINT = "point"
    LINE = "line"
    RECTANGLE = "rectangle"
    BOX = "rectangle with luminous sides"
    CIRCLE = "circle"
    ELLIPSE = "ellipse"
    VERTICAL_CYLINDER = "vertical cylinder"
    CYLINDER_ALONG = "horizontal cylinder along the length"
    CYLINDER_ACROSS = "horizontal cylinder along the width"
    SPHERE = "sphere"
    VERTICAL_DISC = "vertical disc"


@dataclass(frozen=True)
class LuminousOpening:
    """Shape and outer size of the part that shines.

    Parameters
    ----------
    shape : OpeningShape
    width, length, height : float
        Size [m], none below zero, across (local y), along (local x) and up.
    """

    shape: OpeningShape
    width: float
    length: float
    height: float


_Signs = tuple[int, int, int]

_STRAIGHT: dict[_Signs, OpeningShape] = {
    (0, 0, 0): OpeningShape.POINT,
    (1, 0, 0): OpeningShape.LINE,
    (0, 1, 0): OpeningShape.LINE,
    (0, 0, 1): OpeningShape.LINE,
    (1, 1, 0): OpeningShape.RECTANGLE,
    (1, 0, 1): OpeningShape.BOX,
    (0, 1, 1): OpeningShape.BOX,
    (1, 1, 1): OpeningShape.BOX,
}
"""Without a number below zero all editions agree."""

_ROUND_TO_1995: dict[_Signs, OpeningShape] = {
    (-1, 0, 0): OpeningShape.CIRCLE,
    (-1, 1, 0): OpeningShape.ELLIPSE,
    (1, -1, 0): OpeningShape.ELLIPSE,
    (-1, 1, 1): OpeningShape.ELLIPSE,
    (1, -1, 1): OpeningShape.ELLIPSE,
    (-1, 0, 1): OpeningShape.VERTICAL_CYLINDER,
    (-1, 0, -1): OpeningShape.SPHERE,
    (0, 1, -1): OpeningShape.CYLINDER_ALONG,
    (1, 0, -1): OpeningShape.CYLINDER_ACROSS,
}

_ROUND_FROM_2002: dict[_Signs, OpeningShape] = {
    (-1, -1, 0): OpeningShape.CIRCLE,
    (-1, -1, 1): OpeningShape.VERTICAL_CYLINDER,
    (-1, -1, -1): OpeningShape.SPHERE,
    (-1, 1, -1): OpeningShape.CYLINDER_ALONG,
    (1, -1, -1): OpeningShape.CYLINDER_ACROSS,
    (-1, 0, -1): OpeningShape.VERTICAL_DISC,
}


def read_opening(width: float, length: float, height: float, from_2002: bool) -> tuple[LuminousOpening, str]:
    """Shape and size from the three numbers of a file.

    Parameters
    ----------
    width, length, height : float
        As in the file, with their signs, but in metres.
    from_2002 : bool
        Whether the file follows the 2002 edition or a later one.

    Returns
    -------
    opening : LuminousOpening
    warning : str
        Empty if the file's own edition knows these signs.
    """
    signs = (_sign(width), _sign(length), _sign(height))
    own, other = (_ROUND_FROM_2002, _ROUND_TO_1995) if from_2002 else (_ROUND_TO_1995, _ROUND_FROM_2002)
    shape = _STRAIGHT.get(signs) or own.get(signs)
    warning = ""
    if shape is None:
        shape = other.get(signs)
        warning = "the luminous opening is written in the manner of another edition of LM-63"
    if shape is None:
        shape = OpeningShape.BOX if height else OpeningShape.RECTANGLE
        warning = "the luminous opening has no shape known to LM-63; its outer size is used as a rectangle"
    size = _outer_size(shape, abs(width), abs(length), abs(height))
    if shape is OpeningShape.CIRCLE and abs(size[0] - size[1]) > _SAME * max(size):
        shape = OpeningShape.ELLIPSE
    return LuminousOpening(shape, *size), warning


def _sign(value: float) -> int:
    return (value > 0.0) - (value < 0.0)


def _outer_size(shape: OpeningShape, width: float, length: float, height: float) -> tuple[float, float, float]:
    """Fill in the diameters that the 1995 edition leaves at zero."""
    if shape in (OpeningShape.CIRCLE, OpeningShape.VERTICAL_CYLINDER, OpeningShape.SPHERE) and length == 0.0:
        return width, width, height
    if shape is OpeningShape.CYLINDER_ALONG and width == 0.0:
        return height, length, height
    if shape is OpeningShape.CYLINDER_ACROSS and length == 0.0:
        return width, height, height
    return width, length, height
