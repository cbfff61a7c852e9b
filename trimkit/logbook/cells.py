"""One cell understood: numbers, dates and settings as people and spreadsheets write them."""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Literal

from trimkit.log import MOVED
from trimkit.logbook.columns import BY_NAME, LONGEST_CELL, SIDES, Column
from trimkit.settings import SETTINGS
from trimkit.units import MNM_PER_OUNCE_INCH

DateOrder = Literal["", "day-first", "month-first"]
NOTHING = ("nothing", "none", "no", "-", "0")
_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "shim": "shim_mm", "tail shim": "shim_mm", "wing": "wing_station_mm",
        "wing position": "wing_station_mm", "wing back": "wing_station_mm",
        "left wash-in": "left_wash_in_deg", "left twist": "left_wash_in_deg",
        "right wash-in": "right_wash_in_deg", "right twist": "right_wash_in_deg",
        "fin": "fin_deg", "tilt": "tail_tilt_deg", "tail tilt": "tail_tilt_deg",
        "side thrust": "side_thrust_deg", "down thrust": "down_thrust_deg",
        "offset": "wing_offset_mm", "wing offset": "wing_offset_mm", "ballast": "ballast_g",
        "clay": "ballast_g",
    }
)  # fmt: skip
AS_MARKED = ("as marked", "marks", "as on the marks", "0")


class CellError(ValueError):
    """A cell that cannot be used; the words are the likely slip."""


def value_of(column: Column, text: str, dates: DateOrder) -> tuple[Any, str]:
    """Understand a cell.

    Parameters
    ----------
    column : Column
        Its column [-].
    text : str
        What stands in it, not empty [-].
    dates : {"", "day-first", "month-first"}
        How to read 3/4/2026 [-].

    Returns
    -------
    (object, str)
        The value in the column's unit, and a remark where it had to be understood [-].

    Raises
    ------
    CellError
        When it cannot be used; the words are the likely slip.
    """
    if column.kind == "date":
        return _date(text, dates)
    if column.kind in ("number", "whole"):
        return _cell_number(column, text)
    if column.kind == "side":
        near = [side for side in SIDES if side.startswith(text.lower())]
        if not near:
            raise CellError("")
        return near[0], ""
    if len(text) > LONGEST_CELL:
        raise CellError("shorten it")
    if column.name == "setting":
        return _setting(text), ""
    if column.name == "hit":
        return _hit(text), ""
    return _plain_text(column, text)


def _plain_text(column: Column, text: str) -> tuple[str, str]:
    if column.name != "launcher" or len(text) <= 2:
        return text, ""
    return text[:1].upper(), f"{text[:20]!r} looks like a name; only its first letter is kept"


def _hit(text: str) -> str:
    if text.lower() in NOTHING:
        return ""
    words = [word.strip() for word in re.split(r"[,;/+]|\band\b", text)]
    return ",".join(word for word in words if word)


def _cell_number(column: Column, text: str) -> tuple[float, str]:
    plain = text.replace("−", "-").replace("–", "-").replace(" ", "").replace("\u00a0", "")
    unit = re.fullmatch(r"([+-]?[\d.,]+)([a-zA-Z°%\"]+)", plain)
    if unit:
        raise CellError(f"take the unit away: did you mean {unit[1]}?")
    minutes = re.fullmatch(r"(\d+):(\d\d(?:[.,]\d+)?)", plain)
    if minutes:
        seconds = 60 * int(minutes[1]) + float(minutes[2].replace(",", "."))
        raise CellError(f"that is minutes and seconds: did you mean {seconds:g}?")
    if not re.fullmatch(r"[+-]?(?:\d+[.,]?\d*|[.,]\d+)", plain):
        raise CellError("write a plain number")
    value = float(plain.replace(",", "."))
    thousands = column.kind == "whole" and re.fullmatch(r"\d{1,3}[.,]\d{3}", plain)
    odd = column.kind == "whole" and (value % 1 or thousands)
    if odd or not column.low <= value <= column.high:
        raise CellError(_number_slip(column, plain, value))
    return (int(value) if column.kind == "whole" else value), ""


