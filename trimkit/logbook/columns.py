"""The columns of a logbook: their names, meanings and ranges, and what others call them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from trimkit.log import MOST_TURNS, MOVED
from trimkit.settings import SETTINGS

LONGEST_CELL = 400
SIDES = ("left", "right", "straight")
BEYOND = "(beyond the columns)"  # what a written logbook calls cells that have no column


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a logbook.

    Parameters
    ----------
    name : str
        Its name, with its unit [-].
    meaning : str
        What goes in [-].
    kind : str
        "number", "whole", "date", "side" or "text" [-].
    low, high : float
        Range of a number [in the unit of the name].
    """

    name: str
    meaning: str
    kind: str = "text"
    low: float = 0.0
    high: float = 0.0

    @property
    def allowed(self) -> str:
        """What may stand in a cell, in words [-]."""
        if self.kind == "date":
            return "a day such as 2026-11-26"
        if self.kind == "side":
            return ", ".join(SIDES)
        if self.name == "setting":
            return 'words such as "shim +0.4; fin +1"'
        if self.kind == "text":
            return f"up to {LONGEST_CELL} letters"
        return f"{'a whole number, ' if self.kind == 'whole' else ''}{self.low:g} to {self.high:g}"


def _setting_column(name: str) -> Column:
    known, reach = SETTINGS[name], 60 if name.startswith("wing_") else 12
    meaning = f"{known.title} against its mark, + is: {known.more} ({known.unit})"
    return Column(name, meaning, "number", -reach, reach)


COLUMNS: tuple[Column, ...] = (
    Column("date", "day of the flight", "date"),
    Column("aeroplane", "name of its file without .toml; as in the row before when empty"),
    Column("hall", "where; as in the row before when empty"),
    Column("temperature_c", "of the hall (°C)", "number", 0, 40),
    Column("motor", "number or letter on the motor's bag"),
    Column("winds", "how often this motor has been wound, this time included", "whole", 1, 200),
    Column("turns", "turns wound on", "whole", 1, MOST_TURNS),
    Column("backed_off", "turns taken off again before the launch", "whole", 0, MOST_TURNS),
    Column("turns_left", "turns counted after the landing", "whole", 0, MOST_TURNS),
    Column("peak_torque_mNm", "torque meter at the top (mN m)", "number", 0.1, 100),
    Column("launch_torque_mNm", "torque meter after backing off (mN m)", "number", 0.1, 100),
    Column("setting", 'in words: "shim +0.4; fin +1", "as marked" for all at their marks'),
    *(_setting_column(name) for name in MOVED),
    Column("launcher", "a letter, never a name"),
    Column("seen", "what was seen, in words"),
    Column("hit", 'what it hit: "wall", "ceiling", "wall, light"; "nothing" for nothing'),
    Column("circle", "side of the circle: left, right or straight", "side"),
    Column("time_s", "from the hand to the floor (s)", "number", 0.1, 3600),
    Column("height_m", "greatest height (m)", "number", 0, 60),
    Column("laps", "circles flown", "number", 0, 400),
    Column("lap_s", "one circle in the middle of the flight, by stopwatch (s)", "number", 1, 60),
    Column("circle_m", "diameter of that circle, paced on the floor (m)", "number", 1, 60),
)
BY_NAME: Mapping[str, Column] = MappingProxyType({one.name: one for one in COLUMNS})
OUNCES = {"peak_torque_ozin": "peak_torque_mNm", "launch_torque_ozin": "launch_torque_mNm"}
OTHER_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "day": "date", "model": "aeroplane", "plane": "aeroplane", "airplane": "aeroplane",
        "place": "hall", "temperature": "temperature_c", "temp": "temperature_c",
        "motor_number": "motor", "turns_on": "turns", "back_off": "backed_off",
        "left": "turns_left", "backoff": "backed_off", "peak_torque": "peak_torque_mNm",
        "launch_torque": "launch_torque_mNm", "settings": "setting", "change": "setting",
        "by": "launcher", "notes": "seen", "side": "circle", "time": "time_s", "seconds": "time_s",
        "height": "height_m", "lap": "lap_s", "lap_time": "lap_s", "diameter": "circle_m",
        "shim": "shim_mm", "fin": "fin_deg",
    }
)  # fmt: skip


def columns_words() -> str:
    """List the columns, for a reader and for the documentation.

    Returns
    -------
    str
        A line for each column [-].
    """
    return "\n".join(f"{one.name}: {one.meaning}; {one.allowed}" for one in COLUMNS)
