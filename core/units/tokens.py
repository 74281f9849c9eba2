"""Cut a typed entry into numbers, fractions, units and signs.

Typographic quotes, primes, dashes, blanks and signs are first replaced, one for one, by the plain character
that was meant. A fraction is two whole numbers and a slash with no blank between them (`3/4`), or one of the
ready-made signs (`¾`).
"""

import re
from dataclasses import dataclass
from enum import Enum, auto
from typing import Final

from core.units.quantities import UnitError

__all__ = ["MAX_TEXT", "Kind", "Token", "cut", "plain", "quoted", "read_number"]

MAX_TEXT: Final = 100
MAX_DIGITS: Final = 20

_SAME_MEANING: Final = {
    "'": "’‘‛′ʹ´`",
    '"': "”“‟″ʺ",
    "-": "−–—‐‑‒",
    "*": "×·⋅",
    "/": "÷⁄∕",
    "°": "º˚",
    " ": "\t\u00a0\u2002\u2003\u2007\u2008\u2009\u200a\u202f",
}
_PLAIN: Final = {ord(sign): meant for meant, signs in _SAME_MEANING.items() for sign in signs}

VULGAR: Final = {
    "½": (1, 2),
    "¼": (1, 4),
    "¾": (3, 4),
    "⅛": (1, 8),
    "⅜": (3, 8),
    "⅝": (5, 8),
    "⅞": (7, 8),
    "⅓": (1, 3),
    "⅔": (2, 3),
}
"""Fractions that have a sign of their own."""

_PATTERN: Final = re.compile(
    rf"""
    (?P<FRACTION>[0-9]+/[0-9]+(?![.,]?[0-9])|[{"".join(VULGAR)}])
    |(?P<NUMBER>[0-9][0-9.,]*|[.,][0-9][0-9.,]*)
    |(?P<UNIT>''|['"°%]|[a-z]+\.?)
    |(?P<SIGN>[-+*/()])
    """,
    re.VERBOSE,
)


class Kind(Enum):
    """What a piece of the entry is."""

    NUMBER = auto()
    FRACTION = auto()
    UNIT = auto()
    SIGN = auto()


@dataclass(frozen=True)
class Token:
    """One piece of an entry, from `start` up to but without `end`; `value` is 0 for units and signs."""

    kind: Kind
    text: str
    start: int
    end: int
    value: float = 0.0

    @property
    def whole(self) -> bool:
        """Whether this is a number written with digits only."""
        return self.kind is Kind.NUMBER and self.text.isdecimal()


def plain(text: str, example: str) -> str:
    """Return `text` in lower case, with plain signs and no outer blanks; refuse one too long or empty."""
    if len(text) > MAX_TEXT:
        raise UnitError(f"This entry is longer than {MAX_TEXT} characters.", example)
    meant = text.translate(_PLAIN).strip().lower()
    if not meant:
        raise UnitError("Nothing has been typed yet.", example)
    return meant


def quoted(text: str) -> str:
    """Return a piece of the entry between typographic quotes, without characters that cannot be shown."""
    return f"“{''.join(c if c.isprintable() else '?' for c in text)}”"


def read_number(text: str, thousands: bool, example: str) -> float:
    """Read digits with a decimal point or comma.

    With `thousands`, `1,234` is above a thousand; without, it is refused, since many read it as 1.234.
    """
    if sum(c.isdecimal() for c in text) > MAX_DIGITS:
        raise UnitError(f"A number here may have up to {MAX_DIGITS} digits.", example)
    if re.fullmatch(r"[0-9]+\.?|[0-9]*\.[0-9]+", text):
        return float(text)
    if re.fullmatch(r"[1-9][0-9]{0,2}(,[0-9]{3})+(\.[0-9]+)?", text):
        if not thousands and text.count(",") == 1 and "." not in text:
            point, none = text.replace(",", "."), text.replace(",", "")
            raise UnitError(f"{quoted(text)} can mean {none} or {point}; write one of these.", example)
        return float(text.replace(",", ""))
    if re.fullmatch(r"[0-9]*,[0-9]+", text):
        return float(text.replace(",", "."))
    raise UnitError(f"{quoted(text)} is not a number.", example)


def _read_fraction(text: str, example: str) -> float:
    if text in VULGAR:
        above, below = VULGAR[text]
        return above / below
    if len(text) > MAX_DIGITS:
        raise UnitError(f"A fraction here may have up to {MAX_DIGITS} digits.", example)
    above, below = (int(part) for part in text.split("/"))
    if below == 0:
        raise UnitError(f"{quoted(text)} divides by zero.", example)
    return above / below


def cut(text: str, thousands: bool, example: str) -> list[Token]:
    """Cut an entry made `plain` into tokens; raise UnitError at a character that has no meaning."""
    tokens = []
    place = 0
    while place < len(text):
        if text[place] == " ":
            place += 1
            continue
        found = _PATTERN.match(text, place)
        if found is None or found.lastgroup is None:
            raise UnitError(f"{quoted(text[place])} has no meaning here.", example)
        kind, piece = Kind[found.lastgroup], found.group()
        value = 0.0
        if kind is Kind.NUMBER:
            value = read_number(piece, thousands, example)
        elif kind is Kind.FRACTION:
            value = _read_fraction(piece, example)
        tokens.append(Token(kind, piece, place, found.end(), value))
        place = found.end()
    return tokens
