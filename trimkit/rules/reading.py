"""Reading a card of rules and a list of motors, with every slip told together."""

from __future__ import annotations

import dataclasses
import difflib
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Any

from trimkit import logbook
from trimkit.files import FileError, Problem, as_float, parsed, slip_of, text_of, write_whole
from trimkit.rules.card import (
    FIGURES,
    MOTOR_QUANTITIES,
    WHOLE,
    FlightPlan,
    Limit,
    LogRule,
    Motor,
    MotorPlan,
    ReadingErrors,
    Rules,
)
from trimkit.units import Quantity, quantities

FORMAT = "trimkit rules 1"
MOTORS_FORMAT = "trimkit motors 1"
LARGEST_BYTES = 100_000
MOST_MOTORS = 60
MOST_BOXES = 30
LONGEST_TEXT = 400


def read(path: Path) -> Rules:
    """Read a card of rules.

    Parameters
    ----------
    path : pathlib.Path
        A TOML file [-].

    Returns
    -------
    Rules
        The card [-].

    Raises
    ------
    FileError
        Naming everything that is to be mended together.
    """
    return _Card(path, FORMAT).rules()


def read_motors(path: Path) -> tuple[Motor, ...]:
    """Read a list of motors: `[[motor]]` with number and what `MOTOR_QUANTITIES` names.

    Parameters
    ----------
    path : pathlib.Path
        A TOML file [-].

    Returns
    -------
    tuple of Motor
        In the order of the file [-].

    Raises
    ------
    FileError
        Naming everything that is to be mended together.
    """
    return _Card(path, MOTORS_FORMAT).motors()


def write_motors(motors: Sequence[Motor], path: Path, note: str = "") -> None:
    """Write a list of motors that `read_motors` reads back.

    Parameters
    ----------
    motors : sequence of Motor
        The motors [-].
    path : pathlib.Path
        Where to; the file is whole or as it was [-].
    note : str
        Where the figures come from [-].
    """
    import tomlkit

    out = tomlkit.document()
    out["format"] = MOTORS_FORMAT
    if note:
        out["note"] = note
    rows = tomlkit.aot()
    for one in motors:
        row = tomlkit.table()
        for key, value in dataclasses.asdict(one).items():
            if value is not None:
                row[key] = round(value, 6) if isinstance(value, float) else value
        rows.append(row)
    out["motor"] = rows
    write_whole(path, tomlkit.dumps(out).encode("utf-8"))


_TABLES: Mapping[str, type[Any]] = MappingProxyType(
    {"reading_errors": ReadingErrors, "motors": MotorPlan, "flights": FlightPlan, "log": LogRule}
)
_BOXES = ("marking", "box", "papers")


