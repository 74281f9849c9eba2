"""Alternatives: several layouts of one shop in one file, with a name each; one of them is the plan that is shown.

An alternative is what hangs and how it is switched, with what was cut and done for it. Room, furniture, models, prices
and wishes are shared. When one is taken up again it is fitted to what the plan has become meanwhile: fixtures whose
model is gone are left out, and ids that something else has taken are given anew.
"""

from __future__ import annotations

from dataclasses import replace

from core.plan.fixtures import Fixture
from core.plan.hanging import fitted
from core.plan.plan import Alternative, Plan
from core.plan.switching import with_missing_groups
from core.plan.things import all_ids, fresh

__all__ = [
    "MOST",
    "AlternativeError",
    "alternative_names",
    "free_name",
    "plan_of_alternative",
    "renamed_layout",
    "with_alternative_shown",
    "with_copy_aside",
    "without_alternative",
]


MOST = 30
"""Layouts that can be put aside in one file (`core.plan.plan.Plan.alternatives`)."""


class AlternativeError(ValueError):
    """A name that is empty, taken, or not there; the text is one line for the user."""


def alternative_names(plan: Plan) -> tuple[str, ...]:
    """Return the names of the layouts that are put aside."""
    return tuple(kept.name for kept in plan.alternatives)


def free_name(plan: Plan, wish: str = "Layout") -> str:
    """Return a name that no layout has: the wish itself, or with a number behind it ('Layout 2')."""
    taken = {plan.layout, *alternative_names(plan)}
    numbers = range(len(taken) + 1, 2 * len(taken) + 2)
    candidates = (*([wish] if wish != "Layout" else []), *(f"{wish} {number}" for number in numbers))
    return next(name for name in candidates if name not in taken)


def with_copy_aside(plan: Plan, name: str) -> Plan:
    """Put the layout that is shown aside, and go on with a copy of it called ``name``.

    Raises
    ------
    AlternativeError
        If the name is empty or taken, or if the file holds as many layouts as it may.
    """
    _check_name(plan, name)
    if len(plan.alternatives) >= MOST:
        raise AlternativeError(f"A file holds {MOST + 1} layouts at the most; remove one first.")
    return replace(plan, layout=name.strip(), alternatives=(*plan.alternatives, _present(plan)))


def renamed_layout(plan: Plan, name: str) -> Plan:
    """Give the layout that is shown another name; raises `AlternativeError` as `with_copy_aside`."""
    if name.strip() == plan.layout:
        return plan
    _check_name(plan, name)
    return replace(plan, layout=name.strip())


def with_alternative_shown(plan: Plan, name: str) -> Plan:
    """Show the alternative ``name`` and put the present layout aside in its place.

    Raises
    ------
    AlternativeError
        If there is none of this name.
    """
    wanted = _find(plan, name)
    kept = tuple(_present(plan) if known is wanted else known for known in plan.alternatives)
    return replace(_shown(plan, wanted), alternatives=kept)


def plan_of_alternative(plan: Plan, name: str) -> Plan:
    """Return the plan as it is with an alternative, and without the others: to look at, not to keep."""
    return replace(_shown(plan, _find(plan, name)), alternatives=())


def without_alternative(plan: Plan, name: str) -> Plan:
    """Forget an alternative."""
    return replace(plan, alternatives=tuple(known for known in plan.alternatives if known.name != name))


def _present(plan: Plan) -> Alternative:
    return Alternative(
        plan.layout, plan.fixtures, plan.groups, plan.combinations, plan.ceiling.as_built, plan.wiring.stages
    )


def _find(plan: Plan, name: str) -> Alternative:
    for known in plan.alternatives:
        if known.name == name:
            return known
    raise AlternativeError(f"There is no layout called '{name}'.")


def _check_name(plan: Plan, name: str) -> None:
    if not name.strip():
        raise AlternativeError("Give the layout a name.")
    if name.strip() in (plan.layout, *alternative_names(plan)):
        raise AlternativeError(f"There is a layout called '{name.strip()}' already.")


def _shown(plan: Plan, wanted: Alternative) -> Plan:
    taken = all_ids(replace(plan, fixtures=()))
    models = {model.id: model for model in plan.models}
    fixtures: list[Fixture] = []
    same = set()
    for fixture in wanted.fixtures:
        if fixture.model not in models:
            continue
        identity = fixture.id if fixture.id not in taken else fresh(taken, "fixture")
        if identity == fixture.id:
            same.add(identity)
        taken.add(identity)
        fixtures.append(replace(fitted(fixture, models[fixture.model]), id=identity))
    shown = replace(
        plan,
        layout=wanted.name,
        fixtures=tuple(fixtures),
        groups=wanted.groups,
        combinations=wanted.combinations,
        ceiling=replace(plan.ceiling, as_built=tuple(box for box in wanted.as_built if box.fixture in same)),
        wiring=replace(plan.wiring, stages=wanted.stages),
    )
    return with_missing_groups(shown)
