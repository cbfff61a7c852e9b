"""The room in which pupils' notebooks are run: one warm process that forks one for each pupil.

It runs behind the walls of `trimkit.classroom.guard`, as `python -I`, and holds no secret. Along
each of its lines comes one socket for each notebook. A sitter takes it: it puts walls of their
own round the pupil's process, passes on what that process says, and ends it when time is up.
What a pupil's process says is bytes to the sitter, never read as anything else.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import select
import shutil
import signal
import socket
import struct
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NoReturn

from trimkit import places
from trimkit.classroom import guard
from trimkit.classroom.guard import Limits

READY, SAID, ENDED, TROUBLE, NO_WALLS = b"r", b"s", b"e", b"t", b"w"
MOST_BYTES = 48 * 2**20  # that a pupil's process may say; assumed
PRACTICE_S = 300.0  # for one cell of the lesson itself, on a slow machine; assumed
LARGEST_TASK = 64 * 2**20  # bytes of one frame; assumed
_SELDOM = (50_000, 20, 100)  # objects before Python tidies up; a short life makes little litter
_HEAD = struct.Struct("!cI")
_VOICE = 3  # the one file through which a pupil's process speaks
_KEPT = ("PATH", "LANG", "LC_ALL", "MPLBACKEND", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a room is told when it opens.

    Parameters
    ----------
    walled : bool
        Whether every pupil's process must have walls of its own [-].
    scratch : str
        Folder that the room may write to [-].
    caches : tuple of (str, str)
        Folders of compiled code, and the copies to read [-].
    practice : tuple of str
        Cells to run once, so that everything slow is done before the first pupil [-].
    limits : Limits
        For each notebook [-].
    """

    walled: bool
    scratch: str
    caches: tuple[tuple[str, str], ...]
    practice: tuple[str, ...]
    limits: Limits


def send(line: socket.socket, kind: bytes, content: bytes = b"") -> None:
    """Send one frame.

    Parameters
    ----------
    line : socket.socket
        Where to [-].
    kind : bytes
        One byte, such as `SAID` [-].
    content : bytes
        The content [-].
    """
    line.sendall(_HEAD.pack(kind, len(content)) + content)


def receive(line: socket.socket) -> tuple[bytes, bytes]:
    """Receive one frame.

    Parameters
    ----------
    line : socket.socket
        Where from [-].

    Returns
    -------
    (bytes, bytes)
        Kind and content [-].

    Raises
    ------
    EOFError
        When the other end is gone, or sends what is too large.
    """
    kind, length = _HEAD.unpack(_exactly(line, _HEAD.size))
    if length > LARGEST_TASK:
        raise EOFError(f"a frame of {length} bytes")
    return kind, _exactly(line, length)


def main() -> int:
    """Open the room: read the plan from standard input, get warm, and take in pupils.

    Returns
    -------
    int
        Exit status, 0 when the first line was hung up, 1 when the room could not open [-].
    """
    lines = [socket.socket(fileno=int(number)) for number in sys.argv[1].split(",")]
    told = json.loads(sys.stdin.buffer.read())
    plan = Plan(**told | {"limits": Limits(**told["limits"])})
    if plan.walled:
        guard.become_nobody()
    for kind, step in ((NO_WALLS, _rehearse_walls), (TROUBLE, _get_warm)):
        try:
            step(plan)
        except Exception as error:  # whatever it is, the coach is told and no pupil's code runs
            send(lines[0], kind, f"{type(error).__name__}: {error}".encode())
            return 1
    send(lines[0], READY)
    _serve(lines, plan)
    return 0


def _get_warm(plan: Plan) -> None:
    from trimkit.classroom import desk

    os.environ |= places.marking_environment(0, "")
    said: list[dict[str, Any]] = []
    desk.Desk(replace(plan.limits, cell_s=PRACTICE_S), said.append).work(plan.practice)
    for output in (output for line in said for output in line["outputs"]):
        if output["output_type"] == "error":
            raise RuntimeError(f"the lesson itself stops: {output['ename']}: {output['evalue']}")
    gc.collect()
    gc.freeze()  # what is loaded stays; a pupil's process need not look through it
    gc.set_threshold(*_SELDOM)


def _rehearse_walls(plan: Plan) -> None:
    """Put walls round nothing once, so that a kernel that refuses them is known beforehand."""
    if not plan.walled:
        return
    reading, writing = os.pipe()
    if (child := os.fork()) == 0:
        try:
            guard.enclose(plan.limits, plan.caches)
            if (inside := os.fork()) == 0:
                guard.lock_up()
                os._exit(0)
            os.write(writing, b"" if os.waitpid(inside, 0)[1] == 0 else b"locking up failed")
        except OSError as error:
            os.write(writing, str(error).encode())
        os._exit(0)
    os.close(writing)
    os.waitpid(child, 0)
    with os.fdopen(reading, "rb") as said:
        if trouble := said.read():
            raise OSError(trouble.decode("utf-8", "replace"))


def _serve(lines: list[socket.socket], plan: Plan) -> None:
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for a sitter
    first = lines[0]
    while first in lines:
        for line in select.select(lines, [], [])[0]:
            _, handles, _, _ = socket.recv_fds(line, 1, 1)
            if not handles:
                lines.remove(line)
                line.close()
                continue
            if os.fork() == 0:
                for other in lines:
                    other.close()
                _sit(socket.socket(fileno=handles[0]), plan)
            os.close(handles[0])


