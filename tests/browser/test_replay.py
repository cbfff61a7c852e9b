"""The replay in JupyterLab: it plays, obeys the keyboard, says what it shows, and stays calm."""

from __future__ import annotations

import base64
import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.browser.window import (
    choose,
    open_notebook,
    run_all,
    watched_page,
    with_theme,
    write_notebook,
)
from trimkit import flight
from trimkit.aeroplane import replace
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.replay import Replay
from trimkit.labs.replay.telling import telling_of

pytestmark = pytest.mark.browser

SHOTS = os.environ.get("TRIMKIT_SHOTS")  # a folder, when somebody wants to look
SETUP = """
from trimkit import flight, load_aeroplane
from trimkit.aeroplane import replace
from trimkit.labs import replay
from trimkit.places import demo_folder

after = load_aeroplane(demo_folder() / "aeroplanes" / "hallfinch-46.toml")
before = replace(after, shim_mm=2.0)
flown, stalled = (flight.fly(one, turns=1157) for one in (after, before))
"""
ONE = "replay.show(flown, after)"
TWO = "replay.show(flown, after, stalled, before, label='after <i>the</i> shim')"
MOST_TURNED_DEG = 0.1
LEAST_CONTRAST = 4.5
MOST_FLASHES = 3  # in any one second, WCAG 2.3.1
FLASH = 0.1  # a change of relative luminance that counts


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    with watched_page(browser) as opened:
        yield opened


@pytest.fixture
def calm_page(browser: Any) -> Iterator[Any]:
    """A page of somebody who asks for less motion."""
    with watched_page(browser, reduced_motion="reduce") as opened:
        yield opened


def open_replay(page: Any, lab: tuple[str, Path], source: str) -> Any:
    """Run a notebook with one replay; give the replay's element, its stage focused."""
    write_notebook(lab[1] / "replay.ipynb", [SETUP + source])
    open_notebook(page, lab[0], "replay.ipynb")
    run_all(page)
    shown = page.get_by_role("group", name=re.compile("^Replay of Hallfinch 46"))
    shown.wait_for(timeout=120_000)
    page.wait_for_timeout(500)
    shown.scroll_into_view_if_needed()
    page.locator(".tk-stage").click()
    return shown


