"""Lesson 09: its flights are flown, and its tables and sentences say the same."""

from __future__ import annotations

import re
from functools import lru_cache

import pytest

from tests.instructor.books import lesson_text
from trimkit import faults, flight, observe
from trimkit.aeroplane import Aeroplane, replace
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import power_steps as lesson
from trimkit.lesson.tasks.start import flyer
from trimkit.motor import turns_for_torque

TEXT = lesson_text("09-power-steps")
TOLD_S, TOLD_M, TOLD_DEG = 0.3, 0.15, 0.3


@lru_cache
def kind(name: str) -> Aeroplane:
    good = flyer()
    ways = {
        lesson.GOOD: lambda: good,
        lesson.LINE_UP: lambda: replace(
            good, down_thrust_deg=good.setting.down_thrust_deg + lesson.LINE_UP_DEG
        ),
        lesson.SOFT: lambda: faults.apply(good, "soft-stick", lesson.SOFT_SIZE),
        lesson.NO_SHIM: lambda: replace(good, shim_mm=lesson.SHIM_MM),
    }
    return ways[name]()


@pytest.mark.parametrize("step", range(4))
@pytest.mark.parametrize("name", lesson.FLIES)
def test_every_step_is_flown(name: str, step: int) -> None:
    turns = tuple(lesson.STEPS.values())[step]
    flown = flight.fly(kind(name), turns=turns)
    time_s, top_m, nose_deg = lesson.FLIES[name][step]
    assert flown.duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert flown.peak_height_m == pytest.approx(top_m, abs=TOLD_M)
    seen = observe.watch(flown).values["early_nose_deg"]
    assert seen == pytest.approx(nose_deg, abs=TOLD_DEG)


@pytest.mark.parametrize("share", lesson.STEPS)
def test_a_step_is_that_many_times_the_level_torque(share: float) -> None:
    good = flyer()
    torque_mNm = share * flight.level_torque_mNm(good)
    turns = turns_for_torque(good.setting.motor, torque_mNm, 20.0)
    assert turns == pytest.approx(lesson.STEPS[share], abs=1)


def test_the_table_of_steps_says_so() -> None:
    for name, words in (
        (lesson.GOOD, "the card"),
        (lesson.LINE_UP, "thrust line 3° up"),
        (lesson.SOFT, "soft stick"),
        (lesson.NO_SHIM, "shim .3 mm too thin"),
    ):
        noses = " | ".join(f"{nose:.0f}" for _, _, nose in lesson.FLIES[name])
        assert f"| {words} | {noses} |".replace("-0", "0").replace("-", "−") in TEXT
    for (share, turns), (time_s, top_m, _), left in zip(
        lesson.STEPS.items(), lesson.FLIES[lesson.GOOD], lesson.GOOD_LEFT, strict=True
    ):
        roof = "touches at " if share == 2.6 else ""
        assert f"| {share} | {turns} | {time_s:.0f} s | {roof}{top_m} m | {left} |" in TEXT


@pytest.mark.parametrize("step", range(4))
def test_a_smaller_share_is_left_at_each_step(step: int) -> None:
    turns = tuple(lesson.STEPS.values())[step]
    left = flight.fly(flyer(), turns=turns).turns_at_landing
    assert left == pytest.approx(lesson.GOOD_LEFT[step], abs=3)
    shares = re.search(r"here (\d+), (\d+), (\d+), (\d+) %", TEXT)
    assert shares
    assert int(shares[step + 1]) == round(100 * left / turns)


@pytest.mark.parametrize("what", lesson.ONE_MORE_NOSE_DEG)
def test_side_thrust_and_fin_look_alike(what: str) -> None:
    good = flyer()
    changed = replace(good, **{what: getattr(good.setting, what) + 1.0})
    nose_deg = lesson.ONE_MORE_NOSE_DEG[what]
    seen = observe.watch(flight.fly(changed, turns=lesson.STEPS[2.0])).values
    assert seen["early_nose_deg"] == pytest.approx(nose_deg, abs=TOLD_DEG)
    assert "from 13° to 3° and 6°" in TEXT
    for share in (1.25, 2.0):
        rates = [
            observe.watch(flight.fly(one, turns=lesson.STEPS[share])).values["middle_turn_deg_s"]
            for one in (good, changed)
        ]
        assert rates[1] > rates[0] + 4  # tighter, by as much as is seen


@pytest.mark.parametrize("step", range(4))
def test_more_turns_do_not_cure_a_dive(step: int) -> None:
    turns = tuple(lesson.STEPS.values())[step]
    flown = flight.fly(replace(flyer(), shim_mm=lesson.DIVE_MM), turns=turns)
    assert flown.duration_s == pytest.approx(lesson.DIVE_S[step], abs=0.1)
    assert f'"{lesson.DIVE_S[-1]} s. Power makes' in TEXT


def test_nose_weight_spoils_the_low_power_test() -> None:
    heavy = replace(kind(lesson.LINE_UP), ballast_g=lesson.NOSE_WEIGHT_G, ballast_station_mm=0.0)
    flown = flight.fly(heavy, turns=lesson.STEPS[1.25])
    assert flown.duration_s == pytest.approx(lesson.NOSE_WEIGHT_S, abs=TOLD_S)


@pytest.mark.parametrize(("turns", "torque_mNm", "time_s", "top_m"), lesson.UNDER_ROOF)
def test_what_the_roof_costs_is_flown(
    turns: int, torque_mNm: float, time_s: float, top_m: float
) -> None:
    hall = flight.Hall(size_m=(40.0, 30.0, lesson.ROOF_M))
    flown = flight.fly(flyer(), turns=turns, hall=hall)
    assert flown.duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert flown.peak_height_m == pytest.approx(top_m, abs=TOLD_M)
    motor = flyer().setting.motor
    assert motor.winding_torque_mNm(turns, 20.0) == pytest.approx(torque_mNm, abs=0.01)


def test_the_worked_examples_are_right() -> None:
    assert pytest.approx(4.24, abs=0.005) == 0.6 * 7.0616
    assert pytest.approx(3.895) == 3.77 + (7.2 - 0.7 - 5.9) / (7.1 - 5.9) * (4.02 - 3.77)
    assert pytest.approx(3.8325) == 3.77 + (7.0 - 0.8 - 5.9) / (7.1 - 5.9) * (4.02 - 3.77)
    assert "(3.83 mN m.)" in TEXT
    assert "= **4.24 mN m**" in TEXT
    assert "= **3.90 mN m**" in TEXT


def test_every_cause_cure_and_kind_is_asked_for() -> None:
    drawn = [variant.all_figures(tasks.load("09"), pupil, "oak") for pupil in range(1, 101)]
    assert {figures["09.4"]["place"] for figures in drawn} == set(range(4))
    assert len({figures["09.5"]["place"] for figures in drawn}) == 3
    assert len({figures["09.7"]["time_s"] for figures in drawn}) == 4
