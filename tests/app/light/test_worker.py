"""The worker: what has already arrived but is no longer wanted is dropped, and a failure speaks plainly."""

from __future__ import annotations

from dataclasses import replace

import pytest
from pytestqt.qtbot import QtBot

from app.light.worker import Result, Worker, in_plain_words
from tests.app.light.standin import StandInEngine, shop


def test_a_result_on_its_way_is_dropped_when_a_newer_request_began(qtbot: QtBot) -> None:
    worker = Worker(StandInEngine())
    arrived: list[Result] = []
    worker.arrived.connect(arrived.append)
    first, second = shop(), replace(shop(), work_plane=0.5)
    worker.begin(first, quick_first=True)
    worker.wait()  # both results wait in the event queue now
    worker.begin(second, quick_first=False)
    qtbot.waitUntil(lambda: worker.plan is None, timeout=2000)
    assert len(arrived) == 1
    assert arrived[0].lighting is not None
    assert arrived[0].lighting.room_key[3] == 0.5
    worker.shutdown()


def test_a_called_off_result_is_dropped(qtbot: QtBot) -> None:
    worker = Worker(StandInEngine())
    arrived: list[Result] = []
    worker.arrived.connect(arrived.append)
    worker.begin(shop(), quick_first=True)
    worker.wait()
    worker.call_off()
    qtbot.wait(30)
    assert arrived == []
    worker.shutdown()


@pytest.mark.parametrize(
    ("problem", "expected"),
    [
        (MemoryError(), "memory is full"),
        (ValueError("4 ft strip: no light distribution in its entry."), "4 ft strip: no light distribution"),
        (ValueError("operands could not be broadcast together"), "Undo the change"),
        (ZeroDivisionError("division by zero"), "Undo the change"),
    ],
)
def test_failures_speak_to_a_woodworker(problem: Exception, expected: str) -> None:
    text = in_plain_words(problem)
    assert text.startswith("The light could not be computed")
    assert expected in text
    assert "broadcast" not in text
    assert "division" not in text


def test_a_changed_room_does_not_wait_until_the_old_one_is_ready_for_drags(qtbot: QtBot) -> None:
    """The engine would take a minute for it; the new room's first picture comes all the same."""
    engine = StandInEngine(slow=60.0)
    worker = Worker(engine)
    arrived: list[Result] = []
    worker.arrived.connect(arrived.append)
    worker.make_ready(shop())
    qtbot.wait(20)
    engine.slow = 0.0
    worker.begin(replace(shop(), work_plane=0.5), quick_first=True)
    qtbot.waitUntil(lambda: worker.plan is None, timeout=2000)
    assert [result.failure for result in arrived] == ["", ""]
    assert engine.ready == []
    worker.shutdown()


def test_a_changed_fixture_leaves_the_room_being_made_ready(qtbot: QtBot) -> None:
    engine = StandInEngine(slow=0.05)
    worker = Worker(engine)
    plan = shop()
    worker.make_ready(plan)
    worker.begin(replace(plan, fixtures=plan.fixtures[1:]), quick_first=False)
    qtbot.waitUntil(lambda: worker.plan is None, timeout=2000)
    assert engine.ready == [plan]
    worker.shutdown()
