"""CSV tables: what goes in comes out, and no cell starts a formula.

What starts a formula (= + - @ tab CR, their full-width forms, line feed) is taken from the OWASP page "CSV
Injection".
"""

from __future__ import annotations

import csv
import io
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.tables import csv_text, figure, safe_cell, slug

DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def read(text):
    return list(csv.reader(io.StringIO(text, newline="")))


@pytest.mark.parametrize("start", DANGEROUS)
def test_a_cell_that_would_start_a_formula_is_text(start):
    assert safe_cell(start + "HYPERLINK(1)") == "'" + start + "HYPERLINK(1)"
    assert safe_cell("a" + start) == "a" + start


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (-3.5, "-3.5"),
        (7, "7"),
        (Decimal("12.30"), "12.30"),
        (Decimal("1E+3"), "1000"),
        ("-3.5", "-3.5"),
        ("+1e3", "+1e3"),
        ("-", "'-"),
        ("-1+1", "'-1+1"),
        ("-1\n", "'-1\n"),
        (None, ""),
        (float("nan"), ""),
        (float("inf"), ""),
        ("=1\0", "'=1"),
        ("\0=1", "'=1"),
    ],
)
def test_numbers_stay_numbers(value, text):
    assert safe_cell(value) == text


@given(st.lists(st.lists(st.one_of(st.text(), st.floats(), st.integers()), min_size=2, max_size=2), max_size=4))
def test_every_table_can_be_read_and_holds_no_formula(rows):
    table = read(csv_text(["one", "two"], rows))
    assert table[0] == ["one", "two"]
    assert table[1:] == [[safe_cell(value) for value in row] for row in rows]
    for row in table[1:]:
        for cell in row:
            if cell.startswith(DANGEROUS):
                float(cell)


def test_lines_end_as_rfc_4180_has_it():
    assert csv_text(["a", "b"], [["x, y", 'say "z"']]) == 'a,b\r\n"x, y","say ""z"""\r\n'


def test_figures_have_no_negative_zero():
    assert str(figure(-0.0001, 2)) == "0.0"
    assert figure(1.005, 1) == 1.0


@given(st.text(), st.lists(st.text()))
def test_a_slug_is_fit_for_a_file_and_unlike_those_taken(name, others):
    taken = set()
    for other in others:
        taken.add(slug(other, taken))
    assert len(taken) == len(others)
    new = slug(name, taken)
    assert new not in taken
    assert all(c.isalnum() or c == "-" for c in new)
    assert 0 < len(new) <= 70


def test_slugs():
    assert slug("Fine work (bench 2)") == "fine-work-bench-2"
    assert slug("All on", ["all-on"]) == "all-on-2"
    assert slug("../../etc") == "etc"
    assert slug("!!!") == "unnamed"
