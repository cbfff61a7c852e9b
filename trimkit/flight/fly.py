"""Fly one aeroplane once."""

from __future__ import annotations

import functools
import math
import sys
import threading
from dataclasses import dataclass, replace

import numpy as np

from trimkit import balance, trim
from trimkit.aeroplane import Aeroplane
from trimkit.flight.hall import Hall
from trimkit.flight.launch import Launch
from trimkit.flight.march import LANDED, LOST, MOST_TOUCHES, march
from trimkit.flight.model import (
    MODEL_TYPE,
    POSITION,
    QUATERNION,
    STATES,
    TOUCH_NAMES,
    TOUCHES,
    TURNS,
    VELOCITY,
    Model,
    check_possible,
    model_of,
)
from trimkit.flight.record import Event, Flight, arrays_of
from trimkit.section import HIGHEST_REYNOLDS, LOWEST_REYNOLDS
from trimkit.units import Floats

STEP_S = 0.005
LONGEST_STEP_S, SHORTEST_STEP_S = 0.01, 1e-5
SAMPLES_PER_S = 50.0
LONGEST_S = 1800.0  # half an hour: no rubber of this size turns longer
SAY_AFTER_S = 0.8
STEEP_DEG, NOTE_AFTER_S = 45.0, 0.5
FOLDED_DEG = 20.0  # past this an angle of a joint is no longer small

_compiled = threading.Event()


@dataclass(frozen=True, slots=True)
class _Run:
    """What a march gave, before it is put into words."""

    history: Floats
    time_s: Floats
    touches: Floats
    end: int
    point: int


@functools.lru_cache(maxsize=256)
def launch_speed_m_s(aeroplane: Aeroplane) -> float:
    """Return the speed of an aeroplane's own glide, a fair speed for the hand.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].

    Returns
    -------
    float
        From `trim.glide`, held between 0.5 and 6 m/s [m/s].
    """
    glide = trim.glide(aeroplane)
    level = trim.wings_level_speed_m_s(
        balance.aeroplane_cg(aeroplane).mass_g, aeroplane.build.wing.area_mm2, 0.7
    )
    return min(max(min(glide.speed_m_s, 1.15 * level), 0.5), 6.0)


def attitude(roll_rad: float, pitch_rad: float, heading_rad: float = 0.0) -> Floats:
    """Return the attitude from heading, then pitch, then roll.

    Parameters
    ----------
    roll_rad, pitch_rad, heading_rad : float
        + right wing down, nose up, nose to the right [rad].

    Returns
    -------
    numpy.ndarray
        Quaternion, body to earth, scalar first [-].
    """
    (cr, sr), (cp, sp), (ch, sh) = (
        (math.cos(angle / 2), math.sin(angle / 2)) for angle in (roll_rad, pitch_rad, heading_rad)
    )
    return np.array(
        [
            cr * cp * ch + sr * sp * sh,
            sr * cp * ch - cr * sp * sh,
            cr * sp * ch + sr * cp * sh,
            cr * cp * sh - sr * sp * ch,
        ]
    )


def start(model: Model, thrown: Launch, incidence_rad: float = 0.0) -> Floats:
    """Return the state in the hand, at launching speed, with the propeller still.

    Parameters
    ----------
    model : numpy record
        The model [SI].
    thrown : Launch
        As the hand does it [-].
    incidence_rad : float
        Angle of the stick above the direction of the throw [rad].

    Returns
    -------
    numpy.ndarray
        The state [SI].
    """
    state = np.zeros(STATES)
    state[POSITION : POSITION + 3] = thrown.north_m, thrown.east_m, -thrown.height_m
    state[QUATERNION : QUATERNION + 4] = attitude(
        *np.radians([thrown.bank_deg, thrown.pitch_deg, thrown.heading_deg])
    )
    speed = thrown.speed_m_s
    state[VELOCITY] = speed * math.cos(incidence_rad)
    state[VELOCITY + 2] = speed * math.sin(incidence_rad)
    state[TURNS] = thrown.turns
    return state


