"""The flight engine's own air and rigid body against two outside programs and old formulas.

The figures of the programs were run once and are written down here; `pytest -m reference` runs
the programs again and checks that they still say so. Every shape is made of flat plates without
friction, which is what a linear method knows; our sections bend a little at these angles.
"""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.flight.planes import demo, straight
from tests.reference.engine_loads import Shape, downwash_slope, measured
from tests.reference.tumbling import (
    EARTH_M,
    SECONDS,
    SPEED_M_S,
    Tumble,
    our_tumble,
    tumbling_body,
    tumbling_model,
)
from trimkit.aeroplane import Aeroplane
from trimkit.flight import steady
from trimkit.flight.model import CIRCULATION, DOWNWASH, PANELS, VELOCITY, Model
from trimkit.flight.steady import modes_of, rates_of, root_of, state_of, unknown_of

# AeroSandbox 4.2.10, VortexLatticeMethod, 16 by 8 panels on each half of a surface, trailing
# vortices along the stick. 2 m/s. Slopes are between 2 and 4 degrees of angle of attack, the
# rest at 3 degrees; slip of 1 degree either way, p b/2V and r b/2V of .02, q c/2V of .01.
# Moments are about the point `about_mm` behind the wing's nose and on the stick; the turning too.
SHAPES = {
    "broad": Shape(
        span=460,
        root=102,
        tip=86,
        dihedral=9,
        height=35,
        tail_span=198,
        tail_chord=75.4,
        tail_place=278.65,
        fin_area=3800,
        fin_span=70,
        fin_place=296.4,
        fin_height=35,
    ),
    "long": Shape(
        span=420,
        root=92,
        tip=80,
        dihedral=12,
        height=40,
        tail_span=172,
        tail_chord=64,
        tail_place=324.9,
        fin_area=3000,
        fin_span=60,
        fin_place=340,
        fin_height=30,
    ),
    "short": Shape(
        span=330,
        root=90,
        tip=78,
        dihedral=12,
        height=28,
        tail_span=150,
        tail_chord=62,
        tail_place=226.4,
        fin_area=3000,
        fin_span=60,
        fin_place=240,
        fin_height=30,
    ),
    "wing and tail apart": Shape(
        span=600,
        root=100,
        tip=100,
        tail_span=250,
        tail_chord=60,
        tail_place=400,
        tail_height=20,
        about_mm=30,
    ),
    "AR 4": Shape(span=320, root=80, tip=80, tail_place=480, about_mm=20),
    "AR 6": Shape(span=480, root=80, tip=80, tail_place=480, about_mm=20),
    "AR 8": Shape(span=640, root=80, tip=80, tail_place=480, about_mm=20),
}
for _name in ("AR 4", "AR 6", "AR 8"):
    SHAPES[f"{_name}, 5°"] = dataclasses.replace(SHAPES[_name], dihedral=5)

