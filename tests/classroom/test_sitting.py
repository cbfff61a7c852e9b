"""One judge for many cases says what a new judge for each would say."""

from __future__ import annotations

import pytest
from papers import INSTRUCTOR

from trimkit.classroom import judge, marking
from trimkit.classroom.judge import Case
from trimkit.lesson import tasks, variant
from trimkit.lesson.task import Typed

KEYS = INSTRUCTOR / "marking" / "02.py"


def case(pupil: int, path: str = str(KEYS)) -> Case:
    figures = variant.all_figures(tasks.load("02"), pupil, "oak")
    good = marking.load(KEYS).keys(figures)["02.1"].value
    answers = {"02.1": Typed("number", float(good)), "02.2": Typed("number", 999.0)}
    return Case("02", pupil, "oak", path, answers)


def test_a_sitting_judge_judges_alike_and_outlives_a_refusal() -> None:
    alone = judge.ask(case(7))
    with judge.sitting():
        assert judge.ask(case(7)) == alone
        with pytest.raises(RuntimeError, match=r"refused lesson 02: .*no marking file"):
            judge.ask(case(7, "nowhere.py"))
        with pytest.raises(RuntimeError, match="more than 1000000 bytes"):
            judge.ask(Case("02", 7, "oak" * 400_000, str(KEYS), {}))
        found = judge.ask(case(8))
    assert [mark.verdict for mark in found[:3]] == ["good", "off", "blank"]
    assert judge.ask(case(7)) == alone


def test_a_judge_that_died_is_replaced() -> None:
    alone = judge.ask(case(7))
    with judge.sitting():
        judge._sitting[-1].kill()
        judge._sitting[-1].wait()
        assert judge.ask(case(7)) == alone


def test_a_judge_that_says_nothing_is_no_zero(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judge, "TIME_LIMIT_S", 0)
    with judge.sitting(), pytest.raises(RuntimeError, match="gave no answer"):
        judge.ask(case(7))
