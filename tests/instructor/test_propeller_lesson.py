"""Lesson 08: its flights are flown, and its tables and sentences say the same."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest

from tests.instructor.books import lesson_text
from trimkit import faults, flight, observe
from trimkit.aeroplane import replace
from trimkit.labs.blades import gauge_deg
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import propeller as lesson
from trimkit.lesson.tasks.start import TURNS, flyer

TEXT = lesson_text("08-propeller")
TOLD_S, TOLD_M = 0.3, 0.15
FITTED = flyer().setting.propeller


def flown(**changes: Any) -> flight.Flight:
    propeller = dataclasses.replace(FITTED, **changes)
    return flight.fly(replace(flyer(), propeller=propeller), turns=TURNS)


def turned(degrees: float) -> tuple[float, ...]:
    return tuple(angle + degrees for angle in FITTED.blade_angles_deg)


@pytest.mark.parametrize("degrees", lesson.PITCH_FLIES)
def test_the_table_of_pitch_is_flown(degrees: int) -> None:
    time_s, top_m, rate, left = lesson.PITCH_FLIES[degrees]
    one = flown(blade_angles_deg=turned(degrees))
    assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert one.peak_height_m == pytest.approx(top_m, abs=TOLD_M)
    assert one.turns_at_landing == pytest.approx(left, abs=3)
    assert observe.watch(one).values["turns_per_s"] == pytest.approx(rate, abs=0.1)
    said = f"{degrees:+d}°".replace("-", "−") if degrees else "as fitted"
    assert f"| {said} | {time_s:.0f} s | {top_m} m | {rate} |" in TEXT


@pytest.mark.parametrize("diameter_mm", lesson.SIZE_FLIES)
def test_another_size_is_flown(diameter_mm: float) -> None:
    time_s, top_m, left = lesson.SIZE_FLIES[diameter_mm]
    one = flown(diameter_mm=diameter_mm)
    assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert one.peak_height_m == pytest.approx(top_m, abs=TOLD_M)
    assert one.turns_at_landing == pytest.approx(left, abs=3)
    for words in ("2.7 m, and 46 s", "865 turns are left", "119 s and climbs to 11.9 m"):
        assert words in TEXT


def test_the_other_hand_ends_on_the_floor_with_the_right_wing_down() -> None:
    one = flown(hand="left")
    assert one.duration_s == pytest.approx(lesson.OTHER_HAND_S, abs=0.1)
    assert observe.watch(one).values["early_bank_deg"] < -20  # + is left wing down
    assert observe.watch(flown()).values["early_bank_deg"] > 10


def test_the_case_is_flown() -> None:
    good = flyer()
    names = {
        lesson.LOW: "pitch-too-low",
        lesson.HIGH: "pitch-too-high",
        lesson.RUBS: "binding-hook",
        lesson.SLIPS: "slipping-hub",
    }
    for place, (time_s, rate, left) in lesson.CASES.items():
        ill = faults.apply(good, names[place], lesson.CASE_SIZES[place])
        one = flight.fly(ill, turns=TURNS)
        assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)
        assert one.turns_at_landing == pytest.approx(left, abs=3)
        assert observe.watch(one).values["turns_per_s"] == pytest.approx(rate, abs=0.1)


@pytest.mark.parametrize(
    ("name", "size", "time_s"),
    [("unequal-blades", 8.0, 90), ("blades-out-of-track", 4.0, 95), ("binding-hook", 0.25, 74)],
)
def test_noise_costs_little_and_friction_much(name: str, size: float, time_s: int) -> None:
    one = flight.fly(faults.apply(flyer(), name, size), turns=TURNS)
    assert one.duration_s == pytest.approx(time_s, abs=0.7)
    assert f"{time_s} s" in TEXT


def test_the_gauge_and_the_worked_examples_are_right() -> None:
    assert gauge_deg(FITTED) == pytest.approx(lesson.GAUGE_DEG, abs=0.5)
    assert pytest.approx(0.352, abs=0.0005) == 2.5 / 7.1
    assert pytest.approx(75) == 60 * 50 / 40
    assert pytest.approx(95.4, abs=0.05) == (1100 - 480) / 6.5
    for words in ("**352 mm**", "(95 s.)", "**3.0°**", "**75 mm**"):
        assert words in TEXT


def test_the_card_triangle_has_the_slope_of_the_blade() -> None:
    for angle_deg, height_mm in lesson.TRIANGLE_MM.items():
        assert math.degrees(math.atan(height_mm / 100)) == pytest.approx(angle_deg, abs=0.25)
    for row in (lesson.TRIANGLE_MM.values(), [f"{angle}°" for angle in lesson.TRIANGLE_MM]):
        assert f"| {' | '.join(map(str, row))} |" in TEXT
    assert round(lesson.TRIANGLE_MM[36] / 100 * 57) == 42  # the small-angle rule, as the text says


def test_a_heavier_one_flies_as_lesson_03_told() -> None:
    good = flyer()
    heavy = replace(good, propeller=dataclasses.replace(FITTED, mass_g=FITTED.mass_g + 0.8))
    back = replace(heavy, wing_station_mm=good.setting.wing_station_mm - 13.8)
    assert flight.fly(heavy, turns=TURNS).duration_s == pytest.approx(5, abs=0.5)
    assert flight.fly(back, turns=TURNS).duration_s == pytest.approx(76, abs=0.5)
    assert "5 s. With the wing 13.8 mm forward: 76 s" in TEXT


def test_every_cause_is_asked_for_and_both_hands() -> None:
    drawn = [variant.all_figures(tasks.load("08"), pupil, "oak") for pupil in range(1, 101)]
    assert {figures["08.3"]["place"] for figures in drawn} == set(range(4))
    assert {figures["08.7"]["time_s"] for figures in drawn} == {77, 81, 74, 75}
    assert len({(f["08.4"]["clockwise"], f["08.4"]["where"]) for f in drawn}) == 4
