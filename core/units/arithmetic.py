"""Work out an entry such as `12' 6 - 3 1/2"` or `(10' - 2*6")/2`.

The usual order holds: brackets, then * and /, then + and -. A quantity written in parts (`12' 6 1/2"`, `3 m
81 cm`) is one value, and a number without a unit that follows feet is inches, so `12' 6 - 3 1/2"` is 12 ft 6
in less 3 1/2 in. A hyphen **without blanks** joins as on drawings: `12'-6"` is 12 ft 6 in and `6-1/2"` is six
and a half; with blanks it subtracts. What could be read in two ways is refused with both readings, never
guessed.
"""

import math
from dataclasses import dataclass
from typing import Final

from core.units.measure import Measure, Unit
from core.units.quantities import UnitError
from core.units.tokens import Kind, Token, cut, plain, quoted

__all__ = ["work_out"]

MAX_DEPTH: Final = 8
MAX_VALUE: Final = 1e15
NOTHING: Final = 1e-12
"""Below this a divisor is zero but for rounding, as 1' - 12\" is."""


@dataclass(frozen=True)
class _Value:
    amount: float
    power: int
    """1 for a quantity, 0 for a plain number."""
    ratio: bool = False
    """A plain number that came from quantity / quantity and so must not be given a unit."""


def work_out(text: str, measure: Measure) -> float:
    """Return the value of an entry, in the unit whose size is 1.

    Raises
    ------
    UnitError
        When the entry is not understood, has two readings, divides by zero or runs out of all bounds.
    """
    return _Reader(cut(plain(text, measure.example), measure.thousands, measure.example), measure).result()


