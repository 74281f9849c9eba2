"""What a search hands back: layouts with their promised and recomputed figures, a bound, and what is in the way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from core.light.field import Lighting
from core.plan import Fixture, Model, Plan
from core.plan.edits import added, removed
from core.plan.hanging import with_model
from core.plan.things import all_ids, fresh
from core.suggest.comfort import CircuitNeed, Comfort
from core.suggest.request import Request, replaced_ids
from core.units import LUX_PER_FC, UnitSystem, show_length

__all__ = ["Answer", "HiddenPrice", "Hindrance", "LightFigures", "Points", "Result", "figures_of", "with_answer"]


@dataclass(frozen=True, slots=True)
class LightFigures:
    """Light of a layout with everything on [lx]; benches as (id, average, minimum).

    ``reduced`` is the average with only the switches of the reduced combination on, None where none was asked for.
    """

    average: float
    minimum: float
    evenness: float
    benches: tuple[tuple[str, float, float], ...] = ()
    reduced: float | None = None

    def as_data(self, plan: Plan) -> dict[str, Any]:
        """Return the figures as plain data, light in foot-candles."""
        names = {bench.id: bench.name for bench in plan.benches()}
        reduced = {} if self.reduced is None else {"reduced_average_fc": round(self.reduced / LUX_PER_FC, 4)}
        return {
            **reduced,
            "average_fc": round(self.average / LUX_PER_FC, 4),
            "minimum_fc": round(self.minimum / LUX_PER_FC, 4),
            "evenness": round(self.evenness, 4),
            "benches": [
                {
                    "name": names.get(bench, bench),
                    "average_fc": round(average / LUX_PER_FC, 4),
                    "minimum_fc": round(minimum / LUX_PER_FC, 4),
                }
                for bench, average, minimum in self.benches
            ],
        }


@dataclass(frozen=True, slots=True)
class Points:
    """Points of the work plane that count, how many of them were left out of the minimum, and the least light [lx] of
    the others."""

    counted: int
    left_out: int
    least_elsewhere: float

    def as_data(self) -> dict[str, Any]:
        """Return it as plain data, light in foot-candles."""
        return {
            "counted": self.counted,
            "left_out": self.left_out,
            "minimum_elsewhere_fc": round(self.least_elsewhere / LUX_PER_FC, 4),
        }


_NOT_LIGHT = ("evenness", "body shadow", "glare", "circuits", "place")


@dataclass(frozen=True, slots=True)
class Hindrance:
    """A demand that is not met: what was asked, where, and the most that can be had (lux, or a share).

    Where it is not proven that no layout on the grid does better, ``reached`` is only what was found. A spot of the
    work plane has its ``place`` [m] and the ``cell`` among the full grid's inside cells.
    """

    what: str
    where: str
    wanted: float
    reached: float
    is_proven: bool = True
    place: tuple[float, float] | None = None
    cell: int = -1

    def where_in_words(self, units: UnitSystem) -> str:
        """Return where it is, with the place in the user's units."""
        if self.place is None:
            return self.where
        x, y = (show_length(value, units) for value in self.place)
        return f"x {x}, y {y}{self.where}"

    def as_data(self) -> dict[str, Any]:
        """Return it as plain data, light in foot-candles."""
        is_light = self.what not in _NOT_LIGHT
        unit, name = (LUX_PER_FC, "_fc") if is_light else (1.0, "")
        return {
            "requirement": self.what,
            "where": self.where_in_words(UnitSystem.METRIC),
            f"wanted{name}": round(self.wanted / unit, 3),
            f"reached{name}": round(self.reached / unit, 3),
            f"missing{name}": round(abs(self.wanted - self.reached) / unit, 3),
            "proven": self.is_proven,
        }


@dataclass(frozen=True)
class Answer:
    """One layout.

    ``kind`` says in words what sort it is; ``fixtures`` have ids of their own and their switch. ``promised`` are
    figures that the layout will not fall short of; ``recomputed`` those of a full solution, None until that is made.
    ``is_met`` tells whether all that was asked holds; ``reduced`` are the switches of the reduced combination.
    ``points`` tells for how many points a minimum was asked; ``on_joists`` how many fixtures are screwed to joists.
    ``comfort`` and ``circuits`` are examined with the full solution; ``short`` is what this layout misses of them.
    """

    kind: str
    model: Model
    fixtures: tuple[Fixture, ...]
    cost: float
    watts: float
    promised: LightFigures
    recomputed: LightFigures | None = None
    is_met: bool = False
    lighting: Lighting | None = None
    reduced: tuple[str, ...] = ()
    comfort: Comfort = field(default_factory=Comfort)
    circuits: CircuitNeed | None = None
    short: tuple[Hindrance, ...] = ()
    points: Points | None = None
    on_joists: int | None = None

    @property
    def count(self) -> int:
        """How many fixtures there are."""
        return len(self.fixtures)

    @property
    def holds(self) -> bool:
        """Whether the full solution gives at least what was promised."""
        found, said = self.recomputed, self.promised
        if found is None:
            return False
        pairs = [(found.average, said.average), (found.minimum, said.minimum), (found.evenness, said.evenness)]
        if said.reduced is not None:
            pairs.append((found.reduced or 0.0, said.reduced))
        known = {bench: (average, minimum) for bench, average, minimum in found.benches}
        for bench, average, minimum in said.benches:
            pairs += [(known[bench][0], average), (known[bench][1], minimum)]
        return all(got >= promised * (1.0 - 1e-6) for got, promised in pairs)

    def as_data(self, plan: Plan) -> dict[str, Any]:
        """Return the answer as plain data."""
        return {
            "model": self.model.id,
            "count": self.count,
            "fixtures": [
                {
                    "x_m": fixture.x,
                    "y_m": fixture.y,
                    "rotation_deg": fixture.rotation_deg,
                    "group": fixture.group,
                    "setting": fixture.setting,
                    "drop_m": fixture.drop,
                    "colour_k": fixture.colour,
                }
                for fixture in self.fixtures
            ],
            "promised": self.promised.as_data(plan),
            "recomputed": self.recomputed.as_data(plan) if self.recomputed is not None else None,
            "cost": round(self.cost, 2),
            "watts": round(self.watts, 2),
            "kind": self.kind,
            "met": self.is_met,
            **({"reduced": list(self.reduced)} if self.reduced else {}),
            **({"points": self.points.as_data()} if self.points is not None else {}),
            **({"on_joists": self.on_joists} if self.on_joists is not None else {}),
            **self.comfort.as_data(plan),
            **self._circuits_as_data(),
            **({"short": [part.as_data() for part in self.short]} if self.short else {}),
        }

    def _circuits_as_data(self) -> dict[str, Any]:
        need = self.circuits
        if need is None:
            return {}
        return {"load_a": round(need.amperes, 3), "circuit_limit_a": round(need.limit, 3), "circuits": need.circuits}


