"""The course panel in JupyterLab: the way from the first page to a mark, by mouse and by keys."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

from tests.browser.window import choose_theme, serious
from trimkit import places

pytestmark = pytest.mark.browser

SHOTS = os.environ.get("TRIMKIT_SHOTS")  # a folder, when somebody wants to look
PANEL = ".trimkit-panel"
MARKED = re.compile(r"marked: \d+ of 16 points")


@contextmanager
def opened(*words: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Run `trimkit open` and give the address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "trimkit", "open", "--no-browser", *words],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8",
    )  # fmt: skip
    assert process.stdout is not None
    said = []
    try:
        for line in process.stdout:
            said.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+/lab\S*", line):
                yield found.group(), process
                break
        else:
            pytest.fail("trimkit open gave no address:\n" + "".join(said))
    finally:
        process.terminate()
        process.wait(timeout=30)
        process.stdout.close()


@contextmanager
def page_of(browser: Any, address: str) -> Iterator[Any]:
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    page = context.new_page()
    trouble: list[str] = []
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda request: _note_elsewhere(trouble, request.url))
    page.goto(address)
    panel(page).get_by_role("heading", name=re.compile("^Course")).wait_for(timeout=60_000)
    yield page
    assert trouble == []
    context.close()


def _note_elsewhere(trouble: list[str], address: str) -> None:
    where = urlsplit(address)
    if where.scheme in {"http", "https", "ws", "wss"} and where.hostname != "127.0.0.1":
        trouble.append(address)


def panel(page: Any) -> Any:
    return page.get_by_role("region", name="Course", exact=True)


def shoot(page: Any, name: str) -> None:
    if SHOTS:
        page.screenshot(path=f"{SHOTS}/panel-{name}.png")


def lesson(page: Any, number: str) -> Any:
    return panel(page).locator(f'[data-lesson="{number}"]')


def palette(page: Any, words: str) -> None:
    """Choose a command by keys alone."""
    page.keyboard.press("Control+Shift+C")
    page.locator(".lm-CommandPalette-input:focus").wait_for()
    page.keyboard.type(words)
    page.locator(".lm-CommandPalette-item.lm-mod-active").filter(has_text=words).wait_for()
    page.keyboard.press("Enter")


def in_the_menu(page: Any, words: str) -> None:
    """Choose a command with the mouse."""
    page.get_by_role("menuitem", name="Course", exact=True).click()
    page.locator(".lm-Menu-itemLabel").get_by_text(words, exact=True).click()


def tab_to(page: Any, name: str) -> None:
    """Press Tab until a button of the panel has the focus."""
    for _ in range(60):
        page.keyboard.press("Tab")
        focused = page.evaluate(
            "() => [document.activeElement.dataset.key || '', document.activeElement.innerText]"
        )
        if focused[0] and focused[1] == name:
            return
    pytest.fail(f"Tab does not reach {name}")


def arrow_to(page: Any, text: str) -> None:
    """Press the arrow until the active cell of the notebook holds a text."""
    active = page.locator(".jp-Notebook-cell.jp-mod-active")
    for _ in range(60):
        if text in active.inner_text():
            return
        page.keyboard.press("ArrowDown")
    pytest.fail(f"the arrow does not reach {text}")


def type_an_answer(page: Any, text: str) -> None:
    """Type into the active cell and leave it, by keys alone."""
    page.keyboard.press("Enter")
    page.keyboard.press("Control+A")
    page.keyboard.type(text)
    page.keyboard.press("Escape")


def follow_the_theme(page: Any) -> None:
    """Turn the theme dark and the window narrow; every control keeps a name and its room."""
    assert serious(page, PANEL) == []
    light = background(page)
    choose_theme(page, "JupyterLab Dark")
    page.wait_for_function(
        "before => getComputedStyle(document.querySelector('.trimkit-panel'))"
        ".backgroundColor !== before",
        arg=light,
    )
    shoot(page, "dark")
    assert serious(page, PANEL) == []
    for control in panel(page).locator("a, button, input").all():
        assert control.evaluate("e => e.ariaLabel || e.innerText")
    page.set_viewport_size({"width": 390, "height": 844})
    assert panel(page).evaluate("e => e.scrollWidth <= e.clientWidth")


def background(page: Any) -> str:
    return str(panel(page).evaluate("e => getComputedStyle(e).backgroundColor"))


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("season")


def test_a_newcomer_hands_in_by_keys_alone(browser: Any, season: Path) -> None:
    work = season / "work"
    with (
        opened("--work", str(work), "--pupil", "7") as (address, _),
        page_of(browser, address) as page,
    ):
        shoot(page, "newcomer")
        tab_to(page, "Lesson 02: Angles from a ruler")
        page.keyboard.press("Enter")
        page.get_by_text("| Idle").first.wait_for(timeout=60_000)  # the kernel is there
        arrow_to(page, "my_answer_02_1 =")
        type_an_answer(page, "my_answer_02_1 = 3.2")
        palette(page, "Check this task")
        said = panel(page).get_by_role("status")
        said.filter(has_text="You typed 3.2°").wait_for(timeout=60_000)
        lesson(page, "02").get_by_text(re.compile("^[01] of 7 checks")).wait_for()
        shoot(page, "checked")
        palette(page, "Hand in this lesson")
        dialog = page.get_by_role("dialog")
        dialog.get_by_text("6 of 7 tasks still have their three dots").wait_for()
        shoot(page, "missing")
        assert serious(page, ".jp-Dialog-content") == []
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        said.filter(has_text="Give this file to your coach").wait_for()
        lesson(page, "02").get_by_text("handed in").first.wait_for()
        shoot(page, "handed-in")
        follow_the_theme(page)
    assert (work / "hand-in" / "pupil-07_02-angles.zip").is_file()


def test_a_newcomer_hands_in_by_mouse(browser: Any, season: Path) -> None:
    """The mouse does everything but the typing of a figure."""
    work = season / "mouse"
    with (
        opened("--work", str(work), "--pupil", "8") as (address, _),
        page_of(browser, address) as page,
    ):
        lesson(page, "02").get_by_role("button", name="Lesson 02").click()
        page.get_by_text("| Idle").first.wait_for(timeout=60_000)
        cell = page.locator(".jp-Notebook-cell").filter(has_text="my_answer_02_1 = ...")
        cell.locator(".cm-content").click(click_count=3)
        page.keyboard.type("my_answer_02_1 = 3,2")  # a comma, as it is written at school
        in_the_menu(page, "Check this task")
        said = panel(page).get_by_role("status")
        said.filter(has_text="comma").wait_for(timeout=60_000)
        shoot(page, "comma")
        in_the_menu(page, "Hand in this lesson")
        dialog = page.get_by_role("dialog")
        dialog.get_by_text("6 of 7 tasks still have their three dots").wait_for()
        dialog.get_by_role("button", name="Hand in").click()
        said.filter(has_text="Give this file to your coach").wait_for()
    assert (work / "hand-in" / "pupil-08_02-angles.zip").is_file()


def test_the_coach_collects_marks_and_gives_back_by_mouse(browser: Any, season: Path) -> None:
    made = season / "work" / "hand-in" / "pupil-07_02-angles.zip"
    if not made.exists():
        pytest.skip("nothing was handed in")
    project = places.checkout()
    assert project is not None
    root = season / "class"
    for name in ("instructor", "course"):
        shutil.copytree(project / name, root / name)
    downloads = root / "marking" / "downloads"
    downloads.mkdir(parents=True)
    shutil.copy(made, downloads / "download (3).zip")
    with opened("--coach", str(root)) as (address, _), page_of(browser, address) as page:
        running = panel(page).get_by_role("region", name="What is running")
        panel(page).get_by_role("button", name="Collect").click()
        running.get_by_text("Collect: done").wait_for(timeout=30_000)
        lesson(page, "02").get_by_text("1 handed in, 0 marked").wait_for()
        lesson(page, "02").get_by_role("button", name="Mark").click()
        running.get_by_text("Mark 02-angles: running").wait_for()
        assert serious(page, PANEL) == []
        running.get_by_role("button", name="Stop").click()
        running.get_by_text("Mark 02-angles: stopped").wait_for(timeout=30_000)
        shoot(page, "stopped")
        lesson(page, "02").get_by_text("1 handed in, 0 marked").wait_for()
        lesson(page, "02").get_by_role("button", name="Mark").click()
        running.get_by_text("Mark 02-angles: running").wait_for()
        page.reload()  # a page that is closed loses nothing
        running.get_by_text("Mark 02-angles: done").wait_for(timeout=90_000)
        lesson(page, "02").get_by_text("1 handed in, 1 marked").wait_for()
        shoot(page, "marked")
        lesson(page, "02").get_by_role("button", name="Pages").click()
        running.get_by_text("Pages for 02-angles: done").wait_for(timeout=60_000)
    (back,) = (root / "marking" / "feedback").glob("*/02-angles/angles.html")
    own = season / "work" / "feedback" / "02-angles"
    own.mkdir(parents=True)
    shutil.copy(back, own)


def test_two_pages_agree_and_a_new_start_finds_everything(browser: Any, season: Path) -> None:
    work = season / "work"
    with (
        opened("--work", str(work)) as (address, process),
        page_of(browser, address) as one,
        page_of(browser, address) as two,
    ):
        lesson(one, "02").get_by_text(MARKED).wait_for()
        shoot(one, "marked-pupil")
        with one.context.expect_page() as tab:
            lesson(one, "02").get_by_role("link", name="Your page back").click()
        tab.value.get_by_text("points in all").wait_for()
        (work / "pupil.toml").write_text("number = 0\n", encoding="utf-8")
        for page in (one, two):
            page.evaluate("() => window.dispatchEvent(new Event('focus'))")
            panel(page).get_by_role("heading", name="Course, visitor").wait_for()
        process.terminate()
        process.wait(30)
        one.evaluate("() => window.dispatchEvent(new Event('focus'))")
        panel(one).get_by_text("JupyterLab does not answer").wait_for()
    with (
        opened("--work", str(work), "--pupil", "7") as (address, _),
        page_of(browser, address) as page,
    ):
        lesson(page, "02").get_by_text(MARKED).wait_for()


def test_a_folder_that_cannot_be_written_says_so(browser: Any, season: Path) -> None:
    work = season / "work"
    bind = 'mount --bind "$1" "$1" && mount -o remount,ro,bind "$1" && shift && exec "$@"'
    words = ["unshare", "--mount", "sh", "-c", bind, "sh", str(work)]
    if os.geteuid() or subprocess.run([*words, "true"], capture_output=True).returncode:
        pytest.skip("this system shows no folder read-only")
    port, token = "18766", "let-me-in"
    process = subprocess.Popen(
        [*words, sys.executable, "-m", "jupyterlab", "--allow-root", "--no-browser",
         f"--ServerApp.port={port}", f"--ServerApp.root_dir={work}"],
        env=os.environ | {"JUPYTER_TOKEN": token},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        context = browser.new_context(viewport={"width": 1366, "height": 768})
        page = context.new_page()
        for _ in range(100):
            try:
                page.goto(f"http://127.0.0.1:{port}/lab?token={token}&reset")
                break
            except Exception:  # it is not up yet
                page.wait_for_timeout(200)
        panel(page).get_by_text("This folder cannot be written").wait_for(timeout=60_000)
        shoot(page, "read-only")
        context.close()
    finally:
        process.kill()  # no kernel was started
        process.wait(30)
