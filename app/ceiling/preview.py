"""The pages of a book on the screen, one at a time, drawn by the same hands as the print."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.guard import guarded
from app.prints.ceiling.book import Book
from app.prints.paper.output import page_image

__all__ = ["Preview"]

_MARGIN = 12.0


class _Sheet(QWidget):
    """One page, as large as fits; a click or + and - shows it twice as large, dragged or scrolled by wheel."""

    turned = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self._book: Book | None = None
        self._number = 0
        self._pixmap: QPixmap | None = None
        self._large = False
        self._middle = (0.5, 0.5)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumSize(240, 320)
        self.setToolTip("Click to look closer")

    def show_page(self, book: Book, number: int) -> None:
        """Show a page."""
        self._book, self._number, self._pixmap = book, number, None
        self.setAccessibleName(f"Page {number + 1}: {book.pages[number].title}")
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(520, 680)

    @guarded
    def paintEvent(self, _event: QPaintEvent) -> None:
        if self._book is None:
            return
        at = self._place()
        ratio = self.devicePixelRatioF()
        if self._pixmap is None:
            dots = at.width() * ratio / self._book.imprint.paper.width
            self._pixmap = QPixmap.fromImage(page_image(self._book.pages, self._number, self._book.imprint, dots))
            self._pixmap.setDevicePixelRatio(ratio)
        painter = QPainter(self)
        painter.drawPixmap(at.topLeft(), self._pixmap)
        painter.setPen(QColor(128, 128, 128))
        painter.drawRect(at)
        painter.end()

    def _place(self) -> QRectF:
        """Return where the page lies in the widget."""
        assert self._book is not None
        paper = self._book.imprint.paper
        wide, high = self.width() - 2 * _MARGIN, self.height() - 2 * _MARGIN
        scale = min(wide / paper.width, high / paper.height) * (2.0 if self._large else 1.0)
        size = (paper.width * scale, paper.height * scale)
        if not self._large:
            return QRectF((self.width() - size[0]) / 2, (self.height() - size[1]) / 2, *size)
        spare = [min(own - page, 0.0) for own, page in zip((self.width(), self.height()), size, strict=True)]
        free = [max((own - page) / 2, 0.0) for own, page in zip((self.width(), self.height()), size, strict=True)]
        return QRectF(free[0] + spare[0] * self._middle[0], free[1] + spare[1] * self._middle[1], *size)

    @guarded
    def resizeEvent(self, event: QResizeEvent) -> None:
        self._pixmap = None
        super().resizeEvent(event)

    @guarded
    def mousePressEvent(self, event: QMouseEvent) -> None:
        pos = event.position()
        self._look(not self._large, (pos.x() / self.width(), pos.y() / self.height()))

    @guarded
    def wheelEvent(self, event: QWheelEvent) -> None:
        step = -event.angleDelta().y() / 1200.0
        if self._large:
            self._look(True, (self._middle[0], self._middle[1] + step))
        elif event.angleDelta().y():
            self.turned.emit(1 if event.angleDelta().y() < 0 else -1)

    @guarded
    def keyPressEvent(self, event: QKeyEvent) -> None:
        ways = {Qt.Key.Key_PageDown: 1, Qt.Key.Key_Right: 1, Qt.Key.Key_PageUp: -1, Qt.Key.Key_Left: -1}
        if event.key() in ways:
            self.turned.emit(ways[Qt.Key(event.key())])
        elif event.key() in (Qt.Key.Key_Plus, Qt.Key.Key_Equal, Qt.Key.Key_Minus):
            self._look(event.key() != Qt.Key.Key_Minus, self._middle)
        else:
            super().keyPressEvent(event)

    def _look(self, large: bool, middle: tuple[float, float]) -> None:
        if large != self._large:
            self._pixmap = None
        self._large = large
        self._middle = (min(max(middle[0], 0.0), 1.0), min(max(middle[1], 0.0), 1.0))
        self.update()


class Preview(QWidget):
    """A page with buttons to turn it and a list to jump."""

    def __init__(self) -> None:
        super().__init__()
        self.book: Book | None = None
        self.sheet = _Sheet()
        self.sheet.turned.connect(self.turn)
        self.list = QComboBox()
        self.list.setAccessibleName("Page")
        self.list.setToolTip("The page that is shown")
        self.list.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.list.currentIndexChanged.connect(self._show)
        self.back, self.next = QPushButton("‹"), QPushButton("›")
        for button, way, name in ((self.back, -1, "Page before"), (self.next, 1, "Next page")):
            button.setAccessibleName(name)
            button.setToolTip(name)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, way=way: self.turn(way))
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.back)
        row.addWidget(self.list, 1)
        row.addWidget(self.next)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.sheet, 1)
        column.addLayout(row)

    @property
    def number(self) -> int:
        """The page that is shown, from 0."""
        return max(self.list.currentIndex(), 0)

    def set_book(self, book: Book) -> None:
        """Show another book, at the page of the same title where it has one."""
        before = self.book.pages[self.number].title if self.book is not None else ""
        self.book = book
        titles = [page.title for page in book.pages]
        self.list.blockSignals(True)
        self.list.clear()
        self.list.addItems([f"{n + 1}. {title}" for n, title in enumerate(titles)])
        self.list.setCurrentIndex(titles.index(before) if before in titles else 0)
        self.list.blockSignals(False)
        self._show(self.number)

    def turn(self, way: int) -> None:
        """Go to the next page, or back."""
        self.list.setCurrentIndex(min(max(self.number + way, 0), self.list.count() - 1))

    def _show(self, number: int) -> None:
        if self.book is not None and 0 <= number < len(self.book.pages):
            self.sheet.show_page(self.book, number)
            self.back.setEnabled(number > 0)
            self.next.setEnabled(number + 1 < len(self.book.pages))
