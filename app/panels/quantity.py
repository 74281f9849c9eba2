"""Rows for quantities: typed and shown in the system of units of the plan, kept in SI."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from app.panels.entry import Entry, within
from core.units import (
    UnitSystem,
    parse_angle,
    parse_illuminance,
    parse_length,
    parse_number,
    parse_ratio,
    show_angle,
    show_illuminance,
    show_length,
    show_ratio,
)

__all__ = ["Quantity", "Sort"]

Sort = Literal["length", "angle", "light", "share", "percent", "whole"]
Read = Callable[[str], float]
Show = Callable[[float], str]


class Quantity(Entry):
    """A row for a length [m], angle [degree], illuminance [lx], share (0 to 1) or whole number.

    'percent' is a share that is shown in per cent.
    """

    def __init__(
        self,
        name: str,
        sort: Sort,
        low: float | None = None,
        high: float | None = None,
        tip: str = "",
        empty: bool = False,
    ) -> None:
        self._sort, self._low, self._high, self._may_be_empty = sort, low, high, empty
        self._tip = tip
        super().__init__(name, *self._pair(UnitSystem.US), tip=tip)
        self._tell_units(UnitSystem.US)

    def set_units(self, units: UnitSystem) -> None:
        """Read and show in another system of units; the value has to be put again."""
        self.use(*self._pair(units))
        self._tell_units(units)

    def _tell_units(self, units: UnitSystem) -> None:
        typed = _TYPED[self._sort][units]
        for part in (self.line, self.label):
            part.setToolTip(f"{self._tip}\n{typed}" if self._tip else typed)

    def _pair(self, units: UnitSystem) -> tuple[Callable[[str], float | None], Show]:
        read, show = _READERS[self._sort](units)
        if self._low is not None and self._high is not None:
            read = within(read, self._low, self._high, show)
        return (lambda text: None if self._may_be_empty and not text else read(text)), _shown(show)


def _shown(show: Show) -> Show:
    return lambda value: "" if value is None else show(value)


def _whole(text: str) -> float:
    value = parse_number(text)
    if value != round(value):
        raise ValueError("Use a whole number here. For example: 80")
    return round(value)


def _percent(text: str) -> float:
    """Read a share; a bare number above 1 is per cent."""
    try:
        return parse_ratio(text)
    except ValueError as problem:
        try:
            return parse_ratio(f"{text} %")
        except ValueError:
            raise problem from None


_ANGLE = "Degrees, such as 22.5; turned left is positive"
_SHARE = "A share, such as 0.8 or 80 %"
_PERCENT = "Per cent, such as 30 %; or a share, such as 0.3"
_TYPED: dict[Sort, dict[UnitSystem, str]] = {
    "length": {
        UnitSystem.US: "Feet and inches, such as 5' 6 1/2\"; or 1.7 m, 170 cm",
        UnitSystem.METRIC: "Metres, such as 1.7 m; or 170 cm, 5' 6 1/2\"",
    },
    "light": {
        UnitSystem.US: "Foot-candles, such as 50 fc; or 500 lx",
        UnitSystem.METRIC: "Lux, such as 500 lx; or 50 fc",
    },
    "angle": dict.fromkeys(UnitSystem, _ANGLE),
    "share": dict.fromkeys(UnitSystem, _SHARE),
    "percent": dict.fromkeys(UnitSystem, _PERCENT),
    "whole": dict.fromkeys(UnitSystem, "A whole number"),
}
_READERS: dict[Sort, Callable[[UnitSystem], tuple[Read, Show]]] = {
    "length": lambda units: (lambda text: parse_length(text, units), lambda m: show_length(m, units)),
    "angle": lambda units: (parse_angle, show_angle),
    "light": lambda units: (
        lambda text: parse_illuminance(text, units),
        lambda lx: show_illuminance(lx, units),
    ),
    "share": lambda units: (parse_ratio, show_ratio),
    "percent": lambda units: (_percent, lambda value: f"{100.0 * value:.3g} %"),
    "whole": lambda units: (_whole, lambda value: f"{value:.0f}"),
}
