"""The lab of balance: what slides and what is added moves the balance point as it should."""

from __future__ import annotations

import importlib
import re
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from trimkit import balance, labs, trim
from trimkit.aeroplane import Aeroplane, replace
from trimkit.figures.beam import MOST_NAMED, beam_view, beam_words
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import bench
from trimkit.labs.bench import Reading

beam = importlib.import_module("trimkit.labs.beam")
PLANES = demo_aeroplanes()
TRAINER = PLANES[0]
EVERY = pytest.mark.parametrize("plane", PLANES, ids=lambda one: one.name)


def start(plane: Aeroplane = TRAINER, **moved: float) -> dict[str, float]:
    return {one.name: one.start for one in beam._parts(plane)[0]} | moved


def read(plane: Aeroplane = TRAINER, **moved: float) -> Reading:
    return beam._parts(plane)[1](start(plane, **moved))


def changed(plane: Aeroplane = TRAINER, **moved: float) -> Aeroplane:
    return beam.as_set(plane, start(plane, **moved))


def margin(plane: Aeroplane = TRAINER, **moved: float) -> float:
    return balance.static_margin(changed(plane, **moved))


def number(pattern: str, text: str) -> float:
    found = re.search(pattern.replace("#", r"([+−]?[\d.]+)"), text)
    assert found, f"{pattern} is not in: {text}"
    return float(found[1].replace("−", "-"))


def test_nothing_is_changed_at_the_start() -> None:
    assert changed() == TRAINER
    assert "at the design's place on the wing" in read().words


@EVERY
def test_picture_and_words_say_the_same_numbers(plane: Aeroplane) -> None:
    moved = {"added_g": 0.5, "wing_station_mm": plane.setting.wing_station_mm - 4}
    seen, now = read(plane, **moved), changed(plane, **moved)
    for text in (seen.words, seen.still.text):
        assert number("# mm behind the wing's leading edge", text) == pytest.approx(
            balance.balance_point_mm(now), abs=0.05
        )
        assert number("[Ss]tatic margin:? (?:of )?# %", text) == pytest.approx(
            100 * balance.static_margin(now), abs=0.5
        )
    assert f"{balance.aeroplane_cg(now).mass_g:.2f} g" in seen.still.text
    assert number("neutral point is at # mm", seen.still.text) == pytest.approx(
        balance.neutral_point_mm(now), abs=0.05
    )
    assert number("decalage of #°", seen.words) == pytest.approx(
        trim.glide(now).decalage_deg, abs=0.05
    )


@EVERY
def test_the_picture_writes_what_its_words_say(plane: Aeroplane) -> None:
    picture = beam_view(plane)
    written = " ".join(text.get_text() for text in picture.figure.axes[0].texts)
    for part in balance.parts(plane):
        assert f"{part.name} {part.mass_g:.2f} g" in written
        assert f"{part.name}, {part.mass_g:.2f} g" in picture.text
    for said in ("balances at # mm", "neutral point at # mm", "static margin # %"):
        told = number(said.replace(" at", " (?:is )?at").replace("margin", "margin(?: of)?"),
                      picture.text)  # fmt: skip
        assert number(said, written) == told


@EVERY
def test_a_wing_slid_forward_balances_further_back_on_itself(plane: Aeroplane) -> None:
    place = plane.setting.wing_station_mm
    forward = changed(plane, wing_station_mm=place - 6)
    assert balance.balance_point_mm(forward) > balance.balance_point_mm(plane)
    assert margin(plane, wing_station_mm=place - 6) < margin(plane)
    assert margin(plane) < margin(plane, wing_station_mm=place + 6)


@EVERY
def test_weight_at_the_nose_adds_margin_and_at_the_tail_takes_it(plane: Aeroplane) -> None:
    tail = plane.build.tail.station_mm
    assert margin(plane, added_g=0.5, added_station_mm=0) > margin(plane)
    assert margin(plane, heavier_g=0.5) > margin(plane)
    assert margin(plane, added_g=0.5, added_station_mm=tail) < margin(plane)


def test_a_shim_turns_the_nose_and_moves_neither_point() -> None:
    flat, up = read(), read(shim_mm=1.0)
    assert margin(shim_mm=1.0) == margin()
    assert up.still.text == flat.still.text
    assert number("decalage of #°", up.words) > number("decalage of #°", flat.words)
    assert "the glide is good" in flat.words
    assert "the glide is a stall" in read(shim_mm=2.5).words
    assert "the glide is a dive" in read(shim_mm=-2.5).words


