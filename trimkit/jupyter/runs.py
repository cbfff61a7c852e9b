"""Long work for a coach, one thing at a time, that outlives the page it was started from.

Each runs in a process of its own (`worker`). What the last one came to is kept in the marking
folder, so that a server that was stopped in the middle says so when it is started again.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import IO, Any

from trimkit import files
from trimkit.jupyter import server
from trimkit.jupyter.worker import Order

KEPT, LOG = "last-run.json", "last-run.log"
GRACE_S = 20.0  # for a marker to lay its work down before it is ended
TITLES = {
    "hand-out": "Hand out {lesson}",
    "collect": "Collect",
    "mark": "Mark {lesson}",
    "pages": "Pages for {lesson}",
    "report": "Report",
    "rehearse": "Rehearsal",
}
CUT_SHORT = "JupyterLab was stopped in the middle of this."
STOPPED = "Stopped."
WHAT_NOW = {
    "mark": "What is marked stays marked. Start it again, and it goes on.",
    **dict.fromkeys(("hand-out", "collect", "pages", "report"), "Nothing is lost. Start it again."),
    "rehearse": "A rehearsal begins anew, in a new folder. Throw the old one away.",
}


class BusyError(ValueError):
    """Something runs already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """How far a piece of long work is.

    Parameters
    ----------
    number : int
        1 for the first since the server was started [-].
    kind : {"hand-out", "collect", "mark", "pages", "report", "rehearse"}
        What it is [-].
    title : str
        The same in words [-].
    state : {"running", "stopping", "good", "not good", "stopped", "cut short"}
        How it is with it [-].
    done, of : int
        How much is done, and of how much; 0 of 0 when that is not known [-].
    words : str
        What there is to read [-].
    files : tuple of str
        What was written, below the course folder [-].
    """

    number: int
    kind: str
    title: str
    state: str = "running"
    done: int = 0
    of: int = 0
    words: str = ""
    files: tuple[str, ...] = ()

    @property
    def over(self) -> bool:
        """Whether it has ended, one way or another [-]."""
        return self.state not in ("running", "stopping")


class Runs:
    """The long work of one course folder.

    Parameters
    ----------
    root : pathlib.Path
        The course folder [-].
    """

    def __init__(self, root: Path) -> None:
        self._root = root
        self._lock = threading.RLock()
        self._process: subprocess.Popen[str] | None = None
        self._outcome: dict[str, Any] | None = None  # told, but its process has not ended yet
        self.last = _kept(root / "marking" / KEPT)

    def start(self, order: Order) -> Run:
        """Start something.

        Parameters
        ----------
        order : Order
            What [-].

        Returns
        -------
        Run
            It, running [-].

        Raises
        ------
        BusyError
            When something runs already.
        OSError
            When the marking folder cannot be written; nothing is started then.
        """
        with self._lock:
            if self.last is not None and not self.last.over:
                raise BusyError(f"{self.last.title} is still running. Wait, or stop it first.")
            number = self.last.number + 1 if self.last else 1
            run = Run(
                number=number, kind=order.kind, title=TITLES[order.kind].format(**asdict(order))
            )
            self._keep(run)
            self._process = _process(order, self._root / "marking" / LOG)
            self.last = run
            threading.Thread(target=self._watch, args=(self._process,), daemon=True).start()
            return run

    def stop(self, number: int) -> Run | None:
        """Ask the running work to stop.

        Parameters
        ----------
        number : int
            Its number [-].

        Returns
        -------
        Run or None
            It as it is now, None when there is none of that number [-].
        """
        with self._lock:
            if self.last is None or self.last.number != number:
                return None
            if self.last.state == "running" and self._process is not None:
                self.last = replace(self.last, state="stopping")
                _close(self._process.stdin)
                end = threading.Timer(GRACE_S, _kill, [self._process])
                end.daemon = True
                end.start()
            return self.last

    def _watch(self, process: subprocess.Popen[str]) -> None:
        for line in process.stdout or ():
            self._note(json.loads(line))
        process.wait()
        with self._lock:
            for pipe in (process.stdin, process.stdout):
                _close(pipe)
            self._end()

    def _note(self, message: dict[str, Any]) -> None:
        with self._lock:
            if self.last is None:
                return
            if "good" in message:
                self._outcome = message
            elif "say" in message:
                self.last = replace(self.last, words=message["say"])
            else:
                self.last = replace(self.last, done=message["done"], of=message["of"])

    def _end(self) -> None:
        if self.last is None:
            return
        if told := self._outcome:
            state, names = "good" if told["good"] else "not good", tuple(told["files"])
            self.last = replace(self.last, state=state, words=told["words"], files=names)
        elif self.last.state == "stopping":
            self.last = replace(self.last, state="stopped", words=_ended(STOPPED, self.last))
        else:
            words = f"It ended in a way that was not foreseen. What it said is in marking/{LOG}."
            self.last = replace(self.last, state="not good", words=words)
        self._outcome = None
        with contextlib.suppress(OSError):  # it is told on the page all the same
            self._keep(self.last)

    def _keep(self, run: Run) -> None:
        path = self._root / "marking" / KEPT
        path.parent.mkdir(exist_ok=True)
        files.write_whole(path, json.dumps(asdict(run)).encode("utf-8"))


def _kept(path: Path) -> Run | None:
    try:
        run = Run(**json.loads(path.read_text("utf-8")))
    except (OSError, ValueError, TypeError):
        return None
    run = replace(run, files=tuple(run.files))
    return run if run.over else replace(run, state="cut short", words=_ended(CUT_SHORT, run))


def _ended(how: str, run: Run) -> str:
    return f"{how} {WHAT_NOW[run.kind]}"


def _process(order: Order, log: Path) -> subprocess.Popen[str]:
    with log.open("wb") as said:
        process = subprocess.Popen(
            [sys.executable, "-P", "-m", "trimkit.jupyter.worker"],
            cwd=order.root,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=said,
            text=True,
            encoding="utf-8",
            **server.apart(),
        )
    with contextlib.suppress(BrokenPipeError):  # its end is seen by `_watch`
        if process.stdin is not None:
            process.stdin.write(json.dumps(asdict(order)) + "\n")
            process.stdin.flush()
    return process


def _close(pipe: IO[str] | None) -> None:
    with contextlib.suppress(OSError):
        if pipe is not None:
            pipe.close()


def _kill(process: subprocess.Popen[str]) -> None:
    if process.poll() is not None:
        return
    end: Callable[[], object] = process.kill
    if sys.platform != "win32":
        end = lambda: os.killpg(process.pid, signal.SIGKILL)  # noqa: E731
    with contextlib.suppress(OSError):
        end()
