"""The integer program: which of many choices to take so that every demand holds, with a bound on how few will do.

A choice is a fixture at a place, or several that come together (a row, a mirrored pair). Demands are linear in the
choices because light is. Solved by HiGHS (branch and bound with the simplex method): its dual bound says how many
fixtures there must be at least. The same program gives the same answer: one thread, a fixed seed, a limit in
nodes; seconds only as a last stop, which is told.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.quiet_solver import quiet_solver
from core.suggest.request import Limits

__all__ = [
    "Choices",
    "Outcome",
    "Reach",
    "fewest",
    "fewest_parts",
    "least_whole",
    "most_even",
    "reach",
    "rising_bound",
    "tight",
]

_INF = highspy.kHighsInf
_CLOSE = 1e-6
_ROWS_FIRST, _ROWS_MORE = 30, 15
"""Demands that a program begins with, and those taken up at once where its answer misses some."""
MANY_ASKS = 20
_EXTRA = 1
"""Times that a quarter of the nodes is added where the answer misses a demand and all nodes are used up."""


@dataclass(frozen=True)
class Choices:
    """What can be chosen.

    ``left`` (rows, k) and ``right`` (rows,): demands ``left @ x >= right``. ``weights`` (k,) fixtures of each choice;
    ``cliques`` sets of choices of which one at most can be taken.
    """

    left: FloatArray
    right: FloatArray
    weights: NDArray[np.intp]
    cliques: Sequence[NDArray[np.intp]]


@dataclass(frozen=True)
class Outcome:
    """What a program found.

    ``chosen`` are the choices taken, None where there is no answer; ``value`` their fixtures, or the smallest share of
    the demands that is met; ``bound`` what no answer can be better than. ``is_proven`` tells that nothing is better,
    ``is_impossible`` that the demands cannot hold at all; ``limit_hit`` that time was the reason to stop.
    """

    chosen: NDArray[np.intp] | None
    value: float
    bound: float
    is_proven: bool
    is_impossible: bool
    limit_hit: bool
    nodes: int


@dataclass(frozen=True)
class Reach:
    """How far demands can be met at best: the least share, the left sides there, and how much each row is in the way.

    The share is minus infinity where a demand without a right side cannot hold at all.
    """

    share: float
    left: FloatArray
    duals: FloatArray


def fewest(
    choices: Choices,
    limits: Limits,
    *,
    at_least: int = 0,
    at_most: int | None = None,
    hasty: bool = False,
    only_bound: bool = False,
    cancelled: Callable[[], bool] | None = None,
) -> Outcome:
    """Take as few fixtures as possible; ``at_least`` and ``at_most`` bound their number.

    ``hasty`` leaves out the smaller programs by which HiGHS looks for better answers at the root: half the time where
    any answer will do. ``only_bound`` does so too, and ends without an answer rather than searching longer for one.

    Most demands hold by themselves once the hard ones do, so that the program begins with the demands that parts of
    choices leave tight, and takes up further ones only where its answer misses them. Leaving demands out can only
    lower the bound, so it stays a bound; an answer counts only once it meets every demand.
    """
    used = tight(choices, limits)
    nodes, seconds = limits.nodes, limits.seconds
    extra = 0 if only_bound else _EXTRA
    while True:
        began = time.perf_counter()
        model = _model(_asking(choices, used), replace(limits, nodes=nodes, seconds=seconds))
        if hasty or only_bound:
            for name in ("mip_heuristic_run_root_reduced_cost", "mip_heuristic_run_rins"):
                model.setOptionValue(name, False)
        count = len(choices.weights)
        every, weights = np.arange(count, dtype=np.int32), choices.weights.astype(float)
        model.changeColsCost(count, every, weights)
        model.addRow(float(at_least), _INF if at_most is None else float(at_most), count, every, weights)
        outcome = _solved(model, choices, cancelled, is_count=True)
        if outcome.chosen is None:
            return outcome
        missed = _missed(choices, outcome.chosen, used)
        if not missed.size:
            return outcome
        used = np.union1d(used, missed)
        at_least = max(at_least, int(outcome.bound))
        nodes, seconds = nodes - outcome.nodes, seconds - (time.perf_counter() - began)
        if nodes <= 0 and extra > 0:
            # It would be a pity to lose an answer that only misses a demand which was left out.
            nodes, extra = max(1, limits.nodes // 4), extra - 1
        if nodes <= 0 or seconds <= 0.0 or outcome.limit_hit:
            return replace(outcome, chosen=None, value=math.nan, is_proven=False)


def rising_bound(
    choices: Choices,
    limits: Limits,
    at_most: int,
    *,
    known: int = 1,
    asks: int = MANY_ASKS,
    cancelled: Callable[[], bool] | None = None,
) -> Outcome:
    """Return how few fixtures there must be at the least, looking no farther than ``at_most``.

    Whether so many will do at all is asked for one number after the other, from that of parts of choices on: a program
    that may not use more soon sees that nothing will do, where one that may looks at many answers. It ends after so
    many ``asks``, with the first number that may do, or where the nodes are used up.
    """
    allowed, seconds, nodes = max(known, least_whole(choices, limits)), limits.seconds, 0
    for asked in range(1, asks + 1):
        began = time.perf_counter()
        left = replace(limits, nodes=limits.nodes - nodes, seconds=seconds)
        outcome = fewest(choices, left, at_most=min(allowed, at_most), only_bound=True, cancelled=cancelled)
        nodes, seconds = nodes + outcome.nodes, seconds - (time.perf_counter() - began)
        is_last = not outcome.is_impossible or allowed >= at_most or nodes >= limits.nodes or seconds <= 0.0
        if is_last or asked == asks or (cancelled is not None and cancelled()):
            break
        allowed += 1
    if outcome.is_impossible and allowed < at_most:
        return replace(outcome, bound=float(allowed + 1), is_impossible=False, nodes=nodes)
    return replace(outcome, bound=max(float(allowed), outcome.bound), nodes=nodes)


def _asking(choices: Choices, rows: NDArray[np.intp]) -> Choices:
    return replace(choices, left=choices.left[rows], right=choices.right[rows])


def _missed(choices: Choices, chosen: NDArray[np.intp], used: NDArray[np.intp]) -> NDArray[np.intp]:
    """Return the demands that an answer misses most, none of those in use."""
    short = choices.right - choices.left[:, chosen].sum(axis=1)
    short[used] = 0.0
    worst: NDArray[np.intp] = short.argsort(kind="stable")[::-1][:_ROWS_MORE]
    return np.asarray(worst[short[worst] > _CLOSE])


def tight(choices: Choices, limits: Limits) -> NDArray[np.intp]:
    """Return the demands that stand in the way while parts of choices can be taken, (rows,) indices."""
    ease = choices.left.sum(axis=1) / np.maximum(choices.right, _CLOSE)
    used: NDArray[np.intp] = ease.argsort(kind="stable")[:_ROWS_FIRST]
    size = len(choices.weights)
    every = np.arange(size, dtype=np.int32)
    while len(used) < len(choices.right):
        model = _model(_asking(choices, used), limits, relaxed=True)
        model.changeColsCost(size, every, choices.weights.astype(float))
        model.run()
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            break
        short = choices.right - choices.left @ np.array(model.getSolution().col_value)
        short[used] = 0.0
        worst = short.argsort(kind="stable")[::-1][:_ROWS_MORE]
        worst = worst[short[worst] > _CLOSE]
        if not worst.size:
            break
        used = np.union1d(used, worst)
    return used


def most_even(
    choices: Choices,
    limits: Limits,
    count: int,
    *,
    exactly: bool = True,
    cancelled: Callable[[], bool] | None = None,
) -> Outcome:
    """Take ``count`` fixtures (or at most so many) so that the least share of any demand that is met is largest."""
    model = _model(choices, limits, with_share=True)
    size = len(choices.weights)
    model.changeColCost(size, -1.0)
    every = np.arange(size, dtype=np.int32)
    low = float(count) if exactly else 0.0
    model.addRow(low, float(count), size, every, choices.weights.astype(float))
    return _solved(model, choices, cancelled, is_count=False)


def reach(choices: Choices, limits: Limits, at_most: int) -> Reach:
    """Return how far the demands can be met with parts of choices: no whole choice gets farther."""
    model = _model(choices, limits, relaxed=True, with_share=True)
    size = len(choices.weights)
    model.changeColCost(size, -1.0)
    every = np.arange(size, dtype=np.int32)
    model.addRow(0.0, float(at_most), size, every, choices.weights.astype(float))
    model.run()
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return Reach(-math.inf, np.zeros(0), np.zeros(0))
    solution = model.getSolution()
    parts = np.array(solution.col_value)
    duals = np.abs(np.array(solution.row_dual))[: len(choices.right)]
    return Reach(float(parts[-1]), choices.left @ parts[:-1], duals)


def fewest_parts(choices: Choices, limits: Limits) -> float:
    """Return how many fixtures it takes at least if parts of choices could be taken; infinite where that fails too."""
    model = _model(choices, limits, relaxed=True)
    size = len(choices.weights)
    model.changeColsCost(size, np.arange(size, dtype=np.int32), choices.weights.astype(float))
    model.run()
    status = model.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return math.inf
    return float(model.getInfo().objective_function_value) if status == highspy.HighsModelStatus.kOptimal else 0.0


def least_whole(choices: Choices, limits: Limits) -> int:
    """Return a number of fixtures that is not undercut, quickly: that of parts of choices, rounded up."""
    parts = fewest_parts(_asking(choices, tight(choices, limits)), limits)
    return max(0, math.ceil(parts - _CLOSE)) if math.isfinite(parts) else 0


def _model(choices: Choices, limits: Limits, relaxed: bool = False, with_share: bool = False) -> Any:
    options = {"mip_rel_gap": limits.gap, "mip_max_nodes": limits.nodes, "time_limit": limits.seconds}
    model = quiet_solver(options)
    size = len(choices.weights)
    model.addVars(size + with_share, np.zeros(size + with_share), np.full(size + with_share, 1.0))
    if with_share:
        model.changeColBounds(size, -_INF, _INF)
    if not relaxed:
        kinds = np.full(size, highspy.HighsVarType.kInteger)
        model.changeColsIntegrality(size, np.arange(size, dtype=np.int32), kinds)
    for left, right in zip(choices.left, choices.right, strict=True):
        index = np.flatnonzero(left).astype(np.int32)
        values = left[index].astype(float)
        if with_share:
            # Left side minus share times right side; a ratio demand (right side 0) must simply hold.
            index, values = np.append(index, np.int32(size)), np.append(values, -float(right))
        model.addRow(0.0 if with_share else float(right), _INF, len(index), index, values)
    for clique in choices.cliques:
        model.addRow(-_INF, 1.0, len(clique), clique.astype(np.int32), np.ones(len(clique)))
    return model


def _solved(model: Any, choices: Choices, cancelled: Callable[[], bool] | None, is_count: bool) -> Outcome:
    if cancelled is not None:
        ask = cancelled

        def stop(event: Any) -> None:
            if ask():
                event.interrupt()

        model.cbMipInterrupt.subscribe(stop)
        model.cbSimplexInterrupt.subscribe(stop)
    model.run()
    status, info = model.getModelStatus(), model.getInfo()
    timed = status == highspy.HighsModelStatus.kTimeLimit
    impossible = status == highspy.HighsModelStatus.kInfeasible
    proven = status == highspy.HighsModelStatus.kOptimal
    sign = 1.0 if is_count else -1.0
    bound = sign * info.mip_dual_bound
    if not math.isfinite(bound):
        bound = 0.0 if is_count else math.inf
    if is_count and not impossible:
        bound = float(math.ceil(bound - _CLOSE))
    has_answer = info.primal_solution_status == 2 and not impossible
    chosen, value = None, math.nan
    if has_answer:
        solution = np.array(model.getSolution().col_value)
        chosen = np.flatnonzero(solution[: len(choices.weights)] > 0.5)
        value = float(choices.weights[chosen].sum()) if is_count else float(solution[-1])
    return Outcome(chosen, value, bound, proven, impossible, timed, max(0, int(info.mip_node_count)))
