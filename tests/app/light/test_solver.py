"""The solver: what is computed at once, what in the background, and what not at all."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.document import Document
from app.solver import Solver
from app.switches import Switches
from core.plan import Fixture, Group, Plan
from tests.app.light.standin import StandInEngine, barn, lighting_of, shop


class Bench:
    """A document with its solver, and everything that the solver has said."""

    def __init__(self, engine: StandInEngine) -> None:
        self.engine = engine
        self.document = Document(shop())
        self.solver = Solver(self.document, engine)
        self.shown: list = []
        self.failures: list[str] = []
        self.busy: list[bool] = []
        self.stale: list[bool] = []
        self.progress: list[tuple[float, str]] = []
        self.solver.lighting_changed.connect(self.shown.append)
        self.solver.failed.connect(self.failures.append)
        self.solver.busy_changed.connect(self.busy.append)
        self.solver.stale_changed.connect(self.stale.append)
        self.solver.progress.connect(lambda share, what: self.progress.append((share, what)))

    def settle(self, qtbot: QtBot) -> None:
        qtbot.waitUntil(lambda: not self.solver.is_busy, timeout=5000)
        plan = self.document.plan
        if self.engine.failure is None:
            qtbot.waitUntil(lambda: any(ready.room == plan.room for ready in self.engine.ready), timeout=5000)


@pytest.fixture
def engine() -> StandInEngine:
    return StandInEngine()


@pytest.fixture
def bench(qtbot: QtBot, engine: StandInEngine) -> Iterator[Bench]:
    made = Bench(engine)
    made.settle(qtbot)
    yield made
    made.solver.shutdown()


def moved(plan: Plan, dx: float, identity: str = "f1") -> Plan:
    return replace(plan, fixtures=tuple(replace(f, x=f.x + dx) if f.id == identity else f for f in plan.fixtures))


def taller(plan: Plan, by: float = 0.1) -> Plan:
    return replace(plan, room=replace(plan.room, height=plan.room.height + by))


def same_light(lighting: object, plan: Plan) -> bool:
    return np.array_equal(lighting.responses, lighting_of(plan).responses)  # type: ignore[attr-defined]


def test_opening_shows_a_quick_picture_and_then_the_full_one(bench: Bench) -> None:
    assert [light.is_full for light in bench.shown] == [False, True]
    assert [quick for _, quick in bench.engine.solved] == [True, False]
    assert bench.busy == [False]  # it was busy from the start
    assert same_light(bench.solver.lighting, bench.document.plan)


def test_a_dragged_fixture_shows_its_light_in_the_very_call(bench: Bench, qtbot: QtBot) -> None:
    before = len(bench.engine.solved)
    for i in range(1, 6):
        plan = moved(bench.document.settled_plan, 0.1 * i)
        bench.document.preview(plan)
        assert same_light(bench.solver.lighting, plan)
        assert not bench.solver.is_stale
    qtbot.wait(80)
    assert len(bench.engine.solved) == before  # nothing in the background while the mouse is down


@pytest.mark.parametrize(("level", "finely"), [(1.0, False), (0.0, True)])
def test_what_gives_most_of_the_light_is_followed_finely(qtbot: QtBot, level: float, finely: bool) -> None:
    """With everything on the dragged fixture is one of many; with all other switches off it is all that is seen."""
    engine, plan = StandInEngine(), shop()
    alone = replace(plan, groups=(*plan.groups, Group("Z", "dragged")))
    alone = replace(alone, fixtures=(replace(plan.fixtures[0], group="Z"), *plan.fixtures[1:]))
    document, switches = Document(alone), Switches(alone)
    for letter in switches.levels:
        switches.set_level(letter, 1.0 if letter == "Z" else level)
    solver = Solver(document, engine, switches=switches)
    qtbot.waitUntil(lambda: bool(engine.ready), timeout=5000)
    document.preview(moved(alone, 0.3))
    assert engine.finely == [finely]
    solver.shutdown()


def test_rooms_are_laid_out_for_drags_when_nothing_is_computed(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not between the quick picture and the full one: it would stand in the way of a change that comes next."""
    document = Document(shop())
    solver = Solver(document, StandInEngine(slow=0.8))
    qtbot.waitUntil(lambda: not solver.is_busy, timeout=5000)
    begun: list[tuple[bool, bool]] = []

    def make_ready(_plan: Plan) -> None:
        light = solver.lighting
        begun.append((solver.is_busy, light is not None and light.is_full))

    monkeypatch.setattr(solver._worker, "make_ready", make_ready)
    document.apply("Raise the ceiling", taller(document.plan))
    qtbot.waitUntil(lambda: not solver.is_busy, timeout=5000)
    assert begun == []
    qtbot.waitUntil(lambda: len(begun) > 0, timeout=5000)
    assert begun == [(False, True)]
    solver.shutdown()


