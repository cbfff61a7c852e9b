"""Collecting what pupils handed in without a server: a directory of downloads with odd names.

Zips, folders and lone notebooks are read, never run and never changed. Whose it is stands in the
path, which lesson it is in the notebook's own cells. Of several the newest day counts, then the
newest file. What was collected before is never lost: it moves to `marking/earlier`.
"""

from __future__ import annotations

import datetime
import json
import os
import re
import stat
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePath

from trimkit import files
from trimkit.classroom.course import Course
from trimkit.classroom.message import LARGEST_PUPIL
from trimkit.lesson.case import is_log
from trimkit.lesson.handin import LARGEST_LOG, LARGEST_NOTEBOOK, MOST_LOGS, TIMESTAMP, folder_name

EARLIER = "earlier"
MOST_FILES, MOST_IN_ZIP, DEEPEST = 5000, 400, 8
_PUPIL = re.compile(r"(?<![a-z])pupil[-_ ]?0*(\d{1,4})(?!\d)", re.IGNORECASE)
_BARE = re.compile(r"0*(\d{1,4})")
_LESSON = re.compile(r'"grade_id":\s*"(?:task|words|answer)-(\d\d)-')
_CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Taken:
    """A lesson of a pupil that was collected.

    Parameters
    ----------
    folder, lesson : str
        The pupil's folder and the lesson's [-].
    source : str
        Where it came from [-].
    before : str
        "new", "newer than the one before", or "as before" [-].
    days_late : int
        Days after the day it was due, 0 for in time or no such day [-].
    """

    folder: str
    lesson: str
    source: str
    before: str
    days_late: int = 0


@dataclass(frozen=True, slots=True)
class Collection:
    """What became of a directory of downloads.

    Parameters
    ----------
    taken : tuple of Taken
        By pupil and lesson [-].
    troubles : tuple of str
        One sentence for each thing that could not be used, with what to do [-].
    """

    taken: tuple[Taken, ...]
    troubles: tuple[str, ...]

    def words(self) -> str:
        """Say it in plain words.

        Returns
        -------
        str
            Several lines [-].
        """
        lines = [f"{len(self.taken)} collected, {len(self.troubles)} not."]
        for one in self.taken:
            late = f", {one.days_late} day(s) late" if one.days_late else ""
            lines.append(f"{one.folder} {one.lesson}: {one.before}{late} ({one.source})")
        return "\n".join([*lines, *self.troubles])


@dataclass(slots=True)
class _Found:
    """One notebook with what lies beside it."""

    source: str
    place: str
    notebook: bytes
    when: float
    day: str = ""
    logs: dict[str, bytes] = field(default_factory=dict)


class _TroubleError(Exception):
    """One sentence for the coach."""


def collect(course: Course, downloads: Path) -> Collection:
    """Take what pupils handed in to where it is marked.

    Parameters
    ----------
    course : Course
        The course [-].
    downloads : pathlib.Path
        A directory of zips, folders and notebooks [-].

    Returns
    -------
    Collection
        What was taken and what was not [-].

    Raises
    ------
    FileNotFoundError
        When there is no such directory.
    ValueError
        When it holds too many files to be a class's hand-ins.
    """
    if not downloads.is_dir():
        raise FileNotFoundError(f"there is no folder {downloads}. Give the folder of downloads")
    lessons = {path.name[:2]: path.name for path in course.released.glob("[0-9][0-9]-*")}
    best: dict[tuple[str, str], _Found] = {}
    troubles: list[str] = []
    for found in _everything(downloads, troubles):
        try:
            whose = folder_name(_pupil(found)), _lesson(found, lessons)
        except _TroubleError as trouble:
            troubles.append(f"{found.source}: {trouble}")
            continue
        if whose not in best or _age(found) >= _age(best[whose]):
            best[whose] = found
    due = due_days(course)
    taken = [_settled(course, *whose, best[whose], due) for whose in sorted(best)]
    return Collection(tuple(taken), tuple(troubles))


