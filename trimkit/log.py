"""The log of a case or a team: what was done, what was expected of it, and what came.

One JSON object a line, only ever added to: `append` makes a single write at the end and waits
until the disc has it. A line that cannot be read, such as one cut short when the computer
stopped, stays in the file where it is; `read` names it by its number and hands it over beside
the good entries. Dates are kept, clock times never.

The log also knows the first rule of trimming: a flight pair answers a question when the two
flights differ in one thing. `differences` says in what two flights differ; turns are one of the
settings.
"""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import json
import math
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, get_args

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.settings import SETTINGS

SCHEMA = 1
Action = Literal["fly", "look", "measure", "change", "repair", "say"]
ACTIONS: tuple[Action, ...] = get_args(Action)
FLIGHTS: tuple[Action, ...] = ("fly", "change", "repair")  # actions that end in a flight
CANNOT_TELL = "cannot tell yet"
CERTAINTY: Mapping[str, float] = MappingProxyType(
    {"guess": 0.30, "leaning": 0.50, "fairly sure": 0.75, "would bet my motor": 0.95}
)  # common practice, no source
TURNS = "turns"
MOVED = tuple(name for name in SETTINGS if name != TURNS)  # what a change may move
MOST_TURNS = 6000  # well above what a loop of any allowed size takes; assumed
MOST_MINUTES = 600  # ten hours for one action; assumed
LONGEST_TEXT = 400  # letters in one text; assumed
SAME = 6  # decimals within which two settings are the same, and a fingerprint too; assumed


@dataclass(frozen=True, slots=True)
class Result:
    """What an action showed.

    Parameters
    ----------
    features : mapping of str to float
        What was seen of a flight, by name of the feature [in the unit of each name].
    words : str
        What was seen, said in words [-].
    readings : mapping of str to float
        What was read from a tool, by name [in the unit of each name].
    named : str
        The fault that an eye named at a place, "" for none [-].
    """

    features: Mapping[str, float] = field(default_factory=dict)
    words: str = ""
    readings: Mapping[str, float] = field(default_factory=dict)
    named: str = ""

    def __post_init__(self) -> None:
        for name in ("features", "readings"):
            object.__setattr__(self, name, _numbers(getattr(self, name), name))
        _check_text(self.words, "words")
        _check_text(self.named, "named")

    def __reduce__(self) -> tuple[Any, ...]:
        return Result, (dict(self.features), self.words, dict(self.readings), self.named)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One action, with what was expected of it and what came.

    Parameters
    ----------
    number : int
        Counts the actions, 1 for the first [-].
    action : str
        "fly" (nothing changed), "look", "measure", "change" (then fly), "repair" (then fly) or
        "say" (the diagnosis) [-].
    what : str
        The place looked at, the thing measured, the fault repaired or the fault named;
        "cannot tell yet" may be said. "" for "fly" and "change" [-].
    hypothesis : str
        What was thought to be wrong before the action, "" when not asked [-].
    prediction : str
        What was expected to come, "" when not asked [-].
    certainty : str
        One of the four words, "" when not asked [-].
    result : Result
        What came [-].
    aeroplane_fingerprint : str
        `fingerprint` of the aeroplane as it was for this action, after any change, "" when it
        is not on file [-].
    changes : mapping of str to float
        For "change": settings moved, up or down, since the action before; turns stand in
        `turns` [in the unit of each].
    turns : float or None
        Turns of the flight, None for an action without one [turns].
    minutes : float
        What the action cost [min].
    date : str
        Day, such as 2026-03-14 [-].
    """

    number: int
    action: Action
    what: str = ""
    hypothesis: str = ""
    prediction: str = ""
    certainty: str = ""
    result: Result = field(default_factory=Result)
    aeroplane_fingerprint: str = ""
    changes: Mapping[str, float] = field(default_factory=dict)
    turns: float | None = None
    minutes: float = 0.0
    date: str = field(default_factory=lambda: datetime.date.today().isoformat())

    def __post_init__(self) -> None:
        if not isinstance(self.number, int) or isinstance(self.number, bool) or self.number < 1:
            raise ValueError(f"number is {self.number!r}; allowed is a whole number from 1 up")
        if self.action not in ACTIONS:
            raise ValueError(f"action is {self.action!r}; allowed is {', '.join(ACTIONS)}")
        for name in ("what", "hypothesis", "prediction", "certainty", "aeroplane_fingerprint"):
            _check_text(getattr(self, name), name)
        _check_date(self.date)
        _check_number(self.minutes, "minutes", MOST_MINUTES)
        object.__setattr__(self, "changes", _numbers(self.changes, "changes"))
        object.__setattr__(self, "minutes", float(self.minutes))
        self._check_words()
        self._check_changes()
        self._check_turns()

    def __reduce__(self) -> tuple[Any, ...]:
        return _from_plain, (_to_plain(self),)

    @property
    def is_flight(self) -> bool:
        """Whether the action ends in a flight [-]."""
        return self.action in FLIGHTS

    def _check_words(self) -> None:
        if self.certainty and self.certainty not in CERTAINTY:
            raise ValueError(
                f"certainty is {self.certainty!r}; allowed is {', '.join(CERTAINTY)} or nothing"
            )
        if (self.action in ("fly", "change")) == bool(self.what):
            wanted = "nothing" if self.what else "a place, a thing or a fault"
            raise ValueError(f'what is {self.what!r} for "{self.action}"; allowed is {wanted}')
        if self.action == "say" and self.what != CANNOT_TELL and not self.certainty:
            raise ValueError(
                f"{self.what!r} is said without certainty; allowed is {', '.join(CERTAINTY)}"
            )

    def _check_changes(self) -> None:
        for name, amount in self.changes.items():
            if name not in SETTINGS or name == TURNS:
                slip = "; turns stand in turns" if name == TURNS else ""
                known = ", ".join(MOVED)
                raise ValueError(f"changes has {name}; allowed is {known}{slip}")
            if round(amount, SAME) == 0:
                raise ValueError(f"{name} is changed by {amount:g}; allowed is a real change")
        if self.changes and self.action != "change":
            raise ValueError(
                f'"{self.action}" comes with changes of {", ".join(self.changes)}; allowed is '
                'none; is the action "change"?'
            )

    def _check_turns(self) -> None:
        if (self.turns is not None) != self.is_flight:
            wanted = "the turns of the flight" if self.is_flight else "none, it is no flight"
            raise ValueError(f'turns is {self.turns} for "{self.action}"; allowed is {wanted}')
        if self.turns is not None:
            _check_number(self.turns, TURNS, MOST_TURNS)
            object.__setattr__(self, TURNS, float(self.turns))


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line of the file that is no entry; it stays in the file as it is.

    Parameters
    ----------
    number : int
        Line in the file, 1 for the first [-].
    raw : bytes
        The line as it stands [-].
    reason : str
        Why it is no entry [-].
    newer : bool
        Whether a newer trimkit wrote it [-].
    """

    number: int
    raw: bytes
    reason: str
    newer: bool = False

    def words(self) -> str:
        """Say what is the matter with which line.

        Returns
        -------
        str
            One sentence [-].
        """
        return f"Line {self.number} is kept in the file but not used: {self.reason}."


