"""The light, as a picture with its legend: drawn by whoever draws the plan's picture, set onto a page here."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtGui import QImage

from app.prints.paper.draft import SMALL, Draft
from app.prints.paper.page import Frame, Page

__all__ = ["light_page"]


def light_page(title: str, picture: Callable[[], QImage]) -> Page:
    """Return a page with a picture of the light; the picture is drawn when the page is."""

    def paint(draft: Draft, frame: Frame) -> None:
        image = picture()
        draft.image(frame.x, frame.y, frame.width, frame.height - 8.0, image)
        words = "The lines carry their figures, so the page reads without colour too. This picture is not to scale."
        draft.text(frame.x, frame.y + frame.height - 6.0, frame.width, words, SMALL)

    return Page(title, paint)
