"""Writing the report's files. The picture of the plan is drawn by whoever can draw; the report only says where."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Protocol

from core.ceiling import box_table_of, plan_as_hung
from core.light.field import Lighting
from core.plan import Plan
from core.plan.safe_write import write_safely, writing_trouble
from core.report.combinations import reported_combinations
from core.report.summary import light_file_name, summary
from core.shopping import bill_csv, bill_of_materials
from core.tables import csv_text, figure
from core.units import LUX_PER_FC
from core.wiring import CABLE_COLUMNS, CIRCUIT_COLUMNS, cable_rows, circuit_rows, wired

__all__ = ["Engine", "Paper", "Picture", "ReportError", "write_report"]

Picture = Callable[[Plan, Lighting, Mapping[str, float], Path], None]
"""Draws a plan with its light at a switch setting into a PNG file: ``picture(plan, lighting, levels, path)``."""

Paper = Callable[[Plan, Lighting, Path], None]
"""Draws something to be printed into a file: ``paper(plan, lighting, path)``; raises OSError if that cannot be."""


class ReportError(Exception):
    """A report that cannot be written; the text is one line for the user."""


class Engine(Protocol):
    """What the report asks of the light engine."""

    def solve(self, plan: Plan) -> Lighting:
        """Return the light of a plan."""
        ...


def write_report(
    plan: Plan,
    out_dir: Path,
    engine: Engine,
    picture: Picture | None = None,
    papers: Mapping[str, Paper] = MappingProxyType({}),
) -> tuple[Path, ...]:
    """Write a plan's report into a folder, which is made if it is not there.

    Writes ``summary.json``, ``light-<combination>.csv`` for each reported setting, ``shopping-list.csv``,
    ``circuits.csv``, ``cable.csv``, ``box-centres.csv``, the papers that somebody draws, and ``plan.png`` with
    everything on. Where boxes were cut elsewhere than planned, all but box centres and papers is for fixtures as they
    hang.

    Parameters
    ----------
    engine : Engine
        Works out the light; a `core.light.engine.LightEngine`.
    picture : Picture, optional
        Draws ``plan.png``.
    papers : mapping, optional
        What is to be printed: file name and who draws it, for the plan as it was drawn.

    Returns
    -------
    tuple of Path
        The files that were written.

    Raises
    ------
    ReportError
        If the folder or a file cannot be written.
    """
    _make_folder(out_dir)
    drawn, plan = plan, plan_as_hung(plan)
    lighting = engine.solve(plan)
    reported = reported_combinations(plan)
    texts = {"summary.json": json.dumps(summary(plan, lighting, reported), indent=1, ensure_ascii=False) + "\n"}
    for combination in reported:
        texts[light_file_name(combination)] = _light_csv(lighting, combination.levels)
    texts["shopping-list.csv"] = bill_csv(bill_of_materials(plan))
    done = wired(plan)
    texts["circuits.csv"] = csv_text(CIRCUIT_COLUMNS, circuit_rows(plan, done))
    texts["cable.csv"] = csv_text(CABLE_COLUMNS, cable_rows(plan, done))
    texts["box-centres.csv"] = box_table_of(drawn)
    written = [_write(out_dir / name, text) for name, text in texts.items()]
    if picture is not None:
        path = out_dir / "plan.png"
        try:
            picture(plan, lighting, reported[0].levels, path)
        except OSError as error:
            raise ReportError(writing_trouble(path, error)) from error
        written.append(path)
    for name, paper in papers.items():
        try:
            paper(drawn, lighting, out_dir / name)
        except OSError as error:
            raise ReportError(writing_trouble(out_dir / name, error)) from error
        written.append(out_dir / name)
    return tuple(written)


def _light_csv(lighting: Lighting, levels: Mapping[str, float]) -> str:
    lux = lighting.field(levels).lux[lighting.inside]
    points = lighting.grid.points()[lighting.inside.ravel()]
    rows = (
        (figure(x, 4), figure(y, 4), figure(value / LUX_PER_FC, 6))
        for (x, y), value in zip(points.tolist(), lux.tolist(), strict=True)
    )
    return csv_text(("x_m", "y_m", "fc"), rows)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as error:
        raise ReportError(f"{folder} is a file; name a folder for the report.") from error
    except (OSError, ValueError) as error:
        raise ReportError(writing_trouble(folder, error)) from error


def _write(path: Path, text: str) -> Path:
    try:
        write_safely(path, text.encode("utf-8", errors="replace"))
    except (OSError, ValueError) as error:
        raise ReportError(writing_trouble(path, error)) from error
    return path
