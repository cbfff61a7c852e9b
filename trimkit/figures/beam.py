"""The balance beam: every part to scale, the balance point, and the neutral point on the wing.

`beam_view` draws it once, for a screen or a projector; `beam_stage` redraws it for a slider.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit import balance
from trimkit.aeroplane import Aeroplane, Part
from trimkit.figures.style import (
    BLUE,
    GREY,
    HEIGHT_IN,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    Stage,
    Still,
    label,
    page,
    plain,
    style,
)

MOST_NAMED = 11  # discs that still get a name of their own
FIRST_NAME, NEXT_NAME = 2.6, 1.3  # names above the beam, in heights of the type
BEAM, WING, SCALE = 9.9, 4.8, 1.6  # beam, wing and scale above the foot, in heights of the type
LETTER = 0.57  # width of a letter in heights of the type; measured, bold ones 0.64


def beam_view(aeroplane: Aeroplane, projector: bool = False) -> Picture:
    """Draw an aeroplane's parts on a beam, and below it the wing with both points.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane, as set [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    sheet = page(projector, HEIGHT_IN)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_axis_off()
        _ground(axes, sheet, aeroplane)
        _paint(axes, sheet, aeroplane)
    return Picture(figure, beam_words(aeroplane))


def beam_stage(design: Aeroplane, dpi: float) -> Callable[[Aeroplane], Still]:
    """Prepare `beam_view` for a slider: beam and scale stay, everything on them is redrawn.

    Parameters
    ----------
    design : Aeroplane
        Whose beam, and where it balances to begin with [-].
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        Takes the aeroplane as it is set now, returns a `Still` [-].
    """
    sheet = page(False, HEIGHT_IN)
    stage = Stage(lambda _, axes: _ground(axes, sheet, design), dpi)
    return lambda now: stage.still(lambda axes: _paint(axes, sheet, now), beam_words(now))


def beam_words(aeroplane: Aeroplane) -> str:
    """Say what the balance beam shows.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane, as set [-].

    Returns
    -------
    str
        Plain sentences [-].
    """
    cg, neutral = balance.aeroplane_cg(aeroplane), balance.neutral_point_mm(aeroplane)
    listed = "; ".join(
        f"{part.name}, {plain(part.mass_g, 2)} g at {plain(part.station_mm)} mm"
        for part in _shown(aeroplane)
    )
    front = aeroplane.setting.wing_station_mm
    apart = neutral - cg.station_mm
    return (
        "A beam with every part at its station, counted from the propeller bearing, nose to the "
        f"left: {listed}. Together {plain(cg.mass_g, 2)} g. It balances at "
        f"{plain(cg.station_mm)} mm, {plain(cg.station_mm - front)} mm behind the wing's leading "
        f"edge. The neutral point is at {plain(neutral)} mm, {plain(abs(apart))} mm "
        f"{'behind' if apart >= 0 else 'ahead of'} the balance point: a static margin of "
        f"{_percent(aeroplane)} % of the chord."
    )


def _percent(aeroplane: Aeroplane) -> str:
    return plain(100 * balance.static_margin(aeroplane), 0)


def _shown(aeroplane: Aeroplane) -> list[Part]:
    """The parts from nose to tail; the lightest of very many are joined to one."""
    by_mass = sorted(balance.parts(aeroplane), key=lambda part: -part.mass_g)
    kept, small = by_mass[:MOST_NAMED], by_mass[MOST_NAMED:]
    if small:
        joined = balance.centre_of_gravity_mm(small)
        kept.append(Part(name="small parts", mass_g=joined.mass_g, station_mm=joined.station_mm))
    return sorted(kept, key=lambda part: part.station_mm)


def _span_mm(aeroplane: Aeroplane) -> tuple[float, float]:
    tail = aeroplane.build.tail
    stations = [part.station_mm for part in balance.parts(aeroplane)]
    return min(*stations, -20.0), max(*stations, tail.station_mm + tail.chord_mm)


def _ground(axes: Axes, sheet: Page, design: Aeroplane) -> None:
    """Set the axes in mm across and heights of the type upward; draw beam and scale."""
    low, high = _span_mm(design)
    room = high - low
    axes.set_xlim(low - 0.07 * room, high + 0.07 * room)
    axes.set_ylim(0, sheet.height_in / sheet.em_in)
    ends = [low - 0.02 * room, high + 0.02 * room]
    axes.plot(ends, [BEAM, BEAM], "-", color=INK, linewidth=3 * sheet.line_pt, zorder=3)
    axes.plot(ends, [SCALE, SCALE], "-", color=GREY, linewidth=0.7 * sheet.line_pt)
    step = 50 if room < 600 else 100
    for mark in range(0, int(high) + 1, step):
        axes.plot([mark] * 2, [SCALE, SCALE + 0.4], color=GREY, linewidth=0.7 * sheet.line_pt)
        words = f"{mark} mm behind the bearing" if not mark else f"{mark}"
        side = "left" if not mark else "center"
        if mark and mark < LETTER * 24 * _em_mm(axes, sheet):
            continue  # the words of the first mark lie there
        label(axes, words, (mark, SCALE - 0.75), ha=side, fontsize=sheet.type_pt, color=GREY)


def _em_mm(axes: Axes, sheet: Page) -> float:
    """Height of the type in mm of the scale."""
    low, high = axes.get_xlim()
    return float((high - low) * sheet.em_in / sheet.width_in)


