"""All lessons in JupyterLab: they open, run, answer, and say what the pictures show."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import nbformat
import pytest

from tests.browser.window import open_notebook, run_all, watched_page

pytestmark = pytest.mark.browser

COURSE = Path(__file__).parents[2] / "course"
LESSONS = {
    path.parent.name[:2]: f"{path.parent.name}/{path.name}"
    for path in sorted(COURSE.glob("[0-9][0-9]-*/*.ipynb"))
}
SHOTS = os.environ.get("TRIMKIT_SHOTS")  # a folder, when somebody wants to look


@pytest.fixture
def page(browser: Any, lab: tuple[str, Path]) -> Iterator[Any]:
    with watched_page(browser) as opened:
        yield opened


def run_lesson(page: Any, lab: tuple[str, Path], lesson: str) -> None:
    """Open a lesson, run all of it, and wait for its last answer."""
    open_notebook(page, lab[0], LESSONS[lesson])
    run_all(page)
    page.get_by_text(last_answer(lesson)).last.wait_for(state="attached", timeout=120_000)


def last_answer(lesson: str) -> str:
    """What the last answered cell of a lesson says first."""
    cells = nbformat.read(COURSE / LESSONS[lesson], as_version=4).cells
    asked = re.findall(r'lesson\.answer\(\s*"(\d\d\.\w+)"', "\n".join(c.source for c in cells))
    return f"Answer {asked[-1]}"


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
    run_lesson(page, lab, lesson)
    page.wait_for_timeout(1500)
    shoot(page, f"lesson-{lesson}")
    assert page.locator(".jp-OutputArea img:not([alt])").count() == 0
    assert page.get_by_text("Traceback").count() == 0
    assert page.get_by_text("This cell stopped").count() == 0
    assert page.trouble == []
    assert page.elsewhere == []


def test_a_tap_a_slider_and_an_answer_reach_the_log(page: Any, lab: tuple[str, Path]) -> None:
    run_lesson(page, lab, "02")
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