class _Card:
    """Reads one file, collecting problems on the way."""

    def __init__(self, path: Path, kind: str) -> None:
        self.name = path.name
        self.problems: list[Problem] = []
        self.text = text_of(path, LARGEST_BYTES)
        self.content = parsed(self.text, path.name)
        if self.content.get("format") != kind:
            given = _given(self.content.get("format"))
            self._add("format", given, f'"{kind}"', "is it a file of another kind?")

    def rules(self) -> Rules:
        known = ["format", "name", "note", "invented", "limits", *_TABLES, *_BOXES]
        self._check_keys("", self.content, known)
        limits = self._limits()
        made = {name: self._table(name, kind) for name, kind in _TABLES.items()}
        texts = {name: self._texts(name) for name in _BOXES}
        name, note = self._text("name", True), self._text("note", False)
        invented = self.content.get("invented", True)
        if not isinstance(invented, bool):
            self._add("invented", _given(invented), "true or false")
        self._done()
        return Rules(
            name=name,
            note=note,
            invented=invented,
            limits=limits,
            errors=made["reading_errors"] or ReadingErrors(),
            motors=made["motors"],
            flights=made["flights"],
            log=made["log"],
            **texts,
        )

    def motors(self) -> tuple[Motor, ...]:
        self._check_keys("", self.content, ["format", "note", "motor"])
        rows = self.content.get("motor")
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            self._add("motor", _given(rows), "tables headed [[motor]]")
            rows = []
        if len(rows) > MOST_MOTORS:
            self._add("motor", f"{len(rows)} motors", f"up to {MOST_MOTORS}")
            rows = []
        found = [self._motor(place, row) for place, row in enumerate(rows, 1)]
        twice = [one for one in found if [two.number for two in found].count(one.number) > 1]
        if twice:
            self._add("motor.number", f"{twice[0].number!r} twice", "a number of its own for each")
        self._done()
        return tuple(found)

    def _motor(self, place: int, row: Mapping[str, Any]) -> Motor:
        where = f"motor {place}"
        self._check_keys(where, row, ["number", *MOTOR_QUANTITIES])
        number = row.get("number")
        fits = isinstance(number, str | int) and not isinstance(number, bool)
        if not fits or not 1 <= len(str(number)) <= 20:
            self._add(f"{where}.number", _given(number), "the number or letter on the bag")
        values = {
            name: self._number(f"{where}.{name}", row[name], one, name in WHOLE)
            for name, one in MOTOR_QUANTITIES.items()
            if name in row
        }
        return Motor(number=str(number), **values)

    def _add(self, where: str, given: str, allowed: str, slip: str = "") -> None:
        self.problems.append(Problem(self._line(where), where[:80], given, allowed, slip))

    def _line(self, where: str) -> int:
        """Line of a table's key, or of its head; 0 when it is not there."""
        table, _, key = where.rpartition(".")
        inside, found = "", 0
        for number, line in enumerate(self.text.split("\n"), 1):
            head = re.match(r"\s*\[+([^\]]+)\]+", line)
            inside = head[1].strip() if head else inside
            if head and inside in (table, where):
                found = found or number
            if inside == table and re.match(rf"\s*{re.escape(key)}\s*=", line):
                return number
        return found

    def _done(self) -> None:
        if self.problems:
            ordered = sorted(self.problems, key=lambda one: one.line or 10**6)
            raise FileError(self.name, tuple(ordered))

    def _check_keys(self, table: str, given: Mapping[str, Any], known: Sequence[str]) -> None:
        for key in given:
            if key not in known:
                near = difflib.get_close_matches(key[:60], known, 1, 0.5)
                slip = f"did you mean {near[0]}?" if near else ""
                where = f"{table}.{key}" if table else key
                self._add(where, "not a key of this format", ", ".join(known), slip)

    def _text(self, key: str, needed: bool) -> str:
        value = self.content.get(key, "")
        if not isinstance(value, str) or len(value) > LONGEST_TEXT or (needed and not value):
            self._add(key, _given(value or None), f"text in quotes, up to {LONGEST_TEXT} letters")
            return ""
        return value

    def _texts(self, key: str) -> tuple[str, ...]:
        value = self.content.get(key, [])
        fits = isinstance(value, list) and len(value) <= MOST_BOXES
        if not fits or not all(isinstance(one, str) and 0 < len(one) <= 200 for one in value):
            allowed = f"a list of up to {MOST_BOXES} sentences in quotes, up to 200 letters each"
            self._add(key, _given(value), allowed)
            return ()
        return tuple(value)

    def _limits(self) -> tuple[Limit, ...]:
        tables = self.content.get("limits", {})
        if not isinstance(tables, dict):
            self._add("limits", _given(tables), "tables such as [limits.wing_span_mm]")
            return ()
        self._check_keys("limits", tables, list(FIGURES))
        return tuple(self._limit(name, given) for name, given in tables.items() if name in FIGURES)

    def _limit(self, name: str, given: Any) -> Limit:
        where = f"limits.{name}"
        if not isinstance(given, dict) or not given:
            self._add(where, _given(given), "least = or most = and a number")
            return Limit(name)
        self._check_keys(where, given, ["least", "most"])
        unit = FIGURES[name].unit
        allowed = Quantity(unit, 0.01, 60 if unit == "g" else 1500, "")
        ends = {
            key: self._number(f"{where}.{key}", given[key], allowed, False)
            for key in ("least", "most")
            if key in given
        }
        least, most = ends.get("least"), ends.get("most")
        if least is not None and most is not None and least > most:
            self._add(f"{where}.least", f"{least:g}", f"up to most = {most:g}", "are they swapped?")
        return Limit(name, least, most)

    def _table(self, name: str, kind: type[Any]) -> Any:
        given = self.content.get(name)
        if given is None:
            return None
        if not isinstance(given, dict):
            self._add(name, _given(given), f"a table headed [{name}]")
            return None
        before = len(self.problems)
        declared = quantities(kind)
        self._check_keys(name, given, [one.name for one in dataclasses.fields(kind)])
        values = {
            one.name: self._field(name, one, given, declared)
            for one in dataclasses.fields(kind)
            if one.name in given or one.default is dataclasses.MISSING
        }
        return kind(**values) if len(self.problems) == before else None

    def _field(
        self,
        table: str,
        one: dataclasses.Field[Any],
        given: Mapping[str, Any],
        declared: Mapping[str, Quantity],
    ) -> Any:
        where = f"{table}.{one.name}"
        if one.name == "columns":
            return self._columns(where, given["columns"])
        if one.name not in given:
            known = declared[one.name]
            self._add(where, "nothing given", f"{known.low:g} to {known.high:g}")
            return None
        return self._number(where, given[one.name], declared[one.name], "int" in str(one.type))

    def _columns(self, where: str, given: Any) -> tuple[str, ...]:
        known = [one.name for one in logbook.COLUMNS]
        if not isinstance(given, list):
            self._add(where, _given(given), "a list of columns of the logbook")
            return ()
        bad = [str(one)[:40] for one in given if one not in known]
        if bad:
            allowed = f"columns of the logbook: {', '.join(known)}"
            self._add(where, f"{', '.join(bad[:5])} given", allowed)
            return ()
        return tuple(given)

    def _number(self, where: str, value: Any, known: Quantity, whole: bool) -> Any:
        unit = f" {known.unit}" if known.unit else ""
        allowed = f"{'a whole number, ' if whole else ''}{known.low:g} to {known.high:g}{unit}"
        if isinstance(value, bool) or not isinstance(value, int | float):
            self._add(where, _given(value), allowed, "a number has no quotes and no unit")
            return None
        number = as_float(value)
        if not known.low <= number <= known.high:  # also catches nan
            self._add(where, f"{number:g}", allowed, slip_of(number, known))
            return None
        if whole and number != int(number):
            self._add(where, f"{number:g}", allowed)
            return None
        return int(number) if whole else number


def _given(value: Any) -> str:
    if value is None:
        return "nothing given"
    if isinstance(value, dict | list):
        return "a table" if isinstance(value, dict) else f"a list of {len(value)}"
    return f"{str(value)[:60]!r} given"
