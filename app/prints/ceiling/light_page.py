"""The light on the sheet: one picture with its legend for all switches on, and one for each kept setting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from PySide6.QtGui import QImage

from app.prints.paper.draft import SMALL, Draft
from app.prints.paper.page import Frame, Page
from app.prints.picture import plan_picture
from core.ceiling import NudgeCosts
from core.checks.finding import Finding
from core.light.field import Lighting
from core.plan import Plan
from core.report.combinations import reported_combinations

__all__ = ["SheetLight", "light_pages"]

_RATIO = 1.6
"""Makes 230 dots to the inch on paper, which is as fine as the light is known."""


@dataclass(frozen=True)
class SheetLight:
    """What the light has to say to a sheet.

    ``plan`` has its fixtures where their boxes were cut, and ``lighting`` is its full light; ``findings`` are of the
    same plan, ``costs`` what a move for the joists does to the benches.
    """

    plan: Plan
    lighting: Lighting
    findings: Sequence[Finding] = ()
    costs: NudgeCosts = field(default_factory=dict)


def light_pages(light: SheetLight) -> list[Page]:
    """Return a page for all switches on and one for each kept setting; a picture is drawn when its page is."""
    everything = dict.fromkeys((group.letter for group in light.plan.groups), 1.0)
    pages = [_page("Light, all switches on", light, everything, "All on")]
    for setting in reported_combinations(light.plan):
        if setting.is_kept:
            pages.append(_page(f"Light, {setting.name}", light, setting.levels, setting.name))
    return pages


def _page(title: str, light: SheetLight, levels: Mapping[str, float], setting: str) -> Page:
    drawn: list[QImage] = []

    def paint(draft: Draft, frame: Frame) -> None:
        if not drawn:
            drawn.append(plan_picture(light.plan, light.lighting, levels, setting, ratio=_RATIO))
        draft.image(frame.x, frame.y, frame.width, frame.height - 8.0, drawn[0])
        words = "The lines carry their figures, so the page reads without colour too. This picture is not to scale."
        draft.text(frame.x, frame.y + frame.height - 6.0, frame.width, words, SMALL)

    return Page(title, paint)
