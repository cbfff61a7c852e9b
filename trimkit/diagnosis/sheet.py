"""A team's own sheet of an evening: rows typed by hand, read into a log.

Two forms say the same. CSV has one row for each action; TOML has one table `[[entry]]` for each.
The columns, or keys, are `action`, `what`, `turns`, `date`, `found`, every setting that a hand may
move (by how much it was moved), every feature that a coach can see, and every reading of the bench.
Empty cells are left out. A row that cannot be used is named with its number, and all of them are
told together; none is dropped silently, and the file is never written.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from trimkit import observe
from trimkit.diagnosis.readings import FOUND_READING, READINGS, sights
from trimkit.faults import CATALOGUE, PLACES
from trimkit.files import FileError, parsed
from trimkit.log import ACTIONS, MOVED, TURNS, Entry, Log, Result

LARGEST_BYTES = 1_000_000
MOST_ROWS = 500
TEXTS = ("action", "what", "date")
COLUMNS = (*TEXTS, TURNS, FOUND_READING, *MOVED, *observe.NAMES, *READINGS)
YES, NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")
# the fin and the tail's tilt may be measured and moved: a row that measures reads them
BOTH = tuple(name for name in MOVED if name in READINGS)


class SheetError(ValueError):
    """A sheet with rows that cannot be used; the text names each of them."""


def read(path: Path) -> Log:
    """Read a sheet.

    Parameters
    ----------
    path : pathlib.Path
        A file that ends in .csv or .toml [-].

    Returns
    -------
    Log
        With one entry for each row, numbered from 1 [-].

    Raises
    ------
    SheetError
        When the file or a row cannot be used, with every reason.
    """
    rows = list(_rows(path))
    entries, problems = [], []
    for number, (place, row) in enumerate(rows, 1):
        try:
            entries.append(_entry(number, row))
        except ValueError as problem:
            problems.append(f"- {place}: {problem}")
    if not rows:
        problems = ["- it has no rows; write one for each flight, look or measurement"]
    if problems:
        raise SheetError(f"{path.name} has {len(problems)} to mend:\n" + "\n".join(problems))
    return Log(tuple(entries))


def _rows(path: Path) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Each row with a word for where it stands."""
    if path.suffix.lower() not in (".csv", ".toml"):
        raise SheetError(f"{path.name} ends in {path.suffix!r}; allowed is .csv or .toml")
    if path.stat().st_size > LARGEST_BYTES:
        raise SheetError(f"{path.name} has more than a megabyte; is it a sheet of an evening?")
    try:
        text = path.read_text("utf-8-sig")
        rows = list(_csv(text) if path.suffix.lower() == ".csv" else _toml(text))
    except FileError as error:
        raise SheetError(f"{path.name} cannot be read: {error.problems[0]}") from error
    except (UnicodeDecodeError, csv.Error) as problem:
        raise SheetError(f"{path.name} cannot be read: {problem}; save it as UTF-8") from problem
    if len(rows) > MOST_ROWS:
        raise SheetError(f"{path.name} has {len(rows)} rows; allowed is {MOST_ROWS}")
    return iter(rows)


def _csv(text: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    lines = text.splitlines()
    some = csv.Sniffer().sniff(lines[0], ",;\t").delimiter if lines and len(lines[0]) > 8 else ","
    table = csv.DictReader(lines, delimiter=some)
    for row in table:
        if None in row:
            yield f"line {table.line_num}", {"": "it has more cells than there are columns"}
            continue
        cells = {str(k).strip(): (v or "").strip() for k, v in row.items() if isinstance(v, str)}
        if any(cells.values()):
            yield f"line {table.line_num}", {name: cell for name, cell in cells.items() if cell}


def _toml(text: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    given = parsed(text)
    entries = given.get("entry")
    if not isinstance(entries, list) or set(given) != {"entry"}:
        raise SheetError("it holds no [[entry]], or something else; write [[entry]] above each")
    for number, entry in enumerate(entries, 1):
        yield f"entry {number}", entry if isinstance(entry, dict) else {"": str(entry)}


def _entry(number: int, row: Mapping[str, Any]) -> Entry:
    _check_columns(row)
    action = str(row.get("action", "fly")).strip().lower()
    if action not in ACTIONS:
        raise ValueError(f"action is {action!r}; allowed is {', '.join(ACTIONS)}")
    _check_what(action, str(row.get("what", "")))
    read = {name: _number(name, row[name]) for name in READINGS if name in row}
    moved = {name: _number(name, row[name]) for name in MOVED if name in row}
    if action == "measure":
        moved = {name: by for name, by in moved.items() if name not in BOTH}
    else:
        read = {name: value for name, value in read.items() if name not in BOTH}
    named = _found(str(row.get("what", "")), row[FOUND_READING]) if FOUND_READING in row else ""
    if FOUND_READING in row:
        read[FOUND_READING] = float(named not in NO)
    seen = {name: _number(name, row[name]) for name in observe.NAMES if name in row}
    given: dict[str, Any] = {"date": str(row["date"])} if "date" in row else {}
    return Entry(
        number=number,
        action=action,
        what=str(row.get("what", "")) or ("the bench" if action == "measure" else ""),
        result=Result(features=seen, readings=read, named="" if named in YES + NO else named),
        changes=moved,
        turns=_number(TURNS, row[TURNS]) if TURNS in row else None,
        **given,
    )


def _check_columns(row: Mapping[str, Any]) -> None:
    if "" in row:
        raise ValueError(str(row[""]))
    for name in row:
        if name not in COLUMNS:
            near = difflib.get_close_matches(name, COLUMNS, 2, 0.5)
            hint = f"; did you mean {' or '.join(near)}?" if near else ""
            raise ValueError(f"{name!r} is no column{hint}")


def _check_what(action: str, what: str) -> None:
    """A look at a place nobody knows, or a repair of an unknown fault, would teach nothing."""
    allowed = {"look": PLACES, "repair": CATALOGUE}.get(action)
    if allowed is not None and what not in allowed:
        near = difflib.get_close_matches(what, allowed, 1, 0.5) or list(allowed)
        raise ValueError(f"what is {what!r} for {action}; allowed is: {', '.join(near)}")


def _number(name: str, given: Any) -> float:
    try:
        return float(str(given).replace(",", ".").replace("−", "-"))
    except ValueError:
        raise ValueError(f"{name} is {given!r}; allowed is a number") from None


def _found(place: str, given: Any) -> str:
    """What a look found: yes, no, or the name of what was seen."""
    word = str(given).strip().lower()
    named = sights(place)[1:] if place in PLACES else ()
    if word not in (*YES, *NO, *named):
        raise ValueError(
            f"found is {given!r}; allowed is yes, no{''.join(f', {n}' for n in named)}"
        )
    return word
