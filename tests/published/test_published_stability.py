"""Published static stability: Nelson's example, a model wing and tail, a mean chord.

Nelson, Flight Stability and Automatic Control, 2nd ed. 1998, example 2.2, p. 57. "Seen" means
read in a text that quotes the book; the rest is from memory and says so. Lengths in ft.
"""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import balance, wing
from trimkit.aeroplane import Wing

WING_AREA, TAIL_AREA, CHORD, ARM = 184.0, 43.0, 5.7, 16.0  # seen
SPAN = 33.4  # from memory
WING_SLOPE, TAIL_SLOPE = 4.3, 3.91  # seen
SECTION_SLOPE = np.degrees(0.097)  # per radian, .097 per degree from memory
CG, ZERO_LIFT_DEG, SECTION_MOMENT = 0.295, -5.0, -0.116  # the last two from memory
WING_DEG, TAIL_DEG = 1.0, -1.0  # seen as .017 and -.017 rad
BODY_MOMENT, BODY_SLOPE = -0.037, 0.12  # seen


def lift_at_zero() -> float:
    return WING_SLOPE * np.radians(-ZERO_LIFT_DEG)


def aspect_ratio() -> float:
    return SPAN**2 / WING_AREA


def nelson(**changes: float) -> balance.MomentLine:
    downwash = 2 / (np.pi * aspect_ratio())
    figures = {
        "cg_fraction": CG,
        "wing_lift_at_zero": lift_at_zero(),
        "wing_slope": WING_SLOPE,
        "wing_moment": SECTION_MOMENT,
        "tail_volume": volume(),
        "tail_slope": TAIL_SLOPE,
        "decalage_deg": WING_DEG - TAIL_DEG,
        "downwash_at_zero_deg": np.degrees(downwash * lift_at_zero()),
        "downwash_slope": downwash * WING_SLOPE,
        "body_moment": BODY_MOMENT,
        "body_moment_slope": BODY_SLOPE,
    }
    return balance.moment_line(**{**figures, **changes})


def volume() -> float:
    return balance.tail_volume_from_figures(TAIL_AREA, ARM, WING_AREA, CHORD)


def test_wing_slope():
    found = wing.elliptic_slope(aspect_ratio(), SECTION_SLOPE)
    assert found == pytest.approx(4.3023, rel=1e-3)  # by hand
    assert found == pytest.approx(4.3, rel=0.01)  # seen


def test_downwash():
    found = wing.downwash_slope(WING_SLOPE, aspect_ratio())
    assert found == pytest.approx(0.45, rel=0.02)  # seen
    at_zero = found / WING_SLOPE * lift_at_zero()
    assert at_zero == pytest.approx(0.040, rel=0.02)  # rad, seen


def test_tail_volume():
    assert volume() == pytest.approx(0.66, rel=0.01)  # from memory
    assert volume() == pytest.approx(0.65599, abs=5e-6)  # by hand


def test_wing_alone():
    bare = nelson(tail_volume=0.0, body_moment=0.0, body_moment_slope=0.0)
    assert bare.at_zero == pytest.approx(-0.099, rel=0.01)  # seen
    assert bare.slope_per_rad == pytest.approx(0.1936, rel=0.01)  # by hand; .19 from memory


def test_tail_alone():
    tail = nelson()
    bare = nelson(tail_volume=0.0)
    assert tail.at_zero - bare.at_zero == pytest.approx(0.194, rel=0.03)  # from memory
    assert tail.slope_per_rad - bare.slope_per_rad == pytest.approx(-1.42, rel=0.03)  # seen


def test_whole_aeroplane():
    assert nelson().slope_per_rad == pytest.approx(-1.11, rel=0.03)  # from memory
    assert nelson().at_zero == pytest.approx(0.0545, rel=0.03)  # by hand
    assert nelson().at_zero == pytest.approx(0.06, abs=0.006)  # from memory


def test_neutral_point():
    found = balance.neutral_point_fraction(
        tail_volume=volume(),
        wing_slope=WING_SLOPE,
        tail_slope=TAIL_SLOPE,
        downwash_slope=0.45,
        body_moment_slope=BODY_SLOPE,
    )
    assert found == pytest.approx(0.55, abs=0.01)  # from memory
    assert nelson().slope_per_rad == pytest.approx(-WING_SLOPE * (found - CG), rel=0.01)


def test_nelson_as_arrays():
    many = nelson(cg_fraction=np.array([CG, CG, 0.55]))
    assert many.slope_per_rad.shape == many.at_zero.shape == (3,)
    assert many.slope_per_rad[0] == nelson().slope_per_rad
    assert many.slope_per_rad[2] == pytest.approx(0.0, abs=0.01 * WING_SLOPE)


# Model wing and tail: wing .60 x .10 m, leading edge at 0; tail .25 x .06 m, leading edge .40.
# Closed forms computed to the digits shown.
MODEL = {
    "tail_volume": 0.975,
    "wing_slope": 4.5287,
    "tail_slope": 3.9536,
    "downwash_slope": 0.4805,
    "area_ratio": 0.25,
}


def test_model_slopes_and_volume():
    assert wing.helmbold_slope(6.0) == pytest.approx(4.5287, abs=1e-4)
    assert wing.helmbold_slope(25 / 6) == pytest.approx(3.9536, abs=1e-4)
    assert wing.downwash_slope(4.5287, 6.0) == pytest.approx(0.4805, abs=1e-4)
    assert balance.tail_volume_from_figures(0.015, 0.39, 0.06, 0.10) == pytest.approx(0.975)


@pytest.mark.parametrize(
    ("convention", "fraction"), [("wing slope", 0.6922), ("whole slope", 0.6472)]
)
def test_model_neutral_points(convention, fraction):
    found = balance.neutral_point_fraction(**MODEL, convention=convention)
    assert found == pytest.approx(fraction, abs=1e-4)
    # AeroSandbox 4.2.10 vortex lattice 24 x 10, run once: .7045 of the chord
    assert found == pytest.approx(0.7045, abs=0.07)


def test_model_neutral_points_as_arrays():
    volumes = np.array([0.0, 0.975])
    found = balance.neutral_point_fraction(**{**MODEL, "tail_volume": volumes})
    assert found == pytest.approx([0.25, 0.6922], abs=1e-4)


def test_mean_aerodynamic_chord():
    # root .12, tip .06, span .6 m: .0933333 and area .054, computed to 1e-6
    tapered = Wing(
        span_mm=600.0,
        root_chord_mm=120.0,
        tip_chord_mm=60.0,
        dihedral_deg=0.0,
        incidence_deg=0.0,
        height_mm=0.0,
        mass_g=3.0,
    )
    assert tapered.mean_chord_mm == pytest.approx(93.3333, abs=1e-4)
    assert tapered.area_mm2 == pytest.approx(54_000.0)
    chord, place = wing.mean_chord(120.0, 60.0, 600.0)
    assert (chord, place) == pytest.approx((93.3333, 133.333), abs=5e-4)
