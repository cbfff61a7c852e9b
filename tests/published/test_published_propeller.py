"""Propellers against momentum theory worked out by hand and against a wind tunnel.

Tunnel rows: UIUC Propeller Database (Brandt, Deters, Ananda, Selig), seen; a few rows only. Our
blade element theory is compared with the one propeller whose blade is given there, NR640 5x3.16.
Its section is not given. We take this project's own plate, arched 3 %, at the Reynolds number
of three quarters of the radius. The plate was fitted elsewhere, without these rows, but its arch
was chosen after seeing them: with 3 % every CT is within 12 % and every CP within 21 %; with 2 or
5 % one or two of the rows are off by 26 to 37 %. So these rows show that the theory can describe
a real propeller; they do not show that it predicts one.
"""

from __future__ import annotations

import numpy as np
import pytest

from trimkit import air, propeller
from trimkit.propeller import Propeller
from trimkit.section import plate
from trimkit.units import MM_PER_INCH

SEA_LEVEL = 1.225  # kg/m³, ISO 2533:1975

# Rankine-Froude momentum theory, D 150 mm, computed from its formula to the digits shown:
# thrust N, speed m/s, induced speed m/s, power W, efficiency.
MOMENTUM = [
    (0.05, 0.0, 1.07465, 0.053732, 0.0),
    (0.05, 3.0, 0.34523, 0.167261, 0.89680),
    (0.02, 2.0, 0.20911, 0.044182, 0.90534),
]
DIGITS = {"rel": 1e-5, "abs": 5e-6}  # the last digit shown


@pytest.mark.parametrize(("thrust", "speed", "induced", "power", "efficiency"), MOMENTUM)
def test_momentum(thrust, speed, induced, power, efficiency):
    found = propeller.induced_velocity_m_s(thrust, speed, 150.0, SEA_LEVEL)
    assert found == pytest.approx(induced, **DIGITS)
    assert propeller.ideal_power_W(thrust, speed, 150.0, SEA_LEVEL) == pytest.approx(
        power, rel=2e-5
    )
    revs = 20.0  # any speed of turning gives the same limit
    coefficient = thrust / (SEA_LEVEL * revs**2 * 0.15**4)
    found = propeller.ideal_efficiency(coefficient, speed / (revs * 0.15))
    assert found == pytest.approx(efficiency, **DIGITS)


def test_momentum_as_arrays():
    thrust, speed, induced, power, _ = np.array(MOMENTUM).T
    found = propeller.induced_velocity_m_s(thrust, speed, 150.0, SEA_LEVEL)
    assert found == pytest.approx(induced, **DIGITS)
    assert propeller.ideal_power_W(thrust, speed, 150.0, SEA_LEVEL) == pytest.approx(
        power, rel=2e-5
    )


# Angle of a true-pitch blade at r/R .3 .5 .75 1, from p = 2 pi r tan(beta).
RATIOS = np.array([0.3, 0.5, 0.75, 1.0])
TRUE_PITCH = {
    4 / 3: [54.7451, 40.3255, 29.5048, 22.9970],
    2.0: [64.7684, 51.8540, 40.3255, 32.4816],
}


@pytest.mark.parametrize("ratio", TRUE_PITCH)
def test_true_pitch(ratio):
    expected = TRUE_PITCH[ratio]
    radii = RATIOS * 120.0
    found = propeller.blade_angle_deg(radii, ratio * 240.0)
    assert found == pytest.approx(expected, abs=6e-5)
    single = [propeller.blade_angle_deg(float(radius), ratio * 240.0) for radius in radii]
    assert single == pytest.approx(expected, abs=6e-5)
    assert propeller.pitch_mm(radii, expected) == pytest.approx(ratio * 240.0, rel=1e-5)


def test_pitch_from_a_measured_angle():
    # NR640 at .75 R of a 2.5 in radius, 15.0°: 3.1567 in; its name says 3.16
    found = propeller.pitch_mm(0.75 * 2.5 * MM_PER_INCH, 15.0) / MM_PER_INCH
    assert found == pytest.approx(3.1567, rel=1e-4)
    assert nr640().pitch_mm / MM_PER_INCH == pytest.approx(3.16, abs=0.005)


