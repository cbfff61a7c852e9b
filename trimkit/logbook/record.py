"""A flight as a team writes it down, a row that is to be mended, and the whole logbook."""

from __future__ import annotations

import dataclasses
import datetime
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from trimkit.settings import SETTINGS


@dataclass(frozen=True, slots=True, kw_only=True)
class FlightRow:
    """One flight of a logbook. None and "" stand for a cell left empty.

    Parameters
    ----------
    line : int
        Line in the file, 1 for the head; 0 when it is from no file [-].
    date : datetime.date
        Day of the flight [-].
    aeroplane, hall, motor, launcher, seen, circle : str
        See `COLUMNS`; aeroplane and hall are carried down from the row before [-].
    hit : str or None
        What it hit, "" for nothing, None when nobody wrote it down [-].
    temperature_c : float or None
        Of the hall [°C].
    winds : int or None
        How often the motor has been wound [-].
    turns : int or None
        Turns wound on [turns].
    backed_off : int
        Turns taken off before the launch [turns].
    turns_left : int or None
        Turns after the landing [turns].
    peak_torque_mNm, launch_torque_mNm : float or None
        Torque meter [mN m].
    setting : mapping of str to float
        What is not at its mark, carried down from the row before [in the unit of each name].
    time_s : float or None
        Time of the flight [s].
    height_m : float or None
        Greatest height [m].
    laps : float or None
        Circles flown [-].
    lap_s : float or None
        Time of one circle in the middle of the flight [s].
    circle_m : float or None
        Diameter of that circle on the floor [m].
    other : mapping of str to str
        Cells of columns that are the team's own [-].
    """

    line: int = 0
    date: datetime.date
    aeroplane: str = ""
    hall: str = ""
    temperature_c: float | None = None
    motor: str = ""
    winds: int | None = None
    turns: int | None = None
    backed_off: int = 0
    turns_left: int | None = None
    peak_torque_mNm: float | None = None
    launch_torque_mNm: float | None = None
    setting: Mapping[str, float] = field(default_factory=dict)
    launcher: str = ""
    seen: str = ""
    hit: str | None = None
    circle: str = ""
    time_s: float | None = None
    height_m: float | None = None
    laps: float | None = None
    lap_s: float | None = None
    circle_m: float | None = None
    other: Mapping[str, str] = field(default_factory=dict)

    @property
    def launch_turns(self) -> int | None:
        """Turns on the rubber when it left the hand [turns]."""
        return None if self.turns is None else self.turns - self.backed_off

    @property
    def turns_per_s(self) -> float | None:
        """Turns used for each second [1/s]."""
        if self.launch_turns is None or self.turns_left is None or not self.time_s:
            return None
        return (self.launch_turns - self.turns_left) / self.time_s

    @property
    def hits(self) -> int | None:
        """How often it hit something, None when nobody wrote it down [-]."""
        return None if self.hit is None else len([one for one in self.hit.split(",") if one])

    def setting_words(self) -> str:
        """Say the setting against the marks.

        Returns
        -------
        str
            Such as "tail shim +0.4 mm; fin +1 °" [-].
        """
        return _setting_words(self.setting)


@dataclass(frozen=True, slots=True)
class CellProblem:
    """One cell that cannot be used.

    Parameters
    ----------
    column : str
        Its column, "" for the whole row [-].
    given, allowed : str
        What stands there and what may [-].
    slip : str
        The likely slip, as a question or a hint [-].
    """

    column: str
    given: str
    allowed: str
    slip: str = ""

    def words(self) -> str:
        """Say it.

        Returns
        -------
        str
            One line [-].
        """
        told = [f"{self.given!r} is given", f"allowed is {self.allowed}", self.slip]
        head = f"{self.column}: " if self.column else ""
        return head + "; ".join(word for word in told if word)


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that cannot be used; it is kept as it stands.

    Parameters
    ----------
    line : int
        Line in the file [-].
    cells : mapping of str to str
        What stands in it, by the column's name [-].
    problems : tuple of CellProblem
        What is to be mended [-].
    """

    line: int
    cells: Mapping[str, str]
    problems: tuple[CellProblem, ...]

    def words(self) -> str:
        """Say what is to be mended.

        Returns
        -------
        str
            One line for each cell [-].
        """
        return "\n".join(f"line {self.line}, {one.words()}" for one in self.problems)


@dataclass(frozen=True, slots=True)
class Logbook:
    """A logbook as read.

    Parameters
    ----------
    flights : tuple of FlightRow
        Rows that can be used, in the order of the file [-].
    remarks : tuple of str
        What was understood and should be looked at [-].
    bad_rows : tuple of BadRow
        Rows that cannot be used, kept [-].
    other_columns : tuple of str
        Columns of the team's own [-].
    """

    flights: tuple[FlightRow, ...] = ()
    remarks: tuple[str, ...] = ()
    bad_rows: tuple[BadRow, ...] = ()
    other_columns: tuple[str, ...] = ()

    @property
    def aeroplanes(self) -> tuple[str, ...]:
        """Names of the aeroplanes, in order [-]."""
        return tuple(dict.fromkeys(flight.aeroplane for flight in self.flights))

    @property
    def evenings(self) -> tuple[datetime.date, ...]:
        """Days with flights, in order [-]."""
        return tuple(sorted({flight.date for flight in self.flights}))


def _setting_words(setting: Mapping[str, float]) -> str:
    told = [
        f"{SETTINGS[name].title} {amount:+g} {SETTINGS[name].unit}"
        for name, amount in setting.items()
        if amount
    ]
    return "; ".join(told) or "as marked"


Checker = Callable[[FlightRow], bool]


def only(logbook: Logbook, wanted: Checker) -> Logbook:
    """Keep some flights of a logbook; bad rows and remarks stay.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].
    wanted : callable
        Says of a flight whether to keep it [-].

    Returns
    -------
    Logbook
        The smaller logbook [-].
    """
    return dataclasses.replace(
        logbook, flights=tuple(flight for flight in logbook.flights if wanted(flight))
    )
