"""The light follows the plan: at once while a fixture moves, in the background for all else.

The solver compares what the light depends on (`room_key`, `sources_of`), so a name or a price computes nothing and
another switch group only relabels columns. A changed fixture is computed in the slot itself, so the frame that shows
the move shows its light; when the gesture ends the full picture takes its place. A changed room goes to the worker,
a quick picture first, then the full one; until then the light shown is stale.
"""

from __future__ import annotations

import logging
from collections import deque
from dataclasses import replace

from PySide6.QtCore import QCoreApplication, QObject, QTimer, Signal

from app.document import Document
from app.light.worker import Engine, Result, Worker
from app.switches import Switches
from core.light.field import Lighting
from core.light.keys import RoomKey, room_key
from core.light.sources import Source, sources_of
from core.plan import Plan

__all__ = ["Engine", "Solver"]

_KEPT = 4  # full pictures remembered, so that undo shows its light at once
_REST_MS = 40  # how long a dragged wall or bench must rest before its light is begun
_LAY_OUT_MS = 250  # how long full light must rest before its room is laid out for drags: most changes follow others
_AT_ONCE = 12  # fixtures changed by one step that are computed on the spot; more would freeze the window
_STANDS_OUT = 0.3  # share of all light on: what a drag frame is off by in one fixture's is seen where it gives more
_log = logging.getLogger(__name__)

_Key = tuple[RoomKey, tuple[Source, ...]]


