"""How fast the engine is, beside the same equations elsewhere. Numbers are judged, times not.

    python -m pytest -m speed tests/speed -s

prints the table. Each time is processor time of one thread, the least of several runs that take
turns, so that a machine that has other work to do slows all of them alike.
"""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.flight.planes import NAMES, demo
from tests.speed.conftest import Table
from tests.speed.in_c import Compiled
from tests.speed.plain import Plain
from tests.speed.vectorised import Flights
from trimkit.flight import Hall, Launch, fly
from trimkit.flight.equations import rates
from trimkit.flight.fly import start
from trimkit.flight.march import FLYING, march
from trimkit.flight.model import (
    CIRCULATION,
    DOWNWASH,
    ENERGY,
    INFLOW,
    MODEL_TYPE,
    POSITION,
    QUATERNION,
    RATES,
    ROCK,
    SHAFT_ANGLE,
    SHAFT_SPEED,
    STATES,
    TAIL_PITCH,
    TAIL_TWIST,
    TURNS,
    VELOCITY,
    Model,
    model_of,
)
from trimkit.units import Floats

pytestmark = pytest.mark.speed

STEP_S = 0.005
ROOMY = Hall((400.0, 400.0, 100.0))
FLIGHTS, STEPS = 1000, 200
AGREE = 1e-10  # of the largest rate of its kind
KINDS = (  # parts of the state that are of one size
    range(POSITION, QUATERNION),
    range(QUATERNION, VELOCITY),
    [*range(VELOCITY, RATES), *range(DOWNWASH, CIRCULATION)],
    range(RATES, TURNS),
    [TURNS],
    [SHAFT_SPEED],
    [SHAFT_ANGLE],
    [TAIL_PITCH, TAIL_TWIST, ROCK],
    [TAIL_PITCH + 1, TAIL_TWIST + 1, ROCK + 1],
    range(CIRCULATION, INFLOW),
    range(INFLOW, ENERGY),
    [ENERGY],
)


def numba_march(model: Model, state: Floats, steps: int) -> Floats:
    end, history, touches = state.copy(), np.empty((3, STATES)), np.empty((4, 2))
    taken, _, _, ended, _ = march(0.0, end, model, STEP_S, steps, steps, history, touches, False)
    assert (taken, ended) == (steps, FLYING)
    return end


def numba_rates(model: Model, state: Floats, now: float = 0.0) -> Floats:
    change = np.empty(STATES)
    rates(now, state, model, change)
    return change


def least_times(runs: int, *functions: Callable[[], object]) -> list[float]:
    """Least processor time of each function [s], one run of each in turn."""
    found = [[0.0] * runs for _ in functions]
    for run in range(runs):
        for times, function in zip(found, functions, strict=True):
            begun = time.thread_time()
            function()
            times[run] = time.thread_time() - begun
    return [min(times) for times in found]


def agree(found: Floats, wanted: Floats, bound: float = AGREE) -> None:
    """Hold two states or rates against each other, each kind by its own largest number."""
    for kind in KINDS:
        off = np.abs(found[list(kind)] - wanted[list(kind)])
        size = np.abs(wanted[list(kind)]).max(axis=0)
        assert np.all(off <= bound * size), f"{kind}: {np.max(off / size):.1e}"


def flying(model: Model, seed: int = 0) -> Floats:
    launch = Launch(turns=1000, speed_m_s=2.4, height_m=10.0, scatter=1.0).thrown(seed)
    return start(model, launch)


def awkward(azimuths: int) -> tuple[list[Model], Floats]:
    """Models and states at walls and ceiling, in gusts, wound backwards, slipping, unbalanced."""
    chance = np.random.default_rng(azimuths)
    models, states = [], []
    for seed in range(24):
        hall = Hall((6.0, 6.0, 3.0), restless_m_s=0.05 * (seed % 2), drift_m_s=(0.1, 0.0, -0.05))
        model = model_of(demo(NAMES[seed % 3]), 700, hall, azimuths=azimuths, seed=seed)
        model["imbalance"], model["wobble"] = 1e-7 * (seed % 3), 1e-7 * (seed % 2)
        model["hub_grip"], model["blade_section"][-1] = 0.001 + 0.01 * (seed % 2), 0.002
        state = flying(model, seed)
        state[POSITION : POSITION + 3] = chance.uniform([-3.2, -3.2, -3.2], [3.2, 3.2, -1.0])
        state[QUATERNION:] += 0.3 * chance.standard_normal(STATES - QUATERNION)
        state[TURNS], state[SHAFT_SPEED] = 200.0 * (seed % 4) - 60.0, chance.uniform(-5, 60)
        models.append(model)
        states.append(state)
    return models, np.array(states)


