"""Two powers over each other: height against time under a ceiling, and the signs beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.room import Room
from trimkit.figures.style import (
    GREY,
    HEIGHT_IN,
    INK,
    LOOKS,
    PALE,
    Look,
    Page,
    Picture,
    page,
    plain,
    sentence,
    style,
)
from trimkit.units import Floats

if TYPE_CHECKING:  # a picture of a ruler must not wait for the flight engine
    from trimkit.flight import Flight

MOST_SIGNS = 5
SHORTEST_S = 5.0  # a short flight is not blown up further
LOWEST_M, HIGHEST_M = 2.0, 500.0  # ceilings


@dataclass(frozen=True, slots=True, eq=False)
class Step:
    """A flight at one power, with the signs that were seen.

    Parameters
    ----------
    name : str
        Of the power, one short word [-].
    flight : Flight
        The flight [-].
    signs : tuple of (str, str)
        Up to five: what, and how it was [-].
    """

    name: str
    flight: Flight
    signs: tuple[tuple[str, str], ...]

    @property
    def touches_s(self) -> Floats:
        """When it touched the ceiling [s]."""
        events = self.flight.events
        return np.array([event.time_s for event in events if event.what == "hit the ceiling"])

    def words(self) -> str:
        """Say the flight in one sentence [-]."""
        flown, touched = self.flight, self.touches_s
        over = "" if flown.ended == "landed" else ", and on"
        said = (
            f"{sentence(self.name)} power, {flown.turns_on:.0f} turns: "
            f"{flown.duration_s:.0f} s{over}, top {plain(flown.peak_height_m)} m"
        )
        if touched.size:
            said = f"{said}; it touches the ceiling at {touched[0]:.0f} s"
        walls = [event.time_s for event in flown.events if event.what == "hit a wall"]
        return f"{said}; it hits a wall at {walls[0]:.0f} s" if walls else said


def steps_view(steps: Sequence[Step], ceiling_m: float, projector: bool = False) -> Picture:
    """Draw the heights of one or two flights under a ceiling, with their signs beside them.

    Parameters
    ----------
    steps : sequence of Step
        One or two, the weaker first [-].
    ceiling_m : float
        Height of the hall, 2 to 500 [m].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there are more flights or signs than fit, or the ceiling is out of range.
    """
    if not 1 <= len(steps) <= 2 or any(len(step.signs) > MOST_SIGNS for step in steps):
        raise ValueError(
            f"{len(steps)} flights are given; allowed is 1 or 2, with up to {MOST_SIGNS} signs each"
        )
    if not LOWEST_M <= ceiling_m <= HIGHEST_M:
        raise ValueError(
            f"ceiling_m is {ceiling_m:g}; allowed is {LOWEST_M:g} to {HIGHEST_M:g} m; is it in "
            "feet?"
        )
    sheet = page(projector, HEIGHT_IN)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        _heights(figure, sheet, steps, ceiling_m)
        _table(figure, sheet, steps)
    return Picture(figure, _words(steps, ceiling_m))


def _heights(figure: Figure, sheet: Page, steps: Sequence[Step], ceiling_m: float) -> None:
    axes = figure.add_axes((0.065, 0.135, 0.545, 0.775))
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=sheet.type_pt, length=4, width=1.5, pad=0.25 * sheet.type_pt)
    axes.grid(color=PALE, linewidth=1.0)
    axes.set_axisbelow(True)
    longest = max(max(step.flight.duration_s for step in steps), SHORTEST_S)
    axes.set_xlim(0, 1.03 * longest)
    axes.set_ylim(0, 1.1 * ceiling_m)
    axes.locator_params(nbins=6)
    axes.set_xlabel("time in s", fontsize=sheet.type_pt)
    axes.set_title("height in m", fontsize=sheet.type_pt, fontweight="normal")
    look: dict[str, Any] = {"facecolor": PALE, "edgecolor": GREY, "linewidth": 0}
    axes.axhspan(ceiling_m, 1.1 * ceiling_m, hatch="///", gid="above the ceiling", **look)
    axes.axhline(ceiling_m, color=INK, linewidth=1.5 * sheet.line_pt, gid="ceiling")
    room = Room(figure, sheet.type_pt)
    room.keep_free(axes, np.array(axes.get_xlim()), np.array([ceiling_m, ceiling_m]))
    for step, look_of in zip(steps, LOOKS, strict=False):
        _trace(axes, sheet, step, look_of)
        room.keep_free(axes, step.flight.time_s, step.flight.height_m)
    _names(room, axes, steps, ceiling_m)


def _trace(axes: Axes, sheet: Page, step: Step, look: Look) -> None:
    time, height = step.flight.time_s, step.flight.height_m
    wide: dict[str, Any] = {"linewidth": 1.5 * sheet.line_pt, "markersize": 0.8 * sheet.type_pt}
    axes.plot(time, height, look.dash, color=look.colour, gid=step.name, zorder=4, **wide)
    axes.plot(time[-1], height[-1], look.marker, color=look.colour, zorder=5, clip_on=False, **wide)
    if step.touches_s.size:
        first = step.touches_s[:1]
        at = np.interp(first, time, height)
        mark: dict[str, Any] = {
            "color": INK,
            "mew": 1.5 * sheet.line_pt,
            "ms": 0.9 * sheet.type_pt,
            "zorder": 6,
        }
        axes.plot(first, at, "x", gid="touches", **mark)


def _names(room: Room, axes: Axes, steps: Sequence[Step], ceiling_m: float) -> None:
    for step, look in zip(steps, LOOKS, strict=False):
        top = int(np.argmax(step.flight.height_m))
        at = float(step.flight.time_s[top]), float(step.flight.height_m[top])
        words = f"{step.name}: top {plain(at[1])} m,\n{step.flight.duration_s:.0f} s"
        room.put(axes, words, at, color=look.colour, fontweight="bold")
    words = f"ceiling {plain(ceiling_m)} m"
    room.put(axes, words, (0.02 * axes.get_xlim()[1], ceiling_m))


_LEFT, _COLUMNS, _TOP, _LINE = 0.645, (0.735, 0.865), 0.93, 0.105


def _table(figure: Figure, sheet: Page, steps: Sequence[Step]) -> None:
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center"}
    figure.text(_LEFT, _TOP, "In the first 5 seconds", fontweight="bold", **look)
    for column, step, how in zip(_COLUMNS, steps, LOOKS, strict=False):
        named = {"color": how.colour, "fontweight": "bold", **look}
        figure.text(column, _TOP - 1.1 * _LINE, step.name, **named)
        for row, (_, said) in enumerate(step.signs):
            figure.text(column, _TOP - (row + 2.1) * _LINE, said, **look)
    for row, (what, _) in enumerate(steps[0].signs):
        figure.text(_LEFT, _TOP - (row + 2.1) * _LINE, what, **look)


def _words(steps: Sequence[Step], ceiling_m: float) -> str:
    said = [f"Height against time under a ceiling of {plain(ceiling_m)} m."]
    for step in steps:
        signs = ", ".join(f"{what} {how}" for what, how in step.signs)
        said.append(f"{step.words()}. In the first 5 seconds: {signs}.")
    return " ".join(said)