@dataclass(frozen=True, slots=True)
class State:
    """What is in force at some entry, against the aeroplane that the log began with.

    Parameters
    ----------
    changes : mapping of str to float
        Settings that are not as at the start, and by how much [in the unit of each].
    repairs : tuple of str
        Faults repaired so far, in order [-].
    turns : float or None
        Turns of the last flight, None before the first [turns].
    """

    changes: Mapping[str, float]
    repairs: tuple[str, ...]
    turns: float | None


@dataclass(frozen=True, slots=True)
class Log:
    """A log as read: frozen, in order.

    Parameters
    ----------
    entries : tuple of Entry
        The good entries, numbers rising [-].
    bad_lines : tuple of BadLine
        Lines that could not be used [-].
    """

    entries: tuple[Entry, ...] = ()
    bad_lines: tuple[BadLine, ...] = ()

    def __post_init__(self) -> None:
        for before, after in pairwise(self.entries):
            if after.number <= before.number:
                raise ValueError(
                    f"entry {after.number} follows entry {before.number}; allowed is rising "
                    "numbers; is an entry given twice?"
                )

    @property
    def flights(self) -> tuple[Entry, ...]:
        """Entries that end in a flight; flight 1 is the first of them [-]."""
        return tuple(entry for entry in self.entries if entry.is_flight)

    @property
    def minutes(self) -> float:
        """What all actions cost together [min]."""
        return math.fsum(entry.minutes for entry in self.entries)

    @property
    def next_number(self) -> int:
        """Number of the entry that comes next [-]."""
        return self.entries[-1].number + 1 if self.entries else 1

    def entry(self, number: int) -> Entry:
        """Return the entry of a number.

        Parameters
        ----------
        number : int
            Number of the entry [-].

        Returns
        -------
        Entry
            That entry [-].
        """
        for entry in self.entries:
            if entry.number == number:
                return entry
        known = ", ".join(str(entry.number) for entry in self.entries) or "none"
        raise ValueError(f"there is no entry {number}; entries are {known}")

    def flight(self, number: int) -> Entry:
        """Return a flight by its count, as in "flight 2".

        Parameters
        ----------
        number : int
            1 for the first flight of the log [-].

        Returns
        -------
        Entry
            That flight [-].
        """
        flights = self.flights
        if not 1 <= number <= len(flights):
            raise ValueError(
                f"there is no flight {number}; the log has {len(flights)}; "
                "is it the number of an entry?"
            )
        return flights[number - 1]

    def in_force(self, number: int) -> State:
        """Find the settings, repairs and turns in force at an entry, its own change included.

        Parameters
        ----------
        number : int
            Number of the entry [-].

        Returns
        -------
        State
            What is in force [-].

        Raises
        ------
        ValueError
            When there is no such entry, or an entry before it is lost.
        """
        self.entry(number)
        until = [entry for entry in self.entries if entry.number <= number]
        if len(until) < number:
            there = {entry.number for entry in until}
            lost = [str(one) for one in range(1, number) if one not in there]
            raise ValueError(
                f"entry {', '.join(lost)} is lost, so what is in force at entry {number} is "
                "not known; see the bad lines"
            )
        return _state(until)


