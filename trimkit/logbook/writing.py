"""A logbook written as plain CSV, bad rows in their places."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from trimkit.files import write_whole
from trimkit.log import MOVED
from trimkit.logbook.columns import BY_NAME
from trimkit.logbook.record import FlightRow, Logbook


def write(logbook: Logbook, path: Path) -> None:
    """Write a logbook as plain CSV: commas, points, ISO dates, UTF-8; bad rows in their places.

    Parameters
    ----------
    logbook : Logbook
        What to write [-].
    path : pathlib.Path
        Where to; the file is whole or as it was [-].
    """
    write_whole(path, dumps(logbook).encode("utf-8"))


def dumps(logbook: Logbook) -> str:
    """Write a logbook as text that `reads` reads back.

    Parameters
    ----------
    logbook : Logbook
        What to write [-].

    Returns
    -------
    str
        CSV; a setting that is back at its mark is written as 0 [-].
    """
    rows = [*_plain_rows(logbook.flights)]
    rows += [(bad.line, dict(bad.cells)) for bad in logbook.bad_rows]
    rows.sort(key=lambda row: row[0] or math.inf)  # a flight from no file comes last
    used = {name for _, row in rows for name, text in row.items() if text}
    names = [name for name in BY_NAME if name in used or name in ("date", "turns", "time_s")]
    names += [n for n in dict.fromkeys(n for _, row in rows for n in row) if n not in BY_NAME]
    out = io.StringIO(newline="")
    table = csv.DictWriter(out, names, restval="", extrasaction="ignore", lineterminator="\n")
    table.writeheader()
    table.writerows(row for _, row in rows)
    return out.getvalue()


def _plain_rows(flights: Sequence[FlightRow]) -> Iterator[tuple[int, dict[str, str]]]:
    shown: dict[str, set[str]] = {}
    for flight in flights:
        once = shown.setdefault(flight.aeroplane, set())
        once |= set(flight.setting)
        row = {name: _cell(getattr(flight, name)) for name in BY_NAME if name not in _APART}
        row |= {name: f"{flight.setting.get(name, 0.0):g}" for name in MOVED if name in once}
        row["hit"] = "" if flight.hit is None else flight.hit.replace(",", ", ") or "nothing"
        yield flight.line, {**row, **flight.other}


_APART = ("setting", "hit", *MOVED)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    return str(value)
