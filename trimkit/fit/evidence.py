"""What the logbook says of an aeroplane's flights, and the same read off computed flights."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trimkit import rules
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Flight, Hall, Job, Launch, fly_many
from trimkit.logbook import FlightRow
from trimkit.motor import RubberMotor
from trimkit.units import Floats

WIDE_M = (500.0, 500.0, 60.0)  # no walls: flights that hit something are left out of a fit
USUAL_C = 20.0
MIDDLE = (0.4, 0.7)  # of the time: where a lap is timed and a circle paced
LEAST_LAPS = 3.0  # fewer give no lap time by dividing
LEAST_S = 15.0  # a shorter flight is a dive or a stall, and no fit
LONGEST_S = 900.0
COARSE_STEP_S = 0.01

# How much one flight may differ from a computed one with the same figures, as standard deviations:
# the swings of the air and the hand (from 40 computed flights of each demo aeroplane in quiet air,
# widened until the intervals of tests/studies/fit_study.json held), and the reading (assumed).
TIME_S, TIME_SHARE = 8.0, 0.05
REV_SHARE, TURNS_READ = 0.02, 5.0
LAP_SHARE, LAP_READ_S, LAPS_READ = 0.03, 0.3, 0.4
CIRCLE_SHARE, CIRCLE_READ_M = 0.05, 0.4
HEIGHT_M, HEIGHT_SHARE = 1.2, 0.08
TORQUE_SHARE, TORQUE_READ_MNM = 0.02, 0.05
HEIGHT_UP_M = 0.4  # swings of the air raise the highest point; from the same flights
STEADY_S = 50.0  # in a shorter flight there are few laps to tell a circle from

SIGNS: Mapping[str, tuple[str, str]] = {
    "time": ("time", "s"),
    "revs": ("turns used each second", "1/s"),
    "lap": ("one lap", "s"),
    "circle": ("circle", "m"),
    "height": ("height", "m"),
    "torque": ("launch torque", "mN m"),
}


@dataclass(frozen=True, slots=True)
class SetUp:
    """Everything that makes two flights repeats of one another.

    Parameters
    ----------
    motor : str
        Number of the motor, "" for the aeroplane's own [-].
    turns, backed_off : int
        Turns wound on and taken off again [turns].
    temperature_c : float
        Of the hall, to the nearest 2 °C [°C].
    setting : tuple of (str, float)
        What is not at its mark [in the unit of each name].
    """

    motor: str
    turns: int
    backed_off: int
    temperature_c: float
    setting: tuple[tuple[str, float], ...] = ()

    def aeroplane(self, one: Aeroplane, motors: Mapping[str, RubberMotor]) -> Aeroplane:
        """Set an aeroplane up so.

        Parameters
        ----------
        one : Aeroplane
            At its marks [-].
        motors : mapping of str to RubberMotor
            Loops by number [-].

        Returns
        -------
        Aeroplane
            As it flew [-].

        Raises
        ------
        ValueError
            When a setting goes out of range.
        """
        against = {name: getattr(one.setting, name) + amount for name, amount in self.setting}
        loop = motors.get(self.motor)
        return replace(one, **against, **({"motor": loop} if loop else {}))

    def job(self, one: Aeroplane, motors: Mapping[str, RubberMotor]) -> Job:
        """Make the flight to compute.

        Parameters
        ----------
        one : Aeroplane
            At its marks [-].
        motors : mapping of str to RubberMotor
            Loops by number [-].

        Returns
        -------
        Job
            In still air, without walls [-].
        """
        return Job(
            aeroplane=self.aeroplane(one, motors),
            launch=Launch(turns=self.turns - self.backed_off, backed_off=self.backed_off),
            hall=Hall(size_m=WIDE_M, temperature_c=self.temperature_c),
            longest_s=LONGEST_S,
            step_s=COARSE_STEP_S,
        )


def set_up_of(flight: FlightRow, motors: Mapping[str, RubberMotor]) -> SetUp:
    """Say how a flight was set up.

    Parameters
    ----------
    flight : FlightRow
        The flight, with turns [-].
    motors : mapping of str to RubberMotor
        Loops by number; without any, every motor counts as the aeroplane's own [-].

    Returns
    -------
    SetUp
        What a repeat must share [-].
    """
    warm = USUAL_C if flight.temperature_c is None else 2 * round(flight.temperature_c / 2)
    return SetUp(
        motor=flight.motor if motors else "",
        turns=flight.turns or 0,
        backed_off=flight.backed_off,
        temperature_c=warm,
        setting=tuple(sorted(flight.setting.items())),
    )


def loops_of(motors: Sequence[rules.Motor]) -> dict[str, RubberMotor]:
    """Make the loops of a list of motors.

    Parameters
    ----------
    motors : sequence of rules.Motor
        The list [-].

    Returns
    -------
    dict of str to RubberMotor
        By number; motors whose figures make no loop are left out [-].
    """
    made = {one.number: one.rubber() for one in motors}
    return {number: loop for number, loop in made.items() if loop is not None}


def read_off(flight: FlightRow) -> dict[str, tuple[float, float]]:
    """What one row of the logbook says.

    Parameters
    ----------
    flight : FlightRow
        The flight [-].

    Returns
    -------
    dict of str to (float, float)
        By the names of `SIGNS`: the logarithm of the figure, and its standard deviation [-].
    """
    found: dict[str, tuple[float, float]] = {}

    def take(name: str, value: float | None, apart: float, shares: float) -> None:
        if value is not None and value > 0:
            found[name] = math.log(value), math.hypot(apart / value, shares)

    time, laps = flight.time_s, flight.laps
    few = max(STEADY_S / time, 1.0) if time else 1.0
    take("time", time, TIME_S, TIME_SHARE)
    if time and flight.turns_per_s:
        used = flight.turns_per_s * time
        take("revs", flight.turns_per_s, TURNS_READ * flight.turns_per_s / used, REV_SHARE)
    if flight.lap_s:
        take("lap", flight.lap_s, LAP_READ_S, few * LAP_SHARE)
    elif time and laps and laps >= LEAST_LAPS:
        lap = time / laps
        take("lap", lap, LAPS_READ * lap / laps, 2 * few * LAP_SHARE)
    take("circle", flight.circle_m, CIRCLE_READ_M, few * CIRCLE_SHARE)
    take("height", flight.height_m, HEIGHT_M, HEIGHT_SHARE)
    take("torque", flight.launch_torque_mNm, TORQUE_READ_MNM, TORQUE_SHARE)
    return found


def computed(flight: Flight) -> dict[str, float]:
    """The same figures of a computed flight.

    Parameters
    ----------
    flight : Flight
        The flight [-].

    Returns
    -------
    dict of str to float
        By the names of `SIGNS`, launch torque left out [as there].
    """
    time, heading = flight.duration_s, np.radians(flight.heading_deg)
    first, last = np.searchsorted(flight.time_s, [part * time for part in MIDDLE])
    apart = float(flight.time_s[last] - flight.time_s[first]) or 1.0
    turning = max(abs(float(heading[last] - heading[first])) / apart, 1e-3)
    speed = float(np.mean(flight.speed_m_s[first : last + 1]))
    return {
        "time": time,
        "revs": max(flight.turns_on - flight.turns_at_landing, 0.1) / time,
        "lap": 2 * math.pi / turning,
        "circle": 2 * speed / turning,
        "height": flight.peak_height_m + HEIGHT_UP_M,
    }


@dataclass(frozen=True, slots=True)
class Evidence:
    """Flights of a logbook, sorted by set-up.

    Parameters
    ----------
    set_ups : tuple of SetUp
        Each is computed once [-].
    rows : tuple of tuple of FlightRow
        The flights of each [-].
    motors : mapping of str to RubberMotor
        Loops by number [-].
    """

    set_ups: tuple[SetUp, ...]
    rows: tuple[tuple[FlightRow, ...], ...]
    motors: Mapping[str, RubberMotor]

    @property
    def flights(self) -> tuple[FlightRow, ...]:
        """All of them [-]."""
        return tuple(row for rows in self.rows for row in rows)

    def without(self, dropped: Sequence[FlightRow]) -> Evidence:
        """Leave some flights out.

        Parameters
        ----------
        dropped : sequence of FlightRow
            Which [-].

        Returns
        -------
        Evidence
            The rest; a set-up without flights goes [-].
        """
        kept = [tuple(row for row in rows if row not in dropped) for rows in self.rows]
        pairs = [(one, rows) for one, rows in zip(self.set_ups, kept, strict=True) if rows]
        return Evidence(tuple(p[0] for p in pairs), tuple(p[1] for p in pairs), self.motors)

    def figures(self, aeroplanes: Sequence[Aeroplane], motor_shares: Sequence[float]) -> Floats:
        """Compute what every flight of the logbook would show, for several aeroplanes.

        Parameters
        ----------
        aeroplanes : sequence of Aeroplane
            At their marks [-].
        motor_shares : sequence of float
            By how much the torque of every loop of the list is multiplied, for each [-].

        Returns
        -------
        numpy.ndarray
            (aeroplanes, set-ups, signs), logarithms; nan where nothing flew [-].
        """
        from trimkit.fit.unknowns import stronger

        jobs = []
        for one, share in zip(aeroplanes, motor_shares, strict=True):
            loops = {number: stronger(loop, share) for number, loop in self.motors.items()}
            jobs += [set_up.job(one, loops) for set_up in self.set_ups]
        found = np.full((len(jobs), len(SIGNS)), np.nan)
        for place, (job, flown) in enumerate(
            zip(jobs, fly_many(jobs, refused="keep"), strict=True)
        ):
            if isinstance(flown, Flight):
                told = {**computed(flown), "torque": _launch_torque_mNm(job)}
                found[place] = [math.log(max(told[name], 1e-3)) for name in SIGNS]
        return found.reshape(len(aeroplanes), len(self.set_ups), len(SIGNS))


def _launch_torque_mNm(job: Job) -> float:
    launch, loop = job.launch, job.aeroplane.setting.motor
    wound = min(launch.turns + launch.backed_off, loop.limit_turns)
    turns = min(launch.turns, wound)
    return float(loop.unwinding_torque_mNm(turns, wound, job.hall.temperature_c))


def gather(
    flights: Sequence[FlightRow], aeroplane: Aeroplane, motors: Mapping[str, RubberMotor]
) -> tuple[Evidence, tuple[str, ...]]:
    """Sort the flights that a fit can use, and say why others are left out.

    Parameters
    ----------
    flights : sequence of FlightRow
        Of one aeroplane [-].
    aeroplane : Aeroplane
        At its marks [-].
    motors : mapping of str to RubberMotor
        Loops by number, empty when there is no list [-].

    Returns
    -------
    (Evidence, tuple of str)
        What is used, and a sentence for each flight that is not [-].
    """
    groups: dict[SetUp, list[FlightRow]] = {}
    told = []
    for flight in flights:
        why = _why_not(flight, aeroplane, motors)
        if why:
            told.append(f"line {flight.line}, {flight.date}: {why}")
        else:
            groups.setdefault(set_up_of(flight, motors), []).append(flight)
    rows = tuple(tuple(group) for group in groups.values())
    return Evidence(tuple(groups), rows, motors), tuple(told)


def _why_not(flight: FlightRow, aeroplane: Aeroplane, motors: Mapping[str, RubberMotor]) -> str:
    if not flight.time_s or not flight.turns:
        return "no turns or no time is written down"
    if flight.hits:
        return f"it hit something ({flight.hit})"
    if flight.time_s < LEAST_S:
        return f"{flight.time_s:g} s is a dive or a stall; trim it first"
    if motors and flight.motor not in motors:
        return (
            f"motor {flight.motor or 'without a number'} is not in the list of motors, or its "
            "length and mass are not; measure it and write it in"
        )
    set_up = set_up_of(flight, motors)
    try:
        loop = set_up.aeroplane(aeroplane, motors).setting.motor
    except ValueError as error:
        return f"its setting cannot be: {error}"
    if flight.turns > loop.limit_turns:
        return (
            f"{flight.turns} turns are more than its motor of {loop.loop_mm:.0f} mm takes "
            f"({loop.limit_turns:.0f}); was the motor swapped, or its number mistyped?"
        )
    return ""
