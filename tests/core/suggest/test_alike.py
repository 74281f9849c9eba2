"""Answers that miss something: no more than two of one kind are shown, the best."""

from __future__ import annotations

from core.suggest.alike import few_that_miss
from core.suggest.answer import Answer, LightFigures, sorted_answers
from core.suggest.request import Request
from tests.core.suggest.rooms import PANEL, STRIP


def answer(kind, cost, is_met=False, model=PANEL):
    return Answer(kind, model, (), cost, 0.0, LightFigures(0.0, 0.0, 0.0), is_met=is_met)


def test_the_two_cheapest_of_each_kind_and_model_are_left():
    found = [answer("one", cost) for cost in (4.0, 1.0, 3.0, 2.0)]
    found += [answer("other", 9.0), answer("one", 8.0, model=STRIP), *(answer("one", 7.0, True) for _ in range(3))]
    kept = few_that_miss(sorted_answers(found, Request(average=1.0)))
    assert [a.cost for a in kept if not a.is_met and (a.kind, a.model) == ("one", PANEL)] == [1.0, 2.0]
    assert sum(a.is_met for a in kept) == 3
    assert {a.cost for a in kept} >= {9.0, 8.0}
