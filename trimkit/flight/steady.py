"""The steady flight: the powered circle or the glide, as a root of the equations of motion.

The blades are averaged over a turn, so the right-hand side is the same one, with no time in
it. A steady flight is a helix: the body turns about the vertical at a constant rate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.flight.equations import blade_forces, motor_torque, rates
from trimkit.flight.fly import attitude, launch_speed_m_s, prepare, start
from trimkit.flight.hall import Hall
from trimkit.flight.launch import Launch
from trimkit.flight.linear import modes, slopes
from trimkit.flight.march import march
from trimkit.flight.model import (
    CIRCULATION,
    ENERGY,
    PANELS,
    QUATERNION,
    RATES,
    ROCK,
    SHAFT_ANGLE,
    SHAFT_SPEED,
    SLANT,
    STATES,
    TAIL_PITCH,
    TAIL_TWIST,
    TURNS,
    VELOCITY,
    Model,
    check_possible,
    model_of,
)
from trimkit.units import Floats

AZIMUTHS = 4
SETTLE_S, SETTLE_STEP_S = 12.0, 0.005
FAR_M = 1e6  # no walls
WEAKER = tuple(np.linspace(0.25, 1.0, 13))  # shares of the torque on the way up
CLOSE = 1e-7  # of the scaled rates
# the unknowns: bank, pitch, rate of turning, then these parts of the state
_KEPT = np.array(
    [
        *range(VELOCITY, VELOCITY + 3),
        SHAFT_SPEED,
        TAIL_PITCH,
        TAIL_TWIST,
        ROCK,
        *range(CIRCULATION - 2, SLANT + 2),
    ]
)
_WANTED = np.array(
    [
        *range(VELOCITY, VELOCITY + 6),
        SHAFT_SPEED,
        TAIL_PITCH + 1,
        TAIL_TWIST + 1,
        ROCK + 1,
        *range(CIRCULATION - 2, SLANT + 2),
    ]
)
_SCALE = np.array([*[1.0] * 3, *[10.0] * 3, 100.0, *[1000.0] * 3, *[1.0] * 2, *[1.0] * PANELS])
_SCALE = np.concatenate([_SCALE, np.full(_WANTED.size - _SCALE.size, 10.0)])


@dataclass(frozen=True, slots=True, eq=False)
class Steady:
    """A steady flight.

    Parameters
    ----------
    speed_m_s : float
        Through the air [m/s].
    angle_of_attack_deg : float
        Wing's root chord against the path, as in `trim` [deg].
    slip_deg : float
        Air from the right [deg].
    roll_deg, pitch_deg : float
        Attitude, + right wing down, + nose up [deg].
    turn_rate_deg_s : float
        Heading, + to the right [deg/s].
    radius_m : float
        Of the circle, + to the right; infinite for a straight flight [m].
    climb_m_s : float
        Height gained each second [m/s].
    revs_per_s : float
        Of the propeller [1/s].
    torque_mNm : float
        Of the rubber [mN m].
    shaft_torque_mNm : float
        That the air holds against the propeller [mN m].
    thrust_mN : float
        Along the thrust line [mN].
    modes_per_s : numpy.ndarray
        How small disturbances grow (real part above 0) or die out [1/s].
    state : numpy.ndarray
        The state, heading north [SI].
    model : numpy record
        The model [SI].
    """

    speed_m_s: float
    angle_of_attack_deg: float
    slip_deg: float
    roll_deg: float
    pitch_deg: float
    turn_rate_deg_s: float
    radius_m: float
    climb_m_s: float
    revs_per_s: float
    torque_mNm: float
    shaft_torque_mNm: float
    thrust_mN: float
    modes_per_s: np.ndarray[tuple[int, ...], np.dtype[np.complex128]]
    state: Floats
    model: Model

    @property
    def settles(self) -> bool:
        """Small disturbances die out [-]."""
        return bool(self.modes_per_s.real.max() < 0)


def state_of(unknown: Floats, turns: float) -> Floats:
    bank, pitch, turning = unknown[:3]
    state = np.zeros(STATES)
    state[QUATERNION : QUATERNION + 4] = attitude(bank, pitch)
    state[RATES] = -turning * math.sin(pitch)
    state[RATES + 1] = turning * math.cos(pitch) * math.sin(bank)
    state[RATES + 2] = turning * math.cos(pitch) * math.cos(bank)
    state[2], state[TURNS] = -1000.0, turns
    state[_KEPT] = unknown[3:]
    return state


def unknown_of(state: Floats) -> Floats:
    w, x, y, z = state[QUATERNION : QUATERNION + 4]
    bank = math.atan2(2 * (w * x + y * z), 1 - 2 * (x * x + y * y))
    pitch = math.asin(max(min(2 * (w * y - x * z), 1.0), -1.0))
    down = np.array(
        [-math.sin(pitch), math.cos(pitch) * math.sin(bank), math.cos(pitch) * math.cos(bank)]
    )
    turning = float(state[RATES : RATES + 3] @ down)
    return np.concatenate([[bank, pitch, turning], state[_KEPT]])


def rates_of(model: Model, state: Floats) -> Floats:
    """Evaluate the right-hand side once.

    Parameters
    ----------
    model : numpy record
        The model [SI].
    state : numpy.ndarray
        The state [SI].

    Returns
    -------
    numpy.ndarray
        How fast each part of the state changes [SI/s].
    """
    change = np.empty(STATES)
    rates(0.0, np.ascontiguousarray(state), model, change)
    return change


def settled(model: Model, launch: Launch) -> list[Floats]:
    """Fly for a while, to have places from which a root may be found.

    Parameters
    ----------
    model : numpy record
        The model [SI].
    launch : Launch
        How the flight begins [-].

    Returns
    -------
    list of numpy.ndarray
        Unknowns: the mean over the end of the flight, its last and its first [SI].
    """
    state = start(model, launch)
    state[2] = -1000.0
    steps = round(SETTLE_S / SETTLE_STEP_S)
    history, touches = np.empty((steps + 2, STATES)), np.empty((1, 2))
    march(0.0, state, model, SETTLE_STEP_S, 60, 1, history, touches, True)
    _, rows, *_ = march(0.0, state, model, SETTLE_STEP_S, steps, 1, history, touches, False)
    unknown = np.array([unknown_of(row) for row in history[max(rows - 1200, 0) : rows : 20]])
    return [unknown.mean(axis=0), unknown[-1], unknown[0]]


def left_over(model: Model, state: Floats) -> Floats:
    """How far a state is from a steady flight.

    Parameters
    ----------
    model : numpy record
        The model [SI].
    state : numpy.ndarray
        The state [SI].

    Returns
    -------
    numpy.ndarray
        The rates that would be nothing, scaled [-].
    """
    return np.asarray(rates_of(model, state)[_WANTED] / _SCALE)


def root_of(model: Model, guesses: list[Floats], turns: float) -> Floats | None:
    from scipy.optimize import root

    def missing(unknown: Floats) -> Floats:
        return left_over(model, state_of(unknown, turns))

    for guess in guesses:
        if not np.all(np.isfinite(guess)):
            continue
        for method in ("hybr", "lm"):
            found = root(missing, guess, method=method, options={"xtol": 1e-12})
            if np.max(np.abs(missing(found.x))) < CLOSE and abs(found.x[1]) < math.pi / 2:
                return np.asarray(found.x)
    return None


def _led_up(model: Model, launch: Launch) -> Floats | None:
    """Start from a weak motor, whose circle is calm, and lead the root up to the true torque."""
    weaker, found = model.copy(), None
    for share in WEAKER:
        weaker["torque"] = share * model["torque"]
        guesses = settled(weaker, launch) if found is None else [found]
        found = root_of(weaker, guesses, launch.turns)
    return found


def steady(
    aeroplane: Aeroplane,
    turns: float,
    hall: Hall | None = None,
    *,
    wound: float | None = None,
    propeller: bool = True,
) -> Steady:
    """Find the steady flight of an aeroplane at some turns on its rubber.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    turns : float
        Turns on the rubber, kept as they are [turns].
    hall : Hall or None
        Its air and temperature; None for 20 °C [-].
    wound : float or None
        Most turns that were on it; None for `turns` [turns].
    propeller : bool
        False for a glide with the propeller's mass and without its forces [-].

    Returns
    -------
    Steady
        The circle, or the straight glide [-].

    Raises
    ------
    ValueError
        When there is none to be found: the aeroplane dives, or spins in.
    """
    check_possible(aeroplane)
    hall = hall or Hall()
    hall = Hall(air=hall.air, temperature_c=hall.temperature_c)
    model = model_of(aeroplane, turns, hall, wound=wound, propeller=propeller, azimuths=AZIMUTHS)
    model["unwinds"], model["room"] = 0.0, FAR_M
    prepare()
    speed = launch_speed_m_s(aeroplane)
    guesses = settled(model, Launch(turns=turns, speed_m_s=speed))
    found = root_of(model, guesses, turns)
    if found is None:
        found = _led_up(model, Launch(turns=turns, speed_m_s=speed))
    if found is None:
        raise ValueError(
            f"{aeroplane.name}: no steady flight was found at {turns:g} turns; it may dive, spin "
            "in, or keep on swinging. Fly it and watch."
        )
    return _record(aeroplane, model, state_of(found, turns), float(found[2]))


def _record(aeroplane: Aeroplane, model: Model, state: Floats, turning: float) -> Steady:
    change = rates_of(model, state)
    u, v, w = state[VELOCITY : VELOCITY + 3]
    speed, level = math.sqrt(u * u + v * v + w * w), math.hypot(change[0], change[1])
    unknown = unknown_of(state)
    x, y, z = (float(part) for part in model["shaft"])
    axis = (x, y, z)
    loads, held, _ = blade_forces(model, state, axis, np.empty(STATES))
    density = float(model["density"])
    incidence = aeroplane.build.wing.incidence_deg
    return Steady(
        speed_m_s=speed,
        angle_of_attack_deg=math.degrees(math.atan2(w, u)) + incidence,
        slip_deg=math.degrees(math.asin(v / speed)),
        roll_deg=math.degrees(unknown[0]),
        pitch_deg=math.degrees(unknown[1]),
        turn_rate_deg_s=math.degrees(turning),
        radius_m=level / turning if abs(turning) > 1e-6 else math.inf,
        climb_m_s=-float(change[2]),
        revs_per_s=float(state[SHAFT_SPEED]) / (2 * math.pi),
        torque_mNm=1000 * float(motor_torque(model, float(state[TURNS]))),
        shaft_torque_mNm=1000 * density * held,
        thrust_mN=1000 * density * float(np.dot(loads[:3], axis)),
        modes_per_s=modes_of(model, state),
        state=state,
        model=model,
    )


def modes_of(model: Model, state: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.complex128]]:
    """Modes of the steady flight; the attitude is bank and pitch, for heading does not matter."""
    free = np.array([i for i in range(VELOCITY, STATES) if i not in (TURNS, SHAFT_ANGLE, ENERGY)])

    def moving(part: Floats) -> Floats:
        bank, pitch = part[:2]
        whole = state.copy()
        whole[QUATERNION : QUATERNION + 4] = attitude(bank, pitch)
        whole[free] = part[2:]
        p, q, r = whole[RATES : RATES + 3]
        inward = q * math.sin(bank) + r * math.cos(bank)
        turning = p + math.tan(pitch) * inward, q * math.cos(bank) - r * math.sin(bank)
        return np.concatenate([turning, rates_of(model, whole)[free]])

    return modes(slopes(moving, np.concatenate([unknown_of(state)[:2], state[free]])))
