"""A flight on paper: from above, from the side, its height, and a table of a few instants.

This stands in for the replay where nothing can move: in a printed page, in an exported notebook,
and while marking.
"""

from __future__ import annotations

import html
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit import figures
from trimkit.figures import Picture
from trimkit.flight import Flight
from trimkit.labs.bench import image_tag
from trimkit.labs.replay.telling import Telling
from trimkit.units import Floats

INSTANTS = 8
DPI = 72
WIDTH_IN, HEIGHT_IN = 13.0, 4.6
MARK_EVERY_S = 5.0
_LEFT, _NARROW = 'style="text-align:left"', 'style="text-align:left;white-space:nowrap"'
_NAME = 'style="text-align:left;font-weight:bold"'
_DASHES = ((figures.BLUE, "-", "o"), (figures.ORANGE, "--", "s"))


@dataclass(frozen=True, slots=True)
class Shown:
    """A flight with its name on the page and its words.

    Parameters
    ----------
    label : str
        Name on the page [-].
    flight : Flight
        The flight [-].
    telling : Telling
        The same in words [-].
    """

    label: str
    flight: Flight
    telling: Telling


def picture(title: str, shown: Sequence[Shown]) -> Picture:
    """Draw one or two flights from above, from the side, and their height over time.

    Parameters
    ----------
    title : str
        A few words [-].
    shown : sequence of Shown
        One or two flights [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    with figures.style():
        figure = Figure(figsize=(WIDTH_IN, HEIGHT_IN), layout="constrained")
        figure.suptitle(title, fontsize=figures.MIDDLE, fontweight="bold")
        above, side, height = figure.subplots(1, 3)
        for one, look in zip(shown, _DASHES, strict=False):
            north, east, _ = one.flight.position_m.T
            _path(above, one, (east, north), look)
            _path(side, one, (east, one.flight.height_m), look)
            _path(height, one, (one.flight.time_s, one.flight.height_m), look)
        _axes(above, "from above", "east [m]", "north [m]")
        _axes(side, "from the south side", "east [m]", "height [m]")
        _axes(height, "height", "time [s]", "height [m]")
        for axes in (above, side):
            axes.set_aspect("equal", "datalim")
            axes.locator_params(nbins=5)
        side.axhline(0, color=figures.INK, linewidth=2.0)  # the floor
        height.set_ylim(bottom=0)
        if len(shown) > 1:
            height.legend(fontsize=figures.SMALL, frameon=False)
    return Picture(figure, _words(title, shown))


def _path(axes: Axes, one: Shown, at: tuple[Floats, Floats], look: tuple[str, str, str]) -> None:
    colour, dash, marker = look
    times = np.arange(0.0, one.flight.duration_s, MARK_EVERY_S)
    marks = np.searchsorted(one.flight.time_s, times)
    axes.plot(*at, dash, color=colour, linewidth=1.8, label=one.label)
    axes.plot(at[0][marks], at[1][marks], marker, color=colour, markersize=3.5)
    axes.plot(at[0][-1], at[1][-1], "X", color=colour, markersize=10)


def _axes(axes: Axes, title: str, across: str, up: str) -> None:
    axes.set_title(title, fontsize=figures.SMALL)
    axes.set_xlabel(across, fontsize=figures.SMALL)
    axes.set_ylabel(up, fontsize=figures.SMALL)
    axes.tick_params(labelsize=figures.SMALL)
    axes.grid(True, color=figures.PALE)


def _words(title: str, shown: Sequence[Shown]) -> str:
    told = [
        f"{title}. The path from above and from the south side, and the height over time; "
        f"a dot each {MARK_EVERY_S:.0f} s, a cross at the end."
    ]
    for one in shown:
        flight = one.flight
        told.append(
            f"{one.label}: {flight.duration_s:.1f} s, highest {flight.peak_height_m:.1f} m; "
            f"at the end {one.telling.sentences[-1]}."
        )
    return " ".join(told)


def instants_s(one: Shown) -> list[float]:
    """Choose times for the table: the moments that matter, else evenly spread ones.

    Parameters
    ----------
    one : Shown
        A flight [-].

    Returns
    -------
    list of float
        At most eight, from the launch to the end [s].
    """
    matter = sorted({moment.time_s for moment in one.telling.moments})
    if len(matter) > INSTANTS:
        matter = [matter[row] for row in np.linspace(0, len(matter) - 1, INSTANTS).astype(int)]
    spread = np.linspace(0, one.flight.duration_s, INSTANTS + 2 - len(matter))[1:-1]
    return sorted({*matter, *(round(float(time), 1) for time in spread)})[:INSTANTS]


def table(shown: Sequence[Shown]) -> str:
    """Write a few instants of one or two flights as HTML tables.

    Parameters
    ----------
    shown : sequence of Shown
        One or two flights [-].

    Returns
    -------
    str
        One table for each flight [-].
    """
    return "".join(_table(one) for one in shown)


def _table(one: Shown) -> str:
    rows = "".join(_row(one, time) for time in instants_s(one))
    head = "".join(f'<th scope="col" {_LEFT}>{name}</th>' for name in ("time", "what it does"))
    caption = f"<caption {_NAME}>{html.escape(one.label)}</caption>"
    return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _row(one: Shown, time_s: float) -> str:
    time, _, words = (html.escape(part) for part in one.telling.at(time_s).partition(": "))
    return f'<tr><th scope="row" {_NARROW}>{time}</th><td {_LEFT}>{words}</td></tr>'


def bundle(title: str, shown: Sequence[Shown]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Make what a notebook keeps of a replay for a page that does not move.

    Parameters
    ----------
    title : str
        A few words [-].
    shown : sequence of Shown
        One or two flights [-].

    Returns
    -------
    (dict, dict)
        Data and metadata by MIME type: text, HTML with picture and tables, PNG [-].
    """
    drawn = picture(title, shown)
    png = drawn.still(DPI, small=True).png
    data = {
        "text/plain": drawn.text,
        "text/html": f"<div>{image_tag(png, drawn.text)}{table(shown)}</div>",
        "image/png": png,
    }
    return data, {"image/png": {"alt": drawn.text}}
