"""Weight, balance point and stability: where the aeroplane balances and what that means.

Stations are mm aft of the propeller bearing. A part is a triple (mass_g, station_mm,
height_mm); the height may be left out. The mean aerodynamic chord lies with its quarter point
at the station of the root's quarter point: the wing's quarter-chord line is taken as straight
across (assumed; the taper of these wings is small).

Types are written for single numbers. Arrays are welcome where a function says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from trimkit import section, wing
from trimkit.aeroplane import Aeroplane, Part, Wing
from trimkit.units import as_given

Convention = Literal["wing slope", "whole slope"]
Arm = Literal["quarter chord", "cg"]

TAIL_BALANCE = 0.45  # assumed: a flat frame of sticks balances a little ahead of its middle
LARGEST_MARGIN_G = 2.0  # assumed


@dataclass(frozen=True, slots=True)
class CentreOfGravity:
    """Where a set of parts balances.

    Parameters
    ----------
    mass_g : float
        Mass of all parts [g].
    station_mm : float
        Station of the balance point [mm].
    height_mm : float
        Height of the balance point above the stick [mm].
    """

    mass_g: float
    station_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class LiftSlopes:
    """How fast wing and tail gain lift, each on its own area, and what the tail feels.

    Parameters
    ----------
    wing_per_rad, tail_per_rad : float
        Lift slope of the finite wing and tail [1/rad].
    downwash : float
        Change of downwash at the tail with angle of attack [-].
    """

    wing_per_rad: float
    tail_per_rad: float
    downwash: float


@dataclass(frozen=True, slots=True)
class MomentLine:
    """Pitching moment against angle of attack as a straight line.

    Parameters
    ----------
    at_zero : float
        Moment coefficient at no angle of attack, + nose-up [-].
    slope_per_rad : float
        Its slope, negative when the aeroplane is stable [1/rad].
    """

    at_zero: float
    slope_per_rad: float

    @property
    def trim_angle_deg(self) -> float:
        """Angle of attack at which the moment vanishes [deg]."""
        return as_given(np.degrees(-np.divide(self.at_zero, self.slope_per_rad)))


def balance_mm(masses_g: ArrayLike, stations_mm: ArrayLike) -> float:
    """Station where masses balance: sum of mass times station, over the sum of mass.

    A negative mass stands for something taken off.

    Parameters
    ----------
    masses_g : array_like
        Masses, along the last axis [g].
    stations_mm : array_like
        Their stations, along the last axis [mm].

    Returns
    -------
    float or numpy.ndarray
        Balance point; one for each row when rows are given [mm].

    Raises
    ------
    ValueError
        When nothing is left to balance.

    Examples
    --------
    >>> balance_mm([100.0, 200.0], [-50.0, 25.0])
    0.0
    """
    masses = np.asarray(masses_g, dtype=float)
    moment = np.sum(masses * np.asarray(stations_mm, dtype=float), axis=-1)
    total = np.sum(masses, axis=-1)
    if not np.all(total > 0):
        raise ValueError(
            f"the masses add up to {total!s} g; allowed is more than 0 g; any left out?"
        )
    return as_given(moment / total)


def _triple(part: Sequence[float] | Part) -> tuple[float, float, float]:
    if isinstance(part, Part):
        return part.mass_g, part.station_mm, part.height_mm
    if len(part) not in (2, 3):
        raise ValueError(
            f"a part is given as {tuple(part)}; allowed is (mass_g, station_mm) or "
            "(mass_g, station_mm, height_mm)"
        )
    height = part[2] if len(part) == 3 else 0.0
    return float(part[0]), float(part[1]), float(height)


def centre_of_gravity_mm(parts: Iterable[Sequence[float] | Part]) -> CentreOfGravity:
    """Balance a set of parts.

    Parameters
    ----------
    parts : iterable of (mass_g, station_mm) or (mass_g, station_mm, height_mm) or Part
        The parts; height 0 when left out; a negative mass takes a part off [g, mm, mm].

    Returns
    -------
    CentreOfGravity
        Mass, station and height [g, mm, mm].

    Raises
    ------
    ValueError
        When there is no part, a part has the wrong length, or nothing is left to balance.

    Examples
    --------
    >>> round(centre_of_gravity_mm([(3.2, 120), (2.2, 130), (1.4, 380), (2.4, -5)]).station_mm, 1)
    129.3
    """
    rows = [_triple(part) for part in parts]
    if not rows:
        raise ValueError("no parts are given; at least one part with a mass is needed")
    masses, stations, heights = np.array(rows, dtype=float).T
    station, height = balance_mm(masses, stations), balance_mm(masses, heights)
    return CentreOfGravity(float(masses.sum()), station, height)


def _panel_centre_height_mm(frame: Wing) -> float:
    root, tip = frame.root_chord_mm, frame.tip_chord_mm
    y_mm = frame.span_mm / 2 * (root + 2 * tip) / (3 * (root + tip))
    return float(frame.height_mm + y_mm * np.tan(np.radians(frame.dihedral_deg)))


def wing_part(aeroplane: Aeroplane) -> Part:
    """The wing as a part: it moves with its saddle.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    Part
        Mass, station and height of the wing; the height is that of its panels' middle [-].
    """
    frame = aeroplane.build.wing
    ahead_mm = frame.balance_percent / 100 * frame.root_chord_mm
    return Part(
        name="wing",
        mass_g=frame.mass_g,
        station_mm=aeroplane.setting.wing_station_mm + ahead_mm,
        height_mm=_panel_centre_height_mm(frame),
        length_mm=frame.root_chord_mm,
    )


def _tail_part(aeroplane: Aeroplane) -> Part:
    tail = aeroplane.build.tail
    return Part(
        name="tailplane",
        mass_g=tail.mass_g,
        station_mm=tail.station_mm + TAIL_BALANCE * tail.chord_mm,
        height_mm=tail.height_mm,
        length_mm=tail.chord_mm,
    )


def _propeller_part(aeroplane: Aeroplane) -> Part:
    propeller = aeroplane.setting.propeller
    return Part(
        name="propeller",
        mass_g=propeller.mass_g,
        station_mm=propeller.station_mm,
        height_mm=aeroplane.build.stick.motor_height_mm,
    )


def motor_part(aeroplane: Aeroplane) -> Part:
    """The rubber loop as a part, stretched from the bearing to the rear hook.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    Part
        Mass, station and height of the loop; it balances half way to the hook [-].
    """
    stick = aeroplane.build.stick
    return Part(
        name="motor",
        mass_g=aeroplane.setting.motor.mass_g,
        station_mm=stick.hook_station_mm / 2,
        height_mm=stick.motor_height_mm,
        length_mm=stick.hook_station_mm,
    )


def parts(aeroplane: Aeroplane, motor: bool = True) -> tuple[Part, ...]:
    """Everything on the aeroplane that has mass.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    motor : bool
        With the rubber loop, or without [-].

    Returns
    -------
    tuple of Part
        Wing, tailplane, propeller, motor, ballast, then the parts of the build [-].
    """
    setting = aeroplane.setting
    found = [wing_part(aeroplane), _tail_part(aeroplane), _propeller_part(aeroplane)]
    if motor:
        found.append(motor_part(aeroplane))
    if setting.ballast_g > 0:
        place = setting.ballast_station_mm
        found.append(Part(name="ballast", mass_g=setting.ballast_g, station_mm=place))
    return (*found, *aeroplane.build.parts)


def aeroplane_cg(aeroplane: Aeroplane, motor: bool = True) -> CentreOfGravity:
    """Where the aeroplane balances.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    motor : bool
        With the rubber loop, as it flies, or without [-].

    Returns
    -------
    CentreOfGravity
        Mass, station and height [g, mm, mm].
    """
    return centre_of_gravity_mm(parts(aeroplane, motor))


def balance_point_mm(aeroplane: Aeroplane, motor: bool = True) -> float:
    """Balance point behind the leading edge of the wing's root.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    motor : bool
        With the rubber loop, or without [-].

    Returns
    -------
    float
        Distance aft of the root's leading edge [mm].
    """
    return aeroplane_cg(aeroplane, motor).station_mm - aeroplane.setting.wing_station_mm


def station_of_balance_point_mm(balance_point_mm: ArrayLike, wing_station_mm: ArrayLike) -> float:
    """Turn a balance point measured from the wing into a station.

    Parameters
    ----------
    balance_point_mm : float or array_like
        Balance point aft of the root's leading edge [mm].
    wing_station_mm : float or array_like
        Station of the root's leading edge [mm].

    Returns
    -------
    float or numpy.ndarray
        Station of the balance point [mm].

    Examples
    --------
    >>> station_of_balance_point_mm(40.0, 118.6)
    158.6
    """
    return as_given(np.add(balance_point_mm, wing_station_mm))


def chord_fraction(balance_point_mm: ArrayLike, chord_mm: ArrayLike) -> float:
    """Balance point as a fraction of a chord that starts where it was measured from.

    Parameters
    ----------
    balance_point_mm : float or array_like
        Balance point aft of the chord's leading edge [mm].
    chord_mm : float or array_like
        The chord, more than 0 [mm].

    Returns
    -------
    float or numpy.ndarray
        Fraction of the chord [-].

    Raises
    ------
    ValueError
        When the chord is not more than 0.

    Examples
    --------
    >>> chord_fraction(36.0, 90.0)
    0.4
    """
    if not np.all(np.asarray(chord_mm) > 0):
        raise ValueError(f"chord_mm is {chord_mm!s}; allowed is more than 0 mm")
    return as_given(np.divide(balance_point_mm, chord_mm))


def mean_chord_station_mm(aeroplane: Aeroplane) -> float:
    """Station of the leading edge of the wing's mean aerodynamic chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    float
        Station; a straight quarter-chord line is assumed [mm].
    """
    frame = aeroplane.build.wing
    shift_mm = (frame.root_chord_mm - frame.mean_chord_mm) / 4
    return aeroplane.setting.wing_station_mm + shift_mm


def cg_fraction(aeroplane: Aeroplane, motor: bool = True) -> float:
    """Centre of gravity as a fraction of the mean aerodynamic chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    motor : bool
        With the rubber loop, or without [-].

    Returns
    -------
    float
        Fraction, 0 at the leading edge and 1 at the trailing edge [-].
    """
    behind_mm = aeroplane_cg(aeroplane, motor).station_mm - mean_chord_station_mm(aeroplane)
    return behind_mm / aeroplane.build.wing.mean_chord_mm


def wing_station_for_cg_mm(aeroplane: Aeroplane, fraction: float, motor: bool = True) -> float:
    """Where to slide the wing so that the aeroplane balances at a fraction of the chord.

    The wing has mass too: as it slides, the balance point follows a little.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    fraction : float
        Wanted centre of gravity, -0.5 to 1.5 of the mean aerodynamic chord [-].
    motor : bool
        With the rubber loop, or without [-].

    Returns
    -------
    float
        Station of the wing root's leading edge [mm].

    Raises
    ------
    ValueError
        When the fraction is outside that range.
    """
    if not -0.5 <= fraction <= 1.5:
        raise ValueError(f"fraction is {fraction:g}; allowed is -0.5 to 1.5; is it in percent?")
    whole = aeroplane_cg(aeroplane, motor)
    missing = cg_fraction(aeroplane, motor) - fraction
    share = 1 - aeroplane.build.wing.mass_g / whole.mass_g
    slide_mm = missing * aeroplane.build.wing.mean_chord_mm / share
    return aeroplane.setting.wing_station_mm + slide_mm


def ballast_for_minimum_g(
    mass_g: ArrayLike, minimum_g: ArrayLike, margin_g: ArrayLike = 0.05
) -> float:
    """Ballast that brings an aeroplane to the minimum weight, with a margin for the scales.

    Put it at the balance point: there it changes the weight and not the trim.

    Parameters
    ----------
    mass_g : float or array_like
        Mass now, weighed as the rules say, more than 0 [g].
    minimum_g : float or array_like
        Smallest mass allowed by the rules [g].
    margin_g : float or array_like
        Margin above it, 0 to 2 [g].

    Returns
    -------
    float or numpy.ndarray
        Ballast, 0 when the aeroplane is heavy enough [g].

    Raises
    ------
    ValueError
        When a mass is not more than 0, or the margin is outside its range.

    Examples
    --------
    >>> round(ballast_for_minimum_g(7.64, 8.00, 0.05), 2)
    0.41
    """
    if not (np.all(np.asarray(mass_g) > 0) and np.all(np.asarray(minimum_g) > 0)):
        raise ValueError(f"masses are {mass_g!s} and {minimum_g!s} g; allowed is more than 0 g")
    margin = np.asarray(margin_g, dtype=float)
    if not np.all((margin >= 0) & (margin <= LARGEST_MARGIN_G)):
        raise ValueError(f"margin_g is {margin_g!s}; allowed is 0 to 2 g")
    return as_given(np.maximum(np.add(minimum_g, margin) - mass_g, 0.0))


def cg_shift_mm(mass_g: ArrayLike, added_g: ArrayLike, behind_cg_mm: ArrayLike) -> float:
    """How far the balance point moves when a mass is added.

    Parameters
    ----------
    mass_g : float or array_like
        Mass before [g].
    added_g : float or array_like
        Mass added, negative for something taken off [g].
    behind_cg_mm : float or array_like
        Where it is added, + behind the balance point [mm].

    Returns
    -------
    float or numpy.ndarray
        Shift of the balance point, + aft [mm].

    Raises
    ------
    ValueError
        When the mass before or after is not more than 0.

    Examples
    --------
    >>> round(cg_shift_mm(9.64, 0.36, 250.0), 1)
    9.0
    """
    after = np.add(mass_g, added_g)
    if not (np.all(np.asarray(mass_g) > 0) and np.all(after > 0)):
        raise ValueError(
            f"mass is {mass_g!s} g before and {after!s} g after; allowed is more than 0 g"
        )
    return as_given(np.multiply(added_g, behind_cg_mm) / after)


def moved_mass_shift_mm(mass_g: ArrayLike, moved_g: ArrayLike, distance_mm: ArrayLike) -> float:
    """How far the balance point moves when a mass that is already on board is moved.

    Parameters
    ----------
    mass_g : float or array_like
        Mass of the whole, more than 0 [g].
    moved_g : float or array_like
        Mass moved [g].
    distance_mm : float or array_like
        How far it is moved, + aft [mm].

    Returns
    -------
    float or numpy.ndarray
        Shift of the balance point, + aft [mm].

    Raises
    ------
    ValueError
        When the whole has no mass.

    Examples
    --------
    >>> moved_mass_shift_mm(12.0, 0.4, 30.0)
    1.0
    """
    if not np.all(np.asarray(mass_g) > 0):
        raise ValueError(f"mass_g is {mass_g!s}; allowed is more than 0 g")
    return as_given(np.multiply(moved_g, distance_mm) / mass_g)


def ballast_station_mm(
    mass_g: ArrayLike, station_mm: ArrayLike, ballast_g: ArrayLike, wanted_station_mm: ArrayLike
) -> float:
    """Where ballast must sit to bring the balance point to a wanted station.

    Parameters
    ----------
    mass_g : float or array_like
        Mass before the ballast [g].
    station_mm : float or array_like
        Balance point before the ballast [mm].
    ballast_g : float or array_like
        Ballast, more than 0 [g].
    wanted_station_mm : float or array_like
        Wanted balance point [mm].

    Returns
    -------
    float or numpy.ndarray
        Station of the ballast; it may lie off the aeroplane, then it takes more ballast [mm].

    Raises
    ------
    ValueError
        When there is no ballast.
    """
    ballast = np.asarray(ballast_g, dtype=float)
    if not np.all(ballast > 0):
        raise ValueError(f"ballast_g is {ballast_g!s}; allowed is more than 0 g")
    lever = np.subtract(wanted_station_mm, station_mm)
    return as_given(np.add(wanted_station_mm, np.multiply(mass_g, lever) / ballast))


def _downwash(aeroplane: Aeroplane, wing_slope_per_rad: float) -> float:
    """Near-field downwash at the tail, the wing's panels taken at their middle height."""
    frame, tail = aeroplane.build.wing, aeroplane.build.tail
    return wing.near_downwash_slope(
        wing_slope_per_rad,
        frame.aspect_ratio,
        tail_arm_mm(aeroplane) / frame.span_mm,
        (tail.height_mm - _panel_centre_height_mm(frame)) / frame.span_mm,
        min(1.0, tail.span_mm / frame.span_mm),
    )


