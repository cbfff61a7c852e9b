"""Handing a lesson in without a server: a zip or a folder by pupil number, checked before.

What is handed in is the notebook as it was saved, the logs of the cases, and the day. Nothing
else leaves the work folder, and nothing in it is changed.
"""

from __future__ import annotations

import datetime
import io
import json
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from trimkit import files, places
from trimkit.lesson import tasks
from trimkit.lesson.case import is_log

FOLDER = "hand-in"
TIMESTAMP = "timestamp.txt"
NOT_WRITTEN = "Write your sentence here."
LARGEST_NOTEBOOK = 50_000_000  # bytes
LARGEST_LOG = 1_000_000
MOST_LOGS = 40
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # in a zip, so that the same content gives the same bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Checks:
    """What a lesson looks like before it is handed in.

    Parameters
    ----------
    lesson : str
        Folder, such as "02-angles" [-].
    pupil : int
        The pupil's number, 0 for a visitor [-].
    answered, tasks : int
        How many tasks have something typed, and how many there are [-].
    sentence : bool
        Whether the sentence was written [-].
    cases : int
        How many logs of cases go along [-].
    """

    lesson: str
    pupil: int
    answered: int
    tasks: int
    sentence: bool
    cases: int

    @property
    def ready(self) -> bool:
        """Whether nothing is missing [-]."""
        return not self.missing

    @property
    def missing(self) -> tuple[str, ...]:
        """What is missing, a sentence each [-]."""
        found = []
        if not self.pupil:
            found.append(
                "Nobody's number is known here. Close, and open again with your number: "
                "trimkit open --pupil 7"
            )
        if self.answered < self.tasks:
            found.append(
                f"{self.tasks - self.answered} of {self.tasks} tasks still have their three dots."
            )
        if not self.sentence:
            found.append("The sentence in your own words is not written.")
        return tuple(found)

    def words(self) -> str:
        """Say it in plain words.

        Returns
        -------
        str
            A line, and one for each thing that is missing [-].
        """
        more = f", {self.cases} case log(s)" if self.cases else ""
        head = f"{self.lesson}: {self.answered} of {self.tasks} tasks answered{more}."
        return "\n".join([head, *self.missing])


@dataclass(frozen=True, slots=True, kw_only=True)
class HandIn:
    """What was made.

    Parameters
    ----------
    path : pathlib.Path
        The zip, or the pupil's folder [-].
    checks : Checks
        What it holds [-].
    """

    path: Path
    checks: Checks


def check(work: Path, lesson: str) -> Checks:
    """Look whether a lesson is ready to be handed in.

    Parameters
    ----------
    work : pathlib.Path
        The pupil's work folder [-].
    lesson : str
        The lesson's folder, or its two digits [-].

    Returns
    -------
    Checks
        What is there and what is missing [-].

    Raises
    ------
    ValueError
        When there is no such lesson here, or its notebook cannot be read, with what to do.
    """
    path = _notebook(work, lesson)
    cells = _cells(path)
    answers = [cell for cell in cells if _grade_id(cell).startswith("answer-")]
    words = [cell for cell in cells if _grade_id(cell).startswith("words-")]
    return Checks(
        lesson=path.parent.name,
        pupil=_pupil(work),
        answered=sum(_is_typed(_source(cell)) for cell in answers),
        tasks=len(tasks.load(path.parent.name[:2]).tasks),
        sentence=all(_source(cell).strip() not in ("", NOT_WRITTEN) for cell in words),
        cases=len(_logs(work)),
    )


def make(work: Path, lesson: str, to: Path | None = None, as_folder: bool = False) -> HandIn:
    """Make the zip or the folder to hand in. What is missing does not hinder it.

    Parameters
    ----------
    work : pathlib.Path
        The pupil's work folder [-].
    lesson : str
        The lesson's folder, or its two digits [-].
    to : pathlib.Path or None
        Folder to put it into, made when it is not there; None for `hand-in` in the work
        folder [-].
    as_folder : bool
        A folder, as the coach's `marking/submitted` has it, instead of a zip [-].

    Returns
    -------
    HandIn
        Where it is and what it holds [-].

    Raises
    ------
    ValueError
        When there is no such lesson, its notebook cannot be read, or no pupil's number is known.
    """
    found = check(work, lesson)
    if not found.pupil:
        raise ValueError(found.missing[0])
    to = to or work / FOLDER
    content = _content(work, found)
    to.mkdir(parents=True, exist_ok=True)
    if as_folder:
        for name, raw in content.items():
            (to / name).parent.mkdir(parents=True, exist_ok=True)
            files.write_whole(to / name, raw)
        return HandIn(path=to / folder_name(found.pupil), checks=found)
    path = to / Path(zip_name(found.pupil, found.lesson)).name
    files.write_whole(path, _zipped(content))
    return HandIn(path=path, checks=found)


