"""Text and tables that run over as many pages as they need; a table's head is repeated on every page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from app.prints.paper.draft import BODY, SMALL, Align, Draft, text_height
from app.prints.paper.page import Frame, Page, Paper, frame_of

__all__ = ["Column", "Part", "flow", "heading", "paragraph", "table"]

_PAD = 1.3
_LIFT = 0.9
_MOST_LETTERS = 800
"""Letters of a cell; a name of many pages would push a row off the paper."""


@dataclass(frozen=True, slots=True)
class Part:
    """A strip of a page that is never broken: its height [mm] and who draws it at (x, y).

    ``keeps`` holds it on the page of the part after it; ``repeats`` is drawn again at the top of a page that begins
    after it and with a part of the same table.
    """

    height: float
    paint: Callable[[Draft, float, float], None]
    keeps: bool = False
    repeats: Part | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column: what it is called, its share of the width, and how it is set."""

    name: str
    share: float
    align: Align = "left"
    strong: bool = False


def heading(text: str, width: float) -> Part:
    """Return a heading inside a page."""
    high = text_height(text, width, BODY + 0.5, True)

    def paint(draft: Draft, x: float, y: float) -> None:
        draft.text(x, y + 2.6, width, text, BODY + 0.5, True)

    return Part(high + 4.0, paint, keeps=True)


def paragraph(text: str, width: float, size: float = BODY) -> Part:
    """Return a paragraph."""
    high = text_height(text, width, size)

    def paint(draft: Draft, x: float, y: float) -> None:
        draft.text(x, y + 0.8, width, text, size)

    return Part(high + 1.6, paint)


def table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width: float, size: float = SMALL + 0.2
) -> list[Part]:
    """Return a table, its columns sharing the width; every cell is broken to its column."""
    rows = [[_cut(cell) for cell in row] for row in rows]
    whole = sum(column.share for column in columns)
    wides = [width * column.share / whole for column in columns]
    head = _row(columns, wides, [column.name for column in columns], size, is_head=True)
    return [head, *(_row(columns, wides, row, size, repeats=head) for row in rows)]


def _cut(text: str) -> str:
    return text if len(text) <= _MOST_LETTERS else f"{text[:_MOST_LETTERS]} …"


def flow(title: str, parts: Sequence[Part], paper: Paper) -> list[Page]:
    """Return the pages that hold the parts, in order."""
    frame = frame_of(paper)
    pages: list[list[Part]] = [[]]
    left = frame.height
    for index, part in enumerate(parts):
        needed = part.height
        if part.keeps and index + 1 < len(parts):
            needed += parts[index + 1].height
        if needed > left and pages[-1]:
            pages.append([part.repeats] if part.repeats is not None else [])
            left = frame.height - sum(p.height for p in pages[-1])
        pages[-1].append(part)
        left -= part.height
    many = len(pages) > 1
    return [
        Page(f"{title} ({n + 1} of {len(pages)})" if many else title, _painter(page)) for n, page in enumerate(pages)
    ]


def _painter(parts: Sequence[Part]) -> Callable[[Draft, Frame], None]:
    def paint(draft: Draft, frame: Frame) -> None:
        y = frame.y
        for part in parts:
            part.paint(draft, frame.x, y)
            y += part.height

    return paint


def _row(
    columns: Sequence[Column],
    wides: Sequence[float],
    cells: Sequence[str],
    size: float,
    is_head: bool = False,
    repeats: Part | None = None,
) -> Part:
    strongs = [is_head or column.strong for column in columns]
    each = zip(cells, wides, strongs, strict=True)
    high = max(text_height(text, wide - 2 * _PAD, size, strong) for text, wide, strong in each) + 2 * _LIFT

    def paint(draft: Draft, x: float, y: float) -> None:
        if is_head:
            draft.rect(x, y, sum(wides), high, 0, 228)
        at = x
        for column, text, wide, strong in zip(columns, cells, wides, strongs, strict=True):
            draft.text(at + _PAD, y + _LIFT, wide - 2 * _PAD, text, size, strong, column.align)
            at += wide
        draft.line(x, y + high, x + sum(wides), y + high, 0.25 if is_head else 0.1)

    return Part(high, paint, keeps=is_head, repeats=repeats)
