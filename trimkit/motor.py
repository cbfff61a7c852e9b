"""The rubber motor: turns, torque, energy, and how to wind it.

A loop of rubber strip is wound and gives its torque back, less what it loses inside. The curve
here has a *share* x on its axis: turns over the loop's limit turns, 7.78 L/√A. Its torque
scales with A^1.5. L is the loop from hook to hook and A the section of all its strands.

Where the numbers come from. The shape of the curve and of its losses is assumed. It was fitted
to common practice (no source): 2.05 g of rubber with a section of 5.1 mm² gives 400 turns .265,
750 .40, 1157 .65 and 1326 .85 oz in. The end of the curve is held down by energy. Winding to the
limit may store at most `ENERGY_BOUND_J_G`, and that costs each of those four torques up to 4.7 %.

Types are written for single numbers. Arrays are welcome too: arrays in, arrays out.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
from numpy.typing import ArrayLike

from trimkit.units import Floats, as_given, check_ranges, checked, quantity

TURNS_FACTOR = 7.78  # limit turns = 7.78 L/√A; common practice, no source
TORQUE_FACTOR_MNM = 0.613  # torque scale = .613 mN m x A^1.5, A in mm²; common practice, no source

# Winding torque over the torque scale: KNEE (1 - e^(-x/KNEE_SHARE)) + SLOPE x + RISE x^RISE_POWER.
# Assumed shape, fitted as the head of this module says.
KNEE, KNEE_SHARE, SLOPE, RISE, RISE_POWER = 0.115, 0.05, 0.517, 0.473, 6

# Loss when unwinding: torque x (1 - H (1 - e^(-(x0 - x)/LOSS_SHARE))), x0 the share wound, and
# H = LOSS + LOSS_WOUND x0 + LOSS_COLD_PER_C (22 - t) + LOSS_DRY (1 - lubrication). Assumed.
LOSS, LOSS_WOUND, LOSS_COLD_PER_C, LOSS_DRY, LOSS_SHARE = 0.13, 0.13, 0.006, 0.12, 0.04

ROOM_C = 22.0  # the temperature of the fit
COLDEST_C, WARMEST_C = 0.0, 40.0  # assumed: a hall, from unheated to midsummer
ZERO_CELSIUS_K = 273.15  # exact, SI brochure
DRY_TURNS = 0.15  # share of the turns lost by a dry loop; common practice, no source
COLD_TURNS_PER_C = 0.003  # share of the turns lost for each °C under 22; assumed

# Loading energy of pure gum rubber to 7.6 times its length at 930 kg/m³: trapezoid over
# L. R. G. Treloar, Trans. Faraday Soc. 40 (1944) 59, read second-hand.
TRELOAR_ENERGY_J_G = 12.755
# Our strip is another rubber: batches differ by 10 % in torque (common practice, no source).
ENERGY_BOUND_J_G = 1.10 * TRELOAR_ENERGY_J_G

MOST_SHARE = 0.95  # assumed: no plan winds nearer to the breaking turns
MOST_BACK_OFF = 0.20  # assumed; 3 to 8 % is common practice
STRETCH_LOW, STRETCH_HIGH = 4.0, 5.0  # times the loop while winding; common practice, no source
MOST_LOOPS = 2000  # assumed: more than a club makes in a season

CAUTIONS = (
    "Rubber is latex: ask about allergy before anyone touches it.",
    "The winder, the holder and everyone within 3 m cover their eyes.",
    "Nobody stands in line with the loop.",
    "Tie long hair back.",
    "Throw a frayed or nicked loop away.",
    "Wind in a tube or off the aeroplane: a burst loop breaks the stick.",
    "Only an adult, behind a shield, looks closely at a wound aeroplane.",
    "Lubricant on a sports floor is a slip: wipe it up at once.",
    "The school's own risk assessment comes first.",
)

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def _checked_temperature(temperature_c: ArrayLike) -> Floats:
    slip = "is it in kelvin or °F?"
    return checked("temperature_c", temperature_c, COLDEST_C, WARMEST_C, slip)


def _shape(share: Floats) -> Floats:
    knee = -KNEE * np.expm1(-share / KNEE_SHARE)
    return np.asarray(knee + SLOPE * share + RISE * share**RISE_POWER)


def _shape_area(share: Floats) -> Floats:
    knee = KNEE * (share + KNEE_SHARE * np.expm1(-share / KNEE_SHARE))
    rise = RISE * share ** (RISE_POWER + 1) / (RISE_POWER + 1)
    return np.asarray(knee + SLOPE * share**2 / 2 + rise)


@dataclass(frozen=True, slots=True)
class RubberMotor:
    """A made-up loop of rubber strip.

    Parameters
    ----------
    loop_mm : float
        Length of the loop from hook to hook, unwound and not stretched [mm].
    strip_width_mm, strip_thickness_mm : float
        Width and thickness of one strip [mm].
    strands : int
        Strands side by side, 2 for a single loop [-].
    density_g_cm3 : float
        Density of the rubber; .913 raw to .950 vulcanised [g/cm³].
    lubrication : float
        1 for a freshly lubricated loop, 0 for a dry one [-].
    knot_strength : float
        Share of the turns that the knot lets you wind, 1 for a good knot; assumed [-].
    freshness : float
        Torque against a fresh loop, 1 for fresh, less when tired or old; assumed [-].
    batch_strength : float
        Torque of this batch against the usual one; ±10 % is common practice, no source [-].
    """

    loop_mm: float = quantity("mm", 40, 1500, "Length of the loop, hook to hook")
    strip_width_mm: float = quantity("mm", 0.5, 8, "Width of the strip")
    strip_thickness_mm: float = quantity("mm", 0.4, 2, "Thickness of the strip")
    strands: int = quantity("", 2, 60, "Strands side by side, 2 for a single loop", 2)
    density_g_cm3: float = quantity("g/cm³", 0.85, 1.05, "Density of the rubber", 0.93)
    lubrication: float = quantity("", 0, 1, "1 for freshly lubricated, 0 for dry", 1.0)
    knot_strength: float = quantity("", 0.7, 1, "Share of the turns the knot allows", 1.0)
    freshness: float = quantity("", 0.6, 1, "Torque against a fresh loop", 1.0)
    batch_strength: float = quantity("", 0.8, 1.2, "Torque against the usual batch", 1.0)

    def __post_init__(self) -> None:
        check_ranges(self)
        if self.strands % 2:
            raise ValueError(
                f"RubberMotor: strands is {self.strands:g}; allowed is 2, 4, 6 and so on; "
                "one loop counts as two strands"
            )

    @classmethod
    def of_mass(
        cls, mass_g: float, strip_width_mm: float, strip_thickness_mm: float, strands: int = 2
    ) -> RubberMotor:
        """Return the loop that a given mass of strip makes.

        Parameters
        ----------
        mass_g : float
            Mass of the rubber, at 0.93 g/cm³ [g].
        strip_width_mm, strip_thickness_mm : float
            Width and thickness of one strip [mm].
        strands : int
            Strands side by side [-].

        Returns
        -------
        RubberMotor
            A fresh lubricated loop [-].

        Examples
        --------
        >>> round(RubberMotor.of_mass(2.0, 2.4, 1.1).loop_mm)
        407
        """
        pattern = cls(100.0, strip_width_mm, strip_thickness_mm, strands)
        return replace(pattern, loop_mm=100.0 * mass_g / pattern.mass_g)

    @property
    def section_mm2(self) -> float:
        """Section of all strands together [mm²]."""
        return self.strands * self.strip_width_mm * self.strip_thickness_mm

    @property
    def mass_g(self) -> float:
        """Mass of the rubber [g]."""
        return self.density_g_cm3 * self.section_mm2 * self.loop_mm / 1000

    @property
    def limit_turns(self) -> float:
        """Turns a perfect loop could take, 7.78 L/√A: the end of the torque curve [turns]."""
        return TURNS_FACTOR * self.loop_mm / math.sqrt(self.section_mm2)

    @property
    def torque_scale_mNm(self) -> float:
        """Torque by which the curve's shape is multiplied at 22 °C [mN m]."""
        strength = self.freshness * self.batch_strength
        return TORQUE_FACTOR_MNM * self.section_mm2 * math.sqrt(self.section_mm2) * strength

    def max_turns(self, temperature_c: ArrayLike = ROOM_C) -> float:
        """Return the turns at which the loop is likely to break.

        A dry loop, a poor knot and cold each take some away.

        Parameters
        ----------
        temperature_c : float
            Temperature of the rubber, 0 to 40 [°C].

        Returns
        -------
        float
            Turns, not above `limit_turns` [turns].

        Examples
        --------
        >>> round(RubberMotor.of_mass(2.0, 2.4, 1.1).max_turns())
        1379
        """
        cold = np.maximum(ROOM_C - _checked_temperature(temperature_c), 0.0)
        dry = 1 - DRY_TURNS * (1 - self.lubrication)
        return as_given(self.limit_turns * dry * self.knot_strength * (1 - COLD_TURNS_PER_C * cold))

    def winding_torque_mNm(self, turns: ArrayLike, temperature_c: ArrayLike = ROOM_C) -> float:
        """Return the torque while winding.

        Rubber pulls because of heat: its ideal force grows with absolute temperature.

        Parameters
        ----------
        turns : float
            Turns on the loop, 0 to `limit_turns` [turns].
        temperature_c : float
            Temperature of the rubber, 0 to 40 [°C].

        Returns
        -------
        float
            Torque [mN m].

        Raises
        ------
        ValueError
            When turns or temperature are out of range.
        """
        share = self._share("turns", turns)
        return as_given(self._warm_scale_mNm(temperature_c) * _shape(share))

    def unwinding_torque_mNm(
        self, turns: ArrayLike, wound: ArrayLike, temperature_c: ArrayLike = ROOM_C
    ) -> float:
        """Return the torque given back on the way down from the turns wound.

        It equals the winding torque at the top and falls below it soon after.

        Parameters
        ----------
        turns : float
            Turns still on the loop, 0 to `wound` [turns].
        wound : float
            Most turns that were on the loop, 0 to `limit_turns` [turns].
        temperature_c : float
            Temperature of the rubber, 0 to 40 [°C].

        Returns
        -------
        float
            Torque [mN m].

        Raises
        ------
        ValueError
            When there are more turns than were wound, or a value is out of range.
        """
        share, top = self._share("turns", turns), self._share("wound", wound)
        if np.any(share > top):
            raise ValueError(
                f"turns is {turns!s}; allowed is 0 to the {wound!s} wound; are the two swapped?"
            )
        kept = self._kept(share, top, _checked_temperature(temperature_c))
        return as_given(self._warm_scale_mNm(temperature_c) * _shape(share) * kept)

    def stored_energy_J(self, wound: ArrayLike, temperature_c: ArrayLike = ROOM_C) -> float:
        """Return the work of winding from nothing.

        Parameters
        ----------
        wound : float
            Turns wound, 0 to `limit_turns` [turns].
        temperature_c : float
            Temperature of the rubber, 0 to 40 [°C].

        Returns
        -------
        float
            Area under the winding curve, closed form [J].
        """
        area = _shape_area(self._share("wound", wound))
        return as_given(area * self._energy_scale_J(temperature_c))

    def returned_energy_J(self, wound: ArrayLike, temperature_c: ArrayLike = ROOM_C) -> float:
        """Return the work given back from the turns wound down to none.

        Parameters
        ----------
        wound : float
            Turns wound, 0 to `limit_turns` [turns].
        temperature_c : float
            Temperature of the rubber, 0 to 40 [°C].

        Returns
        -------
        float
            Area under the unwinding curve, 64-point Gauss-Legendre rule [J].
        """
        wound_share, temperature = np.broadcast_arrays(
            self._share("wound", wound), _checked_temperature(temperature_c)
        )
        top = wound_share[..., None]
        share = top * (1 + _NODES) / 2
        torque = _shape(share) * self._kept(share, top, temperature[..., None])
        area = np.asarray(torque @ _WEIGHTS) * wound_share / 2
        return as_given(area * self._energy_scale_J(temperature_c))

    def _share(self, name: str, turns: ArrayLike) -> Floats:
        slip = "that is past what this loop can take; is the loop's length or strip mistyped?"
        limit = self.limit_turns
        return checked(name, turns, 0.0, limit * (1 + 1e-12), slip) / limit

    def _kept(self, share: Floats, top: Floats, temperature_c: Floats) -> Floats:
        loss = LOSS + LOSS_WOUND * top + LOSS_COLD_PER_C * (ROOM_C - temperature_c)
        loss = loss + LOSS_DRY * (1 - self.lubrication)
        return np.asarray(1 + loss * np.expm1(-(top - share) / LOSS_SHARE))

    def _warm_scale_mNm(self, temperature_c: ArrayLike) -> Floats:
        kelvin = _checked_temperature(temperature_c) + ZERO_CELSIUS_K
        return np.asarray(self.torque_scale_mNm * kelvin / (ROOM_C + ZERO_CELSIUS_K))

    def _energy_scale_J(self, temperature_c: ArrayLike) -> Floats:
        per_share = 2 * np.pi * self.limit_turns / 1000
        return np.asarray(per_share * self._warm_scale_mNm(temperature_c))