@dataclass(frozen=True, slots=True)
class Difference:
    """In what a later flight differs from an earlier one.

    Parameters
    ----------
    amounts : mapping of str to float
        Settings and turns, later minus earlier; ready for `settings.Change` [in the unit of
        each].
    repairs : tuple of str
        Faults that were repaired between the two [-].
    """

    amounts: Mapping[str, float]
    repairs: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Everything that differs, by name [-]."""
        return (*self.amounts, *self.repairs)

    @property
    def alone(self) -> str:
        """The one thing that differs, "" when it is none or more than one [-]."""
        return self.names[0] if len(self.names) == 1 else ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two flights of a log and in what they differ.

    Parameters
    ----------
    first, second : int
        Counts of the two flights, the earlier first [-].
    difference : Difference
        In what they differ [-].
    """

    first: int
    second: int
    difference: Difference


def differences(log: Log, a: int, b: int) -> Difference:
    """Say in what two flights of a log differ.

    Parameters
    ----------
    log : Log
        Where the flights stand [-].
    a, b : int
        Counts of the flights, as in "flights 2 and 3" [-].

    Returns
    -------
    Difference
        Flight b against flight a; empty for the same flight flown again [-].

    Raises
    ------
    ValueError
        When there is no such flight, or a lost entry hides what was changed.
    """
    one, other = (log.in_force(log.flight(number).number) for number in (a, b))
    amounts = _moved(_all_settings(one), _all_settings(other))
    short, long = sorted((one.repairs, other.repairs), key=len)
    return Difference(amounts, long[len(short) :])


def pairs(log: Log) -> tuple[Pair, ...]:
    """List every two flights of a log, and in what they differ.

    Parameters
    ----------
    log : Log
        Where the flights stand [-].

    Returns
    -------
    tuple of Pair
        Each two flights once, without those that a lost entry hides [-].
    """
    known = [n for n, f in enumerate(log.flights, start=1) if _known(log, f.number)]
    return tuple(Pair(a, b, differences(log, a, b)) for a, b in combinations(known, 2))


def informative_pairs(log: Log) -> tuple[Pair, ...]:
    """List the flight pairs that differ in one thing alone, and so say what it does.

    Parameters
    ----------
    log : Log
        Where the flights stand [-].

    Returns
    -------
    tuple of Pair
        Pairs with one difference [-].
    """
    return tuple(pair for pair in pairs(log) if pair.difference.alone)


def repeats(log: Log) -> tuple[Pair, ...]:
    """List the flight pairs that differ in nothing, and so show how flights scatter.

    Parameters
    ----------
    log : Log
        Where the flights stand [-].

    Returns
    -------
    tuple of Pair
        Pairs without a difference [-].
    """
    return tuple(pair for pair in pairs(log) if not pair.difference.names)


def confounded(log: Log) -> tuple[Pair, ...]:
    """List the flights that differ from the one before in more than one thing.

    Parameters
    ----------
    log : Log
        Where the flights stand [-].

    Returns
    -------
    tuple of Pair
        Neighbouring flights with two differences or more [-].
    """
    return tuple(
        pair
        for pair in pairs(log)
        if pair.second == pair.first + 1 and len(pair.difference.names) > 1
    )


