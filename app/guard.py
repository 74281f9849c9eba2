"""Keeps an error inside of what Qt calls from going back into Qt, which may not survive it (Python 3.11)."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from typing import Any, TypeVar, cast

__all__ = ["guarded"]

Reaction = TypeVar("Reaction", bound=Callable[..., Any])


def guarded(reaction: Reaction) -> Reaction:
    """Wrap an event handler: an error goes where all errors go (log and one message), and the event is over."""

    @functools.wraps(reaction)
    def safe(self: Any, *given: Any) -> Any:
        try:
            return reaction(self, *given)
        except Exception:
            sys.excepthook(*sys.exc_info())
            # A filter has to answer; everything else answers nothing.
            return False if reaction.__name__ == "eventFilter" else None

    return cast(Reaction, safe)