@EVERY
def test_a_heavier_propeller_is_made_good_by_the_slide_that_is_told(plane: Aeroplane) -> None:
    told = read(plane, heavier_g=0.5).words
    forward = number("wants the wing # mm further forward", told)
    assert forward == pytest.approx(number("slide the wing # mm forward", told), abs=0.11)
    place = number(r"forward, to #\d? mm", told.replace(". mm", " mm"))
    again = changed(plane, heavier_g=0.5, wing_station_mm=place)
    assert balance.cg_fraction(again) == pytest.approx(balance.cg_fraction(plane), abs=0.002)
    put = read(plane, heavier_g=0.5, wing_station_mm=place).words
    assert "It balances at the design's place" in put


@pytest.mark.parametrize(
    ("moved", "said"),
    [
        ({}, "comes back by itself"),
        ({"added_g": 1.5, "added_station_mm": 430}, "goes on and on"),
        ({"added_g": 1.0, "added_station_mm": 440}, "wanders up and down"),
        ({"heavier_g": 1.5, "wing_station_mm": 140}, "drops by itself"),
    ],
)
def test_the_margin_is_told_in_words(moved: dict[str, float], said: str) -> None:
    assert said in read(**moved).words


def test_what_is_added_comes_on_top_of_what_is_there() -> None:
    laden = replace(TRAINER, ballast_g=0.4, ballast_station_mm=300.0)
    heavier = changed(laden, added_g=0.2, added_station_mm=100.0)
    assert heavier.setting.ballast_g == pytest.approx(0.6)
    assert heavier.setting.ballast_station_mm == pytest.approx((0.4 * 300 + 0.2 * 100) / 0.6)


def test_a_wing_that_would_leave_the_stick_is_not_sent_there() -> None:
    small = PLANES[2]
    heavy = replace(small, ballast_g=5.0, ballast_station_mm=-60.0)
    place = balance.wing_station_for_cg_mm(heavy, balance.cg_fraction(small))
    assert place < 0
    assert "No place of the wing" in beam._back_in_place(heavy, balance.cg_fraction(small))


@EVERY
def test_every_slider_goes_to_its_ends_and_comes_back(plane: Aeroplane) -> None:
    made = bench.Lab(beam.TITLE, *beam._parts(plane), clock=lambda: 0.0)  # slow machines too
    for name, handle in made.handles.items():
        for end in (handle.min, handle.max):
            handle.value = end
            assert "Static margin" in made.words.value, name
        made.undo.click()
    assert made.values == start(plane)


def test_of_very_many_parts_the_lightest_are_drawn_as_one() -> None:
    crumbs = tuple(
        type(TRAINER.build.parts[0])(name=f"crumb {n}", mass_g=0.01, station_mm=100.0 + n)
        for n in range(9)
    )
    build = {name: getattr(TRAINER.build, name) for name in ("wing", "tail", "fin", "stick")}
    many = Aeroplane(
        name="many", build=type(TRAINER.build)(**build, parts=(*TRAINER.build.parts, *crumbs)),
        setting=TRAINER.setting,
    )  # fmt: skip
    text = beam_words(many)
    assert text.count(" g at ") == MOST_NAMED + 1
    assert "small parts, 0.08 g" in text


def test_the_projector_s_letters_are_large() -> None:
    picture = beam_view(TRAINER, projector=True)
    sizes = {text.get_fontsize() for text in picture.figure.axes[0].texts}
    assert min(sizes) >= 28
    assert picture.text == beam_view(TRAINER).text
    assert Image.open(BytesIO(picture.png(50))).size == (800, 450)


def test_without_an_aeroplane_it_is_the_demo_trainer_and_while_marking_no_widget(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shown: list[Any] = []
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    monkeypatch.setattr(bench, "display", lambda what, **_: shown.append(what))
    monkeypatch.setattr("trimkit.lesson.session.display", lambda what, **_: shown.append(what))
    labs.beam()
    assert shown[0]["text/plain"] == beam_words(TRAINER)
    assert "Static margin" in shown[1]["text/plain"]
