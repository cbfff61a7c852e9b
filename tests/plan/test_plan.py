"""A plan keeps the ceiling, winds no further than read or safe, and tells its spread."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from scipy.stats import norm

from trimkit import aeroplane as records
from trimkit import fit, load_aeroplane, places, plan, rules
from trimkit.aeroplane import Aeroplane
from trimkit.plan import Outlook, Plan, Spread, Want
from trimkit.plan.planning import MOST_SHARE

MOTOR = rules.Motor(number="3", mass_g=2.05, loop_mm=432.0, strip_width_mm=2.3, strength_error=0.03)
FEW = 10


@pytest.fixture(scope="module")
def trainer() -> Aeroplane:
    return load_aeroplane(places.demo_folder() / "aeroplanes" / "hallfinch-46.toml")


@pytest.fixture(scope="module")
def low(trainer: Aeroplane) -> Plan:
    return plan.plan_flights(trainer, Want(height_m=6.0, flights=FEW), [MOTOR])


def test_the_ceiling_holds_the_turns_down_in_a_low_hall(trainer: Aeroplane, low: Plan) -> None:
    (one,) = low.outlooks
    assert one.held_by == "ceiling"
    assert one.touch_chance <= 0.10
    assert one.height_m.middle <= 5.5
    loop = MOTOR.rubber()
    assert loop is not None
    assert one.winding.share_of_max < 0.8
    after = loop.unwinding_torque_mNm(one.winding.turns_at_launch, one.winding.turns_on, 20.0)
    assert one.winding.launch_torque_mNm == pytest.approx(after)
    words = low.words()
    assert "Take motor 3." in words
    assert "go by the torque" in words
    assert "Fit it to your logbook first" in words
    assert words.count("\n- ") == len(one.if_it_differs())


def test_in_a_high_hall_breaking_or_the_readings_hold_it(trainer: Aeroplane) -> None:
    high = Want(height_m=30.0, flights=FEW)
    read = dataclasses.replace(MOTOR, number="4", read_from_turns=200, read_to_turns=900)
    found = plan.plan_flights(trainer, high, [MOTOR, read])
    held = {one.number: one for one in found.outlooks}
    assert held["3"].held_by == "breaking"
    assert held["3"].winding.share_of_max == pytest.approx(MOST_SHARE, abs=1e-3)
    assert held["4"].held_by == "readings"
    assert held["4"].winding.turns_on <= 900
    assert found.outlooks[0].number == "3"  # more turns, more time


def test_a_cold_hall_gives_less_time(trainer: Aeroplane, low: Plan) -> None:
    # rubber pulls because of heat: the same share of the turns is weaker in the cold
    warm = plan.plan_flights(trainer, Want(height_m=30.0, flights=FEW, temperature_c=24), [MOTOR])
    cold = plan.plan_flights(trainer, Want(height_m=30.0, flights=FEW, temperature_c=8), [MOTOR])
    assert cold.outlooks[0].winding.turns_on < warm.outlooks[0].winding.turns_on
    assert cold.outlooks[0].winding.launch_torque_mNm < warm.outlooks[0].winding.launch_torque_mNm


def test_a_motor_without_figures_and_a_wrong_trim_get_no_plan(trainer: Aeroplane) -> None:
    bare = rules.Motor(number="5")
    dives = records.replace(trainer, shim_mm=-5.0)
    found = plan.plan_flights(dives, Want(height_m=9.0, flights=FEW), [bare, MOTOR])
    assert not found.outlooks
    told = [one.words() for one in found.refused]
    assert "motor 5: its length or mass is not known" in told[0]
    assert "it dives or stalls. Trim it at low power first" in told[1]
    assert "No motor has a plan" in found.words()


def test_what_a_fit_does_not_know_widens_the_spread(trainer: Aeroplane, low: Plan) -> None:
    loose = np.diag([0.05, 0.5, 0.5, 0.05, 0.05])
    record = fit.FitRecord("Hallfinch 46", 9, 1.0, loose)
    found = plan.plan_flights(trainer, Want(height_m=9.0, flights=12), [MOTOR], record).outlooks[0]
    sure = plan.plan_flights(
        trainer,
        Want(height_m=9.0, flights=12),
        [dataclasses.replace(MOTOR, strength_error=0.0)],
        fit.FitRecord("Hallfinch 46", 9, 1.0, np.zeros((5, 5))),
    ).outlooks[0]
    assert found.time_s.high - found.time_s.low > sure.time_s.high - sure.time_s.low


def test_the_spread_holds_eight_in_ten() -> None:
    # quantiles of the normal law are known: the outer tenths lie 1.2816 deviations out
    values = norm.ppf((np.arange(20_000) + 0.5) / 20_000)
    found = Spread.of([float(one) for one in 50 + 10 * values])
    assert found.middle == pytest.approx(50, abs=0.01)
    assert found.high - found.middle == pytest.approx(12.816, abs=0.01)
    assert found.words("s") == "50 s, 8 in 10 from 37 to 63"


def test_from_few_flights_the_next_one_still_lies_inside_eight_times_in_ten() -> None:
    # order statistics: the next of any continuous law falls below the k-th of n in k/(n+1)
    chance = np.random.default_rng(8)
    rows = chance.standard_normal((4000, 25))
    inside = 0
    for row in rows:
        found = Spread.of([float(one) for one in row[:24]])
        inside += found.low <= row[24] <= found.high
    assert inside / len(rows) == pytest.approx(0.8, abs=0.025)  # four standard errors


def test_motors_that_nobody_can_tell_apart_are_named_and_a_worn_one_waits(low: Plan) -> None:
    (one,) = low.outlooks
    twin = dataclasses.replace(one, number="7")
    worn = dataclasses.replace(low, outlooks=(dataclasses.replace(one, winds=9), twin))
    assert "Motor 7 would do as well" in worn.choice()
    assert "wound 9 times" in worn.choice()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"height_m": 0.9}, "height_m is 0.9 m; allowed is 3 to 60"),
        ({"height_m": 3.0, "free_m": 2.0}, "no room to fly"),
        ({"height_m": 9.0, "touch_chance": 10.0}, "touch_chance is 10"),
        ({"height_m": math.nan}, "height_m"),
    ],
)
def test_a_hall_that_cannot_be_is_refused(changes: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Want(**changes)  # type: ignore[arg-type]


def test_the_plan_is_the_same_again(trainer: Aeroplane, low: Plan) -> None:
    again = plan.plan_flights(trainer, Want(height_m=6.0, flights=FEW), [MOTOR])
    assert again == low


def test_plain_data_says_the_same(low: Plan) -> None:
    data = low.as_data()
    one: Outlook = low.outlooks[0]
    assert data["motors"][0]["winding"]["turns_on"] == one.winding.turns_on
    assert data["choice"] == low.choice()
