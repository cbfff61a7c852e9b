"""The gradebook's safety: a copy before each marking, a check after it.

A gradebook on a PostgreSQL server is copied by that server's own pg_dump.
"""

from __future__ import annotations

import datetime
import os
import shutil
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from trimkit.classroom.course import SERVER, Course

KEPT = 5
FOLDER = "backups"
_GRADES = """ from grade
join submitted_notebook on submitted_notebook.id = grade.notebook_id
join submitted_assignment on submitted_assignment.id = submitted_notebook.assignment_id
join assignment on assignment.id = submitted_assignment.assignment_id
join grade_cells on grade_cells.id = grade.cell_id
where assignment.name = :lesson """
_COUNT = f"""select count(*) {_GRADES} and submitted_assignment.student_id = :pupil
and grade_cells.cell_type = 'code' and grade.auto_score is not null"""
_SCORES = f"""select submitted_assignment.student_id,
sum(coalesce(grade.manual_score, grade.auto_score, 0) + coalesce(grade.extra_credit, 0)),
sum(grade_cells.max_score), sum(case when grade.needs_manual_grade then 1 else 0 end)
{_GRADES} group by submitted_assignment.student_id"""
_LESSON = """select notebook.id from notebook
join assignment on assignment.id = notebook.assignment_id where assignment.name = :lesson"""


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
    return sorted(folder(course).glob(f"gradebook-*{_ending(course)}"))


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
        When the gradebook is damaged or cannot be copied; then no older copy is given up for it.
    """
    if not course.has_gradebook:
        return None
    if trouble := damage(course):
        raise ValueError(mending(course, trouble))
    folder(course).mkdir(exist_ok=True)
    stamp = (now or datetime.datetime.now()).strftime("%Y-%m-%d-%H%M%S-%f")
    copy = folder(course) / f"gradebook-{stamp}{_ending(course)}"
    part = copy.with_suffix(".part")
    part.unlink(missing_ok=True)
    if course.on_server:
        _dump(course, part)
    else:
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
    """Say what is wrong with the gradebook's file, or with the way to its server.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    str
        The database's words, empty when all is well [-].
    """
    if course.on_server:
        return _silence(course)
    try:
        with closing(sqlite3.connect(course.gradebook_file)) as gradebook:
            said = [str(row[0]) for row in gradebook.execute("pragma integrity_check")]
    except sqlite3.DatabaseError as error:
        return str(error)
    return "" if said == ["ok"] else "; ".join(said[:3])


def see_server(course: Course) -> None:
    """See that a gradebook on a server can be reached, before anything is done.

    Parameters
    ----------
    course : Course
        The course; a gradebook in its folder is not looked at [-].

    Raises
    ------
    ValueError
        When it cannot, with why and what to do.
    """
    if course.on_server and (trouble := damage(course)):
        raise ValueError(mending(course, trouble))


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
    return int(_asked(course, _COUNT, lesson=lesson, pupil=pupil_folder)[0][0])


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
    return course.has_gradebook and bool(_rows(course, _LESSON, lesson))


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
    if not course.has_gradebook:
        return {}
    found = _rows(course, _SCORES, lesson)
    return {str(name): (float(got), float(of), int(wait)) for name, got, of, wait in found}


def _rows(course: Course, query: str, lesson: str) -> list[tuple[Any, ...]]:
    try:
        return _asked(course, query, lesson=lesson)
    except DBAPIError:  # no tables yet, or damaged, which `damage` tells
        return []


def _asked(course: Course, query: str, **names: str) -> list[tuple[Any, ...]]:
    with create_engine(course.gradebook, poolclass=NullPool).connect() as gradebook:
        return [tuple(row) for row in gradebook.execute(text(query), names)]


def _ending(course: Course) -> str:
    return ".sql" if course.on_server else ".db"


def _silence(course: Course) -> str:
    """Say why the server does not answer, empty when it does."""
    try:
        _asked(course, "select 1")
    except ModuleNotFoundError:
        return 'the package for it is missing here, pip install "trimkit[postgres]"'
    except DBAPIError as error:
        return f"{str(error.orig).splitlines()[0]}. See that its server runs"
    return ""


def _dump(course: Course, path: Path) -> None:
    """Let the server's own program write the gradebook as SQL; a password goes by its side."""
    program = shutil.which("pg_dump")
    if program is None:
        raise ValueError(
            "pg_dump is not installed, so the gradebook cannot be copied first. Nothing was "
            "marked. Debian has it in postgresql-client"
        )
    address = make_url(course.gradebook)
    whom = address._replace(drivername=SERVER, password=None).render_as_string()
    password = {"PGPASSWORD": str(address.password)} if address.password else {}
    done = subprocess.run(
        [program, "--no-password", f"--file={path}", f"--dbname={whom}"],
        env=os.environ | password,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise ValueError(f"pg_dump could not copy the gradebook: {done.stderr.strip()[:300]}")


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
    if course.on_server:
        where = make_url(course.gradebook).set(drivername=SERVER).render_as_string()
        return f"The gradebook {where} cannot be reached: {trouble}."
    kept = copies(course)
    next_step = (
        f"Put the newest good copy in its place: {kept[-1]}"
        if kept
        else "There is no copy; move it aside, and everything is marked anew"
    )
    return f"{course.gradebook_file} is damaged ({trouble}). {next_step}."
