"""A class in miniature through nbgrader: marks as they should be, and no key anywhere."""

from __future__ import annotations

import csv
import datetime
import re
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import nbformat
import pytest
from papers import INSTRUCTOR, instructor_with

from trimkit.classroom import gradebook, marking, report
from trimkit.classroom.course import Course
from trimkit.classroom.rehearse import CLASS_WORD, Rehearsal, rehearse
from trimkit.classroom.report import moved
from trimkit.lesson import tasks, variant
from trimkit.lesson.handin import folder_name

PUPILS = 4
WHOLE = 6  # all good, all blank, and each of up to four named mistakes, in every lesson
LESSONS = ("01-straight-and-square", "04-low-power")
SHORTEST_SECRET = 25  # characters; shorter words turn up by chance


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Rehearsal:
    """Two of the lessons, for time; the whole class below has them all."""
    some = instructor_with(tmp_path_factory.mktemp("course") / "instructor", *LESSONS)
    return rehearse(PUPILS, tmp_path_factory.mktemp("rehearsal"), some, progress=None)


def pages(done: Rehearsal, pupil: int = 0) -> dict[str, str]:
    folder = folder_name(pupil) if pupil else "*"
    found = sorted((done.folder / "marking" / "feedback").glob(f"{folder}/*/*.html"))
    return {path.parent.name + str(number): path.read_text("utf-8")
            for number, path in enumerate(found)}  # fmt: skip


def secrets() -> Iterator[str]:
    """List everything that only the instructor may read; an import tells no answer."""
    for path in sorted((INSTRUCTOR / "marking").glob("*.py")):
        file = marking.load(path)
        yield from (*file.words_key.values(), *file.sentences.values())
        lesson = tasks.load(path.stem)
        for key in file.keys(variant.all_figures(lesson, 1)).values():
            yield from (key.why, *(mistake.words for mistake in key.mistakes))
    for path in sorted((INSTRUCTOR / "source").glob("*/*.ipynb")):
        for cell in nbformat.read(path, as_version=4).cells:
            _, begin, solution = cell.source.partition("### BEGIN SOLUTION\n")
            if begin:
                lines = solution.partition("### END SOLUTION")[0].splitlines()
                yield from (line for line in lines if not line.startswith("from trimkit"))


def test_every_pupil_earns_what_they_should(done: Rehearsal) -> None:
    assert done.good, done.words()
    lessons = LESSONS
    assert len(done.results) == PUPILS * len(lessons)
    by_policy = {(r.policy, r.lesson): r for r in done.results}
    for lesson in lessons:
        assert by_policy["all good", lesson].earned == by_policy["all good", lesson].of > 0
        assert by_policy["all blank", lesson].earned == 0
        assert 0 <= by_policy["mistake 1", lesson].earned < by_policy["mistake 1", lesson].of