def lift_slopes(aeroplane: Aeroplane) -> LiftSlopes:
    """Lift slopes of wing and tail by Helmbold, and the downwash where the tail stands.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    LiftSlopes
        For the sections of `section.plate`, covering not counted [1/rad, 1/rad, -].
    """
    frame, tail = aeroplane.build.wing, aeroplane.build.tail
    wing_section, tail_section = (
        section.plate(frame.camber_percent),
        section.plate(tail.camber_percent),
    )
    slope = wing.helmbold_slope(frame.aspect_ratio, wing_section.lift_slope_per_rad)
    return LiftSlopes(
        wing_per_rad=slope,
        tail_per_rad=wing.helmbold_slope(tail.aspect_ratio, tail_section.lift_slope_per_rad),
        downwash=_downwash(aeroplane, slope),
    )


def neutral_point_fraction(
    *,
    tail_volume: ArrayLike,
    wing_slope: ArrayLike,
    tail_slope: ArrayLike,
    downwash_slope: ArrayLike,
    area_ratio: ArrayLike = 0.0,
    body_moment_slope: ArrayLike = 0.0,
    convention: Convention = "wing slope",
) -> float:
    """Neutral point of wing, tail and body as a fraction of the chord, from plain figures.

    x_NP/c = 1/4 - Cm_body/a_w + V_H (a_t/a_w)(1 - de/da): Nelson, Flight Stability and
    Automatic Control, 2nd ed. 1998, eq. 2.36 (number from memory), "over a_w". The exact
    balance of lifts divides by the lift slope of the whole aeroplane, a_w + a_t (S_t/S)(1 -
    de/da), instead: "over CL_alpha"; with arms from quarter chord to quarter chord it lies
    further forward and is the more careful figure.

    Parameters
    ----------
    tail_volume : float or array_like
        Tail area times arm, quarter chord to quarter chord, over wing area times chord [-].
    wing_slope, tail_slope : float or array_like
        Lift slopes of wing and tail, each on its own area [1/rad].
    downwash_slope : float or array_like
        Change of downwash with angle of attack [-].
    area_ratio : float or array_like
        Tail area over wing area; used by "whole slope" only [-].
    body_moment_slope : float or array_like
        Pitching moment slope of the body, + unstable [1/rad].
    convention : {"wing slope", "whole slope"}
        Which lift slope divides the moments [-].

    Returns
    -------
    float or numpy.ndarray
        Neutral point aft of the mean chord's leading edge, over that chord [-].

    Raises
    ------
    ValueError
        When the convention is neither of the two.

    Examples
    --------
    >>> figures = dict(tail_volume=0.975, wing_slope=4.5287, tail_slope=3.9536,
    ...                downwash_slope=0.4805, area_ratio=0.25)
    >>> round(neutral_point_fraction(**figures), 3)
    0.692
    >>> round(neutral_point_fraction(**figures, convention="whole slope"), 3)
    0.647
    """
    felt = np.multiply(tail_slope, np.subtract(1, downwash_slope))
    whole = np.add(wing_slope, np.multiply(felt, area_ratio))
    slopes = {"wing slope": np.asarray(wing_slope), "whole slope": whole}
    if convention not in slopes:
        raise ValueError(f"convention is {convention!r}; allowed is {' or '.join(slopes)}")
    moment = np.subtract(np.multiply(tail_volume, felt), body_moment_slope)
    return as_given(0.25 + moment / slopes[convention])


