"""Reader of ANSI/IES LM-63 photometric files (editions of 1986 to 2019, Type C, TILT=NONE).

The candela of the web are

    value x candela multiplier x ballast factor (x ballast-lamp factor, only in 1986 and 1991).

Later editions keep the place of the ballast-lamp factor for another use: since 2019 it tells how the file was
made (1.00010: simulated), and multiplying by it would be wrong. Lumens per lamp of -1 mark absolute
photometry; they are never multiplied.

Lenient where the meaning is plain (encodings, line ends, commas, numbers broken over lines, missing id or
keywords, 1.0 for 1; `PhotometricFile.warnings` tells what matters); strict where a guess would change the
light.

Source: ANSI/IES LM-63-1995, -2002, -2019, as given by open parser libraries.
"""

import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from core.photometry.angles import AngleFault, Symmetry, horizontal_fault, symmetry, vertical_fault
from core.photometry.lm63_fixture import FixtureNumbers, read_fixture_numbers
from core.photometry.lm63_heading import Edition, read_heading
from core.photometry.lm63_text import (
    MOST_BYTES,
    NumberReader,
    PhotometryError,
    decode,
    is_plain_number,
    shown,
    split_lines,
    too_large,
)
from core.photometry.opening import LuminousOpening
from core.photometry.web import MOST_CANDELA, Web

__all__ = ["PhotometricFile", "PhotometryError", "read_lm63", "read_lm63_file"]


@dataclass(frozen=True)
class PhotometricFile:
    """What a photometric file says about a fixture.

    Parameters
    ----------
    name : str
        Name given by the caller, usually that of the file.
    edition : Edition
    web : Web
        Intensities [cd] and their integral, the fixture's flux [lm].
    opening : LuminousOpening
        Shape and size [m] of the part that shines.
    input_watts : float or None
        Electrical power [W]; None if the file gives none.
    lamps : int
        Number of lamps.
    lamp_lumens : float or None
        Rated lumens [lm] of all lamps; None for absolute photometry.
    generation : str
        How the file was made, as an edition of 2019 states it; else empty.
    keywords : mapping of str to str
        `[NAME] text` lines, names in capitals.
    labels : tuple of str
        Free lines above the numbers.
    warnings : tuple of str
        What was tolerated.
    """

    name: str
    edition: Edition
    web: Web
    opening: LuminousOpening
    input_watts: float | None
    lamps: int
    lamp_lumens: float | None
    generation: str = ""
    keywords: Mapping[str, str] = field(default_factory=dict, hash=False)
    labels: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def is_absolute(self) -> bool:
        """True if the candela are those of the fixture as measured, False if they are for rated lamps."""
        return self.lamp_lumens is None

    @property
    def title(self) -> str:
        """Best name to show: the file's own words for the fixture, else the name given by the caller."""
        for keyword in ("LUMINAIRE", "LUMCAT"):
            if self.keywords.get(keyword):
                return self.keywords[keyword].split("\n")[0]
        return self.name or (self.labels[0] if self.labels else "unnamed fixture")