def folder_name(pupil: int) -> str:
    """Name a pupil's folder.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].

    Returns
    -------
    str
        Such as "pupil-07" [-].
    """
    return f"pupil-{pupil:02d}"


def zip_name(pupil: int, lesson: str) -> str:
    """Name the zip that `make` makes when nobody says where to.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    str
        Below the work folder [-].
    """
    return f"{FOLDER}/{folder_name(pupil)}_{lesson}.zip"


def case_logs(work: Path) -> list[Path]:
    """List the logs of the cases that a pupil began.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].

    Returns
    -------
    list of pathlib.Path
        By name; hints and damaged ones that were set aside are left out [-].
    """
    found = sorted(filter(is_log, (work / places.LOG_FOLDER).glob("*")))
    return [one for one in found if one.is_file()]


def same(made: Path, notebook: Path) -> bool:
    """Say whether a notebook still is what a zip holds of it.

    Parameters
    ----------
    made : pathlib.Path
        The zip [-].
    notebook : pathlib.Path
        The notebook [-].

    Returns
    -------
    bool
        False too when one of them cannot be read [-].
    """
    try:
        with zipfile.ZipFile(made) as archive:
            held = [name for name in archive.namelist() if name.endswith(f"/{notebook.name}")]
            return bool(held) and archive.read(held[0]) == notebook.read_bytes()
    except (OSError, zipfile.BadZipFile):
        return False


def _notebook(work: Path, lesson: str) -> Path:
    known = {path.name: path for path in sorted(work.glob("[0-9][0-9]-*")) if path.is_dir()}
    found = [name for name in known if lesson in (name, name[:2])]
    if not found or found[0][:2] not in tasks.known():
        marked = ", ".join(name for name in known if name[:2] in tasks.known())
        raise ValueError(f"there is no lesson {lesson!r} to hand in here; there is {marked or '-'}")
    folder = known[found[0]]
    path = folder / f"{folder.name[3:]}.ipynb"
    if not path.is_file():
        raise ValueError(f"{path} is not there. Open the course again: trimkit open brings it back")
    return path


def _cells(path: Path) -> list[Mapping[str, Any]]:
    if path.stat().st_size > LARGEST_NOTEBOOK:
        raise ValueError(f"{path.name} has more than 50 MB. Clear its outputs, save, and try again")
    try:
        cells = json.loads(path.read_bytes())["cells"]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise ValueError(
            f"{path.name} cannot be read. Open it in JupyterLab, save it, and try again"
        ) from error
    return [cell for cell in cells if isinstance(cell, dict)] if isinstance(cells, list) else []


def _grade_id(cell: Mapping[str, Any]) -> str:
    marks = cell.get("metadata")
    marks = marks.get("nbgrader") if isinstance(marks, dict) else None
    return str(marks.get("grade_id", "")) if isinstance(marks, dict) else ""


def _source(cell: Mapping[str, Any]) -> str:
    source = cell.get("source", "")
    return "".join(map(str, source)) if isinstance(source, list) else str(source)


def _is_typed(source: str) -> bool:
    """The line that asks ends in three dots until something is typed."""
    code = [line.partition("#")[0].rstrip() for line in source.splitlines()]
    return any(line.strip() for line in code) and not any(line.endswith("= ...") for line in code)


def _pupil(work: Path) -> int:
    try:
        return places.read_pupil(work / places.PUPIL_FILE).number
    except (OSError, ValueError):
        return 0


def _logs(work: Path) -> list[Path]:
    return [one for one in case_logs(work) if one.stat().st_size <= LARGEST_LOG][:MOST_LOGS]


def _content(work: Path, found: Checks) -> dict[str, bytes]:
    """Names with forward slashes, and what is in them."""
    place = f"{folder_name(found.pupil)}/{found.lesson}"
    path = _notebook(work, found.lesson)
    day = f"{datetime.date.today().isoformat()} 00:00:00 UTC\n"
    return {
        f"{place}/{path.name}": path.read_bytes(),
        f"{place}/{TIMESTAMP}": day.encode("ascii"),
        **{f"{place}/{one.name}": one.read_bytes() for one in _logs(work)},
    }


def _zipped(content: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, raw in content.items():
            archive.writestr(zipfile.ZipInfo(name, _FIRST_DAY), raw, zipfile.ZIP_DEFLATED)
    return out.getvalue()
