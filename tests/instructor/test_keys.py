"""Keys and named mistakes of every lesson, over a hundred pupils."""

from __future__ import annotations

import importlib.util
import itertools
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import pytest

from trimkit.classroom.key import Key
from trimkit.lesson import session, tasks, variant
from trimkit.lesson.task import Task, options, typed

MARKING = Path(__file__).parents[2] / "instructor" / "marking"
PUPILS = range(1, 101)


def marking(lesson_id: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        f"marking_{lesson_id}", MARKING / f"{lesson_id}.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@lru_cache
def everyone(lesson_id: str) -> list[tuple[dict[str, Key], dict[str, variant.Figures]]]:
    module, lesson = marking(lesson_id), tasks.load(lesson_id)
    drawn_for = [variant.all_figures(lesson, pupil, "oak") for pupil in PUPILS]
    return [(module.keys(figures), figures) for figures in drawn_for]


def drawn(task: Task) -> list[tuple[Key, variant.Figures]]:
    return [(keys[task.id], figures[task.id]) for keys, figures in everyone(task.id[:2])]


TASKS = [task for lesson_id in tasks.known() for task in tasks.load(lesson_id).tasks]
NUMBERS = [task for task in TASKS if task.kind == "number"]
CHOICES = [task for task in TASKS if task.kind == "choice"]


def name(task: Task) -> str:
    return task.id


@pytest.mark.parametrize("lesson_id", tasks.known())
def test_every_task_has_a_key_and_every_key_a_task(lesson_id: str) -> None:
    lesson = tasks.load(lesson_id)
    keys = marking(lesson_id).keys(variant.all_figures(lesson, 1))
    assert list(keys) == [task.id for task in lesson.tasks]
    assert len(lesson.tasks) >= 5


@pytest.mark.parametrize("lesson_id", tasks.known())
def test_the_sentence_has_a_key_and_a_sample_for_each_mark(lesson_id: str) -> None:
    module = marking(lesson_id)
    assert set(module.WORDS_KEY) == set(module.SENTENCES) == {0, 1, 2}


@pytest.mark.parametrize("task", TASKS, ids=name)
def test_at_least_three_mistakes_have_a_name_and_words(task: Task) -> None:
    for key, _ in drawn(task):
        assert len(key.mistakes) >= 3
        assert all(
            mistake.name and mistake.words and 0 <= mistake.share < 1 for mistake in key.mistakes
        )


@pytest.mark.parametrize("task", NUMBERS, ids=name)
def test_wrong_numbers_stay_two_tolerances_apart_from_the_key_and_one_another(task: Task) -> None:
    for key, figures in drawn(task):
        values = [float(key.value), *(float(mistake.value) for mistake in key.mistakes)]
        for one, other in itertools.combinations(values, 2):
            assert abs(one - other) > 2 * key.tolerance, (figures, values)


@pytest.mark.parametrize("task", CHOICES, ids=name)
def test_choices_are_all_accounted_for(task: Task) -> None:
    for key, figures in drawn(task):
        letters = [shown for shown, _ in options(task, figures)]
        assert sorted([key.value, *(mistake.value for mistake in key.mistakes)]) == letters


@pytest.mark.parametrize("task", TASKS, ids=name)
def test_pupils_get_their_own_figures(task: Task) -> None:
    different = {str(figures) for _, figures in drawn(task)}
    assert len(different) > (20 if task.kind == "number" else 5)


@pytest.mark.parametrize("task", CHOICES, ids=name)
def test_no_letter_is_the_usual_one(task: Task) -> None:
    letters = [key.value for key, _ in drawn(task)]
    assert max(letters.count(letter) for letter in set(letters)) < 50


@pytest.mark.parametrize("task", TASKS, ids=name)
def test_what_is_said_at_once_does_not_tell_the_key_from_a_near_miss(task: Task) -> None:
    for key, figures in drawn(task):
        good = session.remarks(task, typed(task, key.value), figures)
        assert good == []
        if task.kind == "number":
            near = float(key.value) + 3 * key.tolerance
            assert session.remarks(task, typed(task, near), figures) == []


@pytest.mark.parametrize("task", NUMBERS, ids=name)
def test_no_remark_holds_a_number_of_the_key(task: Task) -> None:
    for key, _ in drawn(task):
        shown = {f"{float(key.value):.{places}f}" for places in (1, 2)}
        words = " ".join(check.words for check in task.checks)
        words += " ".join(mistake.words for mistake in key.mistakes) + key.why
        assert not any(number in words for number in shown)


@pytest.mark.parametrize("task_id", ["02.7", "04.7"])
def test_a_case_shows_a_symptom_that_was_computed(task_id: str) -> None:
    task = tasks.load(task_id[:2]).task(task_id)
    seen = {figures["seen"] for _, figures in drawn(task)}
    assert seen == {"dives", "stalls"}


def test_the_class_word_changes_the_figures() -> None:
    task = tasks.load("02").task("02.1")
    same = [
        variant.figures(task, pupil, "oak") == variant.figures(task, pupil, "elm")
        for pupil in PUPILS
    ]
    assert sum(same) < 10
