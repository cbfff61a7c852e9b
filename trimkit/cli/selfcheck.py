"""The command selfcheck: what works on this machine, and how to mend what does not."""

from __future__ import annotations

import argparse
import importlib
import importlib.metadata
import shutil
import socket
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from trimkit import places
from trimkit.cli.shared import DONE, NO, Commands, add_json, print_json

NEEDED = ("jupyterlab", "ipywidgets", "anywidget", "nbgrader", "numba", "numpy", "scipy",
          "matplotlib", "tomlkit")  # fmt: skip
OLDEST_PYTHON = (3, 11)
LEAST_FREE_MB = 500
AGAIN = "Install trimkit again: the first line of the README does it"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at.

    Parameters
    ----------
    what : str
        What it is, in plain words [-].
    state : {"good", "mend", "less"}
        Works, must be mended, or works with less [-].
    words : str
        What was found, or what to do [-].
    """

    what: str
    state: str
    words: str

    def line(self) -> str:
        """Say it in one line [-]."""
        return f"{self.state:>4}  {self.what}: {self.words}"


def describe(commands: Commands) -> None:
    """Describe what can be typed after selfcheck.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "selfcheck",
        help="look whether everything works on this machine, and say how to mend what does not",
        description="Look at the installation, lessons, flight engine, library of flights, the "
        "walls round pupils' code, browser and disk. Nothing is changed but what the flight "
        "engine prepares for itself once. No network is used.",
        epilog="Exit status: 0 all that is needed works, 1 something must be mended.",
    )
    add_json(command)
    command.set_defaults(run=_selfcheck)


def _selfcheck(given: argparse.Namespace) -> int:
    found = list(findings())
    good = all(one.state != "mend" for one in found)
    if given.json:
        print_json({"good": good, "findings": [asdict(one) for one in found]})
    else:
        print("\n".join(one.line() for one in found))
        print("All that is needed works." if good else "See the lines that begin with: mend")
    return DONE if good else NO


def findings() -> Iterator[Finding]:
    """Look at everything, one after the other.

    Yields
    ------
    Finding
        What was found [-].
    """
    for what, look in LOOKS.items():
        try:
            state, words = look()
        except Exception as error:  # whatever is broken must not hide the rest
            state, words = "mend", f"{type(error).__name__}: {error}. {AGAIN}"
        yield Finding(what, state, " ".join(words.split()))


def _python() -> tuple[str, str]:
    now = ".".join(map(str, sys.version_info[:3]))
    if sys.version_info[:2] < OLDEST_PYTHON:
        return "mend", f"{now} is too old. Install Python 3.11 or newer, then trimkit again"
    return "good", now


def _packages() -> tuple[str, str]:
    missing = [name for name in NEEDED if not _has(name)]
    if missing:
        return "mend", f"{', '.join(missing)} cannot be loaded. {AGAIN}"
    return "good", ", ".join(f"{one} {importlib.metadata.version(one)}" for one in NEEDED[:4])


def _has(name: str) -> bool:
    try:
        importlib.import_module(name)
    except ImportError:
        return False
    return True


def _lessons() -> tuple[str, str]:
    count = len(list(places.course_folder().glob("[0-9][0-9]-*/*.ipynb")))
    planes = len(places.demo_aeroplanes())
    if not count or not planes:
        return "mend", f"{count} lessons and {planes} aeroplanes were found. {AGAIN}"
    return "good", f"{count} lessons, {planes} demo aeroplanes"


def _engine() -> tuple[str, str]:
    from trimkit import flight
    from trimkit.flight.canon import demo_aeroplanes

    flown = flight.fly(demo_aeroplanes()[0], turns=784.0)
    return "good", f"the trainer flew {flown.duration_s:.0f} s"


def _library() -> tuple[str, str]:
    from trimkit.diagnosis import library

    try:
        return "good", f"{library.fresh().flights} flights, of this state of the physics"
    except library.StaleLibrary as stale:
        return "mend", str(stale)


def _walls() -> tuple[str, str]:
    from trimkit.classroom import guard

    if sys.platform != "linux":
        return "less", "marking is tried on Linux only; lessons work"
    if not guard.available():
        return "less", "no bubblewrap: pupils' code is only limited. Next: apt install bubblewrap"
    return "good", "bubblewrap is here; `trimkit mark --guard required` refuses without it"


def _browser() -> tuple[str, str]:
    import webbrowser

    try:
        webbrowser.get()
    except webbrowser.Error:
        return "less", "none was found: copy the address that `trimkit open` prints into one"
    return "good", "one was found"


def _port() -> tuple[str, str]:
    with socket.socket() as own:
        own.bind(("127.0.0.1", 0))
        return "good", f"JupyterLab can listen on this machine (port {own.getsockname()[1]} tried)"


def _disk() -> tuple[str, str]:
    home = places.default_work_folder().parent
    free_mb = shutil.disk_usage(home).free // 2**20
    for folder in (home, Path(tempfile.gettempdir())):
        try:
            with tempfile.TemporaryFile(dir=folder) as tried:
                tried.write(b"trimkit")
        except OSError as error:
            return "mend", f"{folder} cannot be written to ({error.strerror}). Use --work DIR"
    if free_mb < LEAST_FREE_MB:
        return "mend", f"{free_mb} MB are free in {home}; {LEAST_FREE_MB} are wanted. Make room"
    return "good", f"{home} can be written to, {free_mb} MB free"


LOOKS: dict[str, Callable[[], tuple[str, str]]] = {
    "Python": _python,
    "packages": _packages,
    "lessons": _lessons,
    "flight engine": _engine,
    "library of flights": _library,
    "walls round pupils' code": _walls,
    "browser": _browser,
    "this machine's own network": _port,
    "disk": _disk,
}
