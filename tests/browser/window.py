"""A browser's window on JupyterLab: it notes errors and requests, opens notebooks, runs them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import nbformat

LAPTOP = {"width": 1366, "height": 768}
KERNEL = {"name": "python3", "display_name": "Python 3", "language": "python"}
AT_HOME = {"localhost", "127.0.0.1"}
BAD = {"serious", "critical"}


@contextmanager
def watched_page(browser: Any, **options: Any) -> Iterator[Any]:
    """Open a page; `trouble` has its errors, `elsewhere` the requests that leave the machine."""
    context = browser.new_context(**{"viewport": LAPTOP, **options})
    page = context.new_page()
    page.trouble = []
    page.elsewhere = []
    page.on("pageerror", lambda error: page.trouble.append(str(error)))
    page.on("console", lambda said: _note_error(page, said))
    page.on("request", lambda request: _note_elsewhere(page, request.url))
    page.on("websocket", lambda socket: _note_elsewhere(page, socket.url))
    yield page
    context.close()


def _note_error(page: Any, said: Any) -> None:
    if said.type == "error":
        page.trouble.append(said.text)


def _note_elsewhere(page: Any, address: str) -> None:
    where = urlsplit(address)
    if where.scheme in {"http", "https", "ws", "wss"} and where.hostname not in AT_HOME:
        page.elsewhere.append(address)


def write_notebook(path: Path, sources: Sequence[str]) -> None:
    """Write a notebook with one cell of code for each source."""
    cells = [nbformat.v4.new_code_cell(source) for source in sources]
    made = nbformat.v4.new_notebook(cells=cells, metadata={"kernelspec": KERNEL})
    nbformat.write(made, path)


def open_notebook(page: Any, address: str, path: str) -> None:
    """Open a notebook of the work folder, and wait for its kernel."""
    base, _, query = address.partition("?")
    page.goto(f"{base.removesuffix('/lab')}/lab/tree/{path}?{query}&reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell", timeout=60_000)
    page.get_by_text("| Idle").first.wait_for(timeout=60_000)


def choose(page: Any, menu: str, item: str | re.Pattern[str]) -> None:
    """Choose an item of a menu."""
    page.get_by_role("menuitem", name=menu, exact=True).click()
    page.get_by_role("menuitem", name=item).first.click()


def choose_theme(page: Any, theme: str) -> None:
    """Choose a theme in the menu of settings."""
    page.get_by_role("menuitem", name="Settings", exact=True).click()
    for words in ("Theme", theme):
        page.locator(".lm-Menu-itemLabel").get_by_text(words, exact=True).click()


def run_all(page: Any) -> None:
    """Run all cells; does not wait for them."""
    choose(page, "Run", re.compile("^Run All Cells"))


def with_theme(page: Any, theme: str) -> None:
    """Let the server answer as that of a user who chose a theme."""

    def answer(route: Any) -> None:
        given = route.fetch()
        found = given.json()
        for one in found["settings"]:
            if one["id"] == "@jupyterlab/apputils-extension:themes":
                one["raw"] = f'{{"theme": "{theme}"}}'
        route.fulfill(response=given, json=found)

    page.route("**/lab/api/settings?*", answer)


def serious(page: Any, *places: str) -> list[tuple[str, list[str]]]:
    """Say what axe-core finds serious in some places of the page: the rule, and the elements."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, context={"include": [[one] for one in places]})
    bad = [one for one in found.response["violations"] if one["impact"] in BAD]
    return [(one["id"], [node["html"][:150] for node in one["nodes"]]) for one in bad]
