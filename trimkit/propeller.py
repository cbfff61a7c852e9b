"""The propeller: its shape, its pitch, and what it gives at each advance ratio.

Advance ratio J = V/(n D). Thrust coefficient CT = T/(ρ n² D⁴), torque coefficient
CQ = Q/(ρ n² D⁵), power coefficient CP = P/(ρ n³ D⁵) = 2π CQ, efficiency = J CT/CP.

The theory is blade element and momentum with Prandtl's tip loss and swirl. Each ring of the
disc is solved for the angle at which the air meets the blade there. Write W for the air's
speed at the blade, φ for that angle, σ = B c/(2πr), and cn, ct for the force coefficients along
the shaft and around it. Momentum then gives v/W = σ cn/(4F|sin φ|) for the induced speed along
the shaft and the same with ct for the swirl, and

    V (|sin φ| cos φ + σ ct/4F) = Ωr (sin φ |sin φ| - σ cn/4F)

has its root between 0 and about 90° at every V and every Ω: nothing is divided by
V or by Ω. Form of the equation: S. A. Ning, Wind Energy 17 (2014) 1327, from memory, multiplied
out so that it also holds for a propeller that stands still. Tip loss: Prandtl in A. Betz,
Nachrichten der Gesellschaft der Wissenschaften zu Göttingen (1919), from memory.

What is left out: slanting inflow, a wake that needs time, blades that bend, the hub, and the
effect of Reynolds number on the section.

Types are written for single numbers. Arrays are welcome too: arrays in, arrays out.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trimkit.air import ROOM
from trimkit.units import Floats, as_given, check_ranges, checked, quantity

BLADES = 2
ELEMENTS = 24  # rings of the disc; eight times as many change CT and CQ by .2 %
HIGHEST_ADVANCE_RATIO = 5.0  # assumed: beyond it the blades nearly stand still
HIGHEST_REVS_PER_SECOND = 150.0  # assumed: rubber turns a propeller at 2 to 20
HIGHEST_SPEED_M_S = 30.0  # assumed: ten times as fast as an indoor aeroplane
HIGHEST_DENSITY_KG_M3 = 2.0  # assumed: denser than any air one can breathe
HIGHEST_TORQUE_MNM = 500.0  # assumed: fifty times the torque of a large indoor motor
HIGHEST_THRUST_N = 20.0  # assumed: far above the weight of an indoor aeroplane
LARGEST_LENGTH_MM = 5000.0  # assumed: pitches and diameters of anything that flies indoors
LONGEST_BLADE_MM, SHORTEST_BLADE_MM = 500.0, 1.0  # assumed
LOWEST_ANGLE_DEG, HIGHEST_ANGLE_DEG = 1.0, 89.0  # blade angles for which the root is bracketed
THINNEST_CHORD, WIDEST_CHORD = 0.002, 0.8  # assumed, over the tip radius
HUB_LOW, HUB_HIGH = 0.03, 0.7  # assumed: where on the radius the measured blade may begin
FEWEST_STATIONS, MOST_STATIONS = (
    2,
    40,
)  # assumed: more than anybody measures on a blade
LOWEST_PITCH_RATIO, HIGHEST_PITCH_RATIO = 0.2, 4.0  # assumed; 1.2 to 2.2 is common practice
FEWEST_POINTS, MOST_POINTS = 2, 1000  # assumed: rows of a table

# A blade of common indoor shape: widest at 60 % of the radius. Assumed.
SHAPE_RADII = (0.15, 0.25, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 0.96, 1.0)
SHAPE_CHORDS = (0.35, 0.60, 0.87, 0.96, 1.00, 0.97, 0.87, 0.68, 0.48, 0.15)
SHAPE_WIDEST = 0.30  # widest chord over the tip radius; assumed

# A bare plate set across the wind: cn = 1.9 sin a / (.56 + .44 |sin a|), from S. F. Hoerner,
# Fluid-Dynamic Lift, 1975, from memory.
PLATE_NORMAL, PLATE_EVEN, PLATE_SINE = 1.9, 0.56, 0.44

SEARCH_DEG = 100.0  # a root lies between 0 and this; beyond 90 only at a very steep root
SEARCH_STEPS = 51  # 2° apart
TIGHT = 1e-13  # a root is good when the equation is met to this share of its start
MOST_STEPS = 60
LEAST_SINE = 1e-9


def _density(density_kg_m3: ArrayLike) -> Floats:
    slip = "is it in g/cm³, or a vacuum?"
    return checked("density_kg_m3", density_kg_m3, 0.01, HIGHEST_DENSITY_KG_M3, slip)


def _speed(speed_m_s: ArrayLike) -> Floats:
    return checked("speed_m_s", speed_m_s, 0, HIGHEST_SPEED_M_S, "is it in km/h or ft/s?")


def pitch_mm(radius_mm: ArrayLike, blade_angle_deg: ArrayLike) -> float:
    """Pitch from the angle of a blade: p = 2 pi r tan(beta), one turn of a screw.

    Parameters
    ----------
    radius_mm : float or array_like
        Where the angle was measured, from the middle of the shaft, 1 to 500 [mm].
    blade_angle_deg : float or array_like
        Angle of the blade against the plane of turning, 0 to 89 [deg].

    Returns
    -------
    float or numpy.ndarray
        Pitch [mm].

    Raises
    ------
    ValueError
        When radius or angle is outside its range.

    Examples
    --------
    >>> round(pitch_mm(90.0, 36.3))
    415
    """
    radius = _radius_mm(radius_mm)
    slip = "was it measured from the shaft instead?"
    angle = checked("blade_angle_deg", blade_angle_deg, 0, HIGHEST_ANGLE_DEG, slip)
    return as_given(2 * np.pi * radius * np.tan(np.radians(angle)))


def blade_angle_deg(radius_mm: ArrayLike, pitch_mm: ArrayLike) -> float:
    """Angle that a blade needs at a radius for a wanted pitch: tan(beta) = p/(2 pi r).

    Parameters
    ----------
    radius_mm : float or array_like
        Where, from the middle of the shaft, 1 to 500 [mm].
    pitch_mm : float or array_like
        Wanted pitch, 0 to 5000 [mm].

    Returns
    -------
    float or numpy.ndarray
        Angle against the plane of turning [deg].

    Raises
    ------
    ValueError
        When radius or pitch is outside its range.

    Examples
    --------
    >>> round(blade_angle_deg(90.0, 415.2), 1)
    36.3
    """
    radius = _radius_mm(radius_mm)
    pitch = checked("pitch_mm", pitch_mm, 0, LARGEST_LENGTH_MM, "is it in another unit?")
    return as_given(np.degrees(np.arctan2(pitch, 2 * np.pi * radius)))


def _radius_mm(radius_mm: ArrayLike) -> Floats:
    slip = "is it in inches, or a ratio?"
    return checked("radius_mm", radius_mm, SHORTEST_BLADE_MM, LONGEST_BLADE_MM, slip)


def induced_velocity_m_s(
    thrust_N: ArrayLike,
    speed_m_s: ArrayLike,
    diameter_mm: ArrayLike,
    density_kg_m3: ArrayLike = ROOM.density_kg_m3,
) -> float:
    """Speed that an ideal disc adds to the air: v = (sqrt(V² + 2T/(rho A)) - V)/2.

    Rankine and Froude's momentum theory of a disc that neither slips nor swirls, from memory.

    Parameters
    ----------
    thrust_N : float or array_like
        Thrust, 0 to 20 [N].
    speed_m_s : float or array_like
        Flight speed, 0 to 30 [m/s].
    diameter_mm : float or array_like
        Diameter of the disc, 1 to 5000 [mm].
    density_kg_m3 : float or array_like
        Air density, 0.01 to 2 [kg/m³].

    Returns
    -------
    float or numpy.ndarray
        Induced speed at the disc; far behind it is twice that [m/s].

    Raises
    ------
    ValueError
        When a figure is outside its range.

    Examples
    --------
    >>> round(induced_velocity_m_s(0.05, 3.0, 150.0, 1.225), 3)
    0.345
    """
    slip = "is it in mN or g?"
    thrust = checked("thrust_N", thrust_N, 0, HIGHEST_THRUST_N, slip)
    speed = _speed(speed_m_s)
    slip = "is it in inches or m?"
    diameter = checked("diameter_mm", diameter_mm, 1, LARGEST_LENGTH_MM, slip) / 1000
    loading = 2 * thrust / (_density(density_kg_m3) * np.pi * diameter**2 / 4)
    return as_given((np.sqrt(speed**2 + loading) - speed) / 2)


def ideal_power_W(
    thrust_N: ArrayLike,
    speed_m_s: ArrayLike,
    diameter_mm: ArrayLike,
    density_kg_m3: ArrayLike = ROOM.density_kg_m3,
) -> float:
    """Least power for a thrust: P = T (V + v). No propeller of that diameter needs less.

    Parameters
    ----------
    thrust_N : float or array_like
        Thrust, 0 to 20 [N].
    speed_m_s : float or array_like
        Flight speed, 0 to 30 [m/s].
    diameter_mm : float or array_like
        Diameter of the disc, 1 to 5000 [mm].
    density_kg_m3 : float or array_like
        Air density, 0.01 to 2 [kg/m³].

    Returns
    -------
    float or numpy.ndarray
        Power [W].

    Raises
    ------
    ValueError
        When a figure is outside its range.

    Examples
    --------
    >>> round(ideal_power_W(0.05, 3.0, 150.0, 1.225), 3)
    0.167
    """
    induced = induced_velocity_m_s(thrust_N, speed_m_s, diameter_mm, density_kg_m3)
    return as_given(np.asarray(thrust_N) * (np.asarray(speed_m_s) + induced))


def ideal_efficiency(thrust_coefficient: ArrayLike, advance_ratio: ArrayLike) -> float:
    """Best efficiency that momentum allows: 2/(1 + sqrt(1 + 8 CT/(pi J²))).

    Parameters
    ----------
    thrust_coefficient : float or array_like
        CT = T/(rho n² D⁴), 0 or more [-].
    advance_ratio : float or array_like
        J = V/(n D), 0 to 5; at 0 the answer is 0 [-].

    Returns
    -------
    float or numpy.ndarray
        Efficiency, 1 for no thrust at all [-].

    Raises
    ------
    ValueError
        When a figure is outside its range.

    Examples
    --------
    >>> round(ideal_efficiency(0.1, 1.0), 3)
    0.943
    """
    slip = "with negative thrust there is no efficiency"
    thrust = checked("thrust_coefficient", thrust_coefficient, 0, 10, slip)
    advance = _advance(advance_ratio)
    added = np.sqrt(advance**2 + 8 * thrust / np.pi) + advance
    return as_given(np.where(thrust > 0, 2 * advance / np.where(added > 0, added, 1), 1.0))


def _advance(advance_ratio: ArrayLike) -> Floats:
    slip = "is it V/(n D) with n in rev/s and D in m?"
    return checked("advance_ratio", advance_ratio, 0, HIGHEST_ADVANCE_RATIO, slip)


@dataclass(frozen=True, slots=True)
class Coefficients:
    """What a propeller gives and takes, without units.

    Parameters
    ----------
    thrust : float or numpy.ndarray
        CT = T/(rho n² D⁴) [-].
    torque : float or numpy.ndarray
        CQ = Q/(rho n² D⁵) at the shaft, + when the shaft drives the propeller [-].
    power : float or numpy.ndarray
        CP = 2 pi CQ [-].
    efficiency : float or numpy.ndarray
        J CT/CP where thrust and power are both positive, else 0 [-].
    """

    thrust: float
    torque: float
    power: float
    efficiency: float


@dataclass(frozen=True, slots=True)
class PropellerTable:
    """A propeller's curves, one row for each advance ratio.

    Parameters
    ----------
    advance_ratio : numpy.ndarray
        J = V/(n D), rising [-].
    thrust, torque, power : numpy.ndarray
        CT, CQ and CP at each J [-].
    efficiency : numpy.ndarray
        J CT/CP where thrust and power are both positive, else 0 [-].
    """

    advance_ratio: Floats
    thrust: Floats
    torque: Floats
    power: Floats
    efficiency: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Propeller:
    """A propeller with two blades.

    Parameters
    ----------
    diameter_mm : float
        Diameter [mm].
    radius_ratios : tuple of float
        Where the blade was measured, over the tip radius; rising, and the last is 1 [-].
    chord_ratios : tuple of float
        Width of the blade there, over the tip radius [-].
    blade_angles_deg : tuple of float
        Angle of the chord line there against the plane of turning [deg].
    second_blade_deg : float
        Extra angle of the second blade, 0 for an equal pair [deg].
    mass_g : float
        Mass of the whole propeller with its shaft [g].
    station_mm : float
        Station of its balance point, ahead of the bearing is negative [mm].
    hand : str
        "right" turns clockwise seen from behind, "left" the other way [-].
    lift_slope_per_rad : float
        Lift slope of the blade's section; assumed, as the wing's plate [1/rad].
    zero_lift_deg : float
        Angle of no lift of the section; assumed, as the wing's plate [deg].
    stall_deg, negative_stall_deg : float
        Angles at which half the section's lift is lost; assumed, as the wing's plate [deg].
    stall_width_deg : float
        How gradual the stall is; assumed, as the wing's plate [deg].
    least_drag : float
        Least drag coefficient of the section. The default .187 is a calibration and no
        measurement: a 12 g trainer in flight needed .14 to .19 to climb no better than common
        practice says. A thin plate alone has .02 to .05, so the default also stands for losses
        that the theory leaves out [-].
    drag_rise : float
        Drag added for each square of lift away from `least_drag_lift`; assumed [-].
    least_drag_lift : float
        Lift coefficient of least drag; assumed [-].
    """

    diameter_mm: float = quantity("mm", 80, 500, "Diameter of the propeller")
    radius_ratios: tuple[float, ...]
    chord_ratios: tuple[float, ...]
    blade_angles_deg: tuple[float, ...]
    second_blade_deg: float = quantity("°", -15, 15, "Extra angle of the second blade", 0.0)
    mass_g: float = quantity("g", 0.05, 15, "Mass of the propeller with its shaft")
    station_mm: float = quantity("mm", -60, 60, "Station of the propeller's balance point", -5.0)
    hand: Literal["right", "left"] = "right"
    lift_slope_per_rad: float = quantity("1/rad", 3, 6.3, "Lift slope of the blade section", 5.0)
    zero_lift_deg: float = quantity("°", -8, 0, "Angle of no lift of the blade section", -4.5)
    stall_deg: float = quantity("°", 5, 20, "Angle at which the blade section stalls", 12.5)
    negative_stall_deg: float = quantity("°", -20, -1, "The same, nose down", -7.0)
    stall_width_deg: float = quantity("°", 0.5, 6, "How gradual the stall is", 2.0)
    least_drag: float = quantity("", 0.005, 0.4, "Least drag coefficient of the section", 0.187)
    drag_rise: float = quantity("", 0, 0.3, "Drag added for each square of lift", 0.09)
    least_drag_lift: float = quantity("", -0.5, 1, "Lift coefficient of least drag", 0.4)

    def __post_init__(self) -> None:
        check_ranges(self)
        self._check_hand()
        self._check_stations()
        self._check_blade("chord_ratios", self.chord_ratios, THINNEST_CHORD, WIDEST_CHORD)
        for extra in sorted({0.0, self.second_blade_deg}):
            name = f"blade_angles_deg + {extra:g}" if extra else "blade_angles_deg"
            angles = tuple(angle + extra for angle in self.blade_angles_deg)
            self._check_blade(name, angles, LOWEST_ANGLE_DEG, HIGHEST_ANGLE_DEG)

    def _check_hand(self) -> None:
        if self.hand not in ("right", "left"):
            raise ValueError(
                f'Propeller: hand is {self.hand!r}; allowed is "right" (clockwise seen from '
                'behind) or "left"'
            )

    def _check_stations(self) -> None:
        radii = self.radius_ratios
        counts = {len(radii), len(self.chord_ratios), len(self.blade_angles_deg)}
        if len(counts) > 1 or not FEWEST_STATIONS <= len(radii) <= MOST_STATIONS:
            raise ValueError(
                f"Propeller: {len(radii)} radius_ratios, {len(self.chord_ratios)} chord_ratios and "
                f"{len(self.blade_angles_deg)} blade_angles_deg; allowed is the same number of "
                f"each, {FEWEST_STATIONS} to {MOST_STATIONS}"
            )
        rising = all(a < b for a, b in itertools.pairwise(radii))
        if not (rising and HUB_LOW <= radii[0] <= HUB_HIGH and radii[-1] == 1):
            raise ValueError(
                f"Propeller: radius_ratios are {radii}; allowed is rising from {HUB_LOW:g} to "
                f"{HUB_HIGH:g} at the first to 1 at the last; are they in mm?"
            )

    def _check_blade(self, name: str, values: tuple[float, ...], low: float, high: float) -> None:
        bad = [value for value in values if not low <= value <= high]  # also catches NaN
        if bad:
            raise ValueError(
                f"Propeller: {name} holds {', '.join(f'{value:g}' for value in bad)}; allowed is "
                f"{low:g} to {high:g}; is it in mm, or an angle from the shaft?"
            )

    @classmethod
    def helical(
        cls,
        *,
        diameter_mm: float,
        pitch_mm: float,
        mass_g: float,
        chord_ratio: float = SHAPE_WIDEST,
        second_blade_deg: float = 0.0,
        station_mm: float = -5.0,
        hand: Literal["right", "left"] = "right",
        **section: float,
    ) -> Propeller:
        """Make a propeller whose blade has the same pitch from root to tip.

        Parameters
        ----------
        diameter_mm : float
            Diameter, 80 to 500 [mm].
        pitch_mm : float
            Pitch, 0.2 to 4 times the diameter [mm].
        mass_g : float
            Mass of the whole propeller with its shaft [g].
        chord_ratio : float
            Widest chord over the tip radius [-].
        second_blade_deg : float
            Extra angle of the second blade [deg].
        station_mm : float
            Station of its balance point [mm].
        hand : str
            "right" or "left" [-].
        **section : float
            Constants of the blade section by their field names [in the unit of each name].

        Returns
        -------
        Propeller
            Blade of the common indoor shape [-].

        Raises
        ------
        ValueError
            When a figure is outside its range.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> round(wood.pitch_mm)
        415
        """
        slip = "is it in inches, or a ratio?"
        low, high = LOWEST_PITCH_RATIO * diameter_mm, HIGHEST_PITCH_RATIO * diameter_mm
        pitch = float(checked("pitch_mm", pitch_mm, low, high, slip))
        angles = [
            math.degrees(math.atan2(pitch, math.pi * ratio * diameter_mm)) for ratio in SHAPE_RADII
        ]
        return cls(
            diameter_mm=diameter_mm,
            radius_ratios=SHAPE_RADII,
            chord_ratios=tuple(chord_ratio * share for share in SHAPE_CHORDS),
            blade_angles_deg=tuple(angles),
            second_blade_deg=second_blade_deg,
            mass_g=mass_g,
            station_mm=station_mm,
            hand=hand,
            **section,
        )

    @property
    def pitch_mm(self) -> float:
        """Pitch at three quarters of the radius, the pair averaged [mm]."""
        pair = [self._advance_per_radian(extra, np.array(0.75)) for extra in self._extras_deg]
        return float(np.mean(pair)) * math.pi * self.diameter_mm

    @property
    def pitch_ratio(self) -> float:
        """Pitch over diameter, P/D [-]."""
        return self.pitch_mm / self.diameter_mm

    @property
    def shaft_reaction_sign(self) -> int:
        """Which way the turning propeller rolls the aeroplane: -1 left wing down, +1 right [-].

        A right-hand propeller turns clockwise seen from behind, so it pushes the left wing down.
        """
        return -1 if self.hand == "right" else 1

    @property
    def _extras_deg(self) -> tuple[float, ...]:
        return (0.0, self.second_blade_deg) if self.second_blade_deg else (0.0,)

    def _advance_per_radian(self, extra_deg: float, ratio: Floats) -> Floats:
        """r tan(beta) over R; a straight line between the stations, so a screw stays a screw."""
        slopes = np.tan(np.radians(np.asarray(self.blade_angles_deg) + extra_deg))
        rise = np.asarray(self.radius_ratios) * slopes
        return np.asarray(np.interp(ratio, self.radius_ratios, rise))

    def coefficients(self, advance_ratio: ArrayLike) -> Coefficients:
        """Thrust, torque, power and efficiency at an advance ratio.

        Valid from standing still (J = 0) through the J of no thrust into windmilling. Well beyond
        that J, where the blades brake the air to half its speed, momentum theory fails and the
        figures are rough. Efficiency is always under the limit of `ideal_efficiency`: each ring
        obeys it, and drag, swirl, tip loss and uneven thrust only take away.

        Parameters
        ----------
        advance_ratio : float or array_like
            J = V/(n D), 0 to 5 [-].

        Returns
        -------
        Coefficients
            Scalars for a scalar, arrays for an array [-].

        Raises
        ------
        ValueError
            When the advance ratio is outside its range.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> wood.coefficients(0.0).efficiency
        0.0
        >>> wood.coefficients([0.6, 1.2]).thrust.shape
        (2,)
        """
        advance = _advance(advance_ratio)
        thrust, torque = self._loads(advance, np.ones_like(advance))
        power = 2 * np.pi * torque
        driving = (thrust > 0) & (power > 0)
        efficiency = np.where(driving, advance * thrust / np.where(driving, power, 1), 0.0)
        return Coefficients(*(as_given(found) for found in (thrust, torque, power, efficiency)))

    def thrust_N(
        self,
        speed_m_s: ArrayLike,
        revs_per_second: ArrayLike,
        density_kg_m3: ArrayLike = ROOM.density_kg_m3,
    ) -> float:
        """Thrust at a flight speed and a speed of turning.

        Parameters
        ----------
        speed_m_s : float or array_like
            Flight speed along the shaft, 0 to 30 [m/s].
        revs_per_second : float or array_like
            Turns of the propeller each second, 0 (stopped) to 150 [1/s].
        density_kg_m3 : float or array_like
            Air density, 0.01 to 2 [kg/m³].

        Returns
        -------
        float or numpy.ndarray
            Thrust, negative when the propeller brakes [N].

        Raises
        ------
        ValueError
            When a figure is outside its range.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> wood.thrust_N(2.0, 0.0) < 0 < wood.thrust_N(2.0, 10.0)
        True
        """
        speed, revs, density = self._flow(speed_m_s, revs_per_second, density_kg_m3)
        diameter_m = self.diameter_mm / 1000
        thrust, _ = self._loads(speed, revs * diameter_m)
        return as_given(density * diameter_m**2 * thrust)

    def torque_mNm(
        self,
        speed_m_s: ArrayLike,
        revs_per_second: ArrayLike,
        density_kg_m3: ArrayLike = ROOM.density_kg_m3,
    ) -> float:
        """Torque that the shaft must give at a flight speed and a speed of turning.

        Parameters
        ----------
        speed_m_s : float or array_like
            Flight speed along the shaft, 0 to 30 [m/s].
        revs_per_second : float or array_like
            Turns of the propeller each second, 0 (stopped) to 150 [1/s].
        density_kg_m3 : float or array_like
            Air density, 0.01 to 2 [kg/m³].

        Returns
        -------
        float or numpy.ndarray
            Torque, + when the shaft drives the propeller, for either hand [mN m].

        Raises
        ------
        ValueError
            When a figure is outside its range.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> wood.torque_mNm(2.0, 0.0) < 0 < wood.torque_mNm(2.0, 10.0)
        True
        """
        speed, revs, density = self._flow(speed_m_s, revs_per_second, density_kg_m3)
        diameter_m = self.diameter_mm / 1000
        _, torque = self._loads(speed, revs * diameter_m)
        return as_given(1000 * density * diameter_m**3 * torque)

    def reaction_mNm(self, torque_mNm: ArrayLike) -> float:
        """Rolling moment on the aeroplane from the torque at the shaft.

        Parameters
        ----------
        torque_mNm : float or array_like
            Torque at the shaft, -500 to 500 [mN m].

        Returns
        -------
        float or numpy.ndarray
            Rolling moment, + right wing down [mN m].

        Raises
        ------
        ValueError
            When the torque is outside its range.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> wood.reaction_mNm(2.5)
        -2.5
        """
        slip = "is it in N m?"
        torque = checked("torque_mNm", torque_mNm, -HIGHEST_TORQUE_MNM, HIGHEST_TORQUE_MNM, slip)
        return as_given(self.shaft_reaction_sign * torque)

    def revs_per_second(
        self,
        torque_mNm: ArrayLike,
        speed_m_s: ArrayLike,
        density_kg_m3: ArrayLike = ROOM.density_kg_m3,
    ) -> float:
        """Speed of turning at which the propeller takes up the torque at its shaft.

        Parameters
        ----------
        torque_mNm : float or array_like
            Torque at the shaft, 0 (freewheeling) to 500 [mN m].
        speed_m_s : float or array_like
            Flight speed along the shaft, 0 to 30 [m/s].
        density_kg_m3 : float or array_like
            Air density, 0.01 to 2 [kg/m³].

        Returns
        -------
        float or numpy.ndarray
            Turns of the propeller each second; the slowest if several would do [1/s].

        Raises
        ------
        ValueError
            When a figure is outside its range, or it would take more than 150 turns a second.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> revs = wood.revs_per_second(2.5, 2.2)
        >>> round(wood.torque_mNm(2.2, revs), 6)
        2.5
        """
        slip = "is it in N m? 1 N m is 1000 mN m"
        torque = checked("torque_mNm", torque_mNm, 0, HIGHEST_TORQUE_MNM, slip)
        scale = 1000 * _density(density_kg_m3) * (self.diameter_mm / 1000) ** 3
        return self._revs_for(1, "torque_mNm", torque, torque / scale, speed_m_s)

    def revs_per_second_for_thrust(
        self,
        thrust_N: ArrayLike,
        speed_m_s: ArrayLike,
        density_kg_m3: ArrayLike = ROOM.density_kg_m3,
    ) -> float:
        """Speed of turning at which the propeller gives a wanted thrust.

        Parameters
        ----------
        thrust_N : float or array_like
            Wanted thrust, 0 to 20 [N].
        speed_m_s : float or array_like
            Flight speed along the shaft, 0 to 30 [m/s].
        density_kg_m3 : float or array_like
            Air density, 0.01 to 2 [kg/m³].

        Returns
        -------
        float or numpy.ndarray
            Turns of the propeller each second; the slowest if several would do [1/s].

        Raises
        ------
        ValueError
            When a figure is outside its range, or it would take more than 150 turns a second.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> revs = wood.revs_per_second_for_thrust(0.02, 2.2)
        >>> round(wood.thrust_N(2.2, revs), 6)
        0.02
        """
        slip = "is it in mN or g?"
        thrust = checked("thrust_N", thrust_N, 0, HIGHEST_THRUST_N, slip)
        scale = _density(density_kg_m3) * (self.diameter_mm / 1000) ** 2
        return self._revs_for(0, "thrust_N", thrust, thrust / scale, speed_m_s)

    def zero_thrust_advance_ratio(self) -> float:
        """Advance ratio at which the thrust vanishes: faster flight makes the propeller a brake.

        Returns
        -------
        float
            J, the first one met from standing still [-].

        Raises
        ------
        ValueError
            When there is none up to 5, because the blades are too steep.

        Examples
        --------
        >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
        >>> abs(wood.coefficients(wood.zero_thrust_advance_ratio()).thrust) < 1e-9
        True
        """

        def braking(advance: Floats) -> Floats:
            return -self._loads(advance, np.ones_like(advance))[0]

        found = _first_root(braking, np.linspace(0, HIGHEST_ADVANCE_RATIO, 41))
        if np.isnan(found):
            raise ValueError(
                f"the thrust does not vanish between J = 0 and {HIGHEST_ADVANCE_RATIO:g}; were "
                "the blade angles measured from the shaft?"
            )
        return float(found)

    def _flow(self, *given: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Checked speed, revs and density, all of one shape."""
        slip = "is it in turns a minute?"
        speed, density = _speed(given[0]), _density(given[2])
        revs = checked("revs_per_second", given[1], 0, HIGHEST_REVS_PER_SECOND, slip)
        speed, revs, density = np.broadcast_arrays(speed, revs, density)
        return speed, revs, density

    def _revs_for(
        self, which: int, name: str, asked: Floats, wanted: Floats, speed_m_s: ArrayLike
    ) -> float:
        """Revs at which load `which` of `_loads` is as wanted, at each speed."""
        wanted, speed = np.broadcast_arrays(wanted, _speed(speed_m_s))

        def spare(revs: Floats) -> Floats:
            turning = revs * self.diameter_mm / 1000
            return self._loads(np.broadcast_to(speed, revs.shape), turning)[which] - wanted

        grid = HIGHEST_REVS_PER_SECOND * np.linspace(0, 1, 31) ** 2
        found = _first_root(spare, grid.reshape(-1, *[1] * speed.ndim) + np.zeros(speed.shape))
        if np.any(np.isnan(found)):
            raise ValueError(
                f"{name} {asked} at speed_m_s {speed} takes more than "
                f"{HIGHEST_REVS_PER_SECOND:g} turns a second; is a unit wrong?"
            )
        return as_given(found)

    def _loads(self, axial: Floats, turning: Floats) -> tuple[Floats, Floats]:
        """T/(rho D²) and Q/(rho D³), the pair averaged, at speed `axial` and n D `turning`."""
        pair = [self._blade_loads(extra, axial, turning) for extra in self._extras_deg]
        thrust, torque = np.mean(pair, axis=0)
        return thrust, torque

    def _blade_loads(self, extra_deg: float, axial: Floats, turning: Floats) -> Floats:
        """The two loads when both blades stand like this one."""
        rings, size = self._rings(extra_deg), np.hypot(axial, turning)
        scale = np.where(size > 0, size, 1.0)
        ahead, around = (axial / scale)[..., None], np.pi * rings.ratio
        around = around * (turning / scale)[..., None]
        flow = rings.flow(rings.inflow(ahead, around))
        air = flow.ahead * ahead + flow.around * around
        speed = air / (flow.ahead**2 + flow.around**2)
        width = BLADES * rings.chord * rings.step * speed**2
        thrust = np.sum(width * flow.normal, axis=-1) / 8
        torque = np.sum(width * flow.tangential * rings.ratio, axis=-1) / 16
        return np.asarray(np.stack([thrust, torque]) * size**2)

    def _rings(self, extra_deg: float) -> _Rings:
        hub = self.radius_ratios[0]
        step = (1 - hub) / ELEMENTS
        ratio: Floats = hub + step * (np.arange(ELEMENTS, dtype=np.float64) + 0.5)
        return _Rings(
            propeller=self,
            step=step,
            ratio=ratio,
            chord=np.interp(ratio, self.radius_ratios, self.chord_ratios),
            angle=np.arctan2(self._advance_per_radian(extra_deg, ratio), ratio),
        )


