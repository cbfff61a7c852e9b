"""The attempt log: one JSON object a line, only ever added to.

It keeps the date and the lesson, never a clock time. A damaged log is set aside under another
name, its good lines are carried over, and nothing is lost.
"""

from __future__ import annotations

import datetime
import json
import os
from pathlib import Path
from typing import Any

from trimkit import places

SCHEMA = 1


def append(path: Path, lesson_id: str, kind: str, **content: Any) -> None:
    """Add one entry to a log, making the file when it is not there.

    Parameters
    ----------
    path : pathlib.Path
        The log [-].
    lesson_id : str
        Two digits [-].
    kind : str
        "answer" or "prediction" [-].
    **content : plain data
        What happened [-].
    """
    entry = {
        "schema": SCHEMA,
        "date": datetime.date.today().isoformat(),
        "lesson": lesson_id,
        "kind": kind,
        **content,
    }
    path.parent.mkdir(parents=True, exist_ok=True)
    if _ends_in_mid_line(path):
        read(path)
    with path.open("a", encoding="utf-8") as log:
        log.write(json.dumps(entry, ensure_ascii=False) + "\n")


def read(path: Path) -> list[dict[str, Any]]:
    """Read a log; set a damaged one aside and carry its good lines over.

    Parameters
    ----------
    path : pathlib.Path
        The log [-].

    Returns
    -------
    list of dict
        The entries in order, empty when there is no log [-].
    """
    good, lines = _good(path)
    if len(good) < lines or _ends_in_mid_line(path):
        _set_aside(path, good)
    return good


def glance(path: Path) -> list[dict[str, Any]]:
    """Read the good entries of a log and leave the file as it is, damaged or not.

    Parameters
    ----------
    path : pathlib.Path
        The log [-].

    Returns
    -------
    list of dict
        The entries in order, empty when there is no log [-].
    """
    return _good(path)[0]


def _good(path: Path) -> tuple[list[dict[str, Any]], int]:
    """Give the good entries, and how many lines there are."""
    raw = path.read_bytes() if path.exists() else b""
    lines = [line for line in raw.split(b"\n") if line.strip()]
    parsed = [_entry(line) for line in lines]
    return [entry for entry in parsed if entry is not None], len(lines)


def _entry(line: bytes) -> dict[str, Any] | None:
    try:
        entry = json.loads(line)
    except ValueError:  # a UnicodeDecodeError is one too
        return None
    return entry if isinstance(entry, dict) and entry.get("schema") == SCHEMA else None


def _ends_in_mid_line(path: Path) -> bool:
    if not path.exists() or path.stat().st_size == 0:
        return False
    with path.open("rb") as log:
        log.seek(-1, os.SEEK_END)
        return log.read(1) != b"\n"


def _set_aside(path: Path, good: list[dict[str, Any]]) -> None:
    fresh = path.with_name(path.name + ".new")
    fresh.write_text(
        "".join(json.dumps(entry, ensure_ascii=False) + "\n" for entry in good), encoding="utf-8"
    )
    places.set_aside(path)
    fresh.replace(path)
