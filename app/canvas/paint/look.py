"""How strong each kind of line is, and what is shared by all that is painted: theme, units, pens, crisp
edges.

Line weights run from heavy to hairline so that the sheet reads like a drawing: walls, furniture, fixtures,
dimensions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPen

from app.canvas.view import View
from app.theme import Theme
from core.plan import Point
from core.units import UnitSystem

__all__ = [
    "DIMENSION_WIDTH",
    "FIXTURE_WIDTH",
    "FURNITURE_WIDTH",
    "RULER",
    "Look",
    "crisp",
    "faded",
    "mixed",
    "pen",
    "polygon",
    "wall_width",
]

RULER = 26  # px: width of the rulers along the top and the left edge
FURNITURE_WIDTH = 1.3
FIXTURE_WIDTH = 1.5
DIMENSION_WIDTH = 1.0
_WALL_METRES = 0.1143  # 4 1/2 in: 2 x 4 studs and board on both sides (common practice, no source)
_SQUARE = 1e-6


@dataclass(frozen=True, slots=True)
class Look:
    """What every painting function needs besides the plan and the view."""

    theme: Theme
    units: UnitSystem


def wall_width(view: View) -> float:
    """Return how thick walls are drawn [px]: to scale within what still reads as a wall and not as a slab."""
    return round(min(8.0, max(4.0, _WALL_METRES * view.scale)))


def pen(colour: QColor, width: float = 1.0, style: Qt.PenStyle = Qt.PenStyle.SolidLine) -> QPen:
    """Return a pen with square joints."""
    # Not cosmetic: that would count device pixels, and all lines would be half as strong on a 2x screen.
    return QPen(colour, width, style, Qt.PenCapStyle.FlatCap, Qt.PenJoinStyle.MiterJoin)


def faded(colour: QColor, share: float) -> QColor:
    """Return a colour with its opacity multiplied."""
    made = QColor(colour)
    made.setAlphaF(colour.alphaF() * share)
    return made


def mixed(one: QColor, other: QColor, share: float) -> QColor:
    """Return ``one`` with a share of ``other`` in it."""
    keep = 1.0 - share
    return QColor.fromRgbF(
        one.redF() * keep + other.redF() * share,
        one.greenF() * keep + other.greenF() * share,
        one.blueF() * keep + other.blueF() * share,
        one.alphaF() * keep + other.alphaF() * share,
    )


def crisp(value: float) -> float:
    """Return the middle of the pixel in which a coordinate lies, so that a 1 px line fills one pixel."""
    return float(int(value // 1)) + 0.5


def polygon(view: View, points: Sequence[Point]) -> list[QPointF]:
    """Return plan points on the screen; a box that lies square to the sheet has crisp edges."""
    shown = [view.to_screen(*point) for point in points]
    if len(shown) == 4 and _is_square_on(points):
        xs, ys = [p.x() for p in shown], [p.y() for p in shown]
        rect = QRectF(QPointF(crisp(min(xs)), crisp(min(ys))), QPointF(crisp(max(xs)), crisp(max(ys))))
        return _in_order(rect, shown)
    return shown


def _in_order(rect: QRectF, shown: Sequence[QPointF]) -> list[QPointF]:
    """Return the corners of a rectangle in the order of those that they replace."""
    corners = (rect.topLeft(), rect.topRight(), rect.bottomRight(), rect.bottomLeft())
    middle = rect.center()
    place = {(False, False): 0, (True, False): 1, (True, True): 2, (False, True): 3}
    return [corners[place[p.x() > middle.x(), p.y() > middle.y()]] for p in shown]


def _is_square_on(points: Sequence[Point]) -> bool:
    """Whether four corners are a rectangle along the sheet's axes."""
    xs, ys = sorted(p[0] for p in points), sorted(p[1] for p in points)
    paired = max(xs[1] - xs[0], xs[3] - xs[2], ys[1] - ys[0], ys[3] - ys[2]) < _SQUARE
    return paired and len({(round(x / _SQUARE), round(y / _SQUARE)) for x, y in points}) == 4
