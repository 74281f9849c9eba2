"""The permit sheet: one page whatever the plan, always a planning aid, always with its cautions."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from datetime import date

import pytest

from app.prints.paper.output import pdf_bytes
from app.prints.paper.page import frame_of
from app.prints.wiring.book import permit_pages, wiring_imprint, write_permit_sheet, write_settings_card
from app.prints.wiring.permit_page import INSPECTIONS
from core.demo import demo_names, demo_plan
from core.plan.wiring import Circuit, Wiring
from core.wiring.cautions import CAUTIONS, PLANNING_AID
from tests.core.wiring.shops import box, feet, fixture, rewired, shop

TODAY = date(2026, 5, 4)
needs_poppler = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext is not installed")


def text_of(path) -> str:
    done = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, timeout=60)
    return " ".join(done.stdout.decode().split())


def page_count(path) -> int:
    done = subprocess.run(["pdfinfo", str(path)], capture_output=True, check=True, timeout=60)
    return int(next(line.split()[1] for line in done.stdout.decode().splitlines() if line.startswith("Pages")))


def same(text: str) -> str:
    return "".join(text.split())


@needs_poppler
@pytest.mark.parametrize("name", demo_names())
def test_what_is_on_the_sheet_of_a_demo(qapp, tmp_path, name):
    plan = demo_plan(name)
    write_permit_sheet(plan, tmp_path / "permit.pdf")
    text = same(text_of(tmp_path / "permit.pdf"))
    assert page_count(tmp_path / "permit.pdf") == 1
    for words in (PLANNING_AID, plan.wiring.code.edition, *CAUTIONS, *INSPECTIONS, "Switch diagram", plan.name):
        assert same(words) in text, words
    for circuit in plan.wiring.circuits:
        assert same(circuit.name) in text
    assert same("cu in") in text


@needs_poppler
def test_a_very_full_plan_still_has_one_page_with_all_cautions(qapp, tmp_path):
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    fixtures = [fixture(n, 1 + n % 18, 1 + n // 18 * 2, letters[n % 26]) for n in range(104)]
    plan = shop(fixtures)
    boxes = tuple(box(f"s{n}", *((n, 0) if n < 14 else (n - 13, 16)), letter) for n, letter in enumerate(letters))
    circuits = tuple(Circuit(f"c{n}", f"Circuit {n}", groups=tuple(letters[n : n + 2])) for n in range(0, 26, 2))
    plan = rewired(plan, switch_boxes=boxes, circuits=circuits)
    write_permit_sheet(plan, tmp_path / "permit.pdf")
    assert page_count(tmp_path / "permit.pdf") == 1
    text = same(text_of(tmp_path / "permit.pdf"))
    for words in (PLANNING_AID, *CAUTIONS):
        assert same(words) in text, words


@needs_poppler
def test_what_was_assumed_is_said_on_the_sheet(qapp, tmp_path):
    plan = replace(shop([fixture(1, 4, 8)]), wiring=Wiring())
    write_permit_sheet(plan, tmp_path / "permit.pdf")
    assert same("The panel is not on the plan") in same(text_of(tmp_path / "permit.pdf"))


@needs_poppler
def test_the_settings_card_has_a_line_for_each_fixture(qapp, tmp_path):
    plan = demo_plan("luthier_basement")
    write_settings_card(plan, tmp_path / "card.pdf")
    text = text_of(tmp_path / "card.pdf")
    assert text.count("4000 K") == len(plan.fixtures)
    assert text.count("setting 2 of 3") == 5
    assert same(PLANNING_AID) in same(text)


def test_the_sheet_holds_for_a_plan_without_anything(qapp):
    empty = replace(shop([]), wiring=Wiring())
    assert pdf_bytes(permit_pages(empty), wiring_imprint(empty, TODAY), "Permit sheet").startswith(b"%PDF")
    assert frame_of(wiring_imprint(empty, TODAY).paper).width > 0
    ell = replace(
        empty,
        room=replace(empty.room, outline=tuple(feet(*c) for c in ((0, 0), (9, 0), (9, 4), (4, 4), (4, 9), (0, 9)))),
    )
    assert pdf_bytes(permit_pages(ell), wiring_imprint(ell, TODAY), "Permit sheet").startswith(b"%PDF")