def test_the_full_picture_follows_when_the_gesture_ends(bench: Bench, qtbot: QtBot) -> None:
    before, shown = len(bench.engine.solved), len(bench.shown)
    plan = moved(bench.document.plan, 0.3)
    bench.document.preview(plan)
    bench.document.apply("Move 4 ft strip", plan)
    assert bench.solver.is_busy
    assert len(bench.shown) == shown + 1
    bench.settle(qtbot)
    assert [quick for _, quick in bench.engine.solved[before:]] == [False]
    assert bench.solver.lighting is not None
    assert bench.solver.lighting.is_full
    assert len(bench.shown) == shown + 2  # no empty or coarser picture in between
    assert bench.stale == []


def test_before_the_room_is_ready_a_drag_goes_to_the_background(bench: Bench, qtbot: QtBot) -> None:
    bench.engine.ready.clear()
    plan = moved(bench.document.plan, 0.4)
    bench.document.preview(plan)
    assert bench.solver.is_stale
    bench.settle(qtbot)
    assert same_light(bench.solver.lighting, plan)
    bench.document.preview(moved(bench.document.plan, 0.1))
    assert not bench.solver.is_stale
    bench.document.cancel()


def test_cancel_and_undo_show_the_remembered_light(bench: Bench, qtbot: QtBot) -> None:
    solved = len(bench.engine.solved)
    bench.document.preview(moved(bench.document.plan, 0.5))
    bench.document.cancel()
    assert bench.solver.lighting is not None
    assert bench.solver.lighting.is_full
    qtbot.wait(30)
    assert len(bench.engine.solved) == solved
    bench.document.apply("Raise the ceiling", taller(bench.document.plan))
    bench.settle(qtbot)
    solved = len(bench.engine.solved)
    bench.document.undo()
    assert same_light(bench.solver.lighting, bench.document.plan)
    assert not bench.solver.is_stale
    assert not bench.solver.is_busy
    assert len(bench.engine.solved) == solved


def test_names_and_prices_compute_nothing(bench: Bench, qtbot: QtBot) -> None:
    solved, followed, shown = len(bench.engine.solved), bench.engine.followed, len(bench.shown)
    plan = bench.document.plan
    renamed = replace(
        plan,
        name="Another name",
        furniture=tuple(replace(item, name="Renamed") for item in plan.furniture),
        fixtures=tuple(replace(f, name="Over the vise") for f in plan.fixtures),
        models=tuple(replace(model, price=99.0, name="Strip") for model in plan.models),
    )
    bench.document.apply("Rename", renamed)
    qtbot.wait(60)
    assert (len(bench.engine.solved), bench.engine.followed, len(bench.shown)) == (solved, followed, shown)
    assert bench.busy == [False]


