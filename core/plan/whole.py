"""Whether a plan holds together: what the types of its fields cannot say.

Ids are unique; what a fixture, opening or combination refers to is there; the outline is a room; openings lie
within their walls; positions are such as can be handled.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import chain
from typing import Protocol

from core.plan.fixtures import Fixture, Model
from core.plan.furniture import Furniture
from core.plan.outline import outline_problem, signed_area
from core.plan.plan import Plan
from core.plan.room import KeepOut, Room
from core.plan.sheet import picture_problem
from core.plan.trouble import entry, shown

__all__ = ["FARTHEST", "what_is_not_whole"]

FARTHEST = 3000.0
"""Farthest a thing may lie from the plan's origin [m]."""
_SLACK = 0.001


class _Spot(Protocol):
    """Anything that has a place on the plan."""

    @property
    def x(self) -> float: ...
    @property
    def y(self) -> float: ...


def what_is_not_whole(plan: Plan) -> str | None:
    """Return the first thing that is wrong, in one line that names the field; None for a sound plan."""
    return next(
        chain(
            _room(plan.room),
            _ids(plan),
            _models(plan),
            _groups(plan),
            _fixtures(plan),
            _combinations(plan),
            _places(plan),
            _ceiling(plan),
            _sheet(plan),
        ),
        None,
    )


def _room(room: Room) -> Iterator[str]:
    problem = outline_problem(room.outline)
    if problem is not None:
        yield f"room, outline: {problem}"
        return
    if signed_area(room.outline) < 0.0:
        yield "room, outline: the corners run clockwise; list them the other way round."
    if len(room.wall_finishes) not in (0, len(room.outline)):
        yield (
            f"room, wall_finishes: there are {len(room.wall_finishes)} entries for {len(room.outline)} walls;"
            " give one for each wall, or none."
        )
    for index, opening in enumerate(room.openings):
        where = entry("room, openings", index, opening.name or opening.id)
        if opening.wall >= len(room.outline):
            yield f"{where}: wall is {opening.wall}, but the walls are numbered 0 to {len(room.outline) - 1}."
            return
        length = math.dist(*room.wall(opening.wall))
        if opening.start + opening.width > length + _SLACK:
            yield f"{where}: start and width reach beyond the end of wall {opening.wall} ({length:.3f} m)."


def _ids(plan: Plan) -> Iterator[str]:
    room, seen = plan.room, dict[str, str]()
    lists: dict[str, Sequence[Fixture | Furniture | Model | KeepOut]] = {
        "models": plan.models,
        "furniture": plan.furniture,
        "fixtures": plan.fixtures,
        "room, keep_outs": room.keep_outs,
    }
    named = [(name, index, thing.id) for name, things in lists.items() for index, thing in enumerate(things)]
    named += [("room, openings", index, opening.id) for index, opening in enumerate(room.openings)]
    named += [("room, joists", index, zone.id) for index, zone in enumerate(room.joists)]
    named += [("notes", index, note.id) for index, note in enumerate(plan.notes)]
    named += [("underlay", 0, plan.underlay.id)] if plan.underlay is not None else []
    checking = plan.checking
    named += [("checking, views", index, view.id) for index, view in enumerate(checking.views)]
    named += [("checking, cameras", index, camera.id) for index, camera in enumerate(checking.cameras)]
    named += [("checking, readings", index, reading.id) for index, reading in enumerate(checking.readings)]
    for name, index, identity in named:
        where = f"{name}, number {index + 1}"
        if not identity:
            yield f"{where}: id is empty."
        if identity in seen:
            yield f"{where}: id {shown(identity)} is taken already by {seen[identity]}."
        seen[identity] = where


def _models(plan: Plan) -> Iterator[str]:
    for index, model in enumerate(plan.models):
        where = entry("models", index, model.name or model.id)
        if model.beam == "web" and model.web is None:
            yield f"{where}: web is missing; read the fixture's LM-63 file again, or choose another beam."
        if model.opening != "point" and 0.0 in (model.opening_length, model.opening_width):
            field = "opening_length" if model.opening_length == 0.0 else "opening_width"
            yield f"{where}: {field} should be more than 0 for a {model.opening} opening."


