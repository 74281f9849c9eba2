"""What lies on the sheet and not in the room: notes, and one picture underneath to draw over.

Neither takes part in the light. The picture is kept in the plan file itself, as a data URI (RFC 2397) with a PNG or
JPEG in base64, so that the file stays whole when it is sent to somebody; it is made small before it gets here.
"""

from __future__ import annotations

import base64
import binascii
import math
from dataclasses import dataclass, replace
from typing import Annotated

from annotated_types import Ge, Gt, Le, MaxLen

from core.plan.room import STRICT, Point, Size
from core.plan.settle import settled

__all__ = [
    "MOST_PICTURE_BYTES",
    "PICTURE_STARTS",
    "Note",
    "Underlay",
    "data_uri",
    "picture_bytes",
    "picture_problem",
    "scaled_between",
]

MOST_PICTURE_BYTES = 2_000_000
"""Largest picture in a plan file [byte]: enough for a scanned sheet at reading size."""
PICTURE_STARTS = ("data:image/png;base64,", "data:image/jpeg;base64,")
_SIGNATURES = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff")
_MOST_LETTERS = 4 * MOST_PICTURE_BYTES // 3 + 100


@dataclass(frozen=True, slots=True)
class Note:
    """A text on the plan. ``x, y`` is its middle, ``letter`` the height of its letters [m], so that it keeps its place
    in the drawing at any zoom; 6 in unless told otherwise."""

    id: str
    x: float
    y: float
    text: Annotated[str, MaxLen(2000)]
    letter: Annotated[float, Ge(0.01), Le(3.0)] = 0.1524
    rotation_deg: float = 0.0

    __pydantic_config__ = STRICT

    @property
    def lines(self) -> tuple[str, ...]:
        """The text line by line; at least one."""
        return tuple(self.text.splitlines()) or ("",)

    @property
    def size(self) -> tuple[float, float]:
        """About how wide and deep it is on the plan [m]: letters are 0.6 as wide as high, lines 1.4 apart."""
        longest = max(len(line) for line in self.lines)
        return max(longest, 1) * 0.6 * self.letter, len(self.lines) * 1.4 * self.letter


@dataclass(frozen=True, slots=True)
class Underlay:
    """A picture under the drawing.

    ``x, y`` is its middle, ``width`` how wide it is on the plan [m], ``aspect`` its height divided by its width.
    ``strength`` is how much of it shows (0 nothing, 1 all); a locked one cannot be moved by hand.
    """

    id: str
    picture: Annotated[str, MaxLen(_MOST_LETTERS)]
    x: float
    y: float
    width: Size
    aspect: Annotated[float, Gt(0.001), Le(1000.0)] = 1.0
    rotation_deg: float = 0.0
    strength: Annotated[float, Ge(0.0), Le(1.0)] = 0.4
    locked: bool = False
    name: str = ""

    __pydantic_config__ = STRICT


def scaled_between(underlay: Underlay, a: Point, b: Point, length: float) -> Underlay:
    """Return the picture scaled so that two of its places, now at a and b, lie a true length apart [m]; a stays.

    Raises
    ------
    ValueError
        If the two places are the same, or the picture would be no size that can be handled.
    """
    now = math.dist(a, b)
    factor = length / now if now > 0.0 else 0.0
    if not 0.01 <= underlay.width * factor <= 300.0:
        raise ValueError("With that distance the picture would be less than 1 cm or more than 300 m wide.")
    x, y = a[0] + (underlay.x - a[0]) * factor, a[1] + (underlay.y - a[1]) * factor
    return replace(underlay, x=settled(x), y=settled(y), width=settled(underlay.width * factor))


def data_uri(data: bytes) -> str:
    """Return a PNG or JPEG as a data URI.

    Raises
    ------
    ValueError
        If it is neither, or too large.
    """
    for start, signature in zip(PICTURE_STARTS, _SIGNATURES, strict=True):
        if data.startswith(signature):
            if len(data) > MOST_PICTURE_BYTES:
                raise ValueError(f"the picture has more than {MOST_PICTURE_BYTES // 1_000_000} MB.")
            return start + base64.b64encode(data).decode("ascii")
    raise ValueError("the picture is neither PNG nor JPEG.")


def picture_bytes(uri: str) -> bytes:
    """Return the PNG or JPEG of a data URI; ValueError if it is none."""
    for start, signature in zip(PICTURE_STARTS, _SIGNATURES, strict=True):
        if uri.startswith(start):
            try:
                data = base64.b64decode(uri[len(start) :], validate=True)
            except (binascii.Error, ValueError) as error:
                raise ValueError("the picture's data are damaged.") from error
            if not data.startswith(signature) or len(data) > MOST_PICTURE_BYTES:
                break
            return data
    raise ValueError("the picture should be a PNG or JPEG of at most 2 MB, as a data URI in base64.")


def picture_problem(uri: str) -> str | None:
    """Say what is wrong with a picture's data; None where nothing is."""
    try:
        picture_bytes(uri)
    except ValueError as problem:
        return str(problem)
    return None