def test_another_group_only_relabels_columns(bench: Bench, qtbot: QtBot) -> None:
    solved, followed = len(bench.engine.solved), bench.engine.followed
    old = bench.solver.lighting
    plan = bench.document.plan
    changed = replace(plan, fixtures=(replace(plan.fixtures[0], group="B"), *plan.fixtures[1:]))
    bench.document.apply("Switch with B", changed)
    qtbot.wait(60)
    assert (len(bench.engine.solved), bench.engine.followed) == (solved, followed)
    new = bench.solver.lighting
    assert old is not None
    assert new is not None
    assert new.groups == ("B", "A", "B", "B", "B")
    assert new.responses is old.responses


def test_added_and_removed_fixtures_show_at_once(bench: Bench, qtbot: QtBot) -> None:
    plan = bench.document.plan
    more = replace(plan, fixtures=(*plan.fixtures, Fixture("f9", "strip-4", 2.0, 2.0, group="B")))
    bench.document.apply("Add 4 ft strip", more)
    assert same_light(bench.solver.lighting, more)
    fewer = replace(more, fixtures=more.fixtures[1:])
    bench.document.apply("Delete 4 ft strip", fewer)
    assert same_light(bench.solver.lighting, fewer)
    bench.settle(qtbot)
    assert bench.solver.lighting is not None
    assert bench.solver.lighting.is_full


def test_a_changed_room_is_stale_until_its_light_is_there(bench: Bench, qtbot: QtBot) -> None:
    bench.document.apply("Raise the ceiling", taller(bench.document.plan))
    assert bench.stale == [True]
    assert bench.solver.is_busy
    bench.settle(qtbot)
    assert bench.stale == [True, False]
    assert [quick for _, quick in bench.engine.solved[2:]] == [True, False]
    assert same_light(bench.solver.lighting, bench.document.plan)


def test_back_to_the_old_room_calls_the_new_one_off(bench: Bench, qtbot: QtBot) -> None:
    bench.engine.slow = 1.0
    plan = bench.document.plan
    bench.document.apply("Raise the ceiling", taller(plan))
    qtbot.waitUntil(lambda: bench.progress != [], timeout=2000)
    bench.document.undo()
    assert not bench.solver.is_stale
    assert not bench.solver.is_busy
    bench.solver.shutdown()
    assert all(solved.room == plan.room for solved, _ in bench.engine.solved)


def test_back_in_a_room_whose_laying_out_was_called_off_fixtures_can_be_dragged(bench: Bench, qtbot: QtBot) -> None:
    plan = bench.document.plan
    bench.engine.ready.clear()  # as if the change had come before it was ready
    bench.engine.slow = 60.0
    bench.document.apply("Taller", taller(plan))
    qtbot.wait(20)
    bench.engine.slow = 0.0
    bench.document.undo()
    bench.settle(qtbot)
    dragged = moved(plan, 0.1)
    bench.document.preview(dragged)
    assert same_light(bench.solver.lighting, dragged)
    assert not bench.solver.is_stale


def test_the_newest_request_wins(bench: Bench, qtbot: QtBot) -> None:
    bench.engine.slow = 0.15
    plan = bench.document.plan
    for i in range(1, 5):
        bench.document.apply("Raise the ceiling", taller(plan, 0.1 * i))
        qtbot.wait(10)
    bench.settle(qtbot)
    assert {solved.room.height for solved, _ in bench.engine.solved[2:]} == {taller(plan, 0.4).room.height}
    assert same_light(bench.solver.lighting, taller(plan, 0.4))
    assert bench.stale == [True, False]
    assert len(bench.progress) > 0


def test_a_dragged_wall_waits_for_the_mouse_to_rest(bench: Bench, qtbot: QtBot) -> None:
    solved = len(bench.engine.solved)
    plan = bench.document.plan
    for i in range(1, 12):
        bench.document.preview(taller(plan, 0.01 * i))
        qtbot.wait(5)
    assert len(bench.engine.solved) == solved
    assert bench.solver.is_stale
    bench.settle(qtbot)
    assert same_light(bench.solver.lighting, taller(plan, 0.01 * 11))


