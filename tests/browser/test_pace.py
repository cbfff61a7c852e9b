"""How long a moved slider takes to a new picture, and how fast a replay plays; judges no time.

Run by hand: `pytest -m speed tests/browser/test_pace.py -s` prints a table and writes `pace.json`.
"""

from __future__ import annotations

import importlib
import json
import os
import re
import statistics
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_labs import LABS, LISTENERS, SETUP
from tests.browser.window import open_notebook, run_all, watched_page, write_notebook
from trimkit.flight.canon import demo_aeroplanes

pytestmark = pytest.mark.speed

KEPT = Path(__file__).parent / "pace.json"
MOVES, PLAYED_MS, FLIGHT_S = 20, 4000, 120
FIRST = {"Power steps": 1}  # its first slider has four positions only
MODULES = {"Ruler and shim": "ruler"}
INLINE = {
    "Shim, wing and nose ballast": """
%matplotlib inline
from ipywidgets import FloatSlider, interact
from IPython.display import display
from trimkit import figures, trim
from trimkit.aeroplane import replace
def inline(shim_mm):
    display(figures.glide_path([trim.glide(replace(plane, shim_mm=shim_mm))]).figure)
interact(inline, shim_mm=FloatSlider(min=-2.5, max=2.5, step=0.1, value=0));
""",
    "Winding, backing off, torque": """
def wound(turns):
    display(figures.torque_curve(plane.setting.motor, turns, 2.2).figure)
interact(wound, turns=FloatSlider(min=300, max=1400, step=10, value=1040));
""",
}
REPLAY = f"""
flown = flight.fly(plane, turns=1300, longest_s={FLIGHT_S})
replay.show(flown, plane)
"""
NEXT_PICTURE = """([handle, output, share]) => new Promise((resolve) => {
  const began = performance.now();
  const seen = new MutationObserver(async () => {
    const picture = output.querySelector('img');
    if (!picture || picture.dataset.old) return;
    seen.disconnect();
    await picture.decode();
    requestAnimationFrame(() => resolve(performance.now() - began));
  });
  const old = output.querySelector('img');
  if (old) old.dataset.old = 'yes';
  seen.observe(output, { childList: true, subtree: true, attributes: true });
  setTimeout(() => resolve(null), 5000);
  if (handle.type === 'range') {
    const [low, high] = [Number(handle.min), Number(handle.max)];
    handle.value = low + (high - low) * share;
    handle.dispatchEvent(new Event('input', { bubbles: true }));
  } else handle.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true }));
})"""


@pytest.fixture
def page(browser: Any, lab: tuple[str, Path]) -> Iterator[Any]:
    with watched_page(browser) as opened:
        opened.add_init_script(LISTENERS)
        opened.received = []
        opened.on(
            "websocket",
            lambda socket: socket.on("framereceived", lambda got: opened.received.append(len(got))),
        )
        yield opened


def stops(low: float, high: float, step: float) -> list[float]:
    """Whole steps in the middle of a slider, each once, neighbours not after each other."""
    steps = round((high - low) / step)
    middle = [k for k in range(steps + 1) if 0.3 <= k / steps <= 0.7]
    return [k / steps for k in middle[::2] + middle[1::2]]


def places(*handles: tuple[float, float, float]) -> list[tuple[float, float]]:
    """Settings of two sliders, none twice: what was flown once is remembered, and costs nothing."""
    first, second = (stops(*handle) for handle in handles)
    return [(here, there) for there in second for here in first][:MOVES]


def pace(output: Any, handle: Any, other: Any = None) -> dict[str, float]:
    """Median and 95th percentile from a slider's move to the new picture on the screen [ms]."""
    output.scroll_into_view_if_needed()
    ends = [
        tuple(float(one.get_attribute(name)) for name in ("min", "max", "step"))
        for one in (handle, other)
        if other
    ]
    output, handle = output.element_handle(), handle.element_handle()
    script = f"(_, given) => ({NEXT_PICTURE})(given)"
    seen, stands = [], None
    for share, aside in places(*ends) if other else [(0.0, None)] * MOVES:
        if aside != stands:  # not counted
            output.evaluate(script, [other.element_handle(), output, aside])
            stands = aside
        seen.append(output.evaluate(script, [handle, output, share]))
    took = [one for one in seen if one is not None]
    return {
        "pictures": len(took),
        "median_ms": round(statistics.median(took), 1),
        "p95_ms": round(statistics.quantiles(took, n=20)[-1], 1),
    }


def redraw_cpu_ms(module: str) -> float:
    """Processor time of one redraw in Python, which other work on the machine hardly changes.

    All threads are counted: flights that run side by side take less time but no less work.
    """
    lab = importlib.import_module(f"trimkit.labs.{module}").lab(demo_aeroplanes()[0])
    title = lab.form.children[0].value
    first = FIRST.get(re.sub("<[^>]*>", "", title), 0)
    moved, other = list(lab.handles.values())[first : first + 2]
    took = []
    for share, aside in places(*((one.min, one.max, one.step) for one in (moved, other))):
        other.value = other.min + (other.max - other.min) * aside
        began = time.process_time()
        moved.value = moved.min + (moved.max - moved.min) * share
        took.append(1000 * (time.process_time() - began))
    return round(statistics.median(took), 1)


def test_pace(page: Any, lab: tuple[str, Path]) -> None:
    write_notebook(lab[1] / "pace.ipynb", [SETUP, *LABS.values(), *INLINE.values()])
    open_notebook(page, lab[0], "pace.ipynb")
    run_all(page)
    page.locator(".widget-interact .noUi-handle").nth(len(INLINE) - 1).wait_for(
        state="attached", timeout=200_000
    )
    page.wait_for_timeout(3000)
    found: dict[str, Any] = {"labs": {}, "matplotlib inline with interact": {}}
    for place, title in enumerate(LABS):
        form = page.locator(".trimkit-lab").nth(place)
        first, sliders = FIRST.get(title, 0), form.get_by_role("slider")
        found["labs"][title] = pace(form, sliders.nth(first), sliders.nth(first + 1))
    for title, source in LABS.items():
        module = MODULES.get(title, source.partition("(")[0].removeprefix("labs."))
        with ThreadPoolExecutor(1) as alone:  # away from the browser's loop it draws at once
            found["labs"][title]["redraw_cpu_ms"] = alone.submit(redraw_cpu_ms, module).result()
    for place, title in enumerate(INLINE):
        form = page.locator(".widget-interact").nth(place)
        found["matplotlib inline with interact"][title] = pace(form, form.locator(".noUi-handle"))
    found["replay"] = replayed(page, lab)
    found["machine"] = f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, software rendering"
    KEPT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(found, indent=1))


def replayed(page: Any, lab: tuple[str, Path]) -> dict[str, float]:
    """Frames a second while it plays, and what reaches the page for one flight [1/s, KB].

    All of it is counted: the numbers, the module that draws, and the picture and table for print.
    """
    write_notebook(lab[1] / "pace-replay.ipynb", [SETUP + REPLAY])
    open_notebook(page, lab[0], "pace-replay.ipynb")
    page.received.clear()
    run_all(page)
    shown = page.locator(".tk-replay")
    shown.wait_for(timeout=120_000)
    kilobytes = sum(page.received) / 1000
    shown.get_by_role("button", name="Play", exact=True).click()
    before = page.evaluate("window.framesAsked")
    page.wait_for_timeout(PLAYED_MS)
    frames = page.evaluate("window.framesAsked") - before
    return {"frames_per_s": round(1000 * frames / PLAYED_MS, 1), "flight_kb": round(kilobytes, 1)}
