"""The settings card: which power and colour to set on each fixture, with a box to tick, before it is lifted."""

from __future__ import annotations

from app.prints.paper.flow import Column, flow, paragraph, table
from app.prints.paper.page import Page, Paper, frame_of
from app.prints.wiring.route_plan import fixture_marks
from core.plan import Plan
from core.wiring import Wired, settings_cards

__all__ = ["settings_pages"]

_COLUMNS = (
    Column("Set", 0.5, "centre"),
    Column("Fixture", 2.2, strong=True),
    Column("Model", 2.6),
    Column("Switch", 0.8),
    Column("Power", 2.6, strong=True),
    Column("Colour", 1.2, strong=True),
)


def settings_pages(plan: Plan, done: Wired, paper: Paper) -> list[Page]:
    """Return the pages of the settings card."""
    width = frame_of(paper).width
    marks = fixture_marks(plan)
    rows = []
    for card in settings_cards(plan, done):
        power = f"{card.watts:g} W, {card.lumens:,.0f} lm"
        if card.positions > 1:
            power += f" (setting {card.position} of {card.positions})"
        colour = f"{card.colour} K" if card.has_colour_choice else f"{card.colour} K, fixed"
        rows.append(["☐", f"{marks[card.fixture]}  {card.name}", card.model, card.group, power, colour])
    words = (
        "Set power and colour on the floor, before the fixture is lifted: the little switches are on its back or under"
        " its cover. Power off, whatever you set. Which position is which, the fixture's own label says."
    )
    return flow("Settings card", [paragraph(words, width), *table(_COLUMNS, rows, width)], paper)
