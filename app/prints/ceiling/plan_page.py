"""The ceiling to scale, twice: as on the floor, and as seen looking up. Left and right differ, and both say so."""

from __future__ import annotations

import math

import shapely

from app.prints.ceiling.mapping import Mapping, mapping_for
from app.prints.paper.draft import BODY, SMALL, Draft, text_width
from app.prints.paper.page import Frame, Page
from core.ceiling import CeilingSheet, ChalkLine, chalk_lines, deviations
from core.ceiling.bodies import fixture_body
from core.ceiling.joists import joist_normal
from core.ceiling.reference import wall_name
from core.plan import JoistZone, Point, box_corners
from core.units import FOOT, UnitSystem

__all__ = ["plan_pages"]

_BANNER = 17.0
_KEY = 17.0
_TITLES = {False: "Ceiling plan, as on the floor", True: "Ceiling plan, seen from below (mirrored)"}
_WORDS = {
    False: (
        "AS ON THE FLOOR, seen from above: left and right as you face the back wall",
        "Lay it on the floor, top edge towards the back wall. Use it for floor marks. The ceiling looks like this in a"
        " mirror on the floor only.",
    ),
    True: (
        "SEEN FROM BELOW, looking up: MIRRORED, left and right are swapped",
        "Hold it overhead, print facing down, top edge towards the back wall: then it lies as the ceiling does."
        " Use it on the ladder.",
    ),
}


def plan_pages(sheet: CeilingSheet) -> list[Page]:
    """Return the two pages."""
    lines = chalk_lines(sheet)
    pages = []
    for looking_up, title in _TITLES.items():

        def paint(draft: Draft, frame: Frame, looking_up: bool = looking_up) -> None:
            _paint(draft, frame, sheet, lines, looking_up)

        pages.append(Page(title, paint))
    return pages


def _paint(draft: Draft, frame: Frame, sheet: CeilingSheet, lines: tuple[ChalkLine, ...], looking_up: bool) -> None:
    _banner(draft, frame, looking_up)
    inner = Frame(frame.x, frame.y + _BANNER, frame.width, frame.height - _BANNER - _KEY)
    to_paper = mapping_for(sheet, inner, looking_up)
    _joists(draft, sheet, to_paper)
    _keep_outs(draft, sheet, to_paper)
    for line in lines:
        (ax, ay), (bx, by) = (to_paper(end) for end in line.ends)
        draft.line(ax, ay, bx, by, 0.15, "dash-dot")
    _bodies(draft, sheet, to_paper)
    _walls(draft, sheet, to_paper)
    _figures(draft, sheet, lines, to_paper)
    _corners(draft, sheet, to_paper)
    _marks(draft, sheet, to_paper)
    _sides(draft, inner, looking_up)
    _key(draft, frame, sheet, to_paper)


def _banner(draft: Draft, frame: Frame, looking_up: bool) -> None:
    title, words = _WORDS[looking_up]
    draft.rect(frame.x, frame.y, frame.width, _BANNER - 3.0, 0.5, 0 if looking_up else None)
    if looking_up:
        # White on black: nobody takes one page for the other.
        draft.rect(frame.x, frame.y, frame.width, _BANNER - 3.0, 0.5, 0)
    grey = 255 if looking_up else 0
    draft.text(frame.x + 2.5, frame.y + 1.4, frame.width - 5, title, BODY + 0.9, True, grey=grey)
    draft.text(frame.x + 2.5, frame.y + 7.0, frame.width - 5, words, SMALL, grey=grey)


def _sides(draft: Draft, frame: Frame, looking_up: bool) -> None:
    left, right = ("right of the room", "left of the room") if looking_up else ("left of the room", "right of the room")
    middle = frame.y + frame.height / 2
    draft.label(frame.x + 1.5, middle, left, turn=-90.0)
    draft.label(frame.x + frame.width - 1.5, middle, right, turn=90.0)
    draft.label(frame.x + frame.width / 2, frame.y + 1.0, "back of the room")
    draft.label(frame.x + frame.width / 2, frame.y + frame.height - 1.5, "front of the room")