def tail_arm_mm(aeroplane: Aeroplane, arm: Arm = "quarter chord") -> float:
    """Distance from the wing, or from the centre of gravity, to the tail's quarter chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    arm : {"quarter chord", "cg"}
        Measured from the quarter of the wing's mean chord or from the centre of gravity [-].

    Returns
    -------
    float
        Arm [mm].

    Raises
    ------
    ValueError
        When the arm is neither of the two.
    """
    tail = aeroplane.build.tail
    if arm == "quarter chord":
        start = mean_chord_station_mm(aeroplane) + aeroplane.build.wing.mean_chord_mm / 4
    elif arm == "cg":
        start = aeroplane_cg(aeroplane).station_mm
    else:
        raise ValueError(f'arm is {arm!r}; allowed is "quarter chord" or "cg"')
    return tail.station_mm + tail.chord_mm / 4 - start


def tail_volume(aeroplane: Aeroplane, arm: Arm = "quarter chord") -> float:
    """Tail volume: tail area times arm, over wing area times mean chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    arm : {"quarter chord", "cg"}
        Which arm, see `tail_arm_mm` [-].

    Returns
    -------
    float
        Tail volume; about 1 for these aeroplanes (common practice, no source) [-].
    """
    frame, tail = aeroplane.build.wing, aeroplane.build.tail
    return tail_volume_from_figures(
        tail.area_mm2, tail_arm_mm(aeroplane, arm), frame.area_mm2, frame.mean_chord_mm
    )


