"""The layers that stand still during a drag, painted once into pixmaps.

Under the light: paper, grid, floor. Over it: walls, openings, furniture, workers, scale bar, then fixtures,
except for what is being moved. Each pixmap is kept with the values it was painted from and painted anew
when one of them differs; the plan's parts are immutable, so comparing them is enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPixmap, QPolygonF, QTransform

from app.canvas.footprints import corners_of
from app.canvas.paint.fixtures import BADGE, paint_fixture
from app.canvas.paint.furniture import paint_furniture, paint_furniture_name, paint_worker, shown_box
from app.canvas.paint.joists import paint_joists
from app.canvas.paint.look import Look, polygon
from app.canvas.paint.openings import paint_opening
from app.canvas.paint.paper_and_grid import paint_grid, paint_paper
from app.canvas.paint.room import paint_floor, paint_keep_out, paint_walls
from app.canvas.paint.rulers import paint_rulers
from app.canvas.paint.scale_bar import paint_scale_bar
from app.canvas.paint.sheet_matter import paint_note_text, paint_underlay
from app.canvas.view import View
from core.plan import Fixture, Furniture, Model, Plan

__all__ = ["Layers", "Sheet", "paint_boxes"]

MOST_MOVING = 64
"""Pictures of moving fixtures that are kept; one size and level of each model is the rule."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The place to paint on: the view, the look, the frame of the drawing within the rulers, size and pixel ratio.

    While it is gliding, zoomed or panned a moment ago, kept pixmaps are shifted and scaled instead of drawn anew.
    """

    view: View
    look: Look
    frame: QRectF
    size: QSize
    ratio: float
    is_lit: bool = False
    is_gliding: bool = (
        False  # zoomed or panned a moment ago: kept pixmaps are shifted and scaled, and drawn when it rests
    )

    def key(self) -> tuple[object, ...]:
        """Return what a pixmap of this sheet depends on besides the view."""
        look = self.look
        size = self.size.width(), self.size.height()
        return look.units, look.theme.dark, size, self.ratio, self.is_lit


_Kept = tuple[tuple[object, ...], View, QPixmap]
"""What a pixmap was painted from, for which view, and the pixmap."""


@dataclass
class Layers:
    """The kept pixmaps; ``painted`` counts how often one was painted."""

    painted: int = 0
    _kept: dict[str, _Kept] = field(default_factory=dict)
    _hung_before: tuple[object, ...] | None = None
    _both: tuple[tuple[int, ...], QPixmap] | None = None
    _moving: dict[tuple[object, ...], QPixmap] = field(default_factory=dict)

    def paint_under(self, painter: QPainter, plan: Plan, sheet: Sheet) -> None:
        """Put down what lies under the light."""

        def draw(on: QPainter) -> None:
            paint_paper(on, sheet.look, sheet.frame)
            paint_floor(on, plan.room, sheet.view, sheet.look)
            paint_grid(on, sheet.view, sheet.look, sheet.frame)

        if sheet.is_gliding:
            paint_paper(painter, sheet.look, sheet.frame)
        self._set_down(painter, self._made("under", (plan.room.outline,), sheet, draw), sheet)

    def paint_over(self, painter: QPainter, plan: Plan, sheet: Sheet, without: frozenset[str]) -> None:
        """Put down what lies over the light and is not in ``without``."""
        self._set_down(painter, self._over(plan, sheet, without), sheet)

    def paint_hung(
        self, painter: QPainter, plan: Plan, levels: Mapping[str, float], sheet: Sheet, without: frozenset[str]
    ) -> None:
        """Put down the fixtures that are not in ``without``, lit as their switches say."""
        self._set_down(painter, self._hung(plan, levels, sheet, without), sheet)

    def paint_over_and_hung(
        self, painter: QPainter, plan: Plan, levels: Mapping[str, float], sheet: Sheet, without: frozenset[str]
    ) -> None:
        """Put down both where nothing is drawn between them, in one go: a frame of a drag is in a hurry."""
        parts = self._over(plan, sheet, without), self._hung(plan, levels, sheet, without)
        if any(view != sheet.view for _, view, _ in parts):
            for part in parts:
                self._set_down(painter, part, sheet)
            return
        key = tuple(picture.cacheKey() for _, _, picture in parts)
        if self._both is None or self._both[0] != key:
            both = QPixmap(parts[0][2])
            on = QPainter(both)
            on.drawPixmap(0, 0, parts[1][2])
            on.end()
            self._both = key, both
        painter.drawPixmap(0, 0, self._both[1])

    def _over(self, plan: Plan, sheet: Sheet, without: frozenset[str]) -> _Kept:
        room = plan.room
        furniture = tuple(item for item in plan.furniture if item.id not in without)
        openings = tuple(item for item in room.openings if item.id not in without)
        keep_outs = tuple(item for item in room.keep_outs if item.id not in without)
        notes = tuple(note for note in plan.notes if note.id not in without)
        underlay = plan.underlay if plan.underlay is not None and plan.underlay.id not in without else None
        hanging = tuple(fixture for fixture in plan.fixtures if fixture.id not in without)

        def draw(on: QPainter) -> None:
            if underlay is not None:
                paint_underlay(on, underlay, sheet.view)
            paint_joists(on, plan, sheet.view, sheet.look)
            paint_walls(on, room, sheet.view, sheet.look)
            for opening in openings:
                paint_opening(on, room, opening, sheet.view, sheet.look)
            for item in keep_outs:
                paint_keep_out(on, item, sheet.view, sheet.look)
            paint_boxes(on, plan, furniture, sheet, tuple(_covered(plan, fixture, sheet) for fixture in hanging))
            for note in notes:
                paint_note_text(on, note, sheet.view, sheet.look)
            paint_scale_bar(on, sheet.view, sheet.look, sheet.frame)

        parts: tuple[object, ...] = (
            room.outline,
            furniture,
            openings,
            keep_outs,
            plan.worker,
            self._hung_places(hanging, without),
            plan.models,
        )
        parts = (*parts, room.joists, notes, underlay)
        return self._made("over", parts, sheet, draw)

    def _hung_places(self, hanging: tuple[Fixture, ...], without: frozenset[str]) -> tuple[object, ...]:
        """Return where fixtures hang, which names give way to; in a drag where they hung before it, so that its first
        frame need not draw all furniture anew."""
        if not without or self._hung_before is None:
            self._hung_before = tuple((f.x, f.y, f.rotation_deg, f.model) for f in hanging)
        return self._hung_before

    def _hung(self, plan: Plan, levels: Mapping[str, float], sheet: Sheet, without: frozenset[str]) -> _Kept:
        fixtures = tuple(fixture for fixture in plan.fixtures if fixture.id not in without)
        shown = tuple(levels.get(fixture.group, 1.0) for fixture in fixtures)

        def draw(on: QPainter) -> None:
            for fixture, level in zip(fixtures, shown, strict=True):
                paint_fixture(on, fixture, plan.model(fixture.model), level, sheet.view, sheet.look)

        return self._made("hung", (fixtures, shown, plan.models), sheet, draw)

    def paint_moving(
        self, painter: QPainter, plan: Plan, levels: Mapping[str, float], sheet: Sheet, moving: frozenset[str]
    ) -> None:
        """Put down the fixtures in ``moving``: each drawn once, then set on whole pixels wherever it goes."""
        for fixture in plan.fixtures:
            if fixture.id not in moving:
                continue
            model, level = plan.model(fixture.model), levels.get(fixture.group, 1.0)
            key = (model, fixture.rotation_deg, fixture.group, level, sheet.view.scale, *sheet.key())
            picture = self._moving.get(key)
            if picture is None:
                if len(self._moving) >= MOST_MOVING:
                    self._moving.clear()
                picture = self._moving[key] = _alone(fixture, model, level, sheet)
            middle = sheet.view.to_screen(fixture.x, fixture.y)
            half = picture.deviceIndependentSize() / 2.0
            x, y = (middle.x() - half.width()) * sheet.ratio, (middle.y() - half.height()) * sheet.ratio
            painter.drawPixmap(QPointF(round(x) / sheet.ratio, round(y) / sheet.ratio), picture)

    def paint_edges(self, painter: QPainter, sheet: Sheet) -> None:
        """Put down the rulers."""

        def draw(on: QPainter) -> None:
            paint_rulers(on, sheet.view, sheet.look, sheet.frame)

        picture = self._made("edges", (), sheet, draw, may_glide=False)[2]
        width, height, ratio = sheet.size.width(), sheet.size.height(), sheet.ratio
        top = QRectF(0.0, 0.0, width, sheet.frame.top())
        left = QRectF(0.0, sheet.frame.top(), sheet.frame.left(), height - sheet.frame.top())
        for strip in (top, left):
            painter.drawPixmap(strip, picture, QRectF(strip.topLeft() * ratio, strip.size() * ratio))

    def _made(
        self,
        name: str,
        parts: tuple[object, ...],
        sheet: Sheet,
        draw: Callable[[QPainter], None],
        may_glide: bool = True,
    ) -> _Kept:
        """Return a kept pixmap, drawn anew where it no longer serves."""
        key = (*parts, *sheet.key())
        kept = self._kept.get(name)
        is_same = kept is not None and kept[0] == key
        if kept is None or not is_same or (kept[1] != sheet.view and not (sheet.is_gliding and may_glide)):
            kept = (key, sheet.view, _drawn(sheet, draw))
            self._kept[name] = kept
            self.painted += 1
        return kept

    @staticmethod
    def _set_down(painter: QPainter, kept: _Kept, sheet: Sheet) -> None:
        _, view, picture = kept
        if view == sheet.view:
            painter.drawPixmap(0, 0, picture)
            return
        painter.save()
        painter.setTransform(_from_view_to_view(view, sheet.view), combine=True)
        painter.drawPixmap(0, 0, picture)
        painter.restore()


def paint_boxes(
    painter: QPainter, plan: Plan, furniture: tuple[Furniture, ...], sheet: Sheet, hung: tuple[QRectF, ...] = ()
) -> None:
    """Draw pieces of furniture, low ones first, their workers, and their names clear of fixtures and taller
    boxes."""
    ordered = sorted(furniture, key=lambda piece: piece.top)
    for item in ordered:
        paint_furniture(painter, item, sheet.view, sheet.look, sheet.is_lit)
    for item in furniture:
        paint_worker(painter, item, plan.worker, sheet.view, sheet.look)
    boxes = [shown_box(item, sheet.view) for item in ordered]
    for place, item in enumerate(ordered):
        paint_furniture_name(painter, item, sheet.view, sheet.look, (*boxes[place + 1 :], *hung))


def _covered(plan: Plan, fixture: Fixture, sheet: Sheet) -> QRectF:
    """Return what a fixture and the letter in its middle cover [px]."""
    body = QPolygonF(polygon(sheet.view, corners_of(plan, fixture))).boundingRect()
    middle = sheet.view.to_screen(fixture.x, fixture.y)
    return body.united(QRectF(middle.x() - BADGE, middle.y() - BADGE, 2 * BADGE, 2 * BADGE))


def _alone(fixture: Fixture, model: Model, level: float, sheet: Sheet) -> QPixmap:
    """Return the picture of one fixture with its middle in the middle."""
    side = 2 * math.ceil(math.hypot(model.length, model.width) * sheet.view.scale / 2 + BADGE + 12.0)
    view = View(sheet.view.scale, side / 2, side / 2)
    around = replace(sheet, view=view, size=QSize(side, side))
    return _drawn(around, lambda on: paint_fixture(on, replace(fixture, x=0.0, y=0.0), model, level, view, sheet.look))


def _from_view_to_view(old: View, new: View) -> QTransform:
    """Return what brings a picture drawn for one view to where another view has it."""
    scale = new.scale / old.scale
    return QTransform(scale, 0.0, 0.0, scale, new.origin_x - old.origin_x * scale, new.origin_y - old.origin_y * scale)


def _drawn(sheet: Sheet, draw: Callable[[QPainter], None]) -> QPixmap:
    pixmap = QPixmap(sheet.size * sheet.ratio)
    pixmap.setDevicePixelRatio(sheet.ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw(painter)
    finally:
        painter.end()
    return pixmap
