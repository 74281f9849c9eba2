"""What the light is drawn on: the room on the screen, where isolines may run, and where no number may stand.

It depends on walls, boxes and the view only, so that it is made once for a whole drag.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPolygonF

from app.light.labels import sides_of
from core.plan import Fixture, Furniture, Model, Plan, box_corners, standing_place

if TYPE_CHECKING:
    from app.canvas.view import View

__all__ = ["Ground", "box_on_screen", "clip_to", "outline_path"]

_NO_PIXEL = 1e-6  # px
_BADGE = 8.0  # px around a fixture's body: its letter and its glow


_Hung = tuple[Fixture, Model, QRectF]
"""A fixture, its model, and what they cover on the screen."""


class Ground:
    """The room of a plan in one view.

    Attributes
    ----------
    outline : QPolygonF
        The room in pixels.
    covered : QPainterPath
        Boxes taller than the work plane: no light of the plane is known there.
    room : shapely.Polygon
        The room in pixels, prepared for queries.
    taken : (n, 4) array
        Furniture with its names and the people at work: left, top, right, bottom in pixels.
    """

    def __init__(self, plan: Plan, view: View) -> None:
        self._plan, self._view = plan, view
        corners = [view.to_screen(x, y) for x, y in plan.room.outline]
        self.outline = QPolygonF(corners)
        self.room = shapely.Polygon([(p.x(), p.y()) for p in corners])
        shapely.prepare(self.room)
        tall = tuple(item for item in plan.furniture if item.kind != "bench" and item.top > plan.work_plane)
        self.covered = _boxes(tall, view)
        taken = [box_on_screen(item, view).boundingRect() for item in plan.furniture]
        taken += [rect for item in plan.furniture if (rect := _worker(plan, item, view)) is not None]
        self.taken = sides_of(taken)
        self._hung: dict[int, _Hung] = {}

    def serves(self, plan: Plan, view: View) -> bool:
        """Whether this is still the ground of a plan in a view."""
        mine = self._plan
        return (
            view == self._view
            and plan.room is mine.room
            and plan.furniture is mine.furniture
            and plan.work_plane == mine.work_plane
            and plan.worker is mine.worker
        )

    def taken_with_fixtures(self, plan: Plan) -> NDArray[np.float64]:
        """Return `taken` and where the fixtures of a plan hang; those that stay are worked out once."""
        models = {model.id: model for model in plan.models}
        hung: dict[int, _Hung] = {}
        for fixture in plan.fixtures:
            model, known = models[fixture.model], self._hung.get(id(fixture))
            # Kept by the very fixture: looking it up by value would take longer than working it out.
            if known is None or known[1] is not model:
                known = fixture, model, _fixture_rect(fixture, model, self._view)
            hung[id(fixture)] = known
        self._hung = hung
        return np.concatenate([self.taken, sides_of(rect for _, _, rect in hung.values())])

    def clip(self, painter: QPainter) -> None:
        """Keep a painter to the room."""
        clip_to(painter, self.outline)


def clip_to(painter: QPainter, polygon: QPolygonF) -> None:
    """Keep a painter to a polygon as well; a rectangle along the axes is much the cheapest."""
    box = polygon.boundingRect()
    points = [polygon.at(i) for i in range(polygon.size())]
    is_square = len(points) == 4 and all(
        min(abs(p.x() - box.left()), abs(p.x() - box.right())) < _NO_PIXEL
        and min(abs(p.y() - box.top()), abs(p.y() - box.bottom())) < _NO_PIXEL
        for p in points
    )
    if is_square:
        painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
    else:
        painter.setClipPath(outline_path(polygon), Qt.ClipOperation.IntersectClip)


def outline_path(polygon: QPolygonF) -> QPainterPath:
    """Return a closed path around a polygon."""
    path = QPainterPath()
    path.addPolygon(polygon)
    path.closeSubpath()
    return path


def box_on_screen(item: Furniture, view: View) -> QPolygonF:
    """Return a box's footprint in pixels."""
    return _turned(view, item.x, item.y, item.width, item.depth, item.rotation_deg)


def _fixture_rect(fixture: Fixture, model: Model, view: View) -> QRectF:
    body = _turned(view, fixture.x, fixture.y, model.length, model.width, fixture.rotation_deg)
    return body.boundingRect().adjusted(-_BADGE, -_BADGE, _BADGE, _BADGE)


def _turned(view: View, x: float, y: float, wide: float, deep: float, degrees: float) -> QPolygonF:
    return QPolygonF([view.to_screen(*corner) for corner in box_corners(x, y, wide, deep, degrees)])


def _boxes(items: tuple[Furniture, ...], view: View) -> QPainterPath:
    boxes = QPainterPath()
    boxes.setFillRule(Qt.FillRule.WindingFill)
    for item in items:
        boxes.addPath(outline_path(box_on_screen(item, view)))
    return boxes


def _worker(plan: Plan, item: Furniture, view: View) -> QRectF | None:
    place = standing_place(item, plan.worker)
    if place is None:
        return None
    x, y, facing = place
    return _turned(view, x, y, plan.worker.width, plan.worker.depth, facing + 90.0).boundingRect()
