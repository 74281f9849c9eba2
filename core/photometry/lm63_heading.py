"""The heading of an LM-63 file: id line, keywords, TILT.

The id line names the edition; the edition of 1986 had none. Keyword lines read `[NAME] text`; `[MORE]` goes
on with the keyword above; none is demanded. The TILT line ends the heading. Only TILT=NONE is read: the
other forms describe lamps whose light changes with the fixture's tilt, and to leave that out would give
false figures.

Source: ANSI/IES LM-63 (1991, 1995, 2002, 2019), order of lines, as given by open parser libraries.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NoReturn

from core.photometry.lm63_text import PhotometryError, is_plain_number, shown, split_tokens

__all__ = ["Edition", "Heading", "read_heading"]

_TILT = re.compile(r"[ \t]*TILT[ \t]*=(.*)", re.IGNORECASE)
_KEYWORD = re.compile(r"[ \t]*\[([^\]]*)\](.*)")
_ID = re.compile(r"[ \t]*(?:IES(?:NA)?[ \t:]*LM[- \t]*63[-: \t]*|IESNA[: \t]*)([0-9]{2,4})\b", re.IGNORECASE)


class Edition(Enum):
    """Edition of LM-63 that a file follows."""

    OF_1986 = "1986"
    OF_1991 = "1991"
    OF_1995 = "1995"
    OF_2002 = "2002"
    OF_2019 = "2019"

    @property
    def has_lamp_factor(self) -> bool:
        """Whether the second of the three numbers is a factor on the candela (ballast-lamp factor)."""
        return self in (Edition.OF_1986, Edition.OF_1991)

    @property
    def from_2002(self) -> bool:
        """Whether the luminous opening is written in the manner of 2002."""
        return self in (Edition.OF_2002, Edition.OF_2019)


_EDITIONS = {
    "86": Edition.OF_1986,
    "1986": Edition.OF_1986,
    "91": Edition.OF_1991,
    "1991": Edition.OF_1991,
    "95": Edition.OF_1995,
    "1995": Edition.OF_1995,
    "2002": Edition.OF_2002,
    "2019": Edition.OF_2019,
}


@dataclass(frozen=True)
class Heading:
    """Everything above the numbers.

    Parameters
    ----------
    edition : Edition
    keywords : dict of str to str
        `[NAME] text`, names in capitals; `[MORE]` and repeated names add lines.
    labels : tuple of str
        Lines that are no keywords, as the editions before 1995 wrote them.
    end : int
        Line number of the TILT line, from 1.
    warnings : tuple of str
    """

    edition: Edition
    keywords: dict[str, str]
    labels: tuple[str, ...]
    end: int
    warnings: tuple[str, ...]


def read_heading(lines: Sequence[str]) -> Heading:
    """Read the lines down to TILT=NONE.

    Raises
    ------
    PhotometryError
        If there is no TILT line, or the file wants light that changes with the lamp's tilt.
    """
    end = next((number for number, line in enumerate(lines, start=1) if _TILT.match(line)), None)
    if end is None:
        _refuse_without_tilt(lines)
    _require_no_tilt(lines[end - 1], end)
    above = lines[: end - 1]
    edition, first, warnings = _read_edition(above)
    keywords: dict[str, list[str]] = {}
    labels: list[str] = []
    current: list[str] | None = None
    for line in above[first:]:
        match = _KEYWORD.match(line)
        if match is None:
            if line.strip():
                labels.append(line.strip())
            continue
        name, value = match[1].strip().upper(), match[2].strip()
        if name != "MORE" or current is None:
            current = keywords.setdefault(name, [])
        current.append(value)
    joined = {name: "\n".join(values) for name, values in keywords.items()}
    return Heading(edition, joined, tuple(labels), end, warnings)


def _refuse_without_tilt(lines: Sequence[str]) -> NoReturn:
    if not any(line.strip() for line in lines):
        raise PhotometryError(1, "the file is empty")
    for number, line in enumerate(lines, start=1):
        tokens = split_tokens(line)
        if len(tokens) >= 3 and all(map(is_plain_number, tokens)):
            raise PhotometryError(number, "the numbers begin here, but no TILT= line comes before them")
    raise PhotometryError(len(lines), "the file ends without a TILT= line; this is no LM-63 photometric file")


def _require_no_tilt(line: str, number: int) -> None:
    match = _TILT.match(line)
    value = match[1].strip() if match else ""
    if value.upper() == "NONE":
        return
    if value.upper() == "INCLUDE":
        reason = "TILT=INCLUDE: light that changes as the lamp is tilted is not supported; only TILT=NONE is"
    elif value:
        reason = f"TILT={shown(value)} points to another file of tilt factors; only TILT=NONE is supported"
    else:
        reason = "nothing follows TILT=; it should read TILT=NONE"
    raise PhotometryError(number, reason)


def _read_edition(above: Sequence[str]) -> tuple[Edition, int, tuple[str, ...]]:
    """Edition, index of the first line after the id line, warnings."""
    first = next((index for index, line in enumerate(above) if line.strip()), None)
    match = _ID.match(above[first]) if first is not None else None
    if first is None or match is None:
        return Edition.OF_1986, 0, ("no id line; the file is read by the edition of 1986",)
    edition = _EDITIONS.get(match[1])
    if edition is None:
        return (
            Edition.OF_2002,
            first + 1,
            (f"edition {match[1]} is not known; the file is read by that of 2002",),
        )
    return edition, first + 1, ()
