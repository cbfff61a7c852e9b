"""Where a pupil stands is read off the log and the pages that came back, and changes no file."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import nbformat
import pytest

from trimkit import places
from trimkit.classroom import feedback
from trimkit.jupyter import standing
from trimkit.lesson import attempts, handin, work


@pytest.fixture
def pupil(tmp_path: Path) -> Path:
    return work.prepare(tmp_path / "work", 7).folder


def feedback_page(score: float, most: float) -> str:
    """Make a page as the course's own exporter writes it."""
    cells = [nbformat.v4.new_markdown_cell("# Lesson 02: Angles from a ruler")]
    names = {"student": "pupil-07", "assignment": "02-angles", "score": score, "max_score": most}
    return feedback.page(nbformat.v4.new_notebook(cells=cells), names)


def note(folder: Path, task: str, value: object, *slips: str, given: str = "number") -> None:
    path = folder / places.LOG_FOLDER / "attempts.jsonl"
    attempts.append(path, task[:2], "answer", task=task, type=given, value=value, slips=slips)


def lesson(folder: Path, lesson_id: str) -> standing.LessonStanding:
    return next(one for one in standing.read(folder).lessons if one.page.id == lesson_id)


def everything(folder: Path) -> dict[str, str]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def test_a_newcomer_begins_with_the_first_lesson(pupil: Path) -> None:
    found = standing.read(pupil)
    assert found.pupil == 7
    assert [one.page.id for one in found.lessons] == sorted(one.page.id for one in found.lessons)
    assert {one.state for one in found.lessons} == {"not begun"}
    assert found.next_words() == "Begin Lesson 00: Start here."
    assert all(40 <= one.page.minutes <= 50 for one in found.lessons)  # two sittings of 20 to 25
    assert all(len(one.page.tasks) >= 5 for one in found.lessons)


def test_the_last_answer_counts_and_an_empty_one_begins_nothing(pupil: Path) -> None:
    note(pupil, "02.1", None, "not usable", given="none")
    assert lesson(pupil, "02").state == "not begun"
    note(pupil, "02.1", 3.2)
    note(pupil, "02.2", -3.2, "sign")
    assert lesson(pupil, "02").state == "1 of 7 checks"
    assert lesson(pupil, "02").open_task == "02.2"
    note(pupil, "02.2", 3.2)
    note(pupil, "02.1", 99.0, "size")
    assert lesson(pupil, "02").good == ("02.2",)


def test_the_next_thing_is_the_first_open_task(pupil: Path) -> None:
    for task in lesson(pupil, "00").page.tasks:
        note(pupil, task, 1.0)
    handin.make(pupil, "00")
    note(pupil, lesson(pupil, "01").page.tasks[0], 1.0)
    second = lesson(pupil, "01").page.tasks[1]
    assert f"task {second} comes next" in standing.read(pupil).next_words()


@pytest.mark.parametrize("place", ["02-angles/feedback/2026-11-26", "feedback/02-angles"])
def test_a_page_that_came_back_says_marked_with_its_points(pupil: Path, place: str) -> None:
    path = pupil / place / "angles.html"
    path.parent.mkdir(parents=True)
    path.write_text(feedback_page(12.0, 16.0), encoding="utf-8")
    found = lesson(pupil, "02")
    assert found.state == "marked: 12 of 16 points"
    assert found.feedback == f"{place}/angles.html"


def test_what_is_handed_in_is_told_and_so_is_a_change_after_it(pupil: Path) -> None:
    for task in lesson(pupil, "00").page.tasks:
        note(pupil, task, 1.0)
    assert standing.read(pupil).next_words() == "Hand in Lesson 00: Start here."
    made = handin.make(pupil, "00")
    assert lesson(pupil, "00").handed == made.path.relative_to(pupil).as_posix()
    assert lesson(pupil, "00").state == "handed in"
    assert standing.read(pupil).next_words().startswith("Begin Lesson 01")
    notebook = pupil / "00-start-here" / "start-here.ipynb"
    notebook.write_text(notebook.read_text("utf-8") + "\n", encoding="utf-8")
    assert lesson(pupil, "00").state == "handed in, and changed since"


def test_a_visitor_has_nobody_to_hand_in_to(tmp_path: Path) -> None:
    visitor = work.prepare(tmp_path / "visitor").folder
    for task in lesson(visitor, "00").page.tasks:
        note(visitor, task, 1.0)
    assert standing.read(visitor).next_words().startswith("Begin Lesson 01")


def test_a_link_out_of_the_folder_is_no_page(pupil: Path, tmp_path: Path) -> None:
    (tmp_path / "angles.html").write_text(feedback_page(16.0, 16.0), encoding="utf-8")
    (pupil / "feedback" / "02-angles").mkdir(parents=True)
    (pupil / "feedback" / "02-angles" / "angles.html").symlink_to(tmp_path / "angles.html")
    assert lesson(pupil, "02").state == "not begun"


def test_reading_changes_nothing_even_when_the_log_is_damaged(pupil: Path) -> None:
    note(pupil, "02.1", 3.2)
    with (pupil / "logs" / "attempts.jsonl").open("ab") as log:
        log.write(b'{"cut sho\xff')
    before = everything(pupil)
    assert standing.as_data(pupil)["lessons"][2]["done"] == 1
    assert everything(pupil) == before


def test_a_pupil_file_that_cannot_be_used_is_a_note(pupil: Path) -> None:
    (pupil / places.PUPIL_FILE).write_text("number = 'Ann'", encoding="utf-8")
    found = standing.read(pupil)
    assert found.pupil == 0
    assert "A name does not belong here" in found.notes[0]
    assert found.notes[0] in found.words()


def test_cases_are_listed_the_last_one_first(pupil: Path) -> None:
    names = ["case-7-1-aaaaaa", "case-week-3-1-bbbbbb", "case-7-1-aaaaaa-hints"]
    for age, name in enumerate(names):
        path = pupil / "logs" / f"{name}.jsonl"
        path.parent.mkdir(exist_ok=True)
        path.write_text("{}\n", encoding="utf-8")
        os.utime(path, (age, age))
    assert standing.cases(pupil) == ("case-week-3-1-bbbbbb", "case-7-1-aaaaaa")
