"""Lesson 03: its flights are flown, its worked examples are worked again."""

from __future__ import annotations

import dataclasses

import pytest

from tests.instructor.books import lesson_text
from trimkit import balance, flight
from trimkit.aeroplane import Aeroplane, replace
from trimkit.lesson import tasks, variant
from trimkit.lesson.tasks import balance as told
from trimkit.lesson.tasks import start

TEXT = lesson_text("03-where-it-balances")
GOOD = start.flyer()
TOLD_S, TOLD_M = 0.3, 0.15
TAIL_MM = 430.0


def set_to(wing_mm: float = 0.0, shim_mm: float = 0.0, **more: float) -> Aeroplane:
    now = GOOD.setting
    return replace(
        GOOD, wing_station_mm=now.wing_station_mm + wing_mm, shim_mm=now.shim_mm + shim_mm, **more
    )


def heavier(grams: float) -> Aeroplane:
    fitted = GOOD.setting.propeller
    return replace(GOOD, propeller=dataclasses.replace(fitted, mass_g=fitted.mass_g + grams))


def lighter_tail(grams: float) -> Aeroplane:
    tail = dataclasses.replace(GOOD.build.tail, mass_g=GOOD.build.tail.mass_g - grams)
    return dataclasses.replace(GOOD, build=dataclasses.replace(GOOD.build, tail=tail))


def flown(aeroplane: Aeroplane, turns: float = told.HIGH) -> tuple[float, float]:
    """Seconds, metres climbed to."""
    one = flight.fly(aeroplane, turns=turns)
    return one.duration_s, -float(one.position_m[:, 2].min())


def as_told(seconds: float) -> object:
    return pytest.approx(seconds, abs=TOLD_S)


def moved_back(aeroplane: Aeroplane) -> Aeroplane:
    """Slide the wing until it balances where the trainer does."""
    place = balance.wing_station_for_cg_mm(aeroplane, balance.cg_fraction(GOOD))
    return replace(aeroplane, wing_station_mm=place)


def test_a_heavier_propeller_is_flown_and_the_wing_brings_it_back() -> None:
    assert flown(GOOD)[0] == as_told(told.BASE[0])
    for grams, (time_s, height_m) in told.HEAVIER_FLIES.items():
        assert flown(heavier(grams)) == (as_told(time_s), pytest.approx(height_m, abs=TOLD_M))
    back = moved_back(heavier(0.8))
    assert GOOD.setting.wing_station_mm - back.setting.wing_station_mm == pytest.approx(
        13.8, abs=0.05
    )
    assert flown(back)[0] == as_told(told.BACK_IN_PLACE[0])
    moved_mm = balance.balance_point_mm(GOOD) - balance.balance_point_mm(heavier(0.8))
    assert moved_mm == pytest.approx(10, abs=0.7)
    for words in ("5 s. The grams sit", "13.8 mm forward", "76 s. The trim is back", "10 mm f"):
        assert words in TEXT


@pytest.mark.parametrize("moved", told.TOGETHER)
def test_wing_and_shim_belong_together(moved: tuple[float, float]) -> None:
    percent, time_s = told.TOGETHER[moved]
    aeroplane = set_to(*moved)
    assert 100 * balance.static_margin(aeroplane) == pytest.approx(percent, abs=0.6)
    assert flown(aeroplane)[0] == as_told(time_s)
    assert f"{time_s:.0f} s" in TEXT


def test_the_thinner_shim_alone_sinks() -> None:
    assert flown(set_to(shim_mm=-0.6))[0] == as_told(5.6)
    assert flown(set_to(shim_mm=-0.6), told.LOW)[0] == as_told(4.7)  # no cure by turns: plan of 04
    assert "sinks in 6 s" in TEXT


@pytest.mark.parametrize("moved", told.ROOM)
def test_a_small_margin_leaves_no_room_for_the_shim(moved: tuple[float, float]) -> None:
    wing_mm, shim_mm = moved
    percent, *times = told.ROOM[moved]
    for less_mm, time_s in zip((0.0, 0.2, 0.4), times, strict=True):
        assert flown(set_to(wing_mm, shim_mm - less_mm))[0] == as_told(time_s)
    assert flown(set_to(wing_mm, shim_mm + 0.2))[0] < times[0]  # it is the best in steps of .2 mm
    assert 100 * balance.static_margin(set_to(wing_mm)) == pytest.approx(percent, abs=0.6)
    row = [f"| {percent} %", *(f"{time_s:.0f} s" for time_s in times)]
    assert " | ".join(row) in TEXT.replace("*", "")


@pytest.mark.parametrize("case", told.UNDER_POWER)
def test_clay_cures_the_swing_and_costs_both_flights(case: tuple[float, float]) -> None:
    shim_mm, clay_g = case
    low_s, high_s, height_m = told.UNDER_POWER[case]
    aeroplane = set_to(shim_mm=shim_mm, ballast_g=clay_g)
    assert flown(aeroplane, told.LOW)[0] == as_told(low_s)
    assert flown(aeroplane) == (as_told(high_s), pytest.approx(height_m, abs=TOLD_M))
    assert f"| {low_s:.0f} s | {high_s:.0f} s | {height_m} m |" in TEXT


@pytest.mark.parametrize("station_mm", told.CLAY_FLIES)
def test_one_lump_of_clay_costs_by_its_place(station_mm: int) -> None:
    time_s = told.CLAY_FLIES[station_mm]
    aeroplane = set_to(ballast_g=0.36, ballast_station_mm=float(station_mm))
    assert flown(aeroplane)[0] == as_told(time_s)
    assert f"| {time_s:.0f} s |" in TEXT


