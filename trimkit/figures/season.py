"""A season in pictures: times against the date, torque against time, the winds of each motor."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from matplotlib.axes import Axes

from trimkit.figures.style import (
    BLUE,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    chart,
    label,
    plain,
    style,
    write_keys,
)
from trimkit.logbook import FlightRow, set_ups

USUAL_WINDS = (4, 8)  # hard winds of a motor's life; common practice, no source
MOST_MOTORS, MOST_EVENINGS = 16, 14
MARKS = ("o", "s", "^", "D", "v", "P")


class TooFewError(ValueError):
    """Too little is written down for a picture."""


def time_view(flights: Sequence[FlightRow], projector: bool = False) -> Picture:
    """Draw the time of each flight against the evening, repeats beside each other.

    Parameters
    ----------
    flights : sequence of FlightRow
        Flights of a logbook; those without a time are left out [-].
    projector : bool
        A slide with type of 28 pt [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When no flight has a time.
    """
    timed = [flight for flight in flights if flight.time_s]
    if not timed:
        raise TooFewError("no flight has a time; write time_s")
    evenings = sorted({flight.date for flight in timed})[-MOST_EVENINGS:]
    names = list(dict.fromkeys(flight.aeroplane for flight in timed))[: len(MARKS)]
    with style(projector):
        figure, axes, sheet = chart(projector, "Time of each flight, evening by evening")
        for place, day in enumerate(evenings):
            for number, name in enumerate(names):
                here = [f for f in timed if f.date == day and f.aeroplane == name]
                _evening(axes, here, place, number, len(names), sheet)
        axes.set_xticks(range(len(evenings)), [_short(day) for day in evenings])
        axes.set_xlim(-0.5, len(evenings) - 0.5)
        axes.set_ylim(0, 1.12 * max(flight.time_s or 0.0 for flight in timed))
        axes.set_ylabel("time in s")
        write_keys(figure, sheet, _legend(names))
    return Picture(figure, _time_words(timed, evenings, names))


def torque_view(flights: Sequence[FlightRow], projector: bool = False) -> Picture:
    """Draw the time of each flight against the torque at its launch.

    Parameters
    ----------
    flights : sequence of FlightRow
        Flights of a logbook; those without both are left out [-].
    projector : bool
        A slide with type of 28 pt [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When no flight has a launch torque and a time.
    """
    both = [flight for flight in flights if flight.launch_torque_mNm and flight.time_s]
    if not both:
        raise TooFewError("no flight has a launch torque and a time; write launch_torque_mNm")
    names = list(dict.fromkeys(flight.aeroplane for flight in both))[: len(MARKS)]
    with style(projector):
        figure, axes, sheet = chart(projector, "Time against the torque at the launch")
        for number, name in enumerate(names):
            for flight in both:
                if flight.aeroplane == name:
                    at = (flight.launch_torque_mNm or 0.0, flight.time_s or 0.0)
                    _dot(axes, at, number, bool(flight.hits), sheet)
        axes.set_xlabel("launch torque in mN m")
        axes.set_ylabel("time in s")
        axes.set_xlim(0, 1.1 * max(flight.launch_torque_mNm or 0.0 for flight in both))
        axes.set_ylim(0, 1.12 * max(flight.time_s or 0.0 for flight in both))
        write_keys(figure, sheet, _legend(names))
    return Picture(figure, _torque_words(both, names))


def winds_view(flights: Sequence[FlightRow], projector: bool = False) -> Picture:
    """Draw how often each motor was wound, against the 4 to 8 that it usually stands.

    Parameters
    ----------
    flights : sequence of FlightRow
        Flights of a logbook; those without a motor are left out [-].
    projector : bool
        A slide with type of 28 pt [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When no flight names its motor.
    """
    winds = winds_of(flights)
    if not winds:
        raise TooFewError("no flight names its motor; write motor, a number on the bag")
    shown = dict(list(winds.items())[-MOST_MOTORS:])
    most = max(max(shown.values()), USUAL_WINDS[1] + 1)
    with style(projector):
        figure, axes, sheet = chart(projector, "Winds of each motor")
        axes.axvspan(*USUAL_WINDS, facecolor=PALE, edgecolor=INK, hatch="//", linewidth=0, zorder=0)
        for place, count in enumerate(shown.values()):
            old = count >= USUAL_WINDS[1]
            axes.barh(place, count, 0.6, color=ORANGE if old else BLUE, edgecolor=INK, zorder=3)
            words = f"{count}, worn" if old else f"{count}"
            label(axes, words, (count + 0.15, place), ha="left", fontsize=sheet.type_pt)
        axes.set_yticks(range(len(shown)), [motor[:12] for motor in shown])
        axes.set_ylim(len(shown) - 0.4, -0.6)
        axes.set_xlim(0, most * 1.2)
        axes.grid(visible=False)
        axes.set_xlabel("winds")
        axes.set_ylabel("motor")
        write_keys(
            figure, sheet, f"hatched: the {USUAL_WINDS[0]} to {USUAL_WINDS[1]} it usually stands"
        )
    return Picture(figure, _winds_words(shown))


def winds_of(flights: Sequence[FlightRow]) -> dict[str, int]:
    """Count how often each motor was wound: as written down, else by its flights.

    Parameters
    ----------
    flights : sequence of FlightRow
        Flights of a logbook, in order [-].

    Returns
    -------
    dict of str to int
        Winds by motor, in the order of their first flight [-].
    """
    found: dict[str, int] = {}
    for flight in flights:
        if flight.motor:
            counted = found.get(flight.motor, 0) + 1
            found[flight.motor] = max(counted, flight.winds or 0)
    return found


VIEWS: Mapping[str, Callable[[Sequence[FlightRow]], Picture]] = MappingProxyType(
    {"times": time_view, "torque": torque_view, "winds": winds_view}
)


# --- drawing ----------------------------------------------------------------------------------


_SHAPES = ("dot", "square", "triangle", "diamond", "triangle down", "plus")


def _legend(names: Sequence[str]) -> str:
    told = [f"{_SHAPES[n]}: {name[:16]}" for n, name in enumerate(names) if name]
    return "; ".join([*told[:3], "open: it hit something"])


def _evening(
    axes: Axes, flights: Sequence[FlightRow], place: int, number: int, names: int, sheet: Page
) -> None:
    """Flights of one evening side by side, and a bar at the mean of each set of repeats."""
    wide = 0.8 / names
    step = wide / (len(flights) + 1)
    left = place - 0.4 + number * wide
    spots = {id(flight): left + step * n for n, flight in enumerate(flights, 1)}
    for flight in flights:
        _dot(axes, (spots[id(flight)], flight.time_s or 0.0), number, bool(flight.hits), sheet)
    for block in set_ups(flights):
        free = [flight.time_s or 0.0 for flight in block if not flight.hits]
        if len(free) > 1:
            mean = math.fsum(free) / len(free)
            ends = [spots[id(block[0])] - step / 3, spots[id(block[-1])] + step / 3]
            axes.plot(ends, [mean, mean], "-", color=INK, linewidth=2, zorder=2)


def _dot(axes: Axes, at: tuple[float, float], number: int, hit: bool, sheet: Page) -> None:
    colour = (BLUE, ORANGE)[number % 2]
    axes.plot(
        *at, MARKS[number], markersize=0.55 * sheet.type_pt, markeredgecolor=colour,
        markerfacecolor="white" if hit else colour, markeredgewidth=2, zorder=5,
    )  # fmt: skip


def _short(day: datetime.date) -> str:
    return f"{day.day}.\n{day:%b}"


# --- words ------------------------------------------------------------------------------------


def _time_words(
    flights: Sequence[FlightRow], evenings: Sequence[datetime.date], names: Sequence[str]
) -> str:
    told = [
        f"On {day} {name or 'the aeroplane'} flew {_listed(here)} s{_hits(here)}."
        for day in evenings
        for name in names
        if (here := [f for f in flights if f.date == day and f.aeroplane == name])
    ]
    best = max(flights, key=lambda flight: flight.time_s or 0.0)
    longest = plain(best.time_s or 0.0, 0)
    return (
        "Time of each flight, evening by evening; a bar lies at the mean of repeats that hit "
        f"nothing. {' '.join(told)} The longest is {longest} s on {best.date}."
    )


def _listed(flights: Sequence[FlightRow]) -> str:
    return ", ".join(plain(flight.time_s or 0.0, 0) for flight in flights)


def _hits(flights: Sequence[FlightRow]) -> str:
    count = sum(bool(flight.hits) for flight in flights)
    return f" ({count} of them hit something)" if count else ""


def _torque_words(flights: Sequence[FlightRow], names: Sequence[str]) -> str:
    told = [
        f"{name or 'The aeroplane'}: "
        + ", ".join(
            f"{plain(flight.launch_torque_mNm or 0.0)} mN m gave {plain(flight.time_s or 0.0, 0)} s"
            for flight in flights
            if flight.aeroplane == name
        )
        + "."
        for name in names
    ]
    return f"Time of each flight against the torque at its launch. {' '.join(told)}"


def _winds_words(winds: Mapping[str, int]) -> str:
    told = ", ".join(f"motor {motor} {count}" for motor, count in winds.items())
    worn = [motor for motor, count in winds.items() if count >= USUAL_WINDS[1]]
    end = f" Worn by now: {', '.join(worn)}." if worn else ""
    return (
        f"How often each motor was wound: {told}. A motor usually stands {USUAL_WINDS[0]} to "
        f"{USUAL_WINDS[1]} hard winds.{end}"
    )
