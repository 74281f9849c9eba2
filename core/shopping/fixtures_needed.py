"""Fixtures by model and setting, spare ones, and what holds them up: screws, toggles, hanging kits, the patch kit.

Screws that meet a joist are wood screws; elsewhere wallboard takes toggles, and open framing a block of wood between
the joists (common practice, no source). How many screws a body has, the ceiling sheet knows.
"""

from __future__ import annotations

from collections.abc import Iterator

from core.ceiling.feeding import CeilingPoint, ceiling_points
from core.ceiling.joists import hits_joist
from core.plan import Fixture, Plan
from core.shopping.needs import Need, group_names, is_to_do, to_hang

__all__ = ["fixture_needs"]


def fixture_needs(plan: Plan) -> Iterator[Need]:
    """Yield fixtures, spares and what holds them."""
    yield from _fixtures(plan)
    yield from _spares(plan)
    points = [point for point in ceiling_points(plan) if is_to_do(plan, point.fixture)]
    yield from _hung(points)
    yield from _screws(plan, points)
    cut = [point for point in points if point.fed_from is None]
    if cut and plan.ceiling.access != "open framing":
        yield Need(
            "patch kit",
            "Wallboard patch kit",
            "fixings",
            "ceiling",
            1,
            why="A hole in the wrong place happens; with the kit in the house it is closed the same day.",
            how="one for the whole job",
            drop_rank=2,
        )


def _fixtures(plan: Plan) -> Iterator[Need]:
    kinds: dict[tuple[str, int, int], list[Fixture]] = {}
    for fixture in to_hang(plan):
        kinds.setdefault((fixture.model, fixture.setting, fixture.colour), []).append(fixture)
    order = {model.id: number for number, model in enumerate(plan.models)}
    for (identity, _, colour), alike in sorted(kinds.items(), key=lambda kind: (order[kind[0][0]], *kind[0][1:])):
        model, setting = plan.model(identity), plan.setting(alike[0])
        settable = len(model.settings) > 1 or len(model.colours) > 1
        sheet = f"{setting.watts:g} W, {setting.lumens:,.0f} lm, {colour} K"
        yield Need(
            identity,
            model.name,
            "fixtures",
            group_names(plan, [fixture.group for fixture in alike]),
            len(alike),
            why="On the plan.",
            how=f"{len(alike)} on the plan with this setting",
            note=(f"set to {sheet}" if settable else sheet) + ("; example" if model.is_example else ""),
            places=tuple(fixture.id for fixture in alike),
        )


def _spares(plan: Plan) -> Iterator[Need]:
    per = plan.buying.fixtures_per_spare
    counts: dict[str, int] = {}
    for fixture in to_hang(plan):
        counts[fixture.model] = counts.get(fixture.model, 0) + 1
    for identity, count in counts.items() if per else ():
        yield Need(
            identity,
            plan.model(identity).name,
            "fixtures",
            "spare",
            -(-count // per),
            why="A spare of the same make looks the same when one fails years later.",
            how=f"one for each {per} or fewer of {count}",
            note="spare",
            drop_rank=1,
        )


def _hung(points: list[CeilingPoint]) -> Iterator[Need]:
    hung = [point for point in points if point.feeding.kind == "hook and box"]
    if not hung:
        return
    ids = tuple(point.fixture.id for point in hung)
    how = f"one for each of {len(hung)} hung fixtures"
    why = "Hung fixtures need hooks that reach the framing."
    yield Need("hanging kit", "Hanging kit", "fixings", "hung fixtures", len(hung), why=why, how=how, places=ids)
    why = "The box above a hung fixture is closed by a cover that lets the cord out."
    yield Need(
        "cover cord", "Box cover with cord hole", "boxes", "hung fixtures", len(hung), why=why, how=how, places=ids
    )


def _screws(plan: Plan, points: list[CeilingPoint]) -> Iterator[Need]:
    screwed = [point for point in points if point.feeding.kind in ("ceiling box", "cable through knock-out")]
    total = sum(len(point.screws) for point in screwed)
    in_wood = sum(hits_joist(plan, screw) for point in screwed for screw in point.screws)
    ids = tuple(point.fixture.id for point in screwed)
    boarded = plan.ceiling.access != "open framing"
    wood, board = (in_wood, total - in_wood) if boarded else (total, 0)
    how = f"{total} mounting screws on the ceiling sheet, {in_wood} of them meet a joist"
    if wood:
        note = "" if boarded or in_wood == total else "where no joist is, a block of wood between two"
        yield Need(
            "wood screw",
            "Wood screw",
            "fixings",
            "fixtures",
            wood,
            why="They hold the bodies.",
            how=how,
            note=note,
            places=ids,
        )
    if board:
        why = "They hold the bodies where no joist is behind the board."
        yield Need("toggle", "Toggle bolt", "fixings", "fixtures", board, why=why, how=how, places=ids)
