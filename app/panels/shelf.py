"""What can be brought into the room: catalogued fixtures and the user's own, benches, machines, cabinets.

Drag a thing onto the plan, or double-click it (or press Enter on it) to place it in the middle of the room.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

from PySide6.QtCore import QMimeData, QPoint, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDrag,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
)
from PySide6.QtWidgets import QAbstractButton, QApplication, QFrame, QMenu, QScrollArea, QVBoxLayout, QWidget

from app.guard import guarded
from app.panels.rocker import THING_MIME
from app.panels.shelf_icons import BOX_WIDTH, paint_box, paint_model
from app.panels.words import heading, link
from app.theme import Theme, font
from core.plan import Model
from core.units import UnitSystem, show_length, show_lumens, show_watts

__all__ = ["Shelf", "ShelfItem"]

_WORDS_WIDTH = 160.0  # px beside the picture; a wider name takes two lines
_BOXES = (
    ("bench", "Bench", "work surface, with a worker"),
    ("machine", "Machine", "box with a height"),
    ("cabinet", "Cabinet, rack", "blocks light"),
)


class ShelfItem(QAbstractButton):
    """One thing on the shelf."""

    wanted = Signal(object)  # what the drag would carry
    edit_wanted = Signal(object)  # the model

    def __init__(self, theme: Theme, thing: dict[str, str], name: str, about: str, model: Model | None) -> None:
        super().__init__()
        self.theme, self.thing, self.model = theme, thing, model
        self._name, self._about = name, about
        self._pressed_at: QPoint | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.OpenHandCursor)
        wide = QFontMetricsF(font("body")).horizontalAdvance(name) > _WORDS_WIDTH
        self._name_height = 36 if wide else 18
        self.setFixedHeight(24 + self._name_height)
        self.setAccessibleName(f"{name}, {about}")
        self.setAccessibleDescription("Enter places it in the middle of the room")

    def sizeHint(self) -> QSize:
        return QSize(176, self.height())

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._paint(painter)
        painter.end()

    @guarded
    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed_at = event.position().toPoint()
        super().mousePressEvent(event)

    @guarded
    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        far = QApplication.startDragDistance()
        if self._pressed_at is not None and (event.position().toPoint() - self._pressed_at).manhattanLength() >= far:
            self._pressed_at = None
            self.setDown(False)
            self._drag()

    @guarded
    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._pressed_at = None
        super().mouseReleaseEvent(event)

    @guarded
    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.wanted.emit(self.thing)

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.wanted.emit(self.thing)
        else:
            super().keyPressEvent(event)

    @guarded
    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.addAction("Place in the middle of the room").triggered.connect(lambda: self.wanted.emit(self.thing))
        if self.model is not None:
            text = "Make an entry of my own from it…" if self.model.is_example else "Edit this entry…"
            menu.addAction(text).triggered.connect(lambda: self.edit_wanted.emit(self.model))
        menu.popup(event.globalPos())

    def mime(self) -> QMimeData:
        """Return what a drag of this thing carries."""
        data = QMimeData()
        data.setData(THING_MIME, json.dumps(self.thing).encode("utf-8"))
        return data

    def _drag(self) -> None:
        drag = QDrag(self)
        drag.setMimeData(self.mime())
        ratio = self.devicePixelRatioF()
        picture = QPixmap(QSize(BOX_WIDTH, 40) * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_icon(painter, QRectF(0, 0, BOX_WIDTH, 40))
        painter.end()
        drag.setPixmap(picture)
        drag.setHotSpot(QPoint(BOX_WIDTH // 2, 20))
        drag.exec(Qt.DropAction.CopyAction)

    def _paint(self, painter: QPainter) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        theme = self.theme
        if self.underMouse() or self.isDown():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.hover)
            painter.drawRoundedRect(QRectF(self.rect()), 4, 4)
        if self.hasFocus():
            painter.setPen(QPen(theme.accent, 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 4, 4)
        self._paint_icon(painter, QRectF(4, 0, BOX_WIDTH, self.height()))
        left, width = BOX_WIDTH + 8, self.width() - BOX_WIDTH - 9
        flags = int(Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextWordWrap)
        painter.setFont(font("body"))
        painter.setPen(theme.ink)
        painter.drawText(QRectF(left, 4, width, self._name_height), flags, self._name)
        painter.setFont(font("small"))
        painter.setPen(theme.muted)
        about = painter.fontMetrics().elidedText(self._about, Qt.TextElideMode.ElideRight, width)
        painter.drawText(QRectF(left, 4 + self._name_height, width, 16), flags, about)

    def _paint_icon(self, painter: QPainter, box: QRectF) -> None:
        if self.model is not None:
            paint_model(painter, box, self.model, self.theme)
        else:
            paint_box(painter, box, self.thing["what"], self.theme)


class Shelf(QScrollArea):
    """The window's left side."""

    wanted = Signal(object)  # {"what": ..., "model": ...}
    edit_wanted = Signal(object)  # a Model to begin from
    new_wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme, self._units = theme, UnitSystem.US
        self._models: tuple[Model, ...] = ()
        self.items: list[ShelfItem] = []
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFixedWidth(240)
        sheet = QWidget()
        column = QVBoxLayout(sheet)
        column.setContentsMargins(4, 16, 2, 16)
        column.setSpacing(0)
        column.addWidget(self._head("Drag onto the plan"))
        self._fixtures = QVBoxLayout()
        self._fixtures.setSpacing(0)
        column.addLayout(self._fixtures)
        self.new_entry = link("+ From a data sheet", "Enter a fixture that you have or want, from its data sheet")
        self.new_entry.clicked.connect(self.new_wanted)
        column.addWidget(self.new_entry, 0, Qt.AlignmentFlag.AlignLeft)
        column.addSpacing(16)
        column.addWidget(self._head("In the room"))
        for what, name, about in _BOXES:
            item = self._item({"what": what}, name, about, None)
            column.addWidget(item)
        column.addStretch(1)
        self.setWidget(sheet)

    def _head(self, text: str) -> QWidget:
        label = heading(text)
        label.setContentsMargins(8, 0, 0, 8)
        return label

    def set_models(self, models: Sequence[Model]) -> None:
        """Show these fixtures."""
        if tuple(models) == self._models and self.items:
            return
        self._models = tuple(models)
        for item in [item for item in self.items if item.model is not None]:
            self.items.remove(item)
            self._fixtures.removeWidget(item)
            item.hide()
            item.deleteLater()
        for model in models:
            item = self._item({"what": "fixture", "model": model.id}, model.name, _light_and_power(model), model)
            self._fixtures.addWidget(item)
        self._tips()

    def set_units(self, units: UnitSystem) -> None:
        """Show sizes in another system of units."""
        self._units = units
        self._tips()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        for item in self.items:
            item.theme = theme
            item.update()

    def _item(self, thing: dict[str, str], name: str, about: str, model: Model | None) -> ShelfItem:
        item = ShelfItem(self._theme, thing, name, about, model)
        item.wanted.connect(self.wanted)
        item.edit_wanted.connect(self.edit_wanted)
        item.setToolTip(f"{name}: drag it, or double-click to place it in the middle of the room")
        self.items.append(item)
        return item

    def _tips(self) -> None:
        for item in self.items:
            model = item.model
            if model is not None:
                size = f"{show_length(model.length, self._units)} × {show_length(model.width, self._units)}"
                example = "Invented example, placeholder price" if model.is_example else "Your own entry"
                item.setToolTip(
                    f"{model.name}\n{size}, {model.kind}, {model.lens} lens, CRI {model.cri}\n"
                    f"{example}\nDrag it (with Shift: rows and columns of it), or double-click to place it in the"
                    " middle of the room"
                )


def _light_and_power(model: Model) -> str:
    """Return lumens and watts, from the lowest power setting, with which a fixture is hung, to the highest."""
    low, high = model.settings[0], model.settings[-1]
    if low == high:
        return f"{show_lumens(low.lumens)} · {show_watts(low.watts)}"
    lumens = f"{show_lumens(low.lumens).removesuffix(' lm')}–{show_lumens(high.lumens)}"
    return f"{lumens} · {show_watts(low.watts).removesuffix(' W')}–{show_watts(high.watts)}"