def neutral_point_mm(aeroplane: Aeroplane, convention: Convention = "wing slope") -> float:
    """Station of the neutral point: ahead of it the aeroplane must balance.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    convention : {"wing slope", "whole slope"}
        Which lift slope divides the moments, see `neutral_point_fraction` [-].

    Returns
    -------
    float
        Station of the neutral point [mm].
    """
    slopes = lift_slopes(aeroplane)
    fraction = neutral_point_fraction(
        tail_volume=tail_volume(aeroplane),
        wing_slope=slopes.wing_per_rad,
        tail_slope=slopes.tail_per_rad,
        downwash_slope=slopes.downwash,
        area_ratio=aeroplane.build.tail.area_mm2 / aeroplane.build.wing.area_mm2,
        convention=convention,
    )
    return mean_chord_station_mm(aeroplane) + fraction * aeroplane.build.wing.mean_chord_mm


def static_margin(aeroplane: Aeroplane, convention: Convention = "wing slope") -> float:
    """How far the aeroplane balances ahead of its neutral point, over the mean chord.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    convention : {"wing slope", "whole slope"}
        Which neutral point, see `neutral_point_fraction` [-].

    Returns
    -------
    float
        Margin, + stable [-].
    """
    ahead_mm = neutral_point_mm(aeroplane, convention) - aeroplane_cg(aeroplane).station_mm
    return ahead_mm / aeroplane.build.wing.mean_chord_mm


