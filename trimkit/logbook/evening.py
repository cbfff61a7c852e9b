"""The log of one evening, as the diagnosis reads it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence

from trimkit.log import MOVED, Entry, Log, Result
from trimkit.logbook.record import FlightRow, Logbook


def to_log(logbook: Logbook, date: datetime.date, aeroplane: str | None = None) -> Log:
    """Make the log of one aeroplane's evening, as `diagnosis` reads it.

    The log begins with the aeroplane at its marks; what stands otherwise at the first flight is
    its first change.

    Parameters
    ----------
    logbook : Logbook
        The logbook [-].
    date : datetime.date
        The evening [-].
    aeroplane : str or None
        Which; None when only one flew [-].

    Returns
    -------
    Log
        One entry for each flight with turns [-].

    Raises
    ------
    ValueError
        When nothing flew then, or several aeroplanes and none is named.
    """
    on_day = [flight for flight in logbook.flights if flight.date == date]
    names = list(dict.fromkeys(flight.aeroplane for flight in on_day))
    if not on_day:
        known = ", ".join(str(day) for day in logbook.evenings[-8:]) or "none"
        raise ValueError(f"no flight on {date}; the last evenings are {known}")
    if aeroplane is None and len(names) > 1:
        raise ValueError(f"{len(names)} aeroplanes flew on {date}: {', '.join(names)}; name one")
    wanted = aeroplane if aeroplane is not None else names[0]
    flown = [one for one in on_day if one.aeroplane == wanted and one.launch_turns]
    if not flown:
        raise ValueError(
            f"no flight of {wanted!r} with turns on {date}; flown were {', '.join(names)}"
        )
    return Log(tuple(_entries(flown)))


def _entries(flown: Sequence[FlightRow]) -> Iterator[Entry]:
    before: Mapping[str, float] = {}
    turns: float | None = None
    for number, flight in enumerate(flown, 1):
        moved = {n: flight.setting.get(n, 0.0) - before.get(n, 0.0) for n in MOVED}
        changes = {name: amount for name, amount in moved.items() if round(amount, 6)}
        power = turns is not None and flight.launch_turns != turns
        yield Entry(
            number=number,
            action="change" if changes or power else "fly",
            changes=changes,
            turns=flight.launch_turns,
            result=Result(features=_features(flight), words=flight.seen),
            date=flight.date.isoformat(),
        )
        before, turns = flight.setting, flight.launch_turns


# A stopwatch's second is 1 % of the turns a second, and half a lap 6 % of the circling, only from
# here on: the diagnosis trusts those two so far (`observe.FEATURES`).
LEAST_S, LEAST_LAPS = 60.0, 5.0


def _features(flight: FlightRow) -> dict[str, float]:
    """What the row says of the flight, by the names that the diagnosis knows."""
    long = (flight.time_s or 0.0) >= LEAST_S
    found: dict[str, float | None] = {
        "duration_s": flight.time_s,
        "peak_height_m": flight.height_m,
        "turns_left": flight.turns_left,
        "turns_per_s": flight.turns_per_s if long else None,
        "hits": flight.hits,
        "middle_turn_deg_s": _turning(flight),
    }
    return {name: float(value) for name, value in found.items() if value is not None}


def _turning(flight: FlightRow) -> float | None:
    """Mean turning, + to the left, from laps and time."""
    if flight.circle == "straight":
        return 0.0
    if not flight.laps or not flight.time_s or not flight.circle or flight.laps < LEAST_LAPS:
        return None
    return (360 if flight.circle == "left" else -360) * flight.laps / flight.time_s
