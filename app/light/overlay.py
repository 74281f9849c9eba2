"""The light on the plan: the field's picture, isolines with their numbers, and the reading at the pointer.

The canvas asks an `Overlay` to paint in three layers. Each bench shows the light on its own top, at its
own height; the rest of the room that on the work plane. Everything follows from (plan, lighting, levels);
the overlay keeps no plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import shapely
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen

from app.light.bench_tops import BenchTop
from app.light.ground import Ground, box_on_screen, clip_to
from app.light.isolines import GridFrame, Isoline, isolines, paint_isolines, stride_at
from app.light.labels import Label, LabelPictures, place_labels, stayed_labels
from app.light.picture import FieldPicture
from app.light.reading import Reading, paint_reading
from app.light.scale import Scale, round_levels
from app.theme import Theme
from core.light.field import Field, Lighting
from core.plan import Plan

if TYPE_CHECKING:
    from app.canvas.view import View

__all__ = ["Overlay"]

_HATCH = 9.0  # px between the lines of the stale mark
_MOST_NUMBERS = 10  # curves, longest first, that may carry a number


class Overlay:
    """Paints the light of one plan at one switch setting, below and above the furniture."""

    def __init__(self, theme: Theme, scale: Scale) -> None:
        self.theme = theme
        self.scale = scale
        self.stale = False
        self._plan: Plan | None = None
        self._picture: FieldPicture | None = None
        self._tops: dict[str, BenchTop] = {}
        self._curves: tuple[View, list[Isoline]] | None = None
        self._ground: Ground | None = None
        self._labels = LabelPictures()
        self._label_places: list[tuple[str, tuple[float, float]]] = []
        self._label_texts: list[str] = []
        self.labels: list[Label] = []
        """The numbers on the isolines as they were last painted."""

    def set_theme(self, theme: Theme) -> None:
        """Take the colours of a theme."""
        self.theme = theme

    def set_scale(self, scale: Scale) -> None:
        """Take another target, unit, or the choice between initial and maintained light."""
        self.scale = scale
        self._curves = None

    def show(self, plan: Plan, lighting: Lighting, levels: Mapping[str, float]) -> Field:
        """Show the light of a plan at a switch setting; return the field with its figures (initial light).

        ``lighting`` may be that of an earlier plan while a new one is computed; say so with `stale`.
        """
        field = lighting.field(levels)
        if self._picture is None or not self._serves(self._picture, lighting):
            self._picture = FieldPicture(lighting.grid, lighting.inside)
        self._picture.set_values(field.lux)
        self._plan = plan
        self._show_benches(plan, lighting, levels)
        self._curves = None
        return field

    def set_plan(self, plan: Plan) -> None:
        """Follow a plan whose light is not there yet: walls and benches as they are now, in the light from before."""
        self._plan = plan
        benches = {item.id: item for item in plan.benches()}
        for identity, top in list(self._tops.items()):
            item = benches.get(identity)
            if item is None or not top.move_to(item):
                del self._tops[identity]

    def clear(self) -> None:
        """Show no light: there is none yet."""
        self._plan = self._picture = self._curves = None
        self._tops.clear()

    def reading(self, x: float, y: float) -> Reading | None:
        """Return the shown light at a plan point [m]; None outside the room and where a box fills it."""
        if self._plan is None or self._picture is None or not self._plan.fixtures:
            return None
        for top in reversed(self._tops.values()):
            if top.covers(x, y):
                lux = top.at(x, y)
                name, own = top.item.name, top.item.target_lux
                return None if lux is None else Reading(lux * self.scale.factor, name, own)
        if not shapely.contains_xy(shapely.Polygon(self._plan.room.outline), x, y):
            return None
        value = self._picture.at(x, y)
        return None if value is None else Reading(value * self.scale.factor)

    # --- what the canvas calls

    def paint_field(self, painter: QPainter, view: View, with_lines: bool = True) -> None:
        """Draw the picture of the light with the isolines of the room, then the bench tops in their own place.

        What lies over the work plane covers the room's lines, which is much cheaper than to cut them out.
        """
        if self._plan is None or self._picture is None or not self._plan.fixtures:
            return  # where nothing hangs yet the room is paper to draw on, not a night
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        ground = self._on(self._plan, view)
        ground.clip(painter)
        rect = self._picture.rect
        corner = view.to_screen(rect.x(), rect.y() + rect.height())
        place = QRectF(corner.x(), corner.y(), rect.width() * view.scale, rect.height() * view.scale)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)  # it would draw the edges of the picture, slowly
        painter.drawImage(place, self._picture.image(self._target, self.theme.dark))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if with_lines:
            paint_isolines(painter, self._room_curves(view), self._target, self.theme)
        for top in self._tops.values():
            top.paint(painter, view, top.target(self.scale.target) / self.scale.factor, self.theme.dark)
        # A box may be drawn see-through; what the picture runs on with beneath it is no light.
        painter.fillPath(ground.covered, self.theme.floor)
        if self.stale:
            self._paint_hatch(painter, ground.outline.boundingRect())
        painter.restore()

    def paint_lines(self, painter: QPainter, view: View) -> None:
        """Draw the isolines of the bench tops, and the numbers on those of the room; `paint_field` comes first."""
        if self._plan is None or self._picture is None or not self._plan.fixtures:
            return  # where nothing hangs yet the room is paper to draw on, not a night
        self._paint_bench_lines(painter, view)
        self._paint_labels(painter, view, self._room_curves(view))

    def paint_reading(self, painter: QPainter, view: View, pos: QPointF, taken: Sequence[QRectF] = ()) -> None:
        """Draw the value at the pointer, with its unit and on a bench the bench's name, off what is ``taken``."""
        reading = self.reading(*view.to_plan(pos))
        if reading is not None:
            paint_reading(painter, pos, reading, self.scale, self.theme, taken)

    # --- how

    @property
    def _target(self) -> float:
        """The target in terms of the initial light that the pictures hold [lx]."""
        return self.scale.target / self.scale.factor

    def _serves(self, picture: FieldPicture, lighting: Lighting) -> bool:
        if picture.grid != lighting.grid:
            return False
        return picture.inside is lighting.inside or bool(np.array_equal(picture.inside, lighting.inside))

    def _show_benches(self, plan: Plan, lighting: Lighting, levels: Mapping[str, float]) -> None:
        shares = lighting.shares(levels)
        lights = {light.bench: light for light in lighting.benches}
        tops: dict[str, BenchTop] = {}
        for item in sorted(plan.benches(), key=lambda bench: bench.top):
            light = lights.get(item.id)
            if light is None or not light.inside.any():
                continue
            top = self._tops.get(item.id)
            if top is None or not top.fits(item, light):
                top = BenchTop(item, light)
            top.item = item
            top.set_lux(light.lux(shares))
            tops[item.id] = top
        self._tops = tops

    def _on(self, plan: Plan, view: View) -> Ground:
        """Return what the light is drawn on; the same as long as walls, boxes and view stay."""
        if self._ground is None or not self._ground.serves(plan, view):
            self._ground = Ground(plan, view)
        return self._ground

    def _room_curves(self, view: View) -> list[Isoline]:
        """Return the isolines of the room in pixels; the same ones until light or view change."""
        assert self._picture is not None
        if self._curves is None or self._curves[0] != view:
            values = self._picture.values[self._picture.inside]
            levels = self._levels(float(values.max()) if values.size else 0.0, self.scale)
            frame = GridFrame((view.origin_x, view.origin_y), (view.scale, 0.0), (0.0, -view.scale))
            stride = stride_at(self._picture, view.scale)
            self._curves = view, isolines(self._picture, levels, self._target, stride, frame)
        return self._curves[1]

    def _levels(self, brightest: float, scale: Scale) -> tuple[float, ...]:
        """Return the levels of the isolines in terms of the initial light [lx]."""
        return tuple(level / scale.factor for level in round_levels(scale, brightest * scale.factor))

    def _paint_bench_lines(self, painter: QPainter, view: View) -> None:
        for top in self._tops.values():
            if not top.is_large(view):
                continue
            target = top.target(self.scale.target)
            shown = target / self.scale.factor
            levels = self._levels(top.brightest, replace(self.scale, target=target))
            painter.save()
            clip_to(painter, box_on_screen(top.item, view))
            paint_isolines(painter, top.lines(view, levels, shown), shown, self.theme)
            painter.restore()

    def _paint_labels(self, painter: QPainter, view: View, curves: list[Isoline]) -> None:
        assert self._plan is not None
        # The target's number first: it must find a place.
        order = sorted(curves, key=lambda curve: (not curve.is_target, -len(curve.points)))[:_MOST_NUMBERS]
        lines = []
        for curve in order:
            text = self.scale.number(curve.level * self.scale.factor)
            lines.append((curve.points, text, self._labels.size(text, curve.is_target)))
        ground = self._on(self._plan, view)
        before = [(text, view.to_screen(*at)) for text, at in self._label_places]
        given = lines, ground.taken_with_fixtures(self._plan), ground.room, before
        texts = sorted(text for _, text, _ in lines)
        labels = stayed_labels(*given) if texts == self._label_texts else None
        if labels is None:
            labels = place_labels(*given)
        self._label_texts = texts
        for label in labels:
            self._labels.paint(painter, label, order[label.line].is_target, self.theme)
        self.labels = labels
        self._label_places = [(label.text, view.to_plan(label.rect.center())) for label in labels]

    def _paint_hatch(self, painter: QPainter, rect: QRectF) -> None:
        """Mark light that is being computed anew: thin slanted lines."""
        colour = QColor(self.theme.muted)
        colour.setAlpha(70)
        painter.setPen(QPen(colour, 1.0))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        height, x = rect.height(), rect.left() - rect.height()
        while x < rect.right():
            painter.drawLine(QPointF(x, rect.bottom()), QPointF(x + height, rect.top()))
            x += _HATCH