# Advance ratio, CT, CP, efficiency. NR640 5x3.16 at 6051 turns a minute; DA4002 5x3.75 at 4031.
NR640_ROWS = np.array(
    [
        (0.0950, 0.078448, 0.045271, 0.1646),
        (0.1880, 0.071773, 0.043439, 0.3107),
        (0.2846, 0.062125, 0.041176, 0.4294),
        (0.3787, 0.050103, 0.037288, 0.5088),
        (0.4748, 0.035023, 0.030909, 0.5380),
        (0.5699, 0.020034, 0.023831, 0.4791),
    ]
)
DA4002_ROWS = np.array(
    [
        (0.2899, 0.103789, 0.082921, 0.3628),
        (0.4307, 0.082005, 0.072391, 0.4879),
        (0.5676, 0.057767, 0.059487, 0.5512),
    ]
)
ALL_ROWS = np.concatenate([NR640_ROWS, DA4002_ROWS])
# Standing still: turns a minute, CT, CP of NR640.
NR640_STATIC = [(1520, 0.071618, 0.054244), (2960, 0.07851, 0.049701)]


def test_rows_of_the_tunnel_belong_together():
    for advance, thrust, power, efficiency in ALL_ROWS:
        # J is printed to four digits at best: .095 may be .0945 to .0955
        printed = 0.00005 if advance != 0.095 else 0.0005
        slack = efficiency * printed / advance + 0.00006
        assert advance * thrust / power == pytest.approx(efficiency, abs=slack)


def test_rows_of_the_tunnel_obey_the_momentum_limit():
    advance, thrust, _, efficiency = ALL_ROWS.T
    assert np.all(efficiency < propeller.ideal_efficiency(thrust, advance))
    for row in ALL_ROWS:
        assert row[3] < propeller.ideal_efficiency(row[1], row[0])


ARCH_PERCENT = 3.0


def nr640() -> Propeller:
    """NR640 5x3.16 with the blade as measured, inboard of .3 R left out, and our plate."""
    speed = 0.75 * np.pi * 6051 / 60 * 5 * MM_PER_INCH / 1000
    reynolds = air.reynolds(speed, 0.1230 * 2.5 * MM_PER_INCH, air.ROOM)
    section = plate(ARCH_PERCENT)
    friction = np.sqrt(section.reference_reynolds / reynolds)
    return Propeller(
        diameter_mm=5 * MM_PER_INCH,
        radius_ratios=(0.3, 0.5, 0.75, 0.9, 1.0),
        chord_ratios=(0.1061, 0.1529, 0.1230, 0.0890, 0.0605),
        blade_angles_deg=(32.091, 22.047, 15.000, 12.796, 11.662),
        mass_g=2.0,
        lift_slope_per_rad=section.lift_slope_per_rad,
        zero_lift_deg=section.zero_lift_deg,
        stall_deg=section.separation_deg,
        negative_stall_deg=section.negative_stall_deg,
        stall_width_deg=section.stall_width_deg,
        least_drag=float(section.least_drag * friction),
        drag_rise=section.drag_rise,
        least_drag_lift=section.least_drag_lift,
    )


def test_theory_against_the_tunnel():
    # 25 %: the section is ours and not the propeller's, and it does not know Reynolds number
    made = nr640()
    advance, thrust, power, _ = NR640_ROWS.T
    found = made.coefficients(advance)
    assert found.thrust == pytest.approx(thrust, rel=0.25)
    assert found.power == pytest.approx(power, rel=0.25)
    for place, at in enumerate(advance):
        single = made.coefficients(float(at))
        assert single.thrust == pytest.approx(thrust[place], rel=0.25)
        assert single.power == pytest.approx(power[place], rel=0.25)


def test_theory_has_its_best_efficiency_in_the_same_row_but_too_high():
    found = nr640().coefficients(NR640_ROWS[:, 0]).efficiency
    measured = NR640_ROWS[:, 3]
    assert np.argmax(found) == np.argmax(measured)
    assert np.all(np.sign(np.diff(found)) == np.sign(np.diff(measured)))
    # about level at the lowest J and .17 too high at the highest: a known weakness, kept in sight
    assert np.all((found - measured > -0.02) & (found - measured < 0.20))


def test_theory_against_the_tunnel_standing_still():
    # the faster of the two; at 1520 turns a minute the Reynolds number is under our section's
    _, thrust, power = NR640_STATIC[1]
    found = nr640().coefficients(0.0)
    assert found.thrust == pytest.approx(thrust, rel=0.25)
    assert found.power == pytest.approx(power, rel=0.25)
    assert nr640().coefficients(np.zeros(2)).thrust == pytest.approx(thrust, rel=0.25)


# Marked pitch and the pitch of the blade as measured, inches (UIUC labels and angles).
MARKED = [(4.7, 4.647), (3.5, 2.00), (3.75, 4.04)]


def test_the_label_is_not_the_pitch():
    off = [measured / marked - 1 for marked, measured in MARKED]
    assert off == pytest.approx([-0.011, -0.43, 0.077], abs=0.002)
