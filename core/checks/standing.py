"""The worker at a bench or machine: the body as upright boxes, the eye, and the spot where the hands work.

An upright worker is one box (`core.light.enclosure.worker_solid`). One that leans in is two: legs up to the hips
(0.53 of the height), and trunk and head from there, pushed forward so that the head is over the bench's front part.
Proportions are those of a standing adult (D. Winter, Biomechanics of Human Movement: hip at 0.53, eye at 0.936 of the
height, from memory, not verified).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Point, Polygon

from core.light.enclosure import Solid, worker_solid
from core.light.grid import FloatArray
from core.plan import Furniture, Plan, Worker, box_corners, standing_place

__all__ = ["Stand", "at_work_height", "body_at", "can_stand", "has_top", "stand_at", "stands", "work_height"]

HIP, EYE, STOOP, KNEE = 0.53, 0.936, 0.88, 0.5
LEAN = 0.30
"""How far the trunk of a leaning worker is pushed forward [m]; 12 in (common practice, no source)."""
CLEAR = 0.03
WORK_PLANE = 0.9144
"""Height of the table of a tall machine [m], 36 in, where no plan says another (common practice, no source)."""
LOW_MACHINE = 1.3
"""A machine whose box is lower than this [m] has its work on top; on a taller one the table lies within the box."""
HANDS_IN = 0.254
"""The hands work 10 in behind the bench's edge, or in its middle if that is nearer (common practice, no source)."""


@dataclass(frozen=True)
class Stand:
    """Where somebody stands at a bench or machine: body centre, view direction [degree], eye and hands (3,) [m]."""

    item: Furniture
    x: float
    y: float
    facing_deg: float
    eye: FloatArray
    hands: FloatArray

    @property
    def ahead(self) -> FloatArray:
        """Unit vector of the view direction on the plan, (2,)."""
        angle = math.radians(self.facing_deg)
        return np.array([math.cos(angle), math.sin(angle)])

    @property
    def far_side(self) -> tuple[float, float]:
        """A place across the hands over the far quarter of the top, (x, y)."""
        deep = self.item.depth if self.item.worker_side in ("front", "back") else self.item.width
        along = 0.75 * deep - min(HANDS_IN, deep / 2)
        return float(self.hands[0] + self.ahead[0] * along), float(self.hands[1] + self.ahead[1] * along)


def has_top(item: Furniture) -> bool:
    """Whether the work at a piece is on its top: a bench, or a machine that is lower than `LOW_MACHINE`."""
    return item.kind == "bench" or (item.kind == "machine" and item.top <= LOW_MACHINE)


def work_height(item: Furniture, work_plane: float) -> float:
    """Return the height at which the hands work [m]: the top, or the work plane for the table of a tall machine."""
    return item.top if has_top(item) else min(max(work_plane, item.bottom + 0.02), item.top)


def at_work_height(plan: Plan, item: Furniture) -> Plan:
    """Return the plan with a tall machine cut off at its table: what stands above it (a band saw's column, a drill
    press's head) is narrower than its box and would hide the table in the box. Others stay as they are."""
    if has_top(item):
        return plan
    low = replace(item, top=work_height(item, plan.work_plane))
    return replace(plan, furniture=tuple(low if piece.id == item.id else piece for piece in plan.furniture))


def stand_at(item: Furniture, worker: Worker, work_plane: float = WORK_PLANE) -> Stand | None:
    """Return the stand at a bench or machine; None where nobody stands."""
    place = standing_place(item, worker)
    if place is None:
        return None
    x, y, facing = place
    angle = math.radians(facing)
    ahead = np.array([math.cos(angle), math.sin(angle)])
    deep = item.depth if item.worker_side in ("front", "back") else item.width
    to_hands = worker.depth / 2 + worker.gap + min(HANDS_IN, deep / 2)
    hands = np.array([x + ahead[0] * to_hands, y + ahead[1] * to_hands, work_height(item, work_plane)])
    forward = LEAN if worker.leaning else 0.0
    high = worker.height * (STOOP if worker.leaning else 1.0) * EYE
    eye = np.array([x + ahead[0] * (forward + worker.depth / 2), y + ahead[1] * (forward + worker.depth / 2), high])
    return Stand(item, x, y, facing, eye, hands)


def stands(plan: Plan) -> list[Stand]:
    """Return all stands of a plan, benches first, in plan order."""
    order = sorted(plan.furniture, key=lambda item: item.kind != "bench")
    found = (stand_at(item, plan.worker, plan.work_plane) for item in order if item.kind != "cabinet")
    return [stand for stand in found if stand is not None]


def can_stand(plan: Plan, stand: Stand) -> bool:
    """Whether the middle of the body is in the room and in nothing that reaches from knee height to the hips."""
    middle = Point(stand.x, stand.y)
    if not Polygon(plan.room.outline).contains(middle):
        return False
    return not any(
        item.bottom < HIP * plan.worker.height
        and item.top > KNEE
        and Polygon(box_corners(item.x, item.y, item.width, item.depth, item.rotation_deg)).contains(middle)
        for item in plan.furniture
    )


def body_at(plan: Plan, stand: Stand) -> tuple[Solid, ...]:
    """Return the boxes of the worker's body."""
    body = worker_solid(stand.x, stand.y, stand.facing_deg, plan)
    if not plan.worker.leaning:
        return (body,)
    hip = max(HIP * plan.worker.height, float(stand.hands[2]) + CLEAR)
    forward = stand.ahead * LEAN
    trunk = worker_solid(stand.x + float(forward[0]), stand.y + float(forward[1]), stand.facing_deg, plan)
    top = max(STOOP * plan.worker.height, hip + 0.1)
    return replace(body, name="worker's legs", top=hip), replace(trunk, name="worker's trunk", bottom=hip, top=top)
