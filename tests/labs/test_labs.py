"""Labs: sliders that follow each other, a picture that keeps up, and words for everyone."""

from __future__ import annotations

import asyncio
import base64
import gc
import importlib
import re
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from tests.aeroplanes import trainer
from trimkit import balance, figures, labs, trim
from trimkit.aeroplane import Aeroplane, replace
from trimkit.figures import Still
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import bench
from trimkit.labs.bench import Lab, Reading, Slider

ruler = importlib.import_module("trimkit.labs.ruler")
low_power = importlib.import_module("trimkit.labs.low_power")

Shown = list[tuple[Any, dict[str, Any]]]


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> Shown:
    """What would reach the notebook, from pictures and from sentences."""
    found: Shown = []

    def keep(what: Any, **options: Any) -> None:
        found.append((what, options))

    monkeypatch.setattr(bench, "display", keep)
    monkeypatch.setattr("trimkit.lesson.session.display", keep)
    return found


class Clock:
    """A clock that a test moves."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def _slider(name: str, start: float = 0.0) -> Slider:
    return Slider(
        name=name,
        label=name.title(),
        unit="mm",
        low=-5.0,
        high=5.0,
        step=0.5,
        start=start,
        meaning=f"More {name}.",
    )


def _echo(values: Any) -> Reading:
    if values["one"] > 4:
        raise ValueError("one is too steep")
    said = f"one {values['one']:g}, two {values['two']:g}"
    return Reading(Still(b"dots " + said.encode(), said), said)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def lab(clock: Clock) -> Lab:
    return Lab("A lab", [_slider("one"), _slider("two", 1.0)], _echo, clock)


def test_words_follow_a_slider(lab: Lab) -> None:
    lab.handles["one"].value = -1.0
    assert "one -1, two 1" in lab.words.value


def test_a_slider_s_binary_dust_is_taken_off(lab: Lab) -> None:
    lab.handles["one"].value = 0.7999999999999998
    assert lab.handles["one"].value == 0.8
    assert lab.values["one"] == 0.8


def test_a_handle_cannot_leave_the_range(lab: Lab) -> None:
    lab.handles["two"].value = 99.0
    assert lab.values["two"] == 5.0


def test_picture_and_words_are_said_for_everyone(lab: Lab) -> None:
    lab.handles["two"].value = 2.0
    assert 'alt="one 0, two 2"' in lab.image.value
    assert 'role="status"' in lab.words.value
    assert 'aria-live="polite"' in lab.words.value


def test_every_handle_has_a_label_with_its_unit_and_says_what_it_does(lab: Lab) -> None:
    one = lab.handles["one"]
    assert (one.label, one.unit, one.meaning) == ("One", "mm", "More one.")


def test_undo_takes_back_a_whole_move(lab: Lab, clock: Clock) -> None:
    for value in (0.5, 1.0, 1.5):
        lab.handles["one"].value = value
        clock.now += 0.2
    lab.undo.click()
    assert lab.values == {"one": 0.0, "two": 1.0}
    assert lab.undo.disabled


def test_a_pause_or_another_slider_begins_a_new_change(lab: Lab, clock: Clock) -> None:
    lab.handles["one"].value = 1.0
    clock.now += 3.0
    lab.handles["one"].value = 2.0
    lab.handles["two"].value = 3.0
    lab.undo.click()
    assert lab.values == {"one": 2.0, "two": 1.0}
    lab.undo.click()
    assert lab.values == {"one": 1.0, "two": 1.0}


def test_back_to_the_design_setting_draws_once_and_can_be_undone(lab: Lab) -> None:
    lab.set(one=2.0, two=-3.0)
    before = lab.drawn
    lab.back.click()
    assert lab.values == {"one": 0.0, "two": 1.0}
    assert lab.drawn == before + 1
    lab.undo.click()
    assert lab.values == {"one": 2.0, "two": -3.0}
    assert "one 2, two -3" in lab.words.value


def test_what_cannot_be_set_is_said_and_the_picture_stays(lab: Lab) -> None:
    before = lab.image.value
    lab.handles["one"].value = 4.5
    assert "one is too steep" in lab.words.value
    assert "still the last one" in lab.words.value
    assert lab.image.value == before
    lab.handles["one"].value = 1.0
    assert "too steep" not in lab.words.value


def test_drawings_do_not_queue_and_the_last_position_wins(clock: Clock) -> None:
    seen: list[float] = []

    def read(values: Any) -> Reading:
        seen.append(values["one"])
        return _echo(values)

    async def drag() -> Lab:
        lab = Lab("A lab", [_slider("one"), _slider("two")], read, clock)
        for step in range(1, 9):
            lab.handles["one"].value = step / 2 - 0.5
        assert seen == [0.0]
        await asyncio.sleep(3 * bench.WAIT_S)
        lab.handles["one"].value = 4.0
        await asyncio.sleep(3 * bench.WAIT_S)
        return lab

    lab = asyncio.run(drag())
    assert seen == [0.0, 3.5, 4.0]
    assert "one 4, two 0" in lab.words.value


def test_words_from_outside_cannot_become_markup() -> None:
    tag = bench.image_tag(b"x", 'a "name" <b>')
    assert "<b>" not in tag
    assert "&quot;name&quot;" in tag


@pytest.mark.parametrize("slip", [{"start": 9.0}, {"step": 0.0}, {"step": 20.0}])
def test_a_slider_that_cannot_work_is_refused(slip: dict[str, float]) -> None:
    fields = {"low": -5.0, "high": 5.0, "step": 0.5, "start": 0.0, **slip}
    with pytest.raises(ValueError, match="must lie in"):
        Slider(name="one", label="One", unit="mm", meaning="More.", **fields)


def test_show_carries_the_words_three_ways(shown: Shown) -> None:
    picture = figures.ruler_view(31, 26, 90)
    labs.show(picture)
    (bundle, options), *more = shown
    assert not more
    assert options["raw"] is True
    assert options["metadata"]["image/png"]["alt"] == picture.text
    assert bundle["text/plain"] == picture.text
    assert f'alt="{picture.text}"' in bundle["text/html"]
    assert bundle["text/html"].count(picture.text) == 2
    assert Image.open(BytesIO(base64.b64decode(bundle["image/png"]))).size == (960, 500)


def _dots(made: Lab) -> Image.Image:
    found = re.search(r'base64,([^"]+)"', made.image.value)
    assert found
    return Image.open(BytesIO(base64.b64decode(found[1])))


def test_the_ruler_lab_starts_at_its_readings() -> None:
    made = ruler.lab()
    assert "Wing +4.0°, tail +3.1°. Decalage, wing minus tail: +1.0°. No shim." in made.words.value
    assert _dots(made).size == (768, 400)


def test_a_shim_in_the_ruler_lab_adds_its_angle() -> None:
    made = ruler.lab()
    made.handles["shim_mm"].value = 0.8
    assert "Decalage, wing minus tail: +2.0°" in made.words.value
    assert "adds 1.0°; without it the decalage is +1.0°" in made.words.value
    made.handles["shim_mm"].value = -0.8
    assert "takes away 1.0°" in made.words.value


def test_raising_the_tail_s_trailing_edge_adds_decalage() -> None:
    made = ruler.lab()
    made.handles["tail_trailing_mm"].value += 2.0
    assert "Decalage, wing minus tail: +2.5°" in made.words.value


@pytest.mark.parametrize("shim_mm", [0.0, 0.85, -2.0])
def test_the_ruler_lab_takes_any_aeroplane(shim_mm: float) -> None:
    plane = replace(trainer(), shim_mm=shim_mm)
    made = ruler.lab(plane)
    said = re.search(r"minus tail: ([+−]?[\d.]+)°", made.words.value)
    assert said
    wanted = balance_free_decalage(plane)
    assert float(said[1].replace("−", "-")) == pytest.approx(wanted, abs=0.6)  # half a mm an edge


def balance_free_decalage(plane: Aeroplane) -> float:
    """Decalage from the records alone, small angles."""
    tail = plane.build.tail
    shim_deg = plane.setting.shim_mm / tail.socket_mm * 57.2958
    return plane.build.wing.incidence_deg - tail.incidence_deg + shim_deg


def test_every_ruler_slider_goes_to_its_ends() -> None:
    made = ruler.lab()
    for handle in made.handles.values():
        for end in (handle.min, handle.max):
            handle.value = end
            assert "Decalage" in made.words.value or "steeper than" in made.words.value
        made.back.click()


def test_the_low_power_lab_says_the_verdict_of_the_bench() -> None:
    plane = trainer()
    made = low_power.lab(plane)
    assert trim.glide(plane).words() in made.words.value.replace("&#x27;", "'")
    made.handles["shim_mm"].value = -2.0
    assert "It dives." in made.words.value
    assert "it dives" in made.image.value
    assert "Design: the trim is good" in made.image.value


def test_nose_ballast_comes_on_top_of_what_is_there() -> None:
    plane = replace(trainer(), ballast_g=0.4, ballast_station_mm=300.0)
    values = {"shim_mm": 0.0, "wing_station_mm": 118.6, "nose_ballast_g": 0.2}
    heavier = low_power.as_set(plane, values)
    before, after = balance.aeroplane_cg(plane), balance.aeroplane_cg(heavier)
    assert after.mass_g == pytest.approx(before.mass_g + 0.2)
    moment = before.mass_g * before.station_mm + 0.2 * low_power.NOSE_STATION_MM
    assert after.station_mm == pytest.approx(moment / after.mass_g)
    assert low_power.as_set(plane, {**values, "nose_ballast_g": 0.0}) == plane


def test_compare_settings_says_what_was_changed(shown: Shown) -> None:
    plane = trainer()
    labs.compare_settings(plane, replace(plane, shim_mm=-1.2))
    text = shown[0][0]["text/plain"]
    assert text.startswith("Changed: tail shim from 0 mm to −1.2 mm.")
    assert "Before:" in text
    assert "After:" in text
    assert low_power.changes(plane, plane) == "Nothing was changed."


@pytest.mark.parametrize("name", ["power", "blades", "twist", "circle"])
def test_an_aeroplane_without_level_flight_is_told_in_words(
    shown: Shown, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    monkeypatch.delenv("TRIMKIT_MARKING", raising=False)
    getattr(labs, name)(replace(demo_aeroplanes()[0], shim_mm=-6.0))
    words = shown[0][0]["text/plain"]
    assert "This lab cannot open yet. Hallfinch 46: " in words
    assert "text/html" in shown[0][0]
    assert len(shown) == 1


@pytest.mark.parametrize("opened", ["ruler", "low power"])
def test_while_marking_a_lab_is_a_picture_and_words(
    shown: Shown, monkeypatch: pytest.MonkeyPatch, opened: str
) -> None:
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    open_it = {"ruler": labs.ruler_and_shim, "low power": lambda: labs.low_power(trainer())}[opened]
    open_it()
    assert [set(bundle) for bundle, _ in shown] == [
        {"text/plain", "text/html", "image/png"},
        {"text/plain", "text/html"},
    ]
    assert "ecalage" in shown[1][0]["text/plain"]


def test_without_widgets_a_lab_is_a_picture_and_words(
    shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("TRIMKIT_MARKING", raising=False)
    monkeypatch.setattr(bench, "find_spec", lambda name: None)
    labs.ruler_and_shim()
    assert "image/png" in shown[0][0]


def test_otherwise_a_lab_is_its_form(shown: Shown, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("TRIMKIT_MARKING", raising=False)
    labs.ruler_and_shim()
    labs.low_power(trainer())
    for (form, _), sliders in zip(shown, (5, 3), strict=True):
        title, both = form.children
        (words, image), (*handles, buttons) = (part.children for part in both.children)
        assert "<strong>" in title.value
        assert 'role="status"' in words.value
        assert "<img" in image.value
        assert [type(handle).__name__ for handle in handles] == ["Handle"] * sliders
        assert [button.description[:4] for button in buttons.children] == ["Back", "Undo"]


@pytest.mark.parametrize(
    "name", ["beam", "winding", "blades", "power", "low_power", "ruler", "twist", "circle"]
)
def test_every_slider_starts_a_whole_number_of_steps_from_its_end(name: str) -> None:
    """A browser counts from the end: off that grid it moved the start, and undo had one change."""
    lab = importlib.import_module(f"trimkit.labs.{name}").lab(demo_aeroplanes()[0])
    for handle in lab.handles.values():
        steps = (handle.value - handle.min) / handle.step
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert handle.min <= handle.value <= handle.max


def test_an_open_lab_is_not_searched_for_rubbish_while_a_slider_moves() -> None:
    importlib.import_module("trimkit.labs.ruler").lab()
    assert gc.get_freeze_count() > 10_000