@dataclass(frozen=True, slots=True)
class WindingPlan:
    """How to wind one motor for one flight.

    Parameters
    ----------
    turns_on : int
        Turns to wind on [turns].
    backed_off : int
        Turns to take off again before the launch [turns].
    launch_torque_mNm : float
        What the torque meter should read after backing off [mN m].
    peak_torque_mNm : float
        What it should read at the top [mN m].
    share_of_max : float
        Turns on over the turns at which the loop is likely to break [-].
    shortest_stretch_mm, longest_stretch_mm : float
        How far to stretch the loop before winding, 4 to 5 times its length [mm].
    turns_stretched : int
        Turns to put on at full stretch: half; the rest while walking in [turns].
    """

    turns_on: int
    backed_off: int
    launch_torque_mNm: float
    peak_torque_mNm: float
    share_of_max: float
    shortest_stretch_mm: float
    longest_stretch_mm: float
    turns_stretched: int

    @property
    def turns_at_launch(self) -> int:
        """Turns on the loop when it leaves the hand [turns]."""
        return self.turns_on - self.backed_off

    @property
    def turns_walking_in(self) -> int:
        """Turns to put on while walking in from full stretch [turns]."""
        return self.turns_on - self.turns_stretched


def winding_plan(
    motor: RubberMotor,
    *,
    share: float | None = None,
    launch_torque_mNm: float | None = None,
    back_off: float = 0.05,
    temperature_c: float = ROOM_C,
) -> WindingPlan:
    """Plan the winding from a share of the breaking turns or from a launch torque.

    Torque travels from loop to loop and hall to hall, turns do not: plan in launch torque.

    Parameters
    ----------
    motor : RubberMotor
        The loop [-].
    share : float or None
        Turns on over breaking turns, up to .95; .8 to .9 is common practice [-].
    launch_torque_mNm : float or None
        Torque wanted after backing off; give this or share [mN m].
    back_off : float
        Share of the turns on that is taken off again, 0 to .2; .03 to .08 is common
        practice [-].
    temperature_c : float
        Temperature of the rubber, 0 to 40 [°C].

    Returns
    -------
    WindingPlan
        In whole turns, with the torque that those give [-].

    Raises
    ------
    ValueError
        When the target cannot be reached, or not exactly one target is given.

    Examples
    --------
    >>> plan = winding_plan(RubberMotor.of_mass(2.0, 2.4, 1.1), share=0.85, back_off=0.05)
    >>> plan.turns_on, plan.backed_off
    (1172, 59)
    """
    if (share is None) == (launch_torque_mNm is None):
        raise ValueError("give exactly one target: share, or launch_torque_mNm")
    checked("back_off", back_off, 0.0, MOST_BACK_OFF, "it is a share: 5 % is 0.05")
    if share is None:
        share = _share_for_launch(motor, cast(float, launch_torque_mNm), back_off, temperature_c)
    checked("share", share, 0.0, MOST_SHARE, "it is a share: 85 % is 0.85")
    most = motor.max_turns(temperature_c)
    turns_on = round(share * most)
    backed_off = round(back_off * turns_on)
    return WindingPlan(
        turns_on=turns_on,
        backed_off=backed_off,
        launch_torque_mNm=motor.unwinding_torque_mNm(
            turns_on - backed_off, turns_on, temperature_c
        ),
        peak_torque_mNm=motor.winding_torque_mNm(turns_on, temperature_c),
        share_of_max=turns_on / most,
        shortest_stretch_mm=STRETCH_LOW * motor.loop_mm,
        longest_stretch_mm=STRETCH_HIGH * motor.loop_mm,
        turns_stretched=turns_on // 2,
    )