def test_a_failure_is_told_once_and_the_light_stays(
    bench: Bench, qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    old = bench.solver.lighting
    bench.engine.failure = RuntimeError("singular matrix")
    with caplog.at_level(logging.ERROR):
        bench.document.apply("Raise the ceiling", taller(bench.document.plan))
        bench.settle(qtbot)
        bench.document.apply("Rename", replace(bench.document.plan, name="Shop"))
        qtbot.wait(50)
    assert len(bench.failures) == 1
    assert "Undo the change" in bench.failures[0]
    assert "singular" not in bench.failures[0]
    assert "singular matrix" in caplog.text
    assert bench.solver.lighting is old
    assert bench.solver.is_stale
    bench.engine.failure = None
    bench.document.undo()
    bench.document.undo()
    assert not bench.solver.is_stale


def test_the_cores_own_sentence_reaches_the_user(bench: Bench, qtbot: QtBot) -> None:
    bench.engine.failure = ValueError("4 ft strip: no light distribution in its entry; read its LM-63 file again.")
    bench.document.apply("Raise the ceiling", taller(bench.document.plan))
    bench.settle(qtbot)
    assert "read its LM-63 file again." in bench.failures[0]


def test_many_changed_fixtures_do_not_freeze_the_window(bench: Bench, qtbot: QtBot) -> None:
    plan = bench.document.plan
    many = tuple(Fixture(f"n{i}", "strip-4", 0.3 + 0.2 * i, 2.0, group="A") for i in range(20))
    followed = bench.engine.followed
    bench.document.apply("Take a layout", replace(plan, fixtures=many))
    assert bench.engine.followed == followed
    assert bench.solver.is_stale
    bench.settle(qtbot)
    assert same_light(bench.solver.lighting, bench.document.plan)


def test_force_settle_computes_here_and_now(engine: StandInEngine, qtbot: QtBot) -> None:
    made = Bench(engine)
    lighting = made.solver.force_settle()
    assert lighting.is_full
    assert not made.solver.is_busy
    assert made.solver.lighting is lighting
    qtbot.wait(30)
    assert len(engine.solved) == 1
    made.solver.shutdown()


def test_another_plan_does_not_show_the_light_of_the_last_one(bench: Bench, qtbot: QtBot) -> None:
    other = barn()
    bench.document.replace(other)
    assert bench.shown[-1] is None
    assert bench.solver.lighting is None
    assert not bench.solver.is_stale
    assert bench.solver.is_busy
    bench.settle(qtbot)
    assert same_light(bench.solver.lighting, other)


def test_stop_gives_up_until_the_next_change(bench: Bench, qtbot: QtBot) -> None:
    bench.engine.slow = 2.0
    old = bench.solver.lighting
    bench.document.apply("Raise the ceiling", taller(bench.document.plan))
    qtbot.waitUntil(lambda: bench.progress != [], timeout=2000)
    bench.solver.stop()
    assert not bench.solver.is_busy
    assert bench.solver.is_stale
    bench.engine.slow = 0.0
    bench.document.apply("Rename", replace(bench.document.plan, name="Shop"))
    qtbot.wait(60)
    assert bench.solver.lighting is old
    bench.document.apply("Raise the ceiling", taller(bench.document.plan))
    bench.settle(qtbot)
    assert same_light(bench.solver.lighting, bench.document.plan)


def test_shutdown_stops_a_running_solve_and_nothing_is_shown_after(qtbot: QtBot) -> None:
    engine = StandInEngine(slow=30.0)
    made = Bench(engine)
    qtbot.waitUntil(lambda: made.progress != [], timeout=2000)
    start = time.monotonic()
    made.solver.shutdown()
    made.solver.shutdown()
    assert time.monotonic() - start < 10.0  # far below the 9 s that the quick pass alone still had to go
    made.document.apply("Raise the ceiling", taller(made.document.plan))
    qtbot.wait(50)
    assert made.shown == []
    assert engine.solved == []
