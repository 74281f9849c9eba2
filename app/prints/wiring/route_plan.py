"""The room with its cable: panel, switch boxes, fixtures and every run, one dash a circuit, readable in black."""

from __future__ import annotations

from itertools import pairwise

from app.prints.paper.draft import Dash, Draft
from app.prints.paper.page import Frame
from core.ceiling import WallPairError, sheet_as_far_as_known
from core.ceiling.bodies import fixture_body
from core.plan import Plan, Point
from core.wiring import Wired
from core.wiring.places import Place, panel_place, switch_place
from core.wiring.routes import Run

__all__ = ["DASHES", "fixture_marks", "paint_route_plan", "short_names"]

DASHES: tuple[Dash, ...] = ("solid", "dashed", "dash-dot", "dotted")
_BORDER = 7.0
_APART = 0.55
_LANES = 5


def short_names(done: Wired) -> dict[str, str]:
    """Return the short name of each switch box: S1, S2 ..."""
    return {box.id: f"S{number}" for number, box in enumerate(done.wiring.switch_boxes, 1)}


def fixture_marks(plan: Plan) -> dict[str, str]:
    """Return the mark of each fixture: that of the ceiling sheet, else the letter of its group."""
    marks = {fixture.id: fixture.group for fixture in plan.fixtures}
    try:
        sheet = sheet_as_far_as_known(plan)
    except WallPairError:
        return marks
    return marks | {row.point.fixture.id: row.mark for row in sheet.rows}


class _Scale:
    """From the plan [m] to the paper [mm]."""

    def __init__(self, plan: Plan, frame: Frame) -> None:
        xs, ys = zip(*plan.room.outline, strict=True)
        wide, high = max(xs) - min(xs), max(ys) - min(ys)
        self.factor = min((frame.width - 2 * _BORDER) / wide, (frame.height - 2 * _BORDER) / high)
        self._left = frame.x + (frame.width - wide * self.factor) / 2 - min(xs) * self.factor
        self._bottom = frame.y + (frame.height + high * self.factor) / 2 + min(ys) * self.factor

    def __call__(self, point: Point) -> Point:
        return self._left + point[0] * self.factor, self._bottom - point[1] * self.factor


def paint_route_plan(draft: Draft, frame: Frame, plan: Plan, done: Wired) -> None:
    """Draw the plan into a frame."""
    scale = _Scale(plan, frame)
    draft.polygon([scale(corner) for corner in plan.room.outline], 0.6)
    for opening in plan.room.openings:
        _opening(draft, scale, plan, opening.wall, opening.start, opening.width)
    for fixture in plan.fixtures:
        body = [scale(corner) for corner in fixture_body(plan, fixture).outline]
        draft.polygon(body, 0.2, 235)
    dashes = {circuit.id: DASHES[number % len(DASHES)] for number, circuit in enumerate(done.circuits)}
    for lane, run in enumerate(done.routing.runs):
        _run(draft, scale, run, dashes[run.circuit], lane)
    marks = fixture_marks(plan)
    for fixture in plan.fixtures:
        draft.label(*scale((fixture.x, fixture.y)), marks[fixture.id], 2.2, strong=True)
    _symbols(draft, scale, plan, done)


def _opening(draft: Draft, scale: _Scale, plan: Plan, wall: int, start: float, width: float) -> None:
    if wall >= len(plan.room.outline):
        return
    (ax, ay), (bx, by) = plan.room.wall(wall)
    long = max(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5, 1e-9)
    ends = [scale((ax + (bx - ax) * at / long, ay + (by - ay) * at / long)) for at in (start, min(start + width, long))]
    draft.line(*ends[0], *ends[1], 1.4, grey=255)
    draft.line(*ends[0], *ends[1], 0.15)


def _run(draft: Draft, scale: _Scale, run: Run, dash: Dash, lane: int) -> None:
    path = [scale(point) for point in run.path]
    shift = 0.0 if run.role == "fixture to fixture" else (lane % _LANES - _LANES // 2) * _APART
    drawn = _set_apart(path, shift)
    width = 0.45 if run.wires > 2 else 0.35 if not run.group else 0.22
    grey = 130 if run.to_buy <= 0.0 else 0
    for (ax, ay), (bx, by) in pairwise(drawn):
        draft.line(ax, ay, bx, by, width, dash, grey)


def _set_apart(path: list[Point], shift: float) -> list[Point]:
    """Return a path that keeps its ends and lies a little aside between them: cables side by side can be told."""
    if (
        shift == 0.0
        or len(path) < 2
        or not all(_is_level(a, b) or _is_level(a[::-1], b[::-1]) for a, b in pairwise(path))
    ):
        return path
    moved = [(x + shift, y + shift) for x, y in path]

    def beside(end: Point, other: Point, moved_end: Point) -> Point:
        return (end[0], moved_end[1]) if _is_level(end, other) else (moved_end[0], end[1])

    first, last = beside(path[0], path[1], moved[0]), beside(path[-1], path[-2], moved[-1])
    return [path[0], first, *moved[1:-1], last, path[-1]]


def _is_level(a: Point, b: Point) -> bool:
    return abs(a[1] - b[1]) < 0.01


def _symbols(draft: Draft, scale: _Scale, plan: Plan, done: Wired) -> None:
    panel = done.wiring.panel
    if panel is not None:
        x, y = scale(panel_place(plan, panel).point)
        draft.rect(x - 1.6, y - 1.6, 3.2, 3.2, 0.3, 0)
        draft.label(x, y - 3.4, "Panel", 2.2, strong=True)
    names = short_names(done)
    taken: list[Place] = []
    for box in done.wiring.switch_boxes:
        place = switch_place(plan, box)
        x, y = scale(place.point)
        draft.circle(x, y, 1.3, 0.3, 255)
        above = sum(abs(other.x - place.x) + abs(other.y - place.y) < 0.5 for other in taken)
        draft.label(x, y + 3.2 + 2.8 * above, f"{names[box.id]} {' '.join(box.groups)}", 2.2, strong=True)
        taken.append(place)
    for lead in done.wiring.leads:
        x, y = scale((lead.x, lead.y))
        draft.cross(x, y, 1.5, 0.4)
        draft.label(x, y - 3.0, f"lead {lead.group}", 2.2)
