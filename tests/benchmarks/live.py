"""Is it live? The real window with real mouse events in the barn demo; figures are in milliseconds.

    python -m tests.benchmarks.live --json [--rays FILE.npz] [--without-growth | --hall]

``drag_ms_*``: from the mouse-move event to the end of the paint that shows the fixture's new light, panels included.
``drag_error_max``: the last drag picture against a fresh full-quality one, relative, off shadow edges.
``embree_ms``: the same frame's rays through Embree alone, one thread.
``toggle_ms``: the light at another switch setting with its figures, no painting.
``room_change_ms``: from moving a cabinet to the paint of the first new picture. ``open_to_overlay_ms``: from opening
the file to the paint of its first light. ``peak_mb``: the process's largest resident memory after all that; the hall in
``scaling`` has a process of its own, ``--hall`` measures it alone.
``--rays`` saves one drag frame's rays: origins, directions (end = origin + direction), triangles.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import time
from dataclasses import asdict, replace
from importlib.resources import as_file, files
from pathlib import Path

import numpy as np

from core.plan import Plan
from core.plan.file import load_plan

__all__ = ["main"]

BARN = "metal_wood_barn.json"
_FRAMES = 240
_HALL_FRAMES = 60


def main(argv: list[str] | None = None) -> int:
    """Measure, print, and return 0."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.live", description=__doc__.split("\n")[0])
    parser.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    parser.add_argument("--rays", type=Path, metavar="FILE.npz", help="save one drag frame's rays")
    parser.add_argument("--without-growth", action="store_true", help="leave out the scaling table and the hall")
    parser.add_argument("--hall", action="store_true", help="measure the hall and nothing else")
    asked = parser.parse_args(argv)
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    figures = _hall() if asked.hall else measure(asked.rays, not asked.without_growth)
    print(json.dumps(figures, indent=None if asked.json else 2))
    return 0


def measure(rays: Path | None, with_growth: bool) -> dict[str, object]:
    """Return all figures by name."""
    from tests.benchmarks.growth import growth

    with as_file(files("demo_rooms").joinpath(BARN)) as path:
        barn = load_plan(path)
        figures = _barn(path, barn, rays)
    figures["peak_mb"] = _peak_mb()
    figures["scaling"] = [*growth(barn), _hall_alone()] if with_growth else []
    figures["scaling_peak_mb"] = _peak_mb()
    return figures


def _barn(path: Path, barn: Plan, rays: Path | None) -> dict[str, object]:
    from app.templates import TEMPLATES, blank
    from tests.benchmarks.window_driver import Driver

    driver = Driver(blank(TEMPLATES[0]))
    driver.settle()
    first, full = driver.open_file(path)
    driver.settle()
    figures: dict[str, object] = {"open_to_overlay_ms": round(first, 1), "open_to_full_ms": round(full, 1)}
    everything_on(driver)
    figures |= _drag(driver, rays)
    figures |= _toggle(driver)
    changes = [driver.change("Move a cabinet", _cabinet_moved(driver.window.document.plan, 0.1)) for _ in range(3)]
    figures["room_change_ms"] = round(max(first for first, _ in changes), 1)
    figures["room_change_full_ms"] = round(max(full for _, full in changes), 1)
    driver.close()
    return figures


def everything_on(driver: object) -> None:
    """Turn every switch on."""
    driver.window.switch_all(1.0)  # type: ignore[attr-defined]
    driver.pump()  # type: ignore[attr-defined]


def _drag(driver: object, rays: Path | None) -> dict[str, object]:
    from tests.benchmarks.drag_error import drag_error

    window = driver.window  # type: ignore[attr-defined]
    plan = window.document.plan
    identity = _middle_fixture(plan)
    driver.drag(identity, 30)  # type: ignore[attr-defined]
    driver.drop()  # type: ignore[attr-defined]
    frames = driver.drag(identity, _FRAMES)  # type: ignore[attr-defined]
    last, shown = frames.plan, window.solver.lighting
    index = [fixture.id for fixture in last.fixtures].index(identity)
    traced = window.solver.engine.drag_rays(last, index)
    origins, directions, triangles = traced
    driver.drop()  # type: ignore[attr-defined]
    if rays is not None:
        np.savez_compressed(rays, origins=origins, directions=directions, triangles=triangles)
    error = drag_error(shown, last, identity, triangles)
    return {
        "drag_ms_p50": round(float(np.percentile(frames.ms, 50)), 2),
        "drag_ms_p95": round(float(np.percentile(frames.ms, 95)), 2),
        "drag_ms_max": round(max(frames.ms), 2),
        "drag_frames": len(frames.ms),
        "drag_frames_behind": frames.behind,
        "drag_follow_ms": _follow_ms(window, last, identity),
        "drag_rays": len(origins),
        "drag_error_max": round(error.largest, 5),
        "drag_error": {name: round(value, 5) for name, value in asdict(error).items()},
        **_embree(origins, directions, triangles),
    }


