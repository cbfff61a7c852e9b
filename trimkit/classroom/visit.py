"""A notebook's visit to the room: its cells go there, and what they showed comes back.

Whatever comes back was written by a pupil's process. It is taken as data in the notebook's own
format and nothing else; what does not fit is left out and counted.
"""

from __future__ import annotations

import json
import socket
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from nbformat import NotebookNode
from nbformat.v4 import new_output

from trimkit.classroom import room
from trimkit.classroom.message import ANSWER_TYPE, LARGEST_ANSWER

WAIT_S = 30.0  # beyond a notebook's own time, before the room counts as lost; assumed
LONGEST_LINE = 32 * 2**20
LARGEST_KEPT = 8 * 2**20  # characters of a notebook's output; a lesson's own takes half a million
_DONE = "done"
_STREAMS = ("stdout", "stderr")


class RoomLostError(Exception):
    """The room is gone; nobody's notebook is to blame."""


@dataclass(slots=True)
class Visit:
    """What came back.

    Parameters
    ----------
    outputs : dict of int to list of NotebookNode
        Outputs by the number of the cell as it was sent [-].
    late : list of int
        Cells that were stopped because their time was up [-].
    stopped : str
        Why the run ended early, empty when it did not [-].
    left_out : int
        Things that came back and were too many or not as they should be [-].
    size : int
        Size of what came back [characters].
    """

    outputs: dict[int, list[NotebookNode]] = field(default_factory=dict)
    late: list[int] = field(default_factory=list)
    stopped: str = ""
    left_out: int = 0
    size: int = 0


def visit(
    line: socket.socket, cells: Sequence[str], environment: Mapping[str, str], longest_s: float
) -> Visit:
    """Send cells to the room and wait for what they show.

    Parameters
    ----------
    line : socket.socket
        A line to the room [-].
    cells : sequence of str
        Their sources, in order [-].
    environment : mapping of str to str
        What the pupil's process finds in its environment [-].
    longest_s : float
        The limit for a notebook [s].

    Returns
    -------
    Visit
        What came back [-].

    Raises
    ------
    RoomLostError
        When the room does not answer or could not put up its walls.
    """
    task = json.dumps({"cells": list(cells), "environment": dict(environment)}).encode()
    found = Visit()
    try:
        with room.open_line(line) as own:
            own.settimeout(longest_s + WAIT_S)
            room.send(own, b"p", task)
            kind, last = _listen(own, found, len(cells))
    except (OSError, EOFError) as error:
        raise RoomLostError(f"the room does not answer ({error})") from error
    if kind != room.ENDED:
        raise RoomLostError(last)
    if last != _DONE:
        found.stopped = last
    elif len(found.outputs) < len(cells):
        found.stopped = "the pupil's process ended itself or ran out of memory"
    return found


def _listen(own: socket.socket, found: Visit, cells: int) -> tuple[bytes, str]:
    rest = b""
    while True:
        kind, content = room.receive(own)
        if kind != room.SAID:
            return kind, content.decode("utf-8", "replace")
        *lines, rest = (rest + content).split(b"\n") if b"\n" in content else [rest + content]
        for said in lines:
            _note(found, said, cells)
        if len(rest) > LONGEST_LINE:
            rest, found.left_out = b"", found.left_out + 1


def _note(found: Visit, said: bytes, cells: int) -> None:
    try:
        line = json.loads(said, parse_constant=lambda _: None)  # a NaN is no answer
        number, outputs = line["cell"], line["outputs"]
        if type(number) is not int or not 0 <= number < cells or number in found.outputs:
            raise ValueError("no such cell, or a second time")
        if not isinstance(outputs, list):
            raise ValueError("no list of outputs")
    except (ValueError, KeyError, TypeError, RecursionError):
        found.left_out += 1
        return
    found.size += len(said)
    made = (_output(output) for output in outputs)
    held = [o for o in made if o is not None and (_answers(o) or found.size <= LARGEST_KEPT)]
    found.left_out += len(outputs) - len(held)
    found.outputs[number] = held
    if line.get("late") is True:
        found.late.append(number)


def _answers(output: NotebookNode) -> bool:
    return ANSWER_TYPE in output.get("data", {})


def _output(said: object) -> NotebookNode | None:
    if not isinstance(said, dict):
        return None
    kind = said.get("output_type")
    if kind == "stream" and said.get("name") in _STREAMS and isinstance(said.get("text"), str):
        return _made(kind, name=said["name"], text=_clean(said["text"]))
    if kind == "error" and _texts(said.get("traceback")):
        words = {name: _clean(str(said.get(name))) for name in ("ename", "evalue")}
        return _made(kind, **words, traceback=[_clean(line) for line in said["traceback"]])
    if kind in ("display_data", "execute_result") and isinstance(said.get("data"), dict):
        data = {name: value for name, value in said["data"].items() if _fits(name, value)}
        count = {"execution_count": 1} if kind == "execute_result" else {}
        return _made(kind, data=data, metadata=_alternatives(said.get("metadata")), **count)
    return None


def _alternatives(metadata: object) -> dict[str, Any]:
    """Keep the words that stand for a picture, and nothing else."""
    given = metadata if isinstance(metadata, dict) else {}
    return {
        name: {"alt": _clean(about["alt"])}
        for name, about in given.items()
        if isinstance(about, dict) and isinstance(about.get("alt"), str)
    }


def _fits(name: str, value: object) -> bool:
    if name == ANSWER_TYPE:
        return len(json.dumps(value)) <= LARGEST_ANSWER
    return isinstance(value, str) and _clean(value) == value


def _texts(content: object) -> bool:
    return isinstance(content, list) and all(isinstance(line, str) for line in content)


def _clean(text: str) -> str:
    """Replace what no file can hold."""
    return text.encode("utf-8", "replace").decode("utf-8")


def _made(kind: str, **content: Any) -> NotebookNode:
    made: NotebookNode = new_output(kind, **content)  # type: ignore[no-untyped-call]
    return made