def read_lm63_file(path: str | os.PathLike[str]) -> PhotometricFile:
    """Read a photometric file from disk.

    Parameters
    ----------
    path : path
        An ordinary file of at most 5 MB; a larger one is refused before it is read.

    Raises
    ------
    PhotometryError
        If the file cannot be opened or used.
    """
    try:
        found = os.stat(path)
        if not stat.S_ISREG(found.st_mode):
            raise PhotometryError(0, "this is not an ordinary file")
        if found.st_size > MOST_BYTES:
            raise too_large(found.st_size)
        with open(path, "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise PhotometryError(0, f"the file cannot be opened: {error.strerror or error}") from error
    except ValueError as error:  # a name that no file can have
        if isinstance(error, PhotometryError):
            raise
        raise PhotometryError(0, f"the file cannot be opened: {error}") from error
    return read_lm63(data, Path(path).name)


def read_lm63(data: bytes | str, name: str = "") -> PhotometricFile:
    """Read the text of an LM-63 file.

    Parameters
    ----------
    data : bytes or str
        The whole file, at most 5 MB. Bytes may be UTF-8, UTF-16 with a mark, or code page 1252.
    name : str
        Name to keep with it, usually that of the file.

    Raises
    ------
    PhotometryError
        With line and reason, if the file cannot be used.
    """
    lines = split_lines(decode(data))
    heading = read_heading(lines)
    reader = NumberReader(lines, heading.end)
    fixture = read_fixture_numbers(reader, heading.edition)
    web = _read_web(reader, fixture)
    warnings = [*heading.warnings, *fixture.warnings, *_web_warnings(web, heading.edition)]
    warnings += _trailing(reader, len(web.vertical_deg) * len(web.horizontal_deg))
    return PhotometricFile(
        name=name,
        edition=heading.edition,
        web=web,
        opening=fixture.opening,
        input_watts=fixture.input_watts,
        lamps=fixture.lamps,
        lamp_lumens=fixture.lamp_lumens,
        generation=fixture.generation,
        keywords=heading.keywords,
        labels=heading.labels,
        warnings=tuple(warnings),
    )


def _read_web(reader: NumberReader, fixture: FixtureNumbers) -> Web:
    vertical, vertical_lines = _angles(reader, fixture.vertical_count, "vertical angle")
    _raise_fault(vertical_fault(vertical), vertical_lines)
    horizontal, horizontal_lines = _angles(reader, fixture.horizontal_count, "horizontal angle")
    _raise_fault(horizontal_fault(horizontal), horizontal_lines)
    count = fixture.vertical_count * fixture.horizontal_count
    candela: list[float] = []
    for value in reader.numbers(count, "candela value"):
        if value < 0.0:
            raise PhotometryError(reader.line, f"candela value {value:g} is below zero; light cannot be negative")
        candela.append(value * fixture.factor)
        if candela[-1] > MOST_CANDELA:
            raise PhotometryError(reader.line, f"candela value {candela[-1]:g} is larger than any lamp's")
    rows = (tuple(candela[at : at + len(vertical)]) for at in range(0, count, len(vertical)))
    try:
        return Web(tuple(vertical), tuple(horizontal), tuple(rows), fixture.lamp_lumens)
    except ValueError as error:
        raise PhotometryError(reader.line, str(error)) from error


def _angles(reader: NumberReader, count: int, what: str) -> tuple[list[float], list[int]]:
    angles: list[float] = []
    lines: list[int] = []
    for angle in reader.numbers(count, what):
        angles.append(angle)
        lines.append(reader.line)
    return angles, lines


def _raise_fault(fault: AngleFault | None, lines: list[int]) -> None:
    if fault is not None:
        raise PhotometryError(lines[fault.index], fault.reason)


def _web_warnings(web: Web, edition: Edition) -> list[str]:
    warnings = []
    if symmetry(web.horizontal_deg) is Symmetry.ALONG_MIRRORED and edition is not Edition.OF_1995:
        warnings.append("horizontal angles 90 to 270 belong to the 1995 edition; they are read as there")
    if web.efficiency is not None and web.efficiency > 1.05:
        warnings.append(f"the fixture gives {web.efficiency:.0%} of its lamps' light; one of the figures is wrong")
    return warnings


def _trailing(reader: NumberReader, count: int) -> list[str]:
    """Warn of words after the last candela; refuse numbers there, for then the table may be shifted."""
    rest = reader.rest()
    if not rest:
        return []
    if all(map(is_plain_number, rest)):
        reason = f"more candela values follow than the {count} that are declared"
        raise PhotometryError(reader.line, reason)
    return [f"line {reader.line}: text after the last candela value is ignored: {shown(' '.join(rest))}"]
