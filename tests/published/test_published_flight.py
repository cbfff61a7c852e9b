"""Rows of flight mechanics from outside, through our own rigid body and lineariser."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trimkit.flight import linear
from trimkit.flight.equations import kinematics, rigid_body
from trimkit.flight.model import QUATERNION, RATES, STATES, VELOCITY
from trimkit.units import Floats

# NAVION: R. C. Nelson, Flight Stability and Automatic Control, 2nd ed. 1998, table B.1 (seen),
# in feet, slugs and seconds.
GRAVITY_FT_S2 = 32.2
WEIGHT, AREA, SPAN, CHORD, SPEED, DENSITY = 2750.0, 184.0, 33.4, 5.7, 176.0, 0.002378
INERTIA = np.diag([1048.0, 3000.0, 3530.0])
LIFT, DRAG, LIFT_SLOPE, DRAG_SLOPE = 0.41, 0.05, 4.44, 0.33
CM_ALPHA, CM_ALPHA_RATE, CM_PITCH = -0.683, -4.36, -9.96
CY_BETA, CL_BETA, CN_BETA = -0.564, -0.074, 0.071
CL_ROLL, CN_ROLL, CL_YAW, CN_YAW = -0.410, -0.0575, 0.107, -0.125


def navion_loads(state: Floats) -> tuple[float, ...]:
    u, v, w = state[VELOCITY : VELOCITY + 3]
    p, q, r = state[RATES : RATES + 3]
    speed = math.sqrt(u * u + v * v + w * w)
    alpha, beta = math.atan2(w, u), math.asin(v / speed)
    force = 0.5 * DENSITY * speed * speed * AREA
    lift, drag = force * (LIFT + LIFT_SLOPE * alpha), force * (DRAG + DRAG_SLOPE * alpha)
    thrust = 0.5 * DENSITY * SPEED**2 * AREA * DRAG
    turn, nod = SPAN / (2 * speed), CHORD / (2 * speed)
    return (
        thrust - drag * math.cos(alpha) + lift * math.sin(alpha),
        force * CY_BETA * beta,
        -lift * math.cos(alpha) - drag * math.sin(alpha),
        force * SPAN * (CL_BETA * beta + turn * (CL_ROLL * p + CL_YAW * r)),
        force * CHORD * (CM_ALPHA * alpha + nod * CM_PITCH * q),
        force * SPAN * (CN_BETA * beta + turn * (CN_ROLL * p + CN_YAW * r)),
    )


def navion_rates(state: Floats) -> Floats:
    """Rates of the whole state; what the moment owes to alpha's rate is apparent mass."""
    mass = 0.5 * DENSITY * SPEED**2 * AREA * LIFT / GRAVITY_FT_S2  # lift carries the weight
    whole = np.zeros((6, 6))
    whole[:3, :3], whole[3:, 3:] = mass * np.eye(3), INERTIA
    force = 0.5 * DENSITY * SPEED**2 * AREA
    whole[4, 2] = -force * CHORD * CM_ALPHA_RATE * CHORD / (2 * SPEED) / SPEED
    change = np.zeros(STATES)
    kinematics(state, (0.0, 0.0, 0.0), change)
    w, x, y, z = state[QUATERNION : QUATERNION + 4]
    down = np.array([2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)])
    none = (0.0, 0.0, 0.0)
    weight = tuple(float(part) for part in mass * GRAVITY_FT_S2 * down)
    loads = tuple(float(part) for part in navion_loads(state))
    rigid_body(
        mass,
        INERTIA,
        np.linalg.inv(whole),
        state,
        weight,
        loads,
        none,
        none,
        change,  # type: ignore[arg-type]
    )
    return change


def navion_modes(kept: list[int]) -> list[complex]:
    level = np.zeros(STATES)
    level[QUATERNION], level[VELOCITY] = 1.0, SPEED

    def moving(part: Floats) -> Floats:
        state = level.copy()
        state[kept] = part
        return navion_rates(state)[kept]

    assert np.abs(moving(level[kept])).max() < 1e-9  # it flies steadily
    return list(linear.modes(linear.slopes(moving, level[kept])))


def test_navion_mass_is_the_tables_weight() -> None:
    """At CL .41 the lift is 1 % more than the weight of the table."""
    assert pytest.approx(WEIGHT, rel=0.015) == 0.5 * DENSITY * SPEED**2 * AREA * LIFT


def test_navion_longitudinal_modes() -> None:
    """Nelson's book, from memory: -2.5 ± 2.59i and -.0171 ± .213i. 1 %."""
    kept = [VELOCITY, VELOCITY + 2, RATES + 1, QUATERNION + 2]
    slow, _, fast, _ = navion_modes(kept)
    assert abs(slow.imag) == pytest.approx(0.213, rel=0.01)
    assert slow.real == pytest.approx(-0.0171, rel=0.02)
    assert abs(fast.imag) == pytest.approx(2.59, rel=0.01)
    assert fast.real == pytest.approx(-2.5, rel=0.01)


def test_navion_lateral_modes() -> None:
    """Nelson's book, from memory: -8.435, -.487 ± 2.335i, -.00877. 1 %, spiral 10 %."""
    kept = [VELOCITY + 1, RATES, RATES + 2, QUATERNION + 1]
    spiral, roll, *dutch = sorted(navion_modes(kept), key=lambda mode: (abs(mode.imag), abs(mode)))
    assert spiral.real == pytest.approx(-0.00877, rel=0.1)
    assert roll.real == pytest.approx(-8.435, rel=0.01)
    assert dutch[0].real == pytest.approx(-0.487, rel=0.01)
    assert abs(dutch[0].imag) == pytest.approx(2.335, rel=0.01)


# Torque-free turning, I = (1, 2, 3), w0 = (1, 0, 1): w = (cn, sn, dn) with parameter 1/3;
# scipy.special.ellipj (run), 1e-9.
TORQUE_FREE = (
    (1.0, (0.5778025, 0.8161766, 0.8820158)),
    (5.0, (-0.1643504, -0.9864020, 0.8219917)),
)


def turned(seconds: float) -> Floats:
    """Runge and Kutta's fourth order over our own rigid body, in steps of .5 ms."""
    state, change = np.zeros(STATES), np.zeros(STATES)
    state[QUATERNION], state[RATES], state[RATES + 2] = 1.0, 1.0, 1.0
    inertia, none = np.diag([1.0, 2.0, 3.0]), (0.0, 0.0, 0.0)
    whole = np.eye(6)
    whole[3:, 3:] = np.linalg.inv(inertia)
    six = (0.0,) * 6

    def slope(at: Floats) -> Floats:
        rigid_body(1.0, inertia, whole, at, none, six, none, none, change)  # type: ignore[arg-type]
        return change.copy()

    step = 0.0005
    for _ in range(round(seconds / step)):
        k1 = slope(state)
        k2 = slope(state + step / 2 * k1)
        k3 = slope(state + step / 2 * k2)
        k4 = slope(state + step * k3)
        state = state + step / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return state[RATES : RATES + 3]


@pytest.mark.parametrize(("seconds", "printed"), TORQUE_FREE)
def test_torque_free_turning(seconds: float, printed: tuple[float, float, float]) -> None:
    from scipy.special import ellipj

    found = turned(seconds)
    sn, cn, dn, _ = ellipj(seconds, 1 / 3)
    np.testing.assert_allclose(found, [cn, sn, dn], atol=1e-9)
    np.testing.assert_allclose(found, printed, atol=5e-8)
