"""The lab of the rubber: torque, back-off and what breaks, in the words of the bench."""

from __future__ import annotations

import importlib
import re

import pytest

from trimkit.flight import turns_for
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import bench

winding = importlib.import_module("trimkit.labs.winding")
PLANES = demo_aeroplanes()
TRAINER = PLANES[0]
RUBBER = TRAINER.setting.motor


def read(aeroplane=TRAINER, **moved):
    values = {one.name: one.start for one in winding._sliders(aeroplane.setting.motor)}
    return winding._reader(aeroplane)(values | moved)


def launch(**moved):
    return float(re.search(r"turns and ([\d.]+) mN m", read(**moved).words).group(1))


@pytest.mark.parametrize("aeroplane", PLANES, ids=lambda one: one.name)
def test_picture_and_words_say_the_same_launch(aeroplane):
    found = read(aeroplane)
    said = re.search(r"At the launch: (\d+) turns and ([\d.]+) mN m", found.words)
    assert f"At the launch there are {said.group(1)} turns and {said.group(2)} mN m" in (
        found.still.text
    )


def test_backing_off_lowers_the_torque_and_keeps_more_turns_than_winding_to_it():
    found = read(turns=900, backed_off=60).words
    assert launch(turns=900, backed_off=60) < launch(turns=900)
    top, now, same, fewer = (
        float(one)
        for one in re.search(
            r"from ([\d.]+) down to ([\d.]+) mN m.*hold (\d+) turns: (\d+) fewer", found
        ).groups()
    )
    assert RUBBER.winding_torque_mNm(same, 20) == pytest.approx(now, abs=0.06)
    assert RUBBER.winding_torque_mNm(900, 20) == pytest.approx(top, abs=0.06)
    assert fewer == pytest.approx(840 - same, abs=1)


def test_a_longer_loop_takes_more_turns_and_a_wider_strip_pulls_harder():
    long = winding.loop(RUBBER, {"loop_mm": 1.2 * RUBBER.loop_mm,
                                 "strip_width_mm": RUBBER.strip_width_mm})  # fmt: skip
    wide = winding.loop(RUBBER, {"loop_mm": RUBBER.loop_mm,
                                 "strip_width_mm": 1.2 * RUBBER.strip_width_mm})  # fmt: skip
    assert long.max_turns() > RUBBER.max_turns() > wide.max_turns()
    assert launch(strip_width_mm=1.2 * RUBBER.strip_width_mm, turns=800) > launch(turns=800)


def test_cold_rubber_gives_less():
    assert launch(temperature_c=5) < launch(temperature_c=25)


def test_too_many_turns_are_refused_with_what_is_allowed():
    with pytest.raises(ValueError, match=r"may break at \d+ turns, so 2300 are too many; allowed"):
        read(turns=2300)


@pytest.mark.parametrize(
    ("turns", "said"), [(300, "sinks from the hand"), (700, "low-power"), (1000, "it climbs"),
                        (1440, "steep, wild")],
)  # fmt: skip
def test_the_torque_is_told_against_level_flight(turns, said):
    assert said in read(turns=turns).words


def test_eyes_are_always_warned():
    assert winding.CAUTION in read().words


def test_more_backed_off_than_wound_is_refused():
    with pytest.raises(ValueError, match="250 turns cannot be backed off from 200"):
        read(turns=200, backed_off=250)


def test_turns_left_to_the_most_are_counted():
    found = re.search(r"may break it: (\d+) fewer", read(turns=900).words)
    assert float(found[1]) == pytest.approx(RUBBER.max_turns(20) - 900, abs=0.51)


@pytest.mark.parametrize("aeroplane", PLANES, ids=lambda one: one.name)
def test_twice_the_level_torque_is_said(aeroplane):
    turns = turns_for(aeroplane, 2.0, 20)
    assert "That is twice the torque of level flight" in read(aeroplane, turns=turns).words


def test_the_unwinding_branch_gives_less_than_was_put_in():
    assert launch(turns=1000, backed_off=100) < RUBBER.winding_torque_mNm(900, 20)
    lost = [
        float(re.search(r"put in, (\d+)%", read(temperature_c=at).words)[1]) for at in (5, 20, 30)
    ]
    assert lost[0] > lost[1] > lost[2] > 0


def test_without_widgets_it_is_a_picture_and_words(monkeypatch):
    shown = []
    monkeypatch.setattr(bench, "display", lambda what, **_: shown.append(what))
    monkeypatch.setattr("trimkit.lesson.session.display", lambda what, **_: shown.append(what))
    monkeypatch.setattr(bench, "widgets_work", lambda: False)
    winding.winding()
    assert len(shown) == 2
    assert shown[0]["image/png"]
