"""A logbook read from a file: separators, encodings, the head, and row after row."""

from __future__ import annotations

import csv
import difflib
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from trimkit.log import MOVED
from trimkit.logbook.cells import CellError, DateOrder, value_of
from trimkit.logbook.columns import BEYOND, BY_NAME, OTHER_NAMES, OUNCES
from trimkit.logbook.record import BadRow, CellProblem, FlightRow, Logbook
from trimkit.units import MNM_PER_OUNCE_INCH

LARGEST_BYTES = 4_000_000
MOST_ROWS = 5000


def read(path: Path, dates: DateOrder = "") -> Logbook:
    """Read a logbook; the file is left as it is.

    Parameters
    ----------
    path : pathlib.Path
        A CSV file as a spreadsheet saves it [-].
    dates : {"", "day-first", "month-first"}
        How to read 3/4/2026; "" asks about it [-].

    Returns
    -------
    Logbook
        Flights, remarks and bad rows; no row is dropped [-].

    Raises
    ------
    ValueError
        When the file as a whole cannot be used.
    """
    text, remarks = table_text(path)
    return reads(text, dates, path.name, remarks)


def reads(
    text: str, dates: DateOrder = "", name: str = "the text", remarks: Sequence[str] = ()
) -> Logbook:
    """Read a logbook from text.

    Parameters
    ----------
    text : str
        CSV with a head [-].
    dates : {"", "day-first", "month-first"}
        How to read 3/4/2026 [-].
    name : str
        What to call it in an error [-].
    remarks : sequence of str
        What is already known about it [-].

    Returns
    -------
    Logbook
        Flights, remarks and bad rows [-].

    Raises
    ------
    ValueError
        When it has no head with known columns, or too many rows.
    """
    if dates not in ("", "day-first", "month-first"):
        raise ValueError(f"dates is {dates!r}; allowed is day-first or month-first")
    rows = table_rows(text, name)
    head, told = _head(rows[0][1], name)
    reader = _RowReader(head, dates, [*remarks, *told])
    for line, cells in rows[1:]:
        if any(cell.strip() for cell in cells):
            reader.take(line, cells)
    known = {*BY_NAME, *OUNCES, BEYOND, ""}
    own = tuple(column for column in head if column not in known)
    return Logbook(tuple(reader.flights), tuple(reader.told()), tuple(reader.bad), own)


def table_text(path: Path) -> tuple[str, list[str]]:
    """Decode what spreadsheets save: UTF-8 with or without a mark, UTF-16, old Windows.

    Parameters
    ----------
    path : pathlib.Path
        A CSV file [-].

    Returns
    -------
    (str, list of str)
        Its text, and remarks on how it was read [-].

    Raises
    ------
    ValueError
        When it is too large or a spreadsheet's own file.
    """
    with path.open("rb") as source:
        raw = source.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        raise ValueError(f"{path.name} has more than 4 MB; is it the file you mean?")
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return raw.decode("utf-16", errors="replace"), []
    if raw[:4] == b"PK\x03\x04":
        raise ValueError(
            f"{path.name} is a spreadsheet's own file, no CSV. In the spreadsheet: save as, CSV"
        )
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError:
        told = "the file is not in UTF-8; it was read as old Windows text: look at letters like é"
        return raw.decode("cp1252", errors="replace"), [told]


def table_rows(
    text: str, name: str, example: str = "date, turns, time_s"
) -> list[tuple[int, list[str]]]:
    """Split a table into rows, whatever separates its cells.

    Parameters
    ----------
    text : str
        CSV; the first row names the columns [-].
    name : str
        What to call it in an error [-].
    example : str
        Columns that it may have, for an error [-].

    Returns
    -------
    list of (int, list of str)
        Line and cells of each row, the head first [-].

    Raises
    ------
    ValueError
        When it is empty, too long, or a quote is left open.
    """
    lines = text.splitlines(keepends=True)
    skip = 0
    while skip < len(lines) and not lines[skip].strip(" \t;,\r\n\ufeff"):
        skip += 1
    if skip < len(lines) and re.fullmatch(r"sep=.\s*", lines[skip], re.I):
        skip += 1
    if skip >= len(lines):
        raise ValueError(f"{name} is empty; the first row names the columns: {example}")
    mark = max(";\t,", key=lambda one: len(_split(lines[skip], one)))
    table = csv.reader(io.StringIO("".join(lines[skip:]), newline=""), delimiter=mark)
    rows, first = [], skip + 1
    try:
        for cells in table:
            rows.append((first, cells))
            first = skip + table.line_num + 1
    except csv.Error as error:
        raise ValueError(f"{name}, line {first}: {error}; is a quote left open?") from error
    if len(rows) > MOST_ROWS:
        raise ValueError(f"{name} has {len(rows)} rows; allowed is {MOST_ROWS}")
    return rows


def _split(line: str, mark: str) -> list[str]:
    return next(csv.reader([line], delimiter=mark), [])


