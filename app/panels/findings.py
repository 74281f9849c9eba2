"""Is the shop good to work in? Sentences under the inspector; a click selects what a sentence is about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QVBoxLayout, QWidget

from app.document import Document
from app.guard import guarded
from app.panels.sentences import Sentence, Weight, sentences
from app.panels.words import heading, kept_together, link, words
from app.reading import Reading
from app.theme import Theme, font
from core.plan import Point
from core.units import UnitSystem

__all__ = ["Findings"]

_SIGNS = {Weight.ACT: "▲", Weight.MIND: "△", Weight.GOOD: "✓"}
_SPOKEN = {Weight.ACT: "To do", Weight.MIND: "To mind", Weight.GOOD: "Good"}
_INDENT = 22
_CALM_MS = 60  # a drag moves the figures every frame; sentences are read, so they follow a little later
_WRAP = int(Qt.TextFlag.TextWordWrap)


class FindingLine(QAbstractButton):
    """One sentence: a sign, its title, and what it rests on."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme
        self.sentence = Sentence(Weight.GOOD, "", "")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def put(self, sentence: Sentence) -> None:
        """Show a sentence."""
        if sentence != self.sentence:
            self.sentence = sentence
            self.setAccessibleName(f"{_SPOKEN[sentence.weight]}: {sentence.title}. {sentence.detail}")
            self.setCursor(Qt.CursorShape.PointingHandCursor if sentence.about else Qt.CursorShape.ArrowCursor)
            self.setToolTip("Click to select it on the plan" if sentence.about else "")
            self.updateGeometry()
            self.update()

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        title, detail = self._heights(width)
        return title + detail + 17

    def sizeHint(self) -> QSize:
        width = self.width() if self.width() > 100 else 240
        return QSize(width, self.heightForWidth(width))

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.heightForWidth(max(self.width(), 120)))

    @guarded
    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        self._paint(painter)
        painter.end()

    def _heights(self, width: int) -> tuple[int, int]:
        room = QRectF(0, 0, max(width - _INDENT - 2, 40), 2000).toRect()
        title = QFontMetrics(font("body", True)).boundingRect(room, _WRAP, kept_together(self.sentence.title))
        detail = QFontMetrics(font("small")).boundingRect(room, _WRAP, kept_together(self.sentence.detail))
        return title.height(), detail.height() + 2

    def _paint(self, painter: QPainter) -> None:
        theme, width = self.theme, self.width()
        if self.underMouse() and self.sentence.about:
            painter.fillRect(self.rect(), theme.hover)
        painter.setPen(QPen(theme.hairline, 1))
        painter.drawLine(0, 0, width, 0)
        title, detail = self._heights(width)
        painter.setFont(font("body", True))
        tones = {Weight.ACT: theme.danger, Weight.MIND: theme.warn, Weight.GOOD: theme.good}
        painter.setPen(tones[self.sentence.weight])
        painter.drawText(QRectF(0, 8, _INDENT, 20), 0, _SIGNS[self.sentence.weight])
        painter.setPen(theme.ink)
        title_box = QRectF(_INDENT, 8, width - _INDENT - 2, title + 1)
        painter.drawText(title_box, _WRAP, kept_together(self.sentence.title))
        painter.setFont(font("small"))
        painter.setPen(theme.muted)
        detail_box = QRectF(_INDENT, 9 + title, width - _INDENT - 2, detail + 1)
        painter.drawText(detail_box, _WRAP, kept_together(self.sentence.detail))
        if self.hasFocus():
            painter.setPen(QPen(theme.accent, 2))
            painter.drawRect(self.rect().adjusted(1, 1, -1, -1))


class Findings(QWidget):
    """The list of sentences for the present switch setting.

    What the light alone tells is said at once; what takes longer (`set_deep`) joins it when it is there.
    """

    all_wanted = Signal()
    place_wanted = Signal(object)  # the plan point that a sentence is about, or None

    def __init__(self, document: Document, reading: Reading, theme: Theme) -> None:
        super().__init__()
        self._document, self._reading, self._theme = document, reading, theme
        self._units = UnitSystem.US
        self.lines: list[FindingLine] = []
        self._deep: tuple[Sentence, ...] = ()
        self._places: Mapping[Sentence, Point | None] = {}
        self._waiting = False
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)
        title = heading("Good to work in?")
        title.setContentsMargins(0, 0, 0, 8)
        self._column.addWidget(title)
        self.waits = words("Shadows, glare and colour are being worked out…", "small", "muted", wrap=True)
        self.waits.hide()
        self.all = link("All findings…", "Every finding in a table, with pictures of the benches")
        self.all.clicked.connect(self.all_wanted)
        self._column.addWidget(self.waits)
        self._column.addWidget(self.all, 0, Qt.AlignmentFlag.AlignLeft)
        self._column.addStretch(1)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(_CALM_MS)
        self._calm.timeout.connect(self.refresh)
        reading.changed.connect(self._calm.start)
        document.changed.connect(self._calm.start)
        self.refresh()

    def set_units(self, units: UnitSystem) -> None:
        """Show foot-candles or lux."""
        self._units = units
        self.refresh()

    def set_theme(self, theme: Theme) -> None:
        """Change colours."""
        self._theme = theme
        for line in self.lines:
            line.theme = theme
            line.update()

    def set_deep(self, deep: Sequence[Sentence], places: Mapping[Sentence, Point | None]) -> None:
        """Take what the checks found at this setting, and where it is on the plan."""
        self._deep, self._places = tuple(deep), places
        self.refresh()

    def set_waiting(self, waiting: bool) -> None:
        """Tell whether the checks are under way; what they found before stays meanwhile."""
        self._waiting = waiting
        self._show_rest()

    def _show_rest(self) -> None:
        fine = sum(sentence.weight is Weight.GOOD for sentence in self._deep)
        self.all.setText(f"All findings ({fine} more are good)…" if fine and not self._waiting else "All findings…")
        self.waits.setVisible(self._waiting)

    def refresh(self) -> None:
        """Write the sentences anew."""
        reading = self._reading
        found = sentences(
            self._document.plan, reading.lighting, reading.field, reading.levels, self._units, reading.factor
        )
        if reading.field is not None and reading.field.room.average > 0.0:
            found += [sentence for sentence in self._deep if sentence.weight is not Weight.GOOD]
            found.sort(key=lambda sentence: (sentence.weight, sentence.share))
        self._show_rest()
        while len(self.lines) < len(found):
            line = FindingLine(self._theme)
            line.clicked.connect(self._clicked)
            self._column.insertWidget(len(self.lines) + 1, line)
            self.lines.append(line)
        for line, sentence in zip(self.lines, found, strict=False):
            line.put(sentence)
            line.show()
        for line in self.lines[len(found) :]:
            line.hide()

    def _clicked(self) -> None:
        line = self.sender()
        if isinstance(line, FindingLine):
            if line.sentence.about:
                self._document.select(line.sentence.about)
            self.place_wanted.emit(self._places.get(line.sentence))
