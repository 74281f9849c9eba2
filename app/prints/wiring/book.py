"""Permit sheet and settings card as files."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from app.prints.paper.output import write_pages
from app.prints.paper.page import Imprint, Page, paper_named
from app.prints.wiring.permit_page import permit_page
from app.prints.wiring.settings_page import settings_pages
from core.ceiling import plan_as_hung
from core.light.field import Lighting
from core.plan import Plan
from core.wiring import wired
from core.wiring.cautions import CAUTIONS, PLANNING_AID

__all__ = [
    "permit_pages",
    "report_permit_sheet",
    "report_settings_card",
    "wiring_imprint",
    "write_permit_sheet",
    "write_settings_card",
]


def wiring_imprint(plan: Plan, today: date | None = None) -> Imprint:
    """Return what stands on every page about wiring; the cautions are always on it."""
    name = f"{plan.name} (invented)" if plan.invented else plan.name
    cautions = (PLANNING_AID, CAUTIONS[1], CAUTIONS[2])
    return Imprint(name, (today or date.today()).isoformat(), paper_named(plan.ceiling.paper), cautions)


def permit_pages(plan: Plan) -> Sequence[Page]:
    """Return the permit sheet of a plan, for fixtures where they hang: one page."""
    plan = plan_as_hung(plan)
    return (permit_page(plan, wired(plan)),)


def write_permit_sheet(plan: Plan, path: Path) -> None:
    """Write the permit sheet as a PDF; OSError if it cannot be written."""
    write_pages(permit_pages(plan), wiring_imprint(plan), f"Permit sheet: {plan.name}", path)


def write_settings_card(plan: Plan, path: Path) -> None:
    """Write the settings card as a PDF; OSError if it cannot be written."""
    imprint = wiring_imprint(plan)
    write_pages(settings_pages(plan, wired(plan), imprint.paper), imprint, f"Settings card: {plan.name}", path)


def report_permit_sheet(plan: Plan, lighting: Lighting, path: Path) -> None:
    """Write the permit sheet of a report."""
    write_permit_sheet(plan, path)


def report_settings_card(plan: Plan, lighting: Lighting, path: Path) -> None:
    """Write the settings card of a report."""
    write_settings_card(plan, path)