def _groups(plan: Plan) -> Iterator[str]:
    seen: set[str] = set()
    for index, group in enumerate(plan.groups):
        where = entry("groups", index, group.label)
        if not (group.letter.isalpha() and group.letter.isupper()):
            yield f"{where}: letter should be a capital letter, but is {shown(group.letter)}."
        if group.letter in seen:
            yield f"{where}: letter {shown(group.letter)} is taken already by another group."
        seen.add(group.letter)


def _fixtures(plan: Plan) -> Iterator[str]:
    models = {model.id: model for model in plan.models}
    letters = {group.letter for group in plan.groups}
    for index, fixture in enumerate(plan.fixtures):
        model = models.get(fixture.model)
        where = entry("fixtures", index, fixture.name or (model.name if model else fixture.id))
        if model is None:
            yield f"{where}: model {shown(fixture.model)} is not among the plan's models."
        elif fixture.setting >= len(model.settings):
            last = len(model.settings) - 1
            yield f"{where}: setting is {fixture.setting}, but the model's settings are 0 to {last}."
        if fixture.group not in letters:
            yield f"{where}: group {shown(fixture.group)} is not among the plan's groups."


def _combinations(plan: Plan) -> Iterator[str]:
    letters = {group.letter for group in plan.groups}
    for index, combination in enumerate(plan.combinations):
        where = entry("combinations", index, combination.name)
        listed = [level.group for level in combination.levels]
        for letter in listed:
            if letter not in letters:
                yield f"{where}: levels: group {shown(letter)} is not among the plan's groups."
            if listed.count(letter) > 1:
                yield f"{where}: levels: group {shown(letter)} is listed twice."


def _ceiling(plan: Plan) -> Iterator[str]:
    ceiling, count = plan.ceiling, len(plan.room.outline)
    numbers = [("ceiling, reference_walls", "wall", wall) for wall in ceiling.reference_walls or ()]
    for index, known in enumerate(ceiling.wall_lengths):
        numbers.append((entry("ceiling, wall_lengths", index, ""), "wall", known.wall))
    for index, line in enumerate(ceiling.diagonals):
        numbers += [(entry("ceiling, diagonals", index, ""), "corner", c) for c in (line.corner, line.other)]
    for index, box in enumerate(ceiling.as_built):
        numbers += [(entry("ceiling, as_built", index, box.fixture), "wall", w) for w in (box.wall_a, box.wall_b)]
    for where, what, number in numbers:
        if not 0 <= number < count:
            yield f"{where}: {what} {number} is none of the room's, which are numbered 0 to {count - 1}."


def _sheet(plan: Plan) -> Iterator[str]:
    if plan.underlay is not None:
        problem = picture_problem(plan.underlay.picture)
        if problem is not None:
            yield f"underlay, picture: {problem}"


def _places(plan: Plan) -> Iterator[str]:
    wiring, checking = plan.wiring, plan.checking
    lists: dict[str, Sequence[_Spot]] = {
        "fixtures": plan.fixtures,
        "furniture": plan.furniture,
        "room, keep_outs": plan.room.keep_outs,
        "wiring, panel": (wiring.panel,) if wiring.panel else (),
        "wiring, switch_boxes": wiring.switch_boxes,
        "wiring, leads": wiring.leads,
        "notes": plan.notes,
        "underlay": (plan.underlay,) if plan.underlay else (),
        "checking, views": checking.views,
        "checking, cameras": checking.cameras,
        "checking, readings": checking.readings,
    }
    for name, things in lists.items():
        for index, thing in enumerate(things):
            for axis, value in (("x", thing.x), ("y", thing.y)):
                if abs(value) > FARTHEST:
                    where = entry(name, index, getattr(thing, "name", "") or getattr(thing, "id", ""))
                    yield f"{where}: {axis} is {value:g}; at most {FARTHEST:g} m can be handled."
    for index, zone in enumerate(plan.room.joists):
        problem = outline_problem(zone.outline) if zone.outline else None
        if problem is not None:
            yield f"{entry('room, joists', index, zone.id)}: outline: {problem}"
