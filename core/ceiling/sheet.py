"""The ceiling sheet: every box centre from two walls, in the order of marking, with what finds a mistake.

Each place is given by its distances square off the two reference walls, rounded to what a tape or a rule shows (1/16 in
or 1 mm). Both run from the walls' faces, the sheet's one zero. Everything that is checked afterwards (distances between
boxes, chalk lines) is worked out from the rounded places, so that it agrees with what is then on the ceiling.

A distance between two places that are each rounded may differ from that of the exact ones; the sheet's distances are
those of the rounded places, themselves rounded.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from core.ceiling.feeding import CeilingPoint, ceiling_points
from core.ceiling.joists import JoistNote, joist_note
from core.ceiling.reference import Reference, chosen_reference
from core.ceiling.survey import Survey, SurveyError, survey
from core.plan import Plan, Point
from core.units import INCH, UnitSystem, show_length

__all__ = [
    "STEP_METRIC",
    "STEP_US",
    "BoxRow",
    "CeilingSheet",
    "ceiling_sheet",
    "sheet_as_far_as_known",
    "system_of",
    "tape",
]

STEP_US = INCH / 16
STEP_METRIC = 0.001
_TURN_FREE = 1e-9


@dataclass(frozen=True, slots=True)
class BoxRow:
    """One line of the box table.

    Attributes
    ----------
    mark : str
        What is written on the ceiling: switch letter and number, in the order of marking.
    point : CeilingPoint
        The fixture, what is cut for it, its place as planned.
    from_a, from_b : float
        Rounded distances square off the two walls [m], negative behind a wall's line.
    place : (x, y)
        The rounded place on the plan [m].
    next_mark, to_next : str or None, float
        The next row and the distance to it [m]; None in the last row.
    partner, to_partner : str or None, float
        A row on neither of this one's lines, and the distance to it [m]; None where there is none.
    joist : JoistNote
        Where the box lies to the joists, and what box that wants.
    axis : str
        How the body lies.
    """

    mark: str
    point: CeilingPoint
    from_a: float
    from_b: float
    place: Point
    next_mark: str | None
    to_next: float
    partner: str | None
    to_partner: float
    joist: JoistNote
    axis: str


@dataclass(frozen=True, slots=True)
class CeilingSheet:
    """The whole sheet. ``remark`` tells where the plan's own choice of walls could not be used."""

    plan: Plan
    system: UnitSystem
    survey: Survey
    reference: Reference
    rows: tuple[BoxRow, ...]
    remark: str = ""

    @property
    def step(self) -> float:
        """What distances are rounded to [m]."""
        return STEP_US if self.system is UnitSystem.US else STEP_METRIC

    def row(self, mark: str) -> BoxRow:
        """Return the row with this mark; KeyError if there is none."""
        for row in self.rows:
            if row.mark == mark:
                return row
        raise KeyError(mark)

    def tape(self, length: float) -> str:
        """Return a length as the tape reads it."""
        return tape(length, self.system)


def system_of(plan: Plan) -> UnitSystem:
    """Return the units that a plan is shown in."""
    return UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US


def tape(length: float, system: UnitSystem) -> str:
    """Return a distance from a wall as the tape reads it; one behind the wall's line says so in words."""
    words = show_length(abs(length), system)
    return words if length >= -STEP_METRIC / 2 else f"{words} behind the wall"


def sheet_as_far_as_known(plan: Plan) -> CeilingSheet:
    """Work out the sheet of a plan; measured lengths that no room can have are passed over, and the remark says so.

    Raises
    ------
    WallPairError
        If no two walls can be measured from.
    """
    try:
        return ceiling_sheet(plan)
    except SurveyError as error:
        bare = replace(plan, ceiling=replace(plan.ceiling, wall_lengths=(), diagonals=()))
        return replace(ceiling_sheet(bare), plan=plan, remark=f"{error} Until then this sheet uses the room as drawn.")


def ceiling_sheet(plan: Plan, walls: tuple[int, int] | None = None) -> CeilingSheet:
    """Work out the sheet of a plan.

    Parameters
    ----------
    walls : (wall A, wall B), optional
        Reference walls in place of the plan's choice.

    Raises
    ------
    WallPairError
        If no two walls can be measured from.
    SurveyError
        If the measured lengths make no room.
    """
    points = ceiling_points(plan)
    places = [(p.x, p.y) for p in points]
    drawn, _ = chosen_reference(plan, plan.room.outline, places, walls)
    found = survey(plan, _held(plan, drawn))
    reference, remark = chosen_reference(plan, found.outline, places, walls)
    system = system_of(plan)
    step = STEP_US if system is UnitSystem.US else STEP_METRIC
    rounded = [_rounded(reference.distances(place), step) for place in places]
    order = sorted(range(len(points)), key=lambda i: (rounded[i][0], rounded[i][1], points[i].fixture.id))
    marks = _marks([points[i] for i in order])
    placed = [reference.point(*rounded[i]) for i in order]
    laid = _Laid(
        marks, [points[i] for i in order], [rounded[i] for i in order], placed, shapely.Polygon(found.outline), step
    )
    rows = tuple(_row(plan, reference, laid, n) for n in range(len(order)))
    return CeilingSheet(plan, system, found, reference, rows, remark)


