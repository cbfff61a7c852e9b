"""What faults and settings do to an aeroplane, in one list of effective deviations.

The air does not ask who moved the tail. A shim that is missing, a boom that dried bowed and a
socket glued wrong all come down to decalage; a heavy propeller and a wing that slid back both move
the balance point on the wing. So every fault and every setting is turned into the same short list
of numbers, by comparing the changed aeroplane, launch and hall with those of the plan. Three
things follow. Changes add up, so a history of changes costs nothing more. A right shim or a repair
cancels a fault exactly. And forty faults and ten settings share what was learned from flights.

Each number is divided by a usual size, so that 1 is a change worth talking about; the usual sizes
are common practice, no source. Torques are compared with the torque of level flight and lengths
with the wing, so that the numbers mean the same on a small aeroplane and on a large one.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

import numpy as np

from trimkit import balance, faults, incidence, motor, settings
from trimkit.aeroplane import Aeroplane
from trimkit.flight import Hall, Job, Launch, level_torque_mNm
from trimkit.flight.fly import launch_speed_m_s
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.motor import ROOM_C
from trimkit.settings import Change
from trimkit.units import Floats

GOOD_HUB = 2.0  # a hub that grips so many times the level torque never slips in common use; assumed
SOME_TURNS = 1000.0  # any number will do: only shares of it count


@dataclass(frozen=True, slots=True)
class Deviation:
    """One way in which an aeroplane, its launch or its hall can differ from the plan.

    Parameters
    ----------
    name : str
        Short name [-].
    usual : float
        Size that counts as 1; common practice, no source [in `unit`].
    unit : str
        Unit before it is divided by the usual size [-].
    meaning : str
        What + is, in plain words [-].
    """

    name: str
    usual: float
    unit: str
    meaning: str


DEVIATIONS = (
    Deviation("decalage", 1.0, "°", "more decalage: nose up"),
    Deviation("balance", 0.1, "of the chord", "balance point further back on the wing: nose up"),
    Deviation("reversed", 10.0, "% of the chord", "wing turned round on its saddle"),
    Deviation("left twist", 1.5, "°", "left tip's trailing edge down"),
    Deviation("right twist", 1.5, "°", "right tip's trailing edge down"),
    Deviation("fin", 1.0, "°", "fin's trailing edge to the left"),
    Deviation("tail tilt", 4.0, "°", "left tail tip up"),
    Deviation("side thrust", 2.0, "°", "thrust line to the left"),
    Deviation("down thrust", 2.0, "°", "thrust line down"),
    Deviation("wing offset", 0.01, "of the span", "wing to the right"),
    Deviation("covering", 0.03, "of its quality", "poorer covering on the whole wing"),
    Deviation("left covering", 0.1, "of its quality", "poorer covering on the left panel"),
    Deviation("droop", 4.0, "°", "left panel hangs lower"),
    Deviation("skew", 4.0, "°", "right tip ahead"),
    Deviation("tail slack", 0.5, "of full play", "looser tail joint"),
    Deviation("saddle slack", 0.5, "of full play", "looser saddle bands"),
    Deviation("bow", 0.1, "°/mN m", "softer stick"),
    Deviation("shaft bend", 3.0, "°", "bent shaft"),
    Deviation("bearing drag", 0.2, "of the level torque", "hook or washer binds"),
    Deviation("hub", 0.3, "of the grip", "propeller slips on its shaft"),
    Deviation("unequal blades", 6.0, "°", "second blade has more pitch"),
    Deviation("pitch", 5.0, "°", "more pitch on both blades"),
    Deviation("imbalance", 4.0, "g mm", "one blade heavier"),
    Deviation("track", 3.0, "mm", "blade tips run in two discs"),
    Deviation("weak rubber", 0.2, "of the torque", "rubber pulls less"),
    Deviation("dry rubber", 0.5, "of the lubricant", "drier rubber"),
    Deviation("section", 0.2, "of the section", "thicker, shorter loop"),
    Deviation("winding", 0.2, "of the turns", "more turns than the log says"),
    Deviation("mass", 0.15, "of the mass", "heavier"),
    Deviation("cold", 8.0, "°C", "colder hall and rubber"),
    Deviation("launch speed", 0.5, "of the glide's speed", "faster out of the hand"),
    Deviation("launch nose", 20.0, "°", "nose higher at the launch"),
    Deviation("launch bank", 25.0, "°", "left wing lower at the launch"),
    Deviation("restless air", 0.2, "m/s", "air swings more than in a quiet hall"),
)
NAMES = tuple(one.name for one in DEVIATIONS)
_USUAL = np.array([one.usual for one in DEVIATIONS])


@dataclass(frozen=True, slots=True)
class Design:
    """The aeroplane as it should be, and the two figures that others are compared with.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned, or as measured before the first flight [-].
    level_torque_mNm : float
        Torque of level flight in its own circle [mN m].
    glide_speed_m_s : float
        Speed of its glide [m/s].
    """

    aeroplane: Aeroplane
    level_torque_mNm: float
    glide_speed_m_s: float

    def __hash__(self) -> int:
        """Two figures and a name tell plans apart well enough; the whole is only compared."""
        return hash((self.aeroplane.name, self.level_torque_mNm, self.glide_speed_m_s))

    def job(self, turns: float = SOME_TURNS, seed: int = 0, scatter: float = 0.0) -> Job:
        """Return the flight as it should be: this aeroplane, a plain launch, a quiet hall.

        Parameters
        ----------
        turns : float
            Turns on the rubber [turns].
        seed : int
            Chooses the scatter of the launch and the swings of the air [-].
        scatter : float
            0 for an exact launch, 1 for a practised hand [-].

        Returns
        -------
        Job
            The flight [-].
        """
        launch = Launch(turns=turns, scatter=scatter)
        quiet = Hall(restless_m_s=QUIET_HALL_M_S)
        return Job(aeroplane=self.aeroplane, launch=launch, hall=quiet, seed=seed)

    def torque_ratio(self, turns: float) -> float:
        """Say what the plan's rubber gives at some turns.

        Parameters
        ----------
        turns : float
            Turns by the log [turns].

        Returns
        -------
        float
            Torque over the level torque [-].

        Raises
        ------
        ValueError
            When so many turns do not go on.
        """
        rubber = self.aeroplane.setting.motor
        return rubber.winding_torque_mNm(turns, Hall().temperature_c) / self.level_torque_mNm

    def turns(self, torque_ratio: float) -> float:
        """Say how many turns give a torque, with the plan's rubber.

        Parameters
        ----------
        torque_ratio : float
            Torque over the level torque [-].

        Returns
        -------
        float
            Turns, not rounded [turns].

        Raises
        ------
        ValueError
            When the loop would break before it gives that torque.
        """
        rubber = self.aeroplane.setting.motor
        wanted = torque_ratio * self.level_torque_mNm
        return motor.turns_for_torque(rubber, wanted, Hall().temperature_c)

    def deviations(self, job: Job) -> Floats:
        """Compare a flight with the one of the plan at the same turns by the log.

        Parameters
        ----------
        job : Job
            The flight, as a fault or a change of settings made it from `job()` [-].

        Returns
        -------
        numpy.ndarray
            One number for each of `DEVIATIONS`, 0 for as planned, 1 for a usual size [-].
        """
        planned = _effective(self, self.job())
        return np.asarray((_effective(self, job) - planned) / _USUAL)


@functools.lru_cache(maxsize=64)
def design(aeroplane: Aeroplane) -> Design:
    """Find what an aeroplane's deviations are compared with; kept for the next question.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned, or as measured before the first flight [-].

    Returns
    -------
    Design
        With its level torque and the speed of its glide [-].

    Raises
    ------
    ValueError
        When the aeroplane has no level flight.
    """
    return Design(aeroplane, level_torque_mNm(aeroplane), launch_speed_m_s(aeroplane))


def of_fault(plan: Design, name: str, size: float | None = None) -> Floats:
    """Say what a fault does, as deviations.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    name : str
        A name of `faults.CATALOGUE` [-].
    size : float or None
        How much; None for the middle of the fault's range [in the fault's unit].

    Returns
    -------
    numpy.ndarray
        One number for each of `DEVIATIONS` [-].

    Examples
    --------
    >>> from trimkit.flight.canon import demo_aeroplanes
    >>> trainer = Design(demo_aeroplanes()[0], 2.2, 2.3)
    >>> float(of_fault(trainer, "too-little-decalage", 1.2)[NAMES.index("decalage")].round(3))
    -1.2
    """
    return plan.deviations(faults.afflict(plan.job(), name, size))


def of_change(plan: Design, change: Change) -> Floats:
    """Say what a change of settings does, as deviations.

    Parameters
    ----------
    plan : Design
        The aeroplane before the change [-].
    change : Change
        Amounts, up or down; "turns" is no deviation but stands in the flight's torque [-].

    Returns
    -------
    numpy.ndarray
        One number for each of `DEVIATIONS` [-].

    Raises
    ------
    ValueError
        When a setting would leave its range.
    """
    moved = settings.changed(plan.aeroplane, change)
    return plan.deviations(replace(plan.job(), aeroplane=moved))


def _effective(plan: Design, job: Job) -> Floats:
    """The figures behind `DEVIATIONS`, in its order and units."""
    return np.array(
        [
            *_angles(job.aeroplane),
            *_frame(job.aeroplane),
            *_shaft(plan, job.aeroplane),
            *_rubber(plan, job),
            *_thrown(plan, job),
        ]
    )


def _angles(aeroplane: Aeroplane) -> list[float]:
    """From decalage to wing offset."""
    wing, now = aeroplane.build.wing, aeroplane.setting
    return [
        incidence.decalage_deg(aeroplane),
        balance.cg_fraction(aeroplane),
        wing.balance_percent,
        now.left_wash_in_deg + wing.left_warp_deg,
        now.right_wash_in_deg + wing.right_warp_deg,
        aeroplane.fin_deg,
        now.tail_tilt_deg,
        now.side_thrust_deg,
        now.down_thrust_deg,
        now.wing_offset_mm / wing.span_mm,
    ]


def _frame(aeroplane: Aeroplane) -> list[float]:
    """From covering to bow."""
    wing = aeroplane.build.wing
    return [
        -wing.covering_quality,
        -wing.left_covering_quality,
        wing.left_droop_deg,
        wing.skew_deg,
        aeroplane.build.tail.joint_slack,
        wing.saddle_slack,
        aeroplane.build.stick.bow_deg_mNm,
    ]


def _shaft(plan: Design, aeroplane: Aeroplane) -> list[float]:
    """From shaft bend to track."""
    stick, propeller = aeroplane.build.stick, aeroplane.setting.propeller
    grip = stick.hub_grip_mNm / (GOOD_HUB * plan.level_torque_mNm)
    second = propeller.second_blade_deg
    return [
        stick.shaft_bend_deg,
        stick.bearing_drag_mNm / plan.level_torque_mNm,
        1 - min(grip, 1.0),
        second,
        float(np.mean(propeller.blade_angles_deg)) + second / 2,
        stick.propeller_imbalance_g_mm,
        stick.propeller_track_mm,
    ]


def _rubber(plan: Design, job: Job) -> list[float]:
    """From weak rubber to cold."""
    fitted, planned = job.aeroplane.setting.motor, plan.aeroplane.setting.motor
    wound = job.launch.turns / fitted.limit_turns * planned.limit_turns / SOME_TURNS
    mass = balance.aeroplane_cg(job.aeroplane).mass_g
    return [
        -fitted.freshness,
        -fitted.lubrication,
        math.log(fitted.section_mm2 / planned.section_mm2),
        math.log(max(wound, 0.01)),
        math.log(mass / balance.aeroplane_cg(plan.aeroplane).mass_g),
        ROOM_C - job.hall.temperature_c,
    ]


def _thrown(plan: Design, job: Job) -> list[float]:
    """From launch speed to restless air."""
    speed = job.launch.speed_m_s or plan.glide_speed_m_s
    return [
        speed / plan.glide_speed_m_s,
        job.launch.pitch_deg,
        -job.launch.bank_deg,
        job.hall.restless_m_s,
    ]