@dataclass(frozen=True, slots=True)
class _Flow:
    """At an inflow angle: force coefficients, and the air before and around over W."""

    normal: Floats
    tangential: Floats
    ahead: Floats  # V/W
    around: Floats  # Ωr/W


@dataclass(frozen=True, slots=True)
class _Rings:
    """The rings of the disc for one blade angle; angles in radians, lengths over R."""

    propeller: Propeller
    step: float
    ratio: Floats
    chord: Floats
    angle: Floats

    def flow(self, inflow: Floats) -> _Flow:
        """Everything that follows from the angle at which the air meets the blade."""
        sine, cosine = np.sin(inflow), np.cos(inflow)
        steep = np.maximum(np.abs(sine), LEAST_SINE)
        lift, drag = _section(self.propeller, self.angle - inflow)
        normal, tangential = lift * cosine - drag * sine, lift * sine + drag * cosine
        loss = np.arccos(np.exp(-BLADES / 2 * (1 - self.ratio) / (self.ratio * steep))) * 2 / np.pi
        given = BLADES * self.chord / (2 * np.pi * self.ratio) / (4 * loss * steep)
        return _Flow(normal, tangential, sine - given * normal, cosine + given * tangential)

    def inflow(self, ahead: Floats, around: Floats) -> Floats:
        """The angle at which blade and momentum agree; of several, the least stalled.

        Two such angles within one step of the search (2°) can be missed together: where a sharp
        stall begins, a ring may change over one step early. Another angle that agrees is found.
        """

        def crossing(angle: Floats) -> Floats:
            flow = self.flow(angle)
            steep = np.maximum(np.abs(np.sin(angle)), LEAST_SINE)
            return steep * (ahead * flow.around - around * flow.ahead)

        grid = np.radians(np.linspace(0, SEARCH_DEG, SEARCH_STEPS))
        shape = np.broadcast_shapes(ahead.shape, around.shape)
        # a ring's flow at an angle is the same in any air: worked out once, held against all
        values = crossing(grid.reshape(-1, *[1] * len(shape)) + np.zeros(self.ratio.shape))
        angles = np.broadcast_to(grid.reshape(-1, *[1] * len(shape)), values.shape)
        falls = (values[:-1] >= 0) & (values[1:] < 0)
        stalled = np.where(falls, np.abs(self.angle - angles[:-1]), np.inf)
        chosen = np.argmin(stalled, axis=0)[None]
        return _refined(crossing, _picked(angles, chosen), _picked(values, chosen))


