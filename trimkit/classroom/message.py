"""An answer as it travels from a pupil's notebook to the judge: plain data, checked strictly.

Whatever a pupil's own code puts into an output is only data here. A message that is not exactly
what `trimkit.lesson.answer` writes is refused with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trimkit import places
from trimkit.lesson.task import LETTERS, Typed

ANSWER_TYPE = "application/vnd.trimkit.answer+json"
ANSWER_SCHEMA = 1
LARGEST_NUMBER = 1e9
LONGEST_TEXT = 2000
LARGEST_ANSWER = 30_000  # characters of JSON; the longest sentence takes less
LARGEST_PUPIL = places.LARGEST_NUMBER
TASK_ID = re.compile(r"\d{2}\.\d{1,2}")


@dataclass(frozen=True, slots=True)
class Message:
    """One answer, as found in a notebook.

    Parameters
    ----------
    task_id : str
        Such as "02.3" [-].
    pupil : int
        The pupil's number as the notebook says it [-].
    given : Typed
        The answer [-].
    """

    task_id: str
    pupil: int
    given: Typed


def read_message(content: object) -> Message:
    """Read one message, strictly.

    Parameters
    ----------
    content : object
        What stands in the output under `ANSWER_TYPE` [-].

    Returns
    -------
    Message
        The answer [-].

    Raises
    ------
    ValueError
        When it is anything but what `lesson.answer` writes, with the reason.

    Examples
    --------
    >>> answer = {"type": "number", "value": 1.5}
    >>> read_message({"schema": 1, "id": "02.3", "pupil": 7, "answer": answer}).given.value
    1.5
    """
    fields = _exactly(content, {"schema", "id", "pupil", "answer"}, "a message")
    if type(fields["schema"]) is not int or fields["schema"] != ANSWER_SCHEMA:
        raise ValueError(f"schema {_short(fields['schema'])}, allowed: {ANSWER_SCHEMA}")
    task_id = read_task_id(fields["id"])
    return Message(task_id, read_pupil(fields["pupil"]), read_answer(fields["answer"]))


def read_answer(content: object) -> Typed:
    """Read the answer inside a message, strictly.

    Parameters
    ----------
    content : object
        A mapping with "type" and "value" and nothing else [-].

    Returns
    -------
    Typed
        Plain data: a float, a letter, a text or nothing [-].

    Raises
    ------
    ValueError
        When it is anything else, with the reason.
    """
    fields = _exactly(content, {"type", "value"}, "an answer")
    kind, value = fields["type"], fields["value"]
    if kind == "none" and value is None:
        return Typed("none", None)
    if kind == "number" and type(value) in (int, float) and _on_a_bench(value):
        return Typed("number", float(value))
    if kind == "choice" and type(value) is str and value in tuple(LETTERS):
        return Typed("choice", value)
    if kind == "words" and type(value) is str and len(value) <= LONGEST_TEXT:
        return Typed("words", value)
    raise ValueError(f"type {_short(kind)} with value {_short(value)} is no answer")


def read_task_id(content: object) -> str:
    """Read a task's id, strictly.

    Parameters
    ----------
    content : object
        Such as "02.3" [-].

    Returns
    -------
    str
        The same [-].

    Raises
    ------
    ValueError
        When it is no id.
    """
    if type(content) is not str or not TASK_ID.fullmatch(content):
        raise ValueError(f'id {_short(content)}; an id looks like "02.3"')
    return content


def read_pupil(content: object) -> int:
    """Read a pupil's number, strictly.

    Parameters
    ----------
    content : object
        0 to 9999 [-].

    Returns
    -------
    int
        The same [-].

    Raises
    ------
    ValueError
        When it is no such number.
    """
    if type(content) is not int or not 0 <= content <= LARGEST_PUPIL:
        raise ValueError(f"pupil number {_short(content)}, allowed: 0 to {LARGEST_PUPIL}")
    return content


def messages(outputs: object) -> tuple[list[Message], list[str]]:
    """Read every message among a cell's outputs.

    Parameters
    ----------
    outputs : object
        The outputs of one code cell [-].

    Returns
    -------
    list of Message
        The messages that hold, in order [-].
    list of str
        Why each of the others was refused [-].
    """
    held: list[Message] = []
    refused: list[str] = []
    for content in contents(outputs):
        try:
            held.append(read_message(content))
        except ValueError as error:
            refused.append(str(error))
    return held, refused


def contents(outputs: object) -> list[object]:
    """Find what stands under `ANSWER_TYPE` among a cell's outputs, not yet checked.

    Parameters
    ----------
    outputs : object
        The outputs of one code cell [-].

    Returns
    -------
    list of object
        In order [-].
    """
    listed = outputs if isinstance(outputs, list) else []
    bundles = [output.get("data") for output in listed if isinstance(output, Mapping)]
    return [
        bundle[ANSWER_TYPE]
        for bundle in bundles
        if isinstance(bundle, Mapping) and ANSWER_TYPE in bundle
    ]


def _exactly(content: object, names: set[str], what: str) -> Mapping[str, Any]:
    if not isinstance(content, Mapping) or set(content) != names:
        raise ValueError(f"{what} holds {', '.join(sorted(names))} and nothing else")
    return content


def _on_a_bench(value: float) -> bool:
    return abs(value) <= LARGEST_NUMBER  # a NaN is not


def _short(value: object) -> str:
    text = repr(value) if isinstance(value, str | int | float | None) else type(value).__name__
    return text if len(text) <= 40 else text[:37] + "..."
