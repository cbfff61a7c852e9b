"""The log of an evening: every flight with its turns, its time, and what was changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.style import (
    BLUE,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    cut,
    page,
    plain,
    sentence,
    style,
)

MOST_ROWS = 12  # more are too small to read from the back row
LONGEST_CHANGE = 21  # letters in a line of a change on the picture; the words give all of it
MOST_TURNS, LONGEST_S = 20000.0, 7200.0  # assumed


@dataclass(frozen=True, slots=True)
class SessionRow:
    """One flight of an evening.

    Parameters
    ----------
    number : int
        Counts the flights, 1 for the first [-].
    turns_on : float
        Turns at the launch, more than 0 [turns].
    turns_left : float
        Turns counted after the landing, 0 to `turns_on` [turns].
    duration_s : float
        Time of the flight, 0 to 7200 [s].
    change : str
        What was changed before it, "" for nothing [-].
    seen : str
        What was seen, "" for nothing written down [-].
    """

    number: int
    turns_on: float
    turns_left: float
    duration_s: float
    change: str = ""
    seen: str = ""

    def __post_init__(self) -> None:
        if self.number < 1:
            raise ValueError(f"number is {self.number}; allowed is 1 or more")
        if not 0 < self.turns_on <= MOST_TURNS:
            raise ValueError(
                f"turns_on is {self.turns_on:g}; allowed is more than 0 to {MOST_TURNS:g}"
            )
        if not 0 <= self.turns_left <= self.turns_on:
            raise ValueError(
                f"turns_left is {self.turns_left:g}; allowed is 0 to the {self.turns_on:g} turns "
                "at the launch; are the two swapped?"
            )
        if not 0 <= self.duration_s <= LONGEST_S:
            raise ValueError(
                f"duration_s is {self.duration_s:g}; allowed is 0 to {LONGEST_S:g} s; "
                "is it in another unit?"
            )


def session_view(rows: Sequence[SessionRow], projector: bool = False) -> Picture:
    """Draw an evening as bars, a line for each flight, with a mark where something changed.

    Parameters
    ----------
    rows : sequence of SessionRow
        One to twelve flights in order [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is none or more than twelve, or their numbers do not rise.
    """
    numbers = [row.number for row in rows]
    if not 1 <= len(rows) <= MOST_ROWS:
        raise ValueError(
            f"{len(rows)} flights are given; allowed is 1 to {MOST_ROWS}; draw the last ones"
        )
    if numbers != sorted(set(numbers)):
        raise ValueError(f"the numbers are {numbers}; allowed is each once, in order")
    sheet = page(projector)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        axes = _sheet(figure, sheet, len(rows))
        longest = max(row.duration_s for row in rows) or 1.0
        most = max(row.turns_on for row in rows)
        for place, row in enumerate(rows):
            _time_bar(axes, row, place, longest, sheet)
            _turns_bar(axes, row, place, most, sheet)
            _change(axes, row, place, sheet)
    return Picture(figure, _words(rows))


# Columns, as shares of the width: where each begins and how long its longest bar is.
_NUMBER, _TIME, _TURNS, _CHANGE = 0.012, 0.065, 0.335, 0.645
_TIME_BAR, _TURNS_BAR = 0.145, 0.13


def _sheet(figure: Figure, sheet: Page, count: int) -> Axes:
    """Axes whose width is 1 and whose lines are counted down, with the columns' heads."""
    tall = min((sheet.height_in - 3.4 * sheet.em_in) / count, 3.2 * sheet.em_in)
    high = 1 - 3.2 * sheet.em_in / sheet.height_in
    low = high - tall * count / sheet.height_in
    axes = figure.add_axes((0.0, low, 1.0, high - low))
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(count - 0.5, -0.5)
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "fontweight": "bold", "va": "center"}
    top = 1 - 0.95 * sheet.em_in / sheet.height_in
    figure.text(_NUMBER, top, "The evening, flight by flight", **look)
    below = 1 - 2.4 * sheet.em_in / sheet.height_in
    heads = ((_TIME, "time in s"), (_TURNS, "turns: on, left"), (_CHANGE, "changed before it"))
    for start, words in heads:
        figure.text(start, below, words, **look)
    return axes


def _say(axes: Axes, x: float, place: int, words: str, sheet: Page, **options: Any) -> None:
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center", "zorder": 6, **options}
    axes.text(x, place, words, **look)


def _time_bar(axes: Axes, row: SessionRow, place: int, longest: float, sheet: Page) -> None:
    width = _TIME_BAR * row.duration_s / longest
    _say(axes, _NUMBER, place, f"{row.number}", sheet, fontweight="bold")
    axes.barh(place, width, 0.55, _TIME, color=BLUE, edgecolor=INK, linewidth=1.2, gid="time")
    _say(axes, _TIME + width + 0.008, place, plain(row.duration_s, 0), sheet)


def _turns_bar(axes: Axes, row: SessionRow, place: int, most: float, sheet: Page) -> None:
    """An open bar for what was wound, and hatched in it what was left."""
    on, left = (_TURNS_BAR * turns / most for turns in (row.turns_on, row.turns_left))
    edge: dict[str, Any] = {"edgecolor": INK, "linewidth": 1.2}
    axes.barh(place, on, 0.55, _TURNS, color="white", gid="turns on", **edge)
    axes.barh(place, left, 0.55, _TURNS, color=PALE, hatch="//", gid="turns left", **edge)
    words = f"{plain(row.turns_on, 0)}, {plain(row.turns_left, 0)}"
    _say(axes, _TURNS + on + 0.008, place, words, sheet)


def _change(axes: Axes, row: SessionRow, place: int, sheet: Page) -> None:
    if not row.change:
        return
    look: dict[str, Any] = {"color": ORANGE, "mec": INK, "ms": 0.6 * sheet.type_pt}
    axes.plot(_CHANGE + 0.01, place, "D", gid="change", **look)
    rise_em = axes.bbox.height / axes.figure.dpi / np.ptp(axes.get_ylim()) / sheet.em_in
    lines = cut(row.change, LONGEST_CHANGE, 2 if rise_em > 2.6 else 1)
    _say(axes, _CHANGE + 0.03, place, "\n".join(lines), sheet, linespacing=1.0)


def _words(rows: Sequence[SessionRow]) -> str:
    best = max(rows, key=lambda row: row.duration_s)
    told = " ".join(_row_words(row) for row in rows)
    count = "one flight" if len(rows) == 1 else f"{len(rows)} flights"
    return (
        f"An evening with {count}. {told} The longest flight was number {best.number} with "
        f"{plain(best.duration_s, 0)} s."
    )


def _row_words(row: SessionRow) -> str:
    changed = f"changed before it: {row.change}" if row.change else "nothing changed"
    seen = f" {sentence(row.seen.rstrip('.'))}." if row.seen else ""
    return (
        f"Flight {row.number} ({changed}): {plain(row.duration_s, 0)} s, "
        f"{plain(row.turns_on, 0)} turns on, {plain(row.turns_left, 0)} left.{seen}"
    )
