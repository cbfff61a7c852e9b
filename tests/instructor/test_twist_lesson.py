"""Lesson 05: its flights are flown, and its sentences say the same."""

from __future__ import annotations

import pytest

from tests.instructor.books import lesson_text
from trimkit import balance, faults, flight, incidence, observe
from trimkit.aeroplane import replace
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import twist as lesson
from trimkit.lesson.tasks.start import TURNS, flyer

TEXT = lesson_text("05-twist-and-roll")
GOOD = flyer().setting
TOLD_S, TOLD_M = 0.3, 0.15

FLIGHTS = {
    "right 4 down": ({"right_wash_in_deg": 4.0}, lesson.RIGHT_DOWN_4, "12 s, left wing 33°"),
    "right 2.6 down": ({"right_wash_in_deg": 2.6}, lesson.RIGHT_DOWN_26, "flies 32 s"),
    "right 1 down": ({"right_wash_in_deg": 1.0}, lesson.RIGHT_DOWN_1, "**110 s**"),
    "right 2 up": ({"right_wash_in_deg": -2.0}, lesson.RIGHT_UP_2, "flies 14 s"),
    "fin against it": (
        {"right_wash_in_deg": 2.6, "fin_deg": GOOD.fin_deg - 3.0},
        lesson.FIN_FOR_TWIST,
        '"23 s. The circle did get wider. But the wing still leans, 27°',
    ),
    "left 2 more": (
        {"left_wash_in_deg": GOOD.left_wash_in_deg + 2.0},
        lesson.LEFT_IN_2,
        "105 s, and it climbs to 9.5 m",
    ),
    "wing in the middle": ({"wing_offset_mm": 0.0}, lesson.WING_MIDDLE, "30 s, left wing 28°"),
}


@pytest.mark.parametrize("name", FLIGHTS)
def test_every_flight_is_flown_and_told(name: str) -> None:
    setting, (time_s, top_m, bank_deg), words = FLIGHTS[name]
    one = flight.fly(replace(flyer(), **setting), turns=TURNS)
    assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert one.peak_height_m == pytest.approx(top_m, abs=TOLD_M)
    assert observe.watch(one).values["early_bank_deg"] == pytest.approx(bank_deg, abs=1)
    assert words in TEXT


def test_the_fin_widens_the_circle_and_cures_nothing() -> None:
    twisted = replace(flyer(), right_wash_in_deg=2.6)
    finned = replace(twisted, fin_deg=GOOD.fin_deg - 3.0)
    alone, with_fin = (
        observe.watch(flight.fly(one, turns=TURNS)).values for one in (twisted, finned)
    )
    assert with_fin["early_turn_deg_s"] < alone["early_turn_deg_s"] - 3
    assert with_fin["duration_s"] < alone["duration_s"]


def test_the_case_costs_as_much_as_told() -> None:
    ways = {"twist": {"right_wash_in_deg": 2.6}, "place": {"wing_offset_mm": 0.0},
            "shim": {"shim_mm": 1.0}}  # fmt: skip
    for name, time_s in lesson.CASE_S.items():
        one = flight.fly(replace(flyer(), **ways[name]), turns=TURNS)
        assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)


@pytest.mark.parametrize("name", lesson.LOOKS_S)
def test_what_a_look_finds_is_flown(name: str) -> None:
    for size, time_s in lesson.LOOKS_S[name].items():
        one = flight.fly(faults.apply(flyer(), name, size), turns=TURNS)
        assert one.duration_s == pytest.approx(time_s, abs=TOLD_S)
    for words in ("2 s (5° ahead: 113 s)", "wiggle the tip | 54 s", "8°: wiggle it | 90 s"):
        assert words in TEXT


@pytest.mark.parametrize("less_deg", lesson.LEFT_OUT_S)
def test_wash_out_on_the_left_is_mild(less_deg: float) -> None:
    one = replace(flyer(), left_wash_in_deg=GOOD.left_wash_in_deg - less_deg)
    time_s = lesson.LEFT_OUT_S[less_deg]
    assert flight.fly(one, turns=TURNS).duration_s == pytest.approx(time_s, abs=TOLD_S)
    assert "the left tip 3 mm up 87 s" in TEXT


def test_the_worked_examples_are_right() -> None:
    tip, middle = incidence.angle_deg(121, 113, 86), incidence.angle_deg(84, 77, 100)
    assert (tip, middle) == (pytest.approx(5.3, abs=0.05), pytest.approx(4.0, abs=0.05))
    assert tip - middle == pytest.approx(1.3, abs=0.05)
    assert flyer().build.wing.tip_chord_mm == lesson.TIP_CHORD_MM
    assert pytest.approx(3.0, abs=0.01) == 2.0 / lesson.DEGREES * 86
    assert pytest.approx(6.0, abs=0.05) == 4.0 / lesson.DEGREES * 86  # "six millimetres"
    assert pytest.approx(20, abs=0.5) == 2.4 / (12.0 * 9.81) * 1000
    assert balance.aeroplane_cg(flyer()).mass_g == pytest.approx(12.0, abs=0.1)
    assert GOOD.wing_offset_mm == -15


def test_both_cures_all_ways_and_three_causes_are_asked_for() -> None:
    drawn = [variant.all_figures(tasks.load("05"), pupil, "oak") for pupil in range(1, 101)]
    assert {figures["05.1"]["place"] for figures in drawn} == {0, 1, 2}
    assert {figures["05.4"]["place"] for figures in drawn} == {0, 3}
    assert {figures["05.7"]["time_s"] for figures in drawn} == {30, 32}
