"""Lesson 07: its flights are flown, its rules are worked out again."""

from __future__ import annotations

import dataclasses
import math

import pytest
from scipy import stats

from tests.instructor.books import lesson_text
from trimkit import faults, flight, motor
from trimkit.aeroplane import replace
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import rubber, start
from trimkit.motor import RubberMotor

TEXT = lesson_text("07-rubber-motor")
LOOP = start.flyer().setting.motor
TOLD_S, TOLD_M = 0.3, 0.15


def flown(turns: float, loop: RubberMotor = LOOP, **more: float) -> tuple[float, float, float]:
    """Seconds, metres climbed to, turns left."""
    hall = flight.Hall(**more)
    one = flight.fly(replace(start.flyer(), motor=loop), turns=turns, hall=hall)
    return one.duration_s, -float(one.position_m[:, 2].min()), one.turns_at_landing


@pytest.mark.parametrize("turns", rubber.FLIES)
def test_the_table_of_turns_is_flown(turns: int) -> None:
    time_s, height_m, _ = flown(turns)
    told_s, told_m = rubber.FLIES[turns]
    assert time_s == pytest.approx(told_s, abs=TOLD_S)
    assert height_m == pytest.approx(told_m, abs=TOLD_M)
    assert f"| {turns} | {told_s:.0f} s | {told_m} m |" in TEXT


@pytest.mark.parametrize("strength", rubber.BATCH_FLIES)
def test_torque_travels_better_than_turns(strength: float) -> None:
    loop = dataclasses.replace(LOOP, batch_strength=strength)
    card_mNm = LOOP.winding_torque_mNm(start.TURNS, rubber.HALL_C)
    to_torque = round(motor.turns_for_torque(loop, card_mNm, rubber.HALL_C))
    told = rubber.BATCH_FLIES[strength]
    for turns, (told_s, told_m) in zip((start.TURNS, to_torque), told, strict=True):
        time_s, height_m, _ = flown(turns, loop)
        assert time_s == pytest.approx(told_s, abs=TOLD_S)
        assert height_m == pytest.approx(told_m, abs=TOLD_M)
    by_turns, by_torque = (abs(told_s - rubber.FLIES[start.TURNS][0]) for told_s, _ in told)
    assert by_torque < by_turns / 2
    for words in ("climbs to 11.6 m", "1088 turns, it climbs to 9.3 m", "flies 77 s", "92 s with"):
        assert words in TEXT


@pytest.mark.parametrize("factor", rubber.WIDTH_FLIES)
def test_the_wider_strip_is_flown(factor: float) -> None:
    loop = dataclasses.replace(
        LOOP, strip_width_mm=LOOP.strip_width_mm * factor, loop_mm=LOOP.loop_mm / factor
    )
    turns, told_s, told_left = rubber.WIDTH_FLIES[factor]
    assert loop.mass_g == pytest.approx(LOOP.mass_g)
    torque_mNm = loop.winding_torque_mNm(turns, rubber.HALL_C)
    assert torque_mNm == pytest.approx(LOOP.winding_torque_mNm(start.TURNS, 20.0), abs=0.02)
    time_s, _, left = flown(turns, loop)
    assert time_s == pytest.approx(told_s, abs=TOLD_S)
    assert left == pytest.approx(told_left, abs=3)
    assert f"{turns} | {told_s:.0f} s | {told_left} |" in TEXT


def test_the_part_motor_and_the_cold_hall_are_flown() -> None:
    half = motor.part_motor(LOOP)
    short = replace(start.flyer(), motor=half.motor, ballast_g=half.spacer_mass_g,
                    ballast_station_mm=150.0)  # fmt: skip
    one = flight.fly(short, turns=578)
    assert one.duration_s == pytest.approx(rubber.HALF_MOTOR_S, abs=TOLD_S)
    assert -one.position_m[:, 2].min() == pytest.approx(rubber.HALF_MOTOR_M, abs=TOLD_M)
    assert "578 turns | 57 s | 4.6 m" in TEXT
    assert flown(start.TURNS, temperature_c=10.0)[0] == pytest.approx(rubber.COLD_S, abs=TOLD_S)


def test_the_four_causes_of_the_case_cost_as_much_as_told() -> None:
    flyer = start.flyer()
    ways = {
        rubber.COLD: flight.fly(flyer, turns=1157, hall=flight.Hall(temperature_c=10.0)),
        rubber.COUNT: flight.fly(flyer, turns=1064),
        rubber.DRY: flight.fly(faults.apply(flyer, "dry-motor", 0.6), turns=1157),
        rubber.TIRED: flight.fly(
            replace(flyer, motor=dataclasses.replace(LOOP, batch_strength=0.9)), turns=1157
        ),
    }
    for place, (told_s, _) in rubber.CASES.items():
        assert ways[place].duration_s == pytest.approx(told_s, abs=TOLD_S)
    torques = {
        rubber.COLD: LOOP.winding_torque_mNm(1157, 10.0),
        rubber.COUNT: LOOP.winding_torque_mNm(1064, 20.0),
        rubber.DRY: LOOP.winding_torque_mNm(1157, 20.0),
        rubber.TIRED: 0.9 * LOOP.winding_torque_mNm(1157, 20.0),
    }
    for place, (_, told_mNm) in rubber.CASES.items():
        assert torques[place] == pytest.approx(told_mNm, abs=0.02)


def test_the_chances_are_those_of_the_binomial() -> None:
    """SciPy's binomial distribution is the second opinion."""
    for made, chance in rubber.chances(15, 6).items():
        assert chance == round(100 * stats.binom.sf(5, made, 0.85))
    assert min(n for n, chance in rubber.chances(15, 6).items() if chance >= 95) == 9
    too_few = stats.binom.cdf(8, 10, 0.9)
    assert 0.24 < too_few < 0.28  # "one day in four" of the plan


def test_the_worked_examples_are_right() -> None:
    assert "8.5 turns each second" in TEXT
    assert pytest.approx(8.5, abs=0.05) == (1200 - 60 - 320) / 96
    breaks = 7.78 * 407 / math.sqrt(2.4 * 1.1 * 2)
    assert breaks == pytest.approx(1378, abs=0.5)
    assert 0.85 * breaks == pytest.approx(1171, abs=0.6)
    assert pytest.approx(1, abs=0.001) == 9.80665e-6 * 1e3 * 102  # grams x mm to mN m


def test_every_cause_and_every_loop_is_asked_for() -> None:
    drawn = [variant.all_figures(tasks.load("07"), pupil, "oak") for pupil in range(1, 101)]
    assert {figures["07.5"]["place"] for figures in drawn} == set(range(4))
    assert {figures["07.7"]["time_s"] for figures in drawn} == {77, 79}
    assert {figures["07.7"]["squeaks"] for figures in drawn} == {True, False}
