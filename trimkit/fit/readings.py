"""Readings of a torque meter: a table with a row for each reading."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from trimkit.logbook import (
    BadRow,
    CellError,
    CellProblem,
    Column,
    table_rows,
    table_text,
    value_of,
)
from trimkit.motor import COLDEST_C, ROOM_C, WARMEST_C
from trimkit.units import MNM_PER_OUNCE_INCH

WAYS = ("up", "down")
MOST_TURNS = 6000
READING_COLUMNS: tuple[Column, ...] = (
    Column("motor", "number or letter on the motor's bag; as in the row before when empty"),
    Column("turns", "turns on the motor at this reading", "number", 1, MOST_TURNS),
    Column("torque_mNm", "what the meter shows (mN m)", "number", 0.05, 100),
    Column("way", "up while winding, down while unwinding; up when empty"),
    Column(
        "temperature_c",
        "of the room (°C); as in the row before when empty",
        "number",
        COLDEST_C,
        WARMEST_C,
    ),
)
BY_NAME: Mapping[str, Column] = MappingProxyType({one.name: one for one in READING_COLUMNS})
OUNCES = "torque_ozin"
OTHER_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "number": "motor", "loop": "motor", "turns_on": "turns", "torque": "torque_mNm",
        "mnm": "torque_mNm", "ozin": OUNCES, "direction": "way", "temperature": "temperature_c",
        "temp": "temperature_c",
    }
)  # fmt: skip
_EXAMPLE = "motor, turns, torque_mNm"


@dataclass(frozen=True, slots=True)
class TorqueReading:
    """One reading.

    Parameters
    ----------
    line : int
        Line in the file, 1 for the head [-].
    motor : str
        Number or letter on the bag [-].
    turns : float
        Turns on the motor [turns].
    torque_mNm : float
        What the meter showed [mN m].
    wound : float
        Most turns that were on it up to then; `turns` on the way up [turns].
    temperature_c : float
        Temperature [°C].
    """

    line: int
    motor: str
    turns: float
    torque_mNm: float
    wound: float
    temperature_c: float = ROOM_C

    @property
    def up(self) -> bool:
        """Read while winding [-]."""
        return self.turns == self.wound

    def words(self) -> str:
        """Say it.

        Returns
        -------
        str
            Such as "line 7, 900 turns up, 3.40 mN m" [-].
        """
        way = "up" if self.up else "down"
        return f"line {self.line}, {self.turns:g} turns {way}, {self.torque_mNm:.2f} mN m"


@dataclass(frozen=True, slots=True)
class TorqueTable:
    """All readings of a file.

    Parameters
    ----------
    readings : tuple of TorqueReading
        Rows that can be used [-].
    bad_rows : tuple of BadRow
        Rows to mend, kept as they stand [-].
    remarks : tuple of str
        What was understood and should be looked at [-].
    """

    readings: tuple[TorqueReading, ...] = ()
    bad_rows: tuple[BadRow, ...] = ()
    remarks: tuple[str, ...] = ()

    @property
    def motors(self) -> tuple[str, ...]:
        """Numbers of the motors, in order [-]."""
        return tuple(dict.fromkeys(one.motor for one in self.readings))

    def of(self, motor: str) -> tuple[TorqueReading, ...]:
        """Pick the readings of one motor.

        Parameters
        ----------
        motor : str
            Its number [-].

        Returns
        -------
        tuple of TorqueReading
            In the order of the file [-].
        """
        return tuple(one for one in self.readings if one.motor == motor)


def read_torque(path: Path) -> TorqueTable:
    """Read a table of torque readings; the file is left as it is.

    Parameters
    ----------
    path : pathlib.Path
        A CSV file as a spreadsheet saves it [-].

    Returns
    -------
    TorqueTable
        Readings, bad rows and remarks; no row is dropped [-].

    Raises
    ------
    ValueError
        When the file as a whole cannot be used.
    """
    text, remarks = table_text(path)
    return reads_torque(text, path.name, remarks)


def reads_torque(text: str, name: str = "the text", remarks: Sequence[str] = ()) -> TorqueTable:
    """Read torque readings from text.

    Parameters
    ----------
    text : str
        CSV with a head [-].
    name : str
        What to call it in an error [-].
    remarks : sequence of str
        What is already known about it [-].

    Returns
    -------
    TorqueTable
        Readings, bad rows and remarks [-].

    Raises
    ------
    ValueError
        When it has no column of turns or of torque.
    """
    rows = table_rows(text, name, _EXAMPLE)
    head, told = _head(rows[0][1], name)
    reader = _Reader(head)
    for line, cells in rows[1:]:
        if any(cell.strip() for cell in cells):
            reader.take(line, cells)
    kept = (*remarks, *told, *reader.remarks)
    return TorqueTable(tuple(reader.readings), tuple(reader.bad), tuple(dict.fromkeys(kept)))


def reading_columns_words() -> str:
    """List the columns, for a reader and for the documentation.

    Returns
    -------
    str
        A line for each column [-].
    """
    return "\n".join(f"{one.name}: {one.meaning}; {_allowed(one)}" for one in READING_COLUMNS)


def _allowed(column: Column) -> str:
    return " or ".join(WAYS) if column.name == "way" else column.allowed


def _head(cells: Sequence[str], name: str) -> tuple[list[str], list[str]]:
    known = {one.lower(): one for one in (*BY_NAME, OUNCES)}
    head, told = [], []
    for cell in cells:
        plain = re.sub(r"[^\w]+", "_", cell.strip().lower()).strip("_")
        plain = plain.replace("mn_m", "mnm").replace("oz_in", "ozin")
        column = known.get(plain) or OTHER_NAMES.get(plain) or ""
        if not column and cell.strip():
            near = difflib.get_close_matches(plain, [*known, *OTHER_NAMES], 1, 0.75)
            hint = f"; did you mean {near[0]}?" if near else "; it is not used"
            told.append(f"column {cell.strip()[:40]!r} is not one of the readings'{hint}")
        if column and column in head:
            raise ValueError(f"{name} has the column {column} twice; name one of them otherwise")
        head.append(column)
    lacking = [] if "turns" in head else ["turns"]
    lacking += [] if {"torque_mNm", OUNCES} & {*head} else ["torque_mNm (or torque_ozin)"]
    if lacking:
        raise ValueError(
            f"{name} has no column {' and no '.join(lacking)}; its first row is "
            f"{', '.join(cells)[:200]!r}. The first row names the columns, such as {_EXAMPLE}"
        )
    if {"torque_mNm", OUNCES} <= {*head}:
        raise ValueError(f"{name} has the torque twice, in mN m and in oz in; keep one of them")
    return head, told


class _Reader:
    """Reads row after row, carrying down motor and temperature."""

    def __init__(self, head: Sequence[str]) -> None:
        self.head = head
        self.readings: list[TorqueReading] = []
        self.bad: list[BadRow] = []
        self.remarks: list[str] = []
        self._motor, self._temperature_c = "1", ROOM_C
        self._most: dict[str, float] = {}

    def take(self, line: int, cells: Sequence[str]) -> None:
        texts = {c: cell.strip() for c, cell in zip(self.head, cells, strict=False) if c}
        problems: list[CellProblem] = []
        values = self._values(line, texts, problems)
        self._motor = str(values.get("motor", self._motor))
        self._temperature_c = float(values.get("temperature_c", self._temperature_c))
        extra = [cell.strip() for cell in cells[len(self.head) :] if cell.strip()]
        if extra:
            slip = "is a decimal comma taken for a separator? put it in quotes"
            problems.append(CellProblem("", " | ".join(extra)[:40], "no cell beyond", slip))
        if not problems:
            self._add(line, values, problems)
        if problems:
            self.bad.append(BadRow(line, MappingProxyType(texts), tuple(problems)))

    def _add(self, line: int, values: Mapping[str, Any], problems: list[CellProblem]) -> None:
        turns, most = values["turns"], self._most.get(self._motor, 0.0)
        wound = turns if values["way"] == "up" else most
        if turns > wound:
            given, allowed = f"down at {turns:g}", f"no more than the {wound:g} turns read going up"
            slip = "write the readings in the order in which they were taken"
            problems.append(CellProblem("turns", given, allowed, slip))
            return
        self._most[self._motor] = max(most, wound)
        self.readings.append(
            TorqueReading(
                line, self._motor, turns, values["torque_mNm"], wound, self._temperature_c
            )
        )

    def _values(
        self, line: int, texts: Mapping[str, str], problems: list[CellProblem]
    ) -> dict[str, Any]:
        values: dict[str, Any] = {"way": "up"}
        for name, text in texts.items():
            if not text:
                continue
            column = BY_NAME["torque_mNm" if name == OUNCES else name]
            try:
                value, remark = _value(column, text, name == OUNCES)
            except CellError as error:
                problems.append(CellProblem(name, text[:60], _allowed(column), str(error)))
                continue
            values[column.name] = value
            if remark:
                self.remarks.append(f"line {line}, {name}: {remark}")
        told = {one.column for one in problems}
        for name in ("turns", "torque_mNm"):
            if name not in values and not told & {name, OUNCES}:
                problems.append(CellProblem(name, "", BY_NAME[name].allowed, "write it"))
        return values


def _value(column: Column, text: str, ounces: bool) -> tuple[Any, str]:
    if column.name == "way":
        near = [way for way in WAYS if way.startswith(text.lower())]
        if not near:
            raise CellError("")
        return near[0], ""
    if ounces:
        part = MNM_PER_OUNCE_INCH
        inner = Column(OUNCES, column.meaning, "number", column.low / part, column.high / part)
        value, remark = value_of(inner, text, "")
        return value * part, remark
    return value_of(column, text, "")
