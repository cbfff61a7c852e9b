"""Finite wings against closed forms, a lifting line and a vortex lattice."""

from __future__ import annotations

import math

import numpy as np
import pytest

from trimkit import wing

# Rectangular wings. Columns: aspect ratio; elliptic and Helmbold slopes (closed forms);
# lifting line (derived by an independent series): slope, roll damping, dihedral effect;
# AeroSandbox 4.2.10 vortex lattice 16 x 8: slope, roll damping, Cl_beta at 5 degrees.
ROWS = [
    (4, 4.1888, 3.8832, 4.0284, -0.4264, -0.7008, 3.6892, -0.3542, -0.0521),
    (6, 4.7124, 4.5287, 4.5304, -0.5233, -0.8514, 4.2922, -0.4614, -0.0672),
    (8, 5.0265, 4.9058, 4.8377, -0.5914, -0.9547, 4.6610, -0.5393, -0.0778),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"AR {row[0]}")
def test_closed_forms_to_their_digits(row: tuple[float, ...]) -> None:
    assert wing.elliptic_slope(row[0]) == pytest.approx(row[1], abs=5e-5)
    assert wing.helmbold_slope(row[0]) == pytest.approx(row[2], abs=5e-5)


def test_closed_forms_as_arrays() -> None:
    rows = np.array(ROWS)
    assert wing.elliptic_slope(rows[:, 0]) == pytest.approx(rows[:, 1], abs=5e-5)
    assert wing.helmbold_slope(rows[:, 0]) == pytest.approx(rows[:, 2], abs=5e-5)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"AR {row[0]}")
def test_lifting_line_within_half_a_percent(row: tuple[float, ...]) -> None:
    found = wing.lifting_line(row[0])
    assert found.lift_slope_per_rad == pytest.approx(row[3], rel=0.005)
    assert found.roll_damping == pytest.approx(row[4], rel=0.005)
    assert found.dihedral_effect == pytest.approx(row[5], rel=0.005)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"AR {row[0]}")
def test_helmbold_is_nearer_to_the_lattice_than_the_elliptic_slope(row: tuple[float, ...]) -> None:
    lattice = row[6]
    assert wing.helmbold_slope(row[0]) == pytest.approx(lattice, rel=0.06)
    assert abs(wing.helmbold_slope(row[0]) - lattice) < abs(wing.elliptic_slope(row[0]) - lattice)


@pytest.mark.parametrize(
    ("aspect", "lifting_line", "lattice"),
    # left tip +2 degrees, linear; lifting line by an independent series; AeroSandbox lattice
    [(4, 0.00744, 0.00677), (6, 0.00913, 0.00842), (8, 0.01032, 0.00965)],
)
def test_left_wash_in_rolls_right(aspect: float, lifting_line: float, lattice: float) -> None:
    found = wing.twist_moment(2.0, 0.0, aspect)
    assert found == pytest.approx(lifting_line, rel=0.005)
    assert found == pytest.approx(lattice, rel=0.10)


@pytest.mark.parametrize(("aspect", "effect"), [(4, -0.4752), (6, -0.5850), (8, -0.6625)])
def test_tip_dihedral_on_the_outer_half(aspect: float, effect: float) -> None:
    """An independent lifting-line series gave these."""
    assert wing.tip_dihedral_effect(aspect) == pytest.approx(effect, rel=0.005)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"AR {row[0]}")
def test_antisymmetric_twist_is_roll_damping(row: tuple[float, ...]) -> None:
    """Exact for any linear method: twist of -d left and +d right rolls like damping times d."""
    turned = math.radians(1.5)
    found = wing.twist_moment(-1.5, 1.5, row[0])
    assert found == pytest.approx(wing.lifting_line(row[0]).roll_damping * turned, rel=1e-9)


def test_mean_chord() -> None:
    """Closed form; chords 120 and 60 mm, span 600 mm (tolerance 1e-6)."""
    chord, place = wing.mean_chord(120.0, 60.0, 600.0)
    assert chord == pytest.approx(93.3333333, rel=1e-6)
    assert place == pytest.approx(133.333333, rel=1e-6)


def test_downwash_far_behind_and_near() -> None:
    """Wing b .60 c .10, tail .39 m behind. 2 CLa/(pi AR) is .4805 with Helmbold's slope; the
    AeroSandbox lattice implies .391, about 20 % less: the near formula has that."""
    slope = wing.helmbold_slope(6.0)
    assert wing.downwash_slope(slope, 6.0) == pytest.approx(0.4805, abs=5e-5)
    near = wing.near_downwash_slope(slope, 6.0, 0.39 / 0.60, 0.02 / 0.60, 0.25 / 0.60)
    assert near == pytest.approx(0.391, rel=0.03)
