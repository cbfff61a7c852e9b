"""Loads of our own engine at a held attitude and rate, and the derivatives made from them.

The air's loads are read off the right-hand side itself: what the rates are with air, less what
they are without, times mass and apparent mass. Circulation and downwash have settled.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np
from scipy.optimize import root

from tests.flight.planes import straight
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Hall
from trimkit.flight.model import (
    CIRCULATION,
    DOWNWASH,
    FIN,
    PANELS,
    QUATERNION,
    RATES,
    SLANT,
    STATES,
    STRIPS,
    VELOCITY,
    Model,
    model_of,
)
from trimkit.flight.steady import FAR_M, rates_of
from trimkit.units import Floats

SPEED_M_S = 2.0
LOW_DEG, HIGH_DEG = 2.0, 4.0  # slopes are taken between these angles of attack
STEP_RAD = math.radians(HIGH_DEG - LOW_DEG)
MIDDLE_DEG = (LOW_DEG + HIGH_DEG) / 2  # and lateral derivatives at their middle
SLIP_DEG, TURN, NOD = 1.0, 0.02, 0.01  # slip, p b/2V and r b/2V, q c/2V
_SETTLING = slice(DOWNWASH, CIRCULATION + PANELS)

Loads = Callable[..., Floats]  # alpha_deg, beta_deg, rates rad/s -> force and moment, body axes


@dataclasses.dataclass(frozen=True, kw_only=True)
class Shape:
    """Wing, tail and fin of flat plates, in mm and degrees, with the wing's nose at x = 0.

    Moments are taken, and turning goes, about a point on the stick, `about_mm` aft of it.
    """

    span: float
    root: float
    tip: float
    dihedral: float = 0.0
    height: float = 0.0
    left_wash_in: float = 0.0
    tail_span: float = 200.0
    tail_chord: float = 75.0
    tail_place: float = 280.0  # its leading edge
    tail_height: float = 0.0
    fin_area: float = 3800.0
    fin_span: float = 70.0
    fin_place: float = 290.0  # its quarter chord
    fin_height: float = 35.0  # its middle
    about_mm: float = 50.0

    @property
    def mean_chord(self) -> float:
        """Mean aerodynamic chord [m]."""
        return 2 / 3 * (self.root + self.tip - self.root * self.tip / (self.root + self.tip)) / 1000

    @property
    def area(self) -> float:
        """Of the wing [m²]."""
        return self.span * (self.root + self.tip) / 2 * 1e-6


NOSE_MM = 120.0  # station of the wing's leading edge


def aeroplane_of(shape: Shape, taken_from: Aeroplane) -> Aeroplane:
    """Put the shape in place of an aeroplane's own surfaces, all at no incidence."""
    build = taken_from.build
    wing = dataclasses.replace(
        build.wing,
        span_mm=shape.span,
        root_chord_mm=shape.root,
        tip_chord_mm=shape.tip,
        dihedral_deg=shape.dihedral,
        height_mm=shape.height,
        camber_percent=0.0,
        incidence_deg=0.0,
    )
    tail = dataclasses.replace(
        build.tail,
        span_mm=shape.tail_span,
        chord_mm=shape.tail_chord,
        station_mm=NOSE_MM + shape.tail_place,
        height_mm=shape.tail_height,
        camber_percent=0.0,
        incidence_deg=0.0,
    )
    fin = dataclasses.replace(
        build.fin,
        area_mm2=shape.fin_area,
        span_mm=shape.fin_span,
        station_mm=NOSE_MM + shape.fin_place,
        height_mm=shape.fin_height,
    )
    made = dataclasses.replace(build, wing=wing, tail=tail, fin=fin)
    return replace(
        straight(dataclasses.replace(taken_from, build=made)),
        shim_mm=0.0,
        wing_station_mm=NOSE_MM,
        left_wash_in_deg=shape.left_wash_in,
    )


PANELS_OF = {
    "wing": range(STRIPS),
    "wing and tail": range(FIN),
    "fin": (FIN,),
}


def model_of_shape(shape: Shape, taken_from: Aeroplane, lifting: str) -> Model:
    """Only some panels lift, nothing has friction, and the point that counts is the origin."""
    model = model_of(aeroplane_of(shape, taken_from), 0, Hall(), propeller=False)
    model["room"] = FAR_M
    model["drag_area"] = 0.0
    model["sections"][:, 6:8] = 0.0
    for panel in set(range(PANELS)) - set(PANELS_OF[lifting]):
        model["width"][panel] = 0.0
    here = np.array([-(shape.fin_place - shape.about_mm), 0.0, -shape.fin_height]) / 1000
    moved = here - model["quarter"][FIN]
    model["quarter"] += moved
    model["rear"] += moved
    return model


def settled_state(model: Model, alpha_deg: float, beta_deg: float, turning: Floats) -> Floats:
    alpha, beta = math.radians(alpha_deg), math.radians(beta_deg)
    state = np.zeros(STATES)
    state[2], state[QUATERNION] = -1000.0, 1.0
    state[VELOCITY : VELOCITY + 3] = (
        SPEED_M_S * math.cos(alpha) * math.cos(beta),
        SPEED_M_S * math.sin(beta),
        SPEED_M_S * math.sin(alpha) * math.cos(beta),
    )
    state[RATES : RATES + 3] = turning

    def left_over(part: Floats) -> Floats:
        state[_SETTLING] = part
        return rates_of(model, state)[_SETTLING]

    found = root(left_over, np.zeros(PANELS + 2), options={"xtol": 1e-13})
    assert np.abs(left_over(found.x)).max() < 1e-8
    return state


