"""The casebook: what opens a case, what does not, and that a handed-in one is marked."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

from tests.test_case import Here
from trimkit import lesson, log
from trimkit.classroom.course import Course
from trimkit.classroom.report import cases
from trimkit.diagnosis.marks import WEIGHTS
from trimkit.lesson import casebook
from trimkit.lesson.case import Case
from trimkit.lesson.referee import Refused
from trimkit.log import Entry, Result


@pytest.fixture(autouse=True)
def hall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.import_module("trimkit.lesson.case"), "_hall", Here())
    monkeypatch.chdir(tmp_path)


def as_pupil(folder: Path, word: str) -> Case:
    (folder / "pupil.toml").write_text(f'number = 7\nclass_word = "{word}"\n', "utf-8")
    return lesson.open_case(2, 3)


def test_a_case_of_the_book_is_the_same_for_every_class(tmp_path: Path) -> None:
    assert as_pupil(tmp_path, "oak").name == as_pupil(tmp_path, "elm").name


def test_a_case_shows_what_a_case_shows_and_no_level(tmp_path: Path) -> None:
    case = as_pupil(tmp_path, "oak")
    assert "one thing is wrong with it" in repr(case)
    assert case.faults == 1


@pytest.mark.parametrize(
    ("level", "number", "words"),
    [
        (4, 1, "level is 4; allowed is 1, 2 or 3"),
        ("one", 1, "level is one; allowed"),
        ([1], 1, "level is [1]; allowed"),
        (1, 0, "number is 0; allowed is 1 to 22"),
        (1, 23, "number is 23; allowed is 1 to 22"),
        (1, 1.5, "number is 1.5; allowed"),
        (True, 1, "level is True; allowed"),
    ],
)
def test_a_slip_is_told(level: object, number: object, words: str) -> None:
    with pytest.raises(Refused) as told:
        lesson.open_case(level, number)  # type: ignore[arg-type]
    assert words in str(told.value)


def handed_in(root: Path, seed: int) -> Course:
    folder = root / "marking" / "submitted" / "pupil-07" / "logs"
    folder.mkdir(parents=True)
    terms = casebook.terms(*casebook.CASES[1][0]) if seed < 0 else casebook.terms(
        "hallfinch-46", seed
    )  # fmt: skip
    path = folder / f"{Case(terms, folder).name}.jsonl"
    seen = Result({"duration_s": 30.0}, "flies", {}, "")
    for number in (1, 2):
        log.append(path, Entry(number=number, action="fly", turns=800.0, minutes=6.0,
                               date="2026-11-26", result=seen))  # fmt: skip
    log.append(path, Entry(number=3, action="say", what="bowed-boom", certainty="guess",
                           date="2026-11-26"))  # fmt: skip
    return Course(root=root, instructor=root / "instructor", class_word="owl")


def test_a_handed_in_case_of_the_book_gets_its_five_scores_in_any_class(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cases.reference, "minutes", lambda *_: 20.0)  # has its own tests
    (one,) = cases.last_of_each(handed_in(tmp_path, -1))
    assert one.note == ""
    assert {score.name for score in one.scores} == set(WEIGHTS)
    assert (one.flights, one.actions) == (2, 3)


def test_a_case_that_no_book_holds_still_wants_the_class_word(tmp_path: Path) -> None:
    (one,) = cases.last_of_each(handed_in(tmp_path, 999))
    assert one.scores == ()
    assert "--class-word" in one.note
