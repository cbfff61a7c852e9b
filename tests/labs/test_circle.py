"""The lab of the circle: how wide it is, and whether the hall holds it."""

from __future__ import annotations

import importlib
import math
import re
from typing import Any

import numpy as np
import pytest

from trimkit import figures
from trimkit.flight import Flight, Hall, fly
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import Reading

lab = importlib.import_module("trimkit.labs.circle")
TRAINER = demo_aeroplanes()[0]


@pytest.fixture(scope="module")
def parts() -> Any:
    """Flights are kept inside, so the tests share them."""
    return lab._parts(TRAINER)


@pytest.fixture(scope="module")
def flown() -> Flight:
    return fly(TRAINER, turns=784, hall=Hall(size_m=(60.0, 60.0, 15.0)), longest_s=20.0)


def read(parts: Any, **moved: float) -> Reading:
    sliders, reader = parts
    return reader({one.name: one.start for one in sliders} | moved)


def test_less_fin_makes_a_wider_circle_and_more_a_quicker(parts: Any) -> None:
    start = TRAINER.setting.fin_deg
    roomy = {"length_m": 60.0, "width_m": 60.0}
    assert "wider, from 9.1 m" in read(parts, fin_deg=start - 1.5, **roomy).words
    once = [
        float(re.search(r"once in (\d+) s", read(parts, fin_deg=start + more, **roomy).words)[1])
        for more in (-1.5, 0.0, 1.5)
    ]
    assert once == sorted(once, reverse=True)  # it dives then, so that its circle stays as wide


def test_the_size_of_the_circle_fits_speed_and_turn_rate(flown: Flight) -> None:
    """A steady circle: its diameter is twice the speed over the rate of turn."""
    rows = flown.time_s < 12
    turn = abs(np.polyfit(flown.time_s[rows], np.unwrap(np.radians(flown.heading_deg[rows])), 1)[0])
    across = 2 * float(flown.speed_m_s[rows].mean()) / turn
    assert figures.across_m(flown) == pytest.approx(across, rel=0.1)


def test_a_path_without_a_whole_circle_has_no_size() -> None:
    short = fly(TRAINER, turns=784, longest_s=3.0)
    assert math.isinf(figures.across_m(short))


def test_a_narrow_hall_is_met_and_said(parts: Any) -> None:
    seen = read(parts, width_m=12.0, right_m=1.0)
    assert "meets a wall after" in seen.words
    assert "meets a wall after" in seen.still.text


def test_the_place_of_the_launch_decides(parts: Any) -> None:
    assert "free to the nearest wall" in read(parts).words
    assert "meets a wall" in read(parts, right_m=-5.0).words


def test_standing_in_the_wall_is_refused(parts: Any) -> None:
    with pytest.raises(ValueError, match="9 m from the middle of a hall 18 m wide"):
        read(parts, right_m=9.0)


def test_two_changes_are_asked_about(parts: Any) -> None:
    said = read(parts, fin_deg=2.5, tail_tilt_deg=0.0).words
    assert "fin and tail tilt: which of them did it?" in said


def test_a_hall_in_feet_or_too_many_flights_are_refused(flown: Flight) -> None:
    with pytest.raises(ValueError, match="are they in feet"):
        figures.circle_view({"one": flown}, (1000.0, 20.0))
    with pytest.raises(ValueError, match="3 flights are given; allowed is 1 or 2"):
        figures.circle_view(dict.fromkeys("abc", flown), (40.0, 30.0))
    wide = figures.circle_view({"one": flown}, (40.0, 30.0), projector=True)
    assert "to the left, meets no wall" in wide.text
