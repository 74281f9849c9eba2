"""What a plan is checked against and where: places to look from, cameras, meter readings, colour and glare targets.

Places are metres on the plan, heights metres above the floor, directions degrees counter-clockwise from +x.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated, Literal, TypeVar

from annotated_types import Ge, Gt, Le

from core.plan.room import STRICT, Height

__all__ = ["Camera", "Checking", "MeterReading", "ViewPlace", "fresh_number", "with_entry", "without_entry"]

Share = Annotated[float, Ge(0.0), Le(1.0)]


@dataclass(frozen=True, slots=True)
class ViewPlace:
    """An eye: where it is and which way it looks, level."""

    id: str
    x: float
    y: float
    height: Height = 1.63
    direction_deg: float = 0.0
    name: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera and the person that it looks at.

    ``angle_deg`` is the horizontal field of view; 65 degrees is a wide-angle lens (common practice, no source).
    """

    id: str
    x: float
    y: float
    subject_x: float
    subject_y: float
    height: Height = 1.4
    face_height: Height = 1.6
    hands_height: Height = 1.0
    angle_deg: Annotated[float, Gt(1.0), Le(170.0)] = 65.0
    name: str = ""

    __pydantic_config__ = STRICT


@dataclass(frozen=True, slots=True)
class MeterReading:
    """One reading of a light meter.

    ``tilt_deg`` is the angle of the sensor from looking straight up (90: sideways, towards ``azimuth_deg``; 180: down).
    ``levels`` says which switches were on, and how far. ``lux`` is None on a walk sheet that is not filled in;
    ``dark_lux`` was read at the same place with the lights off and is subtracted. ``unit`` is what the meter showed.
    ``lamps`` says whose light it was: that of the planned lamps, or of the old ones before (a survey of the shop).
    """

    id: str
    x: float
    y: float
    height: Height = 0.9144
    tilt_deg: Annotated[float, Ge(0.0), Le(180.0)] = 0.0
    azimuth_deg: float = 0.0
    levels: tuple[tuple[str, Share], ...] = ()
    combination: str = ""
    lux: Annotated[float, Ge(0.0), Le(1_000_000.0)] | None = None
    dark_lux: Annotated[float, Ge(0.0), Le(1_000_000.0)] = 0.0
    unit: Literal["fc", "lx"] = "fc"
    taken: str = ""
    note: str = ""
    lamps: Literal["planned", "old"] = "planned"

    __pydantic_config__ = STRICT

    @property
    def net_lux(self) -> float | None:
        """The light of the lamps alone [lx]: the reading less that with the lights off; None where nothing was read."""
        return None if self.lux is None else self.lux - self.dark_lux


@dataclass(frozen=True, slots=True)
class Checking:
    """What the user wants to have checked, besides the plan's own targets.

    ``cri``: 80 in general, 90 for colour matching (common practice, no source). ``glare``: the UGR limit at benches;
    25 is what is recalled of EN 12464-1:2011 for a joiner's bench (from memory, not verified). ``loss``: the share of
    light that the worker's body may take from a spot of the bench (common practice, no source). ``meter_share``: the
    meter's own uncertainty as its maker states it.
    """

    cri: Annotated[int, Ge(0), Le(100)] = 80
    glare: Annotated[float, Ge(5.0), Le(40.0)] = 25.0
    loss: Share = 0.3
    meter_share: Share = 0.04
    views: tuple[ViewPlace, ...] = ()
    cameras: tuple[Camera, ...] = ()
    readings: tuple[MeterReading, ...] = ()

    __pydantic_config__ = STRICT


Entry = ViewPlace | Camera | MeterReading
_E = TypeVar("_E", ViewPlace, Camera, MeterReading)


def with_entry(checking: Checking, entry: Entry) -> Checking:
    """Add a view place, camera or reading, or put it in place of the one with its id."""
    match entry:
        case ViewPlace():
            return replace(checking, views=_put(checking.views, entry))
        case Camera():
            return replace(checking, cameras=_put(checking.cameras, entry))
        case MeterReading():
            return replace(checking, readings=_put(checking.readings, entry))


def without_entry(checking: Checking, identity: str) -> Checking:
    """Take away the view place, camera or reading with this id."""
    return replace(
        checking,
        views=tuple(entry for entry in checking.views if entry.id != identity),
        cameras=tuple(entry for entry in checking.cameras if entry.id != identity),
        readings=tuple(entry for entry in checking.readings if entry.id != identity),
    )


def fresh_number(checking: Checking, prefix: str) -> str:
    """Return ``prefix-n`` with the smallest number that no entry has."""
    entries: tuple[Entry, ...] = (*checking.views, *checking.cameras, *checking.readings)
    taken = {entry.id for entry in entries}
    number = 1
    while f"{prefix}-{number}" in taken:
        number += 1
    return f"{prefix}-{number}"


def _put(entries: tuple[_E, ...], entry: _E) -> tuple[_E, ...]:
    if all(known.id != entry.id for known in entries):
        return entries + (entry,)  # noqa: RUF005 - mypy loses the type of a starred tuple here
    return tuple(entry if known.id == entry.id else known for known in entries)
