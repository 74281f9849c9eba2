"""A clear sheet over the drawing that shows panel, switch boxes and cable; it lets the mouse through."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.canvas.canvas import PlanCanvas
from app.document import Document
from app.guard import guarded
from app.theme import Theme, font, group_colour
from core.ceiling import plan_as_hung
from core.plan import Plan
from core.wiring import Run, Wired, wired
from core.wiring.places import panel_place, switch_place

__all__ = ["RouteSheet"]

_APART = 3.0
_LANES = 5
_HALF = 6.0
_RING = 16.0


class RouteSheet(QWidget):
    """Paints the cable over a canvas while ``shown``. ``marked`` are ids of runs that stand out."""

    def __init__(self, canvas: PlanCanvas, document: Document, theme: Theme) -> None:
        super().__init__(canvas)
        self._canvas, self._document, self.theme = canvas, document, theme
        self.marked: frozenset[str] = frozenset()
        self.pointed: frozenset[str] = frozenset()
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.resize(canvas.size())
        canvas.installEventFilter(self)
        document.changed.connect(self.update)
        self.hide()

    def mark(self, runs: frozenset[str]) -> None:
        """Let some runs stand out."""
        self.marked = runs
        self.update()

    def point_at(self, places: frozenset[str]) -> None:
        """Ring switch boxes, leads and, for a circuit, the panel."""
        self.pointed = places
        self.update()

    @guarded
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._canvas and event.type() == QEvent.Type.Resize:
            self.resize(self._canvas.size())
        return False

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        plan = plan_as_hung(self._document.plan)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(self._canvas.frame)
        try:
            self._paint(painter, plan, wired(plan, hasty=self._document.in_gesture))
        finally:
            painter.end()

    def _paint(self, painter: QPainter, plan: Plan, done: Wired) -> None:
        for lane, run in enumerate(done.routing.runs):
            self._run(painter, run, lane)
        panel = done.wiring.panel
        if panel is not None:
            at = self._at(panel_place(plan, panel).point)
            self._symbol(painter, at, "Panel", "panel" in done.assumed, True)
            self._ring(painter, at, {"panel", *(circuit.id for circuit in done.circuits)})
        for box in done.wiring.switch_boxes:
            at = self._at(switch_place(plan, box).point)
            self._symbol(painter, at, f"S {' '.join(box.groups)}", box.id in done.assumed, False)
            self._ring(painter, at, {box.id})
        for lead in done.wiring.leads:
            self._symbol(painter, self._at((lead.x, lead.y)), f"lead {lead.group}", False, False)
            self._ring(painter, self._at((lead.x, lead.y)), {lead.id})

    def _ring(self, painter: QPainter, at: QPointF, ids: set[str]) -> None:
        if self.pointed & ids:
            painter.setPen(QPen(self.theme.accent, 2.5))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(at, _RING, _RING)

    def _at(self, point: tuple[float, float]) -> QPointF:
        return self._canvas.view.to_screen(*point)

    def _run(self, painter: QPainter, run: Run, lane: int) -> None:
        shift = 0.0 if run.role == "fixture to fixture" else (lane % _LANES - _LANES // 2) * _APART
        points = _set_apart([self._at(point) for point in run.path], shift)
        colour = group_colour(run.group, self.theme.dark) if run.group else self.theme.ink
        width = 2.4 if run.wires > 2 else 2.0
        if run.id in self.marked:
            width = 4.5
        halo = QPen(self.theme.halo, width + 2.5)
        line = QPen(QColor(colour), width)
        if run.to_buy <= 0.0:
            line.setStyle(Qt.PenStyle.DotLine)
        elif not run.group:
            line.setStyle(Qt.PenStyle.DashLine)
        for pen in (halo, line):
            painter.setPen(pen)
            painter.drawPolyline(points)

    def _symbol(self, painter: QPainter, at: QPointF, name: str, is_assumed: bool, is_filled: bool) -> None:
        theme = self.theme
        pen = QPen(theme.ink, 1.5)
        if is_assumed:
            pen.setStyle(Qt.PenStyle.DotLine)
        painter.setPen(pen)
        painter.setBrush(theme.accent if is_filled and not is_assumed else theme.reading_fill)
        box = QRectF(at.x() - _HALF, at.y() - _HALF, 2 * _HALF, 2 * _HALF)
        painter.drawRect(box)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setFont(font("small", strong=True))
        text = f"{name} (assumed)" if is_assumed else name
        wide = painter.fontMetrics().horizontalAdvance(text) + 8.0
        frame = QRectF(self._canvas.frame)
        left = min(max(at.x() - wide / 2, frame.left() + 2), frame.right() - wide - 2)
        below = at.y() + _HALF + 3
        top = below if below + 16 < frame.bottom() else at.y() - _HALF - 19
        label = QRectF(left, top, wide, 16)
        painter.fillRect(label, theme.halo)
        painter.setPen(theme.ink)
        painter.drawText(label, Qt.AlignmentFlag.AlignCenter, text)


def _set_apart(path: list[QPointF], shift: float) -> list[QPointF]:
    """Return a path that keeps its ends and lies aside between them, where it runs level and upright on the screen."""
    square = all(_is_level(a, b) or abs(a.x() - b.x()) < 0.5 for a, b in pairwise(path))
    if shift == 0.0 or len(path) < 2 or not square:
        return path
    moved = [point + QPointF(shift, shift) for point in path]
    first = _beside(path[0], path[1], moved[0])
    last = _beside(path[-1], path[-2], moved[-1])
    return [path[0], first, *moved[1:-1], last, path[-1]]


def _beside(end: QPointF, other: QPointF, moved: QPointF) -> QPointF:
    return QPointF(end.x(), moved.y()) if _is_level(end, other) else QPointF(moved.x(), end.y())


def _is_level(a: QPointF, b: QPointF) -> bool:
    return abs(a.y() - b.y()) < 0.5
