"""Keys and named mistakes of every lesson, over a hundred pupils."""

from __future__ import annotations

import importlib.util
import itertools
import json
from functools import lru_cache
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

from trimkit import trim
from trimkit.aeroplane import replace
from trimkit.classroom.key import Key
from trimkit.lesson import session, tasks, variant
from trimkit.lesson.task import Task, letter, options, typed
from trimkit.lesson.tasks import models

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


def verdict(name: str, change_mm: float) -> str:
    trainer = models.trainer()
    return trim.glide(
        replace(trainer, **{name: getattr(trainer.setting, name) + change_mm})
    ).verdict


@pytest.mark.parametrize(
    ("name", "edge_mm", "step_mm", "word"),
    [
        ("shim_mm", models.SHIM_DIVES_MM, -0.3, "dives"),
        ("shim_mm", models.SHIM_STALLS_MM, 0.3, "stalls"),
        ("wing_station_mm", models.WING_DIVES_MM, 3.0, "dives"),
        ("wing_station_mm", models.WING_STALLS_MM, -3.0, "stalls"),
    ],
)
def test_the_good_band_ends_where_the_lessons_say(
    name: str, edge_mm: float, step_mm: float, word: str
) -> None:
    assert verdict(name, edge_mm - step_mm) == "good"
    assert verdict(name, edge_mm) == verdict(name, edge_mm + 2 * step_mm) == word


def test_the_cases_cause_lies_on_the_side_of_what_is_seen() -> None:
    for _, figures in drawn(tasks.load("02").task("02.7")):
        assert (figures["seen"] == "dives") == (figures["measured_mm"] < figures["card_mm"])
    for key, figures in drawn(tasks.load("04").task("04.7")):
        cure = [letter(figures, place) for place in range(4)].index(str(key.value))
        assert cure in ((0, 2) if figures["seen"] == "dives" else (1, 3))


def test_dive_good_and_stall_are_all_asked_for_with_figures_that_fit_the_sentence() -> None:
    pairs = drawn(tasks.load("04").task("04.1"))
    keys = {[letter(f, place) for place in range(4)].index(str(key.value)) for key, f in pairs}
    assert keys == {0, 1, 2}
    assert {f["found"] for _, f in pairs} == {True, False}
    assert all(f["stall_margin_deg"] > 0 for _, f in pairs)
    near = [f["stall_margin_deg"] - 1 for _, f in pairs if f["found"]]
    ratios = [f["sink_m_s"] / f["least_sink_m_s"] - 1.5 for _, f in pairs if f["found"]]
    assert min(map(abs, near)) > 0.1  # rounded figures still give one word
    assert min(map(abs, ratios)) > 0.1


def test_the_trainer_glides_in_the_middle_of_its_band_without_a_shim() -> None:
    trainer = models.trainer()
    assert trainer.setting.shim_mm == 0.0
    assert trim.glide(trainer).verdict == trim.level(trainer).verdict == "good"
    middle_mm = (models.SHIM_DIVES_MM + models.SHIM_STALLS_MM) / 2
    assert middle_mm == pytest.approx(0.0, abs=0.2)


def cells(lesson_id: str) -> dict[str, str]:
    folder = next((MARKING.parent / "source").glob(f"{lesson_id}-*"))
    book = json.loads(next(folder.glob("*.ipynb")).read_text(encoding="utf-8"))
    return {cell["id"]: "".join(cell["source"]) for cell in book["cells"]}


def after_the_surprise(lesson_id: str, *names: str) -> dict[str, Any]:
    """Run the cells of a surprise with a lesson that shows nothing."""
    silent = SimpleNamespace(compare=lambda *_: None)
    space: dict[str, Any] = {"trainer": models.trainer, "good": models.trainer(), "lesson": silent}
    for name in names:
        exec(cells(lesson_id)[name], {**space, "replace": replace}, space)
    return space


def test_the_surprises_of_the_notebooks_come_true() -> None:
    angles = after_the_surprise("02", "cell-18")
    assert trim.glide(angles["good"]).verdict == "good"
    assert trim.glide(angles["lower"]).verdict == "dives"
    power = after_the_surprise("04", "cell-05", "cell-16")
    good, forward = trim.glide(power["good"]), trim.glide(power["forward"])
    assert forward.angle_of_attack_deg > good.angle_of_attack_deg + 2
    one, other = trim.glide(power["no_shim"]), trim.glide(power["wing_back"])
    assert one.verdict == other.verdict == "dives"
    assert one.speed_m_s == pytest.approx(other.speed_m_s, rel=0.05)  # the two look alike
    assert one.sink_m_s == pytest.approx(other.sink_m_s, rel=0.1)


def test_the_class_word_changes_the_figures() -> None:
    task = tasks.load("02").task("02.1")
    same = [
        variant.figures(task, pupil, "oak") == variant.figures(task, pupil, "elm")
        for pupil in PUPILS
    ]
    assert sum(same) < 10