class _Reader:
    def __init__(self, tokens: list[Token], measure: Measure) -> None:
        self.tokens = tokens
        self.measure = measure
        self.place = 0
        self.joined = False
        self.tight: Token | None = None

    # --- looking at tokens

    def refuse(self, problem: str) -> UnitError:
        return UnitError(problem, self.measure.example)

    def peek(self, ahead: int = 0) -> Token | None:
        at = self.place + ahead
        return self.tokens[at] if at < len(self.tokens) else None

    def sign(self, signs: str, ahead: int = 0) -> str:
        token = self.peek(ahead)
        return token.text if token and token.kind is Kind.SIGN and token.text in signs else ""

    def is_tight(self) -> bool:
        """Whether the token here touches the one before and the one after."""
        after = self.peek(1)
        if after is None or self.place == 0:
            return False
        here = self.tokens[self.place]
        return self.tokens[self.place - 1].end == here.start and here.end == after.start

    def operator(self, signs: str) -> str:
        found = self.sign(signs)
        if found:
            if self.is_tight():
                self.tight = self.tokens[self.place]
            self.place += 1
        return found

    # --- arithmetic

    def result(self) -> float:
        value = self.sum(0)
        left = self.peek()
        if left is not None:
            if left.kind in (Kind.NUMBER, Kind.FRACTION):
                raise self.refuse(f"A unit or a sign is missing before {quoted(left.text)}.")
            raise self.refuse(f"{quoted(left.text)} is not understood where it stands.")
        if self.joined and self.tight is not None:
            raise self.refuse(
                "A hyphen without blanks joins feet and inches, or inches and a fraction."
                f" Put blanks around every sign that calculates, also around {quoted(self.tight.text)}."
            )
        if value.ratio:
            raise self.refuse(f"This works out to a plain number, not to {self.measure.name}.")
        return value.amount if value.power else self.bounded(value.amount * self.measure.bare)

    def bounded(self, amount: float) -> float:
        if not math.isfinite(amount) or abs(amount) > MAX_VALUE:
            raise self.refuse("This works out to a number too large to use.")
        return amount

    def sum(self, depth: int) -> _Value:
        value = self.product(depth)
        while True:
            drawing = self.measure.drawing_hyphen and self.whole_numbers_around_hyphen()
            operator = self.operator("+-")
            if not operator:
                return value
            other = self.product(depth)
            if drawing and value.power == other.power == 0:
                raise self.refuse("Feet and inches, or a subtraction? Write 12' 6\" or, with blanks, 12 - 6.")
            value, other = self.alike(value, other)
            amount = value.amount + other.amount if operator == "+" else value.amount - other.amount
            value = _Value(self.bounded(amount), value.power, value.ratio or other.ratio)

    def whole_numbers_around_hyphen(self) -> bool:
        after = self.peek(1)
        return bool(self.sign("-") and self.is_tight() and after and after.whole and self.tokens[self.place - 1].whole)

    def alike(self, one: _Value, other: _Value) -> tuple[_Value, _Value]:
        """Return both with the same power, giving a bare number its unit where only one unit can be meant."""
        if one.power == other.power:
            return one, other
        bare = other if one.power else one
        if not self.measure.mixes or bare.ratio:
            raise self.refuse(f"The {bare.amount:g} in this sum needs a unit too.")
        sized = _Value(self.bounded(bare.amount * self.measure.bare), 1)
        return (one, sized) if one.power else (sized, other)

    def product(self, depth: int) -> _Value:
        value = self.signed(depth)
        while operator := self.operator("*/"):
            self.refuse_fraction_after(operator)
            other = self.signed(depth)
            value = self.times(value, other) if operator == "*" else self.divided(value, other)
        return value

    def refuse_fraction_after(self, operator: str) -> None:
        token = self.peek()
        if operator == "/" and token and token.kind is Kind.FRACTION and "/" in token.text:
            raise self.refuse(f"Put the fraction after the division in brackets: / ({token.text}).")

    def times(self, one: _Value, other: _Value) -> _Value:
        power = one.power + other.power
        if power > 1:
            raise self.refuse(f"Two entries with units are multiplied here, which gives no {self.measure.name}.")
        return _Value(self.bounded(one.amount * other.amount), power, not power and (one.ratio or other.ratio))

    def divided(self, one: _Value, other: _Value) -> _Value:
        power = one.power - other.power
        if power < 0:
            raise self.refuse(
                "A plain number is divided by one with a unit here. Write fractions without blanks,"
                " or the unit on the first number."
            )
        if abs(other.amount) < NOTHING:
            raise self.refuse("This divides by zero.")
        ratio = not power and (one.ratio or other.ratio or one.power == 1)
        return _Value(self.bounded(one.amount / other.amount), power, ratio)

    def signed(self, depth: int) -> _Value:
        minus = self.sign("+-")
        if minus:
            self.place += 1
        value = self.bracket(depth + 1) if self.sign("(") else self.quantity()
        return _Value(-value.amount, value.power, value.ratio) if minus == "-" else value

    def bracket(self, depth: int) -> _Value:
        if depth > MAX_DEPTH:
            raise self.refuse(f"Brackets may go {MAX_DEPTH} deep, not deeper.")
        self.place += 1
        value = self.sum(depth)
        if not self.sign(")"):
            raise self.refuse("A bracket is opened and not closed.")
        self.place += 1
        unit = self.unit()
        if unit is None:
            return value
        if value.power or value.ratio:
            raise self.refuse("The bracket has a unit inside and another one after it.")
        return _Value(self.bounded(value.amount * unit.size), 1)

    # --- quantities

    def unit(self) -> Unit | None:
        """Take the unit that stands here, if one does."""
        token = self.peek()
        if token is None or token.kind is not Kind.UNIT:
            return None
        unit = self.measure.units.get(token.text.rstrip("."))
        if unit is None:
            raise self.refuse(f"{quoted(token.text)} is not a unit of {self.measure.name}.")
        self.place += 1
        return unit

    def quantity(self) -> _Value:
        amount = self.mixed_number()
        unit = self.unit()
        if unit is None:
            return _Value(amount, 0)
        total = amount * unit.size
        while (part := self.further_part(unit)) is not None:
            if amount != math.floor(amount):
                raise self.refuse(f"Only the smallest part of a {self.measure.name} may be broken.")
            amount, unit = part
            total += amount * unit.size
        return _Value(self.bounded(total), 1)

    def further_part(self, larger: Unit) -> tuple[float, Unit] | None:
        """Take the next smaller part of a quantity: the inches after the feet."""
        start = self.place
        joining = bool(self.sign("-")) and self.is_tight()
        first = self.peek(1 if joining else 0)
        if first is None or first.kind not in (Kind.NUMBER, Kind.FRACTION):
            return None
        self.place += joining
        amount = self.mixed_number()
        unit = self.unit()
        if unit is None and larger.then is not None and not (joining and self.sign("*/")):
            unit = Unit(larger.then)
        elif unit is None or not larger.family or unit.family != larger.family or unit.size >= larger.size:
            if joining:
                self.place = start
                return None
            raise self.refuse(f"A sign such as + or - is missing before {quoted(first.text)}.")
        if joining and first.kind is Kind.FRACTION:
            raise self.refuse(f"Write 0 {first.text} after the feet to add it, or put blanks around - to subtract.")
        self.joined |= joining
        return amount, unit

    def mixed_number(self) -> float:
        """Take a number, a fraction or both: `6`, `1/2`, `6 1/2`, `6-1/2`, `6½`."""
        token = self.peek()
        if token is None:
            raise self.refuse("The entry stops where a number should follow.")
        if token.kind not in (Kind.NUMBER, Kind.FRACTION):
            raise self.refuse(f"A number is missing before {quoted(token.text)}.")
        self.place += 1
        fraction = self.peek()
        if token.kind is Kind.FRACTION:
            return token.value
        if fraction and fraction.kind is Kind.FRACTION:
            if not token.whole or fraction.value >= 1:
                mixed = quoted(f"{token.text} {fraction.text}")
                raise self.refuse(f"{mixed} is not a whole number with a fraction below one.")
            self.place += 1
            return token.value + fraction.value
        after = self.peek(1)
        joining = token.whole and self.sign("-") and self.is_tight()
        if joining and after and after.kind is Kind.FRACTION and after.value < 1:
            self.place += 2
            self.joined = True
            return token.value + after.value
        return token.value
