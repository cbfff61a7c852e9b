"""Labs, clinic and replay in one notebook in JupyterLab, as pupils move them."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.window import (
    LAPTOP,
    choose,
    choose_theme,
    open_notebook,
    run_all,
    serious,
    watched_page,
    write_notebook,
)

pytestmark = pytest.mark.browser

SHOTS = os.environ.get("TRIMKIT_SHOTS")  # a folder, when somebody wants to look
SETUP = """
from trimkit import flight, labs, lesson
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs import replay
plane = demo_aeroplanes()[0]
"""
CLINIC, REPLAY = "labs.clinic(lesson.case(7))", "replay.show(flight.fly(plane, turns=700), plane)"
LABS = {
    "Ruler and shim": "labs.ruler_and_shim()",
    "Shim, wing and nose ballast": "labs.low_power(plane)",
    "Balance beam and neutral point": "labs.beam()",
    "Winding, backing off, torque": "labs.winding()",
    "Pitch and blades that match": "labs.blades()",
    "Power steps": "labs.power()",
    "Twist and roll": "labs.twist()",
    "Circle and hall": "labs.circle()",
}
WINDOWS = {
    "a laptop": LAPTOP,
    "a projector": {"width": 1280, "height": 720},
    "a telephone": {"width": 390, "height": 844},
    "zoom 200 %": {"width": LAPTOP["width"] // 2, "height": LAPTOP["height"] // 2},
}
DARK, LIGHT = "JupyterLab Dark", "JupyterLab Light"
WAIT_MS = 10_000
OURS = [".trimkit-lab", ".trimkit-clinic", ".tk-replay"]
LISTENERS = """(() => {
  const ours = () => new Error().stack.includes('blob:'); // where a widget's module comes from
  const kept = [];
  window.listening = () => kept.map((one) => one[1]);
  window.framesAsked = 0;
  window.watching = 0;
  const lasts = (one) => one === window || one === document || one instanceof MediaQueryList;
  const { addEventListener, removeEventListener } = EventTarget.prototype;
  EventTarget.prototype.addEventListener = function (type, act, ...rest) {
    const target = this ?? window;
    if (lasts(target) && ours()) kept.push([target, type, act]);
    return addEventListener.call(target, type, act, ...rest);
  };
  EventTarget.prototype.removeEventListener = function (type, act, ...rest) {
    const target = this ?? window;
    const at = kept.findIndex((one) => one[0] === target && one[1] === type && one[2] === act);
    if (at >= 0) kept.splice(at, 1);
    return removeEventListener.call(target, type, act, ...rest);
  };
  const ask = window.requestAnimationFrame;
  window.requestAnimationFrame = (draw) => {
    if (ours()) window.framesAsked += 1;
    return ask(draw);
  };
  window.ResizeObserver = class extends ResizeObserver {
    constructor(tell) { super(tell); this.ours = ours(); window.watching += this.ours; }
    disconnect() { window.watching -= this.ours; this.ours = false; super.disconnect(); }
  };
})()"""
CUT_OFF = """(form) => {
  const wide = (one) => one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 1;
  const room = form.closest('.jp-OutputArea-output').getBoundingClientRect();
  const names = 'button, label, p, dt, dd, [role=status]';
  const far = (one) => one.offsetParent && one.getBoundingClientRect().right > room.right + 1;
  const cut = [...form.querySelectorAll(names)].filter(wide);
  const out = [...form.querySelectorAll('button, input, img, canvas')].filter(far);
  return [...cut, ...out].map((one) => one.outerHTML.slice(0, 80));
}"""


@pytest.fixture(scope="module")
def page(browser: Any, lab: tuple[str, Path]) -> Iterator[Any]:
    """A page with every lab, run once; each test asks for the window it needs."""
    with watched_page(browser) as opened:
        opened.add_init_script(LISTENERS)
        write_notebook(lab[1] / "labs.ipynb", [SETUP, *LABS.values(), CLINIC, REPLAY])
        open_notebook(opened, lab[0], "labs.ipynb")
        run_all(opened)
        opened.set_default_timeout(WAIT_MS)
        opened.locator(".tk-replay").wait_for(timeout=120_000, state="attached")
        yield opened


@pytest.fixture(autouse=True)
def _quiet_and_at_home(page: Any) -> Iterator[None]:
    yield
    assert page.trouble == []
    assert page.elsewhere == []


def form_of(page: Any, title: str) -> Any:
    form = page.locator(".trimkit-lab").filter(has=page.get_by_text(title, exact=True))
    form.scroll_into_view_if_needed(timeout=WAIT_MS)
    return form


def shown(form: Any) -> tuple[str, str]:
    """The words beside the sliders, and those of the picture."""
    words = form.get_by_role("status").inner_text()
    return str(words), str(form.get_by_role("img").get_attribute("alt"))


def until(page: Any, done: Callable[[], bool]) -> None:
    """Wait for something in the page, and fail when it does not come."""
    for _ in range(WAIT_MS // 50):
        if done():
            return
        page.wait_for_timeout(50)
    pytest.fail("it did not come")


def changed(page: Any, form: Any, before: tuple[str, str]) -> tuple[str, str]:
    """Wait until words and picture differ from those before."""
    until(page, lambda: shown(form) != before)
    page.wait_for_timeout(200)  # the picture comes first, its words follow at once
    return shown(form)


def shoot(one: Any, name: str) -> None:
    if SHOTS:
        one.screenshot(path=f"{SHOTS}/labs-{name}.png")


@pytest.mark.parametrize("title", LABS)
def test_a_lab_opens_named_and_in_words(page: Any, title: str) -> None:
    form = form_of(page, title)
    words, alt = shown(form)
    assert len(words) > 40
    assert len(alt) > 40
    boxes, handles = form.get_by_role("spinbutton"), form.get_by_role("slider")
    assert boxes.count() == handles.count() >= 3
    names = [handles.nth(k).get_attribute("aria-label") for k in range(handles.count())]
    assert len(set(names)) == len(names)
    for name in names:
        assert form.get_by_role("slider", name=name, exact=True).count() == 1
        assert form.get_by_role("spinbutton", name=name, exact=True).count() == 1
    shoot(form, title)


@pytest.mark.parametrize("title", LABS)
def test_a_slider_obeys_keyboard_mouse_and_box_and_can_be_taken_back(page: Any, title: str) -> None:
    form = form_of(page, title)
    first = shown(form)
    handle, box = form.get_by_role("slider").first, form.get_by_role("spinbutton").first
    design = box.input_value()
    handle.focus()
    page.keyboard.press("ArrowLeft")
    by_key = changed(page, form, first)
    assert box.input_value() != design
    at = handle.bounding_box()
    page.mouse.click(at["x"] + 0.15 * at["width"], at["y"] + at["height"] / 2)
    by_mouse = changed(page, form, by_key)
    assert float(box.input_value()) < float(design)
    form.get_by_role("button", name="Back to the design setting").click()
    until(page, lambda: shown(form) == first)
    form.get_by_role("button", name="Undo my last change").click()
    until(page, lambda: shown(form) == by_mouse)
    box.fill(design)
    box.press("Enter")
    until(page, lambda: shown(form) == first)


def test_the_last_position_wins(page: Any) -> None:
    form = form_of(page, "Winding, backing off, torque")
    first, handle = shown(form), form.get_by_role("slider", name="Turns wound")
    handle.focus()
    for _ in range(25):
        page.keyboard.press("ArrowLeft")
    turns = handle.input_value()
    form.get_by_role("status").get_by_text(f"{turns} turns").first.wait_for(timeout=WAIT_MS)
    form.get_by_role("button", name="Back to the design setting").click()
    until(page, lambda: shown(form) == first)


def test_nonsense_in_a_box_leaves_the_value(page: Any) -> None:
    form = form_of(page, "Balance beam and neutral point")
    first, box = shown(form), form.get_by_role("spinbutton").first
    before = box.input_value()
    box.select_text()
    page.keyboard.press("Delete")
    page.keyboard.press("Enter")
    assert box.input_value() == before
    box.fill("100000")
    box.press("Enter")
    assert box.input_value() == box.get_attribute("max")
    changed(page, form, first)
    form.get_by_role("button", name="Undo my last change").click()
    until(page, lambda: shown(form) == first)


def test_a_look_in_the_clinic_is_said_and_logged(page: Any) -> None:
    clinic = page.locator(".trimkit-clinic")
    clinic.scroll_into_view_if_needed()
    before = clinic.get_by_role("status").inner_text()
    clinic.get_by_role("button", name="tail (2 min)", exact=False).first.focus()
    page.keyboard.press("Enter")
    clinic.get_by_text("2 min used", exact=False).wait_for(timeout=WAIT_MS)
    assert clinic.get_by_role("status").inner_text() != before
    for name in ("Measure", "Change and fly", "Repair", "Say what it is", "Log"):
        clinic.get_by_role("tab", name=name, exact=True).click()
        page.wait_for_timeout(100)
        shoot(clinic, f"clinic-{name}")


@pytest.mark.parametrize("window", WINDOWS)
def test_nothing_is_cut_off_in_a_window_of_this_size(page: Any, window: str) -> None:
    page.set_viewport_size(WINDOWS[window])
    narrow = WINDOWS[window]["width"] < 800
    if narrow:  # as anybody would who has so little room
        page.keyboard.press("Control+b")
    page.wait_for_timeout(500)
    cut = {}
    for place, form in enumerate(page.locator(", ".join(OURS)).all()):
        form.scroll_into_view_if_needed()
        page.wait_for_timeout(100)
        cut[place] = form.evaluate(CUT_OFF)
        if SHOTS:
            page.screenshot(path=f"{SHOTS}/labs-{window}-{place}.png")
    if narrow:
        page.keyboard.press("Control+b")
    page.set_viewport_size(LAPTOP)
    assert {place: found for place, found in cut.items() if found} == {}


SEEN = """(form) => {
  const box = (one) => one.getBoundingClientRect();
  const names = ['.trimkit-hands', '[role=status]', 'img'];
  const parts = names.map((one) => box(form.querySelector(one)));
  const bottoms = parts.map((part) => part.bottom - box(form).top);
  const first = box(form.querySelector('.trimkit-row')).bottom - box(form).top;
  const room = document.querySelector('.jp-WindowedPanel-outer').clientHeight;
  return { all: Math.max(...bottoms), first: Math.max(first, ...bottoms.slice(1)), room };
}"""


@pytest.mark.parametrize("window", ["a laptop", "a projector", "a telephone"])
def test_who_moves_a_slider_sees_the_picture_and_the_words(page: Any, window: str) -> None:
    page.set_viewport_size(WINDOWS[window])
    if window == "a telephone":
        page.keyboard.press("Control+b")
    page.wait_for_timeout(500)
    hidden = {}
    for title in LABS:
        seen = form_of(page, title).evaluate(SEEN)
        needed = seen["first" if window == "a telephone" else "all"]
        if needed > seen["room"]:
            hidden[title] = seen
    if window == "a telephone":
        page.keyboard.press("Control+b")
    page.set_viewport_size(LAPTOP)
    assert hidden == {}


@pytest.mark.parametrize("theme", [DARK, LIGHT])
def test_axe_finds_nothing_serious_in_either_theme(page: Any, theme: str) -> None:
    choose_theme(page, theme)
    light = "true" if theme == LIGHT else "false"
    page.wait_for_function(f"document.body.dataset.jpThemeLight === '{light}'", timeout=WAIT_MS)
    page.wait_for_timeout(500)
    for place, form in enumerate(page.locator(", ".join(OURS)).all()):
        form.scroll_into_view_if_needed()
        shoot(form, f"{theme}-{place}")
    assert serious(page, *OURS) == []


def test_a_kernel_that_restarts_while_playing_leaves_the_flight(page: Any) -> None:
    replay = page.locator(".tk-replay")
    replay.scroll_into_view_if_needed()
    replay.get_by_role("button", name="Play", exact=True).click()
    first = replay.locator(".tk-line").first.inner_text()
    choose(page, "Kernel", "Restart Kernel…")
    page.get_by_role("button", name="Confirm Kernel Restart").click()
    page.get_by_text("| Idle").first.wait_for(timeout=60_000)
    page.wait_for_timeout(1000)
    assert replay.locator(".tk-line").first.inner_text() != first
    replay.get_by_role("button", name="Pause", exact=True).click()
    assert "Paused" in replay.get_by_role("status").inner_text()
    handle = form_of(page, "Power steps").get_by_role("slider").first
    handle.focus()
    page.keyboard.press("ArrowLeft")  # nobody answers; nothing breaks
    page.wait_for_timeout(300)


def test_what_is_closed_listens_no_more(page: Any) -> None:
    replay = page.locator(".tk-replay")
    replay.scroll_into_view_if_needed()
    replay.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_timeout(300)
    assert page.evaluate("window.listening().length") >= 2
    assert page.evaluate("window.watching") == 1
    assert page.evaluate("window.framesAsked") > 0
    choose(page, "Edit", "Clear Outputs of All Cells")
    replay.wait_for(state="detached", timeout=10_000)
    page.wait_for_timeout(300)
    asked = page.evaluate("window.framesAsked")
    page.wait_for_timeout(300)
    assert page.evaluate("window.listening()") == []
    assert page.evaluate("window.watching") == 0
    assert page.evaluate("window.framesAsked") == asked