def _march(
    model: Model, state: Floats, step_s: float, every: int, longest_s: float, held: bool
) -> _Run:
    steps = max(round(longest_s / step_s), 1)
    history = np.empty((steps // every + 3, STATES))
    touches = np.empty((MOST_TOUCHES, 2))
    taken, rows, found, end, point = march(
        0.0, state, model, step_s, steps, every, history, touches, held
    )
    time = np.arange(rows, dtype=np.float64) * every * step_s
    time[-1] = taken * step_s
    return _Run(history[:rows], time, touches[:found], end, point)


def _say_when_slow() -> threading.Timer:
    """Tell people what a first flight is doing, when it takes long."""

    def say() -> None:
        sys.stderr.write(
            "trimkit: first flight on this machine. Preparing the flight engine: it takes about "
            "half a minute, once.\n"
        )
        sys.stderr.flush()

    timer = threading.Timer(SAY_AFTER_S, say)
    timer.daemon = True
    timer.start()
    return timer


def prepare() -> None:
    """Compile the flight engine, or fetch it from the disk, and say so when it takes long."""
    if _compiled.is_set():
        return
    timer = _say_when_slow()
    try:
        model, state = np.zeros(1, MODEL_TYPE)[0], np.zeros(STATES)
        march(0.0, state, model, STEP_S, 0, 1, np.empty((1, STATES)), np.empty((1, 2)), True)
    finally:
        timer.cancel()
    _compiled.set()


def fly(
    aeroplane: Aeroplane,
    turns: float | None = None,
    launch: Launch | None = None,
    hall: Hall | None = None,
    seed: int = 0,
    step_s: float = STEP_S,
    *,
    samples_per_s: float = SAMPLES_PER_S,
    longest_s: float = LONGEST_S,
    propeller: bool = True,
) -> Flight:
    """Fly an aeroplane from the hand to the floor.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    turns : float or None
        Turns on the rubber at the launch; None when `launch` says it [turns].
    launch : Launch or None
        How it leaves the hand; None for a level launch at the speed of its glide [-].
    hall : Hall or None
        The hall; None for a quiet one of 40 by 30 by 15 m at 20 °C [-].
    seed : int
        Chooses the scatter of the launch and the swings of the air [-].
    step_s : float
        Step of the integration, .00001 to .01; .005 is converged, see the tests [s].
    samples_per_s : float
        Rows of the history for each second [1/s].
    longest_s : float
        The flight is cut off then [s].
    propeller : bool
        False leaves the propeller's mass and takes its forces away [-].

    Returns
    -------
    Flight
        What it did [-].

    Raises
    ------
    ValueError
        When the aeroplane cannot fly, the turns are too many, or the figures got lost.

    Examples
    --------
    >>> from trimkit import load_aeroplane
    >>> from trimkit.places import demo_folder
    >>> flight = fly(load_aeroplane(demo_folder() / "aeroplanes/hallfinch-46.toml"), turns=400)
    >>> flight.ended
    'landed'
    """
    hall = hall or Hall()
    asked = _launch(turns, launch)
    if not SHORTEST_STEP_S <= step_s <= LONGEST_STEP_S:
        raise ValueError(
            f"step_s is {step_s:g}; allowed is {SHORTEST_STEP_S:g} to {LONGEST_STEP_S:g} s"
        )
    check_possible(aeroplane)
    if asked.speed_m_s == 0:
        asked = replace(asked, speed_m_s=launch_speed_m_s(aeroplane))
    thrown = asked.thrown(seed)
    _check_place(thrown, hall)
    wound = thrown.turns + thrown.backed_off
    model = model_of(aeroplane, thrown.turns, hall, wound=wound, propeller=propeller, seed=seed)
    prepare()
    notes: list[str] = []
    for finer in (1, 2, 4):
        step = step_s / finer
        every = max(round(1 / (samples_per_s * step)), 1)
        state = start(model, thrown)
        hold = _march(model, state, step, every, thrown.hold_s, True) if thrown.hold_s else None
        run = _march(model, state, step, every, longest_s, False)
        if run.end != LOST and (hold is None or hold.end != LOST):
            return _flight(aeroplane, thrown, hall, seed, step, run, tuple(notes))
        notes = [f"the step was made {2 * finer} times finer: something moved very fast"]
    raise ValueError(
        f"{aeroplane.name}: the flight cannot be followed beyond {run.time_s[-1]:.2f} s, even "
        f"with steps of {step:g} s; is a part very light, or a joint very stiff?"
    )


def _launch(turns: float | None, launch: Launch | None) -> Launch:
    if launch is None:
        if turns is None:
            raise ValueError("give turns, or a Launch with its turns")
        return Launch(turns=turns)
    return launch if turns is None else replace(launch, turns=turns)


def _check_place(thrown: Launch, hall: Hall) -> None:
    north, east, height = hall.size_m
    inside = (
        abs(thrown.north_m) < north / 2
        and abs(thrown.east_m) < east / 2
        and thrown.height_m < height
    )
    if not inside:
        raise ValueError(
            f"the launch at {thrown.north_m:g} m north, {thrown.east_m:g} m east and "
            f"{thrown.height_m:g} m high is outside the hall of {north:g} by {east:g} by "
            f"{height:g} m"
        )


def _flight(
    aeroplane: Aeroplane,
    thrown: Launch,
    hall: Hall,
    seed: int,
    step: float,
    run: _Run,
    notes: tuple[str, ...],
) -> Flight:
    landed = TOUCH_NAMES[run.point] if run.end == LANDED else ""
    made = Flight(
        name=aeroplane.name,
        turns_on=thrown.turns,
        seed=seed,
        step_s=step,
        time_s=run.time_s,
        ended="landed" if landed else "time over",
        landed_on=landed,
        events=(),
        notes=(),
        **arrays_of(run.history),
    )
    return replace(
        made,
        events=_events(made, run, step, landed),
        notes=notes + tuple(_notes(made, aeroplane, hall)),
    )


def _events(made: Flight, run: _Run, step: float, landed: str) -> tuple[Event, ...]:
    found = []
    for when, face in run.touches:
        what = "hit the ceiling" if face > TOUCHES else "hit a wall"
        found.append(Event(float(when) * step, what, TOUCH_NAMES[int(face - 1) % TOUCHES]))
    out = np.flatnonzero(made.turns_left <= 0)
    if out.size and made.turns_on > 0:
        found.append(Event(float(made.time_s[out[0]]), "motor run out"))
    if landed:
        found.append(Event(made.duration_s, "landed", landed))
    return tuple(sorted(found, key=lambda event: event.time_s))


def _notes(made: Flight, aeroplane: Aeroplane, hall: Hall) -> list[str]:
    """Where the flight left what the model is valid for."""
    apart = np.diff(made.time_s, prepend=0.0)
    chord = aeroplane.build.wing.mean_chord_mm / 1000
    reynolds = made.speed_m_s * chord / hall.kinematic_viscosity_m2_s
    steep = np.abs(made.angle_of_attack_deg) > STEEP_DEG
    folded = np.degrees(np.abs(made.joints_rad)).max(axis=1) > FOLDED_DEG
    checks = (
        (reynolds > HIGHEST_REYNOLDS, f"faster than a Reynolds number of {HIGHEST_REYNOLDS:g}"),
        (reynolds < LOWEST_REYNOLDS, f"slower than a Reynolds number of {LOWEST_REYNOLDS:g}"),
        (steep, f"air from more than {STEEP_DEG:g}° off the nose"),
        (folded, f"a joint bent by more than {FOLDED_DEG:g}°"),
    )
    seconds = [(float(apart[where].sum()), what) for where, what in checks]
    return [
        f"{what} for {time:.1f} s: the figures are rough there"
        for time, what in seconds
        if time > NOTE_AFTER_S
    ]
