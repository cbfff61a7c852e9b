"""Erasing what is kept of a pupil, or of a season.

`instructor/plans/what-is-kept.md` says what is kept where. Copies of the gradebook and reports hold
everybody, so they go as a whole when one pupil is forgotten; a new report is made in a minute.
"""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from nbgrader.api import Gradebook, MissingEntry
from sqlalchemy import text

from trimkit import files
from trimkit.classroom import backup, overrides, roster
from trimkit.classroom.collection import EARLIER
from trimkit.classroom.course import ADDRESS_FILE, Course
from trimkit.classroom.names import is_of

KEPT_FOR_THE_NEXT_SEASON = ("due.csv", ADDRESS_FILE)
_OF_A_PUPIL = ("submitted", EARLIER, "autograded", "feedback")
_OF_EVERYBODY = (backup.FOLDER, "report")
_LOGS = ("*.log", "report.txt")


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was erased, or would be.

    Parameters
    ----------
    who : str
        "pupil 7" or "the season" [-].
    paths : tuple of str
        Files and folders below `marking` [-].
    lines : int
        Lines in files that stay [-].
    in_gradebook : bool
        Whether the gradebook knows the pupil [-].
    """

    who: str
    paths: tuple[str, ...]
    lines: int
    in_gradebook: bool

    @property
    def anything(self) -> bool:
        """Whether there is anything to erase [-]."""
        return bool(self.paths or self.lines or self.in_gradebook)

    def words(self, done: bool) -> str:
        """Say it in plain words.

        Parameters
        ----------
        done : bool
            Whether it was erased [-].

        Returns
        -------
        str
            Several lines [-].
        """
        if not self.anything:
            return f"Nothing is kept of {self.who} here."
        verb = "Erased" if done else "This would be erased"
        lines = [f"{verb}, of {self.who}:", *(f"- marking/{path}" for path in self.paths)]
        if self.in_gradebook:
            lines.append("- every mark in the gradebook")
        if self.lines:
            lines.append(f"- {self.lines} line(s) in journals and lists")
        lines.append(
            "The pupil's own work folder, the list of names and paper are not here: see "
            "what-is-kept.md."
        )
        return "\n".join(lines)


def pupil(course: Course, number: int, really: bool) -> Forgotten:
    """Erase everything that is kept of one pupil.

    Parameters
    ----------
    course : Course
        The course [-].
    number : int
        The pupil's number [-].
    really : bool
        False only says what there is [-].

    Returns
    -------
    Forgotten
        What was erased, or would be [-].
    """
    paths = [*_folders(course, number), *_of_all(course)]
    lines = [(path, kept, gone) for path, kept, gone in _lists(course, number) if gone]
    known = _known(course, number)
    mine = bool(list(_folders(course, number)) or lines or known)
    found = Forgotten(
        who=f"pupil {number}",
        paths=_below(course, paths) if mine else (),
        lines=sum(gone for _, _, gone in lines),
        in_gradebook=bool(known),
    )
    if really and found.anything:
        for student in known:
            _out_of_gradebook(course, student)
        for path, kept, _ in lines:
            files.write_whole(path, kept)
        _erase(paths)
    return found


def season(course: Course, really: bool) -> Forgotten:
    """Erase everything that is kept of a class.

    Parameters
    ----------
    course : Course
        The course [-].
    really : bool
        False only says what there is [-].

    Returns
    -------
    Forgotten
        What was erased, or would be [-].
    """
    here = sorted(course.marking.iterdir()) if course.marking.is_dir() else []
    paths = [path for path in here if path.name not in KEPT_FOR_THE_NEXT_SEASON]
    known = _students(course) if course.on_server else []  # a file goes with the folder
    if really:
        for student in known:
            _out_of_gradebook(course, student)
        _erase(paths)
    return Forgotten("the season", _below(course, paths), 0, in_gradebook=bool(known))


def _folders(course: Course, number: int) -> list[Path]:
    places = (course.marking / one for one in _OF_A_PUPIL)
    return [
        folder
        for place in places
        if place.is_dir()
        for folder in sorted(place.iterdir())
        if is_of(folder.name, number)
    ]


def _of_all(course: Course) -> list[Path]:
    whole = [course.marking / one for one in _OF_EVERYBODY]
    logs = [path for pattern in _LOGS for path in sorted(course.marking.glob(pattern))]
    return [path for path in [*whole, *logs] if path.exists()]


def _lists(course: Course, number: int) -> list[tuple[Path, bytes, int]]:
    """Files with a line for each pupil: what of them stays, and how many lines go."""
    journals = sorted((course.marking / "journal").glob("*.jsonl"))
    found = []
    for path in [*journals, course.marking / overrides.FILE, course.marking / roster.FILE]:
        if path.is_file():
            lines = path.read_bytes().splitlines(keepends=True)
            kept = [line for line in lines if not _line_of(line, path, number)]
            found.append((path, b"".join(kept), len(lines) - len(kept)))
    return found


def _line_of(line: bytes, path: Path, number: int) -> bool:
    text = line.decode("utf-8", "replace")
    if path.suffix == ".csv":
        first = text.replace(";", ",").partition(",")[0].strip()
        return first.isdecimal() and int(first) == number
    _, _, rest = text.partition('"folder": "')
    return is_of(rest.partition('"')[0], number)


def _known(course: Course, number: int) -> list[str]:
    return [name for name in _students(course) if is_of(name, number)]


def _students(course: Course) -> list[str]:
    if not course.has_gradebook:
        return []
    with Gradebook(course.gradebook) as gradebook:
        return [str(one.id) for one in gradebook.students]


def _out_of_gradebook(course: Course, student: str) -> None:
    with Gradebook(course.gradebook) as gradebook:
        try:
            gradebook.remove_student(student)
        except MissingEntry:  # somebody else was quicker
            return
        at_once = gradebook.engine.connect().execution_options(isolation_level="AUTOCOMMIT")
        with at_once:
            at_once.execute(text("vacuum"))  # what was deleted is gone from the file too


def _below(course: Course, paths: list[Path]) -> tuple[str, ...]:
    return tuple(path.relative_to(course.marking).as_posix() for path in paths)


def _erase(paths: list[Path]) -> None:
    for path in paths:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)
