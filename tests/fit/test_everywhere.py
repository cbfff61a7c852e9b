"""A fitted aeroplane works where any other does: labs, replay, diagnosis, inspection, drawing."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

from trimkit import cli, diagnosis, drawing, flight, load_aeroplane, places
from trimkit.aeroplane import Aeroplane
from trimkit.inspection import inspect
from trimkit.labs import replay
from trimkit.log import Entry, Log, Result

FILE = places.demo_folder() / "fitted" / "hallfinch-46.toml"
LABS = ("beam", "blades", "circle", "low_power", "power", "ruler", "twist", "winding")


@pytest.fixture(scope="module")
def fitted() -> Aeroplane:
    return load_aeroplane(FILE)


def test_its_figures_are_not_those_of_the_ruler(fitted: Aeroplane) -> None:
    assert fitted.build.stick.drag_area_mm2 != 0
    assert "Fitted to 11 flights" in fitted.note


@pytest.mark.parametrize("name", LABS)
def test_every_lab_takes_it(name: str, fitted: Aeroplane) -> None:
    room = importlib.import_module(f"trimkit.labs.{name}")
    made = room.lab(fitted)
    assert made.values  # its sliders stand, and it was drawn once


def test_replay_and_drawing_and_inspection_take_it(
    fitted: Aeroplane, capsys: pytest.CaptureFixture[str]
) -> None:
    one = flight.fly(fitted, turns=900)
    assert one.duration_s > 20
    replay.show(one, fitted)
    assert "replay" in capsys.readouterr().out
    assert drawing.draw(fitted, "a4").text
    assert "mass ready to fly" in inspect(fitted).words()


def test_advice_takes_it(fitted: Aeroplane) -> None:
    seen = Result(features={"duration_s": 9.0, "peak_height_m": 1.8}, words="dives")
    log = Log((Entry(number=1, action="fly", turns=900, result=seen, date="2026-11-26"),))
    assert diagnosis.advise(log, fitted).words()


def test_more_drag_of_what_nobody_drew_shortens_the_flight(
    fitted: Aeroplane, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = FILE.read_text("utf-8")
    line = next(one for one in text.split("\n") if one.startswith("drag_area_mm2"))
    for area, name in ((0.0, "clean"), (600.0, "draggy")):
        (tmp_path / f"{name}.toml").write_text(text.replace(line, f"drag_area_mm2 = {area}"))
    times = [
        flight.fly(load_aeroplane(tmp_path / f"{name}.toml"), turns=1100).duration_s
        for name in ("clean", "draggy")
    ]
    assert times[1] < 0.9 * times[0]
    (tmp_path / "clean.toml").write_text(text.replace(line, "drag_area_mm2 = 9e9"))
    assert cli.main(["inspect", str(tmp_path / "clean.toml")]) == cli.BAD_INPUT
    assert "stick.drag_area_mm2" in capsys.readouterr().err
