"""JupyterLab for one work folder: started here, asked for its state, and stopped.

It listens on this machine only, asks nothing of the outside, and leaves the user's own
Jupyter settings as they are.
"""

from __future__ import annotations

import json
import os
import re
import secrets
import socket
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from trimkit import places

HOST = "127.0.0.1"
FIRST_PORT = 8888
PORTS_TRIED = 100
START_SECONDS = 120.0
STARTS = 5  # a class on one machine may want the same port at once
_PORT_TAKEN = re.compile(r"port \d+ is (?:already in use|not available)")
STOP_SECONDS = 15.0
ALONE = (  # nothing is asked of the outside, and no slider waits for the network
    "--LabApp.news_url=None",
    "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
    "--LabApp.extension_manager=readonly",
    "--ServerApp.kernel_websocket_connection_class=trimkit.jupyter.channel.PromptChannel",
)
SETTINGS = (
    f"--ServerApp.ip={HOST}",
    "--ServerApp.port_retries=0",
    "--ServerApp.open_browser=False",
    *ALONE,
)
SETTINGS_FOLDER = ".lab"
QUIET: dict[str, object] = {
    "settings/@jupyterlab/apputils-extension/notification.jupyterlab-settings": {
        "fetchNews": "false",
        "checkForUpdates": False,
    },
    "settings/@jupyterlab/notebook-extension/tracker.jupyterlab-settings": {
        "windowingMode": "none"  # every cell is there for a screen reader and for "find"
    },
}
FOR_PUPILS: dict[str, object] = {
    "config/labconfig/page_config.json": {"disabledExtensions": {"@jupyter/nbgrader": True}},
}