class Solver(QObject):
    """Keeps the light of the document's plan.

    Parameters
    ----------
    document : Document
        Whose plan is lit; its present plan is begun at once.
    engine : Engine
        Computes; also called on the worker's thread.
    switches : Switches
        How bright each group is; without, everything counts as on.
    """

    lighting_changed = Signal(object)  # Lighting to show now; None when another plan was opened
    progress = Signal(float, str)  # share of the work done, and what is being worked out
    busy_changed = Signal(bool)
    stale_changed = Signal(bool)  # whether the light shown is that from before a change
    failed = Signal(str)  # what happened and what to do, in plain words

    def __init__(
        self, document: Document, engine: Engine, parent: QObject | None = None, switches: Switches | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._switches = document, switches
        self._engine = engine
        self._worker = Worker(engine, self)
        self._worker.arrived.connect(self._take)
        self._worker.progress.connect(self.progress)
        self._lighting: Lighting | None = None
        self._full: deque[Lighting] = deque(maxlen=_KEPT)
        self._begun: _Key | None = None  # what the worker computes, failed to, or was stopped at
        self._busy = self._stale = self._closed = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._begin)
        self._lay_out = QTimer(self)
        self._lay_out.setSingleShot(True)
        self._lay_out.setInterval(_LAY_OUT_MS)
        self._lay_out.timeout.connect(self._at_rest)
        document.changed.connect(self._follow)
        document.history_changed.connect(self._settle)
        app = QCoreApplication.instance()
        if app is not None:
            app.aboutToQuit.connect(self.shutdown)
        self._schedule(0)

    @property
    def engine(self) -> Engine:
        """What computes."""
        return self._engine

    @property
    def lighting(self) -> Lighting | None:
        """The light that is shown; None before the first picture."""
        return self._lighting

    @property
    def is_busy(self) -> bool:
        """Whether light is being computed or waits to be."""
        return self._busy

    @property
    def is_stale(self) -> bool:
        """Whether the light shown is that of a plan from before a change."""
        return self._stale

    def force_settle(self) -> Lighting:
        """Compute the full light of the present plan on this thread and show it; raises what the engine raises.

        For tests, and for pictures that must not wait for the window.
        """
        self._call_off()
        self._worker.wait()
        lighting = self._engine.solve(self._document.plan)
        self._engine.make_ready_to_drag(self._document.plan)
        self._full.append(lighting)
        self._show(lighting)
        self._set_busy(False)
        return lighting

    def wait_until_ready(self) -> None:
        """Wait until the worker's thread has nothing left to do, the laying out for drags included."""
        if self._lay_out.isActive():
            self._make_ready()
        self._worker.wait()

    def stop(self) -> None:
        """Give up what is being computed; it is begun again with the next change."""
        plan = self._document.plan
        self._call_off()
        self._begun = _key(plan)
        self._set_busy(False)

    def shutdown(self) -> None:
        """Call off what runs and wait for the worker's end; nothing is shown after this."""
        if not self._closed:
            self._closed = True
            self._rest.stop()
            self._lay_out.stop()
            self._worker.shutdown()

    # --- the plan changes

    def _follow(self, _old: Plan, plan: Plan) -> None:
        """Show the light of a changed plan if it can be had at once, else begin it."""
        if self._closed:
            return
        key = _key(plan)
        if self._begun != key:
            self._call_off()
        ready = self._at_hand(key) or self._at_once(plan, key)
        if ready is None:
            if self._is_opened and self._lighting is not None:
                self._lighting = None
                self.lighting_changed.emit(None)
            self._set_stale(self._lighting is not None)
            if self._begun is None:
                self._schedule(_REST_MS if self._document.in_gesture else 0)
            return
        if self._lighting is None or self._stale or ready.room_key != self._lighting.room_key:
            self._lay_out.start()
        if ready is not self._lighting or self._stale or _groups(plan) != ready.groups:
            self._show(ready)
        self._settle()

    @property
    def _is_opened(self) -> bool:
        """Whether the plan was opened just now: nothing to undo and no gesture; older light means nothing to it."""
        document = self._document
        return not document.in_gesture and document.undo_text is None and document.redo_text is None

    def _at_hand(self, key: _Key) -> Lighting | None:
        """Return light that was computed before: the one shown, or a full one that is remembered."""
        known = [*self._full, self._lighting] if self._lighting is not None else []
        fitting = [light for light in known if light is not None and _key_of(light) == key]
        return max(fitting, key=lambda light: (light.is_full, light is self._lighting), default=None)

    def _at_once(self, plan: Plan, key: _Key) -> Lighting | None:
        """Return the light after some fixtures changed, computed here and now; None if that cannot be."""
        base = self._lighting
        if base is None or base.room_key != key[0]:
            return None
        if not self._document.in_gesture and sum(s not in base.sources for s in key[1]) > _AT_ONCE:
            return None
        try:
            return self._engine.follow(base, plan, finely=self._stands_out(base, plan))
        except Exception:
            # The worker tries next, and tells the user if it fails as well.
            _log.exception("light of a moved fixture in %r", plan.name)
            return None

    def _stands_out(self, base: Lighting, plan: Plan) -> bool:
        """Tell whether what changed since ``base`` gives a good part of all light that is on."""
        levels = self._switches.levels if self._switches is not None else None
        known = {id(source) for source in base.sources}
        whole = changed = 0.0
        for fixture, source in zip(plan.fixtures, sources_of(plan), strict=True):
            lumens = source.lumens * (1.0 if levels is None else levels.get(fixture.group, 0.0))
            whole += lumens
            # Nearly all are the very same; only the others are worth a comparison.
            changed += lumens if id(source) not in known and source not in base.sources else 0.0
        return changed > _STANDS_OUT * whole

    def _settle(self) -> None:
        """Begin the full picture if no gesture is under way and the one shown is not full."""
        if self._closed or self._rest.isActive() or self._worker.plan is not None:
            return
        is_full = self._lighting is not None and self._lighting.is_full and not self._stale
        if is_full or self._document.in_gesture or self._begun == _key(self._document.plan):
            self._set_busy(False)
        else:
            self._schedule(0)

    # --- the worker

    def _schedule(self, delay_ms: int) -> None:
        self._set_busy(True)
        self._rest.start(delay_ms)

    def _begin(self) -> None:
        if self._closed:
            return
        plan = self._document.plan
        self._begun = _key(plan)
        followed = self._lighting is not None and _key_of(self._lighting) == self._begun
        self._worker.begin(plan, quick_first=not followed)

    def _at_rest(self) -> None:
        # While light is computed the next change may be near; the last result sets the timer again.
        if not self._busy:
            self._make_ready()

    def _make_ready(self) -> None:
        self._lay_out.stop()
        self._worker.make_ready(self._document.plan)

    def _call_off(self) -> None:
        self._rest.stop()
        self._worker.call_off()
        self._begun = None

    def _take(self, result: Result) -> None:
        """Show what the worker found, or tell that it failed."""
        if self._closed:
            return
        if result.lighting is None:
            self.failed.emit(result.failure)
        else:
            if result.is_last:
                self._full.append(result.lighting)
            self._show(result.lighting)
            if result.is_last:
                self._lay_out.start()
        if result.is_last:
            self._set_busy(False)

    # --- what is shown

    def _show(self, lighting: Lighting) -> None:
        """Show light, its columns under the switch groups of the present plan."""
        groups = _groups(self._document.plan)
        if lighting.groups != groups:
            lighting = replace(lighting, groups=groups)
        self._lighting = lighting
        self._set_stale(False)
        self.lighting_changed.emit(lighting)

    def _set_busy(self, busy: bool) -> None:
        if busy != self._busy:
            self._busy = busy
            self.busy_changed.emit(busy)

    def _set_stale(self, stale: bool) -> None:
        if stale != self._stale:
            self._stale = stale
            self.stale_changed.emit(stale)


def _groups(plan: Plan) -> tuple[str, ...]:
    return tuple(fixture.group for fixture in plan.fixtures)


def _key(plan: Plan) -> _Key:
    return room_key(plan), sources_of(plan)


def _key_of(lighting: Lighting) -> _Key:
    return lighting.room_key, lighting.sources