def _share_for_launch(
    motor: RubberMotor, torque_mNm: float, back_off: float, temperature_c: float
) -> float:
    most = motor.max_turns(temperature_c)

    def launch_torque(share: Floats) -> Floats:
        wound = share * most
        left = wound * (1 - back_off)
        return np.asarray(motor.unwinding_torque_mNm(left, wound, temperature_c))

    strongest = float(launch_torque(np.asarray(MOST_SHARE)))
    slip = f"{MOST_SHARE:.0%} of the breaking turns gives the most; is the loop too thin?"
    target = checked("launch_torque_mNm", torque_mNm, 0.0, strongest, slip)
    return float(_solved(launch_torque, target, MOST_SHARE))


def _solved(rising: Callable[[Floats], Floats], target: Floats, highest: ArrayLike) -> Floats:
    low, high = np.zeros_like(target), np.asarray(highest) + np.zeros_like(target)
    for _ in range(60):
        middle = (low + high) / 2
        below = rising(middle) < target
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray((low + high) / 2)


def turns_for_torque(
    motor: RubberMotor, torque_mNm: ArrayLike, temperature_c: float = ROOM_C
) -> float:
    """Return the turns at which the meter shows a torque while winding.

    Parameters
    ----------
    motor : RubberMotor
        The loop [-].
    torque_mNm : float
        Torque, from 0 to that at the breaking turns [mN m].
    temperature_c : float
        Temperature of the rubber, 0 to 40 [°C].

    Returns
    -------
    float
        Turns on, not rounded [turns].

    Raises
    ------
    ValueError
        When the loop would break before it reaches the torque.
    """
    most = motor.max_turns(temperature_c)
    strongest = motor.winding_torque_mNm(most, temperature_c)
    slip = "the loop breaks there; is it too thin, or the torque in another unit?"
    target = checked("torque_mNm", torque_mNm, 0.0, strongest, slip)

    def winding_torque(turns: Floats) -> Floats:
        return np.asarray(motor.winding_torque_mNm(turns, temperature_c))

    return as_given(_solved(winding_torque, target, most))


