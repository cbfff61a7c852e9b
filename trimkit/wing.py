"""Finite wings: lift slope, roll damping, dihedral, twist, and the downwash behind.

Closed forms where they are good enough, and a small lifting-line solution (a Fourier series
along the span) for straight-tapered wings. All of it is linear: it holds well below the stall.

Sources: J. Katz and A. Plotkin, Low-Speed Aerodynamics, 2nd ed. 2001, section 8.1 (lifting
line) and 2.12 (Biot and Savart); H. B. Helmbold 1942, as quoted there; all from memory.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from trimkit.units import Floats, as_given, checked

LEAST_ASPECT_RATIO, MOST_ASPECT_RATIO = 0.5, 20.0
TERMS = 240  # a multiple of 6: a bend at half span falls between two points
HORSESHOES = 400  # across the span, for the downwash
CORE = 0.01  # of the span: keeps a point on a trailing leg finite; assumed
THIN_AIRFOIL_SLOPE = 2 * math.pi  # 1/rad


@dataclass(frozen=True, slots=True)
class LiftingLine:
    """What a straight-tapered wing does, from lifting-line theory.

    Parameters
    ----------
    lift_slope_per_rad : float
        Lift coefficient for each radian of angle of attack [1/rad].
    roll_damping : float
        Rolling moment coefficient for each unit of p b / 2 V, negative [-].
    dihedral_effect : float
        Rolling moment coefficient for each radian of sideslip and each radian of dihedral,
        negative: slip to the right rolls left [1/rad²].
    """

    lift_slope_per_rad: float
    roll_damping: float
    dihedral_effect: float


def helmbold_slope(aspect_ratio: ArrayLike, section_slope: float = THIN_AIRFOIL_SLOPE) -> float:
    """Lift slope of a straight wing after Helmbold; good down to low aspect ratios.

    Parameters
    ----------
    aspect_ratio : float or array_like
        Span squared over area, 0.5 to 20 [-].
    section_slope : float
        Lift slope of the section [1/rad].

    Returns
    -------
    float or numpy.ndarray
        Lift slope of the wing [1/rad].

    Raises
    ------
    ValueError
        When the aspect ratio is outside its range.

    Examples
    --------
    >>> round(helmbold_slope(6.0), 4)
    4.5287
    """
    ratio = _checked_aspect(aspect_ratio)
    share = section_slope / math.pi
    return as_given(section_slope * ratio / (share + np.sqrt(ratio**2 + share**2)))


def elliptic_slope(aspect_ratio: ArrayLike, section_slope: float = THIN_AIRFOIL_SLOPE) -> float:
    """Lift slope of a wing with elliptic loading, a0 / (1 + a0 / pi AR).

    Parameters
    ----------
    aspect_ratio : float or array_like
        Span squared over area, 0.5 to 20 [-].
    section_slope : float
        Lift slope of the section [1/rad].

    Returns
    -------
    float or numpy.ndarray
        Lift slope of the wing [1/rad].

    Raises
    ------
    ValueError
        When the aspect ratio is outside its range.
    """
    ratio = _checked_aspect(aspect_ratio)
    return as_given(section_slope / (1 + section_slope / (math.pi * ratio)))


@lru_cache(maxsize=64)
def lifting_line(
    aspect_ratio: float, taper: float = 1.0, section_slope: float = THIN_AIRFOIL_SLOPE
) -> LiftingLine:
    """Solve the lifting line of a straight-tapered wing.

    Parameters
    ----------
    aspect_ratio : float
        Span squared over area, 0.5 to 20 [-].
    taper : float
        Tip chord over root chord, more than 0 to 1 [-].
    section_slope : float
        Lift slope of the section [1/rad].

    Returns
    -------
    LiftingLine
        Lift slope, roll damping and dihedral effect [-].

    Raises
    ------
    ValueError
        When aspect ratio or taper is outside its range.

    Examples
    --------
    >>> round(lifting_line(6.0).lift_slope_per_rad, 2)
    4.53
    """
    series = _series(aspect_ratio, taper, section_slope)
    return LiftingLine(
        lift_slope_per_rad=math.pi * aspect_ratio * float(series(np.ones_like)[0]),
        roll_damping=_roll(series, aspect_ratio, lambda place: place),
        dihedral_effect=_roll(series, aspect_ratio, np.sign),
    )


def rolling_moment(
    angle_rad: Callable[[Floats], Floats],
    aspect_ratio: float,
    taper: float = 1.0,
    section_slope: float = THIN_AIRFOIL_SLOPE,
) -> float:
    """Rolling moment of a wing whose local angle is given along the span.

    Parameters
    ----------
    angle_rad : callable
        Takes places along the span, -1 at the left tip to 1 at the right, returns the local
        angle of attack there [rad].
    aspect_ratio : float
        Span squared over area, 0.5 to 20 [-].
    taper : float
        Tip chord over root chord [-].
    section_slope : float
        Lift slope of the section [1/rad].

    Returns
    -------
    float
        Rolling moment coefficient, + rolls right (right tip down) [-].
    """
    return _roll(_series(aspect_ratio, taper, section_slope), aspect_ratio, angle_rad)


def twist_moment(
    left_deg: float, right_deg: float, aspect_ratio: float, taper: float = 1.0
) -> float:
    """Rolling moment of twist that grows evenly from the middle to each tip.

    Parameters
    ----------
    left_deg, right_deg : float
        Wash-in at each tip, + trailing edge down [deg].
    aspect_ratio : float
        Span squared over area, 0.5 to 20 [-].
    taper : float
        Tip chord over root chord [-].

    Returns
    -------
    float
        Rolling moment coefficient, + rolls right: left wash-in does [-].
    """
    left, right = math.radians(left_deg), math.radians(right_deg)
    return rolling_moment(
        lambda place: np.where(place < 0, -place * left, place * right), aspect_ratio, taper
    )


def tip_dihedral_effect(aspect_ratio: float, from_share: float = 0.5, taper: float = 1.0) -> float:
    """Dihedral effect of a wing that is bent up only outside a share of its half span.

    Parameters
    ----------
    aspect_ratio : float
        Span squared over area, 0.5 to 20 [-].
    from_share : float
        Where the bend sits, 0 at the middle and 1 at the tip [-].
    taper : float
        Tip chord over root chord [-].

    Returns
    -------
    float
        Rolling moment coefficient for each radian of sideslip and of bend, negative [1/rad²].

    Raises
    ------
    ValueError
        When the share is outside 0 to 1.
    """
    if not 0 <= from_share <= 1:
        raise ValueError(f"from_share is {from_share:g}; allowed is 0 to 1; is it in percent?")
    return rolling_moment(
        lambda place: np.where(np.abs(place) > from_share, np.sign(place), 0.0),
        aspect_ratio,
        taper,
    )


def downwash_slope(wing_slope_per_rad: ArrayLike, aspect_ratio: ArrayLike) -> float:
    """Change of downwash with angle of attack far behind an elliptic wing, 2 CLa / pi AR.

    Near the wing and below its wake the true figure is lower: see `near_downwash_slope`.

    Parameters
    ----------
    wing_slope_per_rad : float or array_like
        Lift slope of the wing [1/rad].
    aspect_ratio : float or array_like
        Span squared over area, 0.5 to 20 [-].

    Returns
    -------
    float or numpy.ndarray
        Downwash angle for each unit of angle of attack [-].

    Raises
    ------
    ValueError
        When the aspect ratio is outside its range.
    """
    return as_given(2 * np.asarray(wing_slope_per_rad) / (math.pi * _checked_aspect(aspect_ratio)))


def near_downwash_slope(
    wing_slope_per_rad: float,
    aspect_ratio: float,
    arm_over_span: float,
    height_over_span: float = 0.0,
    tail_over_span: float = 0.0,
    taper: float = 1.0,
) -> float:
    """Change of downwash with angle of attack at a tail not far behind a tapered wing.

    Horseshoe vortices with the lifting line's own load, bound part included, and a wake that
    stays flat; averaged over the tail's span. A square-tipped wing sheds more of its wake near
    the tips than an elliptic one, so the middle, where the tail is, feels less downwash.

    Parameters
    ----------
    wing_slope_per_rad : float
        Lift slope of the wing [1/rad].
    aspect_ratio : float
        Span squared over area, 0.5 to 20 [-].
    arm_over_span : float
        Distance behind the wing's quarter chord over the span, 0.1 to 5 [-].
    height_over_span : float
        Distance above or below the wing's middle over the span, -1 to 1 [-].
    tail_over_span : float
        Span of the tail over the span of the wing, 0 to 1 [-].
    taper : float
        Tip chord over root chord of the wing, more than 0 to 1 [-].

    Returns
    -------
    float
        Downwash angle for each unit of angle of attack [-].

    Raises
    ------
    ValueError
        When a figure is outside its range.
    """
    checked("arm_over_span", arm_over_span, 0.1, 5, "is it in mm?")
    checked("height_over_span", height_over_span, -1, 1, "is it in mm?")
    checked("tail_over_span", tail_over_span, 0, 1, "is it in mm?")
    places = np.linspace(-0.5, 0.5, 9) * tail_over_span
    load = _load(aspect_ratio, taper)
    each = [_downwash(load, arm_over_span, place, height_over_span) for place in places]
    far = float(downwash_slope(wing_slope_per_rad, aspect_ratio))
    return far * float(np.mean(each))


def mean_chord(root_chord_mm: float, tip_chord_mm: float, span_mm: float) -> tuple[float, float]:
    """Mean aerodynamic chord of a straight taper, and where it lies.

    Parameters
    ----------
    root_chord_mm, tip_chord_mm : float
        Chords [mm].
    span_mm : float
        Span [mm].

    Returns
    -------
    (float, float)
        The chord, and its distance from the middle of the wing [mm].

    Raises
    ------
    ValueError
        When a length is not more than 0.

    Examples
    --------
    >>> chord, place = mean_chord(120.0, 60.0, 600.0)
    >>> round(chord, 4), round(place, 4)
    (93.3333, 133.3333)
    """
    if not min(root_chord_mm, tip_chord_mm, span_mm) > 0:
        raise ValueError(
            f"root {root_chord_mm:g}, tip {tip_chord_mm:g}, span {span_mm:g} mm; "
            "allowed is more than 0 mm for each"
        )
    taper = tip_chord_mm / root_chord_mm
    chord = 2 / 3 * root_chord_mm * (1 + taper + taper**2) / (1 + taper)
    return chord, span_mm / 6 * (1 + 2 * taper) / (1 + taper)


def _checked_aspect(aspect_ratio: ArrayLike) -> Floats:
    slip = "it is span over mean chord, both in mm"
    return checked("aspect_ratio", aspect_ratio, LEAST_ASPECT_RATIO, MOST_ASPECT_RATIO, slip)


def _series(
    aspect_ratio: float, taper: float, section_slope: float
) -> Callable[[Callable[[Floats], Floats]], Floats]:
    """Factor the lifting-line equations once; solve them for any twist along the span.

    Circulation 2 b V sum A_n sin n t at the place -cos t; each row is
    sum A_n sin n t (n m + sin t) = m a sin t, with m = a0 c / 4 b.
    """
    _checked_aspect(aspect_ratio)
    checked("taper", taper, 0.01, 1, "it is tip chord over root chord")
    angle = (np.arange(TERMS) + 0.5) * math.pi / TERMS
    place, sine = -np.cos(angle), np.sin(angle)
    chord = 2 / (aspect_ratio * (1 + taper)) * (1 - (1 - taper) * np.abs(place))  # over span
    share = section_slope * chord / 4
    order = np.arange(1, TERMS + 1)
    rows = np.sin(np.outer(angle, order)) * (np.outer(share, order) + sine[:, None])

    def solve(twist: Callable[[Floats], Floats]) -> Floats:
        return np.linalg.solve(rows, share * sine * twist(place))

    return solve


def _roll(
    series: Callable[[Callable[[Floats], Floats]], Floats],
    aspect_ratio: float,
    angle_rad: Callable[[Floats], Floats],
) -> float:
    """Rolling moment, + right tip down: more angle on the right gives less than nothing."""
    return math.pi * aspect_ratio / 4 * float(series(angle_rad)[1])


@lru_cache(maxsize=64)
def _load(aspect_ratio: float, taper: float) -> Floats:
    """Circulation of each horseshoe; an elliptic wing of the same lift has 1 in the middle."""
    share = _series(aspect_ratio, taper, THIN_AIRFOIL_SLOPE)(np.ones_like)
    angle = (np.arange(HORSESHOES) + 0.5) * math.pi / HORSESHOES
    order = np.arange(1, TERMS + 1)
    return np.asarray(np.sin(np.outer(angle, order)) @ (share / share[0]))


def _downwash(strength: Floats, behind: float, aside: float, above: float) -> float:
    """Downwash at one point over that far behind an elliptic wing; lengths over span."""
    edges = -0.5 * np.cos(np.linspace(0, math.pi, HORSESHOES + 1))
    left, right = edges[:-1] - aside, edges[1:] - aside
    legs = strength * (_leg(right, behind, above) - _leg(left, behind, above))
    bound = strength * (_reach(right, behind, above) - _reach(left, behind, above))
    nearness = behind / (behind**2 + above**2)
    return float(np.sum(legs) + nearness * np.sum(bound)) / (4 * math.pi)


def _leg(aside: Floats, behind: float, above: float) -> Floats:
    square = aside**2 + above**2 + CORE**2
    return np.asarray(aside / square * (1 + behind / np.sqrt(behind**2 + square)))


def _reach(aside: Floats, behind: float, above: float) -> Floats:
    return np.asarray(aside / np.sqrt(aside**2 + above**2 + behind**2))
