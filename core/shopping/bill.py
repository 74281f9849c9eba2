"""The bill of materials: fixtures by model and setting, a switch or dimmer for each group, a plate for each
switch.

A dimmer must suit its fixtures (forward or reverse phase, or 0-10 V, as their data sheets say). Where it does
not, the line says so, and an ordinary switch is listed for fixtures that cannot be dimmed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from core.plan import Fixture, Group, Plan
from core.shopping.line import Line, to_cents
from core.shopping.prices import PriceList, example_prices

__all__ = ["Bill", "bill_of_materials"]


@dataclass(frozen=True, slots=True)
class Bill:
    """A shopping list: its lines, whether it holds placeholder prices, and which lines have no price."""

    name: str
    lines: tuple[Line, ...]
    has_example_prices: bool

    @property
    def total(self) -> Decimal:
        """Sum of all known prices, in cents."""
        return sum((line.price for line in self.lines if line.price is not None), Decimal("0.00"))

    @property
    def unpriced(self) -> tuple[Line, ...]:
        """Lines whose price is not known."""
        return tuple(line for line in self.lines if line.price is None)


def bill_of_materials(plan: Plan, prices: PriceList | None = None) -> Bill:
    """Return what to buy for a plan.

    Parameters
    ----------
    plan : Plan
    prices : PriceList, optional
        Prices of switches, dimmers and plates; the program's placeholders where none is given.
    """
    prices = prices or example_prices()
    lines = (*_fixture_lines(plan), *_switch_lines(plan, prices))
    hung = {fixture.model for fixture in plan.fixtures}
    examples = prices.is_example or any(model.is_example for model in plan.models if model.id in hung)
    return Bill(plan.name, lines, examples and bool(lines))


def _fixture_lines(plan: Plan) -> Iterable[Line]:
    kinds: dict[tuple[str, int, int], list[Fixture]] = {}
    for fixture in plan.fixtures:
        kinds.setdefault((fixture.model, fixture.setting, fixture.colour), []).append(fixture)
    order = {model.id: number for number, model in enumerate(plan.models)}
    for (identity, _, colour), alike in sorted(kinds.items(), key=lambda kind: (order[kind[0][0]], *kind[0][1:])):
        model, setting = plan.model(identity), plan.setting(alike[0])
        settable = len(model.settings) > 1 or len(model.colours) > 1
        sheet = f"{setting.watts:g} W, {setting.lumens:,.0f} lm, {colour} K"
        yield Line(
            item=model.name,
            for_=_switches(plan, alike),
            quantity=len(alike),
            price_each=to_cents(model.price) if model.price > 0.0 else None,
            note=(f"set to {sheet}" if settable else sheet)
            + ("; example, price is a placeholder" if model.is_example else ""),
            places=tuple(fixture.id for fixture in alike),
        )


def _switches(plan: Plan, fixtures: Iterable[Fixture]) -> str:
    """Say which switches the fixtures are on, and how many on each where there are several."""
    counts: dict[str, int] = {}
    for fixture in fixtures:
        counts[fixture.group] = counts.get(fixture.group, 0) + 1
    labels = {group.letter: f"{group.letter} {group.label}".strip() for group in plan.groups}
    named = [(labels.get(letter, letter), count) for letter, count in sorted(counts.items())]
    if len(named) == 1:
        return named[0][0]
    return ", ".join(f"{label} ({count})" for label, count in named)


def _switch_lines(plan: Plan, prices: PriceList) -> Iterable[Line]:
    wanted: dict[tuple[str, str], list[tuple[Group, tuple[str, ...]]]] = {}
    for group in plan.groups:
        fixtures = [fixture for fixture in plan.fixtures if fixture.group == group.letter]
        if fixtures:
            kind = _switch_kind(plan, group, fixtures)
            wanted.setdefault(kind, []).append((group, tuple(fixture.id for fixture in fixtures)))
    for (key, note), groups in sorted(wanted.items()):
        yield _device(prices, key, note, groups)
    plates = [entry for groups in wanted.values() for entry in groups]
    if plates:
        plates.sort(key=lambda entry: entry[0].letter)
        yield _device(prices, "plate", "one for each switch", plates)


def _switch_kind(plan: Plan, group: Group, fixtures: Iterable[Fixture]) -> tuple[str, str]:
    """Return which device a group wants and what is to be said about it."""
    if not group.dimmable:
        return "switch", ""
    ways = sorted({plan.model(fixture.model).dimming for fixture in fixtures})
    if ways == ["none"]:
        return "switch", "asked to dim, but its fixtures cannot be dimmed"
    usable = [way for way in ways if way != "none"]
    if len(ways) == 1:
        return f"dimmer {usable[0]}", ""
    return f"dimmer {usable[0]}", f"its fixtures do not go together on one dimmer ({', '.join(ways)})"


def _device(prices: PriceList, key: str, note: str, groups: Iterable[tuple[Group, tuple[str, ...]]]) -> Line:
    entries = list(groups)
    price = prices.by_key().get(key)
    return Line(
        item=price.item if price else key[:1].upper() + key[1:],
        for_=", ".join(f"{group.letter} {group.label}".strip() for group, _ in entries),
        quantity=len(entries),
        unit=price.unit if price else "each",
        pack=price.pack if price else 1,
        price_each=price.price if price else None,
        note="; ".join(part for part in (note, "price is a placeholder" if prices.is_example else "") if part),
        places=tuple(identity for _, ids in entries for identity in ids),
    )
