"""A body that tumbles freely: JSBSim's run of it, and our own engine's, from the same start.

Our engine runs a whole demo aeroplane in a vacuum with its motor run out and its propeller free
on its shaft. A propeller that does not turn in space adds nothing to the spin about its shaft,
so the whole moves as one rigid body, with the inertia that `tumbling_body` returns.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.flight import Hall, Launch, vacuum
from trimkit.flight.fly import start
from trimkit.flight.march import march
from trimkit.flight.model import QUATERNION, RATES, SHAFT_SPEED, STATES, Model, model_of
from trimkit.units import Floats

RATES_AT_START = (3.0, 5.0, -2.0)  # rad/s
ATTITUDE_AT_START_DEG = (20.0, 10.0, 30.0)  # roll, pitch, heading
SPEED_M_S = 3.0
SECONDS = 5.0  # later it falls faster than the engine follows
STEP_S = 0.0005  # of our own run


@dataclasses.dataclass(frozen=True)
class Tumble:
    """Rates in body axes [rad/s] and attitude, body to earth, as a matrix, at the end."""

    rates: Floats
    attitude: Floats


def tumbling_model(aeroplane: Aeroplane, body: Floats | None = None) -> Model:
    """In a vacuum and without friction; its inertia may be replaced by a body's [kg m²]."""
    model = model_of(aeroplane, 0, Hall((500.0, 500.0, 500.0), air=vacuum()))
    model["friction"] = 0.0
    model["unwinds"] = 0.0  # or the turning propeller would wind the slack rubber backwards
    if body is not None:
        model["inertia"] = body + _propeller(model)
        whole = np.zeros((6, 6))
        whole[:3, :3], whole[3:, 3:] = model["mass"] * np.eye(3), body
        model["accelerance"] = np.linalg.inv(whole)
    return model


def tumbling_body(model: Model) -> Floats:
    """Return the inertia with which it tumbles [kg m²]."""
    return np.asarray(model["inertia"] - _propeller(model))


def _propeller(model: Model) -> Floats:
    return np.asarray(model["shaft_inertia"] * np.outer(model["shaft"], model["shaft"]))


def matrix(q: Floats) -> Floats:
    """Body to earth."""
    w, x, y, z = q
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def our_tumble(model: Model) -> Tumble:
    roll, pitch, heading = ATTITUDE_AT_START_DEG
    thrown = Launch(
        turns=0,
        speed_m_s=SPEED_M_S,
        bank_deg=roll,
        pitch_deg=pitch,
        heading_deg=heading,
        height_m=100.0,
    )
    state = start(model, thrown)
    state[2] = -450.0
    state[RATES : RATES + 3] = RATES_AT_START
    state[SHAFT_SPEED] = -model["hand"] * (model["shaft"] @ np.array(RATES_AT_START))
    steps = round(SECONDS / STEP_S)
    history, touches = np.empty((3, STATES)), np.empty((4, 2))
    taken, *_ = march(0.0, state, model, STEP_S, steps, steps, history, touches, False)
    assert taken == steps
    return Tumble(state[RATES : RATES + 3].copy(), matrix(state[QUATERNION : QUATERNION + 4]))


BODY = """<?xml version="1.0"?>
<fdm_config name="body" version="2.0" release="BETA">
 <fileheader><author>test</author><filecreationdate>2026-01-01</filecreationdate>
  <version>1</version><description>a rigid body</description></fileheader>
 <metrics>
  <wingarea unit="M2">1</wingarea><wingspan unit="M">1</wingspan><chord unit="M">1</chord>
  <htailarea unit="M2">0</htailarea><htailarm unit="M">0</htailarm>
  <vtailarea unit="M2">0</vtailarea><vtailarm unit="M">0</vtailarm>
  <location name="AERORP" unit="M"><x>0</x><y>0</y><z>0</z></location>
 </metrics>
 <mass_balance negated_crossproduct_inertia="true">
  <ixx unit="KG*M2">{ixx}</ixx><iyy unit="KG*M2">{iyy}</iyy><izz unit="KG*M2">{izz}</izz>
  <ixy unit="KG*M2">{ixy}</ixy><ixz unit="KG*M2">{ixz}</ixz><iyz unit="KG*M2">{iyz}</iyz>
  <emptywt unit="KG">1</emptywt>
  <location name="CG" unit="M"><x>0</x><y>0</y><z>0</z></location>
 </mass_balance>
 <ground_reactions/><propulsion/><flight_control name="none"/><aerodynamics/>
</fdm_config>"""
PLANET = '<?xml version="1.0"?><planet name="still"><rotation_rate>0.0</rotation_rate></planet>'
PARTS = ("rate/rotational", "rate/translational", "position/rotational", "position/translational")
INTEGRATOR = 5  # the default one lets the energy drift
EARTH_M = 6.37e6  # the level of its attitude turns with the place
FEET_PER_M = 1 / 0.3048


def jsbsim_tumble(body: Floats, folder: Path, step_s: float) -> Tumble:
    """Run the same body in JSBSim, its inertia scaled to numbers of size 1."""
    import jsbsim

    one = body / body[0, 0]
    names = {"ixx": (0, 0), "iyy": (1, 1), "izz": (2, 2), "ixy": (0, 1), "ixz": (0, 2)}
    names["iyz"] = (1, 2)
    # its structural axes go aft and up, so that products with y change their sign (tried out)
    figures = {
        name: repr(float(-one[at] if name in ("ixy", "iyz") else one[at]))
        for name, at in names.items()
    }
    (folder / "aircraft/body").mkdir(parents=True, exist_ok=True)
    (folder / "aircraft/body/body.xml").write_text(BODY.format(**figures), encoding="utf-8")
    (folder / "planet.xml").write_text(PLANET, encoding="utf-8")
    made = jsbsim.FGFDMExec(str(folder))
    made.set_debug_level(0)
    made.load_planet(str(folder / "planet.xml"), False)
    made.load_model("body")
    made.set_dt(step_s)
    roll, pitch, heading = ATTITUDE_AT_START_DEG
    made["ic/h-sl-ft"], made["ic/u-fps"] = 10000.0, SPEED_M_S * FEET_PER_M
    made["ic/phi-deg"], made["ic/theta-deg"], made["ic/psi-true-deg"] = roll, pitch, heading
    made["ic/p-rad_sec"], made["ic/q-rad_sec"], made["ic/r-rad_sec"] = RATES_AT_START
    for part in PARTS:
        made[f"simulation/integrator/{part}"] = INTEGRATOR
    made.run_ic()
    for _ in range(round(SECONDS / step_s)):
        made.run()
    rates = np.array([made[f"velocities/{axis}-rad_sec"] for axis in "pqr"])
    angles = [made[f"attitude/{name}-rad"] for name in ("phi", "theta", "psi")]
    assert abs(made["simulation/sim-time-sec"] - SECONDS) < step_s / 2
    return Tumble(rates, _matrix_of_angles(*angles))


def _matrix_of_angles(roll: float, pitch: float, heading: float) -> Floats:
    (cr, cp, ch), (sr, sp, sh) = np.cos([roll, pitch, heading]), np.sin([roll, pitch, heading])
    about_x = np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]])
    about_y = np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
    about_z = np.array([[ch, -sh, 0], [sh, ch, 0], [0, 0, 1]])
    return np.asarray(about_z @ about_y @ about_x)
