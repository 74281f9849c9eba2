"""`candlebench suggest PLAN.json`: looks for layouts without a window; nothing here needs Qt."""

from __future__ import annotations

import argparse
import json
from dataclasses import replace
from pathlib import Path
from typing import TextIO

from app.suggest.amounts import amount, comfort_text, hidden_price, left_out_text
from core.catalogue import catalogue
from core.plan import Plan
from core.plan.file import PlanFileError, load_plan, save_plan
from core.suggest.answer import Answer, Result, with_answer
from core.suggest.answers import suggest
from core.suggest.request import MOST_MODELS, Request, RequestError
from core.units import LUX_PER_FC, UnitError, UnitSystem, parse_length

__all__ = ["CommandError", "add_options", "run"]


class CommandError(Exception):
    """The command cannot be carried out; the text is one line for the user."""


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add what can be asked for to a parser."""
    parser.add_argument("plan", metavar="PLAN.json")
    parser.add_argument("--min-fc", type=_number, metavar="N", help="at every point of the work plane that counts")
    parser.add_argument(
        "--leave-hidden", action="store_true", help="--min-fc but for spots that machines keep dark under any ceiling"
    )
    parser.add_argument("--average-fc", type=_number, metavar="N", help="average of the work plane")
    parser.add_argument("--bench-targets", action="store_true", help="every bench reaches its own target on average")
    parser.add_argument("--bench-min-fc", type=_number, metavar="N", help="at every point of every bench")
    parser.add_argument("--evenness", type=_number, metavar="SHARE", help="least minimum / average, 0 to 1")
    parser.add_argument("--model", action="append", metavar="ID", help="fixture model; may be given several times")
    parser.add_argument(
        "--setting", type=_whole, metavar="N", help="power setting, 0 for the first; else the strongest"
    )
    parser.add_argument("--count", type=_whole, metavar="N", help="exactly so many fixtures")
    parser.add_argument("--at-most", type=_whole, metavar="N", help="no more than so many")
    parser.add_argument("--from-wall", metavar="LENGTH", help="least distance of a centre from the walls (2 ft)")
    parser.add_argument("--rows", action="store_true", help="aligned rows only")
    parser.add_argument("--on-joists", action="store_true", help="screws meet joists where that costs no fixture")
    parser.add_argument("--symmetric", action="store_true", help="mirrored left to right")
    parser.add_argument("--minimise", choices=("cost", "fixtures", "watts", "shadow"), default="cost")
    parser.add_argument(
        "--switches", type=_whole, default=0, metavar="N", help="share them out to so many switches; else as now"
    )
    parser.add_argument("--reduced-fc", type=_number, metavar="N", help="average left with only some switches on")
    parser.add_argument(
        "--switches-on", metavar="N or A,B", help="how many switches that is, or which ones; with --reduced-fc"
    )
    parser.add_argument("--shadow", type=_number, metavar="SHARE", help="most that a body takes at the hands, 0 to 1")
    parser.add_argument("--glare", type=_number, metavar="UGR", help="most glare at any standing place")
    parser.add_argument("--circuits", type=_whole, default=0, metavar="N", help="most circuits for the lights")
    parser.add_argument("--json", action="store_true", help="print everything as JSON")
    parser.add_argument("--save", metavar="FILE", help="save the plan with the first answer")


def run(asked: argparse.Namespace, out: TextIO) -> None:
    """Look for layouts and print them.

    Raises
    ------
    CommandError
        For anything wrong with what was asked.
    """
    try:
        plan = load_plan(asked.plan)
        request = _request(asked, plan)
        result = suggest(plan, request, catalogue=catalogue())
        if asked.save and result.answers:
            save_plan(with_answer(plan, result.answers[0]), Path(asked.save))
    except (PlanFileError, RequestError, UnitError) as problem:
        raise CommandError(str(problem)) from problem
    if asked.json:
        print(json.dumps(result.as_data(plan), indent=1, ensure_ascii=False), file=out)
    else:
        print(_text(plan, result), file=out)


def _request(asked: argparse.Namespace, plan: Plan) -> Request:
    system = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
    request = Request(
        minimum=(asked.min_fc or 0.0) * LUX_PER_FC,
        leave_hidden=asked.leave_hidden,
        average=(asked.average_fc or 0.0) * LUX_PER_FC,
        benches=asked.bench_targets,
        bench_minimum=(asked.bench_min_fc or 0.0) * LUX_PER_FC,
        evenness=asked.evenness or 0.0,
        models=tuple(asked.model or ()),
        setting=asked.setting,
        count=asked.count,
        at_most=asked.at_most,
        arrangement="rows" if asked.rows else "any",
        symmetric=asked.symmetric,
        on_joists=asked.on_joists,
        minimise=asked.minimise,
        groups=asked.switches,
        shadow_limit=asked.shadow or 0.0,
        glare_limit=asked.glare or 0.0,
        circuits=asked.circuits,
        reduced_average=(asked.reduced_fc or 0.0) * LUX_PER_FC,
    )
    on = (asked.switches_on or "").strip()
    if on.isdecimal():
        request = replace(request, reduced_on=min(int(on[:6]), 1000))
    elif on:
        letters = tuple(part.strip().upper() for part in on.split(",") if part.strip())
        request = replace(request, reduced_switches=letters)
    if asked.from_wall is None:
        return request
    return replace(request, wall_distance=parse_length(asked.from_wall, system))


def _text(plan: Plan, result: Result) -> str:
    units = UnitSystem.METRIC if plan.units == "metric" else UnitSystem.US
    lines = []
    for number, answer in enumerate(result.answers):
        lines.append(_line(plan, number + 1, answer))
        if comfort := comfort_text(plan, answer):
            lines.append(f"   {comfort}.")
        if left_out := left_out_text(answer, units):
            lines.append(f"   {left_out}")
    if not lines:
        lines.append("No layout was found.")
    if result.bound is not None and result.answers:
        name = result.answers[0].model.name
        grid = result.grid_in_words(units)
        lines.append(f"No layout of {name} on a grid of {grid} does it with fewer than {result.bound}.")
    if price := hidden_price(result):
        lines.append(f"{price} Leave them out with --leave-hidden.")
    for part in result.in_the_way:
        reached, wanted = (amount(part.what, value, units) for value in (part.reached, part.wanted))
        most = "at the most" if part.is_proven else "found"
        lines.append(f"In the way: {part.what} at {part.where_in_words(units)}: {reached} {most}, {wanted} was asked.")
    models = result.request.chosen_models(plan, catalogue())
    if len(models) > MOST_MODELS:
        looked = ", ".join(model.name for model in models[:MOST_MODELS])
        lines.append(f"Of {len(models)} models only the first {MOST_MODELS} were looked at: {looked}.")
    if result.limit_hit:
        lines.append("Stopped by the clock: another run may find another answer.")
    return "\n".join(lines)


def _line(plan: Plan, number: int, answer: Answer) -> str:
    found = answer.recomputed or answer.promised
    money = f", {plan.buying.currency}{answer.cost:,.0f}" if answer.cost else ""
    short = "" if answer.is_met else " (not all that was asked)"
    left = ""
    if answer.reduced and found.reduced is not None:
        left = f", only {' and '.join(answer.reduced)} on {found.reduced / LUX_PER_FC:.0f} fc"
    return (
        f"{number}. {answer.count} of {answer.model.name}, {answer.kind}: average {found.average / LUX_PER_FC:.0f} fc, "
        f"minimum {found.minimum / LUX_PER_FC:.0f} fc{left}, {answer.watts:.0f} W{money}{short}"
    )


def _number(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.0 <= value < 1e6:
        raise argparse.ArgumentTypeError(f"use a number from 0 up, not '{text[:40]}'")
    return value


def _whole(text: str) -> int:
    if not text.isdecimal() or len(text) > 6:
        raise argparse.ArgumentTypeError(f"use a whole number from 0 up, not '{text[:40]}'")
    return int(text)