def _section(propeller: Propeller, alpha: Floats) -> tuple[Floats, Floats]:
    """Lift and drag of the blade's section at any angle of attack [rad]."""
    degrees, sine, width = np.degrees(alpha), np.sin(alpha), propeller.stall_width_deg
    upper = 1 + np.exp((degrees - propeller.stall_deg) / width)
    lower = 1 + np.exp((propeller.negative_stall_deg - degrees) / width)
    share = 1 / (upper * lower)
    plate = (1 - share) * PLATE_NORMAL * sine / (PLATE_EVEN + PLATE_SINE * np.abs(sine))
    attached = propeller.lift_slope_per_rad * np.sin(alpha - np.radians(propeller.zero_lift_deg))
    rise = share * propeller.drag_rise * (attached - propeller.least_drag_lift) ** 2
    return share * attached + plate * np.cos(alpha), propeller.least_drag + rise + plate * sine


def _picked(stack: Floats, index: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """The rows at `index` and one further on, along the first axis."""
    low = np.take_along_axis(stack, index, axis=0)[0]
    return low, np.take_along_axis(stack, index + 1, axis=0)[0]


def _refined(
    function: Callable[[Floats], Floats],
    places: tuple[Floats, Floats],
    values: tuple[Floats, Floats],
) -> Floats:
    """Roots between two places of opposite sign: false position, Illinois form."""
    (before, last), (f_before, f_last) = places, values
    close = TIGHT * (np.abs(f_before) + np.abs(f_last))
    for _ in range(MOST_STEPS):
        span = f_last - f_before
        step = np.where(np.abs(f_last) > close, f_last * (last - before), 0.0)
        middle = last - step / np.where(span == 0, 1.0, span)
        middle = np.clip(middle, np.minimum(before, last), np.maximum(before, last))
        found = function(middle)
        across = found * f_last < 0
        before = np.where(across, last, before)
        f_before = np.where(across, f_last, f_before / 2)
        last, f_last = middle, found
        if np.all(np.abs(found) <= close):
            break
    return last


def _first_root(function: Callable[[Floats], Floats], grid: Floats) -> Floats:
    """First rise through 0 along the first axis of the grid; NaN where there is none."""
    values = function(grid)
    rises = (values[:-1] <= 0) & (values[1:] > 0)
    index = np.argmax(rises, axis=0)[None]
    root = _refined(function, _picked(grid, index), _picked(values, index))
    return np.where(np.any(rises, axis=0), root, np.nan)


def tables(
    propeller: Propeller, points: int = 60, highest_advance_ratio: float | None = None
) -> PropellerTable:
    """A propeller's curves from standing still to a little beyond the J of no thrust.

    Parameters
    ----------
    propeller : Propeller
        The propeller [-].
    points : int
        Rows, 2 to 1000 [-].
    highest_advance_ratio : float or None
        Last J, up to 5; None goes a tenth beyond the J of no thrust [-].

    Returns
    -------
    PropellerTable
        Five arrays of equal length [-].

    Raises
    ------
    ValueError
        When a figure is outside its range, or the J of no thrust is wanted and there is none.

    Examples
    --------
    >>> wood = Propeller.helical(diameter_mm=240.0, pitch_mm=415.0, mass_g=2.4)
    >>> tables(wood, points=5).thrust[-1] < 0
    np.True_
    """
    slip = "it is a number of rows"
    rows = int(checked("points", points, FEWEST_POINTS, MOST_POINTS, slip))
    last = highest_advance_ratio
    if last is None:
        last = min(1.1 * propeller.zero_thrust_advance_ratio(), HIGHEST_ADVANCE_RATIO)
    advance = np.linspace(0, float(_advance(last)), rows)
    found = propeller.coefficients(advance)
    curves = (found.thrust, found.torque, found.power, found.efficiency)
    return PropellerTable(advance, *(np.asarray(curve) for curve in curves))
