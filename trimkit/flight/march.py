"""Step the equations of motion through time, compiled: Runge and Kutta's fourth order."""

from __future__ import annotations

import math

import numpy as np

from trimkit.flight.compiled import compiled
from trimkit.flight.equations import face_in_touch, lowest_point, rates
from trimkit.flight.model import QUATERNION, RATES, SHAFT_SPEED, STATES, VELOCITY, Model
from trimkit.units import Floats

FLYING, LANDED, LOST = 0, 1, 2
FASTEST_M_S = 60.0  # no indoor aeroplane: the step was too long for what happened
MOST_TOUCHES = 64


@compiled
def moving_rates(time: float, state: Floats, m: Model, held: bool, change: Floats) -> None:
    """Work out the rates; in the hand the body keeps still and only the rest moves.

    Parameters
    ----------
    time : float
        Now [s].
    state, change : numpy.ndarray
        The state, and its rates, written [SI].
    m : numpy record
        The model [SI].
    held : bool
        In the hand [-].
    """
    rates(time, state, m, change)
    if held:
        for i in range(3):
            change[SHAFT_SPEED] += m.hand * m.shaft[i] * change[RATES + i]
        for i in range(RATES + 3):
            change[i] = 0.0


@compiled
def step_once(time: float, state: Floats, m: Model, step: float, held: bool, work: Floats) -> None:
    """Take one step.

    Parameters
    ----------
    time, step : float
        Now, and how far to go [s].
    state : numpy.ndarray
        The state, moved on [SI].
    m : numpy record
        The model [SI].
    held : bool
        In the hand, see `moving_rates` [-].
    work : numpy.ndarray
        Room for five states (5, STATES) [-].
    """
    k1, k2, k3, k4, at = work[0], work[1], work[2], work[3], work[4]
    moving_rates(time, state, m, held, k1)
    for i in range(STATES):
        at[i] = state[i] + 0.5 * step * k1[i]
    moving_rates(time + 0.5 * step, at, m, held, k2)
    for i in range(STATES):
        at[i] = state[i] + 0.5 * step * k2[i]
    moving_rates(time + 0.5 * step, at, m, held, k3)
    for i in range(STATES):
        at[i] = state[i] + step * k3[i]
    moving_rates(time + step, at, m, held, k4)
    for i in range(STATES):
        state[i] += step / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i])


@compiled
def march(
    time: float,
    state: Floats,
    m: Model,
    step: float,
    steps: int,
    every: int,
    history: Floats,
    touches: Floats,
    held: bool,
) -> tuple[int, int, int, int, int]:
    """Take many steps, until the floor, the end of time, or figures that cannot be.

    Parameters
    ----------
    time, step : float
        Start, and length of a step [s].
    state : numpy.ndarray
        Start, and at the end the last state [SI].
    m : numpy record
        The model [SI].
    steps, every : int
        Most steps, and how many lie between two rows of the history [-].
    history : numpy.ndarray
        Rows of states, written; at least steps // every + 2 of them [SI].
    touches : numpy.ndarray
        Rows of step number and face, written when a touch begins [-].
    held : bool
        In the hand, see `moving_rates` [-].

    Returns
    -------
    (int, int, int, int, int)
        Steps taken, rows of history, touches, how it ended, and which point touched the
        floor [-].
    """
    work = np.empty((5, STATES))
    rows, found, before = 0, 0, 0
    for taken in range(steps):
        if taken % every == 0:
            history[rows] = state
            rows += 1
        step_once(time + taken * step, state, m, step, held, work)
        speed = 0.0
        for i in range(VELOCITY, RATES + 3):
            speed += abs(state[i])
        if not speed < 10.0 * FASTEST_M_S or not math.isfinite(state[QUATERNION]):
            return taken + 1, rows, found, LOST, 0
        if held:
            continue
        if -state[2] < m.reach:
            height, which = lowest_point(m, state)
            if height <= 0.0:
                history[rows] = state
                return taken + 1, rows + 1, found, LANDED, which
        if (
            abs(state[0]) + m.reach > m.room[0]
            or abs(state[1]) + m.reach > m.room[1]
            or m.reach - state[2] > m.room[2]
        ):
            face = face_in_touch(m, state)
            if face != 0 and before == 0 and found < touches.shape[0]:
                touches[found, 0], touches[found, 1] = taken + 1, face
                found += 1
            before = face
        else:
            before = 0
    history[rows] = state
    return steps, rows + 1, found, FLYING, 0
