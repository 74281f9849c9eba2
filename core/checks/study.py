"""Everything about a plan that the checks need and that no switch changes: worked out once, read at any setting."""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.checks.body_shadow import BodyShadow
from core.checks.camera import CameraLight
from core.checks.contrast import Faces
from core.checks.faces import FaceLight
from core.checks.glare import GlareTerms
from core.checks.standing import Stand, stand_at
from core.light.field import Lighting
from core.light.grid import FloatArray
from core.light.sources import Source
from core.plan import Furniture, Plan

__all__ = ["Rack", "Study", "View", "person_view_name"]


@dataclass(frozen=True)
class View:
    """An eye, what it is called, and its glare. ``stand`` is whose eye it is, None where the user placed it."""

    name: str
    place: FloatArray
    direction_deg: float
    glare: GlareTerms
    stand: Stand | None = None
    is_turned: bool = False

    @property
    def about(self) -> tuple[str, ...]:
        """The id of the bench or machine whose worker looks."""
        return () if self.stand is None else (self.stand.item.id,)


@dataclass(frozen=True)
class Rack:
    """The front of a tall cabinet: the light just before its middle, facing away from it."""

    item: Furniture
    place: FloatArray
    light: FaceLight


@dataclass(frozen=True)
class Study:
    """A plan's checks before any switch is turned; arrays have one column a fixture."""

    plan: Plan
    lighting: Lighting
    sources: tuple[Source, ...]
    shadows: tuple[BodyShadow, ...]
    faces: tuple[tuple[Stand, FaceLight], ...]
    racks: tuple[Rack, ...]
    views: tuple[View, ...]
    ceiling: Faces
    walls: Faces
    cameras: tuple[CameraLight, ...]

    def of(self, plan: Plan) -> Study:
        """Return this study for a plan that differs in names, targets and switches only."""
        groups = tuple(fixture.group for fixture in plan.fixtures)

        def stand(old: Stand) -> Stand:
            return stand_at(plan.piece(old.item.id), plan.worker, plan.work_plane) or old

        def view(old: View) -> View:
            if old.stand is None:
                return old
            now = stand(old.stand)
            return replace(old, stand=now, name=person_view_name(now, old.is_turned))

        return replace(
            self,
            plan=plan,
            lighting=self.lighting if self.lighting.groups == groups else replace(self.lighting, groups=groups),
            shadows=tuple(replace(shadow, stand=stand(shadow.stand)) for shadow in self.shadows),
            faces=tuple((stand(person), light) for person, light in self.faces),
            racks=tuple(replace(rack, item=plan.piece(rack.item.id)) for rack in self.racks),
            views=tuple(view(old) for old in self.views),
        )


def person_view_name(stand: Stand, is_turned: bool) -> str:
    """Return what the view of a worker is called, at the work or turned round."""
    name = stand.item.name or stand.item.id
    return f"{name}, turned round" if is_turned else name
