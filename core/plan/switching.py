"""Edits of the switches: groups with their letters, and the combinations that the user keeps."""

from __future__ import annotations

from dataclasses import replace

from core.plan.plan import Combination, Group, Plan

__all__ = ["with_combination", "with_group", "with_missing_groups", "without_combination", "without_group"]


def with_group(plan: Plan, group: Group) -> Plan:
    """Add a switch group, or replace the one with its letter; groups stay in the order of the letters."""
    others = [known for known in plan.groups if known.letter != group.letter]
    return replace(plan, groups=tuple(sorted([*others, group], key=lambda g: g.letter)))


def without_group(plan: Plan, letter: str, into: str | None = None) -> Plan:
    """Remove a switch group; its fixtures go to the group ``into``, by default the first one that is left.

    Raises
    ------
    ValueError
        If there are fixtures on it and no other group is left.
    """
    left = tuple(group for group in plan.groups if group.letter != letter)
    target = into or (left[0].letter if left else None)
    if target is None and any(f.group == letter for f in plan.fixtures):
        raise ValueError("The last switch still has fixtures on it.")
    fixtures = tuple(replace(f, group=target or letter) if f.group == letter else f for f in plan.fixtures)
    combinations = tuple(
        replace(c, levels=tuple(level for level in c.levels if level.group != letter)) for c in plan.combinations
    )
    return with_missing_groups(replace(plan, groups=left, fixtures=fixtures, combinations=combinations))


def with_combination(plan: Plan, combination: Combination) -> Plan:
    """Keep a combination at the end of the list, or put it in place of the one with its name."""
    names = [known.name for known in plan.combinations]
    if combination.name not in names:
        return replace(plan, combinations=(*plan.combinations, combination))
    kept = tuple(combination if known.name == combination.name else known for known in plan.combinations)
    return replace(plan, combinations=kept)


def without_combination(plan: Plan, name: str) -> Plan:
    """Forget a kept combination."""
    return replace(plan, combinations=tuple(known for known in plan.combinations if known.name != name))


def with_missing_groups(plan: Plan) -> Plan:
    """Make the groups that fixtures are on and the plan lacks."""
    known = {group.letter for group in plan.groups}
    for letter in sorted({fixture.group for fixture in plan.fixtures} - known):
        plan = with_group(plan, Group(letter, f"Switch {letter}"))
    return plan
