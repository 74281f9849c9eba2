"""Work in pieces that several threads take from one heap, the calling one among them."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence

from core.light.visibility import THREADS, Aside

__all__ = ["SharedWork"]


class SharedWork:
    """Pieces of work that the threads for rays begin with at once and that the calling one takes part in when it can.

    A piece puts what it finds where it belongs; it returns nothing. Not for use on one of the threads for rays.
    """

    def __init__(self, pieces: Iterable[Callable[[], None]]) -> None:
        self._waiting = deque(pieces)
        self._others = [Aside(self._take_all) for _ in range(THREADS - 1)]

    def put_first(self, pieces: Sequence[Callable[[], None]]) -> None:
        """Put more work before what has not been begun."""
        self._waiting.extendleft(reversed(pieces))

    def until(self, is_done: Callable[[], bool]) -> None:
        """Take part until something is done; raise what a piece has raised on another thread."""
        while not is_done():
            if not self._take_one():
                self.finish()
                return

    def finish(self) -> None:
        """Take part until everything is done; raise what a piece has raised on another thread."""
        self._take_all()
        for other in self._others:
            other.result()

    def _take_all(self) -> None:
        while self._take_one():
            pass

    def _take_one(self) -> bool:
        try:
            # One step, which no other thread can come between.
            piece = self._waiting.popleft()
        except IndexError:
            return False
        piece()
        return True
