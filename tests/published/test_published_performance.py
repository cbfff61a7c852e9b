"""Closed-form flight mechanics: phugoid, polar, least sink and turn.

Every number was computed from its formula (Lanchester's phugoid, the parabolic polar, the
steady turn) to the digits shown; the tolerances are those digits.
"""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import trim

SEA_LEVEL = 1.225  # kg/m³, ISO 2533:1975

# mass g, area mm², CL, then speed m/s, period s, wavelength m
PHUGOID = [
    (3.0, 30_000.0, 0.8, 1.41469, 0.64092, 0.90671),
    (7.2, 45_000.0, 0.6, 2.06629, 0.93613, 1.93432),
]


@pytest.mark.parametrize(("mass", "area", "lift", "speed", "period", "wavelength"), PHUGOID)
def test_phugoid(mass, area, lift, speed, period, wavelength):
    found = trim.wings_level_speed_m_s(mass, area, lift, SEA_LEVEL)
    assert found == pytest.approx(speed, rel=1e-5)
    assert trim.phugoid_period_s(found) == pytest.approx(period, rel=1e-5)
    assert trim.phugoid_wavelength_m(found) == pytest.approx(wavelength, rel=1e-5)


def test_phugoid_as_arrays():
    mass, area, lift, speed, period, wavelength = np.array(PHUGOID).T
    found = trim.wings_level_speed_m_s(mass, area, lift, SEA_LEVEL)
    assert found == pytest.approx(speed, rel=1e-5)
    assert trim.phugoid_period_s(found) == pytest.approx(period, rel=1e-5)
    assert trim.phugoid_wavelength_m(found) == pytest.approx(wavelength, rel=1e-5)


def test_phugoid_damping():
    ratio = np.array([2.0, 10.0])
    assert trim.phugoid_damping(ratio) == pytest.approx((1 / ratio) / np.sqrt(2), rel=1e-12)


POLAR = trim.DragPolar(0.04, 0.0589463)


def test_polar():
    assert POLAR.best_glide_lift == pytest.approx(0.823762, abs=1e-6)
    assert POLAR.glide_ratio(POLAR.best_glide_lift) == pytest.approx(10.29703, abs=1e-5)
    assert POLAR.least_sink_lift == pytest.approx(1.426798, abs=2e-6)
    assert POLAR.glide_ratio(POLAR.least_sink_lift) == pytest.approx(8.917486, abs=2e-6)
    speeds = trim.wings_level_speed_m_s(3.0, 30_000.0, [1.426798, 0.823762], SEA_LEVEL)
    assert speeds[0] / speeds[1] == pytest.approx(0.759836, abs=1e-6)


def test_polar_as_arrays():
    ratios = POLAR.glide_ratio(np.array([0.823762, 1.426798]))
    assert ratios == pytest.approx([10.29703, 8.917486], rel=1e-6)


def test_least_sink():
    speed = trim.wings_level_speed_m_s(3.0, 30_000.0, POLAR.least_sink_lift, SEA_LEVEL)
    assert speed == pytest.approx(1.059317, abs=1e-6)
    assert POLAR.sink_m_s(speed, POLAR.least_sink_lift) == pytest.approx(0.118791, abs=1e-6)
    lifts = np.linspace(0.5, 2.5, 41)
    speeds = trim.wings_level_speed_m_s(3.0, 30_000.0, lifts, SEA_LEVEL)
    assert np.min(POLAR.sink_m_s(speeds, lifts)) >= 0.118791 - 1e-6


BANK = np.array([10.0, 20.0, 30.0, 45.0])
LOAD = np.array([1.01543, 1.06418, 1.15470, 1.41421])
RADIUS = np.array([2.34892, 1.19258, 0.81577, 0.57684])


def test_turn():
    for bank, load, radius in zip(BANK, LOAD, RADIUS, strict=True):
        assert trim.load_factor(bank) == pytest.approx(load, rel=1e-5)
        assert trim.circle_radius_m(2.0, bank) == pytest.approx(radius, rel=1e-5)


def test_turn_as_arrays():
    assert trim.load_factor(BANK) == pytest.approx(LOAD, rel=1e-5)
    assert trim.circle_radius_m(2.0, BANK) == pytest.approx(RADIUS, rel=1e-5)


def test_bank_of_a_circle():
    assert trim.bank_for_circle_deg(2.0, 3.0) == pytest.approx(7.7426, abs=6e-5)
    both = trim.bank_for_circle_deg(2.0, np.array([3.0, 5.0]))
    assert both == pytest.approx([7.7426, 4.6637], abs=6e-5)
