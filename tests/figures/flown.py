"""Flights for the pictures: some by the engine, and a circle whose figures are known."""

from __future__ import annotations

import functools

import numpy as np

from tests.flight.planes import demo
from trimkit import flight
from trimkit.aeroplane import replace
from trimkit.flight import Flight, Hall, Launch

FLOWN = ("low", "middle", "long", "dive", "stall", "wall", "longreed", "stubwren")


@functools.cache
def flights() -> dict[str, Flight]:
    """Fly a good flight long and short, a dive, a stall, one into a wall, and the others."""
    plane = demo("hallfinch-46")
    small = Hall(size_m=(14.0, 10.0, 6.0))
    return {
        "low": flight.fly(plane, 400),
        "middle": flight.fly(plane, 750),
        "long": flight.fly(plane, 1157),
        "dive": flight.fly(replace(plane, shim_mm=-1.5), 750),
        "stall": flight.fly(replace(plane, shim_mm=1.5), 750),
        "wall": flight.fly(plane, launch=Launch(turns=1000), hall=small),
        "longreed": flight.fly(demo("longreed-42"), 700),
        "stubwren": flight.fly(demo("stubwren-33"), 600),
    }


def circle(rounds: float = 2.0, seconds: float = 40.0, bank_deg: float = 10.0) -> Flight:
    """A level-nosed circle of 5 m radius, + to the left, from 2 m up to 4 m and down to 0."""
    time = np.linspace(0, seconds, 2001)
    turned = -2 * np.pi * rounds * time / seconds  # + to the right, as a heading
    side = np.sign(rounds)
    north, east = 5 * np.sin(np.abs(turned)), -side * 5 * (1 - np.cos(turned))
    height = np.interp(time, [0, 0.25 * seconds, seconds], [2, 4, 0])
    roll = np.radians(-side * bank_deg)
    quaternion = np.stack(
        [
            np.cos(roll / 2) * np.cos(turned / 2),
            np.sin(roll / 2) * np.cos(turned / 2),
            np.sin(roll / 2) * np.sin(turned / 2),
            np.cos(roll / 2) * np.sin(turned / 2),
        ],
        axis=1,
    )
    flat = np.zeros(time.size)
    return Flight(
        name="Ring",
        turns_on=500.0,
        seed=0,
        step_s=0.005,
        time_s=time,
        position_m=np.stack([north, east, -height], axis=1),
        quaternion=quaternion,
        velocity_m_s=np.stack([flat + 1.5, flat, flat], axis=1),
        rates_rad_s=np.zeros((time.size, 3)),
        turns_left=500 - 5 * time,
        shaft_rad_s=flat + 30,
        joints_rad=np.zeros((time.size, 3)),
        energy_J=flat,
        ended="landed",
        landed_on="propeller",
        events=(flight.Event(12.0, "hit a wall", "nose"), flight.Event(seconds, "landed", "nose")),
        notes=(),
    )
