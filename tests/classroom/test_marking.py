"""Judging one answer: the key, named mistakes, near misses and things that are no answer."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from papers import DISTANCE, INSTRUCTOR, SIDE

from trimkit.classroom.key import Key, Mistake
from trimkit.classroom.marking import judge_answer, judge_lesson, load
from trimkit.lesson.task import Lesson, Typed, typed

KEY = Key(
    value=30.0,
    tolerance=0.5,
    why="There and back.",
    mistakes=(
        Mistake(name="half the way", value=15.0, words="That is half of it.", share=0.5),
        Mistake(name="half again", value=7.5, words="Halved twice."),
        Mistake(name="nearly half", value=15.6, words="Cut off too early.", share=0.25),
    ),
)
CHOICE = Key(
    value="B",
    why="Look left.",
    mistakes=(Mistake(name="mirror", value="A", words="That is the mirror's side.", share=0.25),),
)


class AlwaysEqual(float):
    """A number that says it equals everything."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = float.__hash__


class AlwaysEqualText(str):
    """A text that says it equals everything."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = str.__hash__


def number(value: Any) -> Typed:
    return Typed("number", value)


@pytest.mark.parametrize(
    ("value", "verdict", "share", "name"),
    [
        (30.0, "good", 1.0, ""),
        (30.5, "good", 1.0, ""),
        (29.5, "good", 1.0, ""),
        (30.51, "off", 0.0, ""),
        (15.2, "mistake", 0.5, "half the way"),
        (15.5, "mistake", 0.25, "nearly half"),
        (7.5, "mistake", 0.0, "half again"),
        (-30.0, "off", 0.0, ""),
    ],
)
def test_a_number(value: float, verdict: str, share: float, name: str) -> None:
    mark = judge_answer(DISTANCE, KEY, number(value))
    assert (mark.verdict, mark.share, mark.name) == (verdict, share, name)


def test_the_edge_of_the_tolerance_forgives_the_last_bit() -> None:
    key = Key(value=1.25, tolerance=0.05, why="")
    assert 1.25 - 1.2 > 0.05
    assert judge_answer(DISTANCE, key, number(1.2)).verdict == "good"


@pytest.mark.parametrize(
    ("letter", "verdict", "share"), [("B", "good", 1.0), ("A", "mistake", 0.25), ("C", "off", 0.0)]
)
def test_a_choice(letter: str, verdict: str, share: float) -> None:
    mark = judge_answer(SIDE, CHOICE, Typed("choice", letter))
    assert (mark.verdict, mark.share) == (verdict, share)


@pytest.mark.parametrize(
    "given",
    [
        Typed("none", None),
        number(math.nan),
        number(True),
        number(None),
        number("30.0"),
        number(AlwaysEqual(1.0)),
        Typed("choice", "B"),
        Typed("words", "30"),
        Typed("number", [30.0]),  # type: ignore[arg-type]
    ],
)
def test_no_usable_number_is_blank(given: Typed) -> None:
    mark = judge_answer(DISTANCE, KEY, given)
    assert (mark.verdict, mark.share) == ("blank", 0.0)
    assert mark.words
    assert mark.look == DISTANCE.look


@pytest.mark.parametrize(
    "given", [Typed("choice", AlwaysEqualText("C")), Typed("choice", 2.0), number(2.0)]
)
def test_no_usable_letter_is_blank(given: Typed) -> None:
    assert judge_answer(SIDE, CHOICE, given).verdict == "blank"


def test_an_object_that_equals_everything_never_gets_past_the_notebook_either() -> None:
    class Everything:
        def __eq__(self, other: object) -> bool:
            return True

        __hash__ = object.__hash__

    given = typed(DISTANCE, Everything())
    assert given.type == "none"
    as_number = typed(DISTANCE, AlwaysEqual(1.0))
    assert type(as_number.value) is float
    assert judge_answer(DISTANCE, KEY, as_number).verdict == "off"


def test_infinity_is_off_and_not_good() -> None:
    assert judge_answer(DISTANCE, KEY, number(math.inf)).verdict == "off"


@given(st.floats(-1e9, 1e9))
@settings(derandomize=True, deadline=None, max_examples=50)
def test_every_number_gets_a_share_and_words_without_the_key(value: float) -> None:
    mark = judge_answer(DISTANCE, KEY, number(value))
    assert 0 <= mark.share <= 1
    assert mark.words
    assert "30" not in mark.words + mark.look
    assert (mark.share == 1) == (abs(value - 30) <= 0.5 + 1e-7)


def test_a_lesson_gets_one_mark_for_each_task_in_order() -> None:
    lesson = Lesson(id="90", title="Ways", tasks=(DISTANCE, SIDE))
    marks = judge_lesson(lesson, {"90.1": KEY, "90.2": CHOICE}, {"90.2": Typed("choice", "B")})
    assert [(mark.task_id, mark.verdict) for mark in marks] == [
        ("90.1", "blank"),
        ("90.2", "good"),
    ]


def test_the_instructors_files_load() -> None:
    for path in sorted((INSTRUCTOR / "marking").glob("*.py")):
        file = load(path)
        assert set(file.words_key) == set(file.sentences) == {0, 1, 2}
        assert callable(file.keys)


def test_a_marking_file_without_sentences_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "90.py"
    path.write_text("WORDS_KEY = {}\ndef keys(figures):\n    return {}\n", encoding="utf-8")
    with pytest.raises(ValueError, match=r"90\.py holds no SENTENCES"):
        load(path)
    with pytest.raises(FileNotFoundError, match=r"no marking file 91\.py"):
        load(tmp_path / "91.py")
