"""The report's pictures: bars with their counts written on them, and the same in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.classroom.items import Analysis
from trimkit.classroom.report import counts
from trimkit.classroom.report.counts import Results
from trimkit.classroom.report.ideas import Open
from trimkit.figures.style import BLUE, INK, PALE, SMALL, WIDTH_IN, Picture, cut, style

ROW_IN = 0.36
MOST_IDEAS = 10  # more are too small on a page; the table gives all of them
LONGEST_LABEL = 36
_LABELS, _BARS, _COUNTS = 0.44, 0.27, 0.02  # shares of the width: names, bars, room before counts


@dataclass(frozen=True, slots=True)
class _Bar:
    """One line of a picture.

    `value` is dark, `more` on top of it is pale with hatching.
    """

    label: str
    value: int
    more: int
    most: int
    words: str


def handed_in(results: Results) -> Picture:
    """Draw how many have handed in each lesson.

    Parameters
    ----------
    results : Results
        With one lesson or more [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    bars = []
    for lesson in results.lessons:
        states = [paper.state for paper in results.of_lesson(lesson)]
        marked, waiting = states.count("marked"), states.count("handed in, not marked")
        extra = f" + {waiting} waiting" if waiting else ""
        words = f"{marked}{extra} of {len(states)}"
        bars.append(_Bar(counts.lesson_name(lesson), marked, waiting, len(states), words))
    legend = "dark: marked; hatched: waiting to be marked; the box: all pupils"
    return _draw(bars, "Papers in", legend)


def right(analysis: Analysis, lesson: str) -> Picture:
    """Draw the share of pupils who got each task right.

    Parameters
    ----------
    analysis : Analysis
        Of one lesson [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    bars = [
        _Bar(f"task {item.task}", item.right, 0, item.n, f"{item.right} of {item.n}")
        for item in analysis.items
    ]
    title = f"Share right, lesson {counts.lesson_name(lesson)}"
    return _draw(bars, title, "dark: all points; the box: all whose mark is known")


def open_ideas(ideas: Sequence[Open], results: Results) -> Picture:
    """Draw for how many pupils each idea is open.

    Parameters
    ----------
    ideas : sequence of Open
        One or more; the first ten are drawn [-].
    results : Results
        The class [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    most = len(results.pupils)
    bars = [
        _Bar(one.name.replace("-", " "), len(one.pupils), 0, most, f"{len(one.pupils)} of {most}")
        for one in ideas[:MOST_IDEAS]
    ]
    left = len(ideas) - len(bars)
    more = f"; {left} more in the table" if left else ""
    return _draw(bars, "Ideas still open", f"dark: pupils for whom it is open{more}")


def _draw(bars: Sequence[_Bar], title: str, legend: str) -> Picture:
    height = ROW_IN * (len(bars) + 2.6)
    with style():
        figure = Figure(figsize=(WIDTH_IN, height))
        low, high = 1.1 * ROW_IN / height, 1 - 1.4 * ROW_IN / height
        axes = figure.add_axes((0.0, low, 1.0, high - low))
        axes.set_axis_off()
        axes.set_xlim(0, 1)
        axes.set_ylim(len(bars) - 0.5, -0.5)
        figure.text(0.01, 1 - 0.7 * ROW_IN / height, title, fontweight="bold", va="center")
        figure.text(0.01, 0.55 * ROW_IN / height, legend, fontsize=SMALL, va="center")
        for place, bar in enumerate(bars):
            _line(axes, place, bar)
    listed = "; ".join(f"{bar.label}: {bar.words}" for bar in bars)
    return Picture(figure, f"{title}. {listed}.")


def _line(axes: Axes, place: int, bar: _Bar) -> None:
    axes.text(0.01, place, "".join(cut(bar.label, LONGEST_LABEL)), fontsize=SMALL, va="center")
    scale = _BARS / max(bar.most, 1)
    axes.barh(place, _BARS, 0.6, _LABELS, color="white", edgecolor=INK, linewidth=1.0)
    axes.barh(place, bar.value * scale, 0.6, _LABELS, color=BLUE, edgecolor=INK, linewidth=1.0)
    if bar.more:
        start = _LABELS + bar.value * scale
        look: dict[str, Any] = {"color": PALE, "edgecolor": INK, "linewidth": 1.0, "hatch": "///"}
        axes.barh(place, bar.more * scale, 0.6, start, **look)
    axes.text(_LABELS + _BARS + _COUNTS, place, bar.words, fontsize=SMALL, va="center")
