"""A sheet that can be zoomed and panned, with rulers: the part of the canvas that knows no plan and no tool."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QMouseEvent, QNativeGestureEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.canvas.footprints import Box
from app.canvas.guard import guarded
from app.canvas.navigation import Navigation, wheeled
from app.canvas.paint.look import RULER, Look
from app.canvas.pointer import Pointer
from app.canvas.steps import snap_step
from app.canvas.view import View
from app.theme import Theme
from core.units import UnitSystem

__all__ = ["ZoomableSheet"]

_MARGIN = 30.0  # px around what is fitted: a wall and the dimension beside it
_REST_MS = 80  # after a step of zooming or panning the drawing is refined
_SCALE_BAR = 32.0  # px more below, so that the scale bar lies clear of the room and of the lengths along its wall


class ZoomableSheet(QWidget):
    """Holds the view and the look. A sheet that was fitted stays so when the window changes its size."""

    pointer_moved = Signal(object)  # plan point (x, y) [m], or None off the sheet
    view_changed = Signal(object)  # View

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = Look(theme, UnitSystem.US)
        self.view = View(100.0, 60.0, 500.0)
        self.navigation = Navigation()
        self.pointer: QPointF | None = None
        self.is_fitted = True
        self._gliding = QTimer(self)
        self._gliding.setSingleShot(True)
        self._gliding.setInterval(_REST_MS)
        self._gliding.timeout.connect(self.update)
        self.setMinimumSize(320, 240)
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def units(self) -> UnitSystem:
        """The system that lengths are shown and read in."""
        return self.look.units

    @property
    def frame(self) -> QRectF:
        """The drawing's part of the widget, within the rulers [px]."""
        return QRectF(RULER, RULER, max(self.width() - RULER, 1), max(self.height() - RULER, 1))

    @property
    def grid_step(self) -> float:
        """The step of the snapping grid at this zoom [m]."""
        return snap_step(self.units, self.view.scale)

    @property
    def is_gliding(self) -> bool:
        """Whether the view was zoomed or panned a moment ago, so that a quick picture is better than a fine one."""
        return self._gliding.isActive()

    def whole(self) -> Box:
        """Return the box that fitting shows [m]."""
        return 0.0, 0.0, 1.0, 1.0

    def zoom_to_fit(self) -> bool:
        """Show everything."""
        self.is_fitted = True
        return self._fit(self.whole(), _SCALE_BAR)

    def zoom_to(self, box: Box | None) -> bool:
        """Show a box [m]; False where there is none."""
        self.is_fitted = False
        return box is not None and self._fit(box, 0.0)

    def zoom_by(self, factor: float) -> bool:
        """Magnify about the middle of the sheet."""
        return self.set_view(self.view.zoomed(factor, self.frame.center()))

    def set_view(self, view: View) -> bool:
        """Look at another part of the sheet."""
        self.is_fitted = False
        self._gliding.start()
        return self._show(view)

    def _fit(self, box: Box, below: float) -> bool:
        frame = self.frame.adjusted(_MARGIN, _MARGIN, -_MARGIN, -_MARGIN - below)
        return self._show(View.fitted(box, frame))

    def _show(self, view: View) -> bool:
        if view != self.view:
            self.view = view
            self.view_changed.emit(view)
            self.update()
        return True

    def pointer_at(self, event: QMouseEvent) -> Pointer:
        """Return what a tool wants to know of a mouse event."""
        return Pointer.at(event.position(), self.view, event.modifiers())

    def recover(self) -> None:
        """Let go of everything after an error in an event."""
        self.navigation.release(None)

    # Events.

    def event(self, event: QEvent) -> bool:
        """Zoom by pinching."""
        if isinstance(event, QNativeGestureEvent) and self.navigation.is_pinch(event):
            return self.set_view(self.navigation.pinched(self.view, event))
        return super().event(event)

    @guarded
    def wheelEvent(self, event: QWheelEvent) -> None:
        self.set_view(wheeled(self.view, event))
        event.accept()

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        if self.is_fitted:
            self.zoom_to_fit()

    @guarded
    def leaveEvent(self, event: QEvent) -> None:
        self.pointer = None
        self.pointer_moved.emit(None)
        self.update()

    @guarded
    def focusOutEvent(self, event: QFocusEvent) -> None:
        self.navigation.space_held = False
        self.update()

    @guarded
    def focusInEvent(self, event: QFocusEvent) -> None:
        self.update()
