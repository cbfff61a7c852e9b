"""What the ruler leaves open about an aeroplane, and how far it may be off."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from trimkit.aeroplane import Aeroplane, replace
from trimkit.motor import RubberMotor
from trimkit.rules.card import BATCH_HIGH, BATCH_LOW
from trimkit.units import Floats, quantities


@dataclass(frozen=True, slots=True)
class Unknown:
    """One figure that flights can tell.

    Parameters
    ----------
    name : str
        Short name, as in the file of a fit [-].
    title : str
        What the bench calls it [-].
    unit : str
        Unit [-].
    usual : float
        How far the measured figure may be off: one standard deviation [in that unit, or a share].
    value_of : callable
        From the aeroplane to the figure [in that unit].
    moved : callable
        From the aeroplane and a number of standard deviations to the changed aeroplane [-].
    digits : int
        Places behind the point [-].
    """

    name: str
    title: str
    unit: str
    usual: float
    value_of: Callable[[Aeroplane], float]
    moved: Callable[[Aeroplane, float], Aeroplane]
    digits: int = 2


def _held(record: object, name: str, value: float) -> float:
    known = quantities(type(record))[name]
    return min(max(value, known.low), known.high)


def _lift(one: Aeroplane, amount: float) -> Aeroplane:
    tail = one.build.tail
    angle = _held(tail, "incidence_deg", tail.incidence_deg + TAIL_DEG * amount)
    fresh = dataclasses.replace(tail, incidence_deg=angle)
    return dataclasses.replace(one, build=dataclasses.replace(one.build, tail=fresh))


def _drag(one: Aeroplane, amount: float) -> Aeroplane:
    stick = one.build.stick
    area = _held(stick, "drag_area_mm2", stick.drag_area_mm2 + DRAG_MM2 * amount)
    fresh = dataclasses.replace(stick, drag_area_mm2=area)
    return dataclasses.replace(one, build=dataclasses.replace(one.build, stick=fresh))


def _propeller(one: Aeroplane, amount: float) -> Aeroplane:
    blades = one.setting.propeller
    drag = _held(blades, "least_drag", blades.least_drag * math.exp(BLADE_SHARE * amount))
    return replace(one, propeller=dataclasses.replace(blades, least_drag=drag))


def _circle(one: Aeroplane, amount: float) -> Aeroplane:
    fin = _held(one.build.fin, "warp_deg", one.build.fin.warp_deg + FIN_DEG * amount)
    fresh = dataclasses.replace(one.build.fin, warp_deg=fin)
    return dataclasses.replace(one, build=dataclasses.replace(one.build, fin=fresh))


def strength_of(loop: RubberMotor) -> float:
    """Torque of a loop against the usual rubber.

    Parameters
    ----------
    loop : RubberMotor
        The loop [-].

    Returns
    -------
    float
        Batch times freshness [-].
    """
    return loop.batch_strength * loop.freshness


def stronger(loop: RubberMotor, share: float) -> RubberMotor:
    """Multiply the torque of a loop.

    Parameters
    ----------
    loop : RubberMotor
        The loop [-].
    share : float
        New torque over old [-].

    Returns
    -------
    RubberMotor
        The same loop of another batch, held in the range that a batch may have [-].
    """
    wanted = strength_of(loop) * share
    batch = min(max(wanted, BATCH_LOW), BATCH_HIGH)
    return dataclasses.replace(
        loop, batch_strength=batch, freshness=min(max(wanted / batch, 0.6), 1.0)
    )


def _motor(one: Aeroplane, amount: float) -> Aeroplane:
    return replace(one, motor=stronger(one.setting.motor, math.exp(MOTOR_SHARE * amount)))


# One standard deviation each. Tail: ruler at two edges of wing and tail, and what the arc of the
# wing really lifts. The others: assumed.
TAIL_DEG, DRAG_MM2, BLADE_SHARE, FIN_DEG, MOTOR_SHARE = 0.4, 150.0, 0.15, 0.6, 0.08

UNKNOWNS: tuple[Unknown, ...] = (
    Unknown(
        "lift", "tail's angle as it flies", "°", TAIL_DEG,
        lambda one: one.build.tail.incidence_deg, _lift,
    ),
    Unknown(
        "drag", "drag area of what nobody drew", "mm²", DRAG_MM2,
        lambda one: one.build.stick.drag_area_mm2, _drag, 0,
    ),
    Unknown(
        "propeller", "drag of the blades", "", BLADE_SHARE,
        lambda one: one.setting.propeller.least_drag, _propeller, 3,
    ),
    Unknown(
        "circle", "bend of the fin as it flies", "°", FIN_DEG,
        lambda one: one.build.fin.warp_deg, _circle,
    ),
    Unknown(
        "motor", "torque against the usual rubber", "", MOTOR_SHARE,
        lambda one: strength_of(one.setting.motor), _motor,
    ),
)  # fmt: skip
NAMES: tuple[str, ...] = tuple(one.name for one in UNKNOWNS)
BY_NAME: Mapping[str, Unknown] = {one.name: one for one in UNKNOWNS}


def moved(aeroplane: Aeroplane, amounts: Floats) -> Aeroplane:
    """Change every unknown of an aeroplane.

    Parameters
    ----------
    aeroplane : Aeroplane
        As measured [-].
    amounts : numpy.ndarray
        For each of `UNKNOWNS`, in standard deviations [-].

    Returns
    -------
    Aeroplane
        A changed copy; figures stay in their allowed range [-].
    """
    for one, amount in zip(UNKNOWNS, np.asarray(amounts, dtype=float), strict=True):
        aeroplane = one.moved(aeroplane, float(amount))
    return aeroplane