@dataclass(frozen=True, slots=True)
class HiddenPrice:
    """What it costs to insist on hidden spots: ``points`` of ``counted``, and the bounds with and without them."""

    points: int
    counted: int
    bound: int
    bound_without: int

    def as_data(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "points": self.points,
            "share_of_points": round(self.points / max(1, self.counted), 4),
            "bound": self.bound,
            "bound_without": self.bound_without,
        }


@dataclass(frozen=True)
class Result:
    """All that a search found; ``bound`` is the least number of fixtures for the first answer's model on the grid.

    ``is_finer`` tells that places between those of the grid were looked at beside narrow gaps.
    ``first_answer`` is the time [s] after which the first answer was solved in full.
    """

    request: Request
    answers: tuple[Answer, ...]
    bound: int | None = None
    gap: float | None = None
    in_the_way: tuple[Hindrance, ...] = ()
    limit_hit: bool = False
    is_stopped: bool = False
    seconds: float = 0.0
    grid_step: float = 0.0
    first_answer: float | None = None
    hidden: HiddenPrice | None = None
    is_finer: bool = False

    def grid_in_words(self, units: UnitSystem) -> str:
        """Return the spacing of the candidate places."""
        step = show_length(self.grid_step, units)
        return f"{step} ({show_length(self.grid_step / 2, units)} beside narrow gaps)" if self.is_finer else step

    def as_data(self, plan: Plan) -> dict[str, Any]:
        """Return the result as it is printed."""
        return {
            "answers": [answer.as_data(plan) for answer in self.answers],
            "bound": self.bound,
            "bound_model": self.answers[0].model.id if self.answers else None,
            "gap": None if self.gap is None else round(self.gap, 6),
            "asked": self.request.asked(),
            "limit_hit": self.limit_hit,
            "seconds": round(self.seconds, 3),
            "in_the_way": [part.as_data() for part in self.in_the_way],
            "stopped": self.is_stopped,
            "grid_m": self.grid_step,
            "grid_is_finer_beside_gaps": self.is_finer,
            "first_answer_seconds": None if self.first_answer is None else round(self.first_answer, 3),
            **({"hidden_spots": self.hidden.as_data()} if self.hidden is not None else {}),
        }


def figures_of(lighting: Lighting, reduced: Sequence[str] = ()) -> LightFigures:
    """Return the figures of a layout with everything on, and its average with only the switches ``reduced`` on."""
    levels = dict.fromkeys(lighting.groups, 1.0)
    lit = lighting.field(levels)
    benches = tuple((bench, found.average, found.minimum) for bench, found in lit.benches.items())
    left = lighting.field({letter: float(letter in reduced) for letter in levels}).room.average if reduced else None
    return LightFigures(lit.room.average, lit.room.minimum, lit.room.evenness, benches, left)


def with_answer(plan: Plan, answer: Answer) -> Plan:
    """Return the plan with an answer in place of what hangs on its ceiling; lamps on benches stay."""
    plan = removed(plan, replaced_ids(plan))
    if all(model.id != answer.model.id for model in plan.models):
        plan = with_model(plan, answer.model)
    taken = all_ids(plan)
    for fixture in answer.fixtures:
        identity = fresh(taken, "fixture")
        taken.add(identity)
        plan = added(plan, replace(fixture, id=identity))
    return plan


def sorted_answers(answers: Sequence[Answer], request: Request) -> tuple[Answer, ...]:
    """Return answers best first: those that meet all, what is to be small, rows before free places, then evenness."""

    def key(answer: Answer) -> tuple[bool, float, int, bool, float]:
        size = {
            "fixtures": float(answer.count),
            "cost": answer.cost,
            "watts": answer.watts,
            # Hundredths: what is less cannot be told apart.
            "shadow": round(answer.comfort.worst_shadow or 0.0, 2),
        }[request.minimise]
        figures = answer.recomputed or answer.promised
        return not answer.is_met, size, answer.count, answer.kind.startswith("free"), -figures.evenness

    return tuple(sorted(answers, key=key))
