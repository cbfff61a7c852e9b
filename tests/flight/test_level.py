"""The torque of level flight in a circle, and the turns that give multiples of it."""

from __future__ import annotations

import pytest

from tests.flight.planes import NAMES, demo, mirrored
from trimkit import trim
from trimkit.aeroplane import replace
from trimkit.flight import Hall, level_torque_mNm, steady, turns_for


@pytest.mark.parametrize("name", NAMES)
def test_at_that_torque_the_steady_circle_neither_climbs_nor_sinks(name: str) -> None:
    aeroplane = demo(name)
    found = steady(aeroplane, turns_for(aeroplane, 1.0))
    assert found.climb_m_s == pytest.approx(0.0, abs=1e-4)
    assert found.torque_mNm == pytest.approx(level_torque_mNm(aeroplane), rel=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_a_circle_needs_more_than_a_straight_line(name: str) -> None:
    # sticks, posts, bank and stream are in the one and not in the other
    aeroplane = demo(name)
    assert 1.05 < level_torque_mNm(aeroplane) / trim.level(aeroplane).torque_mNm < 1.35


def test_the_trainers_torque_is_that_of_common_practice() -> None:
    # .30 to .33 oz in for 12 g, and 400, 750, 1157 and 1326 turns for .83, 1.25, 2 and 2.6 times
    # it: common practice, no source
    trainer = demo(NAMES[0])
    assert 0.29 < level_torque_mNm(trainer) / 7.0616 < 0.34
    for ratio, turns in ((0.83, 400), (1.25, 750), (2.0, 1157), (2.6, 1326)):
        assert turns_for(trainer, ratio) == pytest.approx(turns, rel=0.08)


def test_mirrored_it_needs_the_same() -> None:
    trainer = demo(NAMES[0])
    assert level_torque_mNm(mirrored(trainer)) == pytest.approx(level_torque_mNm(trainer), rel=1e-6)


@pytest.mark.parametrize("ratio", [0.5, 1.25, 2.0, 2.4])
def test_turns_give_the_torque_they_were_asked_for(ratio: float) -> None:
    aeroplane = demo(NAMES[1])
    torque = aeroplane.setting.motor.winding_torque_mNm(turns_for(aeroplane, ratio), 20.0)
    assert torque == pytest.approx(ratio * level_torque_mNm(aeroplane), rel=1e-9)


def test_warm_rubber_wants_fewer_turns_and_warm_air_more_torque() -> None:
    aeroplane = demo(NAMES[2])
    assert turns_for(aeroplane, 2.0, 5.0) > turns_for(aeroplane, 2.0, 30.0)
    cold, warm = (level_torque_mNm(aeroplane, Hall(temperature_c=c)) for c in (5.0, 30.0))
    assert cold != pytest.approx(warm, rel=1e-4)


def test_what_cannot_be_is_said() -> None:
    aeroplane = demo(NAMES[0])
    with pytest.raises(ValueError, match="it is a ratio"):
        turns_for(aeroplane, 0.0)
    with pytest.raises(ValueError, match="the loop breaks there"):
        turns_for(aeroplane, 4.9)
    with pytest.raises(ValueError, match="no torque was found at which it holds its height"):
        level_torque_mNm(replace(aeroplane, shim_mm=-6.0))