def _sit(pupil: socket.socket, plan: Plan) -> NoReturn:
    """Watch over one pupil's process; this process ends with it."""
    with contextlib.suppress(BaseException):
        signal.signal(signal.SIGCHLD, signal.SIG_DFL)
        guard.die_with_parent()
        guard.adopt_orphans()
        os.setsid()
        try:
            send(pupil, ENDED, _watched(pupil, plan).encode())
        except (OSError, EOFError, ValueError) as error:
            send(pupil, TROUBLE, f"{type(error).__name__}: {error}".encode())
    os._exit(0)


def _watched(pupil: socket.socket, plan: Plan) -> str:
    _, task = receive(pupil)
    os.environ |= json.loads(task)["environment"]
    home = _home(plan)
    if plan.walled:
        guard.enclose(plan.limits, plan.caches)
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        _work(task, writing, home, plan)
    os.close(writing)
    try:
        return _relay(pupil, reading, plan.limits)
    finally:
        _end(child, plan, home)


def _home(plan: Plan) -> str:
    if plan.walled:
        return guard.HOME
    home = Path(plan.scratch) / f"home-{os.getpid()}"
    home.mkdir(mode=0o700)
    return str(home)


def _relay(pupil: socket.socket, reading: int, limits: Limits) -> str:
    """Pass on bytes until the process is done, too late, says too much, or nobody listens."""
    now = time.monotonic()
    end, cell_end, passed = now + limits.notebook_s, now + limits.cell_s + limits.grace_s, 0
    while (left := min(end, cell_end) - time.monotonic()) > 0:
        either: list[int | socket.socket] = [reading, pupil]
        ready, _, _ = select.select(either, [], [], left)
        if pupil in ready:
            raise EOFError("nobody listens")
        if not ready:
            break
        said = os.read(reading, 1 << 16)
        passed += len(said)
        if not said:
            return "done"
        if passed > MOST_BYTES:
            return "it wrote too much output"
        if b"\n" in said:
            cell_end = time.monotonic() + limits.cell_s + limits.grace_s
        send(pupil, SAID, said)
    return "a cell did not stop when its time was up" if cell_end < end else "time was up"


def _end(child: int, plan: Plan, home: str) -> None:
    """End a process and everything that descends from it."""
    while True:
        for process in {child, *_children()}:
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.kill(process, signal.SIGKILL)
        try:
            os.waitpid(-1, 0)
        except ChildProcessError:
            break
    if not plan.walled:
        shutil.rmtree(home, ignore_errors=True)


def _children() -> list[int]:
    try:
        with open(f"/proc/self/task/{os.getpid()}/children", encoding="ascii") as file:
            return [int(number) for number in file.read().split()]
    except OSError:
        return []


def _work(task: bytes, writing: int, home: str, plan: Plan) -> NoReturn:
    """Be the pupil's process: no way out but `writing`, and no return."""
    with contextlib.suppress(BaseException):
        guard.die_with_parent()
        guard.limit(plan.limits, plan.walled)
        if plan.walled:
            guard.lock_up()
        _settle(writing, home)
        from trimkit.classroom import desk

        def say(line: dict[str, Any]) -> None:
            whole = json.dumps(line, default=str).encode("ascii") + b"\n"
            while whole:
                whole = whole[os.write(_VOICE, whole) :]

        desk.Desk(plan.limits, say).work(json.loads(task)["cells"])
    os._exit(0)


def _settle(writing: int, home: str) -> None:
    os.setsid()
    nothing = os.open(os.devnull, os.O_RDWR)
    for number in (0, 1, 2):
        os.dup2(nothing, number)
    if writing != _VOICE:
        os.dup2(writing, _VOICE)
    os.closerange(_VOICE + 1, 1 << 16)
    os.chdir(home)
    kept = {name: os.environ[name] for name in _KEPT if name in os.environ}
    ours = {name: v for name, v in os.environ.items() if name.startswith("TRIMKIT_")}
    os.environ.clear()
    os.environ |= kept | ours | {"HOME": home, "TMPDIR": home, "MPLCONFIGDIR": home}


def _exactly(line: socket.socket, length: int) -> bytes:
    parts: list[bytes] = []
    while length:
        part = line.recv(min(length, 1 << 20))
        if not part:
            raise EOFError("the line was hung up")
        parts.append(part)
        length -= len(part)
    return b"".join(parts)


def open_line(line: socket.socket) -> socket.socket:
    """Bring a pupil to the room.

    Parameters
    ----------
    line : socket.socket
        The line to the room [-].

    Returns
    -------
    socket.socket
        The pupil's own line to a sitter [-].
    """
    ours, theirs = socket.socketpair()
    with theirs:
        try:
            socket.send_fds(line, [b"p"], [theirs.fileno()])
        except OSError:
            ours.close()
            raise
    return ours


def command(numbers: Sequence[int]) -> list[str]:
    """Make the command that opens a room.

    Parameters
    ----------
    numbers : sequence of int
        Numbers of the open lines [-].

    Returns
    -------
    list of str
        The command; the plan goes to its standard input as JSON [-].
    """
    start = (
        "import sys; sys.path.insert(0, sys.argv.pop(1)); "
        "from trimkit.classroom.room import main; sys.exit(main())"
    )
    parent = str(places.package_folder().parent)
    return [sys.executable, "-I", "-c", start, parent, ",".join(map(str, numbers))]
