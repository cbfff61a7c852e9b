"""A pupil's work folder: lessons are copied into it, and a pupil's work is never overwritten.

A manifest keeps the hash of every file as it was handed out. A file that still has its hash
is untouched and follows the course. A touched file stays, and a new edition lands beside it.
Every file is written under another name first and then moved into place.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from trimkit import places

MANIFEST_SCHEMA = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """What happened to a work folder.

    Parameters
    ----------
    folder : pathlib.Path
        The work folder [-].
    pupil : places.Pupil
        Whose it is [-].
    new, updated, restored : tuple of str
        Files handed out for the first time, brought up to date, brought back [-].
    beside : tuple of str
        New editions laid beside files that the pupil changed [-].
    set_aside : tuple of str
        Damaged files that were kept under another name [-].
    """

    folder: Path
    pupil: places.Pupil
    new: tuple[str, ...]
    updated: tuple[str, ...]
    restored: tuple[str, ...]
    beside: tuple[str, ...]
    set_aside: tuple[str, ...]

    def words(self) -> str:
        """Say it in plain words.

        Returns
        -------
        str
            One line for each thing that happened [-].
        """
        lines = [
            _line(self.new, "new here"),
            _line(self.updated, "brought up to date"),
            _line(self.restored, "brought back"),
            _line(self.beside, "a new edition, beside your own work"),
            _line(self.set_aside, "damaged, kept under this name"),
        ]
        return "\n".join(line for line in lines if line) or "Lessons: all as you left them."


@dataclass(slots=True)
class _Manifest:
    """Hashes as handed out (files), and hashes of new editions laid beside (offered)."""

    files: dict[str, str] = field(default_factory=dict)
    offered: dict[str, str] = field(default_factory=dict)


def prepare(
    work: Path,
    pupil_number: int | None = None,
    class_word: str | None = None,
    course: Path | None = None,
) -> Prepared:
    """Copy the lessons into a work folder, or bring them up to date.

    Parameters
    ----------
    work : pathlib.Path
        The work folder, made when it is not there [-].
    pupil_number : int or None
        None keeps what the folder says [-].
    class_word : str or None
        None keeps what the folder says [-].
    course : pathlib.Path or None
        The lessons as released, None for the course that came with trimkit [-].

    Returns
    -------
    Prepared
        What was done [-].

    Raises
    ------
    ValueError
        When the folder is not for this pupil, or lies inside the project.
    """
    course = course or places.course_folder()
    _refuse_the_project(work)
    work.mkdir(parents=True, exist_ok=True)
    work = work.resolve()
    set_aside: list[str] = []
    pupil = _settle_pupil(work, pupil_number, class_word, set_aside)
    manifest = _read_manifest(work, set_aside)
    done: dict[str, list[str]] = {"new": [], "updated": [], "restored": [], "beside": []}
    for name in lesson_files(course):
        what, told = _hand_out(course / name, work, name, manifest)
        if what:
            done[what].append(told)
    _write_manifest(work, manifest)
    return Prepared(
        folder=work,
        pupil=pupil,
        set_aside=tuple(set_aside),
        **{what: tuple(names) for what, names in done.items()},
    )


def lesson_files(course: Path) -> list[str]:
    """List the files of a course.

    Parameters
    ----------
    course : pathlib.Path
        The lessons as released [-].

    Returns
    -------
    list of str
        Names below the course's folder with forward slashes, in order; nothing hidden [-].
    """
    names = [path.relative_to(course) for path in course.rglob("*") if path.is_file()]
    return sorted(
        name.as_posix()
        for name in names
        if not any(part.startswith((".", "__")) for part in name.parts)
        and name.parts[0] != places.LOG_FOLDER
    )


def _hand_out(source: Path, work: Path, name: str, manifest: _Manifest) -> tuple[str, str]:
    content = source.read_bytes()
    edition = _hash(content)
    here = work / name
    handed = manifest.files.get(name)
    if not os.path.lexists(here):
        _write(here, content)
        manifest.files[name] = edition
        return ("restored" if handed else "new"), name
    found = _hash(here.read_bytes()) if here.is_file() else "not a file"
    if found == edition:
        manifest.files[name] = edition
        return "", name
    if found == handed:
        _write(here, content)
        manifest.files[name] = edition
        return "updated", name
    if edition in (handed, manifest.offered.get(name)):
        return "", name
    return "beside", _lay_beside(here, content, work, name, manifest)


def _lay_beside(here: Path, content: bytes, work: Path, name: str, manifest: _Manifest) -> str:
    number = 1
    while True:
        ending = "" if number == 1 else f"-{number}"
        beside = here.with_name(f"{here.stem}.new-edition{ending}{here.suffix}")
        if not os.path.lexists(beside):
            break
        number += 1
    _write(beside, content)
    manifest.offered[name] = _hash(content)
    return beside.relative_to(work).as_posix()


def _settle_pupil(
    work: Path, number: int | None, class_word: str | None, set_aside: list[str]
) -> places.Pupil:
    path = work / places.PUPIL_FILE
    before = _pupil_before(path, set_aside)
    if number is not None and before.number not in (0, number):
        raise ValueError(
            f"{work} is the folder of pupil number {before.number}, and you gave {number}. "
            f"Two pupils on one machine want two folders: add --work and a new folder. "
            f"If {before.number} was a slip, mend it in {path.name} there."
        )
    after = places.checked_pupil(
        before.number if number is None else number,
        before.class_word if class_word is None else class_word,
        before.season or places.season(),
    )
    if (number, class_word) != (None, None) and after != before:
        places.write_pupil(path, after)
    return after


def _pupil_before(path: Path, set_aside: list[str]) -> places.Pupil:
    if not path.is_file():
        return places.VISITOR
    try:
        return places.read_pupil(path)
    except ValueError:
        set_aside.append(places.set_aside(path).name)
        return places.VISITOR


def _read_manifest(work: Path, set_aside: list[str]) -> _Manifest:
    path = work / places.MANIFEST_FILE
    if not path.is_file():
        return _Manifest()
    try:
        content = json.loads(path.read_text("utf-8"))
        if content["schema"] != MANIFEST_SCHEMA:
            raise ValueError("another schema")
        return _Manifest(_texts(content["files"]), _texts(content["offered"]))
    except (ValueError, KeyError, TypeError, AttributeError):
        set_aside.append(places.set_aside(path).name)
        return _Manifest()


def _texts(given: dict[Any, Any]) -> dict[str, str]:
    if not all(isinstance(text, str) for pair in given.items() for text in pair):
        raise ValueError("a name or a hash is not text")
    return dict(given)


def _write_manifest(work: Path, manifest: _Manifest) -> None:
    content = {"schema": MANIFEST_SCHEMA, "files": manifest.files, "offered": manifest.offered}
    text = json.dumps(content, indent=1, sort_keys=True) + "\n"
    _write(work / places.MANIFEST_FILE, text.encode("utf-8"))


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(prefix=".part-", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(part).chmod(0o644)
        Path(part).replace(path)
    except BaseException:
        with contextlib.suppress(OSError):
            Path(part).unlink()
        raise


def _hash(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _refuse_the_project(work: Path) -> None:
    root = places.checkout()
    if root is not None and work.resolve().is_relative_to(root):
        raise ValueError(
            f"{work} lies inside the project's own folder. Work belongs outside it, so that "
            f"the project stays clean. Leave --work out to use {places.default_work_folder()}."
        )


def _line(names: tuple[str, ...], what: str) -> str:
    return f"{', '.join(names)}: {what}" if names else ""