def due_days(course: Course) -> dict[str, datetime.date]:
    """Read by which day a lesson is due, from `marking/due.csv`.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    dict of str to datetime.date
        Lesson's two digits, and its day; empty when there is no such file [-].

    Raises
    ------
    ValueError
        When a line is not a lesson and a day.
    """
    path, found = course.marking / "due.csv", {}
    lines = path.read_text("utf-8-sig").splitlines() if path.is_file() else []
    for number, line in enumerate(lines, 1):
        lesson, _, day = line.replace(";", ",").partition(",")
        if not line.strip() or (number == 1 and lesson.strip().lower() == "lesson"):
            continue
        try:
            found[lesson.strip()[:2]] = datetime.date.fromisoformat(day.strip())
        except ValueError as error:
            raise ValueError(
                f"{path}, line {number}: {line[:60]!r} is given; allowed is a lesson and a day, "
                "such as 02,2026-11-20"
            ) from error
    return found


# --- reading -----------------------------------------------------------------------------------


def _everything(downloads: Path, troubles: list[str]) -> Iterator[_Found]:
    for path in _paths(downloads, troubles):
        name = path.relative_to(downloads).as_posix()
        try:
            if path.suffix.lower() == ".zip":
                yield from _of_zip(path, name)
            else:
                yield _of_file(path, name)
        except (_TroubleError, OSError, zipfile.BadZipFile, RuntimeError, EOFError) as trouble:
            words = trouble if isinstance(trouble, _TroubleError) else "it cannot be read"
            troubles.append(f"{name}: {words}. Ask the pupil to hand it in again.")


def _paths(downloads: Path, troubles: list[str]) -> Iterator[Path]:
    count = 0
    for top, folders, names in os.walk(downloads):
        depth = len(Path(top).relative_to(downloads).parts)
        folders[:] = sorted(name for name in folders if not name.startswith((".", "__")))
        if depth >= DEEPEST:
            folders.clear()
        for name in sorted(names):
            count += 1
            if count > MOST_FILES:
                raise ValueError(f"{downloads} holds more than {MOST_FILES} files; is it another?")
            path = Path(top) / name
            if path.suffix.lower() not in (".zip", ".ipynb") or name.startswith("."):
                continue
            if path.is_symlink() or not stat.S_ISREG(path.stat().st_mode):
                troubles.append(f"{name}: a link or no plain file. Ask for the file itself.")
                continue
            yield path


def _of_file(path: Path, name: str) -> _Found:
    raw = _limited(path.stat().st_size, path.read_bytes)
    found = _Found(name, name, raw, path.stat().st_mtime)
    beside = [one for one in sorted(path.parent.iterdir()) if not one.is_symlink()]
    if sum(_is_notebook(one.name) for one in beside) > 1:
        return found  # whose is what lies beside them?
    for one in beside:
        if one.name == TIMESTAMP and one.is_file():
            found.day = _day(one.read_bytes()[:40])
        if is_log(one) and one.stat().st_size <= LARGEST_LOG and len(found.logs) < MOST_LOGS:
            found.logs[one.name] = one.read_bytes()
    return found


def _of_zip(path: Path, name: str) -> Iterator[_Found]:
    with zipfile.ZipFile(path) as archive:
        members = [one for one in archive.infolist() if not one.is_dir()]
        if len(members) > MOST_IN_ZIP:
            raise _TroubleError(f"it holds {len(members)} files, so it is no hand-in")
        notebooks = [one for one in members if _is_notebook(one.filename)]
        if not notebooks:
            raise _TroubleError("it holds no notebook")
        for one in notebooks:
            yield _of_member(archive, one, members, name, path.stat().st_mtime)


def _is_notebook(name: str) -> bool:
    hidden = any(part.startswith((".", "__")) for part in name.replace("\\", "/").split("/"))
    return name.lower().endswith(".ipynb") and not hidden