def saddle_shift_from_figures_mm(
    mass_g: ArrayLike,
    station_mm: ArrayLike,
    wing_mass_g: ArrayLike,
    added_mass_g: ArrayLike,
    added_station_mm: ArrayLike,
) -> float:
    """How far the wing must slide after a mass is added, from plain figures.

    The balance point comes back to its old place on the wing. The wing takes its own mass
    along, so it must slide further than the balance point moved: the lever is divided by the
    mass of everything but the wing.

    Parameters
    ----------
    mass_g : float or array_like
        Mass before, wing included [g].
    station_mm : float or array_like
        Balance point before [mm].
    wing_mass_g : float or array_like
        Mass of the wing, more than 0 and less than the whole [g].
    added_mass_g : float or array_like
        Mass added, negative for something taken off [g].
    added_station_mm : float or array_like
        Where it is added [mm].

    Returns
    -------
    float or numpy.ndarray
        Slide of the wing, + forward: take it off the wing's station [mm].

    Raises
    ------
    ValueError
        When the wing weighs nothing or more than the rest can balance.

    Examples
    --------
    >>> round(saddle_shift_from_figures_mm(11.2, 132.1, 3.2, 0.8, -5.0), 1)
    12.5
    """
    rest = np.subtract(np.add(mass_g, added_mass_g), wing_mass_g)
    if not (np.all(np.asarray(wing_mass_g) > 0) and np.all(rest > 0)):
        raise ValueError(
            f"wing_mass_g is {wing_mass_g!s} of {mass_g!s} g; allowed is more than 0 and less than "
            "the whole; are the two swapped?"
        )
    return as_given(np.multiply(added_mass_g, np.subtract(station_mm, added_station_mm)) / rest)


