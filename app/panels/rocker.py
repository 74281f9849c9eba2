"""One wall switch: a rocker to click, its letter and name, what hangs on it, and its dimmer.

The letter on the keyboard flips it too; the window binds that key, and it works wherever no text is typed.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QGridLayout,
    QHBoxLayout,
    QMenu,
    QSizePolicy,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from app.guard import guarded
from app.panels.words import link, words
from app.theme import Theme, font, group_colour
from core.plan import Group
from core.units import show_lumens, show_watts

__all__ = ["THING_MIME", "Rocker", "SwitchCard", "thing_in"]

THING_MIME = "application/x-candlebench-thing"
_STEPS = 100


def thing_in(event: QDropEvent) -> Mapping[str, str] | None:
    """Return what a drag from the shelf carries, None for any other drag."""
    data = event.mimeData()
    if not data.hasFormat(THING_MIME):
        return None
    try:
        thing = json.loads(bytes(data.data(THING_MIME).data()).decode("utf-8"))
    except ValueError:
        return None
    return thing if isinstance(thing, dict) else None


class Rocker(QAbstractButton):
    """The painted switch; it is pressed in at the top when on, at the bottom when off."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._level = 0.0
        self.setFixedSize(26, 50)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    @property
    def is_on(self) -> bool:
        """Whether the switch is on."""
        return self._level > 0.0

    def set_level(self, level: float) -> None:
        """Show a level."""
        if level != self._level:
            self._level = level
            self.update()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(26, 50)

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        _paint_rocker(painter, QRectF(self.rect()), self._theme, self._level, self.hasFocus())
        painter.end()