def loads_of(model: Model) -> Loads:
    """Force [N] and moment [N m] about the origin."""
    empty = model.copy()
    empty["density"] = 0.0
    mass = np.linalg.inv(model["accelerance"])

    def loads(alpha_deg: float, beta_deg: float, turning: Floats) -> Floats:
        state = settled_state(model, alpha_deg, beta_deg, turning)
        change = rates_of(model, state) - rates_of(empty, state)
        assert np.all(state[SLANT : SLANT + 2] == 0)
        return np.asarray(mass @ change[VELOCITY : RATES + 3])

    return loads


@dataclasses.dataclass(frozen=True)
class Measured:
    """Derivatives of a shape from the loads that somebody's model finds on it."""

    shape: Shape
    loads: Loads
    density: float

    @property
    def _force(self) -> float:
        return self.density * SPEED_M_S**2 / 2 * self.shape.area

    @property
    def _span(self) -> float:
        return self.shape.span / 1000

    def _at(self, alpha_deg: float) -> Floats:
        return self.loads(alpha_deg, 0.0, np.zeros(3))

    def _lift_and_drag(self, alpha_deg: float) -> tuple[float, float]:
        x, _, z = self._at(alpha_deg)[:3] / self._force
        sine, cosine = math.sin(math.radians(alpha_deg)), math.cos(math.radians(alpha_deg))
        return float(x * sine - z * cosine), float(-x * cosine - z * sine)

    def lift_slope(self) -> float:
        """dCL/d(alpha) [1/rad]."""
        return (self._lift_and_drag(HIGH_DEG)[0] - self._lift_and_drag(LOW_DEG)[0]) / STEP_RAD

    def lift(self) -> float:
        """CL [-]."""
        return self._lift_and_drag(MIDDLE_DEG)[0]

    def induced_drag(self) -> float:
        """CD/CL² [-]."""
        lift, drag = self._lift_and_drag(MIDDLE_DEG)
        return drag / lift**2

    def neutral_point(self) -> float:
        """Mean chords aft of the wing's nose, from the slopes of moment and lift [-]."""
        slope = (self._at(HIGH_DEG)[4] - self._at(LOW_DEG)[4]) / STEP_RAD / self._force
        chord = self.shape.mean_chord
        return self.shape.about_mm / 1000 / chord - float(slope) / chord / self.lift_slope()

    def pitch_damping(self) -> float:
        """dCm/d(q c/2V) [-]."""
        chord = self.shape.mean_chord
        rate = NOD * 2 * SPEED_M_S / chord
        return self._change_with_turning(np.array([0.0, rate, 0.0]))[4] / (2 * NOD) / chord

    def roll_damping(self) -> float:
        """dCl/d(p b/2V) [-]."""
        return self._change_with_turning(self._turn * np.array([1.0, 0.0, 0.0]))[3] / self._wide

    def yaw_from_rolling(self) -> float:
        """dCn/d(p b/2V), in body axes [-]."""
        return self._change_with_turning(self._turn * np.array([1.0, 0.0, 0.0]))[5] / self._wide

    def roll_from_turning(self) -> float:
        """dCl/d(r b/2V), both about the axes of the path [-]."""
        alpha = math.radians(MIDDLE_DEG)
        about = np.array([-math.sin(alpha), 0.0, math.cos(alpha)])
        change = self._change_with_turning(self._turn * about)
        return (change[3] * math.cos(alpha) + change[5] * math.sin(alpha)) / self._wide

    @property
    def _turn(self) -> float:
        return TURN * 2 * SPEED_M_S / self._span

    @property
    def _wide(self) -> float:
        return 2 * TURN * self._span

    def _change_with_turning(self, turning: Floats) -> Floats:
        change = self.loads(MIDDLE_DEG, 0.0, turning) - self.loads(MIDDLE_DEG, 0.0, -turning)
        return np.asarray(change / self._force)

    def _change_with_slip(self) -> Floats:
        slip = [self.loads(MIDDLE_DEG, side, np.zeros(3)) for side in (SLIP_DEG, -SLIP_DEG)]
        return np.asarray((slip[0] - slip[1]) / self._force / math.radians(2 * SLIP_DEG))

    def roll_from_slip(self) -> float:
        """dCl/d(beta) [1/rad]."""
        return float(self._change_with_slip()[3]) / self._span

    def yaw_from_slip(self) -> float:
        """dCn/d(beta) [1/rad]."""
        return float(self._change_with_slip()[5]) / self._span

    def roll(self) -> float:
        """Cl of a twisted wing [-]."""
        return float(self._at(MIDDLE_DEG)[3]) / self._force / self._span


def measured(shape: Shape, taken_from: Aeroplane, lifting: str) -> Measured:
    """Our own engine's."""
    model = model_of_shape(shape, taken_from, lifting)
    return Measured(shape, loads_of(model), float(model["density"]))


def downwash_slope(shape: Shape, taken_from: Aeroplane) -> float:
    """Mean of the two tail halves [-]."""
    model = model_of_shape(shape, taken_from, "wing")
    angles = [
        -settled_state(model, alpha, 0.0, np.zeros(3))[DOWNWASH : DOWNWASH + 2].mean() / SPEED_M_S
        for alpha in (LOW_DEG, HIGH_DEG)
    ]
    return float(angles[1] - angles[0]) / STEP_RAD
