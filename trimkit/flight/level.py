"""The torque at which an aeroplane just holds its height in its own circle.

Facts about power travel from aeroplane to aeroplane as multiples of this torque.
"""

from __future__ import annotations

import math

import numpy as np

from trimkit import motor, trim
from trimkit.aeroplane import Aeroplane
from trimkit.flight.fly import launch_speed_m_s, prepare
from trimkit.flight.hall import Hall
from trimkit.flight.launch import Launch
from trimkit.flight.model import check_possible, model_of
from trimkit.flight.steady import AZIMUTHS, FAR_M, left_over, rates_of, root_of, settled, state_of
from trimkit.units import Floats, checked

FIRST_GUESS = 1.15  # of the torque for level flight in a straight line, as `trim` has it
TURNS = 100.0  # any number will do: the torque is held


def level_torque_mNm(aeroplane: Aeroplane, hall: Hall | None = None) -> float:
    """Find the rubber's torque at which the powered circle neither climbs nor sinks.

    `trim.level` gives less: it flies straight, and leaves out sticks, posts and the stream.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    hall : Hall or None
        Its air; None for 20 °C [-].

    Returns
    -------
    float
        Torque of the rubber [mN m].

    Raises
    ------
    ValueError
        When there is none to be found: the aeroplane dives, or spins in.

    Examples
    --------
    >>> from trimkit import load_aeroplane
    >>> from trimkit.places import demo_folder
    >>> trainer = load_aeroplane(demo_folder() / "aeroplanes/hallfinch-46.toml")
    >>> 2.0 < level_torque_mNm(trainer) < 2.4
    True
    """
    from scipy.optimize import root

    check_possible(aeroplane)
    guess_mNm = FIRST_GUESS * trim.level(aeroplane).torque_mNm
    model = model_of(aeroplane, TURNS, hall or Hall(), azimuths=AZIMUTHS)
    model["unwinds"], model["room"] = 0.0, FAR_M
    prepare()

    def held(torque_mNm: float) -> None:
        model["torque"] = torque_mNm / 1000

    def missing(unknown: Floats) -> Floats:
        held(guess_mNm * float(unknown[-1]))
        state = state_of(unknown[:-1], TURNS)
        return np.append(left_over(model, state), rates_of(model, state)[2])

    if guess_mNm > 0 and math.isfinite(guess_mNm):
        held(guess_mNm)
        launch = Launch(turns=TURNS, speed_m_s=launch_speed_m_s(aeroplane))
        near = root_of(model, settled(model, launch), TURNS)
        if near is not None:
            found = root(missing, np.append(near, 1.0), options={"xtol": 1e-10})
            if np.max(np.abs(missing(found.x))) < 1e-6 and found.x[-1] > 0:
                return float(guess_mNm * found.x[-1])
    raise ValueError(
        f"{aeroplane.name}: no torque was found at which it holds its height; it may dive, spin "
        "in, or keep on swinging. Fly it and watch."
    )


def turns_for(aeroplane: Aeroplane, torque_ratio: float, temperature_c: float = 20.0) -> float:
    """Turns at which the motor's torque is so many times that of level flight.

    1.25 holds the height for a while, 2.0 climbs, 2.6 climbs high (common practice, no source).

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    torque_ratio : float
        Torque after winding over `level_torque_mNm`, 0.1 to 5 [-].
    temperature_c : float
        Temperature of the rubber, 0 to 40 [°C].

    Returns
    -------
    float
        Turns on, not rounded [turns].

    Raises
    ------
    ValueError
        When the ratio is out of range, the aeroplane has no level flight, or the loop would
        break before it gives that torque.
    """
    checked("torque_ratio", torque_ratio, 0.1, 5.0, "it is a ratio: twice is 2.0")
    wanted = torque_ratio * level_torque_mNm(aeroplane)
    return motor.turns_for_torque(aeroplane.setting.motor, wanted, temperature_c)
