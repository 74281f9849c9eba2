"""A page: its frame with name, date, number, cautions and check lines, and what is drawn inside."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.prints.paper.draft import BODY, HEADING, SMALL, Draft, shortened, text_width

__all__ = ["A4", "LETTER", "Frame", "Imprint", "Page", "Paper", "draw_page", "frame_of", "paper_named"]

INCH = 25.4
_MARGIN = 12.0
_HEAD = 15.0
_FOOT = 31.0


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, upright [mm]."""

    name: str
    width: float
    height: float


LETTER = Paper("letter", 8.5 * INCH, 11 * INCH)
A4 = Paper("A4", 210.0, 297.0)


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a page may draw: top left corner, width and height [mm]."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its title, and who draws it into the frame."""

    title: str
    paint: Callable[[Draft, Frame], None]


@dataclass(frozen=True, slots=True)
class Imprint:
    """What stands on every page."""

    plan: str
    date: str
    paper: Paper
    cautions: Sequence[str]


def paper_named(name: str) -> Paper:
    """Return letter or A4."""
    return A4 if name == "A4" else LETTER


def frame_of(paper: Paper) -> Frame:
    """Return the frame of a paper, between head and foot."""
    return Frame(_MARGIN, _MARGIN + _HEAD, paper.width - 2 * _MARGIN, paper.height - 2 * _MARGIN - _HEAD - _FOOT)


def draw_page(draft: Draft, page: Page, imprint: Imprint, number: int, count: int) -> None:
    """Draw a whole page."""
    paper = imprint.paper
    draft.rect(0, 0, paper.width, paper.height, 0, 255)
    _head(draft, page.title, imprint, number, count)
    _foot(draft, imprint)
    draft.painter.save()
    page.paint(draft, frame_of(paper))
    draft.painter.restore()


def _head(draft: Draft, title: str, imprint: Imprint, number: int, count: int) -> None:
    paper = imprint.paper
    wide = paper.width - 2 * _MARGIN
    counted = f"Page {number} of {count}"
    beside = text_width(counted, BODY) + 4.0
    whole = shortened(title, wide - beside, HEADING, True)
    draft.text(_MARGIN, _MARGIN, wide - beside, whole, HEADING, strong=True)
    draft.text(paper.width - _MARGIN - beside, _MARGIN + 1.0, beside, counted, BODY, align="right")
    dated = text_width(imprint.date, BODY) + 4.0
    draft.text(_MARGIN, _MARGIN + 6.6, wide - dated, shortened(imprint.plan, wide - dated, BODY), BODY)
    draft.text(paper.width - _MARGIN - dated, _MARGIN + 6.6, dated, imprint.date, BODY, align="right")
    draft.line(_MARGIN, _MARGIN + 11.6, paper.width - _MARGIN, _MARGIN + 11.6, 0.35)


def _foot(draft: Draft, imprint: Imprint) -> None:
    paper = imprint.paper
    top = paper.height - _MARGIN - _FOOT + 3.0
    draft.line(_MARGIN, top, paper.width - _MARGIN, top, 0.35)
    _check_line(draft, _MARGIN, top + 5.2, 4 * INCH, "4 in", 4)
    _check_line(draft, _MARGIN, top + 11.2, 100.0, "100 mm", 10)
    words = (
        "Print at 100 %, not “fit to page”. Lay a rule on both lines: if one is off, nothing on this sheet is to scale."
    )
    at = _MARGIN + 4 * INCH + 12.0
    draft.text(at, top + 2.2, paper.width - _MARGIN - at, words, SMALL)
    draft.text(_MARGIN, top + 16.0, paper.width - 2 * _MARGIN, "  ".join(imprint.cautions), SMALL)


def _check_line(draft: Draft, x: float, y: float, length: float, name: str, parts: int) -> None:
    draft.line(x, y, x + length, y, 0.3)
    for part in range(parts + 1):
        tall = 1.6 if part in (0, parts) else 0.8
        draft.line(x + length * part / parts, y - tall, x + length * part / parts, y + tall, 0.2)
    draft.text(x + length + 1.5, y - 1.7, 16, name, SMALL)
