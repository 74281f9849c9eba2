"""1:1 templates: one for each model that hangs on the ceiling, tiled over pages with register marks.

The body lies along the page. The pages stand in a grid about the feed point, so that the feed is never cut by a page's
edge; neighbours overlap, and their register crosses lie on the same spot of the body. Of a large body only the pages
that hold a feed, a screw or a corner are printed: every cross carries its distance from the body's left end and from
its middle line, so that a tape sets the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from app.prints.paper.draft import BODY, SMALL, Draft
from app.prints.paper.page import Frame, Page, Paper, frame_of
from core.ceiling import CeilingSheet, feeding_of
from core.plan import Model, Point
from core.plan.ceiling import Feeding
from core.units import UnitSystem, show_length

__all__ = ["Tile", "template_pages", "tiles_of"]

_OVERLAP = 20.0
_WORDS = 20.0
_BORDER = 4.0
_RIM = 4.0
_BOX = 50.8
_HOLE = 11.1


@dataclass(frozen=True, slots=True)
class Tile:
    """One page of a template: the part of the body that it shows, seen from below [mm from the body's centre].

    ``left`` and ``length`` are along the body, ``top`` and ``breadth`` across it.
    """

    left: float
    top: float
    length: float
    breadth: float

    def holds(self, point: Point) -> bool:
        """Whether a point is on this page."""
        inside = self.left <= point[0] <= self.left + self.length
        return inside and self.top <= point[1] <= self.top + self.breadth

    @property
    def middle(self) -> Point:
        """The middle of the page."""
        return self.left + self.length / 2, self.top + self.breadth / 2


def tiles_of(model: Model, feeding: Feeding, breadth: float, length: float) -> tuple[list[Tile], bool]:
    """Return the pages for a body, and whether pages of plain body were left out.

    Parameters
    ----------
    breadth, length : float
        What one page shows across and along the body [mm].
    """
    points = _telling_points(model, feeding)
    reach = _reach(feeding) + _RIM
    fx, fy = points[0]
    xs = (min(x for x, _ in points), max(x for x, _ in points))
    ys = (min(y for _, y in points), max(y for _, y in points))
    along = _starts((min(xs[0] - _RIM, fx - reach), max(xs[1] + _RIM, fx + reach)), length, fx)
    across = _starts((min(ys[0] - _RIM, fy - reach), max(ys[1] + _RIM, fy + reach)), breadth, fy)
    grid = [Tile(left, top, length, breadth) for left in along for top in across]
    if len(grid) <= 2:
        return grid, False
    wanted = {min(grid, key=lambda tile: math.dist(tile.middle, point)) for point in points}
    kept = [tile for tile in grid if tile in wanted]
    return kept, len(kept) < len(grid)


def template_pages(sheet: CeilingSheet, paper: Paper) -> list[Page]:
    """Return the templates of every model on the ceiling."""
    frame = frame_of(paper)
    breadth, length = frame.width - 2 * _BORDER, frame.height - _WORDS - 2 * _BORDER
    used = {row.point.model.id for row in sheet.rows}
    pages: list[Page] = []
    for model in sheet.plan.models:
        if model.id in used:
            tiles, has_gaps = tiles_of(model, feeding_of(model), breadth, length)
            for number, tile in enumerate(tiles):
                title = f"1:1 template, {model.name} ({number + 1} of {len(tiles)})"
                pages.append(_page(title, sheet.system, model, tile, len(tiles), has_gaps))
    return pages


def _page(title: str, system: UnitSystem, model: Model, tile: Tile, count: int, has_gaps: bool) -> Page:
    def paint(draft: Draft, frame: Frame) -> None:
        draft.text(frame.x, frame.y, frame.width, _words(model, count, has_gaps), SMALL)
        at = (frame.x + _BORDER, frame.y + _WORDS + _BORDER)
        draft.painter.save()
        draft.painter.setClipRect(QRectF(at[0], at[1], tile.breadth, tile.length))
        _body(draft, at, system, model, tile)
        draft.painter.restore()
        _registers(draft, at, system, model, tile)

    return Page(title, paint)


def _words(model: Model, count: int, has_gaps: bool) -> str:
    words = (
        f"Full size, {feeding_of(model).kind}. As seen from below: print towards you, back of the paper on the ceiling;"
        " the body runs down the page, its left end at the top. Big cross = feed, ring about it = what is cut (box or"
        " hole), small crosses = screws, heavy line = end of the body."
    )
    if model.feeding is None:
        words += " Feed and screws are ASSUMED: hold it against the real body first."
    if count > 1:
        words += (
            " Lay register crosses with the same figures on each other: distance from the left end | from the middle."
        )
    if has_gaps:
        words += " Pages of plain body are left out: set those crosses by tape."
    return words


def _body(draft: Draft, at: Point, system: UnitSystem, model: Model, tile: Tile) -> None:
    def place(point: Point) -> Point:
        return at[0] + point[1] - tile.top, at[1] + point[0] - tile.left

    half, side = model.length * 500.0, model.width * 500.0
    if _is_round(model):
        draft.circle(*place((0.0, 0.0)), half, 0.5)
    else:
        draft.polygon([place(p) for p in ((-half, -side), (half, -side), (half, side), (-half, side))], 0.3)
        for x in (-half, half):
            draft.line(*place((x, -side)), *place((x, side)), 1.0)
    draft.line(*place((-half, 0.0)), *place((half, 0.0)), 0.1, "dash-dot")
    feeding = feeding_of(model)
    feed, *screws = [_local(point) for point in ((feeding.x, feeding.y), *feeding.screws)]
    fx, fy = place(feed)
    draft.circle(fx, fy, _reach(feeding), 0.35)
    draft.cross(fx, fy, min(_reach(feeding), 14.0) + 4.0, 0.35)
    name = f"feed, cut {show_length(feeding.hole, system)}" if feeding.hole else "feed"
    # Beside a small ring, inside a large one.
    beside = _reach(feeding) + 2.0 if _reach(feeding) < 20.0 else 4.0
    draft.label(fx + beside, fy - 3.4, name, BODY, True, align="left")
    for number, screw in enumerate(screws):
        x, y = place(screw)
        draft.circle(x, y, 2.2, 0.3)
        draft.cross(x, y, 5.0, 0.25)
        draft.label(x + 4.0, y + 3.4, f"screw {number + 1}", SMALL, align="left")


def _registers(draft: Draft, at: Point, system: UnitSystem, model: Model, tile: Tile) -> None:
    """Draw crosses in the middle of the overlaps, and the page's cutting frame."""
    draft.rect(at[0], at[1], tile.breadth, tile.length, 0.1)
    for along in (_OVERLAP / 2, tile.length - _OVERLAP / 2):
        running = (tile.left + along) / 1000.0 + model.length / 2
        for across in (_OVERLAP / 2, tile.breadth - _OVERLAP / 2):
            x, y = at[0] + across, at[1] + along
            draft.cross(x, y, 3.5, 0.2)
            draft.circle(x, y, 1.8, 0.15)
            off = (tile.top + across) / 1000.0
            side = "right" if off > 0 else "left"
            text = f"{_signed(running, system)} | {show_length(abs(off), system)} {side}"
            is_left = across < tile.breadth / 2
            draft.label(x + (4.5 if is_left else -4.5), y - 3.0, text, SMALL, align="left" if is_left else "right")


def _signed(length: float, system: UnitSystem) -> str:
    return show_length(length, system) if length >= 0 else f"{show_length(-length, system)} before"


def _starts(span: Point, size: float, about: float) -> list[float]:
    """Return where pages begin so that they cover a span with overlaps, one of them about a point."""
    if span[1] - span[0] <= size:
        return [(span[0] + span[1] - size) / 2]
    step = size - _OVERLAP
    first = about - size / 2
    before = max(math.ceil((first - span[0]) / step), 0)
    after = max(math.ceil((span[1] - first - size) / step), 0)
    return [first + n * step for n in range(-before, after + 1)]


def _telling_points(model: Model, feeding: Feeding) -> list[Point]:
    """Return the feed, the screws, and the corners (of a round body: its four sides)."""
    half, side = model.length / 2, model.width / 2
    ends = [(-half, 0.0), (half, 0.0), (0.0, -side), (0.0, side)]
    if not _is_round(model):
        ends = [(-half, -side), (half, -side), (half, side), (-half, side)]
    return [_local(point) for point in [(feeding.x, feeding.y), *feeding.screws, *ends]]


def _reach(feeding: Feeding) -> float:
    """Return the radius of what is cut for the feed [mm]."""
    return feeding.hole * 500.0 if feeding.hole else _BOX if "box" in feeding.kind else _HOLE


def _local(point: Point) -> Point:
    """Return a point of the body in millimetres as seen from below, its length down the page."""
    return point[0] * 1000.0, -point[1] * 1000.0


def _is_round(model: Model) -> bool:
    return model.opening == "round" and math.isclose(model.length, model.width, rel_tol=0.02)
