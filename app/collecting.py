"""Python's search for dead rings of objects, held back while a gesture lasts.

The search through everything (the third generation) stops the window for as long as several frames take. It can wait
until the mouse button is up; what lives only for a frame is looked through as ever.
"""

from __future__ import annotations

import gc

from PySide6.QtCore import QObject

from app.document import Document
from core.plan import Plan

__all__ = ["Collecting"]

_USUAL = gc.get_threshold()
_NEVER = 1_000_000


class Collecting(QObject):
    """Holds the search back while a gesture changes the document's plan."""

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        document.changed.connect(self._follow)
        document.history_changed.connect(self._follow)
        self.destroyed.connect(lambda: gc.set_threshold(*_USUAL))

    def _follow(self, _old: Plan | None = None, _new: Plan | None = None) -> None:
        young, middle, old = _USUAL
        gc.set_threshold(young, middle, _NEVER if self._document.in_gesture else old)