# Per radian, about the body's axes but for `roll_from_turning`; see `Measured`.
WING = {
    "broad": {
        "lift_slope": 4.0330,
        "induced_drag": 0.063389,
        "roll_damping": -0.45491,
        "yaw_from_rolling": -0.047269,
        "roll_from_turning": 0.065954,
        "roll_from_slip": -0.11336,
    },
    "long": {
        "lift_slope": 4.0146,
        "induced_drag": 0.063432,
        "roll_damping": -0.49460,
        "yaw_from_rolling": -0.057570,
        "roll_from_turning": 0.070799,
        "roll_from_slip": -0.15871,
    },
    "short": {
        "lift_slope": 3.6852,
        "induced_drag": 0.078490,
        "roll_damping": -0.42151,
        "yaw_from_rolling": -0.055055,
        "roll_from_turning": 0.064537,
        "roll_from_slip": -0.13662,
    },
    "wing and tail apart": {
        "lift_slope": 4.2907,
        "induced_drag": 0.052186,
        "roll_damping": -0.46105,
        "yaw_from_rolling": -0.036818,
        "roll_from_turning": 0.055186,
    },
    "AR 4": {
        "lift_slope": 3.6876,
        "induced_drag": 0.077440,
        "roll_damping": -0.35392,
        "yaw_from_rolling": -0.027133,
        "roll_from_turning": 0.044571,
    },
    "AR 6": {
        "lift_slope": 4.2907,
        "induced_drag": 0.052186,
        "roll_damping": -0.46105,
        "yaw_from_rolling": -0.036818,
        "roll_from_turning": 0.055186,
    },
    "AR 8": {
        "lift_slope": 4.6595,
        "induced_drag": 0.039638,
        "roll_damping": -0.53886,
        "yaw_from_rolling": -0.044420,
        "roll_from_turning": 0.062602,
    },
    "AR 4, 5°": {"roll_from_slip": -0.052102},
    "AR 6, 5°": {"roll_from_slip": -0.067140},
    "AR 8, 5°": {"roll_from_slip": -0.077736},
}
WHOLE = {  # wing and tail; the neutral point in mean chords behind the wing's nose
    "broad": {
        "lift_slope": 4.7015,
        "neutral_point": 0.68265,
        "roll_damping": -0.46079,
        "pitch_damping": -16.078,
        "downwash_slope": 0.38737,
    },
    "long": {
        "lift_slope": 4.6430,
        "neutral_point": 0.78455,
        "roll_damping": -0.49979,
        "pitch_damping": -23.223,
        "downwash_slope": 0.33930,
    },
    "short": {
        "lift_slope": 4.2821,
        "neutral_point": 0.62914,
        "roll_damping": -0.42695,
        "pitch_damping": -11.472,
        "downwash_slope": 0.40650,
    },
    "wing and tail apart": {
        "lift_slope": 4.8970,
        "neutral_point": 0.70632,
        "roll_damping": -0.46728,
        "pitch_damping": -29.305,
        "downwash_slope": 0.37994,
    },
}
FIN = {  # alone
    "broad": {"yaw_from_slip": 0.086235},
    "long": {"yaw_from_slip": 0.099446},
    "short": {"yaw_from_slip": 0.107390},
    "wing and tail apart": {"yaw_from_slip": 0.050312},
}
TWISTED = {  # left tip turned by +2 degrees, in proportion along the half span: Cl
    name: (dataclasses.replace(SHAPES[name], left_wash_in=2), roll)
    for name, roll in {
        "broad": 0.0079074,
        "long": 0.0083149,
        "short": 0.0072923,
        "wing and tail apart": 0.0083677,
        "AR 4": 0.0066804,
        "AR 6": 0.0083677,
        "AR 8": 0.0096273,
    }.items()
}
# of the figure; the neutral point's is in chords
NEAR = {
    "lift_slope": 0.03,
    "induced_drag": 0.06,
    "roll_damping": 0.10,
    "yaw_from_rolling": 0.06,
    "roll_from_turning": 0.10,
    "roll_from_slip": 0.10,
    "neutral_point": 0.05,
    "pitch_damping": 0.08,
    "downwash_slope": 0.05,
    "yaw_from_slip": 0.03,
}


@pytest.fixture(scope="module")
def trainer() -> Aeroplane:
    return demo("hallfinch-46")


def check(table: dict[str, dict[str, float]], name: str, lifting: str, trainer: Aeroplane) -> None:
    found = measured(SHAPES[name], trainer, lifting)
    for quantity, value in table[name].items():
        near = NEAR[quantity]
        if quantity == "neutral_point":
            assert found.neutral_point() == pytest.approx(value, abs=near)
        elif quantity == "downwash_slope":
            assert downwash_slope(SHAPES[name], trainer) == pytest.approx(value, rel=near)
        else:
            assert getattr(found, quantity)() == pytest.approx(value, rel=near), quantity


@pytest.mark.parametrize("name", WING)
def test_the_wing_is_the_lattices(name: str, trainer: Aeroplane) -> None:
    check(WING, name, "wing", trainer)


@pytest.mark.parametrize("name", WHOLE)
def test_wing_and_tail_are_the_lattices(name: str, trainer: Aeroplane) -> None:
    """Our neutral point lies .035 to .046 of the chord behind the lattice's: the wing's own is
    .01 to .02 farther aft, and our wing does not feel the air that the tail sends ahead."""
    check(WHOLE, name, "wing and tail", trainer)


@pytest.mark.parametrize("name", FIN)
def test_the_fin_is_the_lattices(name: str, trainer: Aeroplane) -> None:
    check(FIN, name, "fin", trainer)


@pytest.mark.parametrize("name", TWISTED)
def test_left_wash_in_rolls_right_as_in_the_lattice(name: str, trainer: Aeroplane) -> None:
    shape, roll = TWISTED[name]
    assert measured(shape, trainer, "wing").roll() == pytest.approx(roll, rel=0.05)


@pytest.mark.parametrize(("name", "share"), [("AR 4", 0.226), ("AR 6", 0.241), ("AR 8", 0.252)])
def test_roll_from_turning_is_the_lifting_lines(
    name: str, share: float, trainer: Aeroplane
) -> None:
    """Cl_r over CL from an independent lifting-line series."""
    found = measured(SHAPES[name], trainer, "wing")
    assert found.roll_from_turning() / found.lift() == pytest.approx(share, rel=0.08)


