"""Angles from a ruler, and back: incidence, decalage, shims, twist, tilt and thrust line.

Every angle here comes from two heights and the length between them, measured along the part
itself. So the angle is the arcsine of the rise over that length, and for small angles it is
"rise over length, times 57". A ruler is not exact: each measurement has its own function that
says how far off the angle can be.

Types are written for single numbers. Arrays are welcome too: arrays in, arrays out.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from trimkit import section
from trimkit.aeroplane import Aeroplane
from trimkit.units import Floats, as_given

Reference = Literal["chord", "zero lift"]

STEEPEST_DEG = 30.0  # assumed: no part of these aeroplanes is set steeper
SHORTEST_LEVER_MM, LONGEST_LEVER_MM = 5.0, 1500.0  # assumed: a hub to a whole aeroplane
LARGEST_READING_ERROR_MM = 5.0  # assumed: worse than that is not a reading


@dataclass(frozen=True, slots=True)
class ReadingError:
    """How far an angle can be off because a ruler cannot be read exactly.

    Parameters
    ----------
    rms_deg : float
        Usual size of the error, root mean square [deg].
    worst_deg : float
        Error when every reading is off in the direction that hurts [deg].
    """

    rms_deg: float
    worst_deg: float


@dataclass(frozen=True, slots=True)
class PanelTwist:
    """Twist of the two wing panels at the tips, as set plus as warped.

    Parameters
    ----------
    left_deg, right_deg : float
        Twist at each tip, + wash-in: trailing edge down [deg].
    """

    left_deg: float
    right_deg: float

    @property
    def mean_deg(self) -> float:
        """Mean of the two tips [deg]."""
        return (self.left_deg + self.right_deg) / 2

    @property
    def difference_deg(self) -> float:
        """Left minus right: + rolls the aeroplane to the right [deg]."""
        return self.left_deg - self.right_deg


def _lever(name: str, length_mm: ArrayLike) -> Floats:
    length = np.asarray(length_mm, dtype=float)
    if not np.all((length >= SHORTEST_LEVER_MM) & (length <= LONGEST_LEVER_MM)):
        raise ValueError(
            f"{name} is {length_mm!s} mm; allowed is {SHORTEST_LEVER_MM:g} to "
            f"{LONGEST_LEVER_MM:g} mm; is it in cm or m?"
        )
    return length


def _angle(rise_mm: ArrayLike, lever_name: str, lever_mm: ArrayLike) -> float:
    lever, rise = _lever(lever_name, lever_mm), np.asarray(rise_mm, dtype=float)
    steepest = lever * np.sin(np.radians(STEEPEST_DEG)) * (1 + 1e-12)
    if not np.all(np.abs(rise) <= steepest):
        raise ValueError(
            f"a rise of {rise_mm!s} mm over {lever_mm!s} mm is steeper than {STEEPEST_DEG:g}°, the "
            f"most allowed; is one reading in cm, or {lever_name} too short?"
        )
    return as_given(np.degrees(np.arcsin(rise / lever)))


def _rise(angle_deg: ArrayLike, lever_name: str, lever_mm: ArrayLike) -> float:
    lever, angle = _lever(lever_name, lever_mm), np.asarray(angle_deg, dtype=float)
    if not np.all(np.abs(angle) <= STEEPEST_DEG):
        raise ValueError(
            f"an angle of {angle_deg!s}° is given; allowed is -{STEEPEST_DEG:g} to "
            f"{STEEPEST_DEG:g}°; is it a length in mm?"
        )
    return as_given(lever * np.sin(np.radians(angle)))


def _two_readings(reading_error_mm: ArrayLike, name: str, lever_mm: ArrayLike) -> ReadingError:
    error = np.asarray(reading_error_mm, dtype=float)
    if not np.all((error >= 0) & (error <= LARGEST_READING_ERROR_MM)):
        raise ValueError(
            f"reading_error_mm is {reading_error_mm!s}; allowed is 0 to "
            f"{LARGEST_READING_ERROR_MM:g} mm; an error is a size, without a sign"
        )
    one = np.degrees(error / _lever(name, lever_mm))
    return ReadingError(as_given(np.sqrt(2) * one), as_given(2 * one))


def angle_deg(
    leading_edge_mm: ArrayLike, trailing_edge_mm: ArrayLike, chord_mm: ArrayLike
) -> float:
    """Angle of a chord from the heights of its two edges.

    The chord is measured along the chord line, so the angle is an arcsine.
    Valid for angles up to 30 degrees either way and chords of 5 to 1500 mm.

    Parameters
    ----------
    leading_edge_mm, trailing_edge_mm : float or array_like
        Height of each edge above the table [mm].
    chord_mm : float or array_like
        Chord along the chord line [mm].

    Returns
    -------
    float or numpy.ndarray
        Angle to the table, + leading edge up [deg].

    Raises
    ------
    ValueError
        When the rise is more than half the chord, or the chord cannot be one.

    Examples
    --------
    >>> round(angle_deg(31.0, 26.0, 90.0), 2)
    3.18
    """
    rise = np.subtract(leading_edge_mm, trailing_edge_mm)
    return _angle(rise, "chord_mm", chord_mm)


def leading_edge_mm(
    angle_deg: ArrayLike, trailing_edge_mm: ArrayLike, chord_mm: ArrayLike
) -> float:
    """Height of the leading edge that gives an angle: `angle_deg` backwards.

    Parameters
    ----------
    angle_deg : float or array_like
        Wanted angle, + leading edge up, up to 30 either way [deg].
    trailing_edge_mm : float or array_like
        Height of the trailing edge above the table [mm].
    chord_mm : float or array_like
        Chord along the chord line [mm].

    Returns
    -------
    float or numpy.ndarray
        Height of the leading edge above the table [mm].

    Examples
    --------
    >>> round(leading_edge_mm(3.185, 26.0, 90.0), 1)
    31.0
    """
    return as_given(np.add(trailing_edge_mm, _rise(angle_deg, "chord_mm", chord_mm)))


def angle_error_deg(reading_error_mm: ArrayLike, chord_mm: ArrayLike) -> ReadingError:
    """How far off an angle is when both edges are read with an error.

    Each edge is off by the same usual size, one independent of the other. Small angles.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    chord_mm : float or array_like
        Chord along the chord line [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].

    Examples
    --------
    >>> round(angle_error_deg(0.25, 90.0).worst_deg, 2)
    0.32
    """
    return _two_readings(reading_error_mm, "chord_mm", chord_mm)


def decalage_error_deg(
    reading_error_mm: ArrayLike, wing_chord_mm: ArrayLike, tail_chord_mm: ArrayLike
) -> ReadingError:
    """How far off the decalage is when four edges are read with an error.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    wing_chord_mm, tail_chord_mm : float or array_like
        The two chords [mm].

    Returns
    -------
    ReadingError
        Usual error (the two angles added as squares) and worst error (added up) [deg].

    Examples
    --------
    >>> error = decalage_error_deg(0.25, 90.0, 75.0)
    >>> round(error.rms_deg, 2), round(error.worst_deg, 2)
    (0.35, 0.7)
    """
    wing = _two_readings(reading_error_mm, "wing_chord_mm", wing_chord_mm)
    tail = _two_readings(reading_error_mm, "tail_chord_mm", tail_chord_mm)
    return ReadingError(
        as_given(np.hypot(wing.rms_deg, tail.rms_deg)), as_given(wing.worst_deg + tail.worst_deg)
    )


def boom_angle_deg(rise_mm: ArrayLike, boom_mm: ArrayLike) -> float:
    """Change of decalage from the rise of the boom's tail end: the longer lever.

    A boom that tilts in its socket carries its tail end up or down by several millimetres per
    degree, where the tailplane's own edges move by one. So it is the better place to measure.

    Parameters
    ----------
    rise_mm : float or array_like
        Height of the boom's tail end now minus before, + up [mm].
    boom_mm : float or array_like
        From the point it tilts about to the place measured [mm].

    Returns
    -------
    float or numpy.ndarray
        Change of decalage, + more [deg].

    Examples
    --------
    >>> round(boom_angle_deg(4.7, 270.0), 2)
    1.0
    """
    return _angle(rise_mm, "boom_mm", boom_mm)


def boom_rise_mm(change_deg: ArrayLike, boom_mm: ArrayLike) -> float:
    """Rise of the boom's tail end that belongs to a change of decalage.

    Parameters
    ----------
    change_deg : float or array_like
        Change of decalage, + more [deg].
    boom_mm : float or array_like
        From the point it tilts about to the place measured [mm].

    Returns
    -------
    float or numpy.ndarray
        Rise of the tail end, + up [mm].

    Examples
    --------
    >>> round(boom_rise_mm(1.0, 270.0), 1)
    4.7
    """
    return _rise(change_deg, "boom_mm", boom_mm)


def boom_angle_error_deg(reading_error_mm: ArrayLike, boom_mm: ArrayLike) -> ReadingError:
    """How far off a change of decalage is when it comes from the boom's tail end.

    Two heights are read: before the change and after it.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    boom_mm : float or array_like
        From the point it tilts about to the place measured [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].
    """
    return _two_readings(reading_error_mm, "boom_mm", boom_mm)


def angle_for_shim_deg(shim_mm: ArrayLike, socket_mm: ArrayLike) -> float:
    """Change of decalage that a shim makes.

    Parameters
    ----------
    shim_mm : float or array_like
        Thickness, + under the end that lifts the tail's trailing edge [mm].
    socket_mm : float or array_like
        Length of the boom socket, or the spacing of two posts [mm].

    Returns
    -------
    float or numpy.ndarray
        Change of decalage, + more [deg].

    Examples
    --------
    >>> round(angle_for_shim_deg(0.8, 45.0), 2)
    1.02
    """
    return _angle(shim_mm, "socket_mm", socket_mm)


def shim_for_angle_mm(change_deg: ArrayLike, socket_mm: ArrayLike) -> float:
    """Shim that makes a change of decalage: `angle_for_shim_deg` backwards.

    Parameters
    ----------
    change_deg : float or array_like
        Wanted change of decalage, + more [deg].
    socket_mm : float or array_like
        Length of the boom socket, or the spacing of two posts [mm].

    Returns
    -------
    float or numpy.ndarray
        Thickness, + lifts the tail's trailing edge [mm].

    Examples
    --------
    >>> round(shim_for_angle_mm(1.24, 45.0), 2)
    0.97
    """
    return _rise(change_deg, "socket_mm", socket_mm)


def shim_angle_error_deg(thickness_error_mm: ArrayLike, socket_mm: ArrayLike) -> ReadingError:
    """How far off a shim's angle is when its thickness is not exactly known.

    Only one length is read here, so the worst error equals the usual one.

    Parameters
    ----------
    thickness_error_mm : float or array_like
        Error of the thickness, 0 to 5 [mm].
    socket_mm : float or array_like
        Length of the boom socket, or the spacing of two posts [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].
    """
    two = _two_readings(thickness_error_mm, "socket_mm", socket_mm)
    return ReadingError(as_given(two.worst_deg / 2), as_given(two.worst_deg / 2))


def wash_in_deg(edge_drop_mm: ArrayLike, tip_chord_mm: ArrayLike) -> float:
    """Twist of one panel from how far its tip's trailing edge hangs below the root's line.

    Parameters
    ----------
    edge_drop_mm : float or array_like
        Trailing edge below where an untwisted tip would have it, + down: wash-in [mm].
    tip_chord_mm : float or array_like
        Chord at the tip [mm].

    Returns
    -------
    float or numpy.ndarray
        Twist at the tip, + wash-in, - wash-out [deg].

    Examples
    --------
    >>> round(wash_in_deg(2.0, 86.0), 2)
    1.33
    """
    return _angle(edge_drop_mm, "tip_chord_mm", tip_chord_mm)


def wash_in_mm(wash_in_deg: ArrayLike, tip_chord_mm: ArrayLike) -> float:
    """Drop of a tip's trailing edge that belongs to a twist: `wash_in_deg` backwards.

    Parameters
    ----------
    wash_in_deg : float or array_like
        Twist at the tip, + wash-in [deg].
    tip_chord_mm : float or array_like
        Chord at the tip [mm].

    Returns
    -------
    float or numpy.ndarray
        Trailing edge down from the untwisted line, + wash-in [mm].

    Examples
    --------
    >>> round(wash_in_mm(1.33, 86.0), 1)
    2.0
    """
    return _rise(wash_in_deg, "tip_chord_mm", tip_chord_mm)


def wash_in_error_deg(reading_error_mm: ArrayLike, tip_chord_mm: ArrayLike) -> ReadingError:
    """How far off a twist is when both edges of the tip are read with an error.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    tip_chord_mm : float or array_like
        Chord at the tip [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].
    """
    return _two_readings(reading_error_mm, "tip_chord_mm", tip_chord_mm)


def panel_twist_deg(aeroplane: Aeroplane) -> PanelTwist:
    """Twist of both panels: what is set plus what has warped.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    PanelTwist
        Twist at each tip [deg].
    """
    wing, setting = aeroplane.build.wing, aeroplane.setting
    return PanelTwist(
        setting.left_wash_in_deg + wing.left_warp_deg,
        setting.right_wash_in_deg + wing.right_warp_deg,
    )


def tail_tilt_deg(left_tip_mm: ArrayLike, right_tip_mm: ArrayLike, span_mm: ArrayLike) -> float:
    """Tilt of the tailplane from the heights of its tips.

    Parameters
    ----------
    left_tip_mm, right_tip_mm : float or array_like
        Height of each tip above the table, seen from behind, wing level [mm].
    span_mm : float or array_like
        Span of the tailplane [mm].

    Returns
    -------
    float or numpy.ndarray
        Tilt, + left tip high [deg].

    Examples
    --------
    >>> round(tail_tilt_deg(60.0, 50.0, 200.0), 2)
    2.87
    """
    return _angle(np.subtract(left_tip_mm, right_tip_mm), "span_mm", span_mm)


def tail_tilt_mm(tilt_deg: ArrayLike, span_mm: ArrayLike) -> float:
    """Difference in height of the tips that belongs to a tilt: `tail_tilt_deg` backwards.

    Parameters
    ----------
    tilt_deg : float or array_like
        Tilt, + left tip high [deg].
    span_mm : float or array_like
        Span of the tailplane [mm].

    Returns
    -------
    float or numpy.ndarray
        Left tip's height minus the right tip's [mm].
    """
    return _rise(tilt_deg, "span_mm", span_mm)


def tail_tilt_error_deg(reading_error_mm: ArrayLike, span_mm: ArrayLike) -> ReadingError:
    """How far off a tilt is when both tips are read with an error.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    span_mm : float or array_like
        Span of the tailplane [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].
    """
    return _two_readings(reading_error_mm, "span_mm", span_mm)


def down_thrust_deg(front_mm: ArrayLike, rear_mm: ArrayLike, spacing_mm: ArrayLike) -> float:
    """Down thrust from two heights of the shaft's line, with the stick level.

    Parameters
    ----------
    front_mm, rear_mm : float or array_like
        Height of the line at its front and its rear point above the table [mm].
    spacing_mm : float or array_like
        Distance between the two points along the line [mm].

    Returns
    -------
    float or numpy.ndarray
        Thrust line against the stick, + down [deg].

    Examples
    --------
    >>> round(down_thrust_deg(50.0, 51.0, 30.0), 2)
    1.91
    """
    return _angle(np.subtract(rear_mm, front_mm), "spacing_mm", spacing_mm)


def side_thrust_deg(front_mm: ArrayLike, rear_mm: ArrayLike, spacing_mm: ArrayLike) -> float:
    """Side thrust from two distances of the shaft's line to the left of the stick.

    Parameters
    ----------
    front_mm, rear_mm : float or array_like
        Distance to the left of the stick's middle at the front and the rear point [mm].
    spacing_mm : float or array_like
        Distance between the two points along the line [mm].

    Returns
    -------
    float or numpy.ndarray
        Thrust line against the stick, + to the left [deg].

    Examples
    --------
    >>> round(side_thrust_deg(1.0, 0.0, 30.0), 2)
    1.91
    """
    return _angle(np.subtract(front_mm, rear_mm), "spacing_mm", spacing_mm)


def thrust_line_error_deg(reading_error_mm: ArrayLike, spacing_mm: ArrayLike) -> ReadingError:
    """How far off down thrust or side thrust is when two points are read with an error.

    Parameters
    ----------
    reading_error_mm : float or array_like
        Error of one reading, 0 to 5 [mm].
    spacing_mm : float or array_like
        Distance between the two points along the line [mm].

    Returns
    -------
    ReadingError
        Usual and worst error [deg].

    Examples
    --------
    >>> round(thrust_line_error_deg(0.25, 30.0).worst_deg, 2)
    0.95
    """
    return _two_readings(reading_error_mm, "spacing_mm", spacing_mm)


def wing_incidence_deg(aeroplane: Aeroplane) -> float:
    """Angle of the wing's root chord to the stick.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    float
        Incidence, + leading edge up [deg].
    """
    return aeroplane.build.wing.incidence_deg


def tail_incidence_deg(aeroplane: Aeroplane) -> float:
    """Angle of the tailplane's chord to the stick, with the shim in place.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    float
        Incidence, + leading edge up; a positive shim lowers it [deg].
    """
    tail = aeroplane.build.tail
    return tail.incidence_deg - angle_for_shim_deg(aeroplane.setting.shim_mm, tail.socket_mm)


def decalage_deg(aeroplane: Aeroplane, reference: Reference = "chord") -> float:
    """Wing incidence minus tail incidence.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    reference : {"chord", "zero lift"}
        Between the chord lines, as a ruler measures it, or between the lines of no lift, as the
        air feels it: a cambered wing's line of no lift is steeper than its chord [-].

    Returns
    -------
    float
        Decalage, + nose-up [deg].

    Raises
    ------
    ValueError
        When the reference is neither of the two.
    """
    between_chords = wing_incidence_deg(aeroplane) - tail_incidence_deg(aeroplane)
    if reference == "chord":
        return between_chords
    if reference != "zero lift":
        raise ValueError(f'reference is {reference!r}; allowed is "chord" or "zero lift"')
    wing = section.plate(aeroplane.build.wing.camber_percent)
    tail = section.plate(aeroplane.build.tail.camber_percent)
    return between_chords - wing.zero_lift_deg + tail.zero_lift_deg
