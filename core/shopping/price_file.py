"""The price list as a file that people edit and share: CSV with `key, item, unit, pack, price`.

Reading never takes a bad row and never loses a good one: each row is taken or refused by its number, with the reason.
Files may come from strangers: sizes are limited, names are kept short, and nothing in them is run.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

from core.shopping.line import to_cents
from core.shopping.prices import Price, PriceList
from core.tables import csv_text

__all__ = ["PRICE_COLUMNS", "PriceFileError", "ReadPrices", "RefusedRow", "price_list_csv", "read_prices"]

PRICE_COLUMNS = ("key", "item", "unit", "pack", "price")
MOST_ROWS = 5000
MOST_BYTES = 2_000_000
_MOST_LETTERS = 120
_MOST_PRICE = Decimal(1_000_000)
_MOST_PACK = 100_000


class PriceFileError(ValueError):
    """A file that is no price list at all; the text is one line for the user."""


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row that was not taken: its number in the file (the header is 1), and why."""

    row: int
    reason: str


@dataclass(frozen=True, slots=True)
class ReadPrices:
    """What a file offers: good prices to be taken over, and the refused rows."""

    offered: tuple[Price, ...]
    refused: tuple[RefusedRow, ...]


def price_list_csv(prices: PriceList) -> str:
    """Return a price list as the text of its file."""
    rows = [(price.key, price.item, price.unit, price.pack, to_cents(price.price)) for price in prices.prices]
    return csv_text(PRICE_COLUMNS, rows)


def read_prices(text: str | bytes) -> ReadPrices:
    """Read a price list file.

    Raises
    ------
    PriceFileError
        If it is not text, too large, or its columns are not those of a price list.
    """
    if len(text) > MOST_BYTES:
        raise PriceFileError(f"The file is larger than {MOST_BYTES // 1_000_000} MB; no price list is that large.")
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise PriceFileError("This is not a text file; save the table as CSV (UTF-8).") from error
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""), restkey="more", strict=False)
    try:
        names = [name.strip().lower() for name in reader.fieldnames or () if name is not None]
        missing = [name for name in ("key", "price") if name not in names]
        if missing:
            raise PriceFileError(
                f"There is no column {' and no column '.join(missing)}; a price list has the columns"
                f" {', '.join(PRICE_COLUMNS)}."
            )
        reader.fieldnames = names
        return _read_rows(reader)
    except csv.Error as error:
        raise PriceFileError(f"The table cannot be read ({error}).") from error


def _read_rows(reader: csv.DictReader[str]) -> ReadPrices:
    offered: dict[tuple[str, int], Price] = {}
    refused: list[RefusedRow] = []
    for number, row in enumerate(reader, start=2):
        if number > MOST_ROWS:
            refused.append(RefusedRow(number, f"only the first {MOST_ROWS} rows are read"))
            break
        price = _read_row({key: value for key, value in row.items() if isinstance(value, str)}, "more" in row)
        if isinstance(price, str):
            refused.append(RefusedRow(number, price))
        elif (price.key, price.pack) in offered:
            refused.append(RefusedRow(number, f"{price.key} in this pack has a price already, further up"))
        else:
            offered[price.key, price.pack] = price
    return ReadPrices(tuple(offered.values()), tuple(refused))


def _read_row(row: Mapping[str, str], has_more: bool) -> Price | str:
    """Return the price of a row, or why it is refused."""
    if has_more:
        return "there are more cells than columns; a comma in a name needs quotation marks"
    key = _plain(row.get("key", ""))
    if not key:
        return "the key is empty"
    if len(key) > _MOST_LETTERS or len(row.get("item", "")) > _MOST_LETTERS:
        return f"a name is longer than {_MOST_LETTERS} letters"
    price = _number(row.get("price", ""))
    if price is None:
        return (
            f"the price {row.get('price', '').strip()!r:.40} is not a number"
            if row.get("price", "").strip()
            else "the price is missing"
        )
    if not Decimal(0) <= price <= _MOST_PRICE:
        return f"the price should be between 0 and {_MOST_PRICE:,}"
    pack = _number(row.get("pack", "") or "1")
    if pack is None or not 1 <= pack <= _MOST_PACK or pack != int(pack):
        return f"the pack should be a whole number from 1 to {_MOST_PACK:,}"
    return Price(
        key, _plain(row.get("item", "")) or key, to_cents(price), _plain(row.get("unit", ""))[:20] or "each", int(pack)
    )


def _plain(text: str) -> str:
    """Return a cell without the apostrophe that keeps a spreadsheet from running it, and without line breaks."""
    text = " ".join(text.split())
    return text[1:] if text[:1] == "'" and text[1:2] in ("=", "+", "-", "@") else text


def _number(text: str) -> Decimal | None:
    text = text.strip().lstrip("$€£").strip()
    if text.count(",") and "." in text:
        text = text.replace(",", "")
    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    return value if value.is_finite() else None