def append(path: Path, entry: Entry) -> None:
    """Add one entry to the end of a log, making the file when it is not there.

    Parameters
    ----------
    path : pathlib.Path
        The log [-].
    entry : Entry
        What to add; its number is the log's next one [-].

    Raises
    ------
    ValueError
        When the entry does not follow what stands in the log; nothing is written then.
    OSError
        When the disc took only part of the line; the part is named by the next `read`.
    """
    log = read(path)
    _check_follows(log, entry)
    text = json.dumps({"schema": SCHEMA, **_to_plain(entry)}, ensure_ascii=False, allow_nan=False)
    path.parent.mkdir(parents=True, exist_ok=True)
    line = (b"\n" if _ends_in_mid_line(path) else b"") + text.encode() + b"\n"
    flags = os.O_WRONLY | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
    file = os.open(path, flags, 0o666)
    try:
        if os.write(file, line) < len(line):
            raise OSError(f"{path.name}: only part of entry {entry.number} fitted on the disc")
        os.fsync(file)
    finally:
        os.close(file)


def read(path: Path) -> Log:
    """Read a log; the file is left as it is.

    Parameters
    ----------
    path : pathlib.Path
        The log [-].

    Returns
    -------
    Log
        Good entries and bad lines, both empty when there is no file [-].
    """
    if not path.exists():
        return Log()
    entries: list[Entry] = []
    bad: list[BadLine] = []
    for number, raw in enumerate(path.read_bytes().split(b"\n"), start=1):
        if not raw.strip():
            continue
        found = _parsed(number, raw, entries[-1].number if entries else 0)
        if isinstance(found, Entry):
            entries.append(found)
        else:
            bad.append(found)
    return Log(tuple(entries), tuple(bad))