def test_the_marks_are_a_table_with_every_verdict(done: Rehearsal) -> None:
    with (done.folder / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == gradebook.COLUMNS
    tasks_of = {(row["lesson"], row["task"]) for row in rows}
    assert len(rows) == PUPILS * len(tasks_of)
    verdicts = {row["verdict"].split(":")[0] for row in rows}
    assert verdicts == {"good", "blank", "mistake", "by hand"}
    named = [row for row in rows if row["verdict"].startswith("mistake: ")]
    assert {row["pupil"] for row in named} == {"3", "4"}


def test_the_summary_says_it_in_words(done: Rehearsal) -> None:
    text = (done.folder / "summary.md").read_text("utf-8")
    assert text == done.words()
    assert "marked lessons earned what they should" in text
    assert text.count("| yes |") == len(done.results)


def test_nothing_had_to_be_remarked(done: Rehearsal) -> None:
    report = done.folder / "marking" / "report.txt"
    assert not report.exists(), report.read_text("utf-8")


def test_the_release_of_the_rehearsal_is_the_course(done: Rehearsal) -> None:
    for lesson in LESSONS:
        of_the_course = INSTRUCTOR.parent / "course" / lesson
        for file in (done.folder / "course" / lesson).iterdir():
            assert file.read_bytes() == (of_the_course / file.name).read_bytes()


def test_every_page_is_whole(done: Rehearsal) -> None:
    texts = pages(done)
    assert len(texts) == len(done.results)
    for text in texts.values():
        assert text.startswith('<!DOCTYPE html>\n<html lang="en">')
        assert text.count("<img") == len(re.findall(r'<img [^>]*alt="[^"]{5,}"', text))
        assert "vnd.trimkit" not in text
        assert "<script" not in text
        assert "Traceback" not in text


def test_no_page_and_no_lesson_holds_a_solution(done: Rehearsal) -> None:
    lessons = {path.name: path.read_text("utf-8")
               for path in (done.folder / "course").glob("*/*.ipynb")}  # fmt: skip
    for text in (*pages(done).values(), *lessons.values()):
        for word in ("BEGIN SOLUTION", "END SOLUTION", "instructor/marking", "Key(", "Mistake("):
            assert word not in text


def test_no_page_tells_a_pupil_the_number_that_was_wanted(done: Rehearsal) -> None:
    looked = 0
    for pupil in range(2, PUPILS + 1):  # the first pupil typed the keys
        for lesson_folder, text in pages(done, pupil).items():
            lesson = tasks.load(lesson_folder[:2])
            figures = variant.all_figures(lesson, pupil, CLASS_WORD)
            keys = marking.load(INSTRUCTOR / "marking" / f"{lesson.id}.py").keys(figures)
            for task in lesson.tasks:
                anchor = f'<section id="task-{task.id.replace(".", "-")}"'
                section = text.split(anchor)[1].split("</section>")[0]
                for shown in formatted(keys[task.id].value):
                    assert not re.search(rf"(?<![\d.]){re.escape(shown)}(?!\d)", section), task.id
                    looked += 1
    assert looked > 20 * (PUPILS - 1)


def formatted(value: float | str) -> set[str]:
    if isinstance(value, str):
        return {f'"{value}"', f"&quot;{value}&quot;", f"'{value}'", f"&#x27;{value}&#x27;"}
    return {f"{value:.{places}f}" for places in (2, 3, 4)} | {repr(value)}


def test_nothing_that_pupils_get_holds_a_secret(done: Rehearsal) -> None:
    texts = {path.name: path.read_text("utf-8")
             for path in (done.folder / "course").glob("*/*.ipynb")}  # fmt: skip
    with zipfile.ZipFile(done.folder / "pupils.zip") as packed:
        names = packed.namelist()
        for name in names:
            texts[name] = packed.read(name).decode("utf-8", "replace")
    assert not [name for name in names if "instructor" in name or "marking/" in name]
    known = [line.strip() for line in secrets()]
    long = {secret for secret in known if len(secret) >= SHORTEST_SECRET}
    assert len(long) > 50
    for name, text in texts.items():
        found = [secret for secret in long if secret in text]
        assert not found, (name, found)


def test_a_folder_in_use_is_refused(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ValueError, match="is in use"):
        rehearse(1, tmp_path, INSTRUCTOR, progress=None)
    with pytest.raises(ValueError, match="at least 1"):
        rehearse(0, tmp_path / "new", INSTRUCTOR, progress=None)
    assert not (tmp_path / "new").exists()


@pytest.mark.notebooks
def test_a_whole_class_with_every_mistake(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    outcome = rehearse(WHOLE, tmp_path, INSTRUCTOR)
    assert outcome.good, outcome.words()
    said = capfd.readouterr()
    assert said.out == ""
    lines = [line for line in re.split(r"[\r\n]", said.err) if line.strip()]
    assert lines
    assert all(line.startswith("Marking:") for line in lines), lines
    print(f"{outcome.seconds_per_notebook:.2f} s for each notebook", file=sys.stderr)
    the_report_tells_the_same(outcome)


def the_report_tells_the_same(outcome: Rehearsal) -> None:
    course = Course(root=outcome.folder, instructor=INSTRUCTOR)
    folder = course.marking / "report"
    found = report.gather(course, folder / moved.FILE, 0, datetime.date(2026, 11, 25))
    report.save(found, folder)
    earned = {(result.pupil, result.lesson): result for result in outcome.results}
    assert len(found.results.papers) == len(earned)
    for paper in found.results.papers:
        policy = earned[paper.pupil, paper.lesson].policy
        good, blank = policy == "all good", policy == "all blank"
        assert (paper.good == paper.of, paper.good == 0 and paper.blank > 0) == (good, blank)
        assert good or blank or paper.blank == 0
