"""What can be measured on the bench, and how well.

A reading is of the aeroplane as it is, faults and changes of settings included; what it should be
follows in the same way from the plan. The errors are fixed, so that nobody tunes them; they are
common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from trimkit import balance, incidence
from trimkit.faults import CATALOGUE
from trimkit.flight import Job
from trimkit.log import Result
from trimkit.units import Floats

RULER_MM = 0.5
PAIR_MM = RULER_MM * math.sqrt(2)  # two edges are read
FOUND, FALSE_ALARM = 0.8, 0.05  # a look finds a fault that is there, and cries wrong when none is
MISNAMED = 0.05  # of what is found: taken for another fault of that place; assumed
FOUND_READING = "found"
SOMETHING = "something"  # an eye sees an angle, a length or a mass that is off; a tool says which
SITS_AT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "tail": ("shim_mm", "tail_tilt_deg"),
        "wing": ("wing_station_mm", "left_wash_in_deg", "right_wash_in_deg", "wing_offset_mm"),
        "fin": ("fin_deg",),
        "propeller": ("side_thrust_deg", "down_thrust_deg"),
        "scales": ("ballast_g",),
    }
)


def touched(
    place: str, changes: Mapping[str, float], repairs: Collection[str]
) -> tuple[tuple[tuple[str, float], ...], tuple[str, ...]]:
    """Say what was changed or repaired at a place: only then does a second look tell anew.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].
    changes : mapping of str to float
        Settings in force against the start [in the unit of each].
    repairs : collection of str
        Faults that were repaired [-].

    Returns
    -------
    (tuple, tuple)
        Settings that sit there with their amounts, and faults repaired there [-].
    """
    moved = tuple(
        (name, round(changes[name], 6)) for name in SITS_AT.get(place, ()) if changes.get(name)
    )
    return moved, tuple(sorted(name for name in set(repairs) if CATALOGUE[name].place == place))


def sights(place: str) -> tuple[str, ...]:
    """List what an eye may say of a place.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].

    Returns
    -------
    tuple of str
        "" for nothing, `SOMETHING`, then each fault there that an eye can name [-].
    """
    return ("", SOMETHING, *(f.name for f in CATALOGUE.values() if f.place == place and f.by_eye))


def sight_chances(place: str, fault: str) -> Floats:
    """Say how likely an eye says each thing of a place, when a fault is there or not.

    What is there is found with `FOUND`, and named when an eye can name it; with `MISNAMED` it is
    taken for another. Where nothing is, an eye cries wrong with `FALSE_ALARM`, and means any.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].
    fault : str
        A fault that is on the aeroplane, or any other word for none [-].

    Returns
    -------
    numpy.ndarray
        In the order of `sights`, together 1 [-].
    """
    said = sights(place)
    chances = np.zeros(len(said))
    for name, share in _meant(place, fault).items():
        chances[said.index(name if name in said else SOMETHING)] += share
    chances[0] = 1 - chances[1:].sum()
    return chances


def _meant(place: str, fault: str) -> dict[str, float]:
    """Chance that an eye finds something and means each fault of a place."""
    here = [name for name, known in CATALOGUE.items() if known.place == place]
    others = [name for name in here if name != fault]
    if fault not in here:
        return dict.fromkeys(here, FALSE_ALARM / len(here))
    wrong = MISNAMED if others else 0.0
    return {
        fault: FOUND * (1 - wrong),
        **dict.fromkeys(others, FOUND * wrong / max(len(others), 1)),
    }


def sight(place: str, faults: Collection[str], chance: np.random.Generator) -> str:
    """Look at a place as an eye would.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].
    faults : collection of str
        What is wrong with the aeroplane and not repaired [-].
    chance : numpy.random.Generator
        Where the luck comes from [-].

    Returns
    -------
    str
        One of `sights(place)` [-].
    """
    here = [name for name in faults if name in CATALOGUE and CATALOGUE[name].place == place]
    for fault in here or [""]:
        seen = str(chance.choice(sights(place), p=sight_chances(place, fault)))
        if seen:
            return seen
    return ""


def looked(seen: str, words: str = "") -> Result:
    """Write down what an eye says.

    Parameters
    ----------
    seen : str
        One of `sights` [-].
    words : str
        The same in words [-].

    Returns
    -------
    Result
        Found or not, and what was named [-].
    """
    return Result(words=words, readings={FOUND_READING: float(seen != "")}, named=seen)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One thing that can be measured.

    Parameters
    ----------
    name : str
        Its name, with its unit; the name in a log's readings, too [-].
    title : str
        What the bench calls it [-].
    unit : str
        Unit [-].
    minutes : float
        Time it takes; common practice, no source [min].
    error : callable
        From the job and the true value to the standard deviation [in that unit].
    of : callable
        From the job to the true value [in that unit].
    """

    name: str
    title: str
    unit: str
    minutes: float
    error: Callable[[Job, float], float]
    of: Callable[[Job], float]

    def read(self, job: Job, seed: int) -> float:
        """Measure as a careful hand would.

        Parameters
        ----------
        job : Job
            The aeroplane as it is, its motor and its hall [-].
        seed : int
            The same seed gives the same reading error [-].

        Returns
        -------
        float
            What is read [in the reading's unit].
        """
        true = self.of(job)
        chance = float(np.random.default_rng([seed, 3]).standard_normal())
        return true + self.error(job, true) * chance


def _edges_deg(*chords_mm: float) -> float:
    """Two edges of each chord by ruler, as one angle."""
    return math.degrees(math.hypot(*(PAIR_MM / chord for chord in chords_mm)))


