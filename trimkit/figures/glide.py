"""Steady glides from the hand to the floor of a hall."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.style import (
    GREY,
    INK,
    LOOKS,
    PALE,
    Look,
    Picture,
    Stage,
    Still,
    blank,
    enlarge,
    label,
    plain,
    sentence,
    style,
    write_note,
    write_title,
)
from trimkit.trim import Trim

HALL_LENGTH_M, HAND_HEIGHT_M = 25.0, 1.8


def glide_path(
    trims: Sequence[Trim], names: Sequence[str] | None = None, projector: bool = False
) -> Picture:
    """Draw steady glides from a hand launch at 1.8 m, in a hall 25 m long.

    Only the steady glide is drawn: speed and sink of each `Trim`. What a stall or a dive with
    no steady glide really looks like needs a flight to be worked out; here it is marked.

    Parameters
    ----------
    trims : sequence of Trim
        One to four results of `trim.glide` [-].
    names : sequence of str or None
        Their names, None for "setting 1" and so on [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is none or more than four, or the names do not fit.
    """
    if not 1 <= len(trims) <= len(LOOKS):
        raise ValueError(f"{len(trims)} glides are given; allowed is 1 to {len(LOOKS)}")
    called = list(names or _default_names(len(trims)))
    if len(called) != len(trims):
        raise ValueError(f"{len(called)} names are given for {len(trims)} glides")
    with style(projector):
        figure, axes = blank(projector=projector)
        _hall(figure, axes, len(trims))
        for row, (flown, name) in enumerate(zip(trims, called, strict=True)):
            _glide(axes, flown, name, row)
        if projector:
            enlarge(figure)
    return Picture(figure, _glide_words(trims, called))


def glide_stage(design: Trim, dpi: float) -> Callable[[Trim], Still]:
    """Prepare `glide_path` for a slider: hall and design setting stay, the other is redrawn.

    Parameters
    ----------
    design : Trim
        Glide at the design setting, drawn as "design" [-].
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        Takes the `Trim` of the setting now, returns a `Still` [-].
    """

    def backdrop(figure: Figure, axes: Axes) -> None:
        _hall(figure, axes, 2)
        _glide(axes, design, "design", 1)

    stage = Stage(backdrop, dpi)
    return lambda now: stage.still(
        lambda axes: _glide(axes, now, "now", 0), _glide_words([now, design], ["now", "design"])
    )


def _default_names(count: int) -> list[str]:
    return ["this setting"] if count == 1 else [f"setting {k + 1}" for k in range(count)]


def landing_m(flown: Trim) -> float:
    """Distance along the floor that the steady glide covers from a hand launch at 1.8 m.

    Parameters
    ----------
    flown : Trim
        Result of `trim.glide` [-].

    Returns
    -------
    float
        Distance, 0 when there is no steady glide [m].
    """
    if not flown.found:
        return 0.0
    forward = np.sqrt(max(flown.speed_m_s**2 - flown.sink_m_s**2, 0.0))
    return float(HAND_HEIGHT_M * forward / flown.sink_m_s)


def time_down_s(flown: Trim) -> float:
    """Time that the steady glide takes from a hand launch at 1.8 m to the floor.

    Parameters
    ----------
    flown : Trim
        Result of `trim.glide` [-].

    Returns
    -------
    float
        Time, 0 when there is no steady glide [s].
    """
    return HAND_HEIGHT_M / flown.sink_m_s if flown.found else 0.0


def _hall(figure: Figure, axes: Axes, glides: int) -> None:
    """Floor, wall, the launching hand, and distances below the names of the glides."""
    names_below = -0.42 - 0.2 * glides
    axes.set_xlim(-2.6, HALL_LENGTH_M + 1.2)
    axes.set_ylim(names_below - 0.42, 3.0)
    write_title(axes, "The steady glide from the hand, propeller off")
    write_note(figure, "Heights are drawn larger than lengths.")
    axes.axhline(0, color=INK, linewidth=2.5)
    axes.axhspan(-0.12, 0, facecolor=PALE, edgecolor=GREY, hatch="//", linewidth=0)
    axes.plot([HALL_LENGTH_M] * 2, [0, 2.9], color=INK, linewidth=2.5)
    for x in range(0, 26, 5):
        axes.plot([x, x], [-0.05, 0.05], color=INK, linewidth=2)
        label(axes, f"{x} m", (x, names_below), zorder=2)
    axes.plot([0, 0], [0, HAND_HEIGHT_M], ":", color=GREY, linewidth=2)
    label(axes, "hand\n1.8 m", (-0.2, HAND_HEIGHT_M), ha="right")
    label(axes, "wall", (HALL_LENGTH_M, 1.2), rotation=90)


def _glide(axes: Axes, flown: Trim, name: str, row: int) -> None:
    look = LOOKS[row]
    _path(axes, flown, name, look, row)
    _legend_line(axes, flown, name, look, row)


def _path(axes: Axes, flown: Trim, name: str, look: Look, row: int) -> None:
    """The line from the hand to the floor or to the wall, its marker and its name."""
    if not flown.found:
        _no_glide(axes, flown, name, look, row)
        return
    lands = landing_m(flown)
    share = min(1.0, HALL_LENGTH_M / lands)
    end = (share * lands, HAND_HEIGHT_M * (1 - share))
    axes.plot([0, end[0]], [HAND_HEIGHT_M, end[1]], look.dash, color=look.colour, zorder=4)
    axes.plot(*end, marker=look.marker, color=look.colour, mec=INK, zorder=6)
    label(axes, name, (end[0], -0.32 - 0.2 * row), to=end, color=look.colour, fontweight="bold")
    if flown.verdict == "stalls":
        _mark_stall(axes, 0.22 * lands, lands)


def _mark_stall(axes: Axes, x: float, lands: float) -> None:
    """A marked spot where the picture cannot say more than that it happens."""
    height = HAND_HEIGHT_M * (1 - x / lands)
    axes.plot(x, height, marker="X", color=INK, markersize=15, zorder=7)
    words = "stall: nose up,\nthen drops"
    label(axes, words, (3.2, 2.22), to=(x, height), ha="left", fontweight="bold")


def _no_glide(axes: Axes, flown: Trim, name: str, look: Look, row: int) -> None:
    """No line can be drawn: an arrow says which way the nose goes, with the name at its tip."""
    drops = flown.verdict == "dives"
    tip = (0.7 + 0.4 * row, 1.0 - 0.2 * row) if drops else (1.3, 2.2 + 0.2 * row)
    arrow = {"arrowstyle": "-|>", "color": look.colour, "linewidth": 3, "linestyle": look.dash}
    axes.annotate("", tip, (0, HAND_HEIGHT_M), arrowprops={**arrow, "mutation_scale": 28})
    place = (tip[0], tip[1] - 0.13) if drops else (tip[0] + 0.2, tip[1])
    side = "center" if drops else "left"
    label(axes, name, place, ha=side, color=look.colour, fontweight="bold")


def _legend_line(axes: Axes, flown: Trim, name: str, look: Look, row: int) -> None:
    """A sample of the line and its figures, in the corner no glide reaches."""
    height = 2.42 - 0.27 * row
    axes.plot([9.6, 11.2], [height] * 2, look.dash, color=look.colour, zorder=4)
    axes.plot(10.4, height, marker=look.marker, color=look.colour, mec=INK, zorder=5)
    words = f"{name}: {flown.verdict}, no steady glide"
    if flown.found:
        distance, seconds = plain(landing_m(flown)), plain(time_down_s(flown))
        words = f"{name}: {flown.verdict}, {distance} m in {seconds} s"
    label(axes, words, (11.6, height), ha="left")


def _glide_words(trims: Sequence[Trim], names: Sequence[str]) -> str:
    said = " ".join(_one_glide(flown, name) for flown, name in itertools.zip_longest(trims, names))
    return (
        f"Glides from a hand 1.8 m above the floor in a hall 25 m long, propeller off. {said} "
        "This picture shows the steady glide; a stall's nose-up-and-drop is only marked. "
        "Heights are drawn larger than lengths."
    )


_CALLED = {"dives": "it dives", "stalls": "it stalls", "good": "the trim is good"}


def _one_glide(flown: Trim, name: str) -> str:
    start = f"{sentence(name)}: {_CALLED[flown.verdict]}"
    if not flown.found:
        nose = "drops" if flown.verdict == "dives" else "rises"
        return f"{start}. There is no steady glide: the nose {nose} and keeps going."
    wall = landing_m(flown) > HALL_LENGTH_M
    where = "It reaches the wall." if wall else f"It lands {plain(landing_m(flown))} m away"
    after = "" if wall else f" after {plain(time_down_s(flown))} s."
    return (
        f"{start}. It flies {plain(flown.speed_m_s)} m/s and sinks {plain(flown.sink_m_s, 2)} "
        f"m/s. {where}{after}"
    )
