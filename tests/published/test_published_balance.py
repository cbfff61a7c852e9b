"""Published mass and balance examples. Units there are lb and in: only ratios matter here."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import balance

# FAA-H-8083-25, figure 10-5 (a work of the US Government): seen
LOADING = [(2100, 78.3), (340, 85.0), (350, 121.0), (450, 75.0), (80, 150.0)]


def test_loading_example():
    loaded = balance.centre_of_gravity_mm(LOADING)
    assert loaded.mass_g == 3320
    assert loaded.mass_g * loaded.station_mm == pytest.approx(281430, abs=0.5)
    assert loaded.station_mm == pytest.approx(84.768, abs=0.0005)


def test_loading_example_as_arrays():
    masses, stations = np.array(LOADING).T
    rows = balance.balance_mm(np.stack([masses, 2 * masses]), stations)
    assert rows == pytest.approx([84.768, 84.768], abs=0.0005)


# FAA-H-8083-25, the shift of 65 lb from station 150 to 30 in 7800 lb, CG 81.5 to 80.5: seen
def test_shift_example():
    assert balance.moved_mass_shift_mm(7800, 65, 30 - 150) == pytest.approx(-1.0, abs=0.05)
    many = balance.moved_mass_shift_mm(np.array([7800, 3900]), 65, np.array([-120, -60]))
    assert 81.5 + many == pytest.approx([80.5, 80.5], abs=0.05)


# FAA-H-8083-1, the lever: seen
def test_lever_example():
    assert balance.centre_of_gravity_mm([(100, -50), (200, 25)]).station_mm == 0
    assert np.all(balance.balance_mm([[100, 200], [50, 100]], [-50, 25]) == 0)


# FAA-H-8083-25, mass added and mass removed: from memory
@pytest.mark.parametrize(
    ("mass", "station", "added", "place", "after", "rounding"),
    [(6860, 80, 140, 150, 81.4, 0.05), (6100, 80, -100, 80 + 70, 78.83, 0.005)],
)
def test_added_and_removed_mass(mass, station, added, place, after, rounding):
    found = balance.centre_of_gravity_mm([(mass, station), (added, place)]).station_mm
    assert found == pytest.approx(after, abs=rounding)
    shift = balance.cg_shift_mm(mass, added, place - station)
    assert station + shift == pytest.approx(after, abs=rounding)


def test_added_and_removed_mass_as_arrays():
    shift = balance.cg_shift_mm([6860, 6100], [140, -100], [70, 70])
    assert 80 + shift == pytest.approx([81.4, 78.83], abs=0.005)
