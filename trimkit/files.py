"""Aeroplane files: TOML in and out, with every problem told together.

The format is documented in `datasets_demo/README.md`. What a file may hold follows from the
records in `aeroplane`, `motor` and `propeller`: names, units and ranges are declared there and
nowhere else. Files from others are data; nothing in them is run.
"""

from __future__ import annotations

import dataclasses
import difflib
import errno
import math
import os
import re
import secrets
import stat
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from numbers import Integral
from pathlib import Path
from typing import Any, get_type_hints

from trimkit.aeroplane import Aeroplane, Build, Fin, Part, Setting, Stick, Tail, Wing
from trimkit.motor import RubberMotor
from trimkit.propeller import Propeller
from trimkit.units import G_PER_OUNCE, MM_PER_INCH, Quantity, quantities

FORMAT = "trimkit aeroplane 1"
LARGEST_BYTES = 1_000_000
TABLES: dict[str, type[Any]] = {
    "wing": Wing,
    "tail": Tail,
    "fin": Fin,
    "stick": Stick,
    "setting": Setting,
    "setting.motor": RubberMotor,
    "setting.propeller": Propeller,
}
PARTS = "parts"
MOST_PARTS = 100
MOST_LISTED = 40  # numbers in a list, such as blade angles
LONGEST_TEXT = 2000

MOST_KEPT = 999  # copies of a file that was written over
MOST_STEPS = 20  # names joined by points, such as setting.motor
MOST_SHOWN = 100  # problems in the text of an error
MOST_GUESSES = 50  # misspelt keys that are compared with the known ones

