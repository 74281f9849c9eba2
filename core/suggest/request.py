"""What is asked of a layout: what must hold, what it may be made of, what is to be as small as possible.

Figures are those of new lamps, of the proposed fixtures alone: lamps on benches stay where they are and only add.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any, Literal

from core.plan import Model, Plan
from core.suggest.grouping import LETTERS
from core.suggest.hanging import highest_setting
from core.units import FOOT, LUX_PER_FC

__all__ = [
    "ASKED_TOO_MUCH",
    "MOST_MODELS",
    "Limits",
    "Minimise",
    "Request",
    "RequestError",
    "ceiling_models",
    "replaced_ids",
    "switch_letters",
]

Minimise = Literal["fixtures", "cost", "watts", "shadow"]
Arrangement = Literal["any", "rows", "free"]
ASKED_TOO_MUCH = 200
"""Most fixtures of one layout."""
MOST_MODELS = 3
"""Most models of one request that are looked at: the first ones."""


class RequestError(ValueError):
    """What was asked for cannot be looked for; the text is one line for the user."""


@dataclass(frozen=True, slots=True)
class Limits:
    """Where one integer program stops: nodes searched, seconds as a last stop, and a gap that is good enough."""

    nodes: int = 300
    seconds: float = 15.0
    gap: float = 1e-4


@dataclass(frozen=True, slots=True)
class Request:
    """One request; lengths in metres, light in lux, 0 where nothing is asked.

    Attributes
    ----------
    minimum : float
        At every point of the work plane that counts and that the candidate places can light so well.
    average : float
        Over the points of the work plane that count.
    benches : bool
        Whether every bench must have its own target as its average.
    bench_minimum : float
        At every point of every bench.
    evenness : float
        Least minimum / average of the work plane.
    models : tuple of str
        Ids of models to choose among; empty: all of the plan that hang on the ceiling.
    setting, drop
        Power setting and drop [m]; None: the strongest setting, and what is usual for the model.
    count : int or None
        Exactly so many fixtures ('what I have'): the light is then made as good as it can be.
    at_most : int or None
        No more than so many.
    arrangement
        'rows' for aligned ones only, 'free' for any place of the grid; 'any' looks for both.
    symmetric : bool
        Mirrored left to right about the middle of the room.
    wall_distance : float
        Least distance of a fixture's centre from the walls.
    clear_of_doors : bool
        Whether nothing may hang above an overhead door's open leaf.
    leave_hidden : bool
        Whether spots that things around them keep dark under any ceiling are left out of the minimum.
    step : float
        Spacing of the candidate places.
    groups : int
        How many switches the fixtures are shared out to; 0: as many as those that make way are on.
    reduced_average : float
        Average of the work plane that must be left with only some switches on.
    reduced_on : int
        How many switches that is; the proposal says which.
    reduced_switches : tuple of str
        Their letters, where they are to be certain ones.
    shadow_limit : float
        Largest share of the light at the hands that the worker's body may take at any bench.
    glare_limit : float
        Largest UGR at any standing place or view.
    circuits : int
        Most circuits that the lights may need.
    on_joists : bool
        Whether rows are to be shifted so that screws meet joists, where that costs no fixture.
    """

    minimum: float = 0.0
    average: float = 0.0
    benches: bool = False
    bench_minimum: float = 0.0
    evenness: float = 0.0
    models: tuple[str, ...] = ()
    setting: int | None = None
    drop: float | None = None
    count: int | None = None
    at_most: int | None = None
    arrangement: Arrangement = "any"
    symmetric: bool = False
    minimise: Minimise = "cost"
    wall_distance: float = 2 * FOOT
    clear_of_doors: bool = False
    leave_hidden: bool = False
    step: float = 2 * FOOT
    groups: int = 0
    reduced_average: float = 0.0
    reduced_on: int = 0
    reduced_switches: tuple[str, ...] = ()
    shadow_limit: float = 0.0
    glare_limit: float = 0.0
    circuits: int = 0
    on_joists: bool = False
    limits: Limits = Limits()

    def check(self, plan: Plan) -> None:
        """Raise `RequestError` where the request makes no sense for a plan."""
        if not (self._asks_for_light or self.count):
            raise RequestError(
                "say what the light must reach: a minimum, an average, the benches' targets, or a count."
            )
        for name, value, most in (
            ("minimum", self.minimum / LUX_PER_FC, 5000.0),
            ("average", self.average / LUX_PER_FC, 5000.0),
            ("bench minimum", self.bench_minimum / LUX_PER_FC, 5000.0),
            ("reduced average", self.reduced_average / LUX_PER_FC, 5000.0),
            ("evenness", self.evenness, 1.0),
            ("body shadow", self.shadow_limit, 1.0),
            ("glare", self.glare_limit, 40.0),
            ("circuits", self.circuits, 50.0),
        ):
            if not 0.0 <= value <= most:
                raise RequestError(f"{name}: use a value from 0 to {most:g}, not {value:g}.")
        for name, number in (("count", self.count), ("most fixtures", self.at_most)):
            if number is not None and not 1 <= number <= ASKED_TOO_MUCH:
                raise RequestError(f"{name}: use a whole number from 1 to {ASKED_TOO_MUCH}, not {number}.")
        if self.benches and not plan.benches():
            raise RequestError("the plan has no bench whose target could be asked for.")
        if self.looks_at_shadow and all(bench.worker_side == "nobody" for bench in plan.benches()):
            raise RequestError("body shadow: nobody stands at a bench; say at which side of a bench the worker stands.")
        if self.on_joists and not plan.room.joists:
            raise RequestError("on joists: the plan has no joists; draw them on the ceiling first.")
        self._check_reduced(plan)
        self.chosen_models(plan)

    @property
    def looks_at_shadow(self) -> bool:
        """Whether body shadow counts: as a limit, or as what is to be small."""
        return self.shadow_limit > 0.0 or self.minimise == "shadow"

    @property
    def is_average_alone(self) -> bool:
        """Whether all that is asked of the light is an average of the room: then it is to be spread over the room."""
        return bool(self.average or self.reduced_average) and not (
            self.count or self.minimum or self.benches or self.bench_minimum or self.evenness
        )

    @property
    def _asks_for_light(self) -> bool:
        return bool(self.minimum or self.average or self.benches or self.bench_minimum or self.reduced_average)

    def _check_reduced(self, plan: Plan) -> None:
        if not self.reduced_average:
            return
        letters = switch_letters(plan, self)
        if not (self.reduced_on or self.reduced_switches):
            raise RequestError("say which switches, or how many of them, are on in the reduced combination.")
        unknown = [letter for letter in self.reduced_switches if letter not in letters]
        if unknown:
            raise RequestError(
                f"reduced combination: there is no switch '{unknown[0][:20]}' among {', '.join(letters)}."
            )
        if not self.reduced_switches and not 1 <= self.reduced_on <= len(letters):
            raise RequestError(f"reduced combination: there are {len(letters)} switches, not {self.reduced_on}.")

    def reduced_letters(self, plan: Plan) -> tuple[str, ...]:
        """Return the switches that are on in the reduced combination; empty where none is asked for."""
        if not self.reduced_average:
            return ()
        return tuple(sorted(set(self.reduced_switches))) or switch_letters(plan, self)[: self.reduced_on]

    def reduced_share(self, plan: Plan) -> float:
        """Return the share of the switches that is on in the reduced combination, 1 where none is asked for.

        However the light is shared out, the brightest k of n switches have at least k / n of it; they are the ones that
        get the letters of the reduced combination.
        """
        on = self.reduced_letters(plan)
        return len(on) / len(switch_letters(plan, self)) if on else 1.0

    def chosen_models(self, plan: Plan, more: Sequence[Model] = ()) -> tuple[Model, ...]:
        """Return the models to choose among: the plan's own first, then those of ``more``.

        Raises
        ------
        RequestError
            If a model is not known, lies on a bench, or lacks the power setting asked for.
        """
        known = {model.id: model for model in (*more, *plan.models)}
        if not self.models:
            found = ceiling_models(plan)
            if not found:
                raise RequestError("the plan has no fixture model for the ceiling; name one with --model.")
            return found
        chosen = []
        for identity in self.models:
            model = known.get(identity)
            if model is None:
                raise RequestError(f"model: there is no fixture model '{identity[:60]}' in the plan or the catalogue.")
            if model.mounting == "bench":
                raise RequestError(f"model: {model.name} stands on a bench; choose one for the ceiling.")
            chosen.append(model)
        return tuple(chosen)

    def setting_of(self, model: Model) -> int:
        """Return the power setting to be used of a model."""
        return highest_setting(model) if self.setting is None else min(self.setting, len(model.settings) - 1)

    def asked(self) -> dict[str, Any]:
        """Return the request as plain data, light in foot-candles."""
        found: dict[str, Any] = {}
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name == "limits":
                found["limits"] = {part.name: getattr(value, part.name) for part in fields(value)}
            elif field.name in ("minimum", "average", "bench_minimum", "reduced_average"):
                found[f"{field.name}_fc"] = round(value / LUX_PER_FC, 6)
            elif field.name in ("wall_distance", "step", "drop"):
                found[f"{field.name}_m"] = value
            else:
                found[field.name] = list(value) if isinstance(value, tuple) else value
        return found


def ceiling_models(plan: Plan) -> tuple[Model, ...]:
    """Return the plan's models that hang on the ceiling, those most used first."""
    used = [fixture.model for fixture in plan.fixtures]
    found = [model for model in plan.models if model.mounting != "bench"]
    return tuple(sorted(found, key=lambda model: -used.count(model.id)))


def switch_letters(plan: Plan, request: Request) -> tuple[str, ...]:
    """Return the switches of a proposed layout: those of the fixtures that make way, then further letters."""
    gone = set(replaced_ids(plan))
    used = sorted({fixture.group for fixture in plan.fixtures if fixture.id in gone})
    kept = {fixture.group for fixture in plan.fixtures if fixture.id not in gone}
    spare = [letter for letter in LETTERS if letter not in used and letter not in kept]
    return tuple([*used, *spare][: max(1, request.groups or len(used))])


def replaced_ids(plan: Plan) -> tuple[str, ...]:
    """Return the fixtures that a proposed layout takes the place of: all but lamps on benches."""
    return tuple(f.id for f in plan.fixtures if plan.model(f.model).mounting != "bench" and f.height is None)
