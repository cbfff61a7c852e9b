"""The judge in its own process: what it answers and what it refuses."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from papers import INSTRUCTOR

from trimkit.classroom import judge, marking
from trimkit.classroom.judge import Case, read_case
from trimkit.lesson import tasks, variant
from trimkit.lesson.task import Typed

MARKING = str(INSTRUCTOR / "marking" / "02.py")


def case(**changed: Any) -> dict[str, Any]:
    answers = {"02.1": {"type": "number", "value": 3.0}}
    return {
        "lesson": "02",
        "pupil": 7,
        "class_word": "oak",
        "marking": MARKING,
        "answers": answers,
    } | changed


def good_answers(pupil: int) -> dict[str, Typed]:
    lesson = tasks.load("02")
    keys = marking.load(INSTRUCTOR / "marking" / "02.py").keys(
        variant.all_figures(lesson, pupil, "oak")
    )
    return {
        task.id: Typed(task.kind, float(key.value) if task.kind == "number" else key.value)
        for task, key in zip(lesson.tasks, keys.values(), strict=True)
    }


def test_a_clean_process_gives_the_marks_that_this_one_gives() -> None:
    asked = Case("02", 7, "oak", MARKING, good_answers(7))
    marks = judge.ask(asked)
    assert marks == judge.judge(asked)
    assert {mark.verdict for mark in marks} == {"good"}
    assert len(marks) == len(tasks.load("02").tasks)


def test_one_pupils_answers_are_not_anothers() -> None:
    marks = judge.judge(Case("02", 8, "oak", MARKING, good_answers(7)))
    assert sum(mark.share for mark in marks) < len(marks) / 2


def test_the_class_word_counts() -> None:
    marks = judge.judge(Case("02", 7, "elm", MARKING, good_answers(7)))
    assert sum(mark.share for mark in marks) < len(marks) / 2


@pytest.mark.parametrize(
    "changed",
    [
        {"extra": 1},
        {"pupil": "7"},
        {"pupil": 7.0},
        {"lesson": 2},
        {"class_word": None},
        {"marking": 5},
        {"answers": []},
        {"answers": {"2.1": {"type": "number", "value": 3.0}}},
        {"answers": {"02.1": 3.0}},
        {"answers": {"02.1": {"type": "number", "value": True}}},
        {"answers": {"02.1": {"type": "number", "value": float("nan")}}},
        {"answers": {"02.1": {"type": "words", "value": "x" * 3000}}},
    ],
)
def test_input_of_another_kind_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"."):
        read_case(json.dumps(case(**changed)))


def test_an_answer_to_another_lessons_task_is_refused_aloud() -> None:
    with pytest.raises(RuntimeError, match=r"lesson 02 has no task 04\.1"):
        judge.ask(Case("02", 7, "oak", MARKING, {"04.1": Typed("choice", "A")}))


def test_a_missing_marking_file_is_said_aloud() -> None:
    with pytest.raises(RuntimeError, match=r"no marking file 99\.py"):
        judge.ask(Case("02", 7, "oak", str(INSTRUCTOR / "marking" / "99.py"), {}))


def test_the_command_refuses_with_status_two_and_writes_no_mark() -> None:
    start = [sys.executable, "-I", "-c", judge._START, str(judge.PACKAGE_PARENT)]
    for text in ("", "{", json.dumps(case(pupil=None)), "9" * (judge.LARGEST_INPUT + 1)):
        done = subprocess.run(start, input=text, capture_output=True, text=True, check=False)
        assert done.returncode == 2
        assert done.stdout == ""
        assert "Error" in done.stderr
        assert "Traceback" not in done.stderr
