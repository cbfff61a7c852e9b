"""What a student may change: names, sizes, words."""

from __future__ import annotations

import dataclasses

import pytest

from tests.flight.planes import NAMES, demo
from trimkit.aeroplane import Setting
from trimkit.settings import SETTINGS, Change, changed, other_motor
from trimkit.units import quantities


def test_every_number_that_a_hand_may_move_is_described_once() -> None:
    known = set(quantities(Setting)) - {"ballast_station_mm"}
    assert set(SETTINGS) == known | {"turns"}


@pytest.mark.parametrize("adjustment", SETTINGS.values(), ids=list(SETTINGS))
def test_an_adjustment_is_a_small_step_within_a_usual_one(adjustment: object) -> None:
    one = dataclasses.asdict(adjustment)  # type: ignore[call-overload]
    assert 0 < one["step"] < one["usual"]
    assert one["minutes"] > 0
    assert all(one[words] for words in ("title", "unit", "more", "less", "does"))


@pytest.mark.parametrize("name", NAMES)
def test_a_change_moves_only_what_it_names(name: str) -> None:
    before = demo(name)
    for one in SETTINGS.values():
        if one.name == "turns":
            continue
        after = changed(before, Change({one.name: one.step}))
        moved = {
            field.name
            for field in dataclasses.fields(Setting)
            if getattr(after.setting, field.name) != getattr(before.setting, field.name)
        }
        assert moved == {one.name}
        back = changed(after, Change({one.name: -one.step}))
        assert getattr(back.setting, one.name) == pytest.approx(
            getattr(before.setting, one.name), abs=1e-12
        )


def test_turns_are_left_to_the_launch() -> None:
    assert changed(demo(NAMES[0]), Change({"turns": 100})) == demo(NAMES[0])


def test_a_change_is_said_as_a_hand_does_it() -> None:
    words = Change({"shim_mm": 0.8, "wing_station_mm": -5.0}).words()
    assert words == "lift the tail's trailing edge by 0.8 mm; slide the wing forward by 5 mm"
    assert Change().words() == "nothing changed"


def test_an_unknown_setting_and_one_out_of_range_are_refused_with_what_is_allowed() -> None:
    with pytest.raises(ValueError, match=r"rudder is not a setting.*fin_deg"):
        Change({"rudder": 1.0})
    with pytest.raises(ValueError, match=r"tail shim would be 80 mm; allowed is -6 to 6;"):
        changed(demo(NAMES[0]), Change({"shim_mm": 80.0}))


@pytest.mark.parametrize("share", [0.8, 1.25])
def test_another_loop_has_the_same_mass(share: float) -> None:
    before = demo(NAMES[0]).setting.motor
    after = other_motor(demo(NAMES[0]), share).setting.motor
    assert after.mass_g == pytest.approx(before.mass_g, rel=1e-12)
    assert after.section_mm2 == pytest.approx(share * before.section_mm2, rel=1e-12)
    # common practice: turns go as length over the root of the section
    assert after.max_turns() == pytest.approx(before.max_turns() * share**-1.5, rel=1e-9)


def test_a_share_in_percent_is_refused() -> None:
    with pytest.raises(ValueError, match="in percent"):
        other_motor(demo(NAMES[0]), 110)