def press(page: Any, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def shoot(shown: Any, name: str) -> None:
    if SHOTS:
        shown.screenshot(path=f"{SHOTS}/replay-{name}.png")


def line(shown: Any) -> str:
    return str(shown.locator(".tk-line").first.inner_text())


def seconds(shown: Any) -> float:
    found = re.search(r"([\d.]+) s:", line(shown))
    assert found
    return float(found[1])


def drawn(shown: Any) -> str:
    return str(shown.locator("canvas").evaluate("e => e.toDataURL()"))


OPENED = """async ({ source, scene, raw, times }) => {
  const file = URL.createObjectURL(new Blob([source], { type: 'text/javascript' }));
  const { Flight } = await import(file);
  const view = (words) => {
    const bytes = Uint8Array.from(atob(words), (letter) => letter.charCodeAt(0));
    const shifted = new Uint8Array(bytes.length + 1);
    shifted.set(bytes, 1); // as a message has it: not aligned
    return new DataView(shifted.buffer, 1);
  };
  const [given] = scene.flights;
  given.rows = view(raw.rows);
  given.said.told = view(raw.told);
  const flight = new Flight(given, scene.columns);
  return times.map((time) => ({ ...flight.at(time), time, told: flight.tell(time) }));
}"""


def opened_by_the_page(page: Any, shown: Replay, times: list[float]) -> list[dict[str, Any]]:
    """What the page's own module makes of a flight, at some times."""
    (one,) = shown.scene["flights"]
    raw = {"rows": one["rows"], "told": one["said"]["told"]}
    given = {
        "source": str(shown._esm),
        "scene": json.loads(json.dumps(shown.scene, default=lambda _: "")),
        "raw": {name: base64.b64encode(data).decode() for name, data in raw.items()},
        "times": times,
    }
    return list(page.evaluate(OPENED, given))


def check_drawn(found: list[dict[str, Any]], flown: flight.Flight, farthest_m: float) -> None:
    """The page has it where the flight was, standing as it stood, and says what it did."""
    times = np.array([one["time"] for one in found])
    told = telling_of(flown)
    assert [one["told"] for one in found] == [told.at(time) for time in times]
    for name, exact in (("position", flown.position_m), ("joints", flown.joints_rad)):
        shown = np.array([one[name] for one in found])
        there = np.column_stack([np.interp(times, flown.time_s, column) for column in exact.T])
        most = farthest_m if name == "position" else np.radians(MOST_TURNED_DEG)
        assert np.abs(shown - there).max() < most, name
    shown = np.array([one["quaternion"] for one in found])
    rows = np.searchsorted(flown.time_s, times - 1e-9)
    exact_times = np.abs(flown.time_s[rows] - times) < 1e-6
    same = np.abs(np.sum(shown * flown.quaternion[rows], axis=1))[exact_times]
    assert same.size > 50
    assert np.degrees(2 * np.arccos(np.minimum(same, 1))).max() < MOST_TURNED_DEG


def test_the_page_draws_a_calm_flight_as_it_was(page: Any) -> None:
    aeroplane = demo_aeroplanes()[0]
    flown = flight.fly(aeroplane, turns=1157)
    times = flown.time_s[::7].tolist()  # on the rows that are sent and between them
    check_drawn(opened_by_the_page(page, Replay(flown, aeroplane), times), flown, 0.002)


def test_what_is_sent_of_a_stall_is_where_it_was(page: Any) -> None:
    aeroplane = replace(demo_aeroplanes()[0], shim_mm=2.0)
    flown = flight.fly(aeroplane, turns=1157, longest_s=6.0)  # cut off in the air: even beats
    assert flown.ended == "time over"
    times = flown.time_s[::2].tolist()
    check_drawn(opened_by_the_page(page, Replay(flown, aeroplane), times), flown, 0.001)


def test_it_waits_then_plays_and_pauses(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, ONE)
    first = drawn(shown)
    page.wait_for_timeout(700)
    assert seconds(shown) == 0
    assert drawn(shown) == first
    shown.get_by_role("button", name="Play").click()
    page.wait_for_timeout(1500)
    shown.get_by_role("button", name="Pause").click()
    stopped = seconds(shown)
    assert stopped > 0.3
    assert drawn(shown) != first
    said = shown.get_by_role("status").inner_text()
    assert said.startswith(f"Paused. {stopped:.1f} s: circling left")
    page.wait_for_timeout(700)
    assert seconds(shown) == stopped
    shoot(shown, "one")
    assert page.trouble == []
    assert page.elsewhere == []


def test_everything_obeys_the_keyboard(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, TWO)
    cells = page.locator(".jp-Cell").count()
    press(page, *["ArrowRight"] * 4)
    assert seconds(shown) == 2.0
    press(page, "Shift+ArrowRight", "ArrowLeft")
    assert seconds(shown) == 6.5
    press(page, "End")
    assert "landed (" in line(shown)
    press(page, "Home", "+", "+", "-")
    assert shown.get_by_text("speed ×2", exact=True).count() == 1
    press(page, "Space")
    page.wait_for_timeout(600)
    press(page, "Space")
    assert seconds(shown) > 0.2
    pictures = set()
    for key, name in (("1", "Follow"), ("2", "From the floor"), ("3", "From above")):
        press(page, key)
        pressed = shown.get_by_role("button", pressed=True).all_inner_texts()
        assert pressed == [name]
        pictures.add(drawn(shown))
        shoot(shown, f"view-{key}")
    assert len(pictures) == 3
    for key, name in (("f", "Forces"), ("m", "Turning pushes"), ("b", "Big text")):
        before = drawn(shown)
        press(page, key)
        assert shown.get_by_role("button", name=name, pressed=True).count() == 1
        assert drawn(shown) != before or key == "m"  # a steady flight has no turning push
        press(page, key)
    for words in ("side by side", "off", "ghost"):
        press(page, "g")
        assert shown.get_by_role("button", name=f"Second flight: {words}").count() == 1
    press(page, "x", "a", "d", "d", "Enter", "ArrowDown")  # the notebook's own commands
    assert page.locator(".jp-Cell").count() == cells
    assert page.locator(".jp-mod-editMode").count() == 0
    assert page.trouble == []


def test_next_and_previous_stop_at_what_matters(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, TWO)
    press(page, "n")
    first = seconds(shown)
    page.wait_for_timeout(600)
    assert "before: stalls: nose up" in shown.get_by_role("status").inner_text()
    press(page, "n", "n")
    assert seconds(shown) > first
    press(page, "p", "p")
    assert seconds(shown) == first
    press(page, "End", "n")
    page.wait_for_timeout(600)
    assert "No later moment" in shown.get_by_role("status").inner_text()


def test_both_flights_are_named_and_names_stay_words(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, TWO)
    names = shown.locator(".tk-line strong").all_inner_texts()
    assert names == ["after <i>the</i> shim:", "before:"]
    assert shown.locator("i").count() == 0
    press(page, "n", "n", "g")
    shoot(shown, "beside")


def test_a_slider_and_a_screen_reader_find_their_way(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, ONE)
    slider = shown.get_by_role("slider", name="Time")
    slider.focus()
    press(page, "ArrowRight", "ArrowRight")
    assert seconds(shown) == 1.0
    assert slider.get_attribute("aria-valuetext").startswith("1.0 seconds of ")
    order = ["Time"]
    for _ in range(10):
        press(page, "Tab")
        order.append(page.evaluate("document.activeElement.innerText"))
    assert order == [
        "Time", "Previous moment", "Play", "Next moment", "Slower", "Faster", "Follow",
        "From the floor", "From above", "Forces", "Turning pushes",
    ]  # fmt: skip
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert outline == "3px"
    assert shown.get_by_role("img").get_attribute("aria-label").startswith("Seen from the floor")
    assert shown.locator("button:not([type=button])").count() == 0
    assert [b for b in shown.locator("button:visible").all_inner_texts() if not b.strip()] == []
    live = shown.get_by_role("status")
    assert live.get_attribute("aria-live") == "polite"
    press(page, "Escape")  # the notebook has its keys back where it should
    assert page.trouble == []


def test_playing_is_not_talked_over(page: Any, lab: tuple[str, Path]) -> None:
    open_replay(page, lab, ONE)
    page.evaluate(
        "() => { window.said = 0; new MutationObserver(() => { window.said += 1; })"
        ".observe(document.querySelector('.tk-said'), {childList: true}); }"
    )
    press(page, "Space")
    page.wait_for_timeout(6000)
    assert 1 <= page.evaluate("window.said") <= 2
    press(page, "Space")
    assert page.evaluate("window.said") <= 3


CONTRASTS = """() => {
  const luminance = (words) => {
    const pen = document.createElement('canvas').getContext('2d');
    pen.fillStyle = words; pen.fillRect(0, 0, 1, 1);
    const parts = [...pen.getImageData(0, 0, 1, 1).data].slice(0, 3).map((v) => v / 255)
      .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
  };
  const style = getComputedStyle(document.querySelector('.tk-replay'));
  const of = (name) => luminance(style.getPropertyValue('--tk-' + name).trim());
  const ratio = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  const found = {};
  for (const name of ['ink', 'soft', 'own', 'other', 'lift', 'thrust']) {
    found[name] = ratio(of(name), of('paper'));
  }
  found['ink on a button'] = ratio(of('ink'), of('raised'));
  return found;
}"""


@pytest.mark.parametrize("theme", ["JupyterLab Light", "JupyterLab Dark"])
def test_colours_can_be_read_in_both_themes(page: Any, lab: tuple[str, Path], theme: str) -> None:
    with_theme(page, theme)
    shown = open_replay(page, lab, TWO)
    light = page.evaluate("document.body.dataset.jpThemeLight")
    assert light == ("true" if theme == "JupyterLab Light" else "false")
    press(page, "n", "n", "f")
    shoot(shown, theme.split()[-1].lower())
    contrasts = page.evaluate(CONTRASTS)
    assert {name: at for name, at in contrasts.items() if at < LEAST_CONTRAST} == {}


@pytest.mark.parametrize("keys", [[], ["b"], ["g"], ["b", "g"]])
def test_no_words_are_cut_off(page: Any, lab: tuple[str, Path], keys: list[str]) -> None:
    shown = open_replay(page, lab, TWO)
    press(page, "n", *keys)
    shown.locator("summary").click()
    shoot(shown, "keys-" + "".join(keys))
    cut = shown.evaluate(
        "e => [...e.querySelectorAll('button, p, dt, dd')]"
        ".filter((one) => one.scrollWidth > one.clientWidth + 1).map((one) => one.innerText)"
    )
    assert cut == []
    assert shown.evaluate("e => e.scrollWidth <= e.clientWidth")
    if "b" in keys:
        size = shown.locator(".tk-line").first.evaluate("e => getComputedStyle(e).fontSize")
        assert size == "28px"


def test_the_wall_s_replay_fits_without_scrolling(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, TWO)
    press(page, "b", "n")
    page.wait_for_timeout(300)
    height = page.locator(".jp-WindowedPanel-outer").evaluate("e => e.clientHeight")
    assert shown.bounding_box()["height"] <= height
    assert ";" not in line(shown)


def test_less_motion_means_steps(calm_page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(calm_page, lab, ONE)
    assert seconds(shown) == 0
    press(calm_page, "Space")
    times = set()
    for _ in range(12):
        calm_page.wait_for_timeout(200)
        times.add(seconds(shown))
    assert times <= {0.0, 1.0, 2.0, 3.0}
    assert len(times) >= 2
    press(calm_page, "Space")
    assert calm_page.trouble == []


LUMINANCES = """() => new Promise((resolve) => {
  const canvas = document.querySelector('.tk-replay canvas');
  const pen = canvas.getContext('2d');
  const found = [];
  const size = 60;
  const begin = performance.now();
  const look = () => {
    const left = canvas.width / 2 - size / 2, top = canvas.height / 2 - size / 2 - 20;
    const { data } = pen.getImageData(left, top, size, size);
    let sum = 0;
    for (let i = 0; i < data.length; i += 4) sum += (data[i] + data[i + 1] + data[i + 2]) / 765;
    found.push(sum / (size * size));
    if (performance.now() - begin < 2000) requestAnimationFrame(look);
    else resolve(found);
  };
  requestAnimationFrame(look);
})"""


def flashes(levels: list[float]) -> int:
    """Count pairs of opposite changes that are large enough."""
    turns, low, high, way = 0, levels[0], levels[0], 0
    for level in levels:
        low, high = min(low, level), max(high, level)
        if way <= 0 and level > low + FLASH:
            way, turns, high, low = 1, turns + 1, level, level
        elif way >= 0 and level < high - FLASH:
            way, turns, high, low = -1, turns + 1, level, level
    return turns // 2


def test_flashes_are_counted() -> None:
    assert flashes([0.9, 0.7] * 8) == 7
    assert flashes([0.9, 0.85] * 8) == 0
    assert flashes([0.5, 0.6, 0.75, 0.9]) == 0


def test_the_propeller_does_not_flicker(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, ONE)
    press(page, "1", "+", "+", "+", "Shift+ArrowRight", "Space")
    levels = page.evaluate(LUMINANCES)
    press(page, "Space")
    assert seconds(shown) > 6
    assert len(levels) > 10
    assert min(levels) < 0.99  # the aeroplane is in the patch
    assert flashes(levels) <= MOST_FLASHES * 2


def test_nothing_stays_behind_when_the_output_goes(page: Any, lab: tuple[str, Path]) -> None:
    shown = open_replay(page, lab, ONE)
    press(page, "Space")
    choose(page, "Edit", "Clear Outputs of All Cells")
    shown.wait_for(state="detached", timeout=10_000)
    page.wait_for_timeout(500)
    press(page, "n", "Space")
    assert page.trouble == []