def _head(cells: list[str], name: str) -> tuple[list[str], list[str]]:
    """Names of the columns, and remarks about those nobody knows."""
    head, told = [], []
    lower = {one.lower(): one for one in (*BY_NAME, *OUNCES)}
    for cell in cells:
        plain = re.sub(r"[^\w]+", "_", cell.strip().lower()).strip("_")
        plain = plain.replace("mn_m", "mnm").replace("oz_in", "ozin")
        column = lower.get(plain) or OTHER_NAMES.get(plain)
        if column is None:
            column = cell.strip()
            near = difflib.get_close_matches(plain, [*lower, *OTHER_NAMES], 1, 0.75)
            hint = f"; did you mean {near[0]}?" if near else "; it is kept as it is"
            known = not column or column == BEYOND
            told += [] if known else [f"column {column!r} is not one of the logbook's{hint}"]
        if column and column in head:
            raise ValueError(f"{name} has the column {column} twice; name one of them otherwise")
        head.append(column)
    if "date" not in head:
        raise ValueError(
            f"{name} has no column date; its columns are {', '.join(filter(None, head))[:200]}. "
            f"The first row names the columns, such as date;turns;time_s"
        )
    return head, told


class _RowReader:
    """Reads row after row, carrying down what is left empty."""

    def __init__(self, head: list[str], dates: DateOrder, remarks: list[str]) -> None:
        self.head = head
        self.dates = dates
        self.remarks = remarks
        self.by_line: dict[str, list[int]] = {}
        self.flights: list[FlightRow] = []
        self.bad: list[BadRow] = []
        self._aeroplane = self._hall = ""
        self._settings: dict[str, dict[str, float]] = {}

    def take(self, line: int, cells: list[str]) -> None:
        """Read one row into a flight or a bad row."""
        texts = {c: cell.strip() for c, cell in zip(self.head, cells, strict=False) if c}
        problems: list[CellProblem] = []
        extra = [cell.strip() for cell in cells[len(self.head) :] if cell.strip()]
        if extra:
            texts[BEYOND] = " | ".join(extra)
        if texts.get(BEYOND):
            slip = "is a decimal comma taken for a separator? put it in quotes"
            problems.append(CellProblem("", texts[BEYOND][:40], "no cell beyond the columns", slip))
        values = self._values(line, texts, problems)
        if not problems:
            problems += _misfits(values)
        if any(one.column == "setting" or one.column in MOVED for one in problems):
            told = "its setting cannot be read, so the rows after it may stand otherwise"
            self.by_line.setdefault(told, []).append(line)
        setting = self._carried(values)
        if problems:
            self.bad.append(BadRow(line, MappingProxyType(texts), tuple(problems)))
            return
        self.flights.append(self._flight(line, values, texts, setting))

    def told(self) -> list[str]:
        """Every remark once, with its lines."""
        listed = [
            f"line{'s' * (len(lines) > 1)} {', '.join(map(str, lines))}, {words}"
            for words, lines in self.by_line.items()
        ]
        return [*dict.fromkeys(self.remarks), *listed]

    def _values(
        self, line: int, texts: Mapping[str, str], problems: list[CellProblem]
    ) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for name, text in texts.items():
            column = BY_NAME.get(OUNCES.get(name, name))
            if column is None or not text:
                continue
            try:
                value, remark = value_of(column, text, self.dates)
            except CellError as error:
                problems.append(CellProblem(name, text[:60], column.allowed, str(error)))
                continue
            values[column.name] = value * MNM_PER_OUNCE_INCH if name in OUNCES else value
            if remark:
                self.by_line.setdefault(f"{name}: {remark}", []).append(line)
        if "date" not in values and not any(one.column == "date" for one in problems):
            problems.append(CellProblem("date", "", BY_NAME["date"].allowed, "write the day"))
        return values

    def _carried(self, values: dict[str, Any]) -> dict[str, float]:
        """Aeroplane, hall and setting, carried down; a bad row's setting holds for those after."""
        self._aeroplane = str(values.get("aeroplane", self._aeroplane))
        self._hall = str(values.get("hall", self._hall))
        told = values.pop("setting", {})
        before = {} if told is None else self._settings.get(self._aeroplane, {})
        moved = {name: values.pop(name) for name in MOVED if name in values}
        fresh = {**before, **(told or {}), **moved}
        self._settings[self._aeroplane] = fresh
        return {name: fresh[name] for name in MOVED if fresh.get(name)}

    def _flight(
        self,
        line: int,
        values: dict[str, Any],
        texts: Mapping[str, str],
        setting: Mapping[str, float],
    ) -> FlightRow:
        own = {c: text for c, text in texts.items() if c not in BY_NAME and c not in OUNCES}
        return FlightRow(
            **{**values, "aeroplane": self._aeroplane, "hall": self._hall},
            line=line,
            setting=MappingProxyType(dict(setting)),
            other=MappingProxyType({c: text for c, text in own.items() if text}),
        )


def _misfits(values: Mapping[str, Any]) -> Iterator[CellProblem]:
    """Cells that are allowed one by one and not together."""
    turns, back, left = (values.get(name) for name in ("turns", "backed_off", "turns_left"))
    if turns is not None and (back or 0) + (left or 0) > turns:
        yield CellProblem(
            "turns_left" if left is not None else "backed_off", f"{left if left else back}",
            f"no more than the {turns - (back or 0) if left else turns} turns there were",
            "are turns and turns_left swapped?",
        )  # fmt: skip
    peak, launch = values.get("peak_torque_mNm"), values.get("launch_torque_mNm")
    if peak and launch and launch > 1.02 * peak:
        yield CellProblem(
            "launch_torque_mNm", f"{launch:.3g}", f"no more than the peak of {peak:.3g}",
            "are the two swapped?",
        )  # fmt: skip
    laps, time = values.get("laps"), values.get("time_s")
    if laps and time and laps / time > 1:
        yield CellProblem("laps", f"{laps:g}", f"less than one a second in {time:g} s", "")
