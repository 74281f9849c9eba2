"""The whole ceiling sheet as one book of pages."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from app.prints.ceiling.box_page import box_pages
from app.prints.ceiling.chalk_page import chalk_pages
from app.prints.ceiling.findings_page import findings_pages
from app.prints.ceiling.light_page import SheetLight, light_pages
from app.prints.ceiling.order_page import order_pages
from app.prints.ceiling.plan_page import plan_pages
from app.prints.ceiling.schedule_page import schedule_pages
from app.prints.ceiling.shopping_page import shopping_pages
from app.prints.ceiling.template_page import template_pages
from app.prints.ceiling.words import CAUTIONS
from app.prints.paper.flow import flow, paragraph
from app.prints.paper.output import write_pages
from app.prints.paper.page import Imprint, Page, frame_of, paper_named
from core.ceiling import CeilingSheet, WallPairError, as_built_plan, costs_of, sheet_as_far_as_known
from core.checks.finding import Finding
from core.light.field import Lighting
from core.plan import Plan

__all__ = ["Book", "ceiling_book", "imprint_of", "report_ceiling_sheet"]


@dataclass(frozen=True, slots=True)
class Book:
    """Pages and what stands on each of them."""

    pages: tuple[Page, ...]
    imprint: Imprint

    def write(self, path: Path) -> None:
        """Write the book as one PDF; OSError if it cannot be written."""
        write_pages(self.pages, self.imprint, f"Ceiling sheet: {self.imprint.plan}", path)


def ceiling_book(
    sheet: CeilingSheet,
    *,
    light: SheetLight | None = None,
    templates: bool = True,
    today: date | None = None,
) -> Book:
    """Return the pages of the ceiling sheet.

    Parameters
    ----------
    light : SheetLight, optional
        The light of the plan as it hangs; without it there are no pictures, no findings of light, and no figures of
        what a move for the joists costs.
    templates : bool
        Whether the 1:1 templates are part of it.
    today : date, optional
        The date on every page; today where it is not given.
    """
    plan = sheet.plan
    paper = paper_named(plan.ceiling.paper)
    pages = [
        *plan_pages(sheet),
        *box_pages(sheet, paper),
        *chalk_pages(sheet, paper),
        *order_pages(sheet, paper),
        *schedule_pages(sheet, paper),
        *findings_pages(sheet, paper, light),
        *shopping_pages(as_built_plan(sheet), paper),
    ]
    if light is not None:
        pages += light_pages(light)
    if templates:
        pages += template_pages(sheet, paper)
    return Book(tuple(pages), imprint_of(plan, today))


def report_ceiling_sheet(
    plan: Plan,
    lighting: Lighting,
    path: Path,
    findings: Sequence[Finding] = (),
    solve: Callable[[Plan], Lighting] | None = None,
) -> None:
    """Write the ceiling sheet of a report, with its light; OSError if it cannot be written.

    Where no two walls can be measured from, the sheet is one page that says so.

    Parameters
    ----------
    plan
        As it was drawn; ``lighting`` and ``findings`` are of the plan as it hangs.
    solve : callable, optional
        Gives the light of the same room with a fixture moved, for what a move costs.
    """
    try:
        sheet = sheet_as_far_as_known(plan)
    except WallPairError as problem:
        paper = paper_named(plan.ceiling.paper)
        pages = flow("Ceiling sheet", [paragraph(str(problem), frame_of(paper).width)], paper)
        Book(tuple(pages), imprint_of(plan)).write(path)
        return
    hung = as_built_plan(sheet)
    costs = costs_of(hung, lighting, solve) if solve is not None else {}
    ceiling_book(sheet, light=SheetLight(hung, lighting, findings, costs)).write(path)


def imprint_of(plan: Plan, today: date | None = None) -> Imprint:
    """Return what stands on every page of a plan's sheet."""
    name = f"{plan.name} (invented)" if plan.invented else plan.name
    return Imprint(name, (today or date.today()).isoformat(), paper_named(plan.ceiling.paper), CAUTIONS)
