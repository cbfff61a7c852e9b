"""Symptoms that must come from the equations alone, each beside its physical cause."""

from __future__ import annotations

import dataclasses
from typing import Any

import numpy as np
import pytest

from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Flight, Hall, Job, Launch, fly, fly_many
from trimkit.flight.equations import KNOT_TURNS, knots
from trimkit.flight.hall import QUIET_HALL_M_S
from trimkit.units import Floats

HUGE = Hall((400.0, 400.0, 100.0))


def built(aeroplane: Aeroplane, part: str, **changes: float) -> Aeroplane:
    made: Any = dataclasses.replace(getattr(aeroplane.build, part), **changes)
    return dataclasses.replace(
        aeroplane, build=dataclasses.replace(aeroplane.build, **{part: made})
    )


def unequal(aeroplane: Aeroplane, difference_deg: float) -> Aeroplane:
    """One blade flatter, the other steeper, by half of the difference each."""
    given = aeroplane.setting.propeller
    blade = dataclasses.replace(
        given,
        blade_angles_deg=tuple(angle - difference_deg / 2 for angle in given.blade_angles_deg),
        second_blade_deg=difference_deg,
    )
    return replace(aeroplane, propeller=blade)


def middle(found: Flight) -> slice:
    """The second and third quarter of a flight."""
    return slice(len(found.time_s) // 4, 3 * len(found.time_s) // 4)


def quick(values: Floats, found: Flight, window_s: float = 1.0) -> float:
    """Root mean square of what is quicker than a window [unit of the values]."""
    window = round(window_s / (found.time_s[1] - found.time_s[0]))
    slow = np.convolve(values, np.ones(window) / window, "same")
    return float(np.std((values - slow)[middle(found)]))


def rock_deg(found: Flight) -> Floats:
    return np.asarray(np.degrees(found.joints_rad[:, 2]))


def test_knots_take_nothing_and_give_nothing() -> None:
    places = np.linspace(0.0, KNOT_TURNS, 101)[:-1]
    shares = np.array([knots(100.0 + place) for place in places])
    assert abs(shares.mean()) < 1e-12
    assert 0.1 < shares.std() < 0.2
    assert knots(7.3) == pytest.approx(knots(7.3 + KNOT_TURNS), abs=1e-12)


@pytest.mark.parametrize("turns", [750, 1157])
def test_a_tired_saddle_rocks_and_the_nose_keeps_still(trainer: Aeroplane, turns: float) -> None:
    """Soft bands with little damping answer the uneven torque of the rubber's knots."""
    firm, half, tired = (
        fly(built(trainer, "wing", saddle_slack=slack), turns=turns, hall=HUGE)
        for slack in (0.0, 0.5, 1.0)
    )
    rocks = [quick(rock_deg(found), found) for found in (firm, half, tired)]
    assert rocks[2] > 1.5
    assert rocks[2] > 2 * rocks[1] > 10 * rocks[0]
    # at the rate of the rocking, over twice a second; more slowly the body wallows
    assert quick(tired.pitch_deg, tired, 0.4) < 0.2 * quick(rock_deg(tired), tired, 0.4)


def test_the_motor_holds_a_tired_wing_against_one_side(trainer: Aeroplane) -> None:
    """The torque that turns the stick to the left goes through the saddle: the wing leans."""
    tired = fly(built(trainer, "wing", saddle_slack=1.0), turns=750, hall=HUGE)
    still = fly(trainer, turns=750, hall=HUGE)
    assert rock_deg(tired)[middle(tired)].mean() > 4.0
    assert 0.0 < rock_deg(still)[middle(still)].mean() < 1.0


@pytest.mark.parametrize("turns", [750, 1157])
def test_three_mm_out_of_track_cost_2_to_4_percent(trainer: Aeroplane, turns: float) -> None:
    base, split = (
        fly(built(trainer, "stick", propeller_track_mm=apart), turns=turns, hall=HUGE).duration_s
        for apart in (0.0, 3.0)
    )
    assert 0.02 < 1 - split / base < 0.04


def test_blades_in_two_discs_shake_the_nose_a_little(trainer: Aeroplane) -> None:
    """Their mass is out of line, but balanced across the shaft: less than 5 g mm of imbalance."""
    launch = Launch(turns=750, speed_m_s=2.4)
    shakes = [
        quick(found.rates_rad_s[:, 1], found)
        for found in (
            fly(built(trainer, "stick", **{name: size}), launch=launch, hall=HUGE, longest_s=8.0)
            for name, size in (
                ("propeller_track_mm", 0.0),
                ("propeller_track_mm", 3.0),
                ("propeller_imbalance_g_mm", 5.0),
            )
        )
    ]
    assert 1.2 * shakes[0] < shakes[1] < shakes[2]


@pytest.mark.parametrize("turns", [750, 1157])
def test_unequal_blades_lose_time_and_shake_the_nose(trainer: Aeroplane, turns: float) -> None:
    smooth, six, ten = (
        fly(unequal(trainer, difference), turns=turns, hall=HUGE) for difference in (0.0, 6.0, 10.0)
    )
    assert 0.03 < 1 - six.duration_s / smooth.duration_s < 0.12
    assert 0.1 < 1 - ten.duration_s / smooth.duration_s < 0.3
    for axis in (1, 2):
        assert quick(six.rates_rad_s[:, axis], six) > 2 * quick(smooth.rates_rad_s[:, axis], smooth)


def scatter(aeroplane: Aeroplane, turns: float, restless_m_s: float) -> float:
    """Standard deviation of ten repeats over their mean."""
    hall = dataclasses.replace(HUGE, restless_m_s=restless_m_s)
    launch = Launch(turns=turns, scatter=1.0)
    jobs = [Job(aeroplane=aeroplane, launch=launch, hall=hall, seed=seed) for seed in range(10)]
    times = [found.duration_s for found in fly_many(jobs) if isinstance(found, Flight)]
    assert len(times) == 10
    return float(np.std(times, ddof=1) / np.mean(times))


def test_repeats_scatter_by_5_to_10_percent_in_a_quiet_hall(trainer: Aeroplane) -> None:
    assert 0.05 < scatter(trainer, 1157, QUIET_HALL_M_S) < 0.10
    assert scatter(trainer, 1157, 0.0) < 0.015  # a practised hand alone


# Left wash-out from the trainer's 1.4° of wash-in. Common practice, no source: 85 s, 60 s and a
# spiral dive in 5 s for 1, 2 and 3° at 1157 turns. Here 93, 87 and 80 s, and the dive in 6 s comes
# with 4° at 1326 turns: milder. A larger fin gives the trade's figures and takes away the stall
# that comes with power, so the trainer's fin is a compromise.
def test_left_wash_out_grows_into_a_spiral_dive(trainer: Aeroplane) -> None:
    def washed(wash_out_deg: float, turns: float) -> Flight:
        angle = trainer.setting.left_wash_in_deg - wash_out_deg
        return fly(replace(trainer, left_wash_in_deg=angle), turns=turns, hall=HUGE)

    flights = [washed(wash_out, 1157) for wash_out in (0.0, 1.0, 2.0, 3.0, 4.0)]
    times = [found.duration_s for found in flights]
    assert times == sorted(times, reverse=True)
    assert times[3] < 0.87 * times[0]
    assert washed(4.0, 1326).duration_s < 8  # sudden with power
    assert washed(4.0, 750).duration_s > 15
    banks = [float(np.mean(found.roll_deg[middle(found)])) for found in flights]
    assert banks == sorted(banks, reverse=True)


def test_a_larger_fin_turns_the_nose_into_a_slip(trainer: Aeroplane) -> None:
    """A small fin lets the aeroplane slip instead, and left wash-out then does next to nothing."""
    angle = trainer.setting.left_wash_in_deg - 3.0
    losses = []
    for area, span, height in ((3800.0, 70.0, 35.0), (4350.0, 75.0, 37.0), (5600.0, 85.0, 42.0)):
        made = built(trainer, "fin", area_mm2=area, span_mm=span, height_mm=height)
        warped = fly(replace(made, left_wash_in_deg=angle), turns=1157, hall=HUGE)
        losses.append(1 - warped.duration_s / fly(made, turns=1157, hall=HUGE).duration_s)
    assert losses == sorted(losses)
    assert losses[2] > 0.9 > 0.3 > losses[0]
