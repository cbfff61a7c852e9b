"""The lab of the propeller: pitch, a pair that does not match, mass, and what the turns give."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from trimkit import balance, figures
from trimkit.aeroplane import Aeroplane, replace
from trimkit.figures import Blades
from trimkit.figures.style import plain
from trimkit.flight import level_torque_mNm, steady
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import LAB_DPI, Lab, Read, Reading, Slider, Values, open_lab
from trimkit.motor import RubberMotor, highest_torque_mNm, turns_for_torque
from trimkit.propeller import Propeller, induced_velocity_m_s
from trimkit.units import Floats

TITLE = "Pitch and blades that match"
HALL_C = 20.0
PITCH_REACH_DEG, DIFFERENCE_REACH_DEG, MOST_ADDED_G = 10.0, 6.0, 1.5
LAUNCH, LEAST, MOST = 2.0, 0.5, 3.0  # times the torque of level flight
MATCH_DEG = 1.0  # common practice, no source
SEEN = 0.01  # a change of less than this share is called none


def blades(aeroplane: Aeroplane | None = None) -> None:
    """Open the lab: turn the blades, unmatch them, add mass, and see how the turns are used.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose propeller and motor, None for the demo trainer [-].
    """
    open_lab(TITLE, lambda: _parts(aeroplane))


def lab(aeroplane: Aeroplane | None = None) -> Lab:
    """Make the lab without showing it.

    Parameters
    ----------
    aeroplane : Aeroplane or None
        Whose propeller and motor, None for the demo trainer [-].

    Returns
    -------
    Lab
        The lab; its `form` can be put into other widgets [-].
    """
    return Lab(TITLE, *_parts(aeroplane))


@dataclass(frozen=True, slots=True)
class Level:
    """What the aeroplane needs to hold its height with its design propeller.

    Parameters
    ----------
    torque_mNm : float
        Torque of the rubber [mN m].
    speed_m_s : float
        Speed in its circle [m/s].
    thrust_mN : float
        Pull that holds the height [mN].
    shaft_share : float
        Torque that reaches the propeller over that of the rubber; the bearing has the rest [-].
    """

    torque_mNm: float
    speed_m_s: float
    thrust_mN: float
    shaft_share: float

    def heavier(self, share: float) -> Level:
        """Return the same flight with more mass: lift and pull grow alike at the same angle.

        Parameters
        ----------
        share : float
            Mass over the mass before [-].

        Returns
        -------
        Level
            Faster, with more pull; its torque is left as it was [-].
        """
        speed, thrust = self.speed_m_s * share**0.5, self.thrust_mN * share
        return dataclasses.replace(self, speed_m_s=speed, thrust_mN=thrust)


def level_flight(aeroplane: Aeroplane) -> Level:
    """Find the circle in which the aeroplane holds its height.

    Parameters
    ----------
    aeroplane : Aeroplane
        At its design setting [-].

    Returns
    -------
    Level
        Its torque, speed and pull [-].

    Raises
    ------
    ValueError
        When there is none: the aeroplane dives, or spins in.
    """
    torque = level_torque_mNm(aeroplane)
    found = steady(aeroplane, turns_for_torque(aeroplane.setting.motor, torque, HALL_C))
    return Level(torque, found.speed_m_s, found.thrust_mN, found.shaft_torque_mNm / torque)


def gauge_deg(propeller: Propeller) -> float:
    """Say what the pitch gauge shows on the first blade.

    Parameters
    ----------
    propeller : Propeller
        The propeller [-].

    Returns
    -------
    float
        Angle three quarters of the way to the tip [deg].
    """
    angles = np.interp(figures.GAUGE_RATIO, propeller.radius_ratios, propeller.blade_angles_deg)
    return float(angles)


def turned(propeller: Propeller, values: Values) -> Propeller:
    """Set the blades as the sliders say.

    Parameters
    ----------
    propeller : Propeller
        The design's [-].
    values : mapping
        angle_deg, the mean of both blades, difference_deg, and added_g [deg, deg, g].

    Returns
    -------
    Propeller
        The changed copy [-].
    """
    apart = values["difference_deg"]
    more = values["angle_deg"] - apart / 2 - gauge_deg(propeller)
    return dataclasses.replace(
        propeller,
        blade_angles_deg=tuple(angle + more for angle in propeller.blade_angles_deg),
        second_blade_deg=apart,
        mass_g=propeller.mass_g + values["added_g"],
    )


def _parts(aeroplane: Aeroplane | None) -> tuple[list[Slider], Read]:
    design = aeroplane or demo_aeroplanes()[0]
    level = level_flight(design)
    return _sliders(design, level), _reader(design, level)


def _sliders(aeroplane: Aeroplane, level: Level) -> list[Slider]:
    propeller = aeroplane.setting.propeller
    apart = propeller.second_blade_deg
    angle = round(gauge_deg(propeller) + apart / 2, 1)
    strongest = highest_torque_mNm(aeroplane.setting.motor, HALL_C)
    torque = min(MOST * level.torque_mNm, strongest)
    return [
        Slider(
            name="angle_deg", label="Blade angle at the gauge", unit="°", step=0.5, start=angle,
            low=round(angle - PITCH_REACH_DEG, 1), high=round(angle + PITCH_REACH_DEG, 1),
            meaning="Both blades' mean, three quarters of the way out. More is more pitch.",
        ),
        Slider(
            name="difference_deg", label="Second minus first", unit="°", step=0.5, start=apart,
            low=apart - DIFFERENCE_REACH_DEG, high=apart + DIFFERENCE_REACH_DEG,
            meaning="How much steeper the second blade stands. 0 is a pair that matches.",
        ),
        Slider(
            name="added_g", label="Propeller heavier by", unit="g", step=0.05, start=0.0,
            low=0.0, high=MOST_ADDED_G, meaning="More mass at the nose, and more to carry.",
        ),
        Slider(
            name="torque_mNm", label="Torque of the rubber", unit="mN m", step=0.1,
            low=round(LEAST * level.torque_mNm, 1), high=round(torque, 1),
            start=round(min(LAUNCH * level.torque_mNm, torque), 1),
            meaning="What the torque meter shows. More turns the propeller faster.",
        ),
    ]  # fmt: skip


def _reader(aeroplane: Aeroplane, level: Level) -> Read:
    fitted = aeroplane.setting.propeller
    mass_g = balance.aeroplane_cg(aeroplane).mass_g
    still = figures.blades_stage(LAB_DPI)

    def needs(propeller: Propeller) -> Level:
        return level.heavier(1 + (propeller.mass_g - fitted.mass_g) / mass_g)

    @lru_cache(maxsize=500)
    def given(propeller: Propeller, torque_mNm: float) -> Blades:
        return work(propeller, torque_mNm, needs(propeller), aeroplane.setting.motor)

    def read(values: Values) -> Reading:
        propeller, torque = turned(fitted, values), values["torque_mNm"]
        now, design = given(propeller, torque), given(fitted, torque)
        said = [*_numbers(now), _pitch(now, design), *_stalled(propeller, now, needs(propeller))]
        said += [*_shake(propeller, now, needs(propeller)), *_mass(aeroplane, propeller)]
        return Reading(still(now, design), "\n".join(said))

    return read


def work(propeller: Propeller, torque_mNm: float, level: Level, motor: RubberMotor) -> Blades:
    """Work out what a propeller does with a torque, and with the turns down to level flight.

    Parameters
    ----------
    propeller : Propeller
        As set [-].
    torque_mNm : float
        Torque of the rubber [mN m].
    level : Level
        What level flight needs [-].
    motor : RubberMotor
        The loop that is wound to that torque [-].

    Returns
    -------
    Blades
        Turns a second and pull, at the torque and in level flight [-].
    """
    speed, first = level.speed_m_s, gauge_deg(propeller)
    revs = propeller.revs_per_second(level.shaft_share * torque_mNm, speed)
    level_revs = propeller.revs_per_second_for_thrust(level.thrust_mN / 1000, speed)
    needed = propeller.torque_mNm(speed, level_revs) / level.shaft_share
    return Blades(
        first_deg=first,
        second_deg=first + propeller.second_blade_deg,
        torque_mNm=torque_mNm,
        revs_per_s=revs,
        thrust_mN=1000 * propeller.thrust_N(speed, revs),
        level_revs_per_s=level_revs,
        level_torque_mNm=needed,
        level_s=usable_turns(motor, torque_mNm, needed) / level_revs,
    )


def usable_turns(motor: RubberMotor, torque_mNm: float, needed_mNm: float) -> float:
    """Count the turns from a launch torque down to the torque that level flight needs.

    Parameters
    ----------
    motor : RubberMotor
        The loop [-].
    torque_mNm : float
        Torque to which it is wound [mN m].
    needed_mNm : float
        Torque of level flight [mN m].

    Returns
    -------
    float
        Turns, 0 when the launch torque is less than level flight needs [turns].
    """
    wound = turns_for_torque(motor, torque_mNm, HALL_C)
    if torque_mNm <= needed_mNm:
        return 0.0
    turns: Floats = np.linspace(0.0, wound, 2001)
    torque = np.asarray(motor.unwinding_torque_mNm(turns, wound, HALL_C))
    return wound - float(turns[np.flatnonzero(torque >= needed_mNm)[0]])


# --- words ------------------------------------------------------------------------------------


def _numbers(now: Blades) -> list[str]:
    said = (
        f"At {plain(now.torque_mNm)} mN m: {plain(now.revs_per_s)} turns a second and a pull of "
        f"{plain(now.thrust_mN, 0)} mN. Level flight takes {plain(now.level_torque_mNm)} mN m"
    )
    if not now.level_s:
        return [f"{said}: this torque is too little to hold the height."]
    return [
        f"{said} and {plain(now.level_revs_per_s)} turns a second; the turns down to there would "
        f"last {plain(now.level_s, 0)} s."
    ]


def _pitch(now: Blades, design: Blades) -> str:
    steeper = (now.first_deg + now.second_deg) - (design.first_deg + design.second_deg)
    if abs(steeper) < 0.1:  # twice the mean
        return "The pitch is the design's."
    if steeper > 0:
        first = "Higher pitch turns slower: fewer turns a second"
    else:
        first = "Lower pitch turns faster: more turns a second"
    lasts = f"{plain(now.level_s, 0)} s against the design's {plain(design.level_s, 0)} s"
    return f"{first}. The turns last {lasts}. {_why(now, design)}"


def _why(now: Blades, design: Blades) -> str:
    """Torque says how far down the turns are of use, turns a second how fast they go."""
    dearer = now.level_torque_mNm / design.level_torque_mNm - 1
    if dearer <= SEEN:
        return "Level flight takes no more torque than before."
    also = "All the same, level" if now.level_s > design.level_s else "Level"
    return f"{also} flight now takes more torque, so fewer of the turns are of use."


def _stalled(propeller: Propeller, now: Blades, level: Level) -> list[str]:
    """The angle at which the air meets the steeper blade, with what the propeller adds."""
    around = 2 * np.pi * now.revs_per_s * figures.GAUGE_RATIO * propeller.diameter_mm / 2000
    pull = max(now.thrust_mN, 0.0) / 1000
    through = level.speed_m_s + induced_velocity_m_s(pull, level.speed_m_s, propeller.diameter_mm)
    steeper = max(now.first_deg, now.second_deg)
    meets = steeper - float(np.degrees(np.arctan2(through, around)))
    if meets < propeller.stall_deg:
        return []
    return [
        "At this torque the air meets a blade so steeply that it stalls: it pulls less than it "
        "could."
    ]


def _shake(propeller: Propeller, now: Blades, level: Level) -> list[str]:
    apart = propeller.second_blade_deg
    pulls = one_by_one_mN(propeller, level.speed_m_s, now.revs_per_s)
    if not apart:
        return ["The blades match, so they run quietly."]
    said = (
        f"The blades differ by {abs(apart):.1f}°: one pulls {plain(max(pulls))} mN, the other "
        f"{plain(min(pulls))} mN"
    )
    if abs(apart) <= MATCH_DEG:
        return [f"{said}. Within {MATCH_DEG:g}° that is a match."]
    return [
        f"{said}. Unequal blades shake: the nose is tugged {plain(now.revs_per_s, 0)} times a "
        f"second. Twist them until they match within {MATCH_DEG:g}°."
    ]


def one_by_one_mN(propeller: Propeller, speed_m_s: float, revs_per_s: float) -> tuple[float, float]:
    """Say how hard each blade pulls.

    Parameters
    ----------
    propeller : Propeller
        A pair [-].
    speed_m_s : float
        Flight speed [m/s].
    revs_per_s : float
        Turns a second [1/s].

    Returns
    -------
    (float, float)
        Pull of the first and of the second blade: half that of a pair that stands alike [mN].
    """
    alike = dataclasses.replace(propeller, second_blade_deg=0.0)
    first = 500 * alike.thrust_N(speed_m_s, revs_per_s)
    return first, 1000 * propeller.thrust_N(speed_m_s, revs_per_s) - first


def _mass(aeroplane: Aeroplane, propeller: Propeller) -> list[str]:
    added = propeller.mass_g - aeroplane.setting.propeller.mass_g
    if added < 0.01:
        return []
    wanted = balance.cg_fraction(aeroplane)
    heavier = replace(aeroplane, propeller=propeller)
    moved = balance.aeroplane_cg(aeroplane).station_mm - balance.aeroplane_cg(heavier).station_mm
    slide = aeroplane.setting.wing_station_mm - balance.wing_station_for_cg_mm(heavier, wanted)
    return [
        f"{added:.2f} g more at the nose move the balance point {moved:.1f} mm forward: slide the "
        f"wing {slide:.1f} mm forward, as is done here. More mass asks for more pull."
    ]
