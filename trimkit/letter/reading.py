"""Taking an aeroplane and a log out of a page that came from somebody else.

The page is data. The one block that trimkit wrote is found by its exact mark, its JSON is read
with limits on size, depth and kind, and the aeroplane goes through the same strict reader as an
aeroplane file. Nothing is run, opened or fetched.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NoReturn

from trimkit import files, observe
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis.readings import FOUND_READING, READINGS
from trimkit.log import Entry, Log, Result

FORMAT = "trimkit letter 1"
BEGIN, END = '<script type="application/json" id="trimkit-letter">', "</script>"
LARGEST_BYTES = 6_000_000
LARGEST_DATA = 1_000_000
MOST_ENTRIES = 500
LONGEST_WORDS = 2000
LARGEST_NUMBER = 1e5  # nothing that is seen or read in a hall is larger
KEYS = ("format", "aeroplane", "log", "words")
ENTRY_KEYS = (
    "number", "action", "what", "hypothesis", "prediction", "certainty", "said", "features",
    "readings", "named", "changes", "turns", "minutes", "date",
)  # fmt: skip
_SEEN = ("features", "readings", "said", "named")
_READABLE = frozenset({*READINGS, FOUND_READING})


class LetterError(ValueError):
    """A page that cannot be used; the text is a sentence for a person."""


@dataclass(frozen=True, slots=True)
class Letter:
    """What a page holds for a lab.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as the log began [-].
    log : Log
        What was done, empty when nothing came along [-].
    words : str
        What the team saw, in its words [-].
    """

    aeroplane: Aeroplane
    log: Log = field(default_factory=Log)
    words: str = ""


def read(path: Path) -> Letter:
    """Read a page.

    Parameters
    ----------
    path : pathlib.Path
        An HTML file that `write` made [-].

    Returns
    -------
    Letter
        Aeroplane, log and words [-].

    Raises
    ------
    LetterError
        Saying what is wrong and what to do.
    """
    with path.open("rb") as source:
        raw = source.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        _refuse(path.name, "it has more than 6 MB, and no letter has")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        _refuse(path.name, "it is no text in UTF-8")
    return reads(text, path.name)


def reads(text: str, name: str = "the page") -> Letter:
    """Read a page from text.

    Parameters
    ----------
    text : str
        The page [-].
    name : str
        What to call it in an error [-].

    Returns
    -------
    Letter
        Aeroplane, log and words [-].

    Raises
    ------
    LetterError
        Saying what is wrong and what to do.
    """
    content = _content(text, name)
    if set(content) != set(KEYS) or content["format"] != FORMAT:
        _refuse(name, f"its data is not of the form {FORMAT!r}; is it from another trimkit?")
    given, words = content["aeroplane"], content["words"]
    if not isinstance(given, str):
        _refuse(name, "its aeroplane is no text")
    if not isinstance(words, str) or len(words) > LONGEST_WORDS:
        _refuse(name, f"its words are no text of up to {LONGEST_WORDS} letters")
    try:
        aeroplane = files.loads(given, "its aeroplane")
    except files.FileError as error:
        _refuse(name, str(error).replace("\n", " ")[:900])
    return Letter(_quiet(aeroplane), _log(content["log"], name), _printable(words))


def _quiet(aeroplane: Aeroplane) -> Aeroplane:
    """The same aeroplane with names that cannot move a terminal's cursor."""
    parts = tuple(
        dataclasses.replace(part, name=_one_line(part.name)) for part in aeroplane.build.parts
    )
    build = dataclasses.replace(aeroplane.build, parts=parts)
    name, note = _one_line(aeroplane.name), _one_line(aeroplane.note)
    return dataclasses.replace(aeroplane, name=name, note=note, build=build)


def _one_line(text: str) -> str:
    return _printable(text).replace("\n", " ")


def _content(text: str, name: str) -> Mapping[str, Any]:
    """The JSON of the one block that trimkit wrote."""
    if text.count(BEGIN) != 1:
        many = "more than one block" if BEGIN in text else "no block"
        _refuse(name, f"it holds {many} of trimkit's data")
    start = text.index(BEGIN) + len(BEGIN)
    end = text.find(END, start)
    if end < 0:
        _refuse(name, "its data is cut short")
    if end - start > LARGEST_DATA:
        _refuse(name, "its data has more than 1 MB")
    try:
        content = json.loads(
            text[start:end], object_pairs_hook=_object, parse_constant=_no_constant
        )
    except (ValueError, RecursionError) as error:
        reason = "it is nested without end" if isinstance(error, RecursionError) else str(error)
        _refuse(name, f"its data is broken: {reason[:120]}")
    if not isinstance(content, dict):
        _refuse(name, "its data is no JSON object")
    return content


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name is given twice")
    return found


def _no_constant(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number")


def _log(given: Any, name: str) -> Log:
    if not isinstance(given, list) or len(given) > MOST_ENTRIES:
        _refuse(name, f"its log is no list of up to {MOST_ENTRIES} entries")
    entries = []
    for place, row in enumerate(given, 1):
        try:
            entries.append(_entry(row))
        except (ValueError, TypeError, OverflowError) as error:
            _refuse(name, f"entry {place} of its log cannot be used: {str(error)[:300]}")
    try:
        return Log(tuple(entries))
    except ValueError as error:
        _refuse(name, str(error))


def _entry(row: Any) -> Entry:
    row = {"named": "", **row} if isinstance(row, dict) else {}  # older letters name nothing
    if set(row) != set(ENTRY_KEYS):
        raise ValueError("it has not the keys of an entry")
    features = _numbers(row["features"], frozenset(observe.NAMES), "features")
    readings = _numbers(row["readings"], _READABLE, "readings")
    kept = {key: row[key] for key in ENTRY_KEYS if key not in _SEEN}
    for key, value in kept.items():
        if isinstance(value, str):
            kept[key] = _printable(value)
    for key in ("said", "named"):
        if not isinstance(row[key], str):
            raise ValueError(f"{key} is no text")
    seen = Result(features, _printable(row["said"]), readings, _printable(row["named"]))
    changes = row["changes"] if isinstance(row["changes"], dict) else {"": 0.0}
    kept["changes"] = _numbers(changes, None, "changes")
    return Entry(**kept, result=seen)


def _numbers(given: Any, known: frozenset[str] | None, what: str) -> dict[str, float]:
    if not isinstance(given, dict):
        raise ValueError(f"{what} is no table of numbers")
    for key, value in given.items():
        if known is not None and key not in known:
            raise ValueError(f"{what} has {_printable(key)[:40]!r}, which nobody can read or see")
        good = isinstance(value, int | float) and not isinstance(value, bool)
        if not good or not math.isfinite(value) or abs(value) > LARGEST_NUMBER:
            raise ValueError(f"{_printable(key)[:40]} is no number up to {LARGEST_NUMBER:g}")
    return {key: float(value) for key, value in given.items()}


def _printable(text: str) -> str:
    return files.printable(text, kept="\n")


def _refuse(name: str, reason: str) -> NoReturn:
    shown = _one_line(name)[:80]
    raise LetterError(
        f"{shown} cannot be used: {_one_line(reason)}. Nothing was loaded. Ask the team for the "
        "file as trimkit wrote it, not a copy out of a mail."
    )
