"""Steady flight with the wings level."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.aeroplanes import trainer
from trimkit import air, incidence, trim
from trimkit.aeroplane import Aeroplane, Part
from trimkit.units import STANDARD_GRAVITY_M_S2

quickly = settings(derandomize=True, deadline=None, max_examples=50)
SOCKET_MM = 45.0


def shimmed(change_deg: float, **changes: float) -> Aeroplane:
    shim_mm = incidence.shim_for_angle_mm(change_deg, SOCKET_MM)
    return trainer(shim_mm=shim_mm, **changes)


def turned(aeroplane: Aeroplane, wing_deg: float, tail_deg: float) -> Aeroplane:
    build = aeroplane.build
    wing = dataclasses.replace(build.wing, incidence_deg=build.wing.incidence_deg + wing_deg)
    tail = dataclasses.replace(build.tail, incidence_deg=build.tail.incidence_deg + tail_deg)
    return dataclasses.replace(aeroplane, build=dataclasses.replace(build, wing=wing, tail=tail))


@pytest.mark.parametrize(
    ("change_deg", "verdict"),
    # common practice, no source: the trade's rows for this aeroplane
    [(-2.4, "dives"), (-1.3, "dives"), (0.0, "good"), (1.4, "stalls")],
)
def test_verdicts_of_the_trade(change_deg, verdict):
    assert trim.glide(shimmed(change_deg)).verdict == verdict


def window_deg() -> tuple[float, float]:
    """Smallest and largest change of decalage that is still good, by halving."""
    ends = []
    for bad in (-3.0, 3.0):
        good = 0.0
        for _ in range(8):
            middle = (good + bad) / 2
            if trim.glide(shimmed(middle)).verdict == "good":
                good = middle
            else:
                bad = middle
        ends.append(good)
    return ends[0], ends[1]


def test_window_from_dive_to_stall():
    low, high = window_deg()
    assert -1.3 < low < 0 < high < 1.4
    assert 1.7 <= high - low <= 2.5  # 2.0 to 2.4 in the trade, common practice, no source


def test_one_shim_is_not_enough_and_two_are():
    # -2.4 degrees, then one and two shims of .8 mm: common practice, no source
    words = [trim.glide(shimmed(-2.4 + 1.02 * shims)).verdict for shims in range(3)]
    assert words == ["dives", "dives", "good"]


def test_figures_of_the_trainer_are_those_of_an_indoor_aeroplane():
    glide = trim.glide(trainer())
    assert 1.5 < glide.speed_m_s < 2.6
    assert 0.2 < glide.sink_m_s < 0.7
    assert 3.0 < glide.glide_ratio < 10.0
    assert 8_000 < glide.reynolds < 25_000
    assert glide.sink_m_s >= glide.least_sink_m_s
    assert glide.decalage_deg == pytest.approx(0.8)


def test_glide_balances_weight_drag_and_lift():
    glide = trim.glide(trainer())
    mass_kg, area_m2 = 11.95e-3, trainer().build.wing.area_mm2 * 1e-6
    pressure = air.ROOM.density_kg_m3 * glide.speed_m_s**2 / 2
    force = pressure * area_m2 * np.hypot(glide.lift_coefficient, glide.drag_coefficient)
    assert force == pytest.approx(mass_kg * STANDARD_GRAVITY_M_S2, rel=1e-3)
    path = np.arctan(1 / glide.glide_ratio)
    assert glide.sink_m_s == pytest.approx(glide.speed_m_s * np.sin(path), rel=1e-9)


def test_level_flight_pays_for_the_sink_with_thrust():
    level = trim.level(trainer())
    weight_n = 11.95e-3 * STANDARD_GRAVITY_M_S2
    power_w = level.thrust_mN / 1000 * level.speed_m_s
    assert power_w == pytest.approx(weight_n * level.sink_m_s, rel=0.01)
    shaft_w = level.torque_mNm / 1000 * 2 * np.pi * level.revs_per_s
    assert 0.3 < power_w / shaft_w < 0.9
    coefficients = trainer().setting.propeller.coefficients(
        level.speed_m_s / (level.revs_per_s * 0.24)
    )
    torque = air.ROOM.density_kg_m3 * level.revs_per_s**2 * 0.24**5 * coefficients.torque
    assert 1000 * torque == pytest.approx(level.torque_mNm, rel=1e-3)
    assert 4 < level.revs_per_s < 12  # 6 to 10 in cruise: common practice, no source


def test_level_torque_is_near_the_trade():
    # .30 to .33 oz in for this 12 g aeroplane, common practice, no source; the closed form
    # leaves out sticks, posts and the stream, so it may be a quarter off
    assert trim.level(trainer()).torque_ozin == pytest.approx(0.315, rel=0.25)


def test_level_flight_is_called_a_stall_only_past_it():
    near, past = (trim.level(shimmed(change)) for change in (1.0, 1.6))
    assert 0 < near.stall_margin_deg < trim.STALL_MARGIN_DEG
    assert past.stall_margin_deg < 0
    assert (near.verdict, past.verdict) == ("good", "stalls")


def test_down_thrust_lowers_the_nose_only_under_power():
    more = trainer(down_thrust_deg=4.0)
    assert trim.level(more).angle_of_attack_deg < trim.level(trainer()).angle_of_attack_deg
    assert trim.glide(more) == trim.glide(trainer())


@quickly
@given(st.floats(-0.8, 0.6), st.floats(0.05, 0.4))
def test_more_decalage_raises_the_nose_and_slows(change, step):
    before, after = trim.glide(shimmed(change)), trim.glide(shimmed(change + step))
    assert after.angle_of_attack_deg > before.angle_of_attack_deg
    assert after.speed_m_s < before.speed_m_s
    assert after.stall_margin_deg < before.stall_margin_deg


@quickly
@given(st.floats(1, 8))
def test_wing_forward_raises_the_nose(forward_mm):
    moved = trim.glide(trainer(wing_station_mm=118.6 - forward_mm))
    assert moved.angle_of_attack_deg > trim.glide(trainer()).angle_of_attack_deg


@quickly
@given(st.floats(0.2, 1))
def test_it_is_the_difference_of_the_two_angles_that_counts(turn_deg):
    plain = trim.glide(trainer()).angle_of_attack_deg
    both = trim.glide(turned(trainer(), turn_deg, turn_deg)).angle_of_attack_deg - plain
    wing_alone = trim.glide(turned(trainer(), turn_deg, 0.0)).angle_of_attack_deg - plain
    assert abs(both) < wing_alone / 4  # what is left: heights turn with the stick


@quickly
@given(st.floats(0, 3), st.floats(0, 3))
def test_twist_mirrors(left, right):
    there = trim.glide(trainer(left_wash_in_deg=left, right_wash_in_deg=right))
    back = trim.glide(trainer(left_wash_in_deg=right, right_wash_in_deg=left))
    assert there.speed_m_s == pytest.approx(back.speed_m_s, rel=1e-9)


def test_warm_thin_air_is_flown_faster():
    cold, hot = air.at_temperature(5.0), air.at_temperature(30.0)
    assert trim.glide(trainer(), cold).speed_m_s < trim.glide(trainer(), hot).speed_m_s


def test_extra_weight_at_the_balance_point_is_flown_faster():
    plain = trainer()
    heavy = trainer(ballast_g=1.0, ballast_station_mm=158.0)
    ratio = trim.glide(heavy).speed_m_s / trim.glide(plain).speed_m_s
    assert ratio == pytest.approx(np.sqrt(12.95 / 11.95), rel=0.02)
    assert trim.glide(heavy).sink_m_s > trim.glide(plain).sink_m_s


def test_poor_covering_sinks_faster():
    wing = dataclasses.replace(trainer().build.wing, covering_quality=0.9)
    build = dataclasses.replace(trainer().build, wing=wing)
    poor = dataclasses.replace(trainer(), build=build)
    assert trim.glide(poor).least_sink_m_s > trim.glide(trainer()).least_sink_m_s


def test_far_too_little_decalage_finds_no_flight():
    lost = trim.glide(turned(trainer(), -4.0, 4.5))
    assert not lost.found
    assert lost.verdict == "dives"
    assert lost.speed_m_s > 2 * trim.glide(trainer()).speed_m_s
    assert "never comes to rest" in lost.words()


def test_level_without_a_balance_has_no_power_figures():
    lost = trim.level(turned(trainer(), -4.0, 4.5))
    assert (lost.thrust_mN, lost.torque_mNm, lost.revs_per_s) == (0.0, 0.0, 0.0)
    assert "mN m" not in lost.words()


def test_tail_heavy_aeroplane_noses_up():
    lump = Part(name="lump", mass_g=4.0, station_mm=440.0)
    build = dataclasses.replace(trainer().build, parts=(*trainer().build.parts, lump))
    heavy = trim.glide(dataclasses.replace(trainer(), build=build))
    assert heavy.static_margin < 0
    assert heavy.verdict == "stalls"


def test_words_give_the_figures():
    glide, level = trim.glide(trainer()), trim.level(trainer())
    assert glide.words().startswith("The trim is good.")
    assert f"{glide.speed_m_s:.1f} m/s" in glide.words()
    assert f"{glide.least_sink_m_s:.2f} m/s" in glide.words()
    assert f"{level.torque_ozin:.2f} oz in" in level.words()
    assert trim.glide(shimmed(-2.4)).words().startswith("It dives.")
    assert trim.glide(shimmed(1.6)).words().startswith("It stalls.")


@quickly
@given(st.floats(0.5, 5), st.floats(1, 60))
def test_circle_and_bank_agree(speed, bank):
    radius = trim.circle_radius_m(speed, bank)
    along = speed * np.sqrt(trim.load_factor(bank))
    assert trim.bank_for_circle_deg(along, radius) == pytest.approx(bank, rel=1e-9)
    assert trim.load_factor(-bank) == trim.load_factor(bank)


@quickly
@given(st.floats(0.02, 0.2), st.floats(0.03, 0.2), st.floats(0.2, 3))
def test_no_lift_beats_the_best_glide(least, factor, lift):
    polar = trim.DragPolar(least, factor)
    assert polar.glide_ratio(lift) <= polar.glide_ratio(polar.best_glide_lift) * (1 + 1e-12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: trim.phugoid_period_s(0.0),
        lambda: trim.phugoid_damping(-1.0),
        lambda: trim.circle_radius_m(2.0, 0.0),
        lambda: trim.load_factor(90.0),
        lambda: trim.bank_for_circle_deg(2.0, np.nan),
        lambda: trim.wings_level_speed_m_s(3.0, 30_000.0, -0.8),
        lambda: trim.DragPolar(0.0, 0.05),
    ],
)
def test_formulas_refuse_what_they_do_not_cover(call):
    with pytest.raises(ValueError, match="allowed is"):
        call()