def highest_torque_mNm(motor: RubberMotor, temperature_c: float = ROOM_C) -> float:
    """Return the torque at the most turns that a plan winds.

    Parameters
    ----------
    motor : RubberMotor
        The loop [-].
    temperature_c : float
        Temperature of the rubber, 0 to 40 [°C].

    Returns
    -------
    float
        At 95 % of the breaking turns, while winding [mN m].
    """
    return motor.winding_torque_mNm(MOST_SHARE * motor.max_turns(temperature_c), temperature_c)


def turns_per_second(
    turns_on: ArrayLike, backed_off: ArrayLike, turns_left: ArrayLike, time_s: ArrayLike
) -> float:
    """Return how fast the propeller turned, from the flight card.

    Parameters
    ----------
    turns_on : float
        Turns wound on [turns].
    backed_off : float
        Turns taken off before the launch [turns].
    turns_left : float
        Turns still on after landing [turns].
    time_s : float
        Flight time, above 0 [s].

    Returns
    -------
    float
        Mean propeller speed; 6 to 10 in cruise is common practice, no source [turns/s].

    Raises
    ------
    ValueError
        When more turns went than were on, or the time is not above 0.

    Examples
    --------
    >>> round(turns_per_second(1200, 60, 320, 96), 2)
    8.54
    """
    given = [np.asarray(turns, dtype=float) for turns in (turns_on, backed_off, turns_left)]
    used = given[0] - given[1] - given[2]
    if not (np.all(used >= 0) and all(np.all(turns >= 0) for turns in given)):
        raise ValueError(
            f"{turns_on!s} turns on, {backed_off!s} backed off and {turns_left!s} left are given; "
            "none may be below 0, and the last two add up to no more than the first"
        )
    slip = "is it in minutes, or not filled in?"
    return as_given(used / checked("time_s", time_s, 0.1, 7200.0, slip))


