"""A coach's own mark in place of the machine's, with a reason, which survives marking again.

They stand in `marking/overrides.csv`, one line each, the last one of a task counts. nbgrader's
gradebook gets them as marks by hand, each time a lesson is marked.
"""

from __future__ import annotations

import csv
import datetime
import io
import itertools
from contextlib import suppress
from dataclasses import astuple, dataclass, fields
from pathlib import Path
from typing import Any

from nbgrader.api import Gradebook, MissingEntry

from trimkit import files
from trimkit.classroom.course import Course
from trimkit.classroom.names import is_of

FILE = "overrides.csv"
SHORTEST, LONGEST = 5, 200  # letters of a reason
UNDONE = ""


@dataclass(frozen=True, slots=True)
class Override:
    """One mark by a coach.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    task : str
        Such as "02.3" [-].
    points : str
        Points it earns as written, `UNDONE` for the machine's mark again [-].
    reason : str
        Why, without anybody's name [-].
    day : str
        When it was decided [-].
    """

    pupil: int
    task: str
    points: str
    reason: str
    day: str


COLUMNS = tuple(one.name for one in fields(Override))


def read(course: Course) -> dict[tuple[int, str], Override]:
    """Read the marks that count.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    dict
        The last one for each pupil and task; undone ones too [-].

    Raises
    ------
    ValueError
        When a line of the file is none.
    """
    path = _path(course)
    found: dict[tuple[int, str], Override] = {}
    if not path.is_file():
        return found
    for number, row in enumerate(csv.DictReader(io.StringIO(path.read_text("utf-8-sig"))), 2):
        try:
            one = Override(int(row["pupil"]), row["task"], row["points"], row["reason"], row["day"])
            float(one.points or 0)
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError(
                f"{path}, line {number} is no override; its columns are {', '.join(COLUMNS)}"
            ) from error
        found[one.pupil, one.task] = one
    return found


def override(course: Course, pupil: int, task: str, points: float | None, reason: str) -> Override:
    """Put a coach's mark in place of the machine's, or take it back.

    Parameters
    ----------
    course : Course
        The course; the pupil's lesson must have been marked [-].
    pupil : int
        The pupil's number [-].
    task : str
        Such as "02.3" [-].
    points : float or None
        From 0 to the points of the task; None takes it back [-].
    reason : str
        Why, 5 to 200 letters [-].

    Returns
    -------
    Override
        As it stands in the file now [-].

    Raises
    ------
    ValueError
        When the pupil has no mark for that task, or points or reason cannot be used.
    """
    reason = " ".join(reason.split())
    if not SHORTEST <= len(reason) <= LONGEST or not reason.isprintable():
        raise ValueError(
            f"the reason has {len(reason)} letters; allowed is {SHORTEST} to {LONGEST}: a sentence "
            "that you will understand in spring, without anybody's name"
        )
    written = UNDONE if points is None else f"{points:g}"
    one = Override(pupil, task, written, reason, datetime.date.today().isoformat())
    with Gradebook(course.gradebook) as gradebook:
        grade = _grade(gradebook, one)
        if grade is None:
            raise ValueError(
                f"pupil {pupil} has no mark for {task!r}. Mark the lesson first; a task is called "
                "such as 02.3"
            )
        if points is not None and not 0 <= points <= grade.max_score:
            raise ValueError(f"{points:g} points are given; allowed is 0 to {grade.max_score:g}")
        _add(course, one)
        _set(grade, one)
        gradebook.db.commit()
    return one


def apply(course: Course, lesson: str) -> int:
    """Enter the coach's marks of a lesson again, after it was marked.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    int
        How many there are [-].
    """
    mine = [one for (_, task), one in read(course).items() if task[:2] == lesson[:2]]
    count = 0
    if mine and course.has_gradebook:
        with Gradebook(course.gradebook) as gradebook:
            for one in mine:
                grade = _grade(gradebook, one)
                if grade is not None:
                    _set(grade, one)
                    count += one.points != UNDONE
            gradebook.db.commit()
    return count


def _path(course: Course) -> Path:
    return course.marking / FILE


def _add(course: Course, one: Override) -> None:
    path = _path(course)
    before = path.read_bytes() if path.is_file() else (",".join(COLUMNS) + "\n").encode()
    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(astuple(one))
    files.write_whole(path, before + line.getvalue().encode("utf-8"))


def _grade(gradebook: Any, one: Override) -> Any:
    """The gradebook's own record of a mark, None when there is none."""
    lessons = [each.name for each in gradebook.assignments if each.name[:2] == one.task[:2]]
    students = [each.id for each in gradebook.students if is_of(each.id, one.pupil)]
    for lesson, student, kind in itertools.product(lessons, students, ("task", "words")):
        name = f"{kind}-{one.task.replace('.', '-')}"
        with suppress(MissingEntry):
            return gradebook.find_grade(name, lesson[3:], lesson, student)
    return None


def _set(grade: Any, one: Override) -> None:
    grade.manual_score = None if one.points == UNDONE else float(one.points)
    grade.needs_manual_grade = grade.manual_score is None and grade.auto_score is None