@pytest.fixture(scope="module")
def model() -> Model:
    return model_of(demo("hallfinch-46"), 1000, ROOMY)


@pytest.mark.parametrize("azimuths", [1, 4])
def test_every_language_says_the_same(in_c: Compiled, azimuths: int) -> None:
    models, states = awkward(azimuths)
    wanted = np.array([numba_rates(m, s, 1.3) for m, s in zip(models, states, strict=True)])
    assert np.all(np.isfinite(wanted))
    pairs = zip(models, states, strict=True)
    assert sum(np.any(np.abs(s[:3]) + m["reach"] > m["room"]) for m, s in pairs) > 8
    assert np.any(states[:, TURNS] < 0)
    at_once = Flights(models).rates(1.3, states.T.copy()).T
    for m, state, here, there in zip(models, states, wanted, at_once, strict=True):
        agree(in_c.rates(1.3, state, m), here)
        agree(Plain(m).rates(1.3, state), here)
        agree(there, here)


def test_c(in_c: Compiled, model: Model, table: Table) -> None:
    state, steps = flying(model), 2000
    end = state.copy()
    in_c.march(end, model, STEP_S, steps, steps)
    agree(end, numba_march(model, state, steps), 1e-9)
    ours, theirs = least_times(
        30,
        lambda: numba_march(model, state, 400),
        lambda: in_c.march(state.copy(), model, STEP_S, 400, 400),
    )
    table.add("right-hand side, numba", f"{ours / 1600 * 1e6:.2f} µs", "within a march of RK4")
    table.add(
        "right-hand side, C -O3 -march=native",
        f"{theirs / 1600 * 1e6:.2f} µs",
        f"numba takes {ours / theirs:.2f} of its time; aim at most 1.3",
    )


def test_scipy(model: Model, table: Table) -> None:
    state, seconds, plain = flying(model), 1.0, Plain(model)
    steps, found = round(seconds / STEP_S), []

    def scipy(tight: float) -> None:
        found.append(solve_ivp(plain.rates, (0.0, seconds), state, rtol=tight, atol=0.01 * tight))

    ours, theirs = least_times(3, lambda: numba_march(model, state, steps), lambda: scipy(1e-5))
    scipy(1e-8)
    ends = np.array([numba_march(model, state, steps), *(run.y[:, -1] for run in found[-2:])])
    march_off, scipy_off = np.abs(ends[:2] - ends[2])[:, :VELOCITY].max(axis=1)
    assert march_off < 1e-4
    assert scipy_off < 1e-4
    count = found[0].nfev
    table.add(
        "1 s of flight, solve_ivp on plain Python",
        f"{theirs * 1e3:.0f} ms",
        f"{theirs / ours:.0f} times numba's {ours * 1e3:.2f} ms; aim 60; {count} rates against "
        f"{4 * steps}, off by {scipy_off:.0e} against {march_off:.0e}",
    )
    (each,) = least_times(20, lambda: plain.rates(0.0, state))
    table.add(
        "right-hand side, plain Python",
        f"{each * 1e6:.0f} µs",
        f"{each / (ours / (4 * steps)):.0f} times numba's",
    )


def test_a_thousand_flights_at_once(table: Table) -> None:
    kinds = [model_of(demo(name), 1000, ROOMY) for name in NAMES]
    models = [kinds[flight % 3] for flight in range(FLIGHTS)]
    states = np.array([flying(m, seed) for seed, m in enumerate(models)])
    at_once, columns = Flights(models), states.T.copy()
    ends: dict[str, Floats] = {}

    def one_by_one() -> None:
        pairs = zip(models, states, strict=True)
        ends["numba"] = np.array([numba_march(m, state, STEPS) for m, state in pairs])

    def together() -> None:
        ends["numpy"] = at_once.march(columns, STEP_S, STEPS).T

    ours, theirs = least_times(3, one_by_one, together)
    agree(ends["numpy"].T, ends["numba"].T)
    each = FLIGHTS * STEPS * 4
    table.add(
        f"{FLIGHTS} flights of {STEPS * STEP_S:g} s, numba, one core",
        f"{ours:.2f} s",
        f"{ours / each * 1e6:.2f} µs for each right-hand side",
    )
    table.add(
        f"{FLIGHTS} flights of {STEPS * STEP_S:g} s at once, numpy",
        f"{theirs:.2f} s",
        f"{theirs / ours:.2f} times numba's; aim at least 2.5",
    )


