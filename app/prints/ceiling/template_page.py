"""1:1 templates: one for each model that hangs on the ceiling, tiled over pages with register marks.

The body lies along the page. Neighbouring pages overlap; their register crosses lie on the same spot of the body and
carry its running distance from the left end, so that a tape checks the joint. Of a long body only the pages that hold
something to drill, cut or align are printed; the crosses tell how far the next page is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from app.prints.paper.draft import BODY, SMALL, Draft
from app.prints.paper.page import Frame, Page, Paper, frame_of
from core.ceiling import CeilingSheet, feeding_of
from core.plan import Model, Point
from core.plan.ceiling import Feeding
from core.units import show_length

__all__ = ["Tile", "template_pages", "tiles_of"]

_OVERLAP = 20.0
_WORDS = 22.0
_BORDER = 4.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One page of a template: column and row, and the part of the body that it shows [mm from its centre]."""

    column: int
    row: int
    left: float
    top: float
    width: float
    height: float


def tiles_of(model: Model, feeding: Feeding, width: float, height: float) -> list[Tile]:
    """Return the pages for a body: along its length in steps of ``height``, across it in steps of ``width`` [mm].

    Pages in the middle of a long body that show neither its feed, a screw nor an end are left out.
    """
    xs, ys = _extent(model, feeding)
    along, across = _starts(xs, height), _starts(ys, width)
    points = [_local(p) for p in _points(feeding)]
    found = []
    for column, left in enumerate(along):
        for row, top in enumerate(across):
            ends = left <= xs[0] or left + height >= xs[1]
            holds = any(left <= x <= left + height and top <= y <= top + width for x, y in points)
            if len(along) <= 2 or ends or holds:
                found.append(Tile(column, row, left, top, height, width))
    return found