_NAME = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_NAMES = rf"\s*({_NAME}(?:\s*\.\s*{_NAME})*)\s*"
_HEADER = re.compile(rf"\s*\[{{1,2}}{_NAMES}\]{{1,2}}\s*$")
_KEY = re.compile(rf"{_NAMES}=")
_LONG_STRING = r'''"""(?:\\.|[^\\])*?(?:"{3,5}|\Z)|\'{3}.*?(?:\'{3,5}|\Z)'''
_STRING = r""""(?:\\.|[^"\\\n])*"?|\'[^\'\n]*\'?"""  # one left open ends with its line
_STRING_OR_COMMENT = re.compile(
    rf"(?P<long>{_LONG_STRING})|(?P<short>{_STRING})|(?P<comment>#[^\n]*)", re.S
)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend in a file.

    Parameters
    ----------
    line : int
        Line in the file, from 1; 0 when it belongs to no line [-].
    where : str
        Table and key, such as "wing.root_chord_mm" [-].
    given : str
        What stands there [-].
    allowed : str
        What may stand there [-].
    slip : str
        The likely slip, empty when none is known [-].
    next_step : str
        What to do about it [-].
    """

    line: int
    where: str
    given: str
    allowed: str
    slip: str = ""
    next_step: str = "mend it and load the file again"

    def __str__(self) -> str:
        place = f"line {self.line}, {self.where}" if self.line else self.where
        asked = self.slip.endswith("?")  # a question already says what to do
        rest = [self.slip] if asked else [self.slip, self.next_step]
        told = [
            f"{place}: {self.given}",
            f"allowed {self.allowed}",
            *(word for word in rest if word),
        ]
        return printable("; ".join(told))


class FileError(ValueError):
    """A file that cannot be used, with everything that is to be mended.

    Parameters
    ----------
    name : str
        Name of the file [-].
    problems : tuple of Problem
        All of them, in the order of the lines [-].
    """

    def __init__(self, name: str, problems: tuple[Problem, ...]) -> None:
        super().__init__(name, problems)
        self.name = name
        self.problems = problems

    def __str__(self) -> str:
        count = f"{len(self.problems)} thing{'s' if len(self.problems) > 1 else ''}"
        lines = "\n".join(f"- {problem}" for problem in self.problems[:MOST_SHOWN])
        if len(self.problems) > MOST_SHOWN:
            lines += f"\n- and {len(self.problems) - MOST_SHOWN} more"
        name = printable(self.name[:80])
        return f"{name} has {count} to mend:\n{lines}\nMend them and load it again."


def load_aeroplane(path: str | os.PathLike[str]) -> Aeroplane:
    """Load an aeroplane from a file.

    Parameters
    ----------
    path : str or path
        A TOML file of the documented format [-].

    Returns
    -------
    Aeroplane
        The aeroplane at the setting in the file [-].

    Raises
    ------
    FileError
        Naming every bad, missing or unknown value together, with its line.
    """
    return loads(text_of(path), Path(path).name)


def text_of(path: str | os.PathLike[str], largest: int = LARGEST_BYTES) -> str:
    """Read a text file that came from somebody else.

    Parameters
    ----------
    path : str or path
        A plain file in UTF-8, with or without a mark [-].
    largest : int
        How many bytes it may have [-].

    Returns
    -------
    str
        Its text [-].

    Raises
    ------
    FileError
        When it is not there, no plain file, too large or not in UTF-8.
    """
    place = Path(path)
    raw = _read(place, largest)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        step = "save it again as UTF-8"
        bad = Problem(line, "the text", "a byte that is no UTF-8", "UTF-8 text", "", step)
        raise FileError(place.name, (bad,)) from error


def _read(place: Path, largest: int) -> bytes:
    """Read a plain file of bounded size; a link to one will do, a device or a pipe will not."""
    try:
        kind = place.stat().st_mode
        odd = not (stat.S_ISREG(kind) or stat.S_ISDIR(kind))
        raw = b"" if odd else _first_bytes(place, largest)
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise FileError(place.name, (_whole(reason.lower(), _READABLE),)) from error
    if odd:
        raise FileError(place.name, (_whole("a device or a pipe", _READABLE),))
    if len(raw) > largest:
        allowed = f"up to {largest / 1e6:g} MB"
        raise FileError(place.name, (_whole("the file is very large", allowed),))
    return raw


def _first_bytes(place: Path, largest: int) -> bytes:
    with place.open("rb") as source:
        return source.read(largest + 1)


def save_aeroplane(aeroplane: Aeroplane, path: str | os.PathLike[str]) -> None:
    """Save an aeroplane; the file is whole or not there.

    Parameters
    ----------
    aeroplane : Aeroplane
        What to save [-].
    path : str or path
        Where to; a link stays a link [-].

    Raises
    ------
    FileError
        When it could not be loaded again, such as without a name; nothing is written then.
    """
    place = Path(os.path.realpath(path))
    text = dumps(aeroplane)
    loads(text, place.name)
    write_whole(place, text.encode("utf-8"))


def write_whole(path: str | os.PathLike[str], raw: bytes) -> None:
    """Write a file that is whole or as it was before.

    Parameters
    ----------
    path : str or path
        Where to; a link stays a link [-].
    raw : bytes
        What to write [-].
    """
    place = Path(os.path.realpath(path))
    fresh = place.with_name(f".{place.name}.{secrets.token_hex(4)}.part")
    try:
        with fresh.open("xb") as out:
            out.write(raw)
            out.flush()
            os.fsync(out.fileno())
        os.replace(fresh, place)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise


def keep_before(path: str | os.PathLike[str]) -> Path | None:
    """Keep a file that is about to be written over, under a name that no file has.

    Parameters
    ----------
    path : str or path
        What will be written over, there or not [-].

    Returns
    -------
    pathlib.Path or None
        Where it is now, such as own.before.toml or own.before-2.toml; None when none was there [-].
    """
    place = Path(os.path.realpath(path))
    if not place.exists():
        return None
    raw = place.read_bytes()
    for number in range(1, MOST_KEPT + 1):
        mark = "before" if number == 1 else f"before-{number}"
        kept = place.with_name(f"{place.stem}.{mark}{place.suffix}")
        try:
            with kept.open("xb") as out:
                out.write(raw)
                out.flush()
                os.fsync(out.fileno())
        except FileExistsError:
            continue
        return kept
    raise FileExistsError(
        errno.EEXIST, f"there are {MOST_KEPT} kept copies already; move some away", str(place)
    )


def loads(text: str, name: str = "the text") -> Aeroplane:
    """Read an aeroplane from text.

    Parameters
    ----------
    text : str
        TOML of the documented format [-].
    name : str
        What to call it in an error [-].

    Returns
    -------
    Aeroplane
        The aeroplane [-].

    Raises
    ------
    FileError
        Naming every bad, missing or unknown value together, with its line.
    """
    content = parsed(text, name)
    return _Reader(content, _lines(_bare(text)), name).aeroplane()


def parsed(text: str, name: str = "the text") -> dict[str, Any]:
    """Parse TOML that came from somebody else.

    Parameters
    ----------
    text : str
        TOML of any format [-].
    name : str
        What to call it in an error [-].

    Returns
    -------
    dict
        What stands in it; a whole number may have hundreds of digits, see `as_float` [-].

    Raises
    ------
    FileError
        When it is no TOML, or such as a reader may spend hours on.
    """
    try:
        text.encode("utf-8")  # half a letter may hide in a Python string
        _refuse_long_names(_bare(text))
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise FileError(name, (_broken(error, text),)) from error


def _bare(text: str) -> str:
    return _STRING_OR_COMMENT.sub(_without_text, text)


def _refuse_long_names(bare: str) -> None:
    """Refuse a.a.a.a and so on, on which a TOML reader may spend hours."""
    names = _STRING_OR_COMMENT.sub("a", bare)
    short = re.sub(r"[A-Za-z0-9_-]+", "a", re.sub(r"[ \t]+", "", names))
    at = short.find("a." * MOST_STEPS)
    if at >= 0:
        line = short.count("\n", 0, at) + 1
        raise ValueError(f"a name of more than {MOST_STEPS} steps (at line {line})")


def _broken(error: ValueError | RecursionError, text: str) -> Problem:
    """Say where text stops being TOML."""
    words, line = str(error), 0
    found = re.search(r"\(at line (\d+).*?\)", words)
    if found:
        line = int(found[1])
    elif isinstance(error, UnicodeEncodeError):
        words, line = "half a letter", text.count("\n", 0, error.start) + 1
    elif isinstance(error, RecursionError):
        words = "brackets inside brackets without end"
    elif isinstance(error, tomllib.TOMLDecodeError):  # "at end of document"
        line = text.count("\n") + 1
    else:  # Python refuses whole numbers of thousands of digits
        long = re.search(r"\d[\d_]{4000}", text)
        words, line = (
            "a number of thousands of digits",
            text.count("\n", 0, long.start()) + 1 if long else 0,
        )
    slip = "text wants quotes, a number wants a point and no unit"
    return Problem(
        line, "the line", words, "key = value", slip, "look at this line and the one before"
    )


def dumps(aeroplane: Aeroplane) -> str:
    """Write an aeroplane as text that `loads` reads back without loss.

    Parameters
    ----------
    aeroplane : Aeroplane
        What to write [-].

    Returns
    -------
    str
        TOML of the documented format [-].
    """
    import tomlkit

    document = tomlkit.document()
    document["format"] = FORMAT
    document["name"] = aeroplane.name
    document["note"] = aeroplane.note
    build = aeroplane.build
    for name, record in (
        ("wing", build.wing),
        ("tail", build.tail),
        ("fin", build.fin),
        ("stick", build.stick),
    ):
        document[name] = _table(record)
    several = tomlkit.aot()
    for part in build.parts:
        several.append(_table(part))
    document[PARTS] = several
    setting = _table(aeroplane.setting)
    setting["motor"] = _table(aeroplane.setting.motor)
    setting["propeller"] = _table(aeroplane.setting.propeller)
    document["setting"] = setting
    return tomlkit.dumps(document)


def schema() -> Iterator[tuple[str, str, str, str]]:
    """List what a file may hold, for the documentation.

    Yields
    ------
    (str, str, str, str)
        Table, key, what is allowed, meaning [-].
    """
    for table, record in {**TABLES, PARTS: Part}.items():
        declared = quantities(record)
        for field in _own_fields(record):
            quantity = declared.get(field.name)
            allowed = _allowed(quantity) if quantity else _allowed_text(record, field.name)
            meaning = quantity.meaning if quantity else _MEANINGS[field.name]
            default = "" if _required(field) else f"; {_shown(field.default)} when left out"
            yield table, field.name, allowed + default, meaning


def key_table() -> str:
    """Write the table of keys that stands in `datasets_demo/README.md`.

    Returns
    -------
    str
        A table in Markdown, one row for each key [-].
    """
    head = "| table | key | allowed | meaning |\n|---|---|---|---|\n"
    return head + "".join(
        f"| {table} | `{key}` | {allowed} | {meaning} |\n"
        for table, key, allowed, meaning in schema()
    )


_READABLE = "a file that is there and may be read"
_MEANINGS = {
    "name": "What the part is called on the bench",
    "radius_ratios": "Where the blade was measured, over the tip radius; rising, last is 1",
    "chord_ratios": "Width of the blade there, over the tip radius",
    "blade_angles_deg": "Angle of the blade there, in degrees",
    "hand": "right turns clockwise seen from behind",
}


def _table(record: Any) -> Any:
    import tomlkit

    table = tomlkit.table()
    for field in _own_fields(type(record)):
        table[field.name] = _plain(getattr(record, field.name))
    return table


def _plain(value: Any) -> Any:
    """A value as Python's own type, since numpy's numbers are no TOML."""
    if isinstance(value, tuple):
        return [float(number) for number in value]
    if isinstance(value, str):
        return value
    return int(value) if isinstance(value, Integral) else float(value)


def _own_fields(record: type[Any]) -> list[dataclasses.Field[Any]]:
    """Fields that are values in a table, not tables of their own."""
    return [f for f in dataclasses.fields(record) if f.name not in ("motor", "propeller")]


def _required(field: dataclasses.Field[Any]) -> bool:
    return field.default is dataclasses.MISSING


def _whole(given: str, allowed: str) -> Problem:
    return Problem(0, "the file", given, allowed)


def _allowed(quantity: Quantity) -> str:
    unit = f" {quantity.unit}" if quantity.unit else ""
    return f"{quantity.low:g} to {quantity.high:g}{unit}"


def _allowed_text(record: type[Any], name: str) -> str:
    if name == "hand":
        return '"right" or "left"'
    if str(get_type_hints(record)[name]).startswith("tuple"):
        return f"a list of 2 to {MOST_LISTED} numbers"
    return "text in quotes"


def _shown(value: object) -> str:
    if isinstance(value, str):
        return f'"{value[:40]}"'
    if isinstance(value, dict | list):  # may be nested deeper than Python prints
        return "a table" if isinstance(value, dict) else f"a list of {len(value)}"
    if isinstance(value, bool):
        return str(value).lower()
    return f"{as_float(value):.6g}" if isinstance(value, int | float) else str(value)


def _lines(bare: str) -> dict[str, int]:
    """Map "table.key" and "table" to line numbers; parts count as parts[1] and so on.

    The text comes without comments and long strings, which may look like keys.
    """
    found: dict[str, int] = {}
    table, count = "", 0
    for number, line in enumerate(bare.split("\n"), start=1):
        header = _HEADER.match(line)
        key = _KEY.match(line)
        if header:
            table = _dotted(header[1])
            if table == PARTS:
                count += 1
                table = f"{PARTS}[{count}]"
            found.setdefault(table, number)
        elif key:
            name = _dotted(key[1])
            found.setdefault(f"{table}.{name}" if table else name, number)
    return found


def _without_text(found: re.Match[str]) -> str:
    """Take comments and long strings out, but keep their line ends."""
    if found["comment"]:
        return ""
    return "''" + "\n" * found[0].count("\n") if found["long"] else found[0]


def _dotted(name: str) -> str:
    return re.sub(r"[\s\"']", "", name)


def slip_of(value: float, quantity: Quantity) -> str:
    """Guess the slip behind a number that is outside its range.

    Parameters
    ----------
    value : float
        What was given [in the quantity's unit].
    quantity : Quantity
        What is allowed [-].

    Returns
    -------
    str
        A question, or empty when no slip fits [-].

    Examples
    --------
    >>> slip_of(8.6, Quantity("mm", 40, 180, ""))
    'that looks like centimetres: did you mean 86?'
    """
    guesses = {
        "mm": (("centimetres", 10), ("metres", 1000), ("inches", MM_PER_INCH)),
        "mm²": (("square centimetres", 100), ("square metres", 1e6)),
        "g": (("kilograms", 1000), ("milligrams", 0.001), ("ounces", G_PER_OUNCE)),
        "°": (("radians", 180 / math.pi),),
        "": (("percent", 0.01),),
        "%": (("a share of one", 100),),
    }.get(quantity.unit, ())
    fits = {
        unit: f"{value * factor:.6g}"
        for unit, factor in guesses
        if quantity.low <= value * factor <= quantity.high and value != 0
    }
    if fits:
        return f"that looks like {' or '.join(fits)}: did you mean {' or '.join(fits.values())}?"
    if quantity.low <= -value <= quantity.high:
        return f"is the sign the wrong way round: did you mean {-value:g}?"
    for factor in (0.1, 10):
        if quantity.low <= value * factor <= quantity.high and value != 0:
            return f"has the decimal point slipped: did you mean {value * factor:.6g}?"
    return ""


def printable(text: str, kept: str = "") -> str:
    """Put a question mark for every letter that no terminal and no page can show.

    Parameters
    ----------
    text : str
        Text, wherever it came from [-].
    kept : str
        Letters that stay all the same, such as a line's end [-].

    Returns
    -------
    str
        Text that can move no cursor [-].
    """
    return "".join(one if one.isprintable() or one in kept else "?" for one in text)


class _Reader:
    """Reads one file, collecting problems on the way."""

    def __init__(self, content: dict[str, Any], lines: dict[str, int], name: str) -> None:
        self.content = content
        self.lines = lines
        self.name = name
        self.problems: list[Problem] = []

    def aeroplane(self) -> Aeroplane:
        self._head()
        title = self._text("name", "a name in quotes")
        note = self._text("note", "text in quotes") if "note" in self.content else ""
        records = {
            table: self._record(table, kind) for table, kind in TABLES.items() if table != "setting"
        }
        parts = self._parts()
        setting = self._record(
            "setting",
            Setting,
            {"motor": records["setting.motor"], "propeller": records["setting.propeller"]},
        )
        if self.problems:
            ordered = sorted(self.problems, key=lambda problem: problem.line or 10**9)
            raise FileError(self.name, tuple(ordered))
        build = Build(
            wing=records["wing"],
            tail=records["tail"],
            fin=records["fin"],
            stick=records["stick"],
            parts=tuple(parts),
        )
        return Aeroplane(name=title, build=build, setting=setting, note=note)

    def _add(self, where: str, given: str, allowed: str, slip: str = "", step: str = "") -> None:
        line = self.lines.get(where) or self.lines.get(where.rpartition(".")[0]) or 0
        step = step or f"write {where.rpartition('.')[2]} = and what is allowed"
        self.problems.append(Problem(line, where[:80], given, allowed, slip, step))

    def _head(self) -> None:
        given = self.content.get("format")
        if given != FORMAT:
            shown = "nothing given" if given is None else f"{_shown(given)} given"
            step = f'write format = "{FORMAT}" in the first line'
            self._add("format", shown, f'"{FORMAT}"', "is it a file of another kind or age?", step)
        known = ["format", "name", "note", PARTS, *(t for t in TABLES if "." not in t)]
        for key in self.content:
            if key not in known:
                self._unknown(key, key, known)

    def _unknown(self, where: str, key: str, known: list[str]) -> None:
        few = len(self.problems) < MOST_GUESSES
        near = difflib.get_close_matches(key[:80], known, n=1, cutoff=0.6) if few else []
        slip = f"did you mean {near[0]}?" if near else ""
        step = f"write {near[0]} instead" if near else "take the line out"
        self._add(where, "not a key of this format", ", ".join(known)[:400], slip, step)

    def _text(self, where: str, allowed: str) -> str:
        value = self.content.get(where)
        if isinstance(value, str) and len(value) <= LONGEST_TEXT and (value or where == "note"):
            return value
        shown = "nothing given" if value in (None, "") else f"{_shown(value)} given"
        self._add(where, shown, f"{allowed}, up to {LONGEST_TEXT} letters")
        return ""

    def _parts(self) -> list[Part]:
        given = self.content.get(PARTS, [])
        if not isinstance(given, list) or not all(isinstance(row, dict) for row in given):
            self._add(PARTS, "not a list of tables", "tables headed [[parts]]")
            return []
        if len(given) > MOST_PARTS:
            self._add(PARTS, f"{len(given)} parts", f"up to {MOST_PARTS} parts")
            return []
        return [
            self._fields(f"{PARTS}[{number}]", Part, row, {})
            for number, row in enumerate(given, start=1)
        ]

    def _record(self, table: str, kind: type[Any], nested: Mapping[str, Any] | None = None) -> Any:
        holder: Any = self.content
        for step in table.split("."):
            holder = holder.get(step) if isinstance(holder, dict) else None
        if not isinstance(holder, dict):
            shown = "nothing given" if holder is None else f"{_shown(holder)} given"
            step = f"write the line [{table}] and its keys under it"
            self._add(table, shown, f"a table headed [{table}]", "", step)
            return None
        return self._fields(table, kind, holder, nested or {})

    def _fields(
        self, table: str, kind: type[Any], given: dict[str, Any], nested: Mapping[str, Any]
    ) -> Any:
        before = len(self.problems)
        fields = _own_fields(kind)
        known = [field.name for field in fields]
        for key in given:
            if key not in known and not (table == "setting" and key in ("motor", "propeller")):
                self._unknown(f"{table}.{key}", key, known)
        declared = quantities(kind)
        values = {
            field.name: self._value(f"{table}.{field.name}", kind, field, given, declared)
            for field in fields
        }
        if len(self.problems) > before or any(part is None for part in nested.values()):
            return None
        try:
            return kind(**values, **nested)
        except ValueError as error:
            self._misfit(table, known, str(error).removeprefix(f"{kind.__name__}: "))
            return None

    def _misfit(self, table: str, known: list[str], words: str) -> None:
        """Report figures that are allowed one by one and not together."""
        named = sorted((words.index(key), key) for key in known if key in words)
        where = f"{table}.{named[0][1]}" if named else table
        given, *rest = words.split("; ")
        wanted = [
            part.removeprefix("allowed is ") for part in rest if part.startswith("allowed is ")
        ]
        slip = "; ".join(part for part in rest if not part.startswith("allowed is "))
        self._add(where, given, "; ".join(wanted) or "figures that fit together", slip)

    def _value(
        self,
        where: str,
        kind: type[Any],
        field: dataclasses.Field[Any],
        given: dict[str, Any],
        declared: Mapping[str, Quantity],
    ) -> Any:
        quantity = declared.get(field.name)
        allowed = _allowed(quantity) if quantity else _allowed_text(kind, field.name)
        if field.name not in given:
            if _required(field):
                step = f"add the line {field.name} = and its value"
                self._add(where, "nothing given", allowed, "is the line missing or misspelt?", step)
            return field.default
        value = given[field.name]
        if quantity:
            whole = get_type_hints(kind)[field.name] is int
            swap = _swap(field.name, given, declared)
            return self._number(where, value, quantity, whole, swap)
        if allowed.startswith("a list"):
            return self._numbers(where, value, allowed)
        fits = isinstance(value, str) and len(value) <= LONGEST_TEXT
        if not fits or (field.name == "hand" and value not in ("right", "left")):
            self._add(where, f"{_shown(value)} given", allowed)
        return value

    def _number(self, where: str, value: Any, quantity: Quantity, whole: bool, swap: str) -> Any:
        allowed = _allowed(quantity)
        if isinstance(value, bool) or not isinstance(value, int | float):
            self._add(where, f"{_shown(value)} given", allowed, *_slip_of_text(value))
            return None
        number = as_float(value)
        if not quantity.low <= number <= quantity.high:  # also catches NaN
            self._add(where, f"{number:.6g} given", allowed, swap or slip_of(number, quantity))
            return None
        if whole and number != int(number):
            self._add(where, f"{number:g} given", f"a whole number, {allowed}")
            return None
        return int(number) if whole else number

    def _numbers(self, where: str, value: Any, allowed: str) -> tuple[float, ...]:
        if not isinstance(value, list) or not 2 <= len(value) <= MOST_LISTED:
            self._add(where, f"{_shown(value)} given", allowed)
            return ()
        for place, number in enumerate(value, start=1):
            if not _is_number(number):
                step = "write plain numbers with commas between them"
                self._add(where, f"{_shown(number)} in place {place} given", allowed, "", step)
                return ()
        return tuple(float(number) for number in value)


def _is_number(value: object) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return math.isfinite(as_float(value))


def _swap(name: str, given: Mapping[str, Any], declared: Mapping[str, Quantity]) -> str:
    """Ask whether root and tip changed places, when the two would fit the other way round."""
    other = name.replace("root", "tip") if "root" in name else name.replace("tip", "root")
    if other == name or other not in declared:
        return ""
    here, there = given.get(name), given.get(other)
    if not (_is_number(here) and _is_number(there)):
        return ""
    fits = (declared[name], there), (declared[other], here)
    good = all(q.low <= as_float(value or 0) <= q.high for q, value in fits)
    return f"are {name} and {other} swapped?" if good else ""


def as_float(value: float) -> float:
    """Turn a number of a file into a float; TOML allows whole numbers of any length.

    Parameters
    ----------
    value : int or float
        A number [in its own unit].

    Returns
    -------
    float
        The number, infinite when no float is so large [in the same unit].
    """
    try:
        return float(value)
    except OverflowError:
        return math.inf


def _slip_of_text(value: object) -> tuple[str, str]:
    """Guess the slip and the next step where a number should stand."""
    if not isinstance(value, str):
        return "a plain number is wanted", "write a number"
    if re.fullmatch(r"\s*-?\d+,\d+\s*", value):
        fixed = value.strip().replace(",", ".")
        return "that is a decimal comma", f"write {fixed}, with a point and without quotes"
    if re.match(r"\s*-?[\d.,]+\s*\S", value) and not re.fullmatch(r"\s*-?[\d.]+\s*", value):
        return "that has a unit", "write the number only, without its unit and without quotes"
    return "that is text", "take the quotes away and write a number"