def _of_member(
    archive: zipfile.ZipFile, member: zipfile.ZipInfo, members: list[zipfile.ZipInfo], name: str,
    when: float,
) -> _Found:  # fmt: skip
    raw = _limited(member.file_size, lambda: _unpacked(archive, member, LARGEST_NOTEBOOK))
    found = _Found(name, f"{name}/{member.filename}", raw, when)
    folder = member.filename.rpartition("/")[0]
    beside = [one for one in members if one.filename.rpartition("/")[0] == folder]
    if sum(_is_notebook(one.filename) for one in beside) > 1:
        return found
    for one in beside:
        own = one.filename.rpartition("/")[2]
        if own == TIMESTAMP:
            found.day = _day(_unpacked(archive, one, 1000))
        if is_log(PurePath(own)) and one.file_size <= LARGEST_LOG and len(found.logs) < MOST_LOGS:
            found.logs[own] = _unpacked(archive, one, LARGEST_LOG)
    return found


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo, most: int) -> bytes:
    """Read so much and no more, whatever the zip says of its size."""
    parts, size = [], 0
    with archive.open(member) as source:
        while part := source.read(_CHUNK):
            size += len(part)
            if size > most:
                raise _TroubleError(f"{member.filename[-60:]} is larger than a hand-in")
            parts.append(part)
    return b"".join(parts)


def _limited(size: int, read: Callable[[], bytes]) -> bytes:
    if size > LARGEST_NOTEBOOK:
        raise _TroubleError("it has more than 50 MB; its outputs must be cleared")
    return read()


def _day(raw: bytes) -> str:
    try:
        text = raw.decode("ascii").strip()[:10]
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        return ""


# --- whose, and which --------------------------------------------------------------------------


def _pupil(found: _Found) -> int:
    """The innermost part of the path that names a pupil by number."""
    parts = found.place.replace("\\", "/").split("/")
    for part in reversed(parts):
        hit = _PUPIL.search(part) or _BARE.fullmatch(part.partition(".")[0].strip())
        if hit and 1 <= int(hit[1]) <= LARGEST_PUPIL:
            return int(hit[1])
    raise _TroubleError(
        "it names no pupil. Rename it so that it begins with the pupil's number, such as "
        f"pupil-07 {parts[-1][:40]}, and collect again"
    )


def _lesson(found: _Found, lessons: dict[str, str]) -> str:
    try:
        text = found.notebook.decode("utf-8")
        json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _TroubleError(
            "it is no notebook that can be read. Ask the pupil to open it, save it and hand it in"
        ) from error
    digits = set(_LESSON.findall(text))
    if len(digits) != 1:
        told = "of several lessons" if digits else "of no lesson with marked tasks"
        raise _TroubleError(f"it holds tasks {told}. Ask for the lesson's own notebook")
    [number] = digits
    if number not in lessons:
        raise _TroubleError(f"it is of lesson {number}, and there is none in this course")
    return lessons[number]


def _age(found: _Found) -> tuple[str, float]:
    return found.day, found.when


# --- putting it in place -------------------------------------------------------------------------


def _settled(
    course: Course, folder: str, lesson: str, found: _Found, due: dict[str, datetime.date]
) -> Taken:
    place = course.marking / "submitted" / folder / lesson
    path = place / f"{lesson[3:]}.ipynb"
    fresh = {path.name: found.notebook, **found.logs}
    if found.day:
        fresh[TIMESTAMP] = f"{found.day} 00:00:00 UTC\n".encode("ascii")
    here = {one.name: one.read_bytes() for one in place.iterdir()} if place.is_dir() else {}
    before = "new"
    if here:
        before = "as before" if here == fresh else "newer than the one before"
    if before == "newer than the one before":
        _put_aside(course, folder, lesson, place)
    if before != "as before":
        place.mkdir(parents=True, exist_ok=True)
        for name, raw in fresh.items():
            files.write_whole(place / name, raw)
    return Taken(folder, lesson, found.source, before, _days_late(found.day, due.get(lesson[:2])))


def _put_aside(course: Course, folder: str, lesson: str, place: Path) -> None:
    earlier = course.marking / EARLIER / folder / lesson
    earlier.mkdir(parents=True, exist_ok=True)
    numbers = [int(one.name) for one in earlier.iterdir() if one.name.isdecimal()]
    number = max(numbers, default=0) + 1
    place.rename(earlier / f"{number:03d}")


def _days_late(day: str, due: datetime.date | None) -> int:
    if not day or due is None:
        return 0
    return max((datetime.date.fromisoformat(day) - due).days, 0)
