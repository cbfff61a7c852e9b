"""The aeroplane's outlines in its own millimetres, for every picture that shows its shape.

Small angles may be stretched, so that an eye sees them: by 3 in a figure, by 1 in a drawing to
scale. From above a corner is (station, right); from the front it is (right, height).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.units import Floats

Corner = tuple[float, float]


def turned(corners: Sequence[Corner], about: Corner, angle_deg: float) -> list[Corner]:
    """Turn corners about a point, + from the first axis to the second.

    Parameters
    ----------
    corners : sequence of (float, float)
        What is turned [mm].
    about : (float, float)
        The point that stays [mm].
    angle_deg : float
        By how much [deg].

    Returns
    -------
    list of (float, float)
        The corners afterwards [mm].
    """
    turn = np.radians(angle_deg)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    found: Floats = (np.array(corners) - about) @ matrix.T + about
    return [(float(x), float(y)) for x, y in found]


def wing_corners(aeroplane: Aeroplane, stretch: float = 1.0) -> list[Corner]:
    """Outline the wing from above, its quarter chord straight, turned by its skew.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    stretch : float
        How many times its skew is shown [-].

    Returns
    -------
    list of (float, float)
        Middle, right tip, right tip, middle, left tip, left tip: leading edge first [mm].
    """
    wing, setting = aeroplane.build.wing, aeroplane.setting
    root, middle = setting.wing_station_mm, setting.wing_offset_mm
    tip = root + (wing.root_chord_mm - wing.tip_chord_mm) / 4
    right, left = middle + wing.span_mm / 2, middle - wing.span_mm / 2
    outline = [
        (root, middle), (tip, right), (tip + wing.tip_chord_mm, right),
        (root + wing.root_chord_mm, middle), (tip + wing.tip_chord_mm, left), (tip, left),
    ]  # fmt: skip
    about = (root + wing.root_chord_mm / 2, middle)
    return turned(outline, about, stretch * wing.skew_deg)


def fin_ends(aeroplane: Aeroplane, stretch: float = 1.0) -> list[Corner]:
    """Find the fin's ends from above, turned about its quarter chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    stretch : float
        How many times its angle is shown [-].

    Returns
    -------
    list of (float, float)
        Leading and trailing edge [mm].
    """
    fin = aeroplane.build.fin
    ends = [(fin.leading_edge_mm, 0.0), (fin.trailing_edge_mm, 0.0)]
    return turned(ends, (fin.station_mm, 0.0), -stretch * aeroplane.fin_deg)


def wing_front(aeroplane: Aeroplane) -> list[Corner]:
    """Find the wing's leading edge from the front.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    list of (float, float)
        Left tip, middle and right tip [mm].
    """
    wing, middle = aeroplane.build.wing, aeroplane.setting.wing_offset_mm
    half = wing.span_mm / 2
    left, right = (half * float(np.tan(np.radians(deg))) for deg in wing.panels_deg)
    return [
        (middle - half, wing.height_mm + left),
        (middle, wing.height_mm),
        (middle + half, wing.height_mm + right),
    ]


def tail_ends(aeroplane: Aeroplane, stretch: float = 1.0) -> list[Corner]:
    """Find the tailplane's tips from the front.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    stretch : float
        How many times its tilt is shown [-].

    Returns
    -------
    list of (float, float)
        Left and right tip [mm].
    """
    tail = aeroplane.build.tail
    half = tail.span_mm / 2
    level = [(-half, tail.height_mm), (half, tail.height_mm)]
    tilt = stretch * aeroplane.setting.tail_tilt_deg
    return turned(level, (0.0, tail.height_mm), -tilt)


def plate(
    leading_edge: Corner,
    chord_mm: float,
    angle_deg: float,
    camber_percent: float,
    points: int = 41,
) -> tuple[Floats, Floats]:
    """Outline a curved plate from the side, turned about the middle of its chord.

    Parameters
    ----------
    leading_edge : (float, float)
        Station and height of its leading edge at no angle [mm].
    chord_mm : float
        Its chord [mm].
    angle_deg : float
        Angle to the stick, + leading edge up [deg].
    camber_percent : float
        Height of its arc, in percent of the chord [-].
    points : int
        How many points it is drawn with [-].

    Returns
    -------
    (numpy.ndarray, numpy.ndarray)
        Stations and heights from the leading edge back [mm].
    """
    share = np.linspace(-0.5, 0.5, points)
    bulge = camber_percent / 100 * chord_mm * (1 - 4 * share**2)
    turn = np.radians(angle_deg)
    station, height = leading_edge[0] + chord_mm / 2, leading_edge[1]
    x = station + share * chord_mm * np.cos(turn) + bulge * np.sin(turn)
    return x, height - share * chord_mm * np.sin(turn) + bulge * np.cos(turn)
