"""The right-hand side: conservation, symmetry, and the bench's own sections and propeller."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.flight.planes import mirrored
from trimkit import section
from trimkit.aeroplane import Aeroplane
from trimkit.flight import Hall, Launch, vacuum
from trimkit.flight.equations import (
    blade_forces,
    joint_rate,
    knots,
    motor_torque,
    section_lift_drag_moment,
    table_value,
    to_body,
    to_earth,
)
from trimkit.flight.fly import start
from trimkit.flight.march import march
from trimkit.flight.model import (
    CIRCULATION,
    DOWNWASH,
    ENERGY,
    INFLOW,
    POSITION,
    QUATERNION,
    RATES,
    ROCK,
    SHAFT_SPEED,
    SLANT,
    STATES,
    STRIPS,
    SWIRL,
    TAIL_TWIST,
    TORQUE_POINTS,
    TURNS,
    VELOCITY,
    Model,
    model_of,
    section_numbers,
)
from trimkit.flight.steady import rates_of
from trimkit.units import STANDARD_GRAVITY_M_S2, Floats

HUGE = Hall((400.0, 400.0, 400.0))
NOTHING = Hall((400.0, 400.0, 400.0), air=vacuum())


def flown(model: Model, state: Floats, seconds: float, step: float = 0.005) -> Floats:
    end, steps = state.copy(), round(seconds / step)
    history, touches = np.empty((3, STATES)), np.empty((4, 2))
    march(0.0, end, model, step, steps, steps, history, touches, False)
    return end


def tumbling(model: Model, turns: float) -> Floats:
    state = start(model, Launch(turns=turns, speed_m_s=3.0, height_m=90.0, bank_deg=20.0))
    state[RATES : RATES + 3] = 1.0, 2.0, -0.5
    state[SHAFT_SPEED] = 40.0
    return state


def spin(model: Model, state: Floats) -> Floats:
    """Angular momentum about the balance point, earth axes."""
    body = model["inertia"] @ state[RATES : RATES + 3]
    body = body + model["hand"] * model["shaft_inertia"] * state[SHAFT_SPEED] * model["shaft"]
    q = tuple(float(part) for part in state[QUATERNION : QUATERNION + 4])
    return np.array(to_earth(q, tuple(float(part) for part in body)))  # type: ignore[arg-type]


def energy(model: Model, state: Floats) -> float:
    v, w = state[VELOCITY : VELOCITY + 3], state[RATES : RATES + 3]
    shaft, turn = model["shaft_inertia"], state[SHAFT_SPEED]
    moving = 0.5 * model["mass"] * v @ v + 0.5 * w @ model["inertia"] @ w
    moving += shaft * turn * model["hand"] * (model["shaft"] @ w) + 0.5 * shaft * turn**2
    return float(moving - model["mass"] * STANDARD_GRAVITY_M_S2 * state[2] - state[ENERGY])


@pytest.mark.parametrize(("turns", "seconds"), [(0, 3.0), (750, 0.3)])
def test_a_vacuum_keeps_energy_and_spin(aeroplane: Aeroplane, turns: float, seconds: float) -> None:
    model = model_of(aeroplane, turns, NOTHING)
    model["friction"] = 0.0
    state = tumbling(model, turns)
    later = flown(model, state, seconds, 0.0005)
    assert later[2] - state[2] > 3 * seconds**2  # it did fall
    assert energy(model, later) == pytest.approx(energy(model, state), abs=2e-9)
    np.testing.assert_allclose(spin(model, later), spin(model, state), atol=5e-10)


def test_in_a_vacuum_it_falls_on_a_parabola(trainer: Aeroplane) -> None:
    model = model_of(trainer, 0, NOTHING)
    state = start(model, Launch(turns=0, speed_m_s=3.0, pitch_deg=0.0, bank_deg=0.0))
    state[2] = -90.0
    later = flown(model, state, 2.0, 0.001)
    fall = STANDARD_GRAVITY_M_S2 * 2.0
    np.testing.assert_allclose(later[:3], [6.0, 0.0, -90.0 + fall], atol=1e-8)


@pytest.mark.parametrize("camber", [0.0, 3.0, 5.0])
def test_the_compiled_section_is_the_benchs(camber: float) -> None:
    given = section.plate(camber, 0.95)
    for degrees in np.linspace(-90, 90, 61):
        wanted = given.coefficients(float(degrees), given.reference_reynolds)
        angle = math.radians(degrees)
        found = section_lift_drag_moment(
            section_numbers(given), angle, math.sin(angle), math.cos(angle), 1.0, 1.0
        )
        assert found == pytest.approx((wanted.lift, wanted.drag, wanted.moment), abs=1e-12)


def spun(model: Model, speed: float, revs: float) -> tuple[float, float]:
    """Thrust [N] and shaft torque [N m] of the propeller when its inflow has settled."""
    state, change = np.zeros(STATES), np.zeros(STATES)
    state[QUATERNION], state[VELOCITY], state[SHAFT_SPEED] = 1.0, speed, 2 * math.pi * revs
    axis = (1.0, 0.0, 0.0)
    for _ in range(4000):
        loads, held, _ = blade_forces(model, state, axis, change)
        state[INFLOW : SLANT + 2] += 0.002 * change[INFLOW : SLANT + 2]
    density = float(model["density"])
    return density * loads[0], density * held


@pytest.mark.parametrize("ratio", [0.6, 1.0, 1.3])
def test_the_propeller_is_the_benchs_within_2_percent(aeroplane: Aeroplane, ratio: float) -> None:
    given = aeroplane.setting.propeller
    model = model_of(aeroplane, 750, HUGE, azimuths=4)
    revs = 7.0
    speed = ratio * revs * given.diameter_mm / 1000
    thrust, torque = spun(model, speed, revs)
    density = HUGE.density_kg_m3
    largest = abs(given.thrust_N(0.6 * revs * given.diameter_mm / 1000, revs, density))
    assert thrust == pytest.approx(given.thrust_N(speed, revs, density), abs=0.02 * largest)
    assert torque * 1000 == pytest.approx(given.torque_mNm(speed, revs, density), rel=0.02)


def test_the_rubber_is_the_benchs(trainer: Aeroplane) -> None:
    model, motor = model_of(trainer, 1157, HUGE), trainer.setting.motor
    for left in np.linspace(0, 1157, 77):
        wanted = motor.unwinding_torque_mNm(left, 1157, 20.0)
        assert 1000 * motor_torque(model, float(left)) == pytest.approx(wanted, rel=2e-4, abs=1e-5)
    assert motor_torque(model, -50.0) < 0  # wound the other way it turns the other way


def test_energy_given_by_the_rubber_is_the_benchs(trainer: Aeroplane) -> None:
    model = model_of(trainer, 750, HUGE)
    state = tumbling(model, 750)
    state[RATES : RATES + 3] = 0.0
    later = flown(model, state, 20.0)
    motor, left = trainer.setting.motor, later[TURNS]
    turns = np.linspace(left, 750, 20001)
    torque = np.asarray(motor.unwinding_torque_mNm(turns, 750, 20.0)) / 1000
    torque *= [1 + knots(place) for place in turns]
    assert later[ENERGY] == pytest.approx(2 * math.pi * np.trapezoid(torque, turns), rel=1e-4)


def test_table_reads_a_parabola_exactly() -> None:
    table = np.linspace(0, 1, TORQUE_POINTS) ** 2
    for share in (0.1, 0.4321, 0.98):
        assert table_value(table, share) == pytest.approx(share**2, abs=1e-12)


def test_body_and_earth_are_each_others_inverse() -> None:
    q = (0.5, -0.5, 0.1, 0.7)
    q = tuple(part / math.hypot(*q) for part in q)  # type: ignore[assignment]
    assert to_body(q, to_earth(q, (1.0, 2.0, 3.0))) == pytest.approx((1.0, 2.0, 3.0))


def test_a_joint_is_free_inside_its_play() -> None:
    joint = np.array([2.0, 0.0, 0.5, 0.1, 0.0])
    assert joint_rate(joint, 0.05, 1.0, 0.0) == 0.0
    assert joint_rate(joint, 0.15, 0.0, 0.0) == pytest.approx(-2.0 * 0.05 / 0.5)
    assert joint_rate(joint, -0.15, 0.0, 0.0) == pytest.approx(2.0 * 0.05 / 0.5)


def image(state: Floats) -> Floats:
    """The mirror image of a state."""
    made = state.copy()
    odd = [POSITION + 1, QUATERNION + 1, QUATERNION + 3, VELOCITY + 1, RATES, RATES + 2]
    made[odd] *= -1
    made[TAIL_TWIST : TAIL_TWIST + 2] *= -1
    made[ROCK : ROCK + 2] *= -1
    made[DOWNWASH : DOWNWASH + 2] = state[DOWNWASH : DOWNWASH + 2][::-1]
    made[CIRCULATION : CIRCULATION + STRIPS] = state[CIRCULATION : CIRCULATION + STRIPS][::-1]
    tail = slice(CIRCULATION + STRIPS, CIRCULATION + STRIPS + 2)
    made[tail] = state[tail][::-1]
    made[CIRCULATION + STRIPS + 2] *= -1
    made[SLANT] *= -1
    return made


def test_the_right_hand_side_has_a_mirror_image(aeroplane: Aeroplane) -> None:
    one, other = model_of(aeroplane, 750, HUGE), model_of(mirrored(aeroplane), 750, HUGE)
    other["azimuths"] = one["azimuths"] = 2.0  # blades at right angles have an image
    chance = np.random.default_rng(4)
    state = tumbling(one, 750)
    state[TAIL_TWIST : SLANT + 2] += 0.02 * chance.standard_normal(SLANT + 2 - TAIL_TWIST)
    rates, images = rates_of(one, state), rates_of(other, image(state))
    np.testing.assert_allclose(images, image(rates), atol=1e-9 * np.abs(rates).max())
    assert np.all(rates[SWIRL : SWIRL + 2] != 0)


def test_a_drift_of_the_whole_air_only_carries_it_along(trainer: Aeroplane) -> None:
    still = model_of(trainer, 750, HUGE)
    moving = model_of(trainer, 750, Hall((400.0, 400.0, 400.0), drift_m_s=(0.3, -0.2, 0.1)))
    state = start(still, Launch(turns=750, speed_m_s=2.5, height_m=90.0))
    one, other = flown(still, state, 10.0), flown(moving, state, 10.0)
    np.testing.assert_allclose(other[:3] - one[:3], [3.0, -2.0, -1.0], atol=1e-9)
    np.testing.assert_allclose(other[3:], one[3:], atol=1e-9)