def _paint_rocker(painter: QPainter, box: QRectF, theme: Theme, level: float, focused: bool) -> None:
    plate = box.adjusted(1, 1, -1, -1)
    painter.setPen(QPen(theme.accent, 2) if focused else QPen(theme.edge, 1))
    painter.setBrush(theme.panel)
    painter.drawRoundedRect(plate, 4, 4)
    face = plate.adjusted(4, 4, -4, -4)
    on = level > 0.0
    painter.setPen(QPen(theme.rocker_edge, 1))
    painter.setBrush(theme.rocker)
    painter.drawRoundedRect(face, 2, 2)
    # The half that is pressed in lies in shade.
    half = QRectF(face.left(), face.top() if on else face.center().y(), face.width(), face.height() / 2)
    shade = theme.hairline.darker(106) if not theme.dark else theme.rocker.darker(135)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(shade)
    painter.drawRoundedRect(half.adjusted(0.5, 0.5, -0.5, -0.5), 2, 2)
    painter.setPen(QPen(theme.rocker_edge, 1))
    painter.drawLine(QPointF(face.left(), face.center().y()), QPointF(face.right(), face.center().y()))
    spot = QPointF(face.center().x(), face.bottom() - face.height() / 4)
    if on:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.lamp)
        painter.drawEllipse(spot, 3.0, 3.0)
    else:
        painter.setPen(QPen(theme.muted, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(spot.x(), face.top() + face.height() / 4), 2.5, 2.5)


class SwitchCard(QWidget):
    """A switch group on the wall plate."""

    flipped = Signal(str)
    dimmed = Signal(str, float)
    named = Signal(str)  # asks for a new name
    dimmer_wanted = Signal(str, bool)
    selection_wanted = Signal(str)  # put the selection on this switch
    pick_wanted = Signal(str)  # select what hangs on it
    removal_wanted = Signal(str)
    thing_dropped = Signal(str, object)

    def __init__(self, group: Group, theme: Theme) -> None:
        super().__init__()
        self.letter = group.letter
        self._group, self._theme = group, theme
        self._has_selection = False
        self._shown: tuple[float, float, float, int] | None = None
        self.setAcceptDrops(True)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.rocker = Rocker(theme)
        self.letter_label = words(group.letter, "body", strong=True)
        self.name = words("", "small", strong=True, wrap=True)
        self.load = words("", "small", "muted")
        self.put_here = link(f"put on {group.letter}", f"Put the selected fixtures on switch {group.letter}")
        self.put_here.setFont(font("small"))
        self.put_here.setStyleSheet("padding: 0px; border-width: 0px;")
        self.dimmer = QSlider(Qt.Orientation.Horizontal)
        self.dimmer.setRange(0, _STEPS)
        self.dimmer.setSingleStep(5)
        self.dimmer.setPageStep(10)
        self.dimmer.setToolTip("How far up the dimmer is, in per cent; arrow keys move it by 5")
        self.share = words("", "small", "muted")
        self.add_dimmer = link("add a dimmer", f"Put a dimmer in the place of switch {group.letter}")
        self.add_dimmer.setFont(font("small"))
        self.add_dimmer.clicked.connect(lambda: self.dimmer_wanted.emit(self.letter, True))
        self._lay_out()
        self.put_here.clicked.connect(lambda: self.selection_wanted.emit(self.letter))
        self.rocker.clicked.connect(lambda: self.flipped.emit(self.letter))
        self.dimmer.valueChanged.connect(self._dimmer_moved)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.customContextMenuRequested.connect(lambda at: self.menu().popup(self.mapToGlobal(at)))
        self.show_group(group)

    def _lay_out(self) -> None:
        top, middle = Qt.AlignmentFlag.AlignTop, Qt.AlignmentFlag.AlignHCenter
        beside = QVBoxLayout()
        beside.setContentsMargins(0, 1, 0, 0)
        beside.setSpacing(2)
        for part in (self.name, self.load, self.put_here):
            beside.addWidget(part)
        beside.addStretch(1)
        self.put_here.hide()
        below = QHBoxLayout()
        below.setSpacing(4)
        below.addWidget(self.dimmer, 1)
        below.addWidget(self.share)
        below.addWidget(self.add_dimmer)
        grid = QGridLayout(self)
        grid.setContentsMargins(2, 0, 4, 0)
        grid.setHorizontalSpacing(4)
        grid.setVerticalSpacing(0)
        switch = QVBoxLayout()
        switch.setSpacing(0)
        switch.addWidget(self.letter_label, 0, middle)
        switch.addWidget(self.rocker)
        grid.addLayout(switch, 0, 0, top)
        grid.addLayout(beside, 0, 1)
        grid.addLayout(below, 1, 0, 1, 2)
        grid.setRowStretch(2, 1)
        grid.setColumnStretch(1, 1)

    def show_group(self, group: Group) -> None:
        """Take over name and kind of the group."""
        self._group, self._shown = group, None
        self.name.setText(group.label)
        low = round(group.minimum * _STEPS)
        self.dimmer.setMinimum(low if group.dimmable else 0)
        self.dimmer.setVisible(group.dimmable)
        self.share.setVisible(group.dimmable)
        self.add_dimmer.setVisible(not group.dimmable)
        title = f"Switch {group.letter}, {group.label}"
        self.rocker.setAccessibleName(title)
        self.dimmer.setAccessibleName(f"Dimmer of switch {group.letter}, per cent")
        self.rocker.setToolTip(f"{title}: click, or press {group.letter}")
        self.name.setToolTip(f"{group.label}: right-click to rename, dim, fill or remove")
        self.set_theme(self._theme)

    def show_level(self, level: float, lumens: float, watts: float, count: int) -> None:
        """Show how far the group is up, and the light and power of all its fixtures at full level."""
        shown = (level, lumens, watts, count)
        if shown == self._shown:
            return
        self._shown = shown
        self.rocker.set_level(level)
        self.dimmer.blockSignals(True)
        if level > 0.0:
            self.dimmer.setValue(round(level * _STEPS))
        self.dimmer.blockSignals(False)
        self.dimmer.setEnabled(level > 0.0)
        self.share.setText(f"{level * 100:.0f} %" if level > 0.0 else "off")
        self.load.setText(f"{show_lumens(lumens)}\n{show_watts(watts)}" if count else "nothing\non it yet")
        self.load.setToolTip(f"{count} fixture{'s' if count != 1 else ''} at full level")
        state = "on" if level >= 1.0 else f"at {level * 100:.0f} %" if level > 0.0 else "off"
        self.rocker.setAccessibleDescription(f"{state}, {self.load.text().replace(chr(10), ' ')}")

    def set_has_selection(self, has: bool, is_here: bool) -> None:
        """Offer to put the selection on this switch, in the place of its load, while fixtures are selected that are
        not all on it already (``is_here``)."""
        self._has_selection = has
        self.put_here.setVisible(has and not is_here)
        self.load.setVisible(not has or is_here)

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        self.rocker.set_theme(theme)
        colour = group_colour(self.letter, theme.dark)
        self.letter_label.setStyleSheet(f"color: {colour.name()};")
        self.letter_label.setFont(font("body", True))
        # Seldom wanted: it must not shine brighter than the light.
        self.add_dimmer.setStyleSheet(f"padding: 0px; border-width: 0px; color: {theme.muted.name()};")

    def menu(self) -> QMenu:
        """Return the card's menu."""
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        put = menu.addAction("Put the selection on this switch")
        put.setEnabled(self._has_selection)
        put.triggered.connect(lambda: self.selection_wanted.emit(self.letter))
        menu.addAction("Select what is on it").triggered.connect(lambda: self.pick_wanted.emit(self.letter))
        menu.addSeparator()
        menu.addAction("Rename…").triggered.connect(lambda: self.named.emit(self.letter))
        dim = menu.addAction("Has a dimmer")
        dim.setCheckable(True)
        dim.setChecked(self._group.dimmable)
        dim.triggered.connect(lambda on: self.dimmer_wanted.emit(self.letter, on))
        menu.addSeparator()
        menu.addAction("Remove this switch").triggered.connect(lambda: self.removal_wanted.emit(self.letter))
        return menu

    @guarded
    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        thing = thing_in(event)
        if thing is not None and thing.get("what") == "fixture":
            event.acceptProposedAction()

    @guarded
    def dropEvent(self, event: QDropEvent) -> None:
        thing = thing_in(event)
        if thing is not None:
            event.acceptProposedAction()
            self.thing_dropped.emit(self.letter, thing)

    def _dimmer_moved(self, value: int) -> None:
        self.share.setText(f"{value} %")
        self.dimmed.emit(self.letter, value / _STEPS)