# JSBSim 1.3.3: a body in free fall above a planet that does not turn, all four
# simulation/integrator settings 5, step 1/3840 s, for 5 s; start as in `tests.reference.tumbling`.
# Between a step of 1/1920 and 1/3840 s the rates moved by 1.1e-6 and the attitude by 2.2e-6.
BODY = np.array([[64.0, 2.0, -7.0], [2.0, 229.0, -2.0], [-7.0, -2.0, 277.0]]) * 1e-6  # kg m²
TUMBLED = Tumble(
    rates=np.array([3.13895120, 4.55185307, 2.90723803]),
    attitude=np.array(
        [
            [-0.25713300, -0.80836302, 0.52955817],
            [-0.09681179, 0.56677448, 0.81816512],
            [-0.96151448, 0.15910978, -0.22399549],
        ]
    ),
)


def test_a_body_tumbles_as_in_jsbsim(trainer: Aeroplane) -> None:
    model = tumbling_model(trainer, BODY)
    np.testing.assert_allclose(tumbling_body(model), BODY, atol=1e-15)
    found = our_tumble(model)
    np.testing.assert_allclose(found.rates, TUMBLED.rates, atol=1e-6)
    level = 1.5 * SPEED_M_S * SECONDS / EARTH_M  # JSBSim's floor is round
    np.testing.assert_allclose(found.attitude, TUMBLED.attitude, atol=level + 1e-6)


@pytest.mark.parametrize(
    ("name", "turns"),
    [("hallfinch-46", (500, 750)), ("longreed-42", (300, 450)), ("stubwren-33", (300, 400))],
)
def test_the_bank_of_a_circle_without_slip(name: str, turns: tuple[float, float]) -> None:
    """tan(bank) = V²/(g R), level and without side force (closed form): 0.6°.

    Two circles, drawn out to the one that slips by nothing. Bent fin and side thrust push a
    little even there.
    """
    slips, apart = [], []
    for count in turns:
        circle = steady(demo(name), count, wound=1000)
        level = math.sqrt(circle.speed_m_s**2 - circle.climb_m_s**2)
        bank = math.degrees(math.atan(level**2 / (9.80665 * circle.radius_m)))
        slips.append(circle.slip_deg)
        apart.append(circle.roll_deg - bank)
    assert abs(slips[1] - slips[0]) > 0.5
    slope = (apart[1] - apart[0]) / (slips[1] - slips[0])
    assert apart[0] - slope * slips[0] == pytest.approx(0.0, abs=0.6)


# The swing of speed and height at a fixed angle of attack. F. W. Lanchester, Aerodonetics, 1908
# (from memory) has the level flight: period pi sqrt(2) V/g, and damping (CD/CL)/sqrt(2) when
# thrust carries the drag. In a glide the path slopes down by a, and the same two equations
#     V' = -g sin(path) - D/m,  V path' = L/m - g cos(path)
# have the trace -3 g sin(a)/V and the determinant 2 g²/V²: three halves of that damping.
FASTER, DRAG = 60.0, 0.05
RIGID = 1000.0  # stiffer joints, or the tail would bend with the speed


def heavy_and_rigid(light: Model) -> Model:
    """So heavy that it keeps its angle of attack, with one drag coefficient for all speeds."""
    model = light.copy()
    model["mass"] *= FASTER**2
    model["inertia"] *= FASTER**2
    whole = np.zeros((6, 6))
    whole[:3, :3], whole[3:, 3:] = model["mass"] * np.eye(3), model["inertia"]
    model["accelerance"] = np.linalg.inv(whole)
    model["drag_area"] = model["lift_power"] = model["tilt"] = 0.0
    model["sections"][:, 6:8], model["sections"][:, 11] = 0.0, DRAG
    for joint in ("joint_pitch", "joint_twist", "saddle"):
        model[joint][:3] *= RIGID * FASTER**2
    model["joint_weight"] = model["joint_pitch"][4] = 0.0
    return model


def test_the_phugoid_of_a_heavy_glider(trainer: Aeroplane) -> None:
    """What is left falls with the square of `FASTER`: .1 % of the period, .4 % of the damping."""
    light = steady(straight(trainer), 0, propeller=False)
    model, scaled = heavy_and_rigid(light.model), light.state.copy()
    for part in (slice(VELOCITY, VELOCITY + 3), slice(DOWNWASH, CIRCULATION + PANELS)):
        scaled[part] *= FASTER
    found = root_of(model, [unknown_of(scaled)], 0.0)
    assert found is not None
    state = state_of(found, 0.0)
    speed = float(np.linalg.norm(state[VELOCITY : VELOCITY + 3]))
    change = rates_of(model, state)
    slope = float(change[2]) / speed
    assert 0.08 < slope < 0.15
    rate = math.sqrt(2) * 9.80665 / speed
    swings = [mode for mode in modes_of(model, state) if mode.imag > 0]
    phugoid = min(swings, key=lambda mode: abs(abs(mode) - rate))
    assert abs(phugoid) == pytest.approx(rate, rel=0.002)
    assert -phugoid.real / abs(phugoid) == pytest.approx(3 / (2 * math.sqrt(2)) * slope, rel=0.005)