@dataclass(frozen=True, slots=True)
class PartMotor:
    """A part-length motor and the spacer that stands in for the missing rubber.

    Parameters
    ----------
    motor : RubberMotor
        The shorter loop [-].
    spacer_mass_g : float
        Mass of the spacer: that of the missing rubber [g].
    spacer_mm : float
        Length of the spacer: that of the missing loop [mm].
    """

    motor: RubberMotor
    spacer_mass_g: float
    spacer_mm: float


def part_motor(motor: RubberMotor, share: float = 0.5) -> PartMotor:
    """Shorten a motor to test in a low hall.

    The strip stays the same, so the torque at the same share of the turns is the same, and the
    mass and balance stay the same with the spacer. Only the turns are fewer.

    Parameters
    ----------
    motor : RubberMotor
        The whole loop [-].
    share : float
        Part of the length to keep, .2 to 1 [-].

    Returns
    -------
    PartMotor
        Shorter loop and spacer [-].

    Examples
    --------
    >>> half = part_motor(RubberMotor.of_mass(2.0, 2.4, 1.1))
    >>> round(half.motor.max_turns()), round(half.spacer_mass_g, 2)
    (690, 1.0)
    """
    checked("share", share, 0.2, 1.0, "it is a share: half is 0.5")
    shorter = replace(motor, loop_mm=share * motor.loop_mm)
    return PartMotor(shorter, motor.mass_g - shorter.mass_g, motor.loop_mm - shorter.loop_mm)


