"""Weight, balance point and stability."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.aeroplanes import trainer
from trimkit import balance
from trimkit.aeroplane import Aeroplane, Part, replace

quickly = settings(derandomize=True, deadline=None, max_examples=50)
masses = st.floats(0.1, 5)
stations = st.floats(-50, 500)

SAMPLE = [(3.2, 120.0), (2.2, 130.0), (1.4, 380.0), (2.4, -5.0)]


def with_part(aeroplane: Aeroplane, mass_g: float, station_mm: float) -> Aeroplane:
    extra = Part(name="extra", mass_g=mass_g, station_mm=station_mm)
    build = dataclasses.replace(aeroplane.build, parts=(*aeroplane.build.parts, extra))
    return dataclasses.replace(aeroplane, build=build)


def test_sample_three_without_and_with_rubber():
    bare = balance.centre_of_gravity_mm(SAMPLE)
    assert bare.station_mm == pytest.approx(129.3, abs=0.05)
    wound = balance.centre_of_gravity_mm([*SAMPLE, (2.0, 145.0)])
    assert wound.station_mm == pytest.approx(132.1, abs=0.05)


def test_sample_four_the_wing_has_mass_too():
    shift = balance.saddle_shift_from_figures_mm(11.2, 132.1, 3.2, 0.8, -5.0)
    assert shift == pytest.approx(12.5, abs=0.05)
    weightless = balance.saddle_shift_from_figures_mm(11.2, 132.1, 1e-9, 0.8, -5.0)
    assert weightless == pytest.approx(9.1, abs=0.05)  # the named mistake


def test_sample_seven_ballast():
    assert balance.ballast_for_minimum_g(7.64, 8.00, 0.05) == pytest.approx(0.41, abs=1e-9)
    assert balance.ballast_for_minimum_g(8.20, 8.00, 0.05) == 0.0
    assert balance.cg_shift_mm(9.64, 0.36, 250.0) == pytest.approx(9.0, abs=1e-9)


def test_a_tenth_of_a_gram_at_the_tail_end():
    # .1 g at the tail end moves the CG 2 to 2.5 mm: common practice, no source
    whole = balance.aeroplane_cg(trainer())
    shift = balance.cg_shift_mm(whole.mass_g, 0.1, 440.0 - whole.station_mm)
    assert 2.0 <= shift <= 2.5


def test_trainer_weighs_and_balances_as_designed():
    assert balance.aeroplane_cg(trainer(), motor=False).mass_g == pytest.approx(9.9, abs=0.005)
    assert balance.aeroplane_cg(trainer()).mass_g == pytest.approx(11.95, abs=0.005)
    assert balance.cg_fraction(trainer()) == pytest.approx(0.45, abs=0.005)


def test_trainer_tail_volume_as_designed():
    assert balance.tail_arm_mm(trainer()) == pytest.approx(272.0, abs=0.5)
    assert balance.tail_volume(trainer()) == pytest.approx(0.997, abs=0.0015)
    at_40_percent = replace(
        trainer(), wing_station_mm=balance.wing_station_for_cg_mm(trainer(), 0.40)
    )
    shorter = balance.tail_arm_mm(at_40_percent, "cg") / balance.tail_arm_mm(at_40_percent)
    assert 0.997 * shorter == pytest.approx(0.94, abs=0.006)


def test_parts_add_up_and_have_names():
    found = balance.parts(trainer(ballast_g=0.3, ballast_station_mm=200.0))
    names = [part.name for part in found]
    assert names[:5] == ["wing", "tailplane", "propeller", "motor", "ballast"]
    assert "ballast" not in [part.name for part in balance.parts(trainer())]
    assert "motor" not in [part.name for part in balance.parts(trainer(), motor=False)]


def test_motor_balances_half_way_to_the_hook():
    motor = balance.motor_part(trainer())
    assert motor.station_mm == trainer().build.stick.hook_station_mm / 2
    assert motor.mass_g == pytest.approx(2.05, abs=0.005)


def test_wing_part_is_above_the_root_by_its_dihedral():
    flat = dataclasses.replace(trainer().build.wing, dihedral_deg=0.0)
    level = dataclasses.replace(trainer(), build=dataclasses.replace(trainer().build, wing=flat))
    assert balance.wing_part(level).height_mm == flat.height_mm
    assert balance.wing_part(trainer()).height_mm > flat.height_mm + 15


@quickly
@given(masses, stations, masses, stations)
def test_balance_lies_between_two_parts(mass_a, a, mass_b, b):
    found = balance.balance_mm([mass_a, mass_b], [a, b])
    assert min(a, b) - 1e-9 <= found <= max(a, b) + 1e-9


@quickly
@given(st.lists(st.tuples(masses, stations, st.floats(-50, 100)), min_size=1, max_size=6))
def test_mirrored_parts_mirror_the_balance(rows):
    there = balance.centre_of_gravity_mm(rows)
    back = balance.centre_of_gravity_mm([(m, -s, -h) for m, s, h in rows])
    assert back.station_mm == pytest.approx(-there.station_mm, abs=1e-9)
    assert back.height_mm == pytest.approx(-there.height_mm, abs=1e-9)


@quickly
@given(st.floats(0.05, 2), stations)
def test_shift_agrees_with_balancing_again(mass, station):
    before = balance.aeroplane_cg(trainer())
    after = balance.aeroplane_cg(with_part(trainer(), mass, station))
    shift = balance.cg_shift_mm(before.mass_g, mass, station - before.station_mm)
    assert after.station_mm - before.station_mm == pytest.approx(shift, abs=1e-9)


@quickly
@given(st.floats(0.05, 1.5), st.floats(-50, 430))
def test_saddle_shift_restores_the_balance_point(mass, station):
    plain = trainer()
    shift = balance.saddle_shift_mm(plain, mass, station)
    heavier = with_part(plain, mass, station)
    mended = replace(heavier, wing_station_mm=plain.setting.wing_station_mm - shift)
    wanted = balance.balance_point_mm(plain)
    assert balance.balance_point_mm(mended) == pytest.approx(wanted, abs=1e-9)
    assert shift * (balance.aeroplane_cg(plain).station_mm - station) >= 0


@quickly
@given(st.floats(0.1, 0.9))
def test_sliding_the_wing_reaches_a_wanted_fraction(fraction):
    station = balance.wing_station_for_cg_mm(trainer(), fraction)
    moved = replace(trainer(), wing_station_mm=station)
    assert balance.cg_fraction(moved) == pytest.approx(fraction, abs=1e-9)


def test_wing_forward_moves_the_balance_by_its_share_of_the_mass():
    moved = trainer(wing_station_mm=108.6)
    shift = balance.aeroplane_cg(trainer()).station_mm - balance.aeroplane_cg(moved).station_mm
    assert 2.0 <= shift <= 3.0  # 2 to 3 mm for 10: common practice, no source


@quickly
@given(st.floats(0.05, 2), st.floats(100, 200))
def test_ballast_station_brings_the_balance_there(ballast, wanted):
    whole = balance.aeroplane_cg(trainer())
    place = balance.ballast_station_mm(whole.mass_g, whole.station_mm, ballast, wanted)
    found = balance.balance_mm([whole.mass_g, ballast], [whole.station_mm, place])
    assert found == pytest.approx(wanted, abs=1e-9)


def test_measured_balance_point_becomes_a_station_and_a_fraction():
    assert balance.station_of_balance_point_mm(40.0, 118.6) == pytest.approx(158.6)
    assert balance.chord_fraction(36.0, 90.0) == pytest.approx(0.4)
    point = balance.balance_point_mm(trainer())
    station = balance.station_of_balance_point_mm(point, trainer().setting.wing_station_mm)
    assert station == pytest.approx(balance.aeroplane_cg(trainer()).station_mm)


def test_neutral_points_of_the_trainer_by_both_conventions():
    careful = balance.neutral_point_mm(trainer(), "whole slope")
    usual = balance.neutral_point_mm(trainer(), "wing slope")
    leading = balance.mean_chord_station_mm(trainer())
    assert balance.aeroplane_cg(trainer()).station_mm < careful < usual
    assert usual < leading + trainer().build.wing.mean_chord_mm
    assert balance.neutral_point_mm(trainer()) == usual


def test_static_margin_of_the_trainer():
    # .12 to .36 is the spread of the physics notes' aeroplanes, assumed
    assert 0.12 < balance.static_margin(trainer()) < 0.36
    leading, chord = balance.mean_chord_station_mm(trainer()), trainer().build.wing.mean_chord_mm
    neutral = (balance.neutral_point_mm(trainer()) - leading) / chord
    margin = balance.static_margin(trainer())
    assert neutral - margin == pytest.approx(balance.cg_fraction(trainer()), abs=1e-9)


def test_near_downwash_is_less_than_far_behind():
    slopes = balance.lift_slopes(trainer())
    far = 2 * slopes.wing_per_rad / (np.pi * trainer().build.wing.aspect_ratio)
    assert 0.6 * far < slopes.downwash < far


def test_margin_shrinks_when_mass_goes_aft():
    behind = with_part(trainer(), 0.3, 430.0)
    for convention in ("wing slope", "whole slope"):
        before = balance.static_margin(trainer(), convention)
        assert balance.static_margin(behind, convention) < before


def test_without_a_tail_the_neutral_point_is_the_quarter_chord():
    bare = balance.neutral_point_fraction(
        tail_volume=0.0, wing_slope=4.0, tail_slope=3.0, downwash_slope=0.4
    )
    assert bare == 0.25


@quickly
@given(st.floats(0.2, 1.5), st.floats(0.1, 0.6), st.floats(0.1, 0.5))
def test_more_tail_moves_the_neutral_point_aft(volume, downwash, share):
    figures = {"wing_slope": 3.6, "tail_slope": 2.8, "downwash_slope": downwash}
    for convention in ("wing slope", "whole slope"):
        small, large = (
            balance.neutral_point_fraction(
                tail_volume=v, area_ratio=share, convention=convention, **figures
            )
            for v in (volume, 1.1 * volume)
        )
        assert 0.25 < small < large


def test_slope_of_the_moment_line_vanishes_at_the_neutral_point():
    figures = {"tail_volume": 0.9, "wing_slope": 3.6, "tail_slope": 2.8, "downwash_slope": 0.4}
    line = balance.moment_line(
        cg_fraction=balance.neutral_point_fraction(**figures),
        wing_lift_at_zero=0.3,
        wing_moment=-0.1,
        decalage_deg=3.0,
        downwash_at_zero_deg=2.0,
        **figures,
    )
    assert line.slope_per_rad == pytest.approx(0.0, abs=1e-12)


def test_trim_angle_of_a_moment_line():
    line = balance.MomentLine(0.05, -1.0)
    assert line.trim_angle_deg == pytest.approx(np.degrees(0.05))


def test_arrays_in_arrays_out():
    added = np.array([[0.1, 0.2, 0.3]])
    shift = balance.saddle_shift_from_figures_mm(11.2, 132.1, 3.2, added, -5.0)
    assert shift.shape == added.shape
    assert balance.ballast_for_minimum_g(added, 8.0).shape == added.shape
    assert type(balance.cg_shift_mm(10, 1, 10)) is float


@pytest.mark.parametrize(
    ("call", "slip"),
    [
        (lambda: balance.centre_of_gravity_mm([]), "no parts"),
        (lambda: balance.centre_of_gravity_mm([(1.0,)]), "height_mm"),
        (lambda: balance.centre_of_gravity_mm([(1.0, 2.0), (-1.0, 3.0)]), "more than 0"),
        (lambda: balance.ballast_for_minimum_g(0.0, 8.0), "more than 0"),
        (lambda: balance.ballast_for_minimum_g(7.0, 8.0, 5.0), "0 to 2"),
        (lambda: balance.cg_shift_mm(1.0, -2.0, 3.0), "after"),
        (lambda: balance.moved_mass_shift_mm(0.0, 1.0, 1.0), "more than 0"),
        (lambda: balance.ballast_station_mm(10.0, 100.0, 0.0, 101.0), "more than 0"),
        (lambda: balance.saddle_shift_from_figures_mm(3, 130, 11, 0.8, -5), "swapped"),
        (lambda: balance.wing_station_for_cg_mm(trainer(), 40.0), "percent"),
        (lambda: balance.chord_fraction(40.0, 0.0), "more than 0"),
        (lambda: balance.tail_volume_from_figures(1.0, 1.0, 0.0, 1.0), "more than 0"),
        (lambda: balance.neutral_point_mm(trainer(), "wing"), "whole slope"),
        (lambda: balance.tail_arm_mm(trainer(), "tip"), "quarter chord"),
    ],
)
def test_errors_say_what_is_allowed(call, slip):
    with pytest.raises(ValueError, match=slip):
        call()
