"""A Jupyter server with the course's doors, asked as a browser would ask it."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import pytest

from trimkit import places
from trimkit.jupyter.server import HOST

TOKEN = "let-me-in"
Ask = Callable[..., tuple[int, Any]]


@contextmanager
def serving(root: Path, *before: str) -> Iterator[tuple[Ask, subprocess.Popen[bytes]]]:
    """Serve a folder; `before` goes in front of the command, such as another view of the disc."""
    with socket.socket() as probe:  # one of the system's choice: others run servers here too
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    home = root.parent / "jupyter-home"
    home.mkdir(exist_ok=True)
    quiet = {name: str(home) for name in ("JUPYTER_CONFIG_DIR", "JUPYTER_RUNTIME_DIR")}
    command = [sys.executable, "-P", "-m", "jupyter_server", "--allow-root", "--no-browser"]
    command += [
        f"--ServerApp.ip={HOST}",
        f"--ServerApp.port={port}",
        f"--ServerApp.root_dir={root}",
    ]
    command += ["--ServerApp.jpserver_extensions={'trimkit.jupyter.extension': True}"]
    process = subprocess.Popen(
        [*before, *command],
        env=os.environ | quiet | {"JUPYTER_NO_CONFIG": "1", "JUPYTER_TOKEN": TOKEN},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )

    def ask(path: str, method: str = "GET", body: object = None, token: str = TOKEN) -> Any:
        raw = body if isinstance(body, bytes) or body is None else json.dumps(body).encode()
        request = urllib.request.Request(
            f"http://{HOST}:{port}/{path}",
            data=raw,
            headers={"Authorization": f"token {token}"},
            method=method,
        )
        direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        try:
            with direct.open(request, timeout=30) as reply:
                return reply.status, json.loads(reply.read() or b"null")
        except urllib.error.HTTPError as refused:
            with refused:
                said = refused.read()
            return refused.code, json.loads(said) if said.startswith(b"{") else None

    try:
        for _ in range(300):
            assert process.poll() is None, "the server ended at once"
            with suppress(OSError):
                if ask("api/status")[0] == 200:
                    break
            time.sleep(0.1)
        yield ask, process
    finally:
        process.terminate()
        process.wait(30)


@pytest.fixture(scope="module")
def class_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a coach's course folder: two lessons, and nobody has handed in."""
    root = tmp_path_factory.mktemp("class") / "season"
    project = places.checkout()
    assert project is not None
    shutil.copytree(project / "instructor", root / "instructor")
    shutil.copytree(project / "course", root / "course")
    return root.resolve()


@pytest.fixture(scope="session", name="serving")
def serving_() -> Any:
    """Give what serves a folder."""
    return serving
