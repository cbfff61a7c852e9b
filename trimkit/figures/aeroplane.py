"""The aeroplane from its side, and its masses on a beam."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Ellipse, Polygon, Rectangle

from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.figures.outline import plate
from trimkit.figures.style import (
    BLUE,
    INK,
    MIDDLE,
    ORANGE,
    PALE,
    Picture,
    blank,
    enlarge,
    fit,
    label,
    plain,
    signed,
    style,
    write_note,
)

INCIDENCE_STRETCH = 3.0  # angles against what they are


def side_view(aeroplane: Aeroplane, projector: bool = False) -> Picture:
    """Draw the aeroplane from its left side, nose to the left, equal scales.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane; angles are drawn three times larger than they are [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    with style(projector):
        figure, axes = blank(f"{aeroplane.name} from the side", projector=projector)
        _sticks(axes, aeroplane)
        _propeller(axes, aeroplane)
        _fin(axes, aeroplane)
        _wing_and_tail(axes, aeroplane)
        _shim(axes, aeroplane)
        _points(axes, aeroplane)
        fit(axes, *_side_box(aeroplane))
        words = "Angles are drawn 3 times larger than they are."
        write_note(figure, words)
        if projector:
            enlarge(figure)
    return Picture(figure, _side_words(aeroplane))


def _side_box(aeroplane: Aeroplane) -> tuple[tuple[float, float], tuple[float, float]]:
    end = aeroplane.build.end_mm
    radius = aeroplane.setting.propeller.diameter_mm / 2
    low = min(aeroplane.build.stick.motor_height_mm - radius, -0.2 * end)
    return (-0.17 * end, low - 0.09 * end), (1.09 * end, _top_mm(aeroplane) + 0.17 * end)


def _top_mm(aeroplane: Aeroplane) -> float:
    build, radius = aeroplane.build, aeroplane.setting.propeller.diameter_mm / 2
    wing_top = build.wing.height_mm + 0.2 * build.wing.root_chord_mm
    fin_top = build.fin.height_mm + build.fin.span_mm / 2
    return max(wing_top, fin_top, build.stick.motor_height_mm + radius)


def _sticks(axes: Axes, aeroplane: Aeroplane) -> None:
    stick, tail = aeroplane.build.stick, aeroplane.build.tail
    hook, end = stick.hook_station_mm, tail.station_mm + tail.chord_mm / 2
    axes.plot([0, hook], [0, 0], "-", color=INK, linewidth=6, zorder=3)
    axes.plot([hook, end], [0, tail.height_mm], "-", color=INK, linewidth=3, zorder=3)
    drop = stick.motor_height_mm
    axes.plot([0, hook], [drop, drop], ":", color=ORANGE, linewidth=3, zorder=2)
    for x in (0, hook):
        axes.plot([x, x], [0, drop], "-", color=INK, linewidth=2)
    label(axes, "rubber", (0.3 * hook, drop - 0.05 * end), color=ORANGE)
    label(axes, "stick", (0.2 * hook, 0.035 * end))


def _propeller(axes: Axes, aeroplane: Aeroplane) -> None:
    """A steady disc seen from its edge."""
    propeller, drop = aeroplane.setting.propeller, aeroplane.build.stick.motor_height_mm
    place = (propeller.station_mm, drop)
    size = propeller.diameter_mm
    axes.add_patch(
        Ellipse(place, 0.06 * size, size, facecolor=PALE, edgecolor=INK, linewidth=2, zorder=2)
    )
    below = (propeller.station_mm, drop - size / 2 - 0.035 * aeroplane.build.end_mm)
    label(axes, "propeller", below)


def _fin(axes: Axes, aeroplane: Aeroplane) -> None:
    fin = aeroplane.build.fin
    corner = (fin.leading_edge_mm, fin.height_mm - fin.span_mm / 2)
    outline: dict[str, Any] = {
        "facecolor": "white",
        "edgecolor": INK,
        "linewidth": 2.0,
        "zorder": 1.0,
    }
    axes.add_patch(Rectangle(corner, fin.chord_mm, fin.span_mm, **outline))
    middle = (fin.station_mm + fin.chord_mm / 4, fin.height_mm + 0.28 * fin.span_mm)
    label(axes, "fin", middle, zorder=2)


def _wing_and_tail(axes: Axes, aeroplane: Aeroplane) -> None:
    wing, tail, setting = aeroplane.build.wing, aeroplane.build.tail, aeroplane.setting
    end = aeroplane.build.end_mm
    wing_deg = incidence.wing_incidence_deg(aeroplane)
    tail_deg = incidence.tail_incidence_deg(aeroplane)
    edge, angle = (setting.wing_station_mm, wing.height_mm), INCIDENCE_STRETCH * wing_deg
    bent = plate(edge, wing.root_chord_mm, angle, wing.camber_percent)
    for x in setting.wing_station_mm + np.array([0.15, 0.85]) * wing.root_chord_mm:
        top = float(np.interp(x, *bent))
        axes.plot([x, x], [0, top], "-", color=INK, linewidth=2, zorder=2)
    axes.plot(*bent, "-", color=BLUE, linewidth=6, zorder=5)
    above = (setting.wing_station_mm + wing.root_chord_mm / 2, wing.height_mm + 0.1 * end)
    label(axes, f"wing {signed(wing_deg)}°", above, fontweight="bold", fontsize=MIDDLE)
    edge, angle = (tail.station_mm, tail.height_mm), INCIDENCE_STRETCH * tail_deg
    bent = plate(edge, tail.chord_mm, angle, tail.camber_percent)
    axes.plot(*bent, "-", color=BLUE, linewidth=6, zorder=5)
    below = (tail.station_mm + tail.chord_mm / 2, tail.height_mm - 0.08 * end)
    label(axes, f"tail {signed(tail_deg)}°", below, fontweight="bold", fontsize=MIDDLE)


def _shim(axes: Axes, aeroplane: Aeroplane) -> None:
    """A wedge at the socket, on the side that the shim goes."""
    shim, hook = aeroplane.setting.shim_mm, aeroplane.build.stick.hook_station_mm
    end = aeroplane.build.end_mm
    words = f"shim {signed(shim)} mm" if shim else "no shim"
    label(axes, words, (hook + 0.02 * end, 0.11 * end), to=(hook + 0.03 * end, 0.0))
    if shim:
        tall = 0.02 * end
        wedge = [(hook, 0), (hook + 0.06 * end, 0), (hook + 0.06 * end, -np.sign(shim) * tall)]
        axes.add_patch(Polygon(wedge, facecolor=ORANGE, edgecolor=INK, zorder=6))


def _points(axes: Axes, aeroplane: Aeroplane) -> None:
    """Balance point and neutral point below the stick, names on the side where there is room."""
    end = aeroplane.build.end_mm
    cg, neutral = balance.aeroplane_cg(aeroplane), balance.neutral_point_mm(aeroplane)
    level = -0.16 * end
    axes.plot(cg.station_mm, cg.height_mm, "o", color="white", mec=INK, mew=3, ms=18, zorder=7)
    axes.plot(cg.station_mm, cg.height_mm, "P", color=INK, ms=12, mew=0, zorder=8)
    axes.plot(neutral, 0, "D", color=ORANGE, mec=INK, mew=2, ms=13, zorder=7)
    ahead = cg.station_mm <= neutral
    sides = ("right", "left") if ahead else ("left", "right")
    gap = 0.015 * end if ahead else -0.015 * end
    label(
        axes,
        "balance point",
        (min(cg.station_mm, cg.station_mm - gap), level),
        to=(cg.station_mm, cg.height_mm),
        ha=sides[0],
        fontweight="bold",
    )
    label(axes, "neutral point", (neutral + gap, level), to=(neutral, 0), ha=sides[1])


def _side_words(aeroplane: Aeroplane) -> str:
    wing_mm = aeroplane.setting.wing_station_mm
    point = balance.balance_point_mm(aeroplane)
    apart = balance.neutral_point_mm(aeroplane) - balance.aeroplane_cg(aeroplane).station_mm
    side = "behind" if apart >= 0 else "ahead of"
    shim = aeroplane.setting.shim_mm
    shim_words = f"The shim is {signed(shim)} mm." if shim else "There is no shim."
    return (
        f"{aeroplane.name} seen from the side, nose to the left. The wing's leading edge is "
        f"{plain(wing_mm)} mm behind the propeller bearing. The wing is at "
        f"{signed(incidence.wing_incidence_deg(aeroplane))}° and the tailplane at "
        f"{signed(incidence.tail_incidence_deg(aeroplane))}°, so the decalage is "
        f"{signed(incidence.decalage_deg(aeroplane))}°. {shim_words} "
        f"The aeroplane balances {plain(point)} mm behind the wing's leading edge. The neutral "
        f"point is {plain(abs(apart))} mm {side} that. "
        "In the picture angles are three times larger than they are."
    )