@dataclass(frozen=True, slots=True)
class _Laid:
    """All rounded places in the order of marking."""

    marks: Sequence[str]
    points: Sequence[CeilingPoint]
    rounded: Sequence[tuple[float, float]]
    placed: Sequence[Point]
    room: shapely.Polygon
    step: float

    def spans(self, one: int, other: int) -> bool:
        """Whether a tape can be held straight from one place to the other."""
        return bool(self.room.covers(shapely.LineString((self.placed[one], self.placed[other]))))


def _held(plan: Plan, drawn: Reference) -> tuple[int, int]:
    """Return the corner of wall A nearest to the zero, and wall A's other one: those keep place and direction."""
    count = len(plan.room.outline)
    ends = (drawn.wall_a, (drawn.wall_a + 1) % count)
    near = min(ends, key=lambda corner: math.dist(plan.room.outline[corner], drawn.corner))
    return near, ends[0] if near == ends[1] else ends[1]


def _rounded(distances: tuple[float, float], step: float) -> tuple[float, float]:
    first, second = (math.floor(d / step + 0.5) * step for d in distances)
    return first, second


def _marks(points: Sequence[CeilingPoint]) -> list[str]:
    counts: dict[str, int] = {}
    marks = []
    for point in points:
        letter = point.fixture.group
        counts[letter] = counts.get(letter, 0) + 1
        marks.append(f"{letter}{counts[letter]}")
    return marks


def _row(plan: Plan, reference: Reference, laid: _Laid, n: int) -> BoxRow:
    place = laid.placed[n]
    has_next = n + 1 < len(laid.placed) and laid.spans(n, n + 1)
    partner = _partner(laid, n, n + 1 if has_next else None)
    return BoxRow(
        mark=laid.marks[n],
        point=laid.points[n],
        from_a=laid.rounded[n][0],
        from_b=laid.rounded[n][1],
        place=place,
        next_mark=laid.marks[n + 1] if has_next else None,
        to_next=math.dist(place, laid.placed[n + 1]) if has_next else 0.0,
        partner=None if partner is None else laid.marks[partner],
        to_partner=0.0 if partner is None else math.dist(place, laid.placed[partner]),
        joist=joist_note(plan, laid.points[n]),
        axis=_axis(laid.points[n], reference),
    )


def _partner(laid: _Laid, n: int, following: int | None) -> int | None:
    """Return the row that shows a slip in either distance best; that of the other check only where there is no other.

    The change of the distance between two places with either of their coordinates is the cosine towards it, so the
    smaller of the two cosines is what the check is worth.
    """
    best, worth = None, (False, 0.0)
    mine = laid.rounded[n]
    for other, theirs in enumerate(laid.rounded):
        away = math.dist(laid.placed[n], laid.placed[other])
        off = min(abs(mine[0] - theirs[0]), abs(mine[1] - theirs[1]))
        if other == n or off < laid.step:
            continue
        rated = (other != following, off / away - _TURN_FREE)
        if rated > worth and laid.spans(n, other):
            best, worth = other, (rated[0], off / away)
    return best


def _axis(point: CeilingPoint, reference: Reference) -> str:
    if math.isclose(point.model.length, point.model.width, rel_tol=0.02) and point.model.opening != "rectangle":
        return "round"
    turn = math.radians(point.fixture.rotation_deg)
    along = (math.cos(turn), math.sin(turn))
    for letter, normal in zip("AB", reference.normals, strict=True):
        if _slope_to(normal, along) < 0.05:
            return f"along {letter}"
    if abs(_slope_to(reference.normals[0], along) - 90.0) < 0.05:
        return "square to A"
    nx, ny = reference.normals[0]
    wall_way = math.atan2(-nx, ny)
    angle = (math.degrees(turn - wall_way) + 90.0) % 180.0 - 90.0
    return f"{abs(angle):.1f}° {'left' if angle > 0 else 'right'} of A"


def _slope_to(normal: Point, along: Point) -> float:
    """Return the angle between a direction and the wall with this normal, 0 to 90 [degree]."""
    return math.degrees(math.asin(min(1.0, abs(along[0] * normal[0] + along[1] * normal[1]))))
