"""Taking in what pupils handed in: a clean copy for nbgrader, or one sentence for the coach.

A pupil's file is only ever read. The copy holds sources and nbgrader's own words, and of the
stored outputs only the answers, so nothing else of a file reaches the marking.
"""

from __future__ import annotations

import contextlib
import datetime
import hashlib
import json
import os
import re
import secrets
import stat
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimkit.classroom.course import Course
from trimkit.classroom.message import ANSWER_TYPE, LARGEST_ANSWER, contents
from trimkit.classroom.names import pupil_number

LARGEST_FILE = 128 * 2**20
LONGEST_CELL = 50_000  # characters of source; the longest of a lesson has about a thousand
MOST_CELLS = 2000
MOST_ANSWERS = 200  # of one cell
TIMESTAMP = "timestamp.txt"
SECRET = "submission_secret.txt"  # nbgrader's name
NOTEBOOK = ".ipynb"
_ID = re.compile(r"[A-Za-z0-9_-]{1,64}")
_SECRET = re.compile(rb"[0-9a-f]{128}")
_KINDS = ("code", "markdown", "raw")
_AGAIN = "Ask for the file again, saved in JupyterLab"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a lesson's notebook looks like.

    Parameters
    ----------
    lesson : str
        The lesson's folder [-].
    name : str
        The notebook's file name [-].
    grade_ids : frozenset of str
        nbgrader's names of its cells [-].
    """

    lesson: str
    name: str
    grade_ids: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class HandIn:
    """What one folder holds for a lesson.

    Parameters
    ----------
    folder : str
        The pupil's folder [-].
    trouble : str
        Why it cannot be marked and what to do, empty when it can [-].
    remarks : tuple of str
        What was mended in the copy [-].
    notebook : bytes
        The clean copy [-].
    timestamp : str
        When it was handed in, empty when not known [-].
    secret : str
        By which nbgrader's exchange names the page for this pupil [-].
    digest : str
        Hash of what the pupil handed in [-].
    path : pathlib.Path or None
        The pupil's file [-].
    """

    folder: str
    trouble: str = ""
    remarks: tuple[str, ...] = ()
    notebook: bytes = b""
    timestamp: str = ""
    secret: str = ""
    digest: str = ""
    path: Path | None = None


class _TroubleError(Exception):
    """One sentence for the coach."""


def wanted(course: Course, lesson: str) -> Wanted:
    """Say what a lesson's notebook looks like, from the lesson as released.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    Wanted
        Its file name and the names of its cells [-].

    Raises
    ------
    ValueError
        When the lesson does not hold one notebook.
    """
    found = sorted((course.released / lesson).glob(f"*{NOTEBOOK}"))
    if len(found) != 1:
        raise ValueError(f"{course.released / lesson} holds {len(found)} notebooks, not one")
    cells = json.loads(found[0].read_text("utf-8"))["cells"]
    return Wanted(lesson=lesson, name=found[0].name, grade_ids=_grade_ids(cells))


def look(course: Course, lesson: Wanted, others: Iterable[Wanted] = ()) -> list[HandIn]:
    """Look at everything handed in for a lesson.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : Wanted
        The lesson [-].
    others : iterable of Wanted
        The other lessons, to name a notebook that lies in the wrong place [-].

    Returns
    -------
    list of HandIn
        One for each folder with this lesson in it, and for whatever else wants a word [-].
    """
    submitted = course.marking / "submitted"
    if not submitted.is_dir():
        return []
    names = sorted(p.name for p in submitted.iterdir() if not p.name.startswith("."))
    numbers = Counter(number for name in names if (number := _number(name)) is not None)
    twice = {number for number, count in numbers.items() if count > 1}
    found = (_one(submitted / name, lesson, tuple(others), twice) for name in names)
    return [one for one in found if one is not None]


def lay_out(hand_in: HandIn, lesson: Wanted, folder: Path) -> None:
    """Write the clean copy where nbgrader will read it.

    Parameters
    ----------
    hand_in : HandIn
        What was handed in [-].
    lesson : Wanted
        The lesson [-].
    folder : pathlib.Path
        The folder that stands in for the submitted one [-].
    """
    place = folder / hand_in.folder / lesson.lesson
    place.mkdir(parents=True, exist_ok=True)
    (place / lesson.name).write_bytes(hand_in.notebook)
    if hand_in.timestamp:
        (place / TIMESTAMP).write_text(hand_in.timestamp, encoding="utf-8")
    (place / SECRET).write_text(hand_in.secret, encoding="ascii")


def altered(hand_ins: Iterable[HandIn]) -> tuple[str, ...]:
    """List the pupils' files that are not as they were taken in.

    Parameters
    ----------
    hand_ins : iterable of HandIn
        What was taken in [-].

    Returns
    -------
    tuple of str
        Folders, in order; empty when all is well [-].
    """
    return tuple(one.folder for one in hand_ins if one.path and _digest_now(one) != one.digest)


def _digest_now(one: HandIn) -> str:
    try:
        return _digest(_bytes(one.path or Path()))
    except (_TroubleError, OSError):
        return ""


def _number(name: str) -> int | None:
    try:
        return pupil_number(name)
    except ValueError:
        return None


def _one(
    folder: Path, lesson: Wanted, others: tuple[Wanted, ...], twice: set[int]
) -> HandIn | None:
    place = folder / lesson.lesson
    if folder.is_dir() and not os.path.lexists(place):
        return None
    try:
        _check_place(folder, place, twice)
        path, remarks = _find(place, lesson)
        raw = _bytes(path)
        notebook = _clean(_read(raw, remarks), lesson, others, remarks)
        timestamp = _timestamp(place / TIMESTAMP, remarks)
    except (_TroubleError, OSError) as trouble:
        return HandIn(folder=folder.name, trouble=f"{lesson.lesson}, {folder.name}: {trouble}")
    return HandIn(
        folder=folder.name,
        remarks=tuple(f"{lesson.lesson}, {folder.name}: {words}" for words in remarks),
        notebook=notebook,
        timestamp=timestamp,
        secret=_secret(place / SECRET),
        digest=_digest(raw),
        path=path,
    )


def _check_place(folder: Path, place: Path, twice: set[int]) -> None:
    if folder.is_symlink():
        raise _TroubleError("a link, not a folder. Put the pupil's own folder in its place")
    if not folder.is_dir():
        raise _TroubleError(f"lies loose. Put it into a folder such as pupil-07/{place.name}")
    try:
        number = pupil_number(folder.name)
    except ValueError as error:
        raise _TroubleError(str(error)) from error
    if number in twice:
        raise _TroubleError(
            f"there are two folders for pupil {number}. Keep one and rename the other"
        )
    if place.is_symlink():
        raise _TroubleError(f"{place.name} is a link. Put a folder with the notebook in its place")
    if not place.is_dir():
        raise _TroubleError(f"{place.name} is a file. Put the notebook into a folder of this name")


def _find(place: Path, lesson: Wanted) -> tuple[Path, list[str]]:
    names = sorted(p.name for p in place.iterdir() if p.name.lower().endswith(NOTEBOOK))
    if lesson.name in names:
        return place / lesson.name, []
    if not names:
        raise _TroubleError(f"holds no notebook. Put {lesson.name} there")
    if len(names) > 1:
        raise _TroubleError(f"holds {len(names)} notebooks, none of them {lesson.name}. Keep one")
    return place / names[0], [f"{names[0][:60]!r} was taken as {lesson.name}"]


def _bytes(path: Path) -> bytes:
    """Read a plain file, and nothing that only looks like one."""
    try:
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    except OSError as error:
        if path.is_symlink():
            raise _TroubleError(f"{path.name} is a link. Ask for the file itself") from error
        raise _TroubleError(
            f"{path.name} cannot be opened ({error.strerror}). See its rights"
        ) from error
    if not stat.S_ISREG(os.fstat(handle).st_mode):
        os.close(handle)
        what = "a folder" if path.is_dir() else "no file"
        raise _TroubleError(f"{path.name} is {what}. Put the pupil's notebook file in its place")
    with os.fdopen(handle, "rb") as file:
        raw = file.read(LARGEST_FILE + 1)
    if not raw.strip():
        raise _TroubleError(f"{path.name} is empty. {_AGAIN}")
    if len(raw) > LARGEST_FILE:
        raise _TroubleError(
            f"{path.name} has more than {LARGEST_FILE >> 20} MB. Open it in JupyterLab, choose "
            "Edit, Clear Outputs of All Cells, save it and put it back"
        )
    return raw


def _read(raw: bytes, remarks: list[str]) -> dict[str, Any]:
    text = _text(raw, remarks)
    try:
        content: Any = json.loads(text, parse_constant=lambda _: None)
    except (ValueError, RecursionError) as error:
        cut = isinstance(error, json.JSONDecodeError) and error.pos >= len(text.rstrip()) - 1
        cut = cut or "Unterminated" in str(error)
        short = "is cut short" if cut and text.lstrip()[:1] == "{" else "is no notebook"
        raise _TroubleError(f"the file {short}. {_AGAIN}") from error
    if not isinstance(content, dict):
        raise _TroubleError(f"the file is no notebook. {_AGAIN}")
    if content.get("nbformat") in (2, 3):
        content = _upgraded(content)
    if content.get("nbformat") != 4 or not isinstance(content.get("cells"), list):
        raise _TroubleError(f"the file has no cells or an unknown format. {_AGAIN}")
    return dict(content)


def _text(raw: bytes, remarks: list[str]) -> str:
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        return raw.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        remarks.append("letters that were not UTF-8 were replaced")
        return raw.decode("utf-8-sig", "replace")


def _upgraded(content: dict[str, Any]) -> dict[str, Any]:
    import nbformat

    try:
        old = nbformat.from_dict(content)  # type: ignore[no-untyped-call]
        return dict(nbformat.convert(old, 4))  # type: ignore[no-untyped-call]
    except Exception as error:  # nbformat raises what it likes for a damaged old file
        raise _TroubleError(f"the file has an old format and is damaged. {_AGAIN}") from error


def _clean(
    content: dict[str, Any], lesson: Wanted, others: tuple[Wanted, ...], remarks: list[str]
) -> bytes:
    cells, used = [], set[str]()
    for number, cell in enumerate(content["cells"][:MOST_CELLS], 1):
        made = _cell(cell, number, used, remarks)
        if made is not None:
            cells.append(made)
    if len(content["cells"]) > MOST_CELLS:
        remarks.append(f"cells after the first {MOST_CELLS} were left out")
    _check_lesson(_grade_ids(cells), lesson, others)
    kernel = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
    metadata = {"kernelspec": kernel, "language_info": {"name": "python"}}
    notebook = {"nbformat": 4, "nbformat_minor": 5, "metadata": metadata, "cells": cells}
    return json.dumps(notebook, indent=1).encode("ascii")


def _check_lesson(found: frozenset[str], lesson: Wanted, others: tuple[Wanted, ...]) -> None:
    if found & lesson.grade_ids:
        return
    for other in others:
        if found & other.grade_ids:
            raise _TroubleError(f"this is the notebook of {other.lesson}. Put it into that folder")
    raise _TroubleError(
        "the notebook has lost the marks by which its cells are found. Copy the answers into a "
        f"fresh {lesson.name} and put that in its place"
    )


def _cell(cell: object, number: int, used: set[str], remarks: list[str]) -> dict[str, Any] | None:
    if not isinstance(cell, dict) or cell.get("cell_type") not in _KINDS:
        remarks.append(f"cell {number} was no cell: left out")
        return None
    given = cell.get("metadata")
    made = {
        "id": _own_id(cell.get("id"), number, used),
        "cell_type": cell["cell_type"],
        "metadata": _metadata(given if isinstance(given, dict) else {}),
        "source": _source(cell.get("source"), number, remarks),
    }
    if made["cell_type"] == "code":
        made |= {"execution_count": None, "outputs": _answers(cell.get("outputs"))}
    return made


def _own_id(given: object, number: int, used: set[str]) -> str:
    own = given if isinstance(given, str) and _ID.fullmatch(given) else f"cell-{number}"
    while own in used:
        own = f"{own[:50]}-{number}"
    used.add(own)
    return own


def _source(given: object, number: int, remarks: list[str]) -> str:
    if isinstance(given, list):
        given = "".join(line for line in given if isinstance(line, str))
    if not isinstance(given, str):
        return ""
    if len(given) > LONGEST_CELL:
        remarks.append(f"cell {number} held {len(given)} characters: emptied")
        return ""
    return given.encode("utf-8", "replace").decode("utf-8")


def _metadata(given: Mapping[str, Any]) -> dict[str, Any]:
    kept: dict[str, Any] = {}
    if isinstance(given.get("tags"), list):
        kept["tags"] = [tag for tag in given["tags"] if isinstance(tag, str)][:20]
    mark = given.get("nbgrader")
    if isinstance(mark, dict):
        plain = (str, int, float, bool, type(None))
        kept["nbgrader"] = {k: v for k, v in mark.items() if isinstance(v, plain)}
    return kept


def _answers(outputs: object) -> list[dict[str, Any]]:
    """Keep the answers among stored outputs, for whose number stands in them."""
    return [
        {"output_type": "display_data", "metadata": {}, "data": {ANSWER_TYPE: content}}
        for content in contents(outputs)[:MOST_ANSWERS]
        if isinstance(content, dict) and len(str(content)) <= LARGEST_ANSWER
    ]


def _grade_ids(cells: Iterable[Mapping[str, Any]]) -> frozenset[str]:
    marks = [cell["metadata"].get("nbgrader") for cell in cells]
    found = [mark.get("grade_id") for mark in marks if isinstance(mark, Mapping)]
    return frozenset(name for name in found if isinstance(name, str))


def _timestamp(path: Path, remarks: list[str]) -> str:
    if not os.path.lexists(path):
        return ""
    try:
        text = _bytes(path)[:100].decode("ascii").strip()
        datetime.datetime.fromisoformat(text.removesuffix(" UTC"))
    except (_TroubleError, ValueError):
        remarks.append(f"{TIMESTAMP} says no time: taken as not late")
        return ""
    return text


def _secret(path: Path) -> str:
    """Take the exchange's secret over, or make one up: nbgrader gives back no page without."""
    with contextlib.suppress(_TroubleError, OSError):
        given = _bytes(path)[:200].strip()
        if _SECRET.fullmatch(given):
            return given.decode("ascii")
    return secrets.token_hex(64)


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()
