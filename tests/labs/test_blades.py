"""The lab of the propeller: pitch, a pair that does not match, mass, and how long turns last."""

from __future__ import annotations

import importlib
import re
from typing import Any

import pytest

from trimkit.aeroplane import Aeroplane
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import bench
from trimkit.labs.bench import Reading

blades = importlib.import_module("trimkit.labs.blades")
PLANES = demo_aeroplanes()
TRAINER = PLANES[0]


@pytest.fixture(scope="module")
def parts() -> Any:
    return blades._parts(TRAINER)


def read(parts: Any, **moved: float) -> Reading:
    sliders, reader = parts
    values = {one.name: one.start for one in sliders}
    return reader(values | {name: values[name] + by for name, by in moved.items()})


def revs(seen: Reading) -> float:
    found = re.search(r"mN m: ([\d.]+) turns a second and a pull", seen.words)
    assert found
    return float(found[1])


@pytest.mark.parametrize("plane", PLANES, ids=lambda one: one.name)
def test_picture_and_words_say_the_same_turns_a_second(plane: Aeroplane) -> None:
    seen = read(blades._parts(plane))
    assert f"{revs(seen):g}" in seen.still.text


def test_nothing_is_moved_at_the_start(parts: Any) -> None:
    said = read(parts).words
    assert "The pitch is the design's." in said
    assert "The blades match" in said


def test_higher_pitch_turns_slower_and_lower_faster(parts: Any) -> None:
    more, less = read(parts, angle_deg=4), read(parts, angle_deg=-4)
    assert revs(more) < revs(read(parts)) < revs(less)
    assert "Higher pitch turns slower" in more.words
    assert "Lower pitch turns faster" in less.words


def test_more_torque_turns_faster(parts: Any) -> None:
    assert revs(read(parts, torque_mNm=1.0)) > revs(read(parts))


def test_unequal_blades_shake_and_a_degree_is_a_match(parts: Any) -> None:
    assert "Unequal blades shake" in read(parts, difference_deg=5).words
    assert "that is a match" in read(parts, difference_deg=0.5).words


def test_a_heavier_propeller_moves_the_wing_forward(parts: Any) -> None:
    assert "mm forward: slide the wing" in read(parts, added_g=0.5).words


def test_too_little_torque_is_said(parts: Any) -> None:
    low = parts[0][3].low - parts[0][3].start
    assert "too little to hold the height" in read(parts, torque_mNm=low).words


def test_without_widgets_it_is_a_picture_and_words(monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[Any] = []
    monkeypatch.setattr(bench, "display", lambda what, **_: shown.append(what))
    monkeypatch.setattr("trimkit.lesson.session.display", lambda what, **_: shown.append(what))
    monkeypatch.setattr(bench, "widgets_work", lambda: False)
    blades.blades(TRAINER)
    assert len(shown) == 2
    assert shown[0]["image/png"]


@pytest.mark.parametrize("plane", PLANES, ids=lambda one: one.name)
def test_at_the_design_the_level_torque_is_the_one_of_flight(plane: Aeroplane) -> None:
    level = blades.level_flight(plane)
    motor, propeller = plane.setting.motor, plane.setting.propeller
    found = blades.work(propeller, 2 * level.torque_mNm, level, motor)
    assert found.level_torque_mNm == pytest.approx(level.torque_mNm, rel=0.01)
    assert found.thrust_mN > level.thrust_mN


def test_the_pulls_of_both_blades_make_the_pull_of_the_pair() -> None:
    pair = blades.turned(
        TRAINER.setting.propeller, {"angle_deg": 36.0, "difference_deg": 4.0, "added_g": 0.0}
    )
    first, second = blades.one_by_one_mN(pair, 2.5, 9.0)
    assert first + second == pytest.approx(1000 * pair.thrust_N(2.5, 9.0))
    assert second > first
    assert blades.gauge_deg(pair) == pytest.approx(34.0)


def test_every_slider_reaches_its_ends(parts: Any) -> None:
    for slider in parts[0]:
        for end in (slider.low, slider.high):
            assert "turns a second" in read(parts, **{slider.name: end - slider.start}).words
