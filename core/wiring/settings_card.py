"""The settings card: which power and colour each fixture is set to, before it is lifted.

The little switches are on the back of the body or under its cover; on the ceiling they are out of reach. One card a
fixture, in the order in which the power reaches them, then those with a plug.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.plan.plan import Plan
from core.wiring.wired import Wired

__all__ = ["SettingsCard", "settings_cards"]


@dataclass(frozen=True, slots=True)
class SettingsCard:
    """One fixture's settings. ``position`` is the place of its power switch among ``positions``, 1 the lowest entry."""

    fixture: str
    name: str
    model: str
    group: str
    watts: float
    lumens: float
    position: int
    positions: int
    colour: int
    has_colour_choice: bool


def settings_cards(plan: Plan, done: Wired) -> tuple[SettingsCard, ...]:
    """Return the card of every fixture."""
    reached = [run.end.id for run in done.routing.runs if run.end.kind == "fixture"]
    order = {identity: number for number, identity in enumerate(dict.fromkeys(reached))}
    fixtures = sorted(plan.fixtures, key=lambda fixture: order.get(fixture.id, len(order)))
    cards = []
    for fixture in fixtures:
        model, setting = plan.model(fixture.model), plan.setting(fixture)
        cards.append(
            SettingsCard(
                fixture.id,
                fixture.name or fixture.id,
                model.name,
                fixture.group,
                setting.watts,
                setting.lumens,
                model.settings.index(setting) + 1,
                len(model.settings),
                fixture.colour,
                len(model.colours) > 1,
            )
        )
    return tuple(cards)
