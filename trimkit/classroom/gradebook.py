"""Marks out of nbgrader's database as a table, and a coach's marks for sentences into it."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import Any

import nbformat
from nbgrader.api import Gradebook

from trimkit.classroom import overrides
from trimkit.classroom.course import Course
from trimkit.classroom.hooks import MARK_RECORD
from trimkit.classroom.names import pupil_number, task_of

TO_BE_READ = "to be read"
COLUMNS = ("pupil", "lesson", "task", "points", "of", "verdict")


@dataclass(frozen=True, slots=True)
class Row:
    """One mark.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    lesson : str
        The lesson's folder [-].
    task : str
        nbgrader's grade id [-].
    points : float
        Points earned [-].
    of : float
        Points the task carries [-].
    verdict : str
        "good", "off", "blank", "none", "mistake: ...", "by hand" or `TO_BE_READ` [-].
    """

    pupil: int
    lesson: str
    task: str
    points: float
    of: float
    verdict: str


def rows(course: Course) -> list[Row]:
    """Read every mark.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    list of Row
        By pupil, lesson and task [-].

    Raises
    ------
    ValueError
        When two submission folders name the same pupil.
    """
    found: dict[tuple[int, str, str], Row] = {}
    own = overrides.read(course)
    with Gradebook(course.gradebook) as gradebook:
        for folder, lesson, notebook in _notebooks(gradebook):
            verdicts = _verdicts(_marked(course, folder, lesson, notebook.name))
            for grade in notebook.grades:
                row = _by_coach(_row(folder, lesson, grade, verdicts), own)
                name = (row.pupil, lesson, row.task)
                if name in found:
                    raise ValueError(f"two folders hand in {lesson} for pupil {row.pupil}")
                found[name] = row
    return [found[name] for name in sorted(found)]


def write(course: Course, path: Path) -> list[Row]:
    """Write every mark as CSV.

    Parameters
    ----------
    course : Course
        The course [-].
    path : pathlib.Path
        The file to write [-].

    Returns
    -------
    list of Row
        What was written [-].
    """
    read = rows(course)
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file)
        table.writerow(COLUMNS)
        table.writerows(astuple(row) for row in read)
    return read


def enrol(course: Course) -> tuple[str, ...]:
    """Tell nbgrader's database who handed in, so that lessons can be marked side by side.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    tuple of str
        Submission folders, one for each pupil [-].

    Raises
    ------
    ValueError
        When a folder names no pupil, with how to name it.
    """
    submitted = course.marking / "submitted"
    folders = sorted(path.name for path in submitted.iterdir() if path.is_dir())
    for folder in folders:
        pupil_number(folder)
    with Gradebook(course.gradebook) as gradebook:
        for folder in folders:
            gradebook.update_or_create_student(folder)
    return tuple(folders)


def enter_sentences(course: Course, decide: Callable[[str, str], int | None]) -> int:
    """Enter the points for sentences, as a coach does who reads them.

    Parameters
    ----------
    course : Course
        The course [-].
    decide : callable
        Takes the lesson's folder and the sentence, returns its points, or None to leave it [-].

    Returns
    -------
    int
        Sentences that were given points [-].
    """
    count = 0
    with Gradebook(course.gradebook) as gradebook:
        for lesson, sentence, grade in _unread(course, gradebook):
            points = decide(lesson, sentence)
            if points is not None:
                grade.manual_score = float(points)
                grade.needs_manual_grade = False
                count += 1
        gradebook.db.commit()
    return count


def unread(course: Course, lesson: str) -> list[str]:
    """List the sentences of a lesson that nobody has read.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    list of str
        One for each pupil, in the gradebook's order [-].
    """
    with Gradebook(course.gradebook) as gradebook:
        return [sentence for of, sentence, _ in _unread(course, gradebook) if of == lesson]


def _unread(course: Course, gradebook: Any) -> Iterator[tuple[str, str, Any]]:
    """Lesson, sentence, and the gradebook's record of its mark."""
    for folder, lesson, notebook in _notebooks(gradebook):
        sentences = _sentences(_marked(course, folder, lesson, notebook.name))
        for grade in notebook.grades:
            if grade.name in sentences and grade.needs_manual_grade:
                yield lesson, sentences[grade.name], grade


def _notebooks(gradebook: Any) -> Iterator[tuple[str, str, Any]]:
    for assignment in gradebook.assignments:
        for submission in assignment.submissions:
            for notebook in submission.notebooks:
                yield submission.student.id, assignment.name, notebook


def _marked(course: Course, folder: str, lesson: str, name: str) -> list[Any]:
    path = course.marking / "autograded" / folder / lesson / f"{name}.ipynb"
    if not path.is_file():
        return []
    return list(nbformat.read(path, as_version=4).cells)  # type: ignore[no-untyped-call]


def _row(folder: str, lesson: str, grade: Any, verdicts: dict[str, str]) -> Row:
    by_hand = "by hand" if task_of(grade.name) is None else "none"
    return Row(
        pupil_number(folder),
        lesson,
        grade.name,
        float(grade.score),
        float(grade.max_score),
        verdicts.get(grade.name, TO_BE_READ if grade.needs_manual_grade else by_hand),
    )


def _by_coach(row: Row, own: Mapping[tuple[int, str], overrides.Override]) -> Row:
    _, _, number = row.task.partition("-")
    one = own.get((row.pupil, number.replace("-", ".")))
    if one is None or one.points == overrides.UNDONE:
        return row
    return replace(row, verdict=f"by the coach: {one.reason}")


def _verdicts(cells: list[Any]) -> dict[str, str]:
    return {
        cell.metadata.nbgrader.grade_id: _named(output.metadata[MARK_RECORD])
        for cell in cells
        if cell.metadata.get("nbgrader", {}).get("grade")
        for output in cell.get("outputs", [])
        if MARK_RECORD in output.get("metadata", {})
    }


def _named(record: Any) -> str:
    return f"{record.verdict}: {record.name}" if record.name else str(record.verdict)


def _sentences(cells: list[Any]) -> dict[str, str]:
    return {
        cell.metadata.nbgrader.grade_id: cell.source
        for cell in cells
        if cell.cell_type == "markdown" and cell.metadata.get("nbgrader", {}).get("grade")
    }
