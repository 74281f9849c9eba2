"""How far the light is off: the program against an independent renderer, case by case.

    python -m tests.benchmarks.accuracy [FOLDER] [--pictures DIR]

Prints one line a case: points, mean and signed mean deviation (bias), the worst point, the worst near a shadow's edge,
the mean deviation of the direct part alone, seconds on this machine. All deviations are in per cent of a point's own
value. Pictures show the field on a plane, the reference's points in the same colours, and their deviations.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from core.light.direct import direct
from core.light.enclosure import enclose
from core.light.sources import sources_of
from core.light.visibility import blockers_of
from tests.reference.cases import illuminance, plan_of

PUBLIC = Path(__file__).parent.parent / "reference" / "public"
HEAD = f"{'case':28s} {'points':>6s} {'mean':>7s} {'bias':>7s} {'worst':>7s} {'edge':>7s} {'direct':>7s} {'s':>5s}"


def main(arguments: list[str] | None = None) -> int:
    """Print the table; return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.accuracy", description=__doc__.split("\n")[0])
    parser.add_argument(
        "folder", nargs="?", type=Path, default=PUBLIC, help="folder of cases (default: the public ones)"
    )
    parser.add_argument("--pictures", type=Path, help="write a picture of each case into this folder")
    chosen = parser.parse_args(arguments)
    files = sorted(chosen.folder.glob("*.json"))
    if not files:
        print(f"{chosen.folder}: no cases (*.json) there", file=sys.stderr)
        return 2
    print(HEAD)
    means = []
    for file in files:
        case = json.loads(file.read_text(encoding="utf-8"))
        start = time.perf_counter()
        lux = illuminance(case)
        seconds = time.perf_counter() - start
        means.append(_line(case, lux, seconds))
        if chosen.pictures is not None:
            _draw(case, lux, chosen.pictures)
    print(f"all cases: mean {np.mean(means):.3f} %, worst case mean {max(means):.3f} %")
    return 0


def _line(case: dict[str, Any], lux: np.ndarray, seconds: float) -> float:
    """Print one case's line and return its mean deviation [%]."""
    exact, edge = np.array(case["E_lux"]), np.array(case["near_shadow_edge"], dtype=bool)
    off = 100.0 * (lux / exact - 1.0)
    straight = _direct(case)
    of_direct = 100.0 * np.abs(straight - np.array(case["E_direct_lux"])) / exact
    print(
        f"{case['name']:28s} {len(off):6d} {np.abs(off).mean():7.3f} {off.mean():+7.3f} {_largest(off[~edge])} "
        f"{_largest(off[edge])} {of_direct.mean():7.3f} {seconds:5.1f}",
        flush=True,
    )
    return float(np.abs(off).mean())


def _largest(off: np.ndarray) -> str:
    return f"{off[np.abs(off).argmax()]:+7.2f}" if off.size else "      -"


def _direct(case: dict[str, Any]) -> np.ndarray:
    plan = plan_of(case)
    blockers = blockers_of(enclose(plan).triangles)
    points, normals = np.array(case["points"], float), np.array(case["normals"], float)
    return np.asarray(sum(direct(points, normals, source, blockers) for source in sources_of(plan)))


def _draw(case: dict[str, Any], lux: np.ndarray, folder: Path) -> None:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from tests.benchmarks.picture import draw_case

    folder.mkdir(parents=True, exist_ok=True)
    draw_case(case, lux, folder / f"{case['name']}.png")


if __name__ == "__main__":
    sys.exit(main())
