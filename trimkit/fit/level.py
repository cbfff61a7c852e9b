"""Level flight in the powered circle, as lift, drag and propeller."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

from trimkit import balance, motor
from trimkit.aeroplane import Aeroplane
from trimkit.air import at_temperature
from trimkit.flight import level_torque_mNm, steady
from trimkit.units import STANDARD_GRAVITY_M_S2

WARM_C = 20.0


@dataclass(frozen=True, slots=True)
class LevelFlight:
    """What the aeroplane does when it neither climbs nor sinks.

    Parameters
    ----------
    lift : float
        Lift coefficient on the wing's area [-].
    drag : float
        Drag coefficient on the wing's area [-].
    efficiency : float
        Work of the thrust over work of the rubber [-].
    torque_mNm : float
        Torque of the rubber [mN m].
    """

    lift: float
    drag: float
    efficiency: float
    torque_mNm: float

    TITLES: ClassVar[tuple[str, ...]] = (
        "lift coefficient", "drag coefficient", "propeller's efficiency", "level torque in mN m",
    )  # fmt: skip

    @property
    def values(self) -> tuple[float, float, float, float]:
        """In the order of `TITLES` [as there]."""
        return self.lift, self.drag, self.efficiency, self.torque_mNm


def level_flight(aeroplane: Aeroplane) -> LevelFlight:
    """Work out lift, drag and propeller in level flight, at 20 °C.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].

    Returns
    -------
    LevelFlight
        The coefficients [-].

    Raises
    ------
    ValueError
        When it has no level flight, or its motor is too weak for it.
    """
    torque = level_torque_mNm(aeroplane)
    turns = motor.turns_for_torque(aeroplane.setting.motor, torque, WARM_C)
    circle = steady(aeroplane, turns)
    pressure = at_temperature(WARM_C).density_kg_m3 * circle.speed_m_s**2 / 2
    area = aeroplane.build.wing.area_mm2 / 1e6
    weight = balance.aeroplane_cg(aeroplane).mass_g / 1000 * STANDARD_GRAVITY_M_S2
    return LevelFlight(
        lift=weight / math.cos(math.radians(circle.roll_deg)) / (pressure * area),
        drag=circle.thrust_mN / 1000 / (pressure * area),
        efficiency=circle.thrust_mN * circle.speed_m_s
        / (2 * math.pi * circle.revs_per_s * circle.torque_mNm),
        torque_mNm=torque,
    )  # fmt: skip