def _number_slip(column: Column, text: str, value: float) -> str:
    joined = re.sub(r"[.,]", "", text)
    if column.kind == "whole" and re.fullmatch(r"\d{1,3}[.,]\d{3}", text):
        return f"is that a mark for thousands: did you mean {joined}?"
    ounces = value * MNM_PER_OUNCE_INCH
    if column.name.endswith("mNm") and value < column.low and ounces >= column.low:
        return f"is it in oz in? then it is {ounces:.2f} mN m"
    if column.low <= -value <= column.high:
        return f"is the sign the wrong way round: did you mean {-value:g}?"
    for factor in (0.1, 10.0, 0.01):
        if column.low <= value * factor <= column.high and column.kind == "number":
            return f"has the decimal point slipped: did you mean {value * factor:g}?"
    return "look at the flight card again"


_MONTHS = {name: n for n, name in enumerate(
    ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"), 1
)}  # fmt: skip


def _date(text: str, dates: DateOrder) -> tuple[datetime.date, str]:
    """A day in ISO form; other forms are read when they leave no doubt, and asked about."""
    bare = re.sub(r"[ T]\d{1,2}:\d\d(:\d\d)?$", "", text)
    iso = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})", bare)
    if iso:
        day = _day(int(iso[1]), int(iso[2]), int(iso[3]))
        return day, "" if text == day.isoformat() else f"{text} was read as {day}; good?"
    other = re.fullmatch(r"(\d{1,2})([./-])(\d{1,2})[./-](\d{4}|\d{2})", bare)
    if other:
        return _local_date(text, other, dates)
    named = re.fullmatch(r"(\d{1,2})\.?[ -]([A-Za-z]{3})[a-z]*\.?,?[ -](\d{4})", bare)
    if named and named[2].lower() in _MONTHS:
        day = _day(int(named[3]), _MONTHS[named[2].lower()], int(named[1]))
        return day, f"{text} was read as {day}; good?"
    if re.fullmatch(r"\d{5}", bare):  # days since the end of 1899, as spreadsheets count them
        day = datetime.date(1899, 12, 30) + datetime.timedelta(days=int(bare))
        if 2000 <= day.year <= 2100:
            return day, f"{text} is a spreadsheet's count of days; read as {day}; good?"
    raise CellError("write year-month-day, such as 2026-11-26")


def _local_date(text: str, found: re.Match[str], dates: DateOrder) -> tuple[datetime.date, str]:
    first, second, year = int(found[1]), int(found[3]), int(found[4])
    year += 2000 if year < 100 else 0
    dotted = found[2] == "."
    day_first = dates == "day-first" or (not dates and (dotted or first > 12))
    month_first = dates == "month-first" or (not dates and not dotted and second > 12)
    if first == second:
        day_first = True
    if not (day_first or month_first):
        both = [f"{year}-{m:02d}-{d:02d}" for m, d in ((second, first), (first, second))]
        raise CellError(
            f"is it {both[0]} or {both[1]}? write that, or read with --dates day-first or "
            "--dates month-first"
        )
    month, number = (second, first) if day_first else (first, second)
    day = _day(year, month, number)
    return day, f"{text} was read as {day}; good?"


def _day(year: int, month: int, day: int) -> datetime.date:
    try:
        found = datetime.date(year, month, day)
    except ValueError:
        raise CellError(f"there is no day {day} in month {month} of {year}") from None
    if not 2000 <= year <= 2100:
        raise CellError(f"the year {year} is not from 2000 to 2100")
    return found


def _setting(text: str) -> dict[str, float] | None:
    """Settings in words; None puts all back to their marks."""
    if text.lower().strip(" .") in AS_MARKED:
        return None
    found: dict[str, float] = {}
    for part in re.split(r"\s*[;\n]\s*|\s*,\s+", text.strip(" .;")):
        pair = re.fullmatch(r"(.*?)[\s:=]*([+\-−–]?\s*\d+(?:[.,]\d+)?)\s*(mm|°|deg|g)?", part)
        name = pair and _setting_name(pair[1])
        if not pair or not name:
            known = ", ".join(dict.fromkeys(SETTINGS[one].title for one in MOVED))
            raise CellError(f'{part[:30]!r} is not "name number"; names are {known}')
        number = re.sub(r"[−–]", "-", pair[2]).replace(" ", "").replace(",", ".")
        column = BY_NAME[name]
        value, _ = _cell_number(column, number)
        found[name] = value
    return found


def _setting_name(word: str) -> str:
    plain = re.sub(r"[\s_]+", " ", word.strip().lower())
    titles = {SETTINGS[name].title: name for name in MOVED}
    plainly = {name.replace("_", " "): name for name in MOVED}
    return titles.get(plain) or _WORDS.get(plain) or plainly.get(plain) or ""
