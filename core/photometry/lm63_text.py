"""The text of an LM-63 file: bytes to lines, lines to plain numbers.

Files come from strangers, so nothing here trusts them. Lines break at CR LF, LF or CR and nowhere else, as a
text editor counts them. Numbers are separated by blanks, tabs or commas and may be broken over lines at
will; a number is ASCII digits with an optional sign, point and exponent, so that nothing else that
Python would take for a number ("1_000", "nan", other scripts' digits) slips through. Whatever cannot be
read is refused with a `PhotometryError` that names the line and says what is wrong.

Source: ANSI/IES LM-63 (1995, 2002, 2019), delimiters, as given by open parser libraries.
"""

import math
import re
from collections.abc import Iterator, Sequence

__all__ = [
    "MOST_BYTES",
    "NumberReader",
    "PhotometryError",
    "decode",
    "is_plain_number",
    "shown",
    "split_lines",
    "split_tokens",
    "too_large",
]

MOST_BYTES = 5_000_000
"""Largest file read [bytes]. A web at every degree all round takes about half a megabyte."""
_LONGEST_NUMBER = 64

_LINE_END = re.compile(r"\r\n|\n|\r")
_TOKEN = re.compile(r"[^ \t\f\v,]+")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


class PhotometryError(ValueError):
    """A photometric file that cannot be used.

    Attributes
    ----------
    line : int
        Line of the file, from 1; 0 where no line is to blame.
    reason : str
        What is wrong, in words for the person who chose the file.
    """

    def __init__(self, line: int, reason: str) -> None:
        super().__init__(line, reason)
        self.line = line
        self.reason = reason

    def __str__(self) -> str:
        return f"line {self.line}: {self.reason}" if self.line else self.reason


def too_large(size: int) -> PhotometryError:
    """The refusal of a file of `size` bytes."""
    most = MOST_BYTES / 1e6
    return PhotometryError(0, f"the file is {size / 1e6:.1f} MB large; a photometric file has at most {most:g} MB")


def decode(data: bytes | str) -> str:
    """Text of a file: UTF-8 with or without a mark, marked UTF-16, else Windows code page 1252."""
    if len(data) > MOST_BYTES:
        raise too_large(len(data))
    if isinstance(data, str):
        text = data
    elif data.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = data.decode("utf-16", errors="replace")
    else:
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
    text = text.removeprefix("\ufeff").rstrip("\x1a")  # 1A: end of text in old DOS files
    if "\0" in text:
        line = len(_LINE_END.findall(text, 0, text.index("\0"))) + 1
        raise PhotometryError(line, "this is not a text file (it holds binary data)")
    return text


def split_lines(text: str) -> list[str]:
    """Lines of a text, ended by CR LF, LF or CR."""
    return _LINE_END.split(text)


def split_tokens(line: str) -> list[str]:
    """Pieces of a line between blanks, tabs and commas."""
    return _TOKEN.findall(line)


def shown(text: str) -> str:
    """A piece of a file, short and printable, to quote in a message."""
    text = text.strip()
    return ascii(text if len(text) <= 24 else text[:24] + "...")


def is_plain_number(token: str) -> bool:
    """Whether a token is a finite number in plain ASCII digits."""
    return len(token) <= _LONGEST_NUMBER and _NUMBER.fullmatch(token) is not None and math.isfinite(float(token))


class NumberReader:
    """Hands out the numbers of a file one after the other, whatever line they stand on.

    Parameters
    ----------
    lines : sequence of str
        All lines of the file.
    after : int
        Line number (from 1) after which the numbers begin.
    """

    def __init__(self, lines: Sequence[str], after: int) -> None:
        self.line = after
        """Line of the number handed out last."""
        self._lines = lines
        self._tokens = self._walk(after)

    def _walk(self, after: int) -> Iterator[str]:
        for number in range(after, len(self._lines)):
            for match in _TOKEN.finditer(self._lines[number]):
                self.line = number + 1
                yield match[0]

    def number(self, what: str) -> float:
        """Next number; `what` it is goes into the message if it is missing or no number."""
        token = next(self._tokens, None)
        if token is None:
            raise PhotometryError(self.line, f"the file ends where the {what} should follow")
        if not is_plain_number(token):
            raise self._no_number(token, f"the {what}")
        return float(token) + 0.0  # -0 becomes 0

    def numbers(self, count: int, what: str) -> Iterator[float]:
        """Next `count` numbers, one by one, so that a false count costs no memory."""
        for given in range(count):
            token = next(self._tokens, None)
            if token is None:
                plural = "" if given == 1 else "s"
                reason = f"{given} {what}{plural} where {count} are declared; the file ends here"
                raise PhotometryError(self.line, reason)
            if not is_plain_number(token):
                raise self._no_number(token, f"{what} {given + 1} of {count}")
            yield float(token) + 0.0

    def rest(self) -> list[str]:
        """Pieces after the last number handed out, to the end of their line; empty at the end of the file."""
        token = next(self._tokens, None)
        if token is None:
            return []
        line = self.line
        rest = [token]
        for token in self._tokens:
            if self.line != line:
                break
            rest.append(token)
        self.line = line
        return rest

    def _no_number(self, token: str, what: str) -> PhotometryError:
        return PhotometryError(self.line, f"{shown(token)} stands where {what} should be; it is no finite number")