def survival_chance(made: int, survivors: int, break_chance: float) -> float:
    """Return the chance that at least so many of the loops made survive.

    Each loop breaks or not by itself (binomial, exact).

    Parameters
    ----------
    made : int
        Loops made, 1 to 2000 [-].
    survivors : int
        Loops that must survive, 1 to 100 [-].
    break_chance : float
        Chance that one loop breaks, 0 to .9 [-].

    Returns
    -------
    float
        Chance, 0 to 1 [-].

    Examples
    --------
    >>> round(survival_chance(9, 6, 0.15), 3)
    0.966
    """
    checked("made", made, 1, MOST_LOOPS, "count whole loops")
    checked("survivors", survivors, 1, 100, "count whole loops")
    checked("break_chance", break_chance, 0.0, 0.9, "it is a share: 15 % is 0.15")
    keep = 1 - break_chance
    too_few = math.fsum(
        math.comb(made, left) * keep**left * break_chance ** (made - left)
        for left in range(min(survivors, made + 1))
    )
    return min(max(1 - too_few, 0.0), 1.0)


def stock_size(survivors: int, break_chance: float, confidence: float = 0.95) -> int:
    """Return how many loops to make so that enough survive.

    Parameters
    ----------
    survivors : int
        Loops that must survive, 1 to 100 [-].
    break_chance : float
        Chance that one loop breaks, 0 to .9 [-].
    confidence : float
        Chance wanted that enough survive, .5 to .999 [-].

    Returns
    -------
    int
        Loops to make [-].

    Examples
    --------
    >>> stock_size(survivors=6, break_chance=0.15, confidence=0.95)
    9
    """
    checked("confidence", confidence, 0.5, 0.999, "it is a share: 95 % is 0.95")
    made = max(survivors, 1)
    while survival_chance(made, survivors, break_chance) < confidence:
        made += 1
    return made


def helix_turns(
    mass_g: ArrayLike,
    loop_mm: ArrayLike,
    stretch: ArrayLike = 3.0,
    slope: ArrayLike = 1.0,
    density_g_cm3: float = 0.93,
) -> float:
    """Return the turns of a round rod whose outside runs as a helix of a given slope.

    n = k λ^1.5 √(ρ/4π) L^1.5/m^.5, derived from a rod of constant volume. It shows why turns
    go as L/√A. A real skein takes several times as many, for its strands coil up.

    Parameters
    ----------
    mass_g : float
        Mass of the rubber, .001 to 10,000 [g].
    loop_mm : float
        Length before stretching, 1 to 10,000 [mm].
    stretch : float
        Length over that before stretching, λ, 1 to 8 [-].
    slope : float
        Way round over way along on the outside, k, 0 to 10 [-].
    density_g_cm3 : float
        Density of the rubber [g/cm³].

    Returns
    -------
    float
        Turns [turns].
    """
    stretched = checked("stretch", stretch, 1.0, 8.0, "1 is not stretched")
    winding = checked("slope", slope, 0.0, 10.0, "is it in degrees?")
    loop = checked("loop_mm", loop_mm, 1.0, 1e4, "is it in m?")
    mass = checked("mass_g", mass_g, 1e-3, 1e4, "is it in kg?")
    section_mm2 = mass / (density_g_cm3 / 1000 * loop)
    length = loop / np.sqrt(4 * np.pi * section_mm2)
    return as_given(winding * stretched**1.5 * length)


