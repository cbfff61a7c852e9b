"""Published numbers on rubber. Each source stands beside its number."""

from pathlib import Path

import numpy as np
import pytest

from trimkit.motor import (
    ENERGY_BOUND_J_G,
    TRELOAR_ENERGY_J_G,
    RubberMotor,
    helix_turns,
    loading_energy_J_kg,
    mooney_rivlin_stress_mpa,
    torsion_of_stretched_rod,
)

DATA = Path(__file__).parent / "data"
MPA_PER_KGF_CM2 = 0.0980665  # exact: kgf is 9.80665 N
INCH_MM = 25.4
SIXTEENTH_MM = INCH_MM / 16


def table(name):
    return np.loadtxt(DATA / name, delimiter=",", skiprows=1 + header_lines(name), unpack=True)


def header_lines(name):
    return sum(line.startswith("#") for line in (DATA / name).read_text().splitlines())


@pytest.fixture(scope="module")
def treloar():
    """Treloar 1944: stretch [-], pull [MPa]."""
    stretch, pull = table("treloar1944_uniaxial_kgf_cm2.csv")
    return stretch, pull * MPA_PER_KGF_CM2


def skein(strands, loop_in):
    return RubberMotor(loop_in * INCH_MM, SIXTEENTH_MM, SIXTEENTH_MM, strands)


# Trapezoid over Treloar, Trans. Faraday Soc. 40 (1944) 59 (second-hand), 930 kg/m³,
# rounded to 1 J/kg. Tolerance 1e-3 or the rounding.
@pytest.mark.parametrize(
    ("stretch", "energy_J_kg"),
    [(2, 361), (3, 1110), (4, 2218), (5, 3790), (6, 6051), (7, 9534), (7.6, 12755)],
)
def test_loading_energy_of_treloars_table(treloar, stretch, energy_J_kg):
    stretches, pulls = treloar
    below = stretches[stretches < stretch]
    ratios = np.append(below, stretch)
    found = loading_energy_J_kg(ratios, np.interp(ratios, stretches, pulls))
    assert found == pytest.approx(energy_J_kg, rel=1e-3, abs=0.5)


def test_energy_constant_is_treloars(treloar):
    assert loading_energy_J_kg(*treloar) / 1000 == pytest.approx(TRELOAR_ENERGY_J_G, rel=1e-3)


@pytest.mark.parametrize("section_mm2", [2.0, 5.1, 15.0])
def test_winding_to_the_limit_stores_no_more_than_the_bound(section_mm2):
    # 1.1 x Treloar's loading energy to 7.6 times the length; 10 %: batches, common practice.
    motor = RubberMotor.of_mass(2.05, section_mm2 / 2, 1.0)
    stored = motor.stored_energy_J(motor.limit_turns) / motor.mass_g
    assert 0.95 * ENERGY_BOUND_J_G < stored <= ENERGY_BOUND_J_G


# Common practice, no source: 2.05 g with a section of 5.1 mm². Held within 5 %.
PRACTICE_TURNS = [400, 750, 1157, 1326]
PRACTICE_OZIN = [0.265, 0.40, 0.65, 0.85]


def test_torques_of_common_practice():
    motor = RubberMotor.of_mass(2.05, 5.1 / 2, 1.0)
    expected = np.array(PRACTICE_OZIN) * 7.061551814  # NIST SP 811, ozf in
    assert motor.winding_torque_mNm(np.array(PRACTICE_TURNS)) == pytest.approx(expected, rel=0.05)
    for turns, torque in zip(PRACTICE_TURNS, expected, strict=True):
        assert motor.winding_torque_mNm(turns) == pytest.approx(torque, rel=0.05)


# Fits of P = 2(λ - λ⁻²)(C1 + C2/λ) to Treloar's table up to a stretch. Tolerance 1 %.
@pytest.mark.parametrize(("most", "c1", "c2"), [(1.9, 0.08276, 0.13723), (3.1, 0.11999, 0.07604)])
def test_mooney_rivlin_fits(treloar, most, c1, c2):
    stretches, pulls = (column[treloar[0] <= most] for column in treloar)
    unit = [
        mooney_rivlin_stress_mpa(stretches, 1.0, 0.0),
        mooney_rivlin_stress_mpa(stretches, 0.0, 1.0),
    ]
    fitted = np.linalg.lstsq(np.column_stack(unit), pulls, rcond=None)[0]
    assert fitted == pytest.approx([c1, c2], rel=0.01)


# Rivlin's torsion of a stretched rod: formula from memory; numbers run, to six digits.
TORSION = [(1, 3.14159e-4), (1.5, 1.91986e-4), (2, 1.37445e-4), (3, 8.72665e-5)]
TORSION_ROD = {"radius_mm": 1.0, "twist_rad_m": 500.0, "c1_mpa": 0.15, "c2_mpa": 0.05}


@pytest.mark.parametrize(("stretch", "torque_Nm"), TORSION)
def test_torsion_of_a_stretched_rod(stretch, torque_Nm):
    load = torsion_of_stretched_rod(stretch=stretch, **TORSION_ROD)
    assert load.torque_mNm / 1000 == pytest.approx(torque_Nm, rel=5e-6)


def test_torsion_of_a_stretched_rod_takes_arrays():
    stretches, torques = np.array(TORSION).T
    load = torsion_of_stretched_rod(stretch=stretches, **TORSION_ROD)
    assert load.torque_mNm / 1000 == pytest.approx(torques, rel=5e-6)