def _paint(axes: Axes, sheet: Page, now: Aeroplane) -> None:
    _title(axes, sheet, now)
    _names(axes, sheet, _shown(now))
    _pivot(axes, sheet, now)
    _wing(axes, sheet, now)


def _title(axes: Axes, sheet: Page, now: Aeroplane) -> None:
    point = plain(balance.balance_point_mm(now))
    words = f"Balances {point} mm behind the leading edge, margin {_percent(now)} %"
    place: dict[str, Any] = {"transform": axes.transAxes, "va": "top", "fontweight": "bold"}
    size = sheet.type_pt * (1.2 if sheet.type_pt < 20 else 1.0)
    axes.text(0.025, 0.965, words, fontsize=size, zorder=9, **place)


def _names(axes: Axes, sheet: Page, parts: list[Part]) -> None:
    """A disc for each part, its area like its mass, and its name on the first free row above."""
    em = _em_mm(axes, sheet)
    left, right = axes.get_xlim()
    ends: list[float] = []
    leaders: list[tuple[float, float]] = []
    for part in parts:
        words = f"{part.name} {plain(part.mass_g, 2)} g"
        half = em * (LETTER * len(words) / 2 + 0.3)
        middle = min(max(part.station_mm, left + half), right - half)
        row = next((k for k, end in enumerate(ends) if end < middle - half), len(ends))
        ends[row : row + 1] = [middle + half]
        height = BEAM + FIRST_NAME + NEXT_NAME * row
        leaders += [(part.station_mm, BEAM + 0.9), (middle, height), (np.nan, np.nan)]
        label(axes, words, (middle, height), fontsize=sheet.type_pt)
    x, y = zip(*leaders, strict=True)
    axes.plot(x, y, "-", color=GREY, linewidth=0.5 * sheet.line_pt, zorder=1)
    _discs(axes, sheet, parts)


def _discs(axes: Axes, sheet: Page, parts: list[Part]) -> None:
    """The lighter ones lie on top."""
    by_mass = sorted(parts, key=lambda part: -part.mass_g)
    masses = np.array([part.mass_g for part in by_mass])
    areas = (sheet.type_pt * (0.5 + 1.3 * np.sqrt(masses / masses[0]))) ** 2
    stations = [part.station_mm for part in by_mass]
    heights = np.full(len(by_mass), BEAM + 0.9)
    axes.scatter(stations, heights, areas, color=BLUE, edgecolors="white", zorder=4)


def _pivot(axes: Axes, sheet: Page, now: Aeroplane) -> None:
    cg = balance.aeroplane_cg(now)
    look: dict[str, Any] = {"color": ORANGE, "mec": INK, "mew": sheet.line_pt, "zorder": 4}
    axes.plot(cg.station_mm, BEAM - 0.95, "^", ms=1.7 * sheet.type_pt, **look)
    down = [BEAM - 1.5, WING]
    axes.plot([cg.station_mm] * 2, down, "--", color=INK, linewidth=0.7 * sheet.line_pt, zorder=2)
    words = f"balances at {plain(cg.station_mm)} mm, {plain(cg.mass_g, 2)} g in all"
    _kept_in(axes, sheet, words, (cg.station_mm, BEAM - 2.7))


def _kept_in(axes: Axes, sheet: Page, words: str, at: tuple[float, float]) -> None:
    """Bold words at a place, pushed inward where they would leave the picture."""
    half = _em_mm(axes, sheet) * (0.64 * len(words) / 2 + 0.3)
    left, right = axes.get_xlim()
    middle = min(max(at[0], left + half), right - half)
    label(axes, words, (middle, at[1]), fontsize=sheet.type_pt, fontweight="bold")


def _wing(axes: Axes, sheet: Page, now: Aeroplane) -> None:
    """The wing's chord, and on it the way from the balance point back to the neutral point."""
    front, chord = now.setting.wing_station_mm, now.build.wing.root_chord_mm
    cg, neutral = balance.aeroplane_cg(now).station_mm, balance.neutral_point_mm(now)
    wide: dict[str, Any] = {"solid_capstyle": "butt", "linewidth": 4 * sheet.line_pt}
    axes.plot([front, front + chord], [WING, WING], "-", color=PALE, zorder=2, **wide)
    axes.plot([front, front + chord], [WING - 0.3] * 2, "-", color=BLUE, linewidth=sheet.line_pt)
    axes.plot([cg, neutral], [WING, WING], "-", color=ORANGE, zorder=3, **wide)
    axes.plot(cg, WING, "o", color="white", mec=INK, mew=sheet.line_pt, ms=0.9 * sheet.type_pt,
              zorder=5)  # fmt: skip
    axes.plot(neutral, WING, "D", color="white", mec=INK, mew=sheet.line_pt,
              ms=0.8 * sheet.type_pt, zorder=5)  # fmt: skip
    em = _em_mm(axes, sheet)
    look: dict[str, Any] = {"fontsize": sheet.type_pt}
    start, end = min(front, cg, neutral), max(front + chord, cg, neutral)
    label(axes, "wing", (start - 0.5 * em, WING), ha="right", color=BLUE, **look)
    margin = f"static margin {_percent(now)} % of the chord"
    label(axes, margin, (end + 0.5 * em, WING), ha="left", color=ORANGE, **look)
    _kept_in(axes, sheet, f"neutral point at {plain(neutral)} mm", (neutral, WING - 1.7))