def template_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the templates of every model on the ceiling."""
    frame = frame_of(paper)
    width, height = frame.width - 2 * _BORDER, frame.height - _WORDS - 2 * _BORDER
    used = {row.point.model.id for row in sheet.rows}
    pages: list[Page] = []
    for model in sheet.plan.models:
        if model.id in used:
            feeding = feeding_of(model)
            tiles = tiles_of(model, feeding, width, height)
            for number, tile in enumerate(tiles):
                pages.append(_page(sheet, model, feeding, tile, number, tiles))
    return pages


def _page(sheet: CeilingSheet, model: Model, feeding: Feeding, tile: Tile, number: int, tiles: Sequence[Tile]) -> Page:
    def paint(draft: Draft, frame: Frame) -> None:
        _words(draft, frame, sheet, model, feeding, tile, number, tiles)
        at = (frame.x + _BORDER, frame.y + _WORDS + _BORDER)
        painter = draft.painter
        painter.save()
        painter.setClipRect(QRectF(at[0] - 0.5, at[1] - 0.5, tile.height + 1.0, tile.width + 1.0))
        _body(draft, at, sheet, model, feeding, tile)
        painter.restore()
        _registers(draft, at, sheet, model, tile)

    return Page(f"1:1 template, {model.name} ({number + 1} of {len(tiles)})", paint)


def _words(
    draft: Draft,
    frame: Frame,
    sheet: CeilingSheet,
    model: Model,
    feeding: Feeding,
    tile: Tile,
    number: int,
    tiles: Sequence[Tile],
) -> None:
    assumed = " Feed and screws are ASSUMED: hold it against the real body first." if model.feeding is None else ""
    left = show_length((tile.left / 1000.0) + model.length / 2, sheet.system)
    words = (
        f"Full size, {feeding.kind}. As seen from below, the print towards you and the back of the paper on the"
        " ceiling; the body runs down the page, its left end at the top. Big cross = feed, small crosses = screws,"
        f" heavy line = end of the body.{assumed}"
    )
    if len(tiles) > 1:
        words += (
            f" This page begins {left} from the body’s left end; lay the crosses of neighbouring pages on each other."
        )
        following = tiles[number + 1] if number + 1 < len(tiles) else None
        if following is not None and following.column > tile.column + 1:
            gap = (following.left - tile.left - tile.width) / 1000.0
            words += f" Then {show_length(gap, sheet.system)} of plain body without a page: set the distance by tape."
    draft.text(frame.x, frame.y, frame.width, words, SMALL)


def _body(draft: Draft, at: Point, sheet: CeilingSheet, model: Model, feeding: Feeding, tile: Tile) -> None:
    def place(local: Point) -> Point:
        x, y = _local(local)
        return at[0] + (y - tile.top), at[1] + (x - tile.left)

    half, side = model.length / 2, model.width / 2
    if _is_round(model):
        draft.circle(*place((0.0, 0.0)), half * 1000.0, 0.5)
    else:
        corners = [(-half, -side), (half, -side), (half, side), (-half, side)]
        draft.polygon([place(p) for p in corners], 0.3)
        for x in (-half, half):
            draft.line(*place((x, -side)), *place((x, side)), 1.0)
    draft.line(*place((-half, 0.0)), *place((half, 0.0)), 0.1, "dash-dot")
    fx, fy = place((feeding.x, feeding.y))
    radius = feeding.hole * 500.0 if feeding.hole else 50.8 if "box" in feeding.kind else 11.1
    draft.circle(fx, fy, radius, 0.35)
    draft.cross(fx, fy, min(radius, 14.0) + 4.0, 0.35)
    draft.label(
        fx + 4.0,
        fy - 3.4,
        "feed" if not feeding.hole else f"cut {show_length(feeding.hole, sheet.system)}",
        BODY,
        True,
        align="left",
    )
    for n, screw in enumerate(feeding.screws):
        x, y = place(screw)
        draft.circle(x, y, 2.2, 0.3)
        draft.cross(x, y, 5.0, 0.25)
        draft.label(x + 4.0, y + 3.4, f"screw {n + 1}", SMALL, align="left")


def _registers(draft: Draft, at: Point, sheet: CeilingSheet, model: Model, tile: Tile) -> None:
    """Draw crosses in the middle of both overlaps, and the page's cutting frame."""
    draft.rect(at[0], at[1], tile.height, tile.width, 0.1)
    for offset in (_OVERLAP / 2, tile.width - _OVERLAP / 2):
        y = at[1] + offset
        running = (tile.left + offset) / 1000.0 + model.length / 2
        for x in (at[0] + 8.0, at[0] + tile.height - 8.0):
            draft.cross(x, y, 3.5, 0.2)
            draft.circle(x, y, 1.8, 0.15)
        if 0.0 < running < model.length:
            draft.label(at[0] + 13.5, y - 2.2, show_length(running, sheet.system), SMALL, align="left")


def _extent(model: Model, feeding: Feeding) -> tuple[tuple[float, float], tuple[float, float]]:
    points = [_local(p) for p in _points(feeding)]
    reach = feeding.hole * 500.0 if feeding.hole else 50.8
    fx, fy = points[0]
    xs = [x for x, _ in points] + [-model.length * 500.0, model.length * 500.0, fx - reach, fx + reach]
    ys = [y for _, y in points] + [-model.width * 500.0, model.width * 500.0, fy - reach, fy + reach]
    return (min(xs) - 3.0, max(xs) + 3.0), (min(ys) - 3.0, max(ys) + 3.0)


def _starts(span: tuple[float, float], size: float) -> list[float]:
    """Return where the pages begin so that they cover a span with overlaps, about its middle."""
    length = span[1] - span[0]
    count = 1 if length <= size else math.ceil((length - _OVERLAP) / (size - _OVERLAP))
    covered = count * size - (count - 1) * _OVERLAP
    first = (span[0] + span[1]) / 2 - covered / 2
    return [first + n * (size - _OVERLAP) for n in range(count)]


def _points(feeding: Feeding) -> list[Point]:
    return [(feeding.x, feeding.y), *feeding.screws]


def _local(point: Point) -> Point:
    """Return a point of the body in millimetres as seen from below, its length down the page."""
    return point[0] * 1000.0, -point[1] * 1000.0


def _is_round(model: Model) -> bool:
    return model.opening == "round" and math.isclose(model.length, model.width, rel_tol=0.02)
