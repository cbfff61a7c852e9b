"""The lab of power steps: what shows at every power, and what comes with it."""

from __future__ import annotations

import importlib
import re
from collections.abc import Sequence
from typing import Any

import pytest

from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Flight, level_torque_mNm
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import bench
from trimkit.labs.bench import Reading

power = importlib.import_module("trimkit.labs.power")
PLANES = demo_aeroplanes()
TRAINER = PLANES[0]


@pytest.fixture(scope="module")
def parts() -> Any:
    """Flights are kept inside, so the tests share them."""
    return power._parts(TRAINER)


def read(parts: Any, **moved: float) -> Reading:
    sliders, reader = parts
    return reader({one.name: one.start for one in sliders} | moved)


@pytest.mark.parametrize("plane", PLANES, ids=lambda one: one.name)
def test_the_steps_have_their_torque(plane: Aeroplane) -> None:
    level = level_torque_mNm(plane)
    turns = power.turns_of_steps(plane)
    assert list(turns) == sorted(turns)
    for (_, times), each in zip(power.POWERS, turns, strict=False):
        torque = plane.setting.motor.winding_torque_mNm(each, power.HALL_C)
        assert torque == pytest.approx(times * level, rel=0.01)


def test_picture_and_words_say_the_same_flights(parts: Any) -> None:
    seen = read(parts, power_step=3.0)
    lines = re.findall(r"\w+ power, \d+ turns: \d+ s", seen.words)
    assert len(lines) == 2
    assert all(line in seen.still.text for line in lines)
    assert "change one" in seen.words


def test_more_power_comes_higher(parts: Any) -> None:
    tops = [float(one) for one in re.findall(r"top ([\d.]+) m", read(parts, power_step=3.0).words)]
    assert tops[0] < tops[1]


def test_a_change_of_the_shim_shows_at_both_powers(parts: Any) -> None:
    said = read(parts, power_step=3.0, shim_mm=TRAINER.setting.shim_mm - 1.6).words
    assert re.search(r"Always there: [^.]*nose lower", said)


def test_a_low_ceiling_is_touched_and_said(parts: Any) -> None:
    assert "touches the ceiling" in read(parts, power_step=3.0, ceiling_m=4.0).words


def test_low_power_alone_is_said(parts: Any) -> None:
    assert "Only low power is flown" in read(parts, power_step=1.0).words


def test_a_step_that_the_loop_cannot_give_is_refused(parts: Any) -> None:
    with pytest.raises(ValueError, match="more than this loop can give; allowed is 1 to"):
        read(parts, power_step=5.0)


def test_the_same_flight_is_flown_once(monkeypatch: pytest.MonkeyPatch) -> None:
    flown: list[Sequence[Any]] = []
    real = power.fly

    def counted(*given: Any, **named: Any) -> Flight:
        flown.append(given)
        return real(*given, **named)

    monkeypatch.setattr(power, "fly", counted)
    fly = power.flights()
    first = fly(TRAINER, 400, (40.0, 30.0, 8.0))
    assert fly(TRAINER, 400, (40.0, 30.0, 8.0)) is first
    fly(replace(TRAINER, shim_mm=TRAINER.setting.shim_mm + 0.4), 400, (40.0, 30.0, 8.0))
    assert len(flown) == 2


def test_a_thrust_line_is_told_from_an_angle_that_stays(parts: Any) -> None:
    setting = TRAINER.setting
    moved = {"shim_mm": setting.shim_mm - 1.6, "down_thrust_deg": setting.down_thrust_deg + 1}
    said = read(parts, power_step=2.0, **moved).words
    assert "The tail shim stays: it acts at every power." in said
    assert "The down thrust works with the pull: it fades as the power goes." in said
    assert "side thrust" not in said


def test_the_chosen_ceiling_is_in_picture_and_words(parts: Any) -> None:
    seen = read(parts, power_step=2.0, ceiling_m=9.0)
    assert "under a ceiling of 9.0 m" in seen.still.text
    free, top = re.search(r"([\d.]+) m free", seen.words), re.findall(r"top ([\d.]+)", seen.words)
    assert free
    assert float(free[1]) + float(top[-1]) == pytest.approx(9.0, abs=0.11)


def test_without_widgets_it_is_a_picture_and_words(monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[Any] = []
    monkeypatch.setattr(bench, "display", lambda what, **_: shown.append(what))
    monkeypatch.setattr("trimkit.lesson.session.display", lambda what, **_: shown.append(what))
    monkeypatch.setattr(bench, "widgets_work", lambda: False)
    power.power()
    assert len(shown) == 2
    assert shown[0]["image/png"]


def test_a_wall_that_is_hit_is_said() -> None:
    flight = power.fly(TRAINER, turns=1000, hall=power.Hall(size_m=(12.0, 4.0, 15.0)))
    first = next(event for event in flight.events if event.what == "hit a wall")
    assert f"it hits a wall at {first.time_s:.0f} s" in power.Step("low", flight, ()).words()
