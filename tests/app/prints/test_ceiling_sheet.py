"""The printed ceiling sheet: what is on it, whether it is to scale, and which way round.

Paper sizes: letter 8.5 x 11 in, A4 210 x 297 mm (ISO 216). Scale is checked on the drawn page itself: pictures of pages
at a known resolution are measured pixel by pixel.
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
from dataclasses import replace
from datetime import date
from importlib.resources import files

import numpy as np
import pytest
from PySide6.QtGui import QImage

from app.prints.ceiling.book import ceiling_book, report_ceiling_sheet
from app.prints.ceiling.light_page import SheetLight
from app.prints.ceiling.mapping import mapping_for
from app.prints.ceiling.template_page import tiles_of
from app.prints.paper.output import page_image, page_png, page_svg, pdf_bytes
from app.prints.paper.page import A4, LETTER, frame_of
from core.ceiling import ceiling_sheet, costs_of, feeding_of
from core.checks.finding import Finding, Severity
from core.light.engine import LightEngine
from core.plan import Furniture, JoistZone
from core.plan.ceiling import CeilingWork, Feeding
from core.plan.file import plan_from_text
from core.plan.plan import Combination, Level
from core.units import INCH
from tests.core.ceiling.rooms import model, plan_of, rectangle

DEMOS = ("bicycle_garage", "luthier_basement", "metal_wood_barn")
TODAY = date(2026, 5, 4)
DOTS = 10  # a millimetre in test pictures


def demo(name: str):
    return plan_from_text((files("demo_rooms") / f"{name}.json").read_bytes())


def book_of(plan, **more):
    return ceiling_book(ceiling_sheet(plan), today=TODAY, **more)


def dark(image: QImage) -> np.ndarray:
    """Return which pixels are dark, rows by columns."""
    plain = image.convertToFormat(QImage.Format.Format_Grayscale8)
    rows = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), plain.bytesPerLine())
    return rows[:, : plain.width()] < 128


@pytest.mark.parametrize("name", DEMOS)
def test_every_demo_has_its_whole_sheet(qapp, name: str) -> None:
    book = book_of(demo(name))
    titles = " / ".join(page.title for page in book.pages)
    wanted = (
        "as on the floor",
        "seen from below (mirrored)",
        "Box centres",
        "Chalk lines",
        "Order of work",
        "Fixture and switch schedule",
        "Conflicts",
        "Shopping list",
        "1:1 template",
    )
    for words in wanted:
        assert words in titles
    assert pdf_bytes(book.pages, book.imprint, "Sheet").startswith(b"%PDF")


@pytest.mark.parametrize(("paper", "size"), [("letter", (612.0, 792.0)), ("A4", (595.276, 841.89))])
def test_paper_size(qapp, paper: str, size: tuple[float, float]) -> None:
    plan = plan_of(rectangle(24, 20), [(6, 5)], ceiling=CeilingWork(paper=paper))  # type: ignore[arg-type]
    book = book_of(plan)
    boxes = re.findall(rb"/MediaBox \[([^\]]*)\]", pdf_bytes(book.pages, book.imprint, "Sheet"))
    assert len(boxes) == len(book.pages)
    for box in boxes:
        assert [float(v) for v in box.split()] == pytest.approx([0, 0, *size], abs=0.6)


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler's pdftotext")
def test_every_page_says_what_it_must(qapp, tmp_path) -> None:
    book = book_of(demo("metal_wood_barn"))
    book.write(tmp_path / "sheet.pdf")
    text = subprocess.run(["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], capture_output=True, check=True)
    pages = text.stdout.decode().split("\f")[:-1]
    assert len(pages) == len(book.pages)
    for number, page in enumerate(pages):
        words = " ".join(page.split())
        for wanted in (
            f"Page {number + 1} of {len(pages)}",
            "Metal and wood barn",
            "2026-05-04",
            "4 in",
            "100 mm",
            "Planning aid",
            "licensed electrician",
            "dead before you cut",
            "Ladder",
        ):
            assert wanted in words, (number, wanted)
    whole = " ".join(" ".join(pages).split())
    for row in ceiling_sheet(demo("metal_wood_barn")).rows:
        assert row.mark in whole
    assert "Front door track" in whole
    assert "-4.00" in whole  # its clearance in inches


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler's pdftotext")
@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_long_names_stay_on_the_paper_and_run_into_nothing(qapp, tmp_path, paper: str) -> None:
    word = "Namewithoutanyspace" * 12
    plan = plan_of(rectangle(24, 20), [(6, 5), (12, 5)], ceiling=CeilingWork(paper=paper))  # type: ignore[arg-type]
    made = replace(plan.models[0], name=f"{word} model")
    fixtures = tuple(replace(fixture, name=word) for fixture in plan.fixtures)
    groups = tuple(replace(group, label="A long label of a switch " * 8) for group in plan.groups)
    book = book_of(replace(plan, name=f"{word} shop", models=(made,), fixtures=fixtures, groups=groups))
    book.write(tmp_path / "sheet.pdf")
    made_boxes = subprocess.run(["pdftotext", "-bbox", tmp_path / "sheet.pdf", "-"], capture_output=True, check=True)
    text = made_boxes.stdout.decode()
    width = 612.0 if paper == "letter" else 595.276
    edge = 12 / 25.4 * 72  # the pages' margin
    found = re.findall(r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">', text)
    assert len(found) > 500
    for left, _top, right, _bottom in found:
        assert float(left) >= edge - 3
        assert float(right) <= width - edge + 3
    # One line of name under one line of title on every page.
    heads = [float(top) for _l, top, _r, bottom in found if float(bottom) < (12 + 11.6) / 25.4 * 72]
    assert len({round(top) for top in heads}) <= 4  # title, page number, name, date


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs poppler's pdftotext")
def test_light_of_kept_settings_findings_and_what_moves_cost_are_printed(qapp, tmp_path) -> None:
    zone = JoistZone("j", 90.0, 16 * INCH, 8 * INCH, 1.5 * INCH)
    bench = Furniture("bench", "bench", "Vise bench", 2.0, 1.0, 1.5, 0.6, 0.9)
    plan = plan_of(rectangle(12, 10), [(40.5 / 12, 5)], joists=(zone,))
    kept = Combination("Evening", (Level("A", 0.5),))
    plan = replace(plan, furniture=(bench,), combinations=(kept,))
    engine = LightEngine(step=0.6)

    def quick(of):
        return engine.solve(of, quick=True)

    light = quick(plan)
    finding = Finding(Severity.ACT, "Evening", "Room", "average", 1.0, "fc", "", "", "", "Turn it up.", "Room: 9 fc")
    costs = costs_of(plan, light, quick)
    (cost,) = next(iter(costs.values()))
    book = ceiling_book(ceiling_sheet(plan), light=SheetLight(plan, light, (finding,), costs), today=TODAY)
    titles = [page.title for page in book.pages]
    assert titles.index("Light, all switches on") + 1 == titles.index("Light, Evening")
    book.write(tmp_path / "sheet.pdf")
    made = subprocess.run(["pdftotext", "-layout", tmp_path / "sheet.pdf", "-"], capture_output=True, check=True)
    text = " ".join(made.stdout.decode().split())
    assert "Room: 9 fc" in text
    assert "Turn it up." in text
    per = 10.763910416709722
    assert f"Vise bench {cost.before / per:.1f} → {cost.after / per:.1f} fc" in text


def test_check_lines_are_true_to_scale(qapp) -> None:
    book = book_of(plan_of(rectangle(24, 20), [(6, 5)]))
    pixels = dark(page_image(book.pages, 3, book.imprint, DOTS))
    foot = pixels[round((LETTER.height - 12 - 28) * DOTS) :, :]
    runs = sorted({_longest_run(row) for row in foot}, reverse=True)
    # The rule across the page first (191.9 mm), then 4 in = 101.6 mm and 100 mm, within a pixel or two.
    assert runs[0] == pytest.approx(191.9 * DOTS, abs=2)
    assert any(abs(run - 1016) <= 3 for run in runs)
    assert any(abs(run - 1000) <= 3 for run in runs)


def _longest_run(row: np.ndarray) -> int:
    padded = np.concatenate([[0], row.astype(np.int8), [0]])
    edges = np.flatnonzero(np.diff(padded))
    return int(max(np.diff(edges)[::2], default=0))


def test_the_plan_is_to_scale_and_the_second_one_is_mirrored(qapp) -> None:
    plan = plan_of(rectangle(24, 20), [(6, 5), (18, 15)])
    sheet = ceiling_sheet(plan, (0, 3))
    frame = frame_of(LETTER)
    floor, up = (mapping_for(sheet, frame, looking_up) for looking_up in (False, True))
    assert floor.number == 48  # 24 ft at 1/4 in to the foot are 6 in, within 7.5 in of width
    (ax, ay), (bx, by) = (floor(row.place) for row in sheet.rows)
    # 12 ft at 1/4" = 1' are 3 in, 10 ft are 2.5 in; the second box is to the right and further up the page.
    assert (bx - ax, ay - by) == pytest.approx((3 * 25.4, 2.5 * 25.4))
    (mx, my), (nx, ny) = (up(row.place) for row in sheet.rows)
    assert (nx - mx, my - ny) == pytest.approx((-3 * 25.4, 2.5 * 25.4))
    # On the paper itself: the reference walls are the heaviest lines; wall B (left) is left on one, right on the other.
    book = ceiling_book(sheet, today=TODAY)
    for number, mapped in ((0, floor), (1, up)):
        pixels = dark(page_image(book.pages, number, book.imprint, DOTS))
        x = round(mapped(plan.room.outline[0])[0] * DOTS)
        columns = pixels[:, x - 12 : x + 12].sum(axis=0)
        assert columns.max() >= 20 * 0.25 * 25.4 * DOTS * 0.98


def test_a_template_is_full_size(qapp) -> None:
    # A 6 x 4 in body fits one page: its two ends are heavy lines 152.4 mm apart.
    small = model(
        length=6 * INCH, width=4 * INCH, feeding=Feeding("cable through knock-out", screws=((2 * INCH, 0.0),))
    )
    book = book_of(plan_of(rectangle(24, 20), [(6, 5)], made=small))
    number = next(n for n, page in enumerate(book.pages) if "1:1" in page.title)
    pixels = dark(page_image(book.pages, number, book.imprint, DOTS))
    middle = pixels[:, round((LETTER.width / 2 - 40) * DOTS)]
    heavy = [centre for centre, thick in _strokes(middle) if thick >= 7]
    ends = [c for c in heavy if 60 * DOTS < c < 240 * DOTS]
    assert len(ends) == 2
    assert ends[1] - ends[0] == pytest.approx(152.4 * DOTS, abs=2)


def _strokes(column: np.ndarray) -> list[tuple[float, int]]:
    padded = np.concatenate([[0], column.astype(np.int8), [0]])
    edges = np.flatnonzero(np.diff(padded)).reshape(-1, 2)
    return [((a + b - 1) / 2, int(b - a)) for a, b in edges]


@pytest.mark.parametrize("size", [(96, 3), (48, 24), (11, 11), (6, 4)])
def test_tiles_hold_the_feed_whole_and_every_screw_and_corner(size: tuple[float, float]) -> None:
    length, width = (s * INCH for s in size)
    reach = length / 2 - 3 * INCH if length > 0.3 else length / 4
    feeding = Feeding("ceiling box", x=0.1 * length, screws=((-reach, 0.0), (reach, 0.0)))
    body = model(length=length, width=width, feeding=feeding)
    breadth, tall = 180.0, 190.0
    tiles, _ = tiles_of(body, feeding_of(body), breadth, tall)
    feed = (100.0 * length, 0.0)
    # A 4 in box round the feed is on one page entirely.
    circle = [(feed[0] + 50 * math.cos(t), feed[1] + 50 * math.sin(t)) for t in np.linspace(0, 6.28, 24)]
    assert any(all(tile.holds(point) for point in circle) for tile in tiles)
    corners = [(sx * length * 500, sy * width * 500) for sx in (-1, 1) for sy in (-1, 1)]
    for point in [*corners, (-reach * 1000, 0.0), (reach * 1000, 0.0)]:
        assert any(tile.holds(point) for tile in tiles)
    # Neighbours lie on a grid with an overlap, so that their register crosses meet.
    for tile in tiles:
        steps = (tile.left - tiles[0].left) / (tall - 20.0)
        assert steps == pytest.approx(round(steps), abs=1e-9)


def test_single_pages_as_svg_and_picture(qapp) -> None:
    book = book_of(plan_of(rectangle(24, 20), [(6, 5)], ceiling=CeilingWork(paper="A4")))
    svg = page_svg(book.pages, 0, book.imprint).decode()
    assert "<svg" in svg
    assert 'width="210' in svg  # millimetres
    assert A4.width == 210.0
    image = QImage.fromData(page_png(book.pages, 0, book.imprint))
    assert (image.width(), image.height()) == (210 * 8, 297 * 8)
    assert dark(image).any()


def test_pages_are_black_and_white_but_for_the_light(qapp) -> None:
    book = book_of(demo("bicycle_garage"))
    for number in range(len(book.pages)):
        image = page_image(book.pages, number, book.imprint, 2.0).convertToFormat(QImage.Format.Format_RGB32)
        pixels = np.frombuffer(image.constBits(), np.uint8).reshape(image.height(), image.width(), 4)
        assert (np.ptp(pixels[:, :, :3].astype(int), axis=2) <= 1).all(), book.pages[number].title


def test_the_report_writes_it_with_the_light(qapp, tmp_path) -> None:
    plan = plan_of(rectangle(12, 10), [(6, 5)])
    lighting = LightEngine().solve(plan, quick=True)
    report_ceiling_sheet(plan, lighting, tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_a_plan_without_ceiling_fixtures_and_one_with_impossible_lengths_still_print(qapp, tmp_path) -> None:
    from core.plan.ceiling import Diagonal

    empty = plan_of(rectangle(12, 10))
    assert "Box centres" in " ".join(p.title for p in book_of(empty).pages)
    wrong = replace(plan_of(rectangle(12, 10), [(6, 5)]), ceiling=CeilingWork(diagonals=(Diagonal(0, 2, 90.0),)))
    report_ceiling_sheet(wrong, LightEngine().solve(wrong, quick=True), tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").stat().st_size > 10_000
