"""Zooming and panning: wheel to the pointer, two fingers or middle button or Space to pan, pinch to zoom."""

from __future__ import annotations

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QInputDevice, QMouseEvent, QNativeGestureEvent, QWheelEvent

from app.canvas.view import View

__all__ = ["Navigation", "wheeled"]

_ZOOM_PER_NOTCH = 1.2
_NOTCH = 120.0  # Qt counts a wheel in eighths of a degree; a notch is 15 degrees
_FINGER_ZOOM = 0.005  # per px of a pinch that comes as a wheel with Ctrl


def wheeled(view: View, event: QWheelEvent) -> View:
    """Return the view after a turn of the wheel or a stroke on a trackpad."""
    pixels, angle = event.pixelDelta(), event.angleDelta()
    has_ctrl = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
    is_trackpad = not pixels.isNull() and (
        event.phase() != Qt.ScrollPhase.NoScrollPhase or event.device().type() == QInputDevice.DeviceType.TouchPad
    )
    if is_trackpad and not has_ctrl:
        return view.panned(pixels.x(), pixels.y())
    if is_trackpad:
        return view.zoomed(2.0 ** (pixels.y() * _FINGER_ZOOM), event.position())
    if event.modifiers() & Qt.KeyboardModifier.ShiftModifier or not angle.y():
        return view.panned(angle.x() / 2 or angle.y() / 2, 0.0)
    return view.zoomed(_ZOOM_PER_NOTCH ** (angle.y() / _NOTCH), event.position())


class Navigation:
    """Panning with a button held: which one, and where the hand was last."""

    def __init__(self) -> None:
        self.space_held = False
        self._from: tuple[QPointF, View, Qt.MouseButton] | None = None

    @property
    def is_panning(self) -> bool:
        """Whether the sheet is held."""
        return self._from is not None

    def press(self, event: QMouseEvent, view: View) -> bool:
        """Take the sheet if this press pans."""
        left = event.button() == Qt.MouseButton.LeftButton
        if event.button() == Qt.MouseButton.MiddleButton or (left and self.space_held):
            self._from = (event.position(), view, event.button())
            return True
        return False

    def move(self, pos: QPointF) -> View | None:
        """Return the view while panning."""
        if self._from is None:
            return None
        start, view, _ = self._from
        return view.panned(pos.x() - start.x(), pos.y() - start.y())

    def release(self, button: Qt.MouseButton | None) -> bool:
        """Let go of the sheet if this button held it (None: any); return whether it did."""
        held = self._from is not None and button in (None, self._from[2])
        if held:
            self._from = None
        return held

    @staticmethod
    def is_pinch(event: QNativeGestureEvent) -> bool:
        """Whether two fingers are spread or closed."""
        return event.gestureType() == Qt.NativeGestureType.ZoomNativeGesture

    @staticmethod
    def pinched(view: View, event: QNativeGestureEvent) -> View:
        """Return the view after a pinch."""
        return view.zoomed(max(0.1, 1.0 + event.value()), event.position())
