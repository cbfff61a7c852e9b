"""The gradebook's safety: a copy before each marking, a check after it."""

from __future__ import annotations

import datetime
import os
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from trimkit.classroom.course import Course

KEPT = 5
FOLDER = "backups"
_GRADES = """ from grade
join submitted_notebook on submitted_notebook.id = grade.notebook_id
join submitted_assignment on submitted_assignment.id = submitted_notebook.assignment_id
join assignment on assignment.id = submitted_assignment.assignment_id
join grade_cells on grade_cells.id = grade.cell_id
where assignment.name = ? """
_COUNT = f"""select count(*) {_GRADES} and submitted_assignment.student_id = ?
and grade_cells.cell_type = 'code' and grade.auto_score is not null"""
_SCORES = f"""select submitted_assignment.student_id,
sum(coalesce(grade.manual_score, grade.auto_score, 0) + coalesce(grade.extra_credit, 0)),
sum(grade_cells.max_score), sum(grade.needs_manual_grade)
{_GRADES} group by submitted_assignment.student_id"""
_LESSON = """select notebook.id from notebook
join assignment on assignment.id = notebook.assignment_id where assignment.name = ?"""


def folder(course: Course) -> Path:
    """Say where the copies lie.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    pathlib.Path
        The folder [-].
    """
    return course.marking / FOLDER


def copies(course: Course) -> list[Path]:
    """List the copies.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    list of pathlib.Path
        Oldest first [-].
    """
    return sorted(folder(course).glob("gradebook-*.db"))


def back_up(course: Course, now: datetime.datetime | None = None) -> Path | None:
    """Copy the gradebook aside, and keep the last five copies.

    Parameters
    ----------
    course : Course
        The course [-].
    now : datetime.datetime or None
        Goes into the copy's name, None for the clock's [-].

    Returns
    -------
    pathlib.Path or None
        The copy, None when there is no gradebook yet [-].

    Raises
    ------
    ValueError
        When the gradebook is damaged; then no older copy is given up for it.
    """
    if not course.gradebook_file.exists():
        return None
    if trouble := damage(course):
        raise ValueError(mending(course, trouble))
    folder(course).mkdir(exist_ok=True)
    stamp = (now or datetime.datetime.now()).strftime("%Y-%m-%d-%H%M%S-%f")
    copy = folder(course) / f"gradebook-{stamp}.db"
    part = copy.with_suffix(".part")
    part.unlink(missing_ok=True)
    with (
        closing(sqlite3.connect(course.gradebook_file)) as source,
        closing(sqlite3.connect(part)) as made,
    ):
        source.backup(made)
    os.replace(part, copy)
    for old in copies(course)[:-KEPT]:
        old.unlink()
    return copy


def damage(course: Course) -> str:
    """Say what is wrong with the gradebook's file.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    str
        SQLite's words, empty when all is well [-].
    """
    try:
        with closing(sqlite3.connect(course.gradebook_file)) as gradebook:
            said = [str(row[0]) for row in gradebook.execute("pragma integrity_check")]
    except sqlite3.DatabaseError as error:
        return str(error)
    return "" if said == ["ok"] else "; ".join(said[:3])


def marks(course: Course, lesson: str, pupil_folder: str) -> int:
    """Count the marks that one pupil's answers have in one lesson.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].
    pupil_folder : str
        The pupil's folder [-].

    Returns
    -------
    int
        Marks; sentences, which a coach reads, are not among them [-].
    """
    with closing(sqlite3.connect(course.gradebook_file)) as gradebook:
        return int(gradebook.execute(_COUNT, (lesson, pupil_folder)).fetchone()[0])


def knows(course: Course, lesson: str) -> bool:
    """Say whether the gradebook knows the notebook of a lesson.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    bool
        True when it does [-].
    """
    return course.gradebook_file.exists() and bool(_rows(course, _LESSON, lesson))


def scores(course: Course, lesson: str) -> dict[str, tuple[float, float, int]]:
    """Read every pupil's points in a lesson, as nbgrader adds them up.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    dict of str to (float, float, int)
        Points, points there are, and sentences that wait for a coach, by folder [-].
    """
    if not course.gradebook_file.exists():
        return {}
    found = _rows(course, _SCORES, lesson)
    return {str(name): (float(got), float(of), int(wait)) for name, got, of, wait in found}


def _rows(course: Course, query: str, lesson: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(course.gradebook_file)) as gradebook:
        try:
            return gradebook.execute(query, (lesson,)).fetchall()
        except sqlite3.DatabaseError:  # no tables yet, or damaged, which `damage` tells
            return []


def mending(course: Course, trouble: str) -> str:
    """Say what to do about a damaged gradebook.

    Parameters
    ----------
    course : Course
        The course [-].
    trouble : str
        What `damage` says [-].

    Returns
    -------
    str
        One or two sentences [-].
    """
    kept = copies(course)
    next_step = (
        f"Put the newest good copy in its place: {kept[-1]}"
        if kept
        else "There is no copy; move it aside, and everything is marked anew"
    )
    return f"{course.gradebook_file} is damaged ({trouble}). {next_step}."
