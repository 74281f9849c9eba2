"""Work in pieces: each done once, what comes first comes first, and what goes wrong is told to who waits."""

from __future__ import annotations

import threading
from functools import partial

import pytest

from core.light import shared_work
from core.light.shared_work import SharedWork


def test_every_piece_is_done_once() -> None:
    done: list[int] = []
    SharedWork(partial(done.append, number) for number in range(200)).finish()
    assert sorted(done) == list(range(200))


def test_what_is_put_first_is_done_first(monkeypatch: pytest.MonkeyPatch) -> None:
    """On one thread, which takes piece by piece from the front."""
    monkeypatch.setattr(shared_work, "THREADS", 1)
    done: list[str] = []
    work = SharedWork(partial(done.append, name) for name in "cd")
    work.put_first([partial(done.append, name) for name in "ab"])
    work.until(lambda: len(done) == 2)
    assert done == ["a", "b"]
    work.finish()
    assert done == ["a", "b", "c", "d"]


def test_who_waits_takes_part() -> None:
    """While another thread is held up by the first piece, the caller does the others and then waits for it."""
    held, by = threading.Event(), []

    def hold() -> None:
        by.append(threading.current_thread().name)
        held.wait(5.0)

    def free() -> None:
        by.append(threading.current_thread().name)
        held.set()

    work = SharedWork([hold, free])
    if shared_work.THREADS < 2:
        held.set()
    work.until(held.is_set)
    work.finish()
    assert len(by) == 2
    assert threading.current_thread().name in by


@pytest.mark.parametrize("threads", [1, 2])
def test_what_a_piece_raises_reaches_the_caller(threads: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shared_work, "THREADS", threads)

    def fails() -> None:
        raise ArithmeticError("no light")

    with pytest.raises(ArithmeticError, match="no light"):
        SharedWork([fails]).finish()
    with pytest.raises(ArithmeticError, match="no light"):
        SharedWork([fails]).until(lambda: False)
