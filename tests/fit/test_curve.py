"""A motor's curve from torque readings: intervals at their rate, slips named, no extrapolation."""

from __future__ import annotations

import dataclasses
from collections import Counter
from dataclasses import replace

import pytest
from scipy.stats import binom

from tests.studies import recovery
from trimkit import fit, places, rules
from trimkit.fit.curve import CONFIDENCE
from trimkit.motor import RubberMotor

DEMO = places.demo_folder() / "torque"
COUNT = 60


def exact(true: RubberMotor, most: int = 1150) -> list[fit.TorqueReading]:
    """Readings without error, up and down."""
    up = [
        fit.TorqueReading(n, "1", n, true.winding_torque_mNm(n), n) for n in range(150, most, 100)
    ]
    top = up[-1].turns
    down = [
        fit.TorqueReading(n, "1", n, true.unwinding_torque_mNm(n, top), top)
        for n in range(top - 150, 200, -200)
    ]
    return up + down


def test_readings_without_error_give_the_loop_back() -> None:
    true = replace(recovery.MEASURED, batch_strength=0.93, lubrication=0.7)
    found = fit.fit_curve(exact(true), recovery.MEASURED)
    assert found.strength.value == pytest.approx(0.93, abs=2e-3)
    assert found.section_mm2.value == pytest.approx(true.section_mm2, rel=2e-3)
    assert found.lubrication.value == pytest.approx(0.7, abs=0.01)
    assert found.left_out == ()
    made = found.motor
    for turns in (300, 800):
        assert made.winding_torque_mNm(turns) == pytest.approx(
            true.winding_torque_mNm(turns), rel=2e-3
        )
    assert made.mass_g == pytest.approx(true.mass_g)


def test_ninety_per_cent_intervals_hold_the_truth_nine_times_in_ten() -> None:
    held = Counter(
        name for seed in range(COUNT) for name, yes in recovery.motor_held(seed).items() if yes
    )
    low, high = binom.interval(0.999, COUNT, CONFIDENCE)  # exact, by the binomial law
    assert set(held) == {"section", "strength", "lubrication", "torque"}
    for name, count in held.items():
        assert low <= count <= high, f"{name}: {count} of {COUNT}"


def test_a_knocked_meter_is_named_and_changes_little() -> None:
    _true, readings = recovery.torque_readings(3)
    before = fit.fit_curve(readings, recovery.MEASURED)
    knocked = [
        dataclasses.replace(one, torque_mNm=1.35 * one.torque_mNm) if place == 4 else one
        for place, one in enumerate(readings)
    ]
    found = fit.fit_curve(knocked, recovery.MEASURED)
    assert [one.line for one in found.left_out] == [readings[4].line]
    assert f"line {readings[4].line}" in found.words()
    assert found.strength.value == pytest.approx(before.strength.value, rel=0.03)


def test_nothing_is_said_beyond_the_readings() -> None:
    found = fit.fit_curve(exact(recovery.MEASURED, 850), recovery.MEASURED)
    inside = found.torque_mNm(found.to_turns)
    assert inside.low < inside.value < inside.high
    for turns, wound in ((found.to_turns + 1, None), (found.from_turns - 1, None), (500, 900)):
        with pytest.raises(ValueError, match=r"read from 150 to 750 turns.*Take readings there"):
            found.torque_mNm(turns, wound)


def test_too_few_too_many_turns_and_two_motors_in_one_table_are_refused() -> None:
    readings = exact(recovery.MEASURED)
    with pytest.raises(fit.TooFewError, match="has 4 readings; allowed is 5 or more"):
        fit.fit_curve(readings[:4], recovery.MEASURED)
    short = replace(recovery.MEASURED, loop_mm=recovery.MEASURED.loop_mm / 2)
    with pytest.raises(ValueError, match="is its length or mass mistyped"):
        fit.fit_curve(readings, short)
    factors = {2: 1.9, 5: 0.4, 8: 2.4, 10: 0.3, 12: 2.0}
    mixed = [
        dataclasses.replace(one, torque_mNm=one.torque_mNm * factors.get(place, 1.0))
        for place, one in enumerate(readings)
    ]
    with pytest.raises(ValueError, match="two motors mixed up"):
        fit.fit_curve(mixed, recovery.MEASURED)


def test_the_demo_readings_give_three_curves_and_one_slip() -> None:
    table = fit.read_torque(DEMO / "readings.csv")
    stock = {one.number: one for one in rules.read_motors(DEMO / "motors.toml")}
    assert table.motors == ("1", "2", "3") == tuple(stock)
    curves = {}
    for number in table.motors:
        loop = stock[number].rubber()
        assert loop is not None
        curves[number] = fit.fit_curve(table.of(number), loop)
    # the figures that the invented readings were made from
    for number, strength in (("1", 0.97), ("2", 1.05), ("3", 1.0)):
        held = curves[number].strength
        assert held.low <= strength <= held.high
    assert [one.turns for one in curves["2"].left_out] == [800]
    assert not curves["1"].left_out
    assert not curves["3"].left_out
    listed = curves["2"].in_stock(stock["2"])
    loop = listed.rubber()
    assert loop is not None
    assert loop.winding_torque_mNm(1000) == pytest.approx(curves["2"].torque_mNm(1000).value)
    assert loop.mass_g == pytest.approx(stock["2"].mass_g)