def _walls(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    outline = sheet.survey.outline
    count = len(outline)
    draft.polygon([to_paper(p) for p in outline], 0.5)
    for letter, wall in zip("AB", (sheet.reference.wall_a, sheet.reference.wall_b), strict=True):
        _reference_wall(draft, outline[wall], outline[(wall + 1) % count], letter, to_paper)
    for opening in sheet.plan.room.openings:
        a, b = outline[opening.wall], outline[(opening.wall + 1) % count]
        length = math.dist(a, b)
        ends = [
            (a[0] + (b[0] - a[0]) * d / length, a[1] + (b[1] - a[1]) * d / length)
            for d in (opening.start, min(opening.start + opening.width, length))
        ]
        (ax, ay), (bx, by) = (to_paper(p) for p in ends)
        draft.line(ax, ay, bx, by, 1.5)
        draft.line(ax, ay, bx, by, 0.9, grey=255)
    zx, zy = to_paper(sheet.reference.corner)
    draft.circle(zx, zy, 1.6, 0.5, 255)
    draft.circle(zx, zy, 0.5, 0.3, 0)


def _corners(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    """Write each corner's number outside the room, where its two walls' outward sides meet."""
    outline = sheet.survey.outline
    count = len(outline)
    for n, (x, y) in enumerate(outline):
        out = [0.0, 0.0]
        for (ax, ay), (bx, by) in ((outline[n - 1], (x, y)), ((x, y), outline[(n + 1) % count])):
            way = math.dist((ax, ay), (bx, by))
            out[0] += (by - ay) / way
            out[1] += (ax - bx) / way
        length = math.hypot(*out)
        if length < 1e-6:
            continue
        px, py = to_paper((x, y))
        ox, oy = to_paper((x + out[0] / length, y + out[1] / length))
        reach = math.hypot(ox - px, oy - py)
        draft.label(px + (ox - px) / reach * 4.2, py + (oy - py) / reach * 4.2, str(n + 1), SMALL)


def _reference_wall(draft: Draft, a: Point, b: Point, letter: str, to_paper: Mapping) -> None:
    """Draw a reference wall heavy, with its letter outside the room."""
    (ax, ay), (bx, by) = to_paper(a), to_paper(b)
    draft.line(ax, ay, bx, by, 1.1)
    way = math.dist(a, b)
    out = ((b[1] - a[1]) / way, (a[0] - b[0]) / way)
    # At a quarter of the wall, so that doors in its middle keep free of it.
    at = (a[0] + (b[0] - a[0]) / 4, a[1] + (b[1] - a[1]) / 4)
    ox, oy = to_paper((at[0] + out[0], at[1] + out[1]))
    px, py = to_paper(at)
    reach = math.hypot(ox - px, oy - py)
    x, y = px + (ox - px) / reach * 5.5, py + (oy - py) / reach * 5.5
    draft.circle(x, y, 2.7, 0.5, 255)
    draft.label(x, y, letter, BODY, True, clear=False)


def _joists(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    for zone in sheet.plan.room.joists:
        area = shapely.Polygon(zone.outline or sheet.survey.outline)
        for (ax, ay), (bx, by) in _joist_lines(zone, area):
            start, end = to_paper((ax, ay)), to_paper((bx, by))
            draft.line(*start, *end, 0.1, "dotted")


def _joist_lines(zone: JoistZone, area: shapely.Polygon) -> list[tuple[Point, Point]]:
    nx, ny = joist_normal(zone)
    across = [x * nx + y * ny - zone.offset for x, y in area.exterior.coords]
    first, last = math.ceil(min(across) / zone.spacing), math.floor(max(across) / zone.spacing)
    far = area.length + max(abs(v) for v in area.bounds)
    found = []
    for k in range(first, last + 1):
        x, y = (zone.offset + k * zone.spacing) * nx, (zone.offset + k * zone.spacing) * ny
        whole = shapely.LineString(((x - far * ny, y + far * nx), (x + far * ny, y - far * nx)))
        inside = area.intersection(whole)
        for part in getattr(inside, "geoms", [inside]):
            if part.length > 0.0:
                found.append((part.coords[0], part.coords[-1]))
    return found


def _keep_outs(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    for item in sheet.plan.room.keep_outs:
        corners = [to_paper(p) for p in box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)]
        draft.polygon(corners, 0.2, 215)


def _bodies(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    for row in sheet.rows:
        draft.polygon([to_paper(p) for p in fixture_body(sheet.plan, row.point.fixture).outline], 0.25)


def _marks(draft: Draft, sheet: CeilingSheet, to_paper: Mapping) -> None:
    for row in sheet.rows:
        x, y = to_paper(row.place)
        draft.circle(x, y, 1.0, 0.25, 255)
        draft.cross(x, y, 1.8, 0.25)
        draft.label(x + 2.2, y - 2.4, row.mark, BODY, True, align="left")
        for screw in row.point.screws:
            draft.circle(*to_paper(screw), 0.35, 0.15, 0)
    for cut in deviations(sheet):
        x, y = to_paper(cut.place)
        draft.line(x - 1.5, y - 1.5, x + 1.5, y + 1.5, 0.3)
        draft.line(x - 1.5, y + 1.5, x + 1.5, y - 1.5, 0.3)


def _figures(draft: Draft, sheet: CeilingSheet, lines: tuple[ChalkLine, ...], to_paper: Mapping) -> None:
    """Write each chalk line's distance at its two ends, outside the room."""
    for line in lines:
        ends = [to_paper(end) for end in line.ends]
        text = f"{line.name}: {sheet.tape(line.distance)}" if len(line.along) == 1 else line.name
        (ax, ay), (bx, by) = ends
        way = math.hypot(bx - ax, by - ay)
        if way < 1e-6:
            continue
        ux, uy = (bx - ax) / way, (by - ay) / way
        turn = math.degrees(math.atan2(uy, ux))
        turn = turn - 180.0 if turn > 90.0 else turn + 180.0 if turn <= -90.0 else turn
        reach = 1.5 + text_width(text, SMALL) / 2
        # At the end that is farther from the letters of the reference walls.
        ex, ey, sx, sy = _far_end(sheet, line, to_paper, (ax, ay, -ux, -uy), (bx, by, ux, uy))
        draft.label(ex + sx * reach, ey + sy * reach, text, SMALL, turn=turn)


_End = tuple[float, float, float, float]


def _far_end(sheet: CeilingSheet, line: ChalkLine, to_paper: Mapping, one: _End, other: _End) -> _End:
    zero = to_paper(sheet.reference.corner)
    return one if math.dist(zero, one[:2]) > math.dist(zero, other[:2]) else other


def _key(draft: Draft, frame: Frame, sheet: CeilingSheet, to_paper: Mapping) -> None:
    y = frame.y + frame.height - _KEY + 2.0
    names = [wall_name(sheet.survey.outline, w) for w in (sheet.reference.wall_a, sheet.reference.wall_b)]
    known = "room as measured" if sheet.survey.is_certain else "room as drawn, not measured yet"
    if sheet.survey.measured and not sheet.survey.is_certain:
        known = "room measured in part"
    cut = " Slanting cross = cut here." if deviations(sheet) else ""
    draft.text(
        frame.x,
        y,
        frame.width - 74,
        f"A = {names[0]}, B = {names[1]}; ring with dot = zero, where their faces meet. {known.capitalize()}."
        f" Cross in ring = box, dots = screws, dash-dot = chalk line with its distance off A or B, dotted = joists,"
        f" grey = keep free, figures = corners.{cut}",
        SMALL,
    )
    _scale_bar(draft, frame.x + frame.width - 70, y + 6.0, sheet.system, to_paper)


def _scale_bar(draft: Draft, x: float, y: float, system: UnitSystem, to_paper: Mapping) -> None:
    unit, name = (FOOT, "ft") if system is UnitSystem.US else (1.0, "m")
    steps = next(n for n in (50, 20, 10, 8, 5, 4, 2, 1) if to_paper.length(n * unit) <= 50 or n == 1)
    parts = next(n for n in (5, 4, 2, 1) if steps % n == 0)
    step = to_paper.length(steps * unit) / parts
    for part in range(parts):
        draft.rect(x + part * step, y, step, 1.5, 0.2, 0 if part % 2 == 0 else 255)
    for part in range(parts + 1):
        draft.label(x + part * step, y + 3.2, f"{steps * part / parts:g}", SMALL)
    draft.label(x + parts * step + 2.5, y + 3.2, name, SMALL, align="left")
    draft.text(x, y - 5.0, 70, f"Scale {to_paper.name}", SMALL, True)