def _follow_ms(window: object, plan: Plan, identity: str) -> float:
    """Return the median milliseconds of the engine's part of a drag frame."""
    engine, lighting, taken = window.solver.engine, window.solver.lighting, []  # type: ignore[attr-defined]
    for i in range(30):
        moved = tuple(replace(f, x=f.x + 0.001 * (i + 1)) if f.id == identity else f for f in plan.fixtures)
        start = time.perf_counter()
        engine.follow(lighting, replace(plan, fixtures=moved))
        taken.append(time.perf_counter() - start)
    return round(float(np.median(taken)) * 1000.0, 2)


def _embree(origins: np.ndarray, directions: np.ndarray, triangles: np.ndarray) -> dict[str, object]:
    """Return what Embree alone needs for some rays: the whole batch in one call on one thread."""
    try:
        from embreex.mesh_construction import TriangleMesh
        from embreex.rtcore_scene import EmbreeScene
    except ImportError:
        return {"embree_ms": None}
    scene = EmbreeScene(robust=True)
    mesh = TriangleMesh(scene, np.ascontiguousarray(triangles, dtype=np.float32))
    origin, direction = (np.ascontiguousarray(part, dtype=np.float32) for part in (origins, directions))
    taken = []
    for _ in range(25):
        far = np.ones(len(origin), dtype=np.float32)
        start = time.perf_counter()
        scene.run(origin, direction, far, query="OCCLUDED")
        taken.append(time.perf_counter() - start)
    del mesh
    return {"embree_ms": round(float(np.median(taken)) * 1000.0, 2)}


def _toggle(driver: object) -> dict[str, object]:
    from PySide6.QtCore import Qt

    window = driver.window  # type: ignore[attr-defined]
    lighting, levels = window.solver.lighting, dict(window.switches.levels)
    letters = sorted(levels)
    field, product = [], []
    for i in range(200):
        levels[letters[i % len(letters)]] = float(i % 3) / 2.0
        start = time.perf_counter()
        lighting.field(levels)
        field.append(time.perf_counter() - start)
        shares = lighting.shares(levels)
        start = time.perf_counter()
        lighting.responses @ shares
        product.append(time.perf_counter() - start)
    key = Qt.Key(ord(letters[0]))
    painted = [driver.press_key(key) for _ in range(20)]  # type: ignore[attr-defined]
    return {
        "toggle_ms": round(float(np.median(field)) * 1000.0, 4),
        "toggle_product_ms": round(float(np.median(product)) * 1000.0, 4),
        "toggle_to_paint_ms": round(float(np.percentile(painted, 95)), 2),
    }


def _hall_alone() -> dict[str, object]:
    """Measure the hall in a process of its own, so that its memory is its own too."""
    command = [sys.executable, "-m", "tests.benchmarks.live", "--json", "--hall"]
    done = subprocess.run(command, check=True, stdout=subprocess.PIPE, text=True)
    figures: dict[str, object] = json.loads(done.stdout)
    return figures


def _hall() -> dict[str, object]:
    from tests.benchmarks.growth import hall
    from tests.benchmarks.window_driver import Driver

    with as_file(files("demo_rooms").joinpath(BARN)) as path:
        plan = hall(load_plan(path))
    start = time.perf_counter()
    driver = Driver(plan)
    first = driver.until_painted(start, lambda: driver.window.solver.lighting is not None, "the hall's first picture")
    driver.settle()
    full = (time.perf_counter() - start) * 1000.0
    frames = driver.drag(_middle_fixture(plan), _HALL_FRAMES)
    driver.drop()
    driver.close()
    return {
        "what": "hall 60 x 100 ft",
        "times": 1,
        "fixtures": len(plan.fixtures),
        "boxes": len(plan.furniture),
        "first_ms": round(first, 1),
        "full_ms": round(full, 1),
        "drag_ms_p50": round(float(np.percentile(frames.ms, 50)), 2),
        "drag_ms_p95": round(float(np.percentile(frames.ms, 95)), 2),
        "drag_frames_behind": frames.behind,
        "peak_mb": _peak_mb(),
    }


def _middle_fixture(plan: Plan) -> str:
    xs, ys = zip(*plan.room.outline, strict=True)
    x, y = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    hung = [fixture for fixture in plan.fixtures if plan.model(fixture.model).kind != "task lamp"]
    return min(hung, key=lambda fixture: (fixture.x - x) ** 2 + (fixture.y - y) ** 2).id


def _cabinet_moved(plan: Plan, by: float) -> Plan:
    """Return the plan with its first cabinet moved along the wall, or its first machine where it has no cabinet."""
    item = min(plan.furniture, key=lambda piece: ("cabinet", "machine", "bench").index(piece.kind))
    moved = replace(item, x=item.x + by, y=item.y - by)
    return replace(plan, furniture=tuple(moved if piece is item else piece for piece in plan.furniture))


def _peak_mb() -> float:
    """Return the largest resident memory of this process so far [MB].

    Linux hands the figure of `getrusage` on to a process that is started; its own is in /proc. macOS counts in bytes.
    """
    own = Path("/proc/self/status")
    if own.exists():
        line = next(line for line in own.read_text().splitlines() if line.startswith("VmHWM:"))
        return round(float(line.split()[1]) / 1024.0, 1)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return round(most / (1024.0 * 1024.0 if sys.platform == "darwin" else 1024.0), 1)


if __name__ == "__main__":
    sys.exit(main())
