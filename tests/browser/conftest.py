"""A real browser on a real JupyterLab, as a pupil would have them."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
CHROMIUM = "/usr/bin/chromium"  # Debian's package


def _needed(reason: str) -> None:
    if "browser" in os.environ.get("TRIMKIT_REQUIRE", ""):
        pytest.fail(reason)
    pytest.skip(reason)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _needed("playwright is not installed: use the group browser")
    if not Path(CHROMIUM).exists():
        _needed(f"no browser at {CHROMIUM}: install Debian's chromium")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield chromium
        chromium.close()


@pytest.fixture(scope="session")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    """Start `trimkit open` on a new work folder; give its address and the folder."""
    work = tmp_path_factory.mktemp("season") / "work"
    command = [
        sys.executable,
        "-m",
        "trimkit",
        "open",
        "--work",
        str(work),
        "--pupil",
        "7",
        "--no-browser",
    ]
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, encoding="utf-8"
    )
    assert process.stdout is not None
    seen = []
    for line in process.stdout:
        seen.append(line)
        found = re.search(r"http://(?:localhost|127\.0\.0\.1):\d+/lab\S*", line)
        if found:
            yield found.group(), work
            break
    else:
        pytest.fail("trimkit open gave no address:\n" + "".join(seen))
    process.terminate()
    process.wait(timeout=30)
    process.stdout.close()