def mooney_rivlin_stress_mpa(stretch: ArrayLike, c1_mpa: float, c2_mpa: float) -> float:
    """Return the pull of rubber on its first section, P = 2(λ - λ⁻²)(C1 + C2/λ).

    Mooney-Rivlin law, from memory. It holds to about 3 times the length; later the real pull
    rises much faster.

    Parameters
    ----------
    stretch : float
        Length over that before stretching, λ, 1 to 8 [-].
    c1_mpa, c2_mpa : float
        The two constants of the law [MPa].

    Returns
    -------
    float
        Force over the section before stretching [MPa].
    """
    ratio = checked("stretch", stretch, 1.0, 8.0, "1 is not stretched")
    return as_given(2 * (ratio - ratio**-2) * (c1_mpa + c2_mpa / ratio))


def loading_energy_J_kg(
    stretches: ArrayLike, stresses_mpa: ArrayLike, density_kg_m3: float = 930.0
) -> float:
    """Return the work of stretching, for each kilogram, by the trapezoid rule.

    Parameters
    ----------
    stretches : array_like
        Length over that before stretching, rising from 1 [-].
    stresses_mpa : array_like
        Force over the section before stretching [MPa].
    density_kg_m3 : float
        Density of the rubber [kg/m³].

    Returns
    -------
    float
        Work up to the last stretch given [J/kg].
    """
    ratios = np.asarray(stretches, dtype=float)
    if ratios.ndim != 1 or ratios.size < 2 or np.any(np.diff(ratios) <= 0):
        raise ValueError("stretches must be a rising list of two or more; is the table sorted?")
    return float(np.trapezoid(np.asarray(stresses_mpa, dtype=float), ratios)) * 1e6 / density_kg_m3


@dataclass(frozen=True, slots=True)
class RodLoad:
    """What it takes to hold a rod of rubber stretched and twisted.

    Parameters
    ----------
    torque_mNm : float
        Torque [mN m].
    pull_N : float
        Pull along the rod; below 0 it pushes [N].
    """

    torque_mNm: float
    pull_N: float


def torsion_of_stretched_rod(
    radius_mm: ArrayLike, stretch: ArrayLike, twist_rad_m: ArrayLike, c1_mpa: float, c2_mpa: float
) -> RodLoad:
    """Return the torque and pull of a round rod, stretched and then twisted.

    M = πa⁴τ(C1 + C2/λ)/λ and N = 2πa²(λ - λ⁻²)(C1 + C2/λ) - (πa⁴τ²/2)(C1/λ² + 2C2/λ³):
    Rivlin's exact solution, from memory. It shows why we wind stretched: the same twist needs
    less torque then.

    Parameters
    ----------
    radius_mm : float
        Radius before stretching, a, .01 to 50 [mm].
    stretch : float
        Length over that before stretching, λ, 1 to 8 [-].
    twist_rad_m : float
        Twist over the length before stretching, τ [rad/m].
    c1_mpa, c2_mpa : float
        The two constants of the Mooney-Rivlin law [MPa].

    Returns
    -------
    RodLoad
        Torque and pull [-].
    """
    ratio = checked("stretch", stretch, 1.0, 8.0, "1 is not stretched")
    twist = np.asarray(twist_rad_m, dtype=float) / 1000
    radius = checked("radius_mm", radius_mm, 0.01, 50.0, "is it in m?")
    stiffness = np.pi * radius**4
    torque = stiffness * twist * (c1_mpa + c2_mpa / ratio) / ratio
    shortening = stiffness * twist**2 / 2 * (c1_mpa / ratio**2 + 2 * c2_mpa / ratio**3)
    pull = (
        np.pi * radius**2 * np.asarray(mooney_rivlin_stress_mpa(stretch, c1_mpa, c2_mpa))
        - shortening
    )
    return RodLoad(as_given(torque), as_given(pull))
