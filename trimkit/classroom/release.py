"""The pupils' lessons, made from the lessons with solutions; the same bytes every time."""

from __future__ import annotations

import re
import shutil
import tempfile
from pathlib import Path

from trimkit.classroom.course import EVERYTHING, Course

_LESSON_FOLDER = re.compile(r"\d{2}-.+")


def generate(instructor: Path, course: Path) -> tuple[str, ...]:
    """Make every lesson's folder anew.

    Parameters
    ----------
    instructor : pathlib.Path
        The instructor's folder [-].
    course : pathlib.Path
        The folder of released lessons; only lessons' folders in it are touched [-].

    Returns
    -------
    tuple of str
        The lessons' folders made [-].

    Raises
    ------
    ChildProcessError
        When nbgrader refuses a lesson, with its words.
    """
    with tempfile.TemporaryDirectory(prefix="trimkit-release-") as folder:
        made = _made(instructor, Path(folder))
        lessons = _lesson_folders(made)
        course.mkdir(parents=True, exist_ok=True)
        for name in _lesson_folders(course):
            shutil.rmtree(course / name)
        for name in lessons:
            shutil.copytree(made / name, course / name)
    return lessons


def check(instructor: Path, course: Path) -> tuple[str, ...]:
    """List the files that are not what the instructor's folder generates.

    Parameters
    ----------
    instructor : pathlib.Path
        The instructor's folder [-].
    course : pathlib.Path
        The folder of released lessons [-].

    Returns
    -------
    tuple of str
        Files that differ, are missing or are too many; empty when all is well [-].
    """
    with tempfile.TemporaryDirectory(prefix="trimkit-release-") as folder:
        return differences(_made(instructor, Path(folder)), course)


def differences(wanted: Path, found: Path) -> tuple[str, ...]:
    """Compare the lessons in two folders, byte for byte.

    Parameters
    ----------
    wanted, found : pathlib.Path
        Folders of released lessons [-].

    Returns
    -------
    tuple of str
        Files that differ or stand in one of them only [-].
    """
    one, other = _contents(wanted), _contents(found)
    return tuple(name for name in sorted(one | other) if one.get(name) != other.get(name))


def _made(instructor: Path, root: Path) -> Path:
    course = Course(root=root, instructor=instructor)
    course.prepare()
    course.generate(EVERYTHING, "--no-db")
    return course.released


def _lesson_folders(course: Path) -> tuple[str, ...]:
    return tuple(sorted(p.name for p in course.iterdir() if _LESSON_FOLDER.fullmatch(p.name)))


def _contents(course: Path) -> dict[str, bytes]:
    return {
        path.relative_to(course).as_posix(): path.read_bytes()
        for name in _lesson_folders(course)
        for path in (course / name).rglob("*")
        if path.is_file() and ".ipynb_checkpoints" not in path.parts
    }
