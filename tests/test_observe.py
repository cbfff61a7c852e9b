"""What a coach sees: words and numbers from the same figures, as the flight really was."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.flight.planes import NAMES, demo, mirrored
from trimkit import faults
from trimkit.flight import Flight, Hall, Job, Launch
from trimkit.observe import FEATURES, NEVER_NEGATIVE, watch
from trimkit.observe import NAMES as FEATURE_NAMES


def flown(name: str = NAMES[0], turns: float = 750.0, fault: str = "", size: float = 0) -> Flight:
    job = Job(aeroplane=demo(name), launch=Launch(turns=turns), longest_s=60.0)
    return (faults.afflict(job, fault, size) if fault else job).fly()


@pytest.fixture(scope="module")
def plain() -> Flight:
    return flown()


def circle(radius_m: float, speed_m_s: float, time_s: float, climb_m_s: float = 0.0) -> Flight:
    """A made-up flight: a level left circle, wings banked by 10 degrees."""
    time = np.arange(0.0, time_s, 0.02)
    turned = speed_m_s / radius_m * time
    north, east = radius_m * np.sin(turned), -radius_m * (1 - np.cos(turned))
    half = np.radians(-10.0) / 2
    attitude = np.stack(
        [
            math.cos(half) * np.cos(-turned / 2),
            math.sin(half) * np.cos(-turned / 2),
            math.sin(half) * np.sin(-turned / 2),
            math.cos(half) * np.sin(-turned / 2),
        ],
        axis=1,
    )
    none = np.zeros((time.size, 3))
    return Flight(
        name="made up",
        turns_on=500.0,
        seed=0,
        step_s=0.005,
        time_s=time,
        position_m=np.stack([north, east, -2.0 - climb_m_s * time], axis=1),
        quaternion=attitude,
        velocity_m_s=none + np.array([speed_m_s, 0.0, 0.0]),
        rates_rad_s=none,
        turns_left=np.linspace(500.0, 200.0, time.size),
        shaft_rad_s=np.full(time.size, 60.0),
        joints_rad=none,
        energy_J=np.zeros(time.size),
        ended="time over",
        landed_on="",
        events=(),
        notes=(),
    )


def test_a_known_circle_is_measured_as_it_is() -> None:
    seen = watch(circle(4.0, 2.0, 40.0, 0.1))
    for when in ("early", "middle", "late"):
        assert seen[f"{when}_turn_deg_s"] == pytest.approx(math.degrees(2 / 4), rel=1e-3)
        assert seen[f"{when}_bank_deg"] == pytest.approx(10.0, abs=1e-6)
    assert seen["speed_m_s"] == pytest.approx(math.hypot(2.0, 0.1), rel=1e-3)
    assert seen["start_climb_m_s"] == pytest.approx(0.1, rel=1e-3)
    assert seen["late_sink_m_s"] == pytest.approx(-0.1, rel=1e-3)
    assert seen["turns_left"] == pytest.approx(200.0)
    assert seen["swing_deg"] == pytest.approx(0.0, abs=1e-6)
    assert "circles left with a radius of about 4 m" in seen.words()


def test_a_rocking_wing_a_shaking_nose_and_a_porpoise_are_measured() -> None:
    made = circle(6.0, 2.0, 30.0)
    time = made.time_s
    rock, shake = np.zeros((time.size, 3)), np.zeros((time.size, 3))
    rock[:, 2] = np.radians(4.0) * np.sin(2 * math.pi * 3 * time)
    shake[:, 1] = np.radians(30.0) * np.sin(2 * math.pi * 8 * time)
    seen = watch(dataclasses.replace(made, joints_rad=rock, rates_rad_s=shake))
    assert seen["rock_deg"] == pytest.approx(4.0, rel=0.05)
    assert seen["shake_deg_s"] == pytest.approx(30 / 2, rel=0.15)  # the running mean takes a part
    assert "the wing rocks" in seen.words()
    assert "the nose shakes" in seen.words()


def test_words_come_in_order_of_time_and_end_with_the_turns_left(plain: Flight) -> None:
    seen = watch(plain)
    times = [moment.time_s for moment in seen.moments()]
    assert times == sorted(times)
    assert f"{seen['turns_left']:.0f} turns left" in seen.moments()[-1].words
    assert f"down after {seen['duration_s']:.0f} s" in seen.words()


def test_words_come_from_the_same_numbers_as_the_vector(plain: Flight) -> None:
    exact, seen = watch(plain), watch(plain, seed=3)
    assert seen["duration_s"] != exact["duration_s"]
    assert f"down after {seen['duration_s']:.0f} s" in seen.words()
    changed = dataclasses.replace(seen, values={**seen.values, "duration_s": 99.0})
    assert "down after 99 s" in changed.words()


def test_the_vector_has_every_feature_and_its_error(plain: Flight) -> None:
    seen = watch(plain)
    assert seen.vector().shape == seen.errors().shape == (len(FEATURES),)
    assert np.all(np.isfinite(seen.vector()))
    assert seen.vector()[FEATURE_NAMES.index("turns_left")] == seen["turns_left"]
    assert all(feature.error > 0 or feature.name == "hits" for feature in FEATURES)


def test_an_observers_errors_are_as_large_as_declared(plain: Flight) -> None:
    exact = watch(plain)
    many = np.array([watch(plain, seed).vector() for seed in range(400)])
    for column, feature in enumerate(FEATURES):
        error = feature.error_at(exact[feature.name])
        if feature.name in NEVER_NEGATIVE and exact[feature.name] < 3 * error:
            continue  # cut off at nothing
        assert np.std(many[:, column]) == pytest.approx(error, rel=0.15, abs=1e-12)


def test_the_same_seed_sees_the_same(plain: Flight) -> None:
    assert watch(plain, 5) == watch(plain, 5)
    assert watch(plain, 5) != watch(plain, 6)


def test_nothing_that_cannot_be_negative_is(plain: Flight) -> None:
    for seed in range(50):
        seen = watch(plain, seed)
        assert all(seen[name] >= 0 for name in NEVER_NEGATIVE)


def test_a_mirrored_flight_is_seen_mirrored() -> None:
    launch = Launch(turns=600.0)
    left = Job(aeroplane=demo(NAMES[0]), launch=launch, longest_s=8.0).fly()
    other = dataclasses.replace(launch, bank_deg=-launch.bank_deg)
    right = Job(aeroplane=mirrored(demo(NAMES[0])), launch=other, longest_s=8.0).fly()
    one, two = watch(left), watch(right)
    for name in FEATURE_NAMES:
        sign = -1 if "bank" in name or "turn_deg" in name else 1
        assert two[name] == pytest.approx(sign * one[name], abs=1e-5)
    assert two.words() == one.words().replace("left with", "right with")


@pytest.mark.parametrize(
    ("fault", "size", "said"),
    [
        ("too-little-decalage", 1.6, "dives from the hand"),
        ("nose-high-launch", 30, "the nose goes up, then drops"),
        ("too-much-decalage", 1.6, "swings up and down"),
    ],
)
def test_what_goes_wrong_is_said(fault: str, size: float, said: str) -> None:
    assert said in watch(flown(turns=1000.0, fault=fault, size=size)).words()


def test_walls_are_named_with_the_part_that_hit() -> None:
    launch = Launch(turns=600.0)
    job = Job(aeroplane=demo(NAMES[0]), launch=launch, hall=Hall(size_m=(8.0, 8.0, 6.0)))
    seen = watch(job.fly())
    assert seen["hits"] >= 1
    assert "hit a wall with the " in seen.words()


@pytest.mark.parametrize("name", NAMES)
def test_very_short_flights_are_seen_too(name: str) -> None:
    job = Job(aeroplane=demo(name), launch=Launch(turns=10.0, pitch_deg=-60.0, height_m=0.4))
    seen = watch(job.fly())
    assert np.all(np.isfinite(seen.vector()))
    assert "down after" in seen.words()