def fingerprint(aeroplane: Aeroplane) -> str:
    """Name an aeroplane by its figures, so that a log tells whether it is still the same.

    Build and setting count as they are given, to six decimals; the name and the note do not.
    A figure left at its default is the same as one not given, so a new kind of figure, with a
    default, leaves the fingerprints of old aeroplanes as they were.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as it is now [-].

    Returns
    -------
    str
        Sixteen letters and digits, the same on every machine [-].
    """
    given = {"build": _given(aeroplane.build), "setting": _given(aeroplane.setting)}
    text = json.dumps(given, sort_keys=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _given(value: Any) -> Any:
    """Figures of a record as plain data: rounded, without those at their default."""
    if dataclasses.is_dataclass(value):
        fields = dataclasses.fields(value)
        figures = {f.name: _given(getattr(value, f.name)) for f in fields}
        usual = {f.name: _given(f.default) for f in fields if f.default is not dataclasses.MISSING}
        return {k: one for k, one in figures.items() if k not in usual or one != usual[k]}
    if isinstance(value, tuple | list | np.ndarray):
        return [_given(one) for one in value]
    return value if isinstance(value, str) or value is None else round(float(value), SAME) + 0.0


def _check_follows(log: Log, entry: Entry) -> None:
    """Check that an entry may come after what stands in the log."""
    if any(line.newer for line in log.bad_lines):
        raise ValueError("a newer trimkit wrote in this log; use that one to go on with it")
    if entry.number != log.next_number:
        raise ValueError(
            f"entry {entry.number} is added; the log goes on with {log.next_number}; "
            "is the log open twice?"
        )
    before = log.flights[-1].turns if log.flights else None
    if entry.action == "fly" and before not in (None, entry.turns):
        raise ValueError(
            f'"fly" means nothing changed, but turns go from {before:g} to {entry.turns:g}; '
            'is the action "change"?'
        )
    if entry.action == "change" and not entry.changes and before in (None, entry.turns):
        raise ValueError('"change" changes no setting and no turns; is the action "fly"?')


def _state(entries: Iterable[Entry]) -> State:
    """Add up what entries changed."""
    total: dict[str, float] = {}
    repairs: list[str] = []
    turns = None
    for entry in entries:
        for name, amount in entry.changes.items():
            total[name] = total.get(name, 0.0) + amount
        repairs += [entry.what] if entry.action == "repair" else []
        turns = entry.turns if entry.is_flight else turns
    return State(_moved({}, total), tuple(repairs), turns)


def _all_settings(state: State) -> dict[str, float]:
    return {**state.changes, TURNS: state.turns or 0.0}


def _moved(before: Mapping[str, float], after: Mapping[str, float]) -> Mapping[str, float]:
    """What is not the same, after minus before, in the order of the settings."""
    moved = {name: round(after.get(name, 0.0) - before.get(name, 0.0), SAME) for name in SETTINGS}
    return MappingProxyType({name: amount for name, amount in moved.items() if amount})


def _known(log: Log, number: int) -> bool:
    """Whether no entry up to this one is lost."""
    return sum(entry.number <= number for entry in log.entries) == number


def _parsed(number: int, raw: bytes, last: int) -> Entry | BadLine:
    """Read one line, or say why it is no entry."""
    try:
        content = json.loads(raw.decode("utf-8-sig"))
    except (ValueError, RecursionError):  # a UnicodeDecodeError is a ValueError too
        return BadLine(number, raw, _broken(raw))
    if not isinstance(content, dict):
        return BadLine(number, raw, "it is no JSON object")
    schema = content.pop("schema", None)
    if schema != SCHEMA:
        newer = isinstance(schema, int) and schema > SCHEMA
        reason = f"its schema is {str(schema)[:20]}, this trimkit reads {SCHEMA}"
        return BadLine(number, raw, reason, newer)
    try:
        entry = _from_plain(content)
    except (ValueError, TypeError, OverflowError) as error:
        return BadLine(number, raw, str(error)[:LONGEST_TEXT])
    if entry.number <= last:
        return BadLine(number, raw, f"its number {entry.number} does not come after {last}")
    return entry


def _broken(raw: bytes) -> str:
    text = raw.strip().removeprefix(b"\xef\xbb\xbf")
    if text.startswith(b"{") and (text.count(b"{") > text.count(b"}") or text[-1:] != b"}"):
        return "it is cut short, as when the computer stops in the middle of writing"
    return "it is no JSON"


def _to_plain(entry: Entry) -> dict[str, Any]:
    plain = {f.name: getattr(entry, f.name) for f in dataclasses.fields(Entry)}
    result = entry.result
    plain["result"] = {
        "features": dict(result.features), "words": result.words,
        "readings": dict(result.readings), "named": result.named,
    }  # fmt: skip
    return {**plain, "changes": dict(entry.changes)}


def _from_plain(plain: Mapping[str, Any]) -> Entry:
    names = [f.name for f in dataclasses.fields(Entry)]
    wrong = sorted(set(names) ^ set(plain))
    if wrong:
        told = ", ".join(f"{n[:40]} is {'missing' if n in names else 'unknown'}" for n in wrong)
        raise ValueError(f"{told}; allowed is {', '.join(names)}")
    result = plain["result"]
    if not isinstance(result, Mapping):
        raise ValueError("result is no table; allowed is features, words and readings")
    return Entry(**{**plain, "result": Result(**result)})


def _numbers(given: Any, name: str) -> Mapping[str, float]:
    """Copy a table of numbers, so that nothing changes it any more."""
    if not isinstance(given, Mapping):
        raise ValueError(f"{name} is {given!r}; allowed is numbers by name")
    for key, value in given.items():
        _check_text(key, f"a name in {name}")
        _check_number(value, f"{name}: {key}", math.inf, -math.inf)
    return MappingProxyType({key: float(value) for key, value in given.items()})


def _check_number(value: Any, name: str, high: float, low: float = 0.0) -> None:
    real = isinstance(value, int | float | np.number) and not isinstance(value, bool)
    if not real or not math.isfinite(value) or not low <= value <= high:
        raise ValueError(f"{name} is {value!r}; allowed is a number from {low:g} to {high:g}")


def _check_text(value: Any, name: str) -> None:
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        shown = repr(value)[:60]
        raise ValueError(f"{name} is {shown}; allowed is text of up to {LONGEST_TEXT} letters")
    try:
        value.encode()
    except UnicodeEncodeError:
        raise ValueError(f"{name} holds half a letter; allowed is whole letters") from None


def _check_date(value: Any) -> None:
    try:
        good = datetime.date.fromisoformat(value).isoformat() == value
    except (TypeError, ValueError):
        good = False
    if not good:
        raise ValueError(f"date is {value!r}; allowed is a day such as 2026-03-14, no clock time")


def _ends_in_mid_line(path: Path) -> bool:
    if not path.exists() or path.stat().st_size == 0:
        return False
    with path.open("rb") as log:
        log.seek(-1, os.SEEK_END)
        return log.read(1) != b"\n"
