"""Who handed in what, and counts n of m: read from the gradebook and the folders, never written.

A pupil is a number here. Nothing is added up to an ability, and nothing is in order of marks.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from nbformat.reader import NotJSONError

from trimkit.classroom import backup, gradebook, roster
from trimkit.classroom.course import Course
from trimkit.classroom.gradebook import TO_BE_READ, Row
from trimkit.classroom.items import Analysis, analyse
from trimkit.classroom.names import pupil_number
from trimkit.lesson import tasks
from trimkit.lesson.task import Lesson

State = Literal["marked", "handed in, not marked", "not yet"]
MISTAKE = "mistake: "
_SENTENCE = "words-"
_NEEDED_TABLES = {"student", "assignment", "submitted_assignment", "grade"}


@dataclass(frozen=True, slots=True)
class Paper:
    """One lesson of one pupil, in counts.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    lesson : str
        The lesson's folder [-].
    state : str
        "marked", "handed in, not marked" or "not yet" [-].
    good, of : int
        Tasks with all points, of those whose mark is known [-].
    blank : int
        Tasks left as they were [-].
    to_read : int
        Sentences that nobody has read yet [-].
    """

    pupil: int
    lesson: str
    state: State
    good: int = 0
    of: int = 0
    blank: int = 0
    to_read: int = 0

    @property
    def words(self) -> str:
        """Say it as it stands in the table [-]."""
        if self.state != "marked":
            return self.state
        extra = f", {self.to_read} to be read" if self.to_read else ""
        return f"{self.good} of {self.of}{extra}"


@dataclass(frozen=True, slots=True)
class Results:
    """All that a class has handed in.

    Parameters
    ----------
    pupils : tuple of int
        Every pupil known, by number [-].
    lessons : tuple of str
        Every lesson's folder that anybody handed in, in order [-].
    rows : tuple of Row
        Every mark, by pupil, lesson and task [-].
    papers : tuple of Paper
        One for each pupil and lesson [-].
    notes : tuple of str
        What the coach must know about the folders, in sentences [-].
    """

    pupils: tuple[int, ...]
    lessons: tuple[str, ...]
    rows: tuple[Row, ...]
    papers: tuple[Paper, ...]
    notes: tuple[str, ...] = ()

    def of_pupil(self, pupil: int) -> tuple[Paper, ...]:
        """List a pupil's lessons.

        Parameters
        ----------
        pupil : int
            The pupil's number [-].

        Returns
        -------
        tuple of Paper
            In the order of the lessons [-].
        """
        return tuple(paper for paper in self.papers if paper.pupil == pupil)

    def of_lesson(self, lesson: str) -> tuple[Paper, ...]:
        """List a lesson's papers.

        Parameters
        ----------
        lesson : str
            The lesson's folder [-].

        Returns
        -------
        tuple of Paper
            By pupil number [-].
        """
        return tuple(paper for paper in self.papers if paper.lesson == lesson)

    def analysis(self, lesson: str) -> Analysis:
        """Analyse a lesson's tasks.

        Parameters
        ----------
        lesson : str
            The lesson's folder [-].

        Returns
        -------
        Analysis
            Of all pupils whose paper is marked; a task left blank is not right [-].
        """
        rows = [row for row in self.rows if row.lesson == lesson]
        names = sorted({row.task for row in rows}, key=order)
        pupils = sorted({row.pupil for row in rows})
        table = np.full((len(pupils), len(names)), np.nan)
        for row in rows:
            if row.verdict != TO_BE_READ:
                table[pupils.index(row.pupil), names.index(row.task)] = is_good(row)
        return analyse([task_name(name) for name in names], table)


def read(course: Course, pupils: int = 0) -> Results:
    """Read everything.

    Parameters
    ----------
    course : Course
        The course [-].
    pupils : int
        How many pupils the class has, numbered from 1; 0 for those of the roster and those
        known from the folders [-].

    Returns
    -------
    Results
        Marks, states and remarks [-].

    Raises
    ------
    FileNotFoundError
        When the folder holds no class.
    ValueError
        When the gradebook, a marked notebook or the roster cannot be read, with what to do.
    """
    if not course.marking.is_dir():
        raise FileNotFoundError(
            f"{course.root} holds no folder marking, so no class has handed in there. "
            "Give the course folder, the one that holds marking."
        )
    handed, notes = _handed_in(course.marking / "submitted")
    rows = _rows(course)
    marked = {(row.pupil, row.lesson) for row in rows}
    in_class = range(1, pupils + 1) if pupils else roster.read(course)
    known = sorted({who for who, _ in handed | marked} | set(in_class))
    lessons = sorted({lesson for _, lesson in handed | marked})
    papers = tuple(_paper(who, lesson, rows, handed) for who in known for lesson in lessons)
    return Results(tuple(known), tuple(lessons), tuple(rows), papers, tuple(notes))


def is_good(row: Row) -> bool:
    """Say whether a task earned all its points.

    Parameters
    ----------
    row : Row
        The mark [-].

    Returns
    -------
    bool
        True for all points, False for a part of them too [-].
    """
    return row.of > 0 and row.points >= row.of


def order(grade_id: str) -> tuple[str, int, str]:
    """Give a key that puts tasks in the order of their lesson.

    Parameters
    ----------
    grade_id : str
        nbgrader's name, such as "task-02-10" [-].

    Returns
    -------
    tuple
        For `sorted` [-].
    """
    lesson, _, number = grade_id.partition("-")[2].partition("-")
    return lesson, int(number) if number.isdecimal() else 0, grade_id


def task_name(grade_id: str) -> str:
    """Name a task as pupils know it.

    Parameters
    ----------
    grade_id : str
        nbgrader's name [-].

    Returns
    -------
    str
        Such as "02.3", or "02.8 (sentence)" [-].

    Examples
    --------
    >>> task_name("task-02-3"), task_name("words-02-8")
    ('02.3', '02.8 (sentence)')
    """
    number = grade_id.partition("-")[2].replace("-", ".")
    return f"{number} (sentence)" if grade_id.startswith(_SENTENCE) else number or grade_id


def lesson_name(folder: str) -> str:
    """Name a lesson.

    Parameters
    ----------
    folder : str
        Such as "02-angles" [-].

    Returns
    -------
    str
        Such as "02, Angles from a ruler"; the folder's name when there is no such lesson [-].
    """
    known = lesson_of(folder)
    return f"{known.id}, {known.title}" if known else folder


def lesson_of(folder: str) -> Lesson | None:
    """Find a lesson by its folder.

    Parameters
    ----------
    folder : str
        Such as "02-angles" [-].

    Returns
    -------
    Lesson or None
        None when there is no such lesson [-].
    """
    return tasks.load(folder[:2]) if folder[:2] in tasks.known() else None


def numbers(pupils: Sequence[int]) -> str:
    """List pupils by number.

    Parameters
    ----------
    pupils : sequence of int
        The numbers [-].

    Returns
    -------
    str
        Such as "3, 7 and 12", "nobody" for none [-].

    Examples
    --------
    >>> numbers([12, 3, 7]), numbers([])
    ('3, 7 and 12', 'nobody')
    """
    return listed([str(one) for one in sorted(pupils)]) or "nobody"


def listed(words: Sequence[str]) -> str:
    """Put words in a row.

    Parameters
    ----------
    words : sequence of str
        The words [-].

    Returns
    -------
    str
        Such as "02.1, 02.5 and case 7", "" for none [-].
    """
    *first, last = words or ("",)
    return f"{', '.join(first)} and {last}" if first else last


def _handed_in(submitted: Path) -> tuple[set[tuple[int, str]], list[str]]:
    """Pairs of pupil and lesson; a folder that names no pupil is counted and never named."""
    found, strangers = set(), 0
    for folder in sorted(submitted.iterdir()) if submitted.is_dir() else ():
        if not folder.is_dir() or folder.name.startswith("."):
            continue
        try:
            pupil = pupil_number(folder.name)
        except ValueError:
            strangers += 1
            continue
        found |= {(pupil, lesson) for lesson in _lessons(folder)}
    return found, _strangers(strangers)


def _lessons(folder: Path) -> Iterator[str]:
    return (one.name for one in sorted(folder.iterdir()) if any(one.glob("*.ipynb")))


def _strangers(count: int) -> list[str]:
    if not count:
        return []
    many = "1 folder names" if count == 1 else f"{count} folders name"
    return [
        f"{many} no pupil in marking/submitted, and is not in this report. "
        "Name each like pupil-07, with no person's name."
    ]


def _rows(course: Course) -> list[Row]:
    if not course.has_gradebook:
        return []
    backup.see_server(course)
    if not course.on_server:
        _check(course.gradebook_file)
    try:
        return gradebook.rows(course)
    except (NotJSONError, UnicodeDecodeError, KeyError, AttributeError, TypeError) as error:
        raise ValueError(
            f"a marked notebook in {course.marking / 'autograded'} is damaged. Mark its lesson "
            "again; nothing was changed."
        ) from error


def _check(path: Path) -> None:
    """Look before nbgrader does, which would write into whatever it finds."""
    try:
        address = f"{path.resolve().as_uri()}?mode=ro"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as database:
            names = {name for (name,) in database.execute("SELECT name FROM sqlite_master")}
            sound = database.execute("PRAGMA quick_check").fetchone() == ("ok",)
    except sqlite3.Error as error:
        raise ValueError(_broken(path, str(error))) from error
    if not sound:
        raise ValueError(_broken(path, "the file is damaged"))
    if not names >= _NEEDED_TABLES:
        raise ValueError(_broken(path, "it is not a gradebook of nbgrader"))


def _broken(path: Path, why: str) -> str:
    return (
        f"{path} cannot be read: {why}. Nothing was changed. Put a copy of it back, or move it "
        "away and mark again: the hand-ins are still in marking/submitted."
    )


def _paper(pupil: int, lesson: str, rows: Sequence[Row], handed: set[tuple[int, str]]) -> Paper:
    own = [row for row in rows if (row.pupil, row.lesson) == (pupil, lesson)]
    if not own:
        waits = (pupil, lesson) in handed
        return Paper(pupil, lesson, "handed in, not marked" if waits else "not yet")
    known = [row for row in own if row.verdict != TO_BE_READ]
    return Paper(
        pupil,
        lesson,
        "marked",
        good=sum(map(is_good, known)),
        of=len(known),
        blank=sum(row.verdict == "blank" for row in known),
        to_read=len(own) - len(known),
    )
