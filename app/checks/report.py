"""The checks' part of the report: `findings.csv`, and `bench-<bench>.png` for each bench where somebody stands."""

from __future__ import annotations

from pathlib import Path

from app.checks.bench_picture import BenchShadowPicture, save_bench
from core.ceiling import plan_as_hung
from core.ceiling.as_findings import ceiling_findings
from core.checks.checker import Checker
from core.checks.finding import Finding, Wording
from core.checks.findings import findings, findings_csv, named_settings
from core.checks.study import Study
from core.checks.targets import work_target
from core.light.engine import LightEngine
from core.plan import Plan
from core.plan.safe_write import write_safely, writing_trouble
from core.report import ReportError
from core.tables import slug
from core.wiring.as_findings import wiring_findings

__all__ = ["checked", "picture_of", "write_checks"]


def checked(plan: Plan, engine: LightEngine) -> tuple[Study, list[Finding]]:
    """Return the thorough study of a plan as it hangs, and its findings: of every named setting, ceiling and wiring."""
    hung = plan_as_hung(plan)
    study = Checker(engine).study(hung, thorough=True)
    of_light = [finding for name, levels in named_settings(hung) for finding in findings(study, name, levels)]
    return study, [*of_light, *ceiling_findings(hung), *wiring_findings(hung)]


def write_checks(
    plan: Plan, out_dir: Path, engine: LightEngine, done: tuple[Study, list[Finding]] | None = None
) -> tuple[Path, ...]:
    """Write findings of every named setting, and the pictures with everything on, into a folder that is there.

    ``done`` is what `checked` returned for the plan, if it is at hand.

    Raises
    ------
    ReportError
        If a file cannot be written.
    """
    study, found = done or checked(plan, engine)
    written = [out_dir / "findings.csv"]
    names: list[str] = []
    try:
        write_safely(written[0], findings_csv(found).encode("utf-8", errors="replace"))
        for number, shadow in enumerate(study.shadows):
            item = shadow.stand.item
            names.append(slug(item.name or item.id, names))
            written.append(out_dir / f"bench-{names[-1]}.png")
            save_bench(picture_of(study, number, found), written[-1])
    except (OSError, ValueError) as error:
        raise ReportError(writing_trouble(written[-1], error)) from error
    return tuple(written)


def picture_of(study: Study, number: int, found: list[Finding]) -> BenchShadowPicture:
    """Return what is drawn of one shadow of a study with everything on."""
    name, levels = named_settings(study.plan)[0]
    shadow = study.shadows[number]
    mine = (
        finding
        for finding in found
        if finding.combination == name
        and finding.what.startswith("body shadow")
        and finding.about[:1] == (shadow.stand.item.id,)
    )
    return BenchShadowPicture(
        shadow,
        study.lighting.shares(levels),
        Wording(study.plan, name),
        work_target(study.plan, shadow.stand.item).value,
        next(mine, None),
    )
