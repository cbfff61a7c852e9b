"""Both lessons in JupyterLab: they open, run, answer, and say what the pictures show."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

pytestmark = pytest.mark.browser

LESSONS = {"02": "02-angles/angles.ipynb", "04": "04-low-power/low-power.ipynb"}
SHOTS = os.environ.get("TRIMKIT_SHOTS")  # a folder, when somebody wants to look


@pytest.fixture
def page(browser: Any, lab: tuple[str, Path]) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    opened = context.new_page()
    opened.trouble = []
    opened.elsewhere = []
    opened.on("pageerror", lambda error: opened.trouble.append(str(error)))
    opened.on("request", lambda request: _note_elsewhere(opened, request.url))
    yield opened
    context.close()


def _note_elsewhere(page: Any, address: str) -> None:
    where = urlsplit(address)
    if where.scheme in {"http", "https", "ws", "wss"} and where.hostname not in {
        "localhost",
        "127.0.0.1",
    }:
        page.elsewhere.append(address)


def open_lesson(page: Any, address: str, lesson: str) -> None:
    base, _, query = address.partition("?")
    page.goto(f"{base.removesuffix('/lab')}/lab/tree/{LESSONS[lesson]}?{query}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)


def run_all(page: Any, last_text: str) -> None:
    page.get_by_text("| Idle").first.wait_for(timeout=60_000)  # the kernel is there
    page.get_by_role("menuitem", name="Run", exact=True).click()
    page.get_by_role("menuitem", name=re.compile("^Run All Cells")).first.click()
    page.get_by_text(last_text).last.wait_for(state="attached", timeout=120_000)


def shoot(page: Any, name: str) -> None:
    if not SHOTS:
        return
    panel = page.locator(".jp-WindowedPanel-outer, .jp-Notebook").first
    height = panel.evaluate("e => e.scrollHeight")
    for number, top in enumerate(range(0, height, 560)):
        panel.evaluate("(e, top) => e.scrollTo(0, top)", top)
        page.wait_for_timeout(400)
        page.screenshot(path=f"{SHOTS}/{name}-{number:02d}.png")


@pytest.mark.parametrize("lesson", sorted(LESSONS))
def test_a_lesson_runs_and_shows_text_beside_every_picture(
    page: Any, lab: tuple[str, Path], lesson: str
) -> None:
    open_lesson(page, lab[0], lesson)
    run_all(page, f"Answer {lesson}.7")
    page.wait_for_timeout(1500)
    shoot(page, f"lesson-{lesson}")
    assert page.locator(".jp-OutputArea img:not([alt])").count() == 0
    assert page.get_by_text("Traceback").count() == 0
    assert page.trouble == []
    assert page.elsewhere == []


def test_a_tap_a_slider_and_an_answer_reach_the_log(page: Any, lab: tuple[str, Path]) -> None:
    open_lesson(page, lab[0], "02")
    run_all(page, "Answer 02.7")
    page.get_by_role("button", name="About one degree").click()
    page.get_by_text("Your prediction is kept").first.wait_for(timeout=30_000)
    slider = page.get_by_role("slider").first
    before = page.get_by_role("status").all_inner_texts()
    slider.focus()
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    page.wait_for_timeout(1500)
    assert page.get_by_role("status").all_inner_texts() != before
    log = (lab[1] / "logs" / "attempts.jsonl").read_text("utf-8")
    entries = [json.loads(line) for line in log.splitlines()]
    assert {"prediction", "answer"} <= {entry["kind"] for entry in entries}
    assert not any(re.search(r"\d\d:\d\d", json.dumps(entry)) for entry in entries)
