"""Circles in a hall: paths seen from above, with the walls they may meet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.room import Room
from trimkit.figures.style import (
    GREY,
    INK,
    LOOKS,
    Look,
    Page,
    Picture,
    page,
    plain,
    see,
    sheet_axes,
    style,
)
from trimkit.units import Floats

if TYPE_CHECKING:  # a picture of a ruler must not wait for the flight engine
    from trimkit.flight import Flight

CIRCLE_HEIGHT_IN = 6.0
MOST_PATHS = 2
GRID_M = 5.0
SMALLEST_M, LARGEST_M = 2.0, 500.0
WALL = "hit a wall"
_NOTE = "Seen from above, launched to the right. Squares of 5 m."


def circle_view(
    flights: Mapping[str, Flight], size_m: tuple[float, float], projector: bool = False
) -> Picture:
    """Draw one or two paths from above, in the hall to scale.

    Parameters
    ----------
    flights : mapping of str to Flight
        Name and flight, the one that matters first [-].
    size_m : (float, float)
        Length along the launch, and width of the hall, each 2 to 500 [m].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is no flight or more than fit, or the hall is out of range.
    """
    if not 1 <= len(flights) <= MOST_PATHS:
        raise ValueError(f"{len(flights)} flights are given; allowed is 1 or {MOST_PATHS}")
    if not all(SMALLEST_M <= side <= LARGEST_M for side in size_m):
        raise ValueError(
            f"size_m is {size_m}; allowed is two lengths of {SMALLEST_M:g} to {LARGEST_M:g} m; are "
            "they in feet?"
        )
    sheet = page(projector, CIRCLE_HEIGHT_IN)
    with style(projector):
        figure, axes = sheet_axes(sheet, _title(flights), _NOTE)
        _hall(axes, size_m, sheet)
        _paths(figure, axes, flights, sheet)
    words = [_told(name, flight) for name, flight in flights.items()]
    hall = f"The hall is {plain(size_m[0], 0)} by {plain(size_m[1], 0)} m."
    return Picture(figure, " ".join([_title(flights) + ".", hall, *words, _NOTE]))


def across_m(flight: Flight) -> float:
    """Say how wide a flight's first circle is, from its path.

    Parameters
    ----------
    flight : Flight
        The flight [-].

    Returns
    -------
    float
        Twice the mean distance from the middle of the first full circle; infinite when the path
        makes none before it ends or meets a wall [m].
    """
    path = flight.position_m[_first_circle(flight), :2]
    if len(path) < 3:
        return float("inf")
    return float(2 * np.hypot(*(path - path.mean(axis=0)).T).mean())


def _first_circle(flight: Flight) -> slice:
    """Rows of the first turn through 360°, none when there is no such turn in free air."""
    walls = [event.time_s for event in flight.events if event.what == WALL]
    free = flight.time_s <= (walls[0] if walls else np.inf)
    turned = np.abs(np.unwrap(np.radians(flight.heading_deg[free])))
    begun = np.abs(turned - turned[0])
    if begun.size == 0 or begun[-1] < 2 * np.pi:
        return slice(0)
    return slice(int(np.argmax(begun >= 2 * np.pi)) + 1)


def _title(flights: Mapping[str, Flight]) -> str:
    return "Circle in the hall: " + ", ".join(flights)


def _hall(axes: Axes, size_m: tuple[float, float], sheet: Page) -> None:
    x, y = size_m[0] / 2, size_m[1] / 2
    see(axes, (-1.03 * x, -1.03 * y), (1.03 * x, 1.03 * y))
    thin: dict[str, Any] = {"color": GREY, "linewidth": 0.4, "zorder": 1}
    for at in np.arange(GRID_M * np.ceil(-x / GRID_M), x, GRID_M):
        axes.plot([at, at], [-y, y], ":", **thin)
    for at in np.arange(GRID_M * np.ceil(-y / GRID_M), y, GRID_M):
        axes.plot([-x, x], [at, at], ":", **thin)
    corners = np.array([(-x, -y), (x, -y), (x, y), (-x, y), (-x, -y)])
    axes.plot(*corners.T, color=INK, linewidth=2 * sheet.line_pt, gid="walls", zorder=2)


def _paths(figure: Figure, axes: Axes, flights: Mapping[str, Flight], sheet: Page) -> None:
    room = Room(figure, sheet.type_pt)
    for (name, flight), look in reversed(list(zip(flights.items(), LOOKS, strict=False))):
        along, across = flight.position_m[:, 0], -flight.position_m[:, 1]
        room.keep_free(axes, along, across)
        _path(axes, along, across, name, look, sheet)
        for event in flight.events:
            if event.what == WALL:
                row = int(np.argmin(np.abs(flight.time_s - event.time_s)))
                axes.plot(along[row], across[row], "X", color=look.colour, ms=0.8 * sheet.type_pt)
    for name, flight in flights.items():
        row = min(int(0.6 * flight.time_s.size), flight.time_s.size - 1)
        at = float(flight.position_m[row, 0]), float(-flight.position_m[row, 1])
        room.put(axes, name, at, fontweight="bold")
    first = next(iter(flights.values())).position_m[0]
    room.put(axes, "launch", (float(first[0]), float(-first[1])))


def _path(axes: Axes, along: Floats, across: Floats, name: str, look: Look, sheet: Page) -> None:
    axes.plot(along, across, look.dash, color=look.colour, linewidth=sheet.line_pt, gid=name)
    axes.plot(along[0], across[0], "o", color=look.colour, ms=0.6 * sheet.type_pt, zorder=5)
    axes.plot(along[-1], across[-1], look.marker, color=look.colour, ms=0.6 * sheet.type_pt)


def _told(name: str, flight: Flight) -> str:
    across = across_m(flight)
    walls = [event.time_s for event in flight.events if event.what == WALL]
    side = "left" if flight.heading_deg[-1] < flight.heading_deg[0] else "right"
    circle = f"first circle {plain(across)} m across, to the {side}"
    said = circle if np.isfinite(across) else "no full circle in free air"
    hit = f", meets a wall after {plain(walls[0])} s" if walls else ", meets no wall"
    return f"{name[0].upper()}{name[1:]}: {said}{hit}."