def _decalage_error(job: Job, _: float) -> float:
    build = job.aeroplane.build
    return _edges_deg(build.wing.root_chord_mm, build.tail.chord_mm)


def _tip_error(job: Job, _: float) -> float:
    wing = job.aeroplane.build.wing
    return _edges_deg(wing.tip_chord_mm, wing.root_chord_mm)


def _fin_error(job: Job, _: float) -> float:
    return _edges_deg(job.aeroplane.build.fin.chord_mm)


def _tilt_error(job: Job, _: float) -> float:
    return _edges_deg(job.aeroplane.build.tail.span_mm)


def _disc_error(job: Job, _: float) -> float:
    return _edges_deg(job.aeroplane.setting.propeller.diameter_mm)


def _skew_error(job: Job, _: float) -> float:
    return _edges_deg(job.aeroplane.build.wing.span_mm / 2)


def _torque_mNm(job: Job) -> float:
    rubber = job.aeroplane.setting.motor
    turns = min(job.launch.turns, rubber.limit_turns)
    return rubber.winding_torque_mNm(turns, job.hall.temperature_c)


def _blade_deg(job: Job) -> float:
    return float(np.mean(job.aeroplane.setting.propeller.blade_angles_deg))


_ALL = (
    Reading(
        name="decalage_deg",
        title="decalage, by ruler at both edges of wing and tail",
        unit="°",
        minutes=4,
        error=_decalage_error,
        of=lambda job: incidence.decalage_deg(job.aeroplane),
    ),
    Reading(
        name="balance_point_mm",
        title="balance point behind the wing's leading edge",
        unit="mm",
        minutes=2,
        error=lambda job, value: 1.0,
        of=lambda job: balance.balance_point_mm(job.aeroplane),
    ),
    Reading(
        name="left_twist_deg",
        title="twist of the left wing tip, by ruler",
        unit="°",
        minutes=4,
        error=_tip_error,
        of=lambda job: incidence.panel_twist_deg(job.aeroplane).left_deg,
    ),
    Reading(
        name="right_twist_deg",
        title="twist of the right wing tip, by ruler",
        unit="°",
        minutes=4,
        error=_tip_error,
        of=lambda job: incidence.panel_twist_deg(job.aeroplane).right_deg,
    ),
    Reading(
        name="fin_deg",
        title="fin's angle, by ruler",
        unit="°",
        minutes=2,
        error=_fin_error,
        of=lambda job: job.aeroplane.fin_deg,
    ),
    Reading(
        name="tail_tilt_deg",
        title="tail tilt, by ruler at both tips",
        unit="°",
        minutes=2,
        error=_tilt_error,
        of=lambda job: job.aeroplane.setting.tail_tilt_deg,
    ),
    Reading(
        name="skew_deg",
        title="wing's skew, by ruler from each tip to the tail",
        unit="°",
        minutes=3,
        error=_skew_error,
        of=lambda job: job.aeroplane.build.wing.skew_deg,
    ),
    Reading(
        name="side_thrust_deg",
        title="side thrust, by ruler from a blade's tip left and right",
        unit="°",
        minutes=3,
        error=_disc_error,
        of=lambda job: job.aeroplane.setting.side_thrust_deg,
    ),
    Reading(
        name="down_thrust_deg",
        title="down thrust, by ruler from a blade's tip above and below",
        unit="°",
        minutes=3,
        error=_disc_error,
        of=lambda job: job.aeroplane.setting.down_thrust_deg,
    ),
    Reading(
        name="mass_g",
        title="mass on the scales, ready to fly",
        unit="g",
        minutes=2,
        error=lambda job, value: 0.05,
        of=lambda job: balance.aeroplane_cg(job.aeroplane).mass_g,
    ),
    Reading(
        name="propeller_g",
        title="propeller on the scales, with its shaft",
        unit="g",
        minutes=3,
        error=lambda job, value: 0.05,
        of=lambda job: job.aeroplane.setting.propeller.mass_g,
    ),
    Reading(
        name="motor_g",
        title="rubber loop on the scales",
        unit="g",
        minutes=2,
        error=lambda job, value: 0.02,
        of=lambda job: job.aeroplane.setting.motor.mass_g,
    ),
    Reading(
        name="torque_mNm",
        title="torque of the wound motor, by torque meter",
        unit="mN m",
        minutes=3,
        error=lambda job, value: 0.05 * value,
        of=_torque_mNm,
    ),
    Reading(
        name="loop_mm",
        title="length of the rubber loop, by ruler",
        unit="mm",
        minutes=2,
        error=lambda job, value: 3.0,
        of=lambda job: job.aeroplane.setting.motor.loop_mm,
    ),
    Reading(
        name="temperature_c",
        title="temperature of the hall",
        unit="°C",
        minutes=2,
        error=lambda job, value: 0.5,
        of=lambda job: job.hall.temperature_c,
    ),
    Reading(
        name="first_blade_deg",
        title="pitch gauge on the first blade",
        unit="°",
        minutes=2,
        error=lambda job, value: 1.0,
        of=_blade_deg,
    ),
    Reading(
        name="second_blade_deg",
        title="pitch gauge on the second blade",
        unit="°",
        minutes=2,
        error=lambda job, value: 1.0,
        of=lambda job: _blade_deg(job) + job.aeroplane.setting.propeller.second_blade_deg,
    ),
)
READINGS: Mapping[str, Reading] = MappingProxyType({one.name: one for one in _ALL})
