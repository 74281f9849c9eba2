"""Errors inside of what Qt calls: said in words, logged in full, and never passed back into Qt, which may
not survive."""

from __future__ import annotations

import functools
import logging
from collections.abc import Callable
from typing import Any, TypeVar, cast

__all__ = ["guarded"]

_log = logging.getLogger(__name__)
Reaction = TypeVar("Reaction", bound=Callable[..., Any])


def guarded(reaction: Reaction) -> Reaction:
    """Wrap an event handler of the canvas: on an error the gesture is dropped, the user told, the stack
    logged."""

    @functools.wraps(reaction)
    def safe(self: Any, *given: Any) -> Any:
        try:
            return reaction(self, *given)
        except Exception:
            _log.exception("%s failed", reaction.__name__)
            self.recover()
            return None

    return cast(Reaction, safe)
