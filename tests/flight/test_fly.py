"""Whole flights: convergence, mirror image, the baseline, and what may go wrong."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.flight.planes import mirrored
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Flight, Hall, Launch, compiled, fly
from trimkit.flight.march import march

HUGE = Hall((400.0, 400.0, 100.0))


def first(aeroplane: Aeroplane, seconds: float, **given: object) -> Flight:
    given = {"launch": Launch(turns=750, speed_m_s=2.4), "hall": HUGE, **given}
    return fly(aeroplane, longest_s=seconds, **given)  # type: ignore[arg-type]


def test_the_step_converges_with_its_fourth_power(trainer: Aeroplane) -> None:
    steps = (0.01, 0.005, 0.0025, 0.000625)
    ends = [first(trainer, 2.0, step_s=step).position_m[-1] for step in steps]
    errors = [float(np.linalg.norm(end - ends[-1])) for end in ends[:-1]]
    assert np.log2(errors[0] / errors[1]) > 3.7
    assert np.log2(errors[1] / errors[2]) > 3.7


def test_the_usual_step_is_fine_enough_for_20_seconds(trainer: Aeroplane) -> None:
    usual, fine = (first(trainer, 20.0, step_s=step).position_m[-1] for step in (0.005, 0.00125))
    assert np.linalg.norm(usual - fine) < 5e-4


def test_the_mirrored_aeroplane_flies_the_mirrored_path(aeroplane: Aeroplane) -> None:
    launch = Launch(turns=600, speed_m_s=2.4, bank_deg=-8.0, heading_deg=10.0, east_m=3.0)
    image = dataclasses.replace(launch, bank_deg=8.0, heading_deg=-10.0, east_m=-3.0)
    one = first(aeroplane, 10.0, launch=launch)
    other = first(mirrored(aeroplane), 10.0, launch=image)
    flip = np.array([1.0, -1.0, 1.0])
    np.testing.assert_allclose(other.position_m * flip, one.position_m, atol=1e-9)
    np.testing.assert_allclose(other.roll_deg, -one.roll_deg, atol=1e-6)


# Duration and height of the design's prototype, and how near this one must come: it has other
# sections, a tail in the stream and blades that turn, and one set of calibrated figures in
# datasets_demo/aeroplanes/hallfinch-46.toml.
BASELINE = ((400, 8.4, 1.6), (750, 32.0, 2.1), (1157, 98.0, 7.4), (1326, 125.0, 11.3))


HIGHER = pytest.mark.xfail(strict=True, reason="1326 turns reach 15.0 m where 11.3 m is asked")


@pytest.mark.parametrize(
    ("turns", "duration_s", "height_m"),
    [*BASELINE[:3], pytest.param(*BASELINE[3], marks=HIGHER)],
)
def test_the_trainer_flies_as_the_design_says(
    trainer: Aeroplane, turns: float, duration_s: float, height_m: float
) -> None:
    found = fly(trainer, turns=turns, hall=HUGE)
    assert found.duration_s == pytest.approx(duration_s, rel=0.15)
    assert found.peak_height_m == pytest.approx(height_m, rel=0.2)
    assert found.ended == "landed"
    assert found.notes == ()
    assert found.heading_deg[-1] < -360 or turns == 400  # round to the left
    assert 0.1 * turns < found.turns_at_landing < turns


def test_walls_and_ceiling_are_felt_and_told(trainer: Aeroplane) -> None:
    small = Hall((8.0, 8.0, 4.0))
    found = fly(trainer, turns=1157, hall=small)
    what = {event.what for event in found.events}
    assert {"hit a wall", "landed"} <= what
    assert np.abs(found.position_m[:, :2]).max() < 4.2
    assert found.peak_height_m < 4.2
    low = fly(trainer, turns=1326, hall=Hall((60.0, 60.0, 4.0)))
    assert any(event.what == "hit the ceiling" and event.part for event in low.events)
    assert list(low.events) == sorted(low.events, key=lambda event: event.time_s)


def test_repeats_are_the_same_and_scatter_when_asked(trainer: Aeroplane) -> None:
    launch = Launch(turns=400, scatter=1.0)
    same = [fly(trainer, launch=launch, seed=3).position_m for _ in range(2)]
    np.testing.assert_array_equal(*same)
    times = [fly(trainer, launch=launch, seed=seed).duration_s for seed in range(6)]
    assert len(set(times)) == 6
    hall = Hall(restless_m_s=0.03)
    restless = {fly(trainer, turns=400, hall=hall, seed=seed).duration_s for seed in range(4)}
    assert len(restless) == 4


def test_without_power_it_glides_down(aeroplane: Aeroplane) -> None:
    stopped, bare = (fly(aeroplane, turns=0, propeller=fitted) for fitted in (True, False))
    for glide in (stopped, bare):
        assert glide.ended == "landed"
        assert -0.01 < glide.energy_J[-1] <= 0.0  # the air winds the rubber a little
        assert glide.peak_height_m < 2.0
    assert bare.duration_s > stopped.duration_s  # a propeller that nobody drives is a brake


def test_a_left_handed_aeroplane_circles_to_the_right(trainer: Aeroplane) -> None:
    found = fly(mirrored(trainer), launch=Launch(turns=750, bank_deg=5.0), hall=HUGE)
    assert found.heading_deg[-1] > 360


def test_unequal_blades_shake_the_nose(trainer: Aeroplane) -> None:
    setting = trainer.setting
    bent = dataclasses.replace(setting.propeller, second_blade_deg=8.0)
    smooth, rough = first(trainer, 6.0), first(replace(trainer, propeller=bent), 6.0)
    assert shake(rough) > 2 * shake(smooth)  # which also shakes, twice a turn, in a circle


def shake(found: Flight) -> float:
    late = found.rates_rad_s[len(found.time_s) // 2 :, 1:]
    return float(np.abs(np.diff(late, axis=0)).mean())


def test_an_unbalanced_propeller_shakes_it(trainer: Aeroplane) -> None:
    stick = dataclasses.replace(trainer.build.stick, propeller_imbalance_g_mm=5.0)
    heavy = dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, stick=stick))
    assert shake(first(heavy, 6.0)) > 2 * shake(first(trainer, 6.0))


def test_a_loose_wing_rocks(trainer: Aeroplane) -> None:
    panel = dataclasses.replace(trainer.build.wing, saddle_slack=1.0)
    loose = dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, wing=panel))
    rock = [np.ptp(first(made, 6.0).joints_rad[25:, 2]) for made in (trainer, loose)]
    assert rock[1] > 3 * rock[0]


def test_a_soft_stick_puts_the_nose_down_under_power(trainer: Aeroplane) -> None:
    stick = dataclasses.replace(trainer.build.stick, bow_deg_mNm=0.15)
    soft = dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, stick=stick))
    low = [fly(made, turns=400, hall=HUGE).duration_s for made in (trainer, soft)]
    high = [fly(made, turns=1326, hall=HUGE).duration_s for made in (trainer, soft)]
    assert low[1] > 0.6 * low[0]
    assert high[1] < 0.25 * high[0]


def test_slips_are_answered_with_the_reason(trainer: Aeroplane) -> None:
    with pytest.raises(ValueError, match="give turns"):
        fly(trainer)
    with pytest.raises(ValueError, match="past what this loop can take"):
        fly(trainer, turns=9000)
    with pytest.raises(ValueError, match=r"step_s is 0\.1"):
        fly(trainer, turns=400, step_s=0.1)
    with pytest.raises(ValueError, match="outside the hall"):
        fly(trainer, launch=Launch(turns=400, north_m=100.0))
    with pytest.raises(ValueError, match="speed_m_s is 90"):
        Launch(turns=400, speed_m_s=90.0)
    with pytest.raises(ValueError, match="feet"):
        Hall((1.0, 30.0, 10.0))
    with pytest.raises(ValueError, match="km/h"):
        Hall(drift_m_s=(9.0, 0.0, 0.0))


def test_a_flight_out_of_its_depth_says_so(trainer: Aeroplane) -> None:
    thrown = fly(trainer, launch=Launch(turns=0, speed_m_s=12.0, height_m=60.0, pitch_deg=-60.0,
                                        bank_deg=0.0), hall=HUGE)  # fmt: skip
    assert any("Reynolds number of 30000" in note for note in thrown.notes)


def test_save_and_load_give_the_same_flight(trainer: Aeroplane, tmp_path: Path) -> None:
    found = fly(trainer, turns=400)
    found.save(tmp_path / "one.npz")
    again = Flight.load(tmp_path / "one.npz")
    for field in dataclasses.fields(Flight):
        np.testing.assert_array_equal(getattr(again, field.name), getattr(found, field.name))
    assert [path.name for path in tmp_path.iterdir()] == ["one.npz"]  # nothing half-written
    (tmp_path / "other.npz").write_bytes(b"not a flight")
    with pytest.raises(ValueError, match=r"other\.npz is not a flight"):
        Flight.load(tmp_path / "other.npz")


def test_history_is_even_and_ends_at_the_end(trainer: Aeroplane) -> None:
    found = fly(trainer, turns=400)
    np.testing.assert_allclose(np.diff(found.time_s[:-1]), 0.02, atol=1e-12)
    assert found.duration_s == found.time_s[-1] > found.time_s[-2]
    np.testing.assert_allclose(np.linalg.norm(found.quaternion, axis=1), 1, atol=1e-6)


def test_compiled_code_is_stamped_with_the_sources() -> None:
    stamp = march._cache._cache_file._source_stamp  # type: ignore[attr-defined]
    assert stamp == compiled.FINGERPRINT == compiled.fingerprint()


def test_a_first_flight_says_what_it_does() -> None:
    code = """
import sys, time
import trimkit.flight
engine = sys.modules["trimkit.flight.fly"]
engine.SAY_AFTER_S = 0.0
engine.march = lambda *given: time.sleep(0.3)  # a slow compiler
engine.prepare()
engine.prepare()
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stderr.count("Preparing the flight engine") == 1