class StartError(RuntimeError):
    """JupyterLab ended before it answered, or took too long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lab:
    """A running JupyterLab.

    Parameters
    ----------
    process : subprocess.Popen
        The server [-].
    port : int
        Where it listens [-].
    token : str
        What a browser must show [-].
    """

    process: subprocess.Popen[bytes]
    port: int
    token: str

    @property
    def address(self) -> str:
        """Give the address for a browser.

        Returns
        -------
        str
            With its token [-].
        """
        return f"http://{HOST}:{self.port}/lab?token={self.token}"

    def ask(self, path: str, method: str = "GET") -> Any:
        """Ask the server something.

        Parameters
        ----------
        path : str
            Such as "api/status" [-].
        method : str
            "GET" or "POST" [-].

        Returns
        -------
        plain data
            The answer, None when it is empty [-].

        Raises
        ------
        OSError
            When there is no answer, or a refusal.
        """
        request = urllib.request.Request(
            f"http://{HOST}:{self.port}/{urllib.parse.quote(path, safe='/?=')}",
            headers={"Authorization": f"token {self.token}"},
            method=method,
        )
        direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        with direct.open(request, timeout=30) as reply:
            raw = reply.read()
        return json.loads(raw) if raw else None

    def stop(self) -> None:
        """Stop the server and its kernels, by asking first."""
        with suppress(OSError, ValueError):
            self.ask("api/shutdown", "POST")
        for last_resort in (self.process.terminate, self.process.kill):
            try:
                self.process.wait(STOP_SECONDS)
                return
            except subprocess.TimeoutExpired:
                last_resort()
        self.process.wait()


@contextmanager
def running(work: Path, coach: bool = False) -> Iterator[Lab]:
    """Run JupyterLab in a work folder for as long as the block lasts.

    Parameters
    ----------
    work : pathlib.Path
        What it shows: a pupil's work folder, or a coach's course folder [-].
    coach : bool
        Whether it is a course folder; nbgrader's own tools are there then [-].

    Yields
    ------
    Lab
        A server that has answered once [-].

    Raises
    ------
    StartError
        With the end of what the server said.
    """
    with tempfile.TemporaryFile() as said:
        lab = _answering(work, coach, said)
        try:
            yield lab
        finally:
            lab.stop()


def quiet(work: Path, more: Mapping[str, object]) -> dict[str, str]:
    """Write the course's own Lab settings into a folder: no news, every cell in the page.

    Parameters
    ----------
    work : pathlib.Path
        The folder [-].
    more : mapping of str to plain data
        Further files and what they hold [-].

    Returns
    -------
    dict of str to str
        Environment variables that point JupyterLab at them [-].
    """
    folder = work / SETTINGS_FOLDER
    for name, content in (QUIET | dict(more)).items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if not path.exists():  # what a pupil chose stays
            path.write_text(json.dumps(content), encoding="utf-8")
    return {
        "JUPYTERLAB_SETTINGS_DIR": str(folder / "settings"),
        "JUPYTERLAB_WORKSPACES_DIR": str(folder / "workspaces"),  # which pages are open
        "JUPYTER_CONFIG_PATH": str(folder / "config"),
    }


def around(folder: Path, coach: bool) -> dict[str, str]:
    """Make the environment in which JupyterLab shows the course, with its settings in a folder.

    Parameters
    ----------
    folder : pathlib.Path
        A pupil's work folder, or a coach's course folder [-].
    coach : bool
        Whether it is a course folder [-].

    Returns
    -------
    dict of str to str
        Environment variables [-].
    """
    prefer = {"JUPYTER_PREFER_ENV_PATH": "1"}
    if not coach:
        return quiet(folder, FOR_PUPILS) | prefer
    marking = folder / "marking"
    marking.mkdir(exist_ok=True)
    return (
        quiet(marking, {}) | prefer | {places.COURSE_ROOT: str(folder), "PATH": places.programs()}
    )


def _start(work: Path, coach: bool, said: IO[bytes]) -> Lab:
    port, token = _free_port(), secrets.token_hex(24)
    command = [sys.executable, "-P", "-m", "jupyterlab", *SETTINGS]
    command += [f"--ServerApp.port={port}", f"--ServerApp.root_dir={work}"]
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        command.append("--allow-root")
    process = subprocess.Popen(
        command,
        cwd=work / "instructor" if coach else work,  # where nbgrader finds its settings
        env=os.environ | around(work, coach) | {"JUPYTER_TOKEN": token},
        stdin=subprocess.DEVNULL,
        stdout=said,
        stderr=said,
        **apart(),
    )
    return Lab(process=process, port=port, token=token)


def apart() -> dict[str, Any]:
    """Keep Ctrl-C in the terminal from a process; the server would ask whether it is meant.

    Returns
    -------
    dict
        Arguments for subprocess.Popen [-].
    """
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
    return {"start_new_session": True}


def _answering(work: Path, coach: bool, said: IO[bytes]) -> Lab:
    """Start, and again when somebody took the port between our look and the server's."""
    left = STARTS
    while True:
        left -= 1
        lab = _start(work, coach, said)
        try:
            _wait_until_it_answers(lab, said)
            return lab
        except BaseException as error:
            lab.stop()
            if not left or not _PORT_TAKEN.search(str(error)):
                raise
            said.seek(0)
            said.truncate()


def _wait_until_it_answers(lab: Lab, said: IO[bytes]) -> None:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline:
        if lab.process.poll() is not None:
            raise StartError(f"JupyterLab ended at once. It said:\n{_end_of(said)}")
        with suppress(OSError):
            lab.ask("api/status")
            return
        time.sleep(0.1)
    raise StartError(f"JupyterLab gave no answer. It said:\n{_end_of(said)}")


def _end_of(said: IO[bytes]) -> str:
    said.seek(0)
    return "\n".join(said.read().decode("utf-8", "replace").splitlines()[-15:])


def _free_port() -> int:
    for port in (*range(FIRST_PORT, FIRST_PORT + PORTS_TRIED), 0):
        with socket.socket() as probe, suppress(OSError):
            probe.bind((HOST, port))
            return int(probe.getsockname()[1])
    raise StartError("no free port on this machine")
