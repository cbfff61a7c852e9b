"""Opening a room: with walls where bubblewrap works, else with the limits that remain."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from types import TracebackType
from typing import IO, Literal

from trimkit import places
from trimkit.classroom import guard, room
from trimkit.classroom.guard import Limits

Wish = Literal["auto", "required", "off"]
_FOLDER = "trimkit-room-"
OPENING_S = 900.0  # for a slow machine that compiles the flight engine first; assumed
_KEPT = ("LANG", "LC_ALL", "LC_CTYPE")
_ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")


class _NoWallsError(Exception):
    """The walls could not be put up."""


def check_system() -> None:
    """See that this system has what a room needs.

    Raises
    ------
    RuntimeError
        On a system that cannot fork, with what to do there.
    """
    if not hasattr(os, "fork"):
        raise RuntimeError(
            "marking a class at once needs Linux or macOS. On Windows use WSL, or mark with "
            "nbgrader autograde."
        )


class Room:
    """A room, opening at once and closed at the end of a `with` block.

    Parameters
    ----------
    practice : sequence of str
        The lesson's own cells, run once to get warm [-].
    lines : int
        How many markers bring notebooks to it [-].
    limits : Limits
        For each notebook [-].
    wish : {"auto", "required", "off"}
        Walls if they work, only with walls, or none [-].
    secrets : sequence of pathlib.Path
        Folders that nobody inside may see [-].
    log : file
        Takes what the room prints [-].
    """

    def __init__(
        self,
        practice: Sequence[str],
        lines: int,
        limits: Limits,
        wish: Wish,
        secrets: Sequence[Path],
        log: IO[str],
    ) -> None:
        self.practice, self.limits, self.secrets, self.log = practice, limits, secrets, log
        self.walled, self.words, self.wish = False, "", wish
        pairs = [socket.socketpair() for _ in range(lines)]
        self.lines = [ours for ours, _ in pairs]
        self._theirs = [theirs for _, theirs in pairs]
        self._own: socket.socket | None = None
        self._process: subprocess.Popen[bytes] | None = None
        _tidy_up()
        self.folder = Path(tempfile.mkdtemp(prefix=f"{_FOLDER}{os.getpid()}-"))
        self._reason = "it was switched off" if wish == "off" else ""
        if wish != "off" and not guard.available():
            self._reason = "bubblewrap is not installed"
        if not self._reason:
            self._start(walled=True)
        elif wish != "required":
            self._start(walled=False)

    def __enter__(self) -> Room:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def wait(self) -> None:
        """Wait until the room is open; meanwhile it gets warm.

        Raises
        ------
        RuntimeError
            When the room cannot open, or walls are required and do not work.
        """
        if not self._reason:
            try:
                self._hear(walled=True)
                self.walled = True
            except _NoWallsError as error:
                self._reason = str(error)
                self._stop()
                if self.wish != "required":
                    self._start(walled=False)
        if self._reason and self.wish == "required":
            raise RuntimeError(
                f"no guard round pupils' code: {self._reason}. Nothing was marked. Install "
                "bubblewrap (apt install bubblewrap), or use --guard auto where nothing is secret."
            )
        if self._reason:
            self._hear(walled=False)
            self.words = (
                f"Guard: limits only, because {self._reason}. Pupils' code could reach the network "
                "and this machine's files: look at the notebooks first."
            )
        for theirs in self._theirs:
            theirs.close()

    def close(self) -> None:
        """Close the room, and end everybody in it."""
        self._stop()
        for line in (*self.lines, *self._theirs):
            line.close()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _stop(self) -> None:
        if self._own is not None:
            self._own.close()
        if self._process is not None:
            with suppress(subprocess.TimeoutExpired):
                self._process.wait(2)
            self._process.kill()
            self._process.wait()

    def _start(self, walled: bool) -> None:
        self._own, first = socket.socketpair()
        scratch, caches = self._scratch(walled)
        numbers = [first.fileno(), *(theirs.fileno() for theirs in self._theirs)]
        around = guard.walls(scratch, self.secrets, caches) if walled else []
        inside = guard.SCRATCH if walled else str(scratch)
        self._process = subprocess.Popen(
            [*around, *room.command(numbers)],
            stdin=subprocess.PIPE,
            stdout=self.log,
            stderr=self.log,
            cwd=scratch,
            env=_environment(inside),
            pass_fds=numbers,
        )
        first.close()
        plan = json.dumps(asdict(self._plan(walled, inside, caches))).encode("ascii")
        with suppress(BrokenPipeError):  # it ended at once; that is heard later
            if self._process.stdin is not None:
                self._process.stdin.write(plan)
                self._process.stdin.close()

    def _plan(self, walled: bool, inside: str, caches: Sequence[Path]) -> room.Plan:
        pairs = [(str(path), f"{inside}/caches/{number}") for number, path in enumerate(caches)]
        return room.Plan(
            walled=walled,
            scratch=inside,
            caches=tuple(pairs),
            practice=tuple(self.practice),
            limits=self.limits,
        )

    def _hear(self, walled: bool) -> None:
        try:
            if self._own is None:
                raise EOFError("it was never started")
            self._own.settimeout(OPENING_S)
            kind, words = room.receive(self._own)
        except (EOFError, OSError) as error:
            if walled:
                raise _NoWallsError("bubblewrap does not work on this machine") from error
            raise RuntimeError(f"the room for pupils' code does not open ({error})") from error
        if kind == room.NO_WALLS:
            raise _NoWallsError(f"this machine refuses it ({words.decode('utf-8', 'replace')})")
        if kind != room.READY:
            raise RuntimeError(words.decode("utf-8", "replace"))

    def _scratch(self, walled: bool) -> tuple[Path, tuple[Path, ...]]:
        scratch = self.folder / ("walled" if walled else "open")
        fonts = scratch / ".cache" / "matplotlib"
        fonts.mkdir(parents=True)
        own = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "matplotlib"
        for kept in own.glob("fontlist-*.json"):
            shutil.copy(kept, fonts)
        caches = _caches() if walled else ()
        for number, path in enumerate(caches):
            shutil.copytree(path, scratch / "caches" / str(number))
        if walled and os.geteuid() == 0:  # the room becomes nobody; the folder above stays shut
            for path in (scratch, *scratch.rglob("*")):
                path.chmod(0o777)
        return scratch, caches


def _tidy_up() -> None:
    """Remove what runs that were killed left behind."""
    for left in Path(tempfile.gettempdir()).glob(f"{_FOLDER}*-*"):
        number = left.name.removeprefix(_FOLDER).split("-")[0]
        with suppress(OSError):
            if number.isdecimal() and left.stat().st_uid == os.geteuid() and _gone(int(number)):
                shutil.rmtree(left, ignore_errors=True)


def _gone(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return True
    return False


def _caches() -> tuple[Path, ...]:
    found = places.package_folder().rglob("*.nbi")
    return tuple(sorted({path.parent for path in found}))


def _environment(home: str) -> dict[str, str]:
    kept = {name: os.environ[name] for name in _KEPT if name in os.environ}
    programs = os.pathsep.join([str(Path(sys.executable).parent), "/usr/bin", "/bin"])
    ours = {"PATH": programs, "HOME": home, "TMPDIR": home, "MPLBACKEND": "agg"}
    return kept | ours | dict.fromkeys(_ONE_THREAD, "1")
