"""The line along the window's foot: what the tool waits for, the last message, and the light's progress."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QSizePolicy, QWidget

from app.panels.words import words

__all__ = ["StatusLine"]

_MESSAGE_MS = 8000
_PATIENCE_MS = 250  # work that is done sooner shows no progress bar


class StatusLine(QWidget):
    """Hints stay, messages go after a while."""

    cancel_wanted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.hint = words("", "small", "muted")
        self.message = words("", "small", "warn")
        self.doing = words("", "small", "muted")
        for label in (self.hint, self.message):
            label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.bar = QProgressBar()
        self.bar.setRange(0, 100)
        self.bar.setTextVisible(False)
        self.bar.setFixedWidth(120)
        self.bar.setAccessibleName("Progress of the light")
        self.cancel = QPushButton("Stop")
        self.cancel.setProperty("role", "link")
        self.cancel.setFont(self.doing.font())
        self.cancel.setToolTip("Stop computing the light; the next change starts it again")
        self.cancel.clicked.connect(self.cancel_wanted)
        line = QHBoxLayout(self)
        line.setContentsMargins(16, 2, 16, 2)
        line.setSpacing(12)
        line.addWidget(self.message, 1)
        line.addWidget(self.hint, 1)
        line.addWidget(self.doing)
        line.addWidget(self.bar)
        line.addWidget(self.cancel)
        self.setFixedHeight(28)
        self._fade = QTimer(self)
        self._fade.setSingleShot(True)
        self._fade.timeout.connect(self._forget)
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(_PATIENCE_MS)
        self._patience.timeout.connect(lambda: self._show_progress(True))
        self._show_progress(False)
        self._forget()

    def set_hint(self, text: str) -> None:
        """Say what the tool waits for."""
        self.hint.setText(text)
        self.hint.setToolTip(text)

    def say(self, text: str) -> None:
        """Show a message for a while in place of the hint."""
        self.message.setText(text)
        self.message.setToolTip(text)
        self.message.setVisible(bool(text))
        self.hint.setVisible(not text)
        self._fade.start(_MESSAGE_MS)

    def set_busy(self, busy: bool) -> None:
        """Show or hide the progress of work in the background."""
        if busy:
            self.bar.setValue(0)
            self._patience.start()
        else:
            self._patience.stop()
            self._show_progress(False)

    def set_progress(self, share: float, what: str) -> None:
        """Show how far the work is (0 to 1), and what it is."""
        self.bar.setValue(round(share * 100))
        if what != self.doing.text():
            self.doing.setText(what)
            # Made room for at once: in the old width the new words would be cut for a moment.
            layout = self.layout()
            if layout is not None:
                layout.activate()

    def _show_progress(self, visible: bool) -> None:
        for widget in (self.doing, self.bar, self.cancel):
            widget.setVisible(visible)

    def _forget(self) -> None:
        self.message.hide()
        self.hint.show()