@pytest.mark.parametrize("grams", told.TAIL_FLIES)
def test_a_heavy_tail_wants_the_wing_moved_before_clay(grams: float) -> None:
    alone = set_to(ballast_g=grams, ballast_station_mm=TAIL_MM)
    cg_mm = balance.aeroplane_cg(GOOD).station_mm
    nose_g = grams * (TAIL_MM - cg_mm) / (cg_mm + 5)
    both_mm = (grams * TAIL_MM - nose_g * 5) / (grams + nose_g)
    clay = set_to(ballast_g=grams + nose_g, ballast_station_mm=both_mm)
    assert balance.aeroplane_cg(clay).station_mm == pytest.approx(cg_mm)
    found = [flown(each)[0] for each in (alone, moved_back(alone), clay)]
    assert found == [as_told(time_s) for time_s in told.TAIL_FLIES[grams]]
    assert found[1] > found[2] > found[0]
    assert "0.2 g** flies 62 s. Wing slid back: 95 s. Clay on the nose instead: 86 s" in TEXT


def test_the_four_causes_of_the_case_leave_the_same_time() -> None:
    ways = {
        told.PROPELLER: heavier(0.4),
        told.TAIL: lighter_tail(0.26),
        told.WING: set_to(wing_mm=7.2),
        told.SHIM: set_to(shim_mm=-0.4),
    }
    whole, point_mm = balance.aeroplane_cg(GOOD).mass_g, balance.balance_point_mm(GOOD)
    for place, aeroplane in ways.items():
        grams, balance_mm, wing_mm, _ = told.CHANGES[place]
        assert flown(aeroplane)[0] == as_told(told.CASES_S[place])
        assert balance.aeroplane_cg(aeroplane).mass_g - whole == pytest.approx(grams)
        shift_mm = balance.balance_point_mm(aeroplane) - point_mm
        assert shift_mm == pytest.approx(balance_mm, abs=0.1)
        assert aeroplane.setting.wing_station_mm - GOOD.setting.wing_station_mm == pytest.approx(
            wing_mm
        )
    tail, hook_mm = GOOD.build.tail, GOOD.build.stick.hook_station_mm
    lever_mm = tail.station_mm + tail.chord_mm - hook_mm
    assert told.CHANGES[told.SHIM][3] == pytest.approx(-0.4 * lever_mm / tail.socket_mm, abs=0.05)


def test_the_case_shows_one_reading_or_the_scales_off_by_more_than_its_error() -> None:
    """Two causes move the balance alone, and only the scales tell them apart."""
    drawn = [variant.all_figures(tasks.load("03"), pupil, "oak")["03.7"] for pupil in range(1, 101)]
    seen = set()
    for f in drawn:
        boom, wing = abs(f["boom_mm"] - f["card_boom_mm"]) > 0.5, abs(f["wing_mm"] - 118.5) > 1
        grams = f["mass_g"] - 11.95
        assert sum((boom, wing, abs(grams) > 0.05)) == 1
        assert (abs(f["balance_mm"] - 44.5) > 1) != boom
        seen.add((boom, wing, grams > 0.05))
    assert len(seen) == 4


def test_the_worked_examples_are_right() -> None:
    """Worked by hand; the lever rule is Archimedes'."""
    moments = (3.2 * 120, 2.2 * 130, 1.4 * 380, 2.4 * -5)
    assert [round(moment) for moment in moments] == [384, 286, 532, -12]
    assert round(sum(moments) / (3.2 + 2.2 + 1.4 + 2.4), 1) == 129.3
    assert round(110 / 8.8, 1) == 12.5
    assert round(0.4 * 137 / 8.4, 1) == 6.5
    assert round(100 * (67 - 44) / 94) == 24
    assert round(8.00 + 0.05 - (9.64 - 2.00), 2) == 0.41
    neutral_mm = balance.neutral_point_mm(GOOD) - GOOD.setting.wing_station_mm
    assert balance.balance_point_mm(GOOD) == pytest.approx(44, abs=0.6)
    assert neutral_mm == pytest.approx(67, abs=0.6)
    for words in ("129.3 mm", "12.5 mm forward", "(6.5 mm.)", "**24 %**", "**0.41 g**"):
        assert words in TEXT


def test_the_wing_takes_its_own_grams_along() -> None:
    """The slide of task 03.2, tried out on the beam instead of worked out by its formula."""
    f = variant.all_figures(tasks.load("03"), 7, "oak")["03.2"]
    rest_g = f["mass_g"] - f["wing_g"]
    ahead_mm = 40.0  # the wing's own balance, ahead of the whole's: any value does
    wing_mm = f["balance_mm"] - ahead_mm
    rest_mm = (f["mass_g"] * f["balance_mm"] - f["wing_g"] * wing_mm) / rest_g
    slide_mm = f["added_g"] * (f["balance_mm"] + 5) / (rest_g + f["added_g"])
    parts = [(f["wing_g"], wing_mm - slide_mm), (rest_g, rest_mm), (f["added_g"], -5.0)]
    after = sum(g * mm for g, mm in parts) / sum(g for g, _ in parts)
    assert after - (wing_mm - slide_mm) == pytest.approx(ahead_mm)


def test_every_meaning_is_asked_for() -> None:
    drawn = [variant.all_figures(tasks.load("03"), pupil, "oak")["03.4"] for pupil in range(1, 101)]
    percents = [100 * (f["neutral_mm"] - f["cg_mm"]) / f["chord_mm"] for f in drawn]
    kinds = {(p < 0, p < told.SLACK, p > told.PLENTY) for p in percents}
    assert len(kinds) == 4
    assert all(abs(p - edge) > 0.4 for p in percents for edge in (0, told.SLACK, told.PLENTY))