def saddle_shift_mm(aeroplane: Aeroplane, added_mass_g: float, added_station_mm: float) -> float:
    """How far the wing must slide after a mass is added to this aeroplane.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane before the mass was added [-].
    added_mass_g : float
        Mass added, negative for something taken off [g].
    added_station_mm : float
        Where it is added [mm].

    Returns
    -------
    float
        Slide of the wing, + forward: take it off the wing's station [mm].
    """
    whole = aeroplane_cg(aeroplane)
    return saddle_shift_from_figures_mm(
        whole.mass_g,
        whole.station_mm,
        aeroplane.build.wing.mass_g,
        added_mass_g,
        added_station_mm,
    )


def tail_volume_from_figures(
    tail_area: ArrayLike, arm: ArrayLike, wing_area: ArrayLike, chord: ArrayLike
) -> float:
    """Tail volume from plain figures, in any one unit of length.

    Parameters
    ----------
    tail_area, wing_area : float or array_like
        Areas [mm²].
    arm, chord : float or array_like
        Tail arm and wing's mean chord [mm].

    Returns
    -------
    float or numpy.ndarray
        Tail volume [-].

    Raises
    ------
    ValueError
        When the wing has no area or no chord.

    Examples
    --------
    >>> tail_volume_from_figures(15000.0, 390.0, 60000.0, 100.0)
    0.975
    """
    if not (np.all(np.asarray(wing_area) > 0) and np.all(np.asarray(chord) > 0)):
        raise ValueError(f"wing area {wing_area!s} and chord {chord!s}; allowed is more than 0")
    return as_given(np.multiply(tail_area, arm) / np.multiply(wing_area, chord))


