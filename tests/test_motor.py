"""The rubber motor: signs, limits, energy, plans and counts."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from trimkit import motor as rubber
from trimkit.motor import RubberMotor

checked = settings(derandomize=True, deadline=None, max_examples=50)

motors = st.builds(
    RubberMotor,
    loop_mm=st.floats(100, 900),
    strip_width_mm=st.floats(0.8, 5),
    strip_thickness_mm=st.floats(0.8, 1.2),
    strands=st.sampled_from([2, 4, 6]),
    lubrication=st.floats(0, 1),
    freshness=st.floats(0.7, 1),
)
shares = st.floats(0.01, 1)
temperatures = st.floats(rubber.COLDEST_C, rubber.WARMEST_C)


@pytest.fixture
def loop():
    """2.05 g with a section of 5.1 mm²."""
    return RubberMotor.of_mass(2.05, 2.55, 1.0)


def test_trade_sample_of_strip_and_mass():
    # Common practice sample: 2.4 x 1.1, two strands, 2.00 g: 5.28 mm², 407 mm ±4, 1379 turns.
    motor = RubberMotor.of_mass(2.00, 2.4, 1.1)
    assert motor.section_mm2 == pytest.approx(5.28)
    assert motor.loop_mm == pytest.approx(407, abs=1)
    assert motor.max_turns() == pytest.approx(1379, abs=1)
    assert motor.mass_g == pytest.approx(2.00, rel=1e-12)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("loop_mm", 4.1),
        ("strip_width_mm", 24),
        ("strands", 3),
        ("density_g_cm3", 930),
        ("lubrication", 1.2),
        ("knot_strength", math.nan),
    ],
)
def test_values_out_of_range_are_named(loop, field, value):
    with pytest.raises(ValueError, match=f"{field} is .*allowed is"):
        dataclasses.replace(loop, **{field: value})


def test_motor_is_frozen(loop):
    with pytest.raises(dataclasses.FrozenInstanceError):
        loop.loop_mm = 500


@checked
@given(motors, shares, temperatures)
def test_torque_rises_with_turns(motor, share, temperature_c):
    turns = share * motor.limit_turns
    fewer = 0.95 * turns
    assert motor.winding_torque_mNm(fewer, temperature_c) < motor.winding_torque_mNm(
        turns, temperature_c
    )
    assert motor.unwinding_torque_mNm(fewer, turns, temperature_c) < motor.unwinding_torque_mNm(
        turns, turns, temperature_c
    )


@checked
@given(motors, shares, temperatures)
def test_unwinding_meets_winding_at_the_top_and_stays_below(motor, share, temperature_c):
    wound = share * motor.limit_turns
    turns = np.linspace(0.01, 1, 40) * wound
    down = motor.unwinding_torque_mNm(turns, wound, temperature_c)
    up = motor.winding_torque_mNm(turns, temperature_c)
    assert down[-1] == up[-1]
    assert np.all(down[:-1] < up[:-1])
    assert np.all(down > 0)


def test_no_turns_no_torque_no_energy(loop):
    assert loop.winding_torque_mNm(0) == 0
    assert loop.unwinding_torque_mNm(0, 1000) == 0
    assert loop.stored_energy_J(0) == 0
    assert loop.returned_energy_J(0) == 0


def test_scalars_give_floats_and_arrays_keep_their_shape(loop):
    turns = np.array([[10.0, 400.0], [700.0, 1000.0]])
    for function in (loop.winding_torque_mNm, loop.stored_energy_J, loop.returned_energy_J):
        assert type(function(400)) is float
        assert function(turns).shape == turns.shape
        assert function(turns)[0, 1] == pytest.approx(function(400.0), rel=1e-13)
    assert type(loop.unwinding_torque_mNm(100, 400)) is float
    assert loop.unwinding_torque_mNm(turns, 1000).shape == turns.shape
    assert loop.max_turns(np.array([7.0, 22.0])).shape == (2,)
    assert loop.returned_energy_J(1000, np.array([7.0, 22.0])).shape == (2,)


@pytest.mark.parametrize("wound", [5.0, 400.0, 1157.0, 1489.0])
@pytest.mark.parametrize("temperature_c", [7.0, 22.0])
def test_energies_are_the_integrals_of_torque(loop, wound, temperature_c):
    stored = quad(loop.winding_torque_mNm, 0, wound, args=(temperature_c,), epsrel=1e-11)[0]
    returned = quad(loop.unwinding_torque_mNm, 0, wound, args=(wound, temperature_c), epsrel=1e-11)[
        0
    ]
    to_J = 2 * math.pi / 1000
    assert loop.stored_energy_J(wound, temperature_c) == pytest.approx(stored * to_J, rel=1e-9)
    assert loop.returned_energy_J(wound, temperature_c) == pytest.approx(returned * to_J, rel=1e-9)


def test_most_of_the_energy_comes_back(loop):
    # Common practice fit: 79 % at 1157 turns, 78 % at 1326; energies follow the torque's 5 %.
    for turns, energy_J_g, share in ((1157, 6.7, 0.79), (1326, 8.7, 0.78)):
        returned = loop.returned_energy_J(turns)
        assert returned / loop.stored_energy_J(turns) == pytest.approx(share, abs=0.01)
        assert returned / loop.mass_g == pytest.approx(energy_J_g, rel=0.05)


@checked
@given(motors, shares)
def test_energy_returned_is_less_than_stored(motor, share):
    wound = share * motor.limit_turns
    assert 0 < motor.returned_energy_J(wound) < motor.stored_energy_J(wound)


@checked
@given(motors, shares)
def test_cold_gives_back_less(motor, share):
    wound = share * motor.limit_turns
    assert motor.winding_torque_mNm(wound, 5) < motor.winding_torque_mNm(wound, 22)
    cold = motor.returned_energy_J(wound, 5) / motor.stored_energy_J(wound, 5)
    warm = motor.returned_energy_J(wound, 22) / motor.stored_energy_J(wound, 22)
    assert cold < warm
    assert motor.max_turns(5) < motor.max_turns(22) == motor.max_turns(30)


@checked
@given(motors, shares, st.floats(1.1, 1.6))
def test_scaling_at_an_equal_share(motor, share, factor):
    thicker = dataclasses.replace(motor, strip_width_mm=motor.strip_width_mm * factor)
    ratio = thicker.section_mm2 / motor.section_mm2
    torques = [m.winding_torque_mNm(share * m.limit_turns) for m in (motor, thicker)]
    energies = [m.returned_energy_J(share * m.limit_turns) / m.mass_g for m in (motor, thicker)]
    assert thicker.limit_turns == pytest.approx(motor.limit_turns / math.sqrt(ratio))
    assert torques[1] == pytest.approx(torques[0] * ratio**1.5)
    assert energies[1] == pytest.approx(energies[0])


def test_what_weakens_a_loop(loop):
    dry = dataclasses.replace(loop, lubrication=0.0)
    knotted = dataclasses.replace(loop, knot_strength=0.9)
    tired = dataclasses.replace(loop, freshness=0.9)
    strong = dataclasses.replace(loop, batch_strength=1.1)
    assert dry.max_turns() == pytest.approx(0.85 * loop.max_turns())
    assert dry.returned_energy_J(1000) < loop.returned_energy_J(1000)
    assert knotted.max_turns() == pytest.approx(0.9 * loop.max_turns())
    assert knotted.winding_torque_mNm(1000) == loop.winding_torque_mNm(1000)
    assert tired.winding_torque_mNm(1000) == pytest.approx(0.9 * loop.winding_torque_mNm(1000))
    assert strong.returned_energy_J(1000) == pytest.approx(1.1 * loop.returned_energy_J(1000))


@pytest.mark.parametrize("turns", [-1, 1490, math.nan])
def test_turns_past_the_limit_raise(loop, turns):
    with pytest.raises(ValueError, match=r"turns is .*allowed is 0 to 1489"):
        loop.winding_torque_mNm(turns)


def test_more_turns_than_wound_raise(loop):
    with pytest.raises(ValueError, match="swapped"):
        loop.unwinding_torque_mNm(800, 700)


@pytest.mark.parametrize("temperature_c", [-5, 72, 295])
def test_temperature_in_another_unit_raises(loop, temperature_c):
    with pytest.raises(ValueError, match="kelvin"):
        loop.returned_energy_J(800, temperature_c)
    with pytest.raises(ValueError, match="kelvin"):
        loop.max_turns(temperature_c)


def test_plan_by_share():
    # Common practice sample: 85 % of 1379 turns is 1172.
    motor = RubberMotor.of_mass(2.00, 2.4, 1.1)
    plan = rubber.winding_plan(motor, share=0.85, back_off=0.05)
    assert (plan.turns_on, plan.backed_off, plan.turns_at_launch) == (1172, 59, 1113)
    assert plan.turns_stretched + plan.turns_walking_in == 1172
    assert plan.turns_stretched == 586
    assert plan.shortest_stretch_mm == pytest.approx(4 * motor.loop_mm)
    assert plan.longest_stretch_mm == pytest.approx(5 * motor.loop_mm)
    assert plan.launch_torque_mNm == motor.unwinding_torque_mNm(1113, 1172)
    assert plan.peak_torque_mNm == motor.winding_torque_mNm(1172) > plan.launch_torque_mNm
    assert plan.share_of_max == pytest.approx(0.85, abs=1e-3)


@checked
@given(motors, st.floats(0.2, 0.94), st.floats(0, 0.1), st.floats(5, 30))
def test_plan_by_torque_undoes_plan_by_share(motor, share, back_off, temperature_c):
    first = rubber.winding_plan(motor, share=share, back_off=back_off, temperature_c=temperature_c)
    again = rubber.winding_plan(
        motor,
        launch_torque_mNm=first.launch_torque_mNm,
        back_off=back_off,
        temperature_c=temperature_c,
    )
    # Whole turns: one backed off more or less moves the answer by at most a few turns.
    assert again.turns_on == pytest.approx(first.turns_on, abs=0.02 * first.turns_on + 4)


def test_plan_without_backing_off_hits_the_torque(loop):
    plan = rubber.winding_plan(loop, launch_torque_mNm=4.5, back_off=0.0)
    assert plan.backed_off == 0
    assert plan.launch_torque_mNm == plan.peak_torque_mNm == pytest.approx(4.5, rel=2e-3)
    assert plan.turns_on == round(rubber.turns_for_torque(loop, 4.5))


def test_backing_off_further_needs_more_turns_for_one_torque(loop):
    little, much = (
        rubber.winding_plan(loop, launch_torque_mNm=3.5, back_off=part) for part in (0.03, 0.08)
    )
    assert much.turns_on > little.turns_on


@pytest.mark.parametrize(
    ("target", "match"),
    [
        ({}, "exactly one"),
        ({"share": 0.8, "launch_torque_mNm": 4.0}, "exactly one"),
        ({"share": 85}, "85 % is 0.85"),
        ({"share": 0.99}, "share is 0.99"),
        ({"launch_torque_mNm": 60.0}, "too thin"),
        ({"share": 0.8, "back_off": 5}, "5 % is 0.05"),
    ],
)
def test_plans_that_cannot_be(loop, target, match):
    with pytest.raises(ValueError, match=match):
        rubber.winding_plan(loop, **target)


@checked
@given(motors, st.floats(0.02, 1), temperatures)
def test_turns_for_torque_undoes_winding_torque(motor, share, temperature_c):
    turns = share * motor.max_turns(temperature_c)
    torque = motor.winding_torque_mNm(turns, temperature_c)
    assert rubber.turns_for_torque(motor, torque, temperature_c) == pytest.approx(turns, rel=1e-9)


def test_turns_for_torque_takes_arrays_and_refuses_too_much(loop):
    turns = np.array([200.0, 900.0, 1300.0])
    torque = loop.winding_torque_mNm(turns)
    assert rubber.turns_for_torque(loop, torque) == pytest.approx(turns, rel=1e-9)
    with pytest.raises(ValueError, match="too thin"):
        rubber.turns_for_torque(loop, 20.0)


def test_turns_per_second_of_the_trade_sample():
    # 1200 on, 60 backed off, 320 left, 96 s: 8.54; not 9.17, 11.9 or 512.
    assert rubber.turns_per_second(1200, 60, 320, 96) == pytest.approx(8.54, abs=0.005)
    several = rubber.turns_per_second(1200, 60, np.array([320, 1140]), 96)
    assert several == pytest.approx([8.54, 0.0], abs=0.005)


@pytest.mark.parametrize("card", [(320, 60, 1200, 96), (1200, -60, 320, 96), (1200, 60, 320, 0)])
def test_flight_cards_that_cannot_be(card):
    with pytest.raises(ValueError, match=r"add up|time_s is 0"):
        rubber.turns_per_second(*card)


def test_stock_of_the_trade_sample():
    # Each breaks with 15 %; six must survive with 95 %: 9 (96.6 %), for 8 gives 89.5 %.
    assert rubber.stock_size(6, 0.15, 0.95) == 9
    assert rubber.survival_chance(9, 6, 0.15) == pytest.approx(0.966, abs=5e-4)
    assert rubber.survival_chance(8, 6, 0.15) == pytest.approx(0.895, abs=5e-4)


def test_survival_chance_counts_every_case():
    # Two of three at even odds: 4 cases of 8.
    assert rubber.survival_chance(3, 2, 0.5) == pytest.approx(0.5)
    assert rubber.survival_chance(5, 6, 0.1) == pytest.approx(0.0, abs=1e-12)
    assert rubber.survival_chance(6, 6, 0.0) == 1.0


@checked
@given(st.integers(1, 20), st.floats(0, 0.6), st.floats(0.5, 0.99))
def test_stock_is_the_smallest_that_serves(survivors, break_chance, confidence):
    made = rubber.stock_size(survivors, break_chance, confidence)
    assert rubber.survival_chance(made, survivors, break_chance) >= confidence
    assert made == survivors or rubber.survival_chance(made - 1, survivors, break_chance) < (
        confidence
    )


@pytest.mark.parametrize("bad", [(6, 15, 0.95), (6, 0.15, 95), (0, 0.15, 0.95)])
def test_stock_in_percent_raises(bad):
    with pytest.raises(ValueError, match="allowed is"):
        rubber.stock_size(*bad)


@checked
@given(motors, st.floats(0.45, 1), shares)
def test_part_motor_keeps_torque_and_mass(motor, part, share):
    found = rubber.part_motor(motor, part)
    assert found.motor.limit_turns == pytest.approx(part * motor.limit_turns)
    assert found.motor.winding_torque_mNm(share * found.motor.limit_turns) == pytest.approx(
        motor.winding_torque_mNm(share * motor.limit_turns)
    )
    assert found.motor.mass_g + found.spacer_mass_g == pytest.approx(motor.mass_g)
    assert found.motor.loop_mm + found.spacer_mm == pytest.approx(motor.loop_mm)


def test_part_motor_in_percent_raises(loop):
    with pytest.raises(ValueError, match=r"half is 0\.5"):
        rubber.part_motor(loop, 50)


@checked
@given(st.floats(1.01, 7.9))
def test_stretch_pulls_and_eases_torque(stretch):
    pull = rubber.mooney_rivlin_stress_mpa(stretch, 0.12, 0.076)
    assert 0 < pull < rubber.mooney_rivlin_stress_mpa(stretch + 0.1, 0.12, 0.076)
    slack = rubber.torsion_of_stretched_rod(1.0, 1.0, 300.0, 0.12, 0.076)
    stretched = rubber.torsion_of_stretched_rod(1.0, stretch, 300.0, 0.12, 0.076)
    assert stretched.torque_mNm < slack.torque_mNm
    assert stretched.pull_N > slack.pull_N


def test_rubber_that_cannot_be_raises():
    with pytest.raises(ValueError, match=r"stretch is 0\.5"):
        rubber.mooney_rivlin_stress_mpa(0.5, 0.12, 0.076)
    with pytest.raises(ValueError, match="in kg"):
        rubber.helix_turns(0.0, 500.0)
    with pytest.raises(ValueError, match="in m"):
        rubber.torsion_of_stretched_rod(-1.0, 2.0, 300.0, 0.12, 0.076)
    with pytest.raises(ValueError, match="sorted"):
        rubber.loading_energy_J_kg([1, 3, 2], [0, 1, 2])


def test_work_of_a_straight_line():
    # Half of 1 times 2 MPa, over 1000 kg/m³, is 1 kJ/kg.
    assert rubber.loading_energy_J_kg([1, 2], [0, 2], 1000.0) == pytest.approx(1000.0)


@pytest.mark.parametrize(
    "word", ["allergy", "eyes", "in line", "hair", "frayed", "shield", "risk assessment"]
)
def test_cautions_are_plain_sentences_that_name_the_danger(word):
    assert any(word in sentence for sentence in rubber.CAUTIONS)
    assert all(sentence.endswith(".") for sentence in rubber.CAUTIONS)