@pytest.mark.parametrize(("stretch", "pull_N"), [(1, -0.098175), (2, 1.904591)])
def test_pull_of_a_stretched_and_twisted_rod(stretch, pull_N):
    load = torsion_of_stretched_rod(stretch=stretch, **TORSION_ROD)
    assert load.pull_N == pytest.approx(pull_N, abs=1e-6)


def rod_energy_mJ_mm(stretch, twist_rad_mm, c1=0.15, c2=0.05):
    """Elastic energy for each mm of a 1 mm radius rod, from the invariants of the strain."""
    radius, weight = np.polynomial.legendre.leggauss(12)
    radius, weight = (radius + 1) / 2, weight / 2
    first = stretch**2 + 2 / stretch + (radius * twist_rad_mm) ** 2 / stretch
    second = 2 * stretch + stretch**-2 + (radius * twist_rad_mm / stretch) ** 2
    return np.sum(weight * 2 * np.pi * radius * (c1 * (first - 3) + c2 * (second - 3)))


@pytest.mark.parametrize("stretch", [1.0, 1.5, 2.0, 3.0])
def test_rod_load_is_the_derivative_of_its_energy(stretch):
    load, step = torsion_of_stretched_rod(stretch=stretch, **TORSION_ROD), 1e-4
    torque = (rod_energy_mJ_mm(stretch, 0.5 + step) - rod_energy_mJ_mm(stretch, 0.5 - step)) / 2e-4
    pull = (rod_energy_mJ_mm(stretch + step, 0.5) - rod_energy_mJ_mm(stretch - step, 0.5)) / 2e-4
    assert load.torque_mNm == pytest.approx(torque, rel=1e-7)
    assert load.pull_N == pytest.approx(pull, rel=1e-6)


def test_turns_fall_with_strands_as_johnson_found():
    # V. E. Johnson, The Theory and Practice of Model Aeroplaning, 1910, §9: log slope -.5 ± .05.
    strands, turns = table("johnson1910_turns.csv")
    model = [skein(int(count), 36).max_turns() for count in strands]
    slope = np.polyfit(np.log(strands), np.log(turns), 1)[0]
    model_slope = np.polyfit(np.log(strands), np.log(model), 1)[0]
    assert slope == pytest.approx(-0.507, abs=5e-4)
    assert model_slope == pytest.approx(slope, abs=0.05)
    # The double knot comes at one share of the turns, whatever the strands.
    shares = turns / np.array(model)
    assert shares == pytest.approx(np.mean(shares), rel=0.08)


def test_torque_grows_with_strands_as_johnson_found():
    # The same, §6, at equal turns: strands x1.5 gives x2, x2 gives x3 to 3.5, x3 gives x7 or more.
    # From 5.1 mm² at 400 turns; from a thicker loop, further up its curve, the model gives more.
    plain, half_more, double, treble = (
        RubberMotor(432.0, 1.275, 1.0, strands).winding_torque_mNm(400) for strands in (4, 6, 8, 12)
    )
    assert half_more / plain == pytest.approx(2, rel=0.1)
    assert 3 <= double / plain <= 3.5
    assert treble / plain >= 7


@pytest.mark.xfail(
    strict=True,
    reason="the fit to common practice gives 99 mN m, 30 % low; 126 (10 % low) if the strip is "
    "1/16 in square and so 64 g, but the source gives 56 g",
)
def test_torque_of_johnsons_36_strands():
    # The same, §5: 36 strands, 30 in, 56 g, 150 turns: 20 oz in = .14123 N m. Within 15 %.
    side = np.sqrt(56 / (0.93e-3 * 30 * INCH_MM) / 36)
    motor = RubberMotor(30 * INCH_MM, side, side, 36)
    assert motor.winding_torque_mNm(150) == pytest.approx(141.23, rel=0.15)


def test_helix_turns():
    # n = K L^1.5/m^.5, K = kλ^1.5 √(ρ/4π), derived: k 1, λ 3, 930 kg/m³: 44.70, 499.8 turns.
    assert helix_turns(1000.0, 1000.0) == pytest.approx(44.70, abs=0.005)
    assert helix_turns(1.0, 500.0) == pytest.approx(499.8, abs=0.05)
    assert helix_turns(np.array([1000.0, 1.0]), np.array([1000.0, 500.0])) == pytest.approx(
        [44.70, 499.8], abs=0.05
    )


def test_limit_turns_scale_as_the_helix_and_are_several_times_as_many():
    ratios = [
        motor.limit_turns / helix_turns(motor.mass_g, motor.loop_mm)
        for motor in (RubberMotor(300.0, 1.5, 1.0), RubberMotor(600.0, 3.0, 1.1, 4))
    ]
    assert ratios[0] == pytest.approx(ratios[1], rel=1e-12)
    assert 3 < ratios[0] < 8  # "several times": ordering only


# Stiffness as ρRT/Mc, formula from memory: ratios to five digits.
@pytest.mark.parametrize(("temperature_c", "ratio"), [(0, 0.93178), (30, 1.03411)])
def test_entropic_stiffness(temperature_c, ratio):
    motor = RubberMotor(432.0, 2.55, 1.0)
    turns = np.array([100.0, 800.0, 1400.0])
    found = motor.winding_torque_mNm(turns, temperature_c) / motor.winding_torque_mNm(turns, 20)
    assert found == pytest.approx(np.full(3, ratio), abs=5e-6)
    one = motor.winding_torque_mNm(800, temperature_c) / motor.winding_torque_mNm(800, 20)
    assert one == pytest.approx(ratio, abs=5e-6)
