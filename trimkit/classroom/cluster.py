"""Marking on several machines: pupils' notebooks run in rooms on the workers of a Dask cluster.

Only the notebooks' cells travel, and what they said comes back as bytes. Each worker runs them
behind the same walls as this machine would. Keys, marks and the gradebook stay here, with nbgrader.
A worker that is lost takes nothing along: Dask has what it was doing done by another.
"""

from __future__ import annotations

import atexit
import importlib
import logging
import re
import socket
import sys
import threading
from asyncio import CancelledError
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import IO, Any

from trimkit.classroom import room
from trimkit.classroom.guard import Limits
from trimkit.classroom.host import OPENING_S, Room, Wish
from trimkit.classroom.visit import WAIT_S

CONNECT_S = 15.0  # for a scheduler to answer, and for its first worker to come; assumed
BEAT_S = 5.0  # between signs that a notebook is still under way
WITHOUT_DASK = "marking on a cluster needs Dask on this machine: install trimkit[cluster]"
_OF_DASK = re.compile(r"distributed\b")
_ADDRESS = re.compile(r"((tcp|tls)://)?[^\s/:]+:\d{1,5}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """What a worker must know to open a room.

    Parameters
    ----------
    practice : tuple of str
        The lesson's own cells, run once to get warm [-].
    limits : Limits
        For each notebook [-].
    wish : {"required", "off"}
        Only with walls, or none [-].
    secrets : tuple of str
        Folders that nobody inside may see, where the worker has them [-].
    version : str
        Of trimkit, which must be the same everywhere [-].
    """

    practice: tuple[str, ...]
    limits: Limits
    wish: Wish
    secrets: tuple[str, ...]
    version: str


class Cluster:
    """A Dask cluster, joined until it is closed.

    Parameters
    ----------
    address : str
        Of its scheduler, such as "tcp://10.0.0.5:8786" [-].

    Raises
    ------
    ValueError
        When nobody answers there, or there is no worker.
    RuntimeError
        When Dask is not installed here.
    """

    def __init__(self, address: str) -> None:
        if not _ADDRESS.fullmatch(address):
            raise ValueError(
                f"{address[:60]!r} is no address of a cluster. Give the one that the scheduler "
                "printed, such as tcp://10.0.0.5:8786"
            )
        try:
            dask = importlib.import_module("distributed")
        except ModuleNotFoundError as error:
            raise RuntimeError(WITHOUT_DASK) from error
        for name in filter(_OF_DASK.match, logging.root.manager.loggerDict):
            logging.getLogger(name).setLevel(logging.CRITICAL)  # what is wrong is said here
        try:
            self.client: Any = dask.Client(address, timeout=CONNECT_S, set_as_default=False)
        except OSError as error:
            raise ValueError(
                f"no cluster answers at {address}. Start one with: dask scheduler. Then give the "
                "address that it prints"
            ) from error
        try:
            self.client.wait_for_workers(1, timeout=CONNECT_S)
        except TimeoutError as error:
            self.client.close()
            raise ValueError(
                f"the cluster at {address} has no worker. On each machine that is to help, run: "
                f"dask worker {address}"
            ) from error

    def close(self) -> None:
        """Leave the cluster; it goes on without us."""
        self.client.close()

    @property
    def slots(self) -> int:
        """How many notebooks can run at a time [-]."""
        return sum(self.client.nthreads().values())

    def room(
        self,
        practice: Sequence[str],
        lines: int,
        limits: Limits,
        wish: Wish,
        secrets: Sequence[Path],
        log: IO[str],
    ) -> FarRoom:
        """Open rooms on all workers, which look from here like one `Room`.

        Pupils' code that gets at a worker could get at the whole cluster, so there are walls
        unless they were switched off.

        Parameters
        ----------
        practice, lines, limits, wish, secrets, log
            As for `Room` [-].

        Returns
        -------
        FarRoom
            To be waited for and closed as a `Room` is [-].
        """
        order = Order(
            practice=tuple(practice),
            limits=limits,
            wish="off" if wish == "off" else "required",
            secrets=tuple(str(path.resolve()) for path in secrets),
            version=version("trimkit"),
        )
        return FarRoom(self.client, order, lines, log)


class FarRoom:
    """Rooms on the workers of a cluster, with the same lines as a `Room` has.

    Parameters
    ----------
    client : distributed.Client
        A client of the cluster [-].
    order : Order
        What the workers must know [-].
    lines : int
        How many markers bring notebooks [-].
    log : file
        Takes a line for each notebook that had to be given up [-].
    """

    def __init__(self, client: Any, order: Order, lines: int, log: IO[str]) -> None:
        self.client, self.order, self.log = client, order, log
        self.walled, self.words = False, ""
        pairs = [socket.socketpair() for _ in range(lines)]
        self.lines = [ours for ours, _ in pairs]
        self._porters = [
            threading.Thread(target=self._serve, args=(theirs,)) for _, theirs in pairs
        ]
        self._theirs = [theirs for _, theirs in pairs]

    def wait(self) -> None:
        """Wait until every worker has its room open.

        Raises
        ------
        RuntimeError
            When one cannot open it, or has another version of trimkit.
        """
        workers = self._workers()
        if not workers:
            raise RuntimeError(
                "the cluster does not answer any more, or has no worker left. What is marked stays "
                "marked: start it again, then mark again"
            )
        asked = [
            self.client.submit(ready, self.order, workers=[one], pure=False) for one in workers
        ]
        for worker, future in zip(workers, asked, strict=True):
            try:
                self.words = self.words or future.result(timeout=OPENING_S)
            except (Exception, CancelledError) as error:  # also Dask's, when there is no trimkit
                raise RuntimeError(
                    f"the worker {worker} cannot help: {_short(error)}. Nothing was marked. It "
                    f"needs trimkit {self.order.version} and, unless you say --guard off, "
                    "bubblewrap (apt install bubblewrap)"
                ) from None
        self.walled = not self.words
        for porter in self._porters:
            porter.start()

    def close(self) -> None:
        """Hang up all lines; the workers keep their rooms warm for the next time."""
        for line in (*self.lines, *self._theirs):
            with suppress(OSError):
                line.shutdown(socket.SHUT_RDWR)
        for porter in self._porters:
            if porter.ident is not None:
                porter.join()
        for line in (*self.lines, *self._theirs):
            line.close()

    def _serve(self, line: socket.socket) -> None:
        """Take in one notebook after another; each comes with a line of its own."""
        while True:
            try:
                _, handles, _, _ = socket.recv_fds(line, 1, 1)
            except OSError:
                return
            if not handles:
                return
            with socket.socket(fileno=handles[0]) as pupil, suppress(OSError, EOFError):
                self._attend(pupil)

    def _attend(self, pupil: socket.socket) -> None:
        _, task = room.receive(pupil)
        future = self.client.submit(attend, self.order, task, pure=False)
        try:
            while not self._came(future):
                room.send(pupil, room.SAID)  # nothing yet, but it is under way
            kind, said, last = future.result()
        except (Exception, CancelledError) as error:  # nobody listens, or the cluster gave it up
            print(f"cluster: {_short(error)}", file=self.log, flush=True)
            future.cancel()
            kind, said, last = room.TROUBLE, b"", b"the cluster gave it up"
        room.send(pupil, room.SAID, said)
        room.send(pupil, kind, last)

    def _came(self, future: Any) -> bool:
        with suppress(TimeoutError):
            future.result(timeout=BEAT_S)
            return True
        if not self._workers():
            raise EOFError("there is no worker left")
        return False

    def _workers(self) -> list[str]:
        with suppress(OSError, CancelledError):
            if self.client.status == "running":
                return list(self.client.nthreads())
        return []


def _short(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:200]


# --- what runs on a worker ---

_doorkeeper = ThreadPoolExecutor(1)  # walls fall with the thread that put them up; this one stays
_rooms: dict[Order, Room] = {}


def ready(order: Order) -> str:
    """Open this worker's room, if it is not open yet.

    Parameters
    ----------
    order : Order
        What it must know [-].

    Returns
    -------
    str
        What the coach should know of its walls, empty when all is well [-].

    Raises
    ------
    RuntimeError
        When it cannot open, or trimkit has another version here.
    """
    return _doorkeeper.submit(_opened, order).result().words


def attend(order: Order, task: bytes) -> tuple[bytes, bytes, bytes]:
    """Run one notebook in this worker's room.

    Parameters
    ----------
    order : Order
        What the room must know [-].
    task : bytes
        Cells and environment, as `trimkit.classroom.visit` writes them [-].

    Returns
    -------
    (bytes, bytes, bytes)
        How it ended, all that was said, and the last word, as the room gives them [-].
    """
    said: list[bytes] = []
    try:
        open_room = _doorkeeper.submit(_opened, order).result()
        with room.open_line(open_room.lines[0]) as pupil:
            pupil.settimeout(order.limits.notebook_s + WAIT_S)
            room.send(pupil, b"p", task)
            kind, words = room.receive(pupil)
            while kind == room.SAID:
                said.append(words)
                kind, words = room.receive(pupil)
    except (OSError, EOFError, RuntimeError) as error:
        _doorkeeper.submit(_close).result()  # the next notebook gets a new one
        return room.TROUBLE, b"", f"the room on a worker was lost ({error})".encode()
    return kind, b"".join(said), words


def _opened(order: Order) -> Room:
    if order.version != version("trimkit"):
        raise RuntimeError(f"it has trimkit {version('trimkit')}")
    if order not in _rooms:
        _close()
        hidden = [path for path in map(Path, order.secrets) if path.exists()]
        made = Room(order.practice, 1, order.limits, order.wish, hidden, sys.stderr)
        try:
            made.wait()
        except BaseException:
            made.close()
            raise
        _rooms[order] = made
    return _rooms[order]


def _close() -> None:
    while _rooms:
        _rooms.popitem()[1].close()


atexit.register(_close)
