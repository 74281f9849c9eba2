"""The integer program: which of many choices to take so that every demand holds, with a bound on how few will do.

A choice is a fixture at a place, or several that come together (a row, a mirrored pair). Demands are linear in the
choices because light is. Solved by HiGHS (branch and bound with the simplex method): its dual bound says how many
fixtures there must be at least. The same program gives the same answer: one thread, a fixed seed, a limit in
nodes; seconds only as a last stop, which is told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import highspy
import numpy as np
from numpy.typing import NDArray

from core.light.grid import FloatArray
from core.suggest.request import Limits

__all__ = ["Choices", "Outcome", "Reach", "fewest", "most_even", "reach"]

_INF = highspy.kHighsInf
_CLOSE = 1e-6


class _Quiet(highspy.Highs):
    """HiGHS without its greeting, which would mix with what is printed for others to read."""

    def enableCallbacks(self) -> Any:
        self.silent()
        return super().enableCallbacks()  # type: ignore[no-untyped-call]


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
    start: NDArray[np.intp] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Outcome:
    """Take as few fixtures as possible; ``at_least`` and ``at_most`` bound their number, ``start`` is an answer."""
    model = _model(choices, limits)
    count = len(choices.weights)
    every, weights = np.arange(count, dtype=np.int32), choices.weights.astype(float)
    model.changeColsCost(count, every, weights)
    model.addRow(float(at_least), _INF if at_most is None else float(at_most), count, every, weights)
    if start is not None and count:
        values = np.zeros(count)
        values[start] = 1.0
        model.setSolution(count, every, values)
    return _solved(model, choices, cancelled, is_count=True)


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


def _model(choices: Choices, limits: Limits, relaxed: bool = False, with_share: bool = False) -> Any:
    model: Any = _Quiet()  # type: ignore[no-untyped-call]
    for name, value in (
        ("threads", 1),
        ("parallel", "off"),
        ("random_seed", 7),
        ("mip_max_nodes", limits.nodes),
        ("time_limit", limits.seconds),
        ("mip_rel_gap", 1e-4),
    ):
        model.setOptionValue(name, value)
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