def test_jsbsim(model: Model, table: Table) -> None:
    if importlib.util.find_spec("jsbsim") is None:
        table.add("JSBSim, c172p", "absent", "there is no module jsbsim here")
        return
    import jsbsim

    craft = jsbsim.FGFDMExec(None)
    craft.set_debug_level(0)
    assert craft.load_model("c172p")
    craft["ic/h-sl-ft"], craft["ic/vc-kts"] = 3000.0, 90.0
    assert craft.run_ic()
    begun, state, steps = craft.get_sim_time(), flying(model), 1000

    def run() -> None:
        for _ in range(steps):
            craft.run()

    ours, theirs = least_times(5, lambda: numba_march(model, state, steps), run)
    gone = craft.get_sim_time() - begun
    assert gone == pytest.approx(5 * steps * craft.get_delta_t(), rel=1e-6)
    table.add(
        "JSBSim, c172p, run() from Python",
        f"{steps / theirs:,.0f} steps/s",
        f"numba {steps / ours:,.0f}, of four right-hand sides each: {theirs / ours:.1f} times",
    )


FIRST = """
import time
begun = time.perf_counter()
from tests.flight.planes import demo
from trimkit.flight import Launch, fly
loaded = time.perf_counter()
fly(demo("hallfinch-46"), launch=Launch(turns=1000, speed_m_s=2.4), longest_s=0.1)
print(loaded - begun, time.perf_counter() - loaded)
"""


def first_flight(cache: Path) -> tuple[float, float]:
    """Time to import, and to fly for the first time in a new process [s]."""
    project = Path(__file__).parents[2]
    around = {**os.environ, "NUMBA_CACHE_DIR": str(cache), "PYTHONPATH": str(project)}
    command = [sys.executable, "-c", FIRST]
    run = subprocess.run(
        command, env=around, cwd=project, check=True, capture_output=True, text=True, timeout=500
    )
    load, flown = (float(word) for word in run.stdout.split())
    return load, flown


def test_first_call(tmp_path: Path, table: Table) -> None:
    cold, *warm = (first_flight(tmp_path) for _ in range(3))
    kept = list(tmp_path.rglob("*.nbc"))
    assert kept
    size = sum(path.stat().st_size for path in tmp_path.rglob("*") if path.is_file())
    table.add("first flight of a new installation", f"{cold[1]:.1f} s", "compiles the engine")
    table.add(
        "first flight of a new process",
        f"{min(flown for _, flown in warm):.2f} s",
        f"from {size / 1e6:.1f} MB on disk; importing trimkit.flight took another "
        f"{min(load for load, _ in warm):.2f} s",
    )


def test_a_minute_and_its_memory(table: Table) -> None:
    aeroplane, launch = demo("hallfinch-46"), Launch(turns=1157, speed_m_s=2.4)
    flights = []

    def minute() -> None:
        flights.append(fly(aeroplane, launch=launch, hall=ROOMY, longest_s=60.0))

    def nothing() -> None:
        fly(aeroplane, launch=launch, hall=ROOMY, longest_s=STEP_S)

    whole, setting_up = least_times(5, minute, nothing)
    assert all(flight.duration_s == pytest.approx(60.0) for flight in flights)
    np.testing.assert_array_equal(flights[0].position_m, flights[-1].position_m)
    size = flights[0].nbytes
    assert size >= flights[0].time_s.size * 8 * 15
    table.add(
        "a flight of 60 s",
        f"{whole * 1e3:.0f} ms",
        f"{60 / whole:,.0f} times as fast as the clock",
    )
    table.add("of that, before and after the march", f"{setting_up * 1e3:.1f} ms", "for a flight")
    table.add(
        "memory of 1000 flights of 60 s",
        f"{size / 1e3:.0f} MB",
        f"{flights[0].time_s.size} rows each; a model has {MODEL_TYPE.itemsize / 1e3:.0f} kB",
    )
