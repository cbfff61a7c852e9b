"""Lessons 00 and 01: the flights they tell of are flown, and their tables say the same."""

from __future__ import annotations

import re

import pytest

from tests.instructor.books import lesson_text
from trimkit import faults, flight
from trimkit.aeroplane import Aeroplane
from trimkit.balance import aeroplane_cg
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import start, straight

TOLD_S = 0.3  # a tenth from rounding, and a little for another processor


def seconds(aeroplane: Aeroplane) -> float:
    return flight.fly(aeroplane, turns=start.TURNS).duration_s


def test_the_two_flights_of_the_surprise_are_as_told_and_ten_seconds_apart() -> None:
    flown = {seed: start.repeat(seed) for seed in (1, 6)}
    for seed, row in ((1, 0), (6, 4)):  # seed 3 hit the wall
        time_s, left = start.CLEAN_FLIGHTS[row]
        assert flown[seed].duration_s == pytest.approx(time_s, abs=TOLD_S)
        assert flown[seed].turns_at_landing == pytest.approx(left, abs=3)
        assert not any("hit" in event.what for event in flown[seed].events)
    assert flown[1].duration_s - flown[6].duration_s > 10
    assert '"More than 10 seconds"' in lesson_text("00-start-here")


def test_a_flight_into_the_wall_is_shorter_and_one_at_low_power_much_more_so() -> None:
    into_wall = start.repeat(3)
    assert any(event.what == "hit a wall" for event in into_wall.events)
    assert into_wall.duration_s == pytest.approx(start.WALL_FLIGHT_S, abs=1.0)
    low = start.repeat(1, start.LOW_TURNS)
    assert low.duration_s == pytest.approx(start.LOW_FLIGHTS_S[0], abs=TOLD_S)


@pytest.mark.parametrize("extra_g", [0.0, 1.0, 2.0])
def test_a_gram_costs_what_the_table_says(extra_g: float) -> None:
    flyer = start.flyer()
    heavier = faults.apply(flyer, "overweight", extra_g) if extra_g else flyer
    assert seconds(heavier) == pytest.approx(start.HEAVIER_S[extra_g], abs=TOLD_S)


def test_the_trainer_weighs_what_the_twins_weigh() -> None:
    assert aeroplane_cg(start.flyer(), motor=False).mass_g == pytest.approx(9.9, abs=0.005)


@pytest.mark.parametrize(("name", "size"), straight.FLIES_S)
def test_a_fault_leaves_what_the_table_says(name: str, size: float) -> None:
    flown_s = seconds(faults.apply(start.flyer(), name, size))
    assert flown_s == pytest.approx(straight.FLIES_S[name, size], abs=TOLD_S)


def test_a_bent_shaft_scatters_as_told() -> None:
    bent = faults.apply(start.flyer(), "bent-shaft", 3.5)
    launch = flight.Launch(turns=start.TURNS, scatter=1.0)
    hall = flight.Hall(restless_m_s=QUIET_HALL_M_S)
    flown = flight.fly(bent, turns=start.TURNS, launch=launch, hall=hall, seed=1)
    assert flown.duration_s == pytest.approx(straight.BENT_FLIGHTS_S[0], abs=TOLD_S)
    assert max(straight.BENT_FLIGHTS_S) < min(time_s for time_s, _ in start.CLEAN_FLIGHTS) - 10


ROWS = {
    "boom bowed by 0.5 mm": ("bowed-boom", 0.5),
    "right tip twisted, 3 mm": ("right-panel-washed-out", 2.0),
    "one panel torn": ("torn-panel", 0.15),
    "tail joint with 3 mm play": ("loose-tail", 0.5),
    "tired bands": ("tired-saddle-bands", 0.7),
    "shaft bent by 3.5°": ("bent-shaft", 3.5),
    "wrinkles everywhere": ("slack-covering", 0.03),
    "blades 8° apart": ("unequal-blades", 8.0),
    "tips 3 mm out of track": ("blades-out-of-track", 3.0),
    "propeller out of balance": ("out-of-balance-propeller", 4.0),
    "2°": ("skewed-wing", 2.0),
    "5°": ("skewed-wing", 5.0),
    "8°": ("skewed-wing", 8.0),
}


@pytest.mark.parametrize("words", ROWS)
def test_the_tables_of_lesson_01_are_those_flights(words: str) -> None:
    row = re.search(
        rf"^\| {re.escape(words)} \| (\d+) s \|", lesson_text("01-straight-and-square"), re.M
    )
    assert row is not None
    assert int(row[1]) == round(straight.FLIES_S[ROWS[words]])


def test_the_seconds_in_the_sentences_are_those_flights() -> None:
    flies = {name: round(time_s) for (name, _), time_s in straight.FLIES_S.items()}
    twists = flies["right-panel-washed-out"], flies["left-panel-washed-out"]
    text = lesson_text("01-straight-and-square")
    assert start.HEAVIER_S[0.0] == straight.GOOD_S
    assert f"{straight.GOOD_S:.0f} s became {flies['loose-tail']} s" in text
    assert "{} s against {} s. This trainer".format(*twists) in text
    assert f"{flies['bent-shaft']} s against {flies['out-of-balance-propeller']} s." in text
    assert f'"{flies["bowed-boom"]} s. The bow lifts' in text
    first = lesson_text("00-start-here")
    assert f"{start.HEAVIER_S[0.0]:.0f} s against {start.HEAVIER_S[1.0]:.0f} s." in first
    assert "99 s, then 88 s." in first  # the seeds 1 and 6, flown above


def test_every_verdict_and_every_cause_is_asked_for() -> None:
    lesson = tasks.load("01")
    drawn = [variant.all_figures(lesson, pupil, "oak") for pupil in range(1, 101)]
    gains = {
        (min(f["after_s"]) > max(f["before_s"]), max(f["after_s"]) < min(f["before_s"]))
        for f in (figures["01.3"] for figures in drawn)
    }
    assert gains == {(True, False), (False, True), (False, False)}
    assert len({figures["01.7"]["seen_s"] for figures in drawn}) >= 3
    for figures in drawn:
        f = figures["01.7"]
        off = {
            "tail_mm": abs(f["tail_mm"] - f["card_tail_mm"]) / 0.5,
            "tip_mm": abs(f["tip_mm"] - f["card_tip_mm"]) / 0.5,
            "spin_s": abs(f["spin_s"] - f["card_spin_s"]) / 1.0,
            "wing_mm": abs(f["wing_mm"] - f["card_wing_mm"]) / 1.0,
        }
        assert sorted(value > 1 for value in off.values()) == [False, False, False, True]
        assert max(off.values()) >= 3