def moment_line(
    *,
    cg_fraction: ArrayLike,
    wing_lift_at_zero: ArrayLike,
    wing_slope: ArrayLike,
    wing_moment: ArrayLike,
    tail_volume: ArrayLike,
    tail_slope: ArrayLike,
    decalage_deg: ArrayLike,
    downwash_at_zero_deg: ArrayLike,
    downwash_slope: ArrayLike,
    body_moment: ArrayLike = 0.0,
    body_moment_slope: ArrayLike = 0.0,
) -> MomentLine:
    """Pitching moment about the balance point from plain figures, small angles, no power.

    Cm0 = Cm_ac + CL0 (h - 1/4) + V_H a_t (e0 + i_w - i_t) + Cm_body and
    Cm_alpha = a_w (h - 1/4) - V_H a_t (1 - de/da) + Cm_alpha_body: Nelson, Flight Stability and
    Automatic Control, 2nd ed. 1998, section 2.3 (from memory).

    Parameters
    ----------
    cg_fraction : float or array_like
        Balance point h as a fraction of the mean chord [-].
    wing_lift_at_zero : float or array_like
        Wing's lift coefficient at no angle of attack [-].
    wing_slope, tail_slope : float or array_like
        Lift slopes, each on its own area [1/rad].
    wing_moment : float or array_like
        Wing's moment coefficient about its quarter chord [-].
    tail_volume : float or array_like
        Tail volume with the arm from the balance point [-].
    decalage_deg : float or array_like
        Wing minus tail incidence [deg].
    downwash_at_zero_deg : float or array_like
        Downwash at the tail at no angle of attack [deg].
    downwash_slope : float or array_like
        Change of downwash with angle of attack [-].
    body_moment : float or array_like
        Moment coefficient of the body [-].
    body_moment_slope : float or array_like
        Its slope, + unstable [1/rad].

    Returns
    -------
    MomentLine
        Moment at no angle of attack and slope [-, 1/rad].
    """
    lever = np.subtract(cg_fraction, 0.25)
    tail_power = np.multiply(tail_volume, tail_slope)
    tail_angle = np.radians(np.add(decalage_deg, downwash_at_zero_deg))
    by_wing = np.add(wing_moment, np.multiply(wing_lift_at_zero, lever))
    at_zero = by_wing + tail_power * tail_angle + np.asarray(body_moment)
    felt = tail_power * np.subtract(1, downwash_slope)
    slope = np.multiply(wing_slope, lever) - felt + np.asarray(body_moment_slope)
    return MomentLine(as_given(at_zero), as_given(slope))
