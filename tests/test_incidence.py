"""Angles from a ruler."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.aeroplanes import TRAINER_DECALAGE_DEG, trainer
from trimkit import incidence
from trimkit.aeroplane import replace
from trimkit.section import plate

quickly = settings(derandomize=True, deadline=None, max_examples=50)
angles = st.floats(-29, 29)
levers = st.floats(15, 900)


def test_sample_one_angle():
    assert incidence.angle_deg(31.0, 26.0, 90.0) == pytest.approx(3.18, abs=0.006)


def test_sample_two_from_the_ruler_to_the_shim():
    wing = incidence.angle_deg(31.0, 26.0, 90.0)
    tail = incidence.angle_deg(22.0, 20.0, 75.0)
    assert wing - tail == pytest.approx(1.66, abs=0.006)
    shim_mm = incidence.shim_for_angle_mm(2.9 - (wing - tail), 45.0)
    assert shim_mm == pytest.approx(0.98, abs=0.006)
    assert incidence.angle_for_shim_deg(0.8, 45.0) == pytest.approx(1.02, abs=0.006)


@pytest.mark.parametrize(
    ("socket_mm", "per_mm"),
    [(35, 1.64), (45, 1.27), (60, 0.95), (90, 0.64)],  # common practice, no source
)
def test_degrees_for_one_millimetre_of_shim(socket_mm, per_mm):
    assert incidence.angle_for_shim_deg(1.0, socket_mm) == pytest.approx(per_mm, abs=0.006)


def test_the_boom_is_the_longer_lever():
    assert incidence.boom_rise_mm(1.0, 270.0) == pytest.approx(4.7, abs=0.05)
    at_the_chord = incidence.leading_edge_mm(1.0, 0.0, 75.0)
    assert at_the_chord == pytest.approx(1.3, abs=0.05)
    by_boom = incidence.boom_angle_error_deg(0.25, 270.0)
    assert by_boom.worst_deg == pytest.approx(
        incidence.angle_error_deg(0.25, 75.0).worst_deg * 75 / 270, rel=1e-12
    )


def test_reading_error_of_the_decalage():
    error = incidence.decalage_error_deg(0.25, 90.0, 75.0)
    assert error.rms_deg == pytest.approx(0.35, abs=0.005)
    assert error.worst_deg == pytest.approx(0.70, abs=0.005)


def test_worst_error_is_what_two_bad_readings_give():
    off = incidence.angle_deg(31.25, 25.75, 90.0) - incidence.angle_deg(31.0, 26.0, 90.0)
    assert incidence.angle_error_deg(0.25, 90.0).worst_deg == pytest.approx(off, rel=0.01)


def test_rms_error_is_what_many_readings_scatter():
    random = np.random.default_rng(1)
    edges = random.normal(0, 0.25, size=(2, 20000))
    read = incidence.angle_deg(31.0 + edges[0], 26.0 + edges[1], 90.0)
    assert np.std(read) == pytest.approx(incidence.angle_error_deg(0.25, 90.0).rms_deg, rel=0.03)


def test_a_shim_has_one_length_to_misread():
    error = incidence.shim_angle_error_deg(0.1, 45.0)
    assert error.worst_deg == pytest.approx(math.degrees(0.1 / 45))
    assert error.rms_deg == error.worst_deg


@pytest.mark.parametrize(
    "name", ["wash_in_error_deg", "tail_tilt_error_deg", "thrust_line_error_deg"]
)
def test_two_readings_over_any_lever(name):
    error = getattr(incidence, name)(0.5, 100.0)
    assert error.worst_deg == pytest.approx(math.degrees(0.01))
    assert error.rms_deg == pytest.approx(error.worst_deg / math.sqrt(2))


@quickly
@given(angles, levers)
def test_heights_and_angles_are_inverse(angle, lever):
    height = incidence.leading_edge_mm(angle, 20.0, lever)
    assert incidence.angle_deg(height, 20.0, lever) == pytest.approx(angle, abs=1e-9)


@quickly
@given(angles, levers)
def test_every_pair_is_inverse(angle, lever):
    pairs = [
        (incidence.shim_for_angle_mm, incidence.angle_for_shim_deg),
        (incidence.boom_rise_mm, incidence.boom_angle_deg),
        (incidence.wash_in_mm, incidence.wash_in_deg),
    ]
    for there, back in pairs:
        assert back(there(angle, lever), lever) == pytest.approx(angle, abs=1e-9)
    tilt = incidence.tail_tilt_mm(angle, lever)
    assert incidence.tail_tilt_deg(tilt, 0.0, lever) == pytest.approx(angle, abs=1e-9)


@quickly
@given(st.floats(0, 40), st.floats(0, 40), st.floats(100, 300))
def test_swapping_the_edges_changes_the_sign(leading, trailing, chord):
    there = incidence.angle_deg(leading, trailing, chord)
    assert there == -incidence.angle_deg(trailing, leading, chord)
    assert there * (leading - trailing) >= 0


@quickly
@given(st.floats(0.01, 5), levers)
def test_a_longer_lever_reads_better(error_mm, lever):
    short = incidence.angle_error_deg(error_mm, lever)
    long = incidence.angle_error_deg(error_mm, 1.5 * lever)
    assert long.worst_deg < short.worst_deg
    assert short.rms_deg <= short.worst_deg


def test_signs_of_tilt_and_thrust():
    assert incidence.tail_tilt_deg(60.0, 50.0, 200.0) > 0  # left tip high
    assert incidence.down_thrust_deg(50.0, 51.0, 30.0) > 0  # front low
    assert incidence.side_thrust_deg(1.0, 0.0, 30.0) > 0  # front to the left


def test_a_positive_shim_adds_decalage_by_lowering_the_tail_angle():
    plain, shimmed = trainer(), trainer(shim_mm=0.8)
    gain = incidence.decalage_deg(shimmed) - incidence.decalage_deg(plain)
    assert gain == pytest.approx(incidence.angle_for_shim_deg(0.8, 45.0), abs=1e-12)
    assert incidence.tail_incidence_deg(shimmed) < incidence.tail_incidence_deg(plain)
    assert incidence.wing_incidence_deg(shimmed) == incidence.wing_incidence_deg(plain)


def test_decalage_of_the_trainer():
    assert incidence.decalage_deg(trainer()) == pytest.approx(TRAINER_DECALAGE_DEG, abs=1e-9)
    between_lines = incidence.decalage_deg(trainer(), "zero lift")
    no_lift = plate(5.0).zero_lift_deg
    assert no_lift < 0
    assert between_lines == pytest.approx(TRAINER_DECALAGE_DEG - no_lift, abs=1e-9)


def test_flat_wing_and_flat_tail_have_one_decalage():
    plain = trainer()
    flat = dataclasses.replace(plain.build.wing, camber_percent=0.0)
    plain = dataclasses.replace(plain, build=dataclasses.replace(plain.build, wing=flat))
    assert incidence.decalage_deg(plain, "zero lift") == pytest.approx(
        incidence.decalage_deg(plain), abs=1e-9
    )


def test_twist_is_setting_plus_warp():
    plain = trainer(left_wash_in_deg=1.0, right_wash_in_deg=-0.5)
    warped = dataclasses.replace(plain.build.wing, left_warp_deg=-2.0)
    plain = dataclasses.replace(plain, build=dataclasses.replace(plain.build, wing=warped))
    twist = incidence.panel_twist_deg(plain)
    assert (twist.left_deg, twist.right_deg) == (-1.0, -0.5)
    assert (twist.mean_deg, twist.difference_deg) == (-0.75, -0.5)


def test_arrays_in_arrays_out():
    leading = np.array([[28.0, 29.0], [30.0, 31.0]])
    many = incidence.angle_deg(leading, 26.0, 90.0)
    assert many.shape == leading.shape
    assert many[1, 1] == incidence.angle_deg(31.0, 26.0, 90.0)
    assert type(incidence.angle_deg(31, 26, 90)) is float
    assert incidence.angle_error_deg(np.array([0.1, 0.2]), 90.0).rms_deg.shape == (2,)


@pytest.mark.parametrize(
    ("call", "slip"),
    [
        (lambda: incidence.angle_deg(31.0, 26.0, 0.09), "in cm or m"),
        (lambda: incidence.angle_deg(31.0, 26.0, 0.0), "in cm or m"),
        (lambda: incidence.angle_deg(31.0, 26.0, 9.0), "one reading in cm"),
        (lambda: incidence.angle_deg(math.nan, 26.0, 90.0), "steeper"),
        (lambda: incidence.shim_for_angle_mm(45.0, 45.0), "length in mm"),
        (lambda: incidence.angle_error_deg(-0.1, 90.0), "without a sign"),
        (lambda: incidence.decalage_deg(trainer(), "ruler"), "zero lift"),
        (lambda: replace(trainer(), shim_mm=60.0), "allowed is -6 to 6 mm"),
    ],
)
def test_errors_name_the_likely_slip(call, slip):
    with pytest.raises(ValueError, match=slip):
        call()
