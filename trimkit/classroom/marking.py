"""Judging answers against an instructor's keys, with words that give no key away."""

from __future__ import annotations

import hashlib
import importlib.util
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from trimkit.classroom.key import Key, Mistake
from trimkit.lesson.task import Figures, Lesson, Task, Typed

Verdict = Literal["good", "mistake", "off", "blank"]
SLACK = 1e-9  # for a number typed exactly on the edge of the tolerance; assumed

_OFF_NUMBER = (
    "Not there yet, and not a slip we know by name. Try your way of working on an easy case "
    "first. Then check unit, sign and decimal point."
)
_OFF_CHOICE = "Not this one. Say what you would see in the hall if it were so, then choose again."
_BLANK = "There is nothing here that can be marked. Type your answer after the = sign."


@dataclass(frozen=True, slots=True)
class Mark:
    """What the judge says about one answer.

    Parameters
    ----------
    task_id : str
        Such as "02.3" [-].
    share : float
        Share of the points, 0 to 1 [-].
    verdict : {"good", "mistake", "off", "blank"}
        The verdict [-].
    name : str
        Name of the mistake, empty when it has none [-].
    words : str
        The reason, never the key [-].
    look : str
        Where to look, empty for a good answer [-].
    """

    task_id: str
    share: float
    verdict: Verdict
    name: str
    words: str
    look: str


@dataclass(frozen=True, slots=True)
class MarkingFile:
    """An instructor's marking file, loaded.

    Parameters
    ----------
    keys : callable
        Takes the figures by task id, returns the keys by task id [-].
    words_key : mapping of int to str
        What a sentence must say for 0, 1 and 2 points [-].
    sentences : mapping of int to str
        A sample for each [-].
    """

    keys: Callable[[Mapping[str, Figures]], dict[str, Key]]
    words_key: Mapping[int, str]
    sentences: Mapping[int, str]


def load(path: Path) -> MarkingFile:
    """Load a marking file by its path.

    Parameters
    ----------
    path : pathlib.Path
        Such as `instructor/marking/02.py` [-].

    Returns
    -------
    MarkingFile
        Its keys [-].

    Raises
    ------
    FileNotFoundError
        When it is not there.
    ValueError
        When one of `keys`, `WORDS_KEY` and `SENTENCES` is missing.
    """
    if not path.is_file():
        raise FileNotFoundError(f"no marking file {path.name} in {path.parent}")
    name = "trimkit_marking_" + hashlib.sha256(str(path).encode()).hexdigest()[:12]
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise ValueError(f"{path.name} is not a Python file")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    try:
        return MarkingFile(module.keys, module.WORDS_KEY, module.SENTENCES)
    except AttributeError as error:
        raise ValueError(f"{path.name} holds no {error.name}") from error


def judge_lesson(
    lesson: Lesson, keys: Mapping[str, Key], answers: Mapping[str, Typed]
) -> list[Mark]:
    """Judge a lesson's answers.

    Parameters
    ----------
    lesson : Lesson
        The lesson [-].
    keys : mapping of str to Key
        The pupil's keys by task id [-].
    answers : mapping of str to Typed
        Answers by task id; a task without one is blank [-].

    Returns
    -------
    list of Mark
        One for each task, in order [-].
    """
    nothing = Typed("none", None)
    return [
        judge_answer(task, keys[task.id], answers.get(task.id, nothing)) for task in lesson.tasks
    ]


def judge_answer(task: Task, key: Key, given: Typed) -> Mark:
    """Judge one answer.

    A number within the tolerance earns all points. Otherwise the nearest named mistake within
    the tolerance gives its share. Anything else earns nothing and says how to check.

    Parameters
    ----------
    task : Task
        The task [-].
    key : Key
        The pupil's key [-].
    given : Typed
        The answer as plain data [-].

    Returns
    -------
    Mark
        The mark [-].
    """
    if not _usable(task, given):
        return Mark(task.id, 0.0, "blank", "", _BLANK, task.look)
    if _same(given.value, key.value, key.tolerance):
        return Mark(task.id, 1.0, "good", "", key.why, "")
    mistake = _nearest(key, given.value)
    if mistake is not None:
        share = min(max(mistake.share, 0.0), 1.0)
        return Mark(task.id, share, "mistake", mistake.name, mistake.words, task.look)
    words = _OFF_NUMBER if task.kind == "number" else _OFF_CHOICE
    return Mark(task.id, 0.0, "off", "", words, task.look)


def _usable(task: Task, given: Typed) -> bool:
    wanted = float if task.kind == "number" else str
    if given.type != task.kind or type(given.value) is not wanted:
        return False
    return given.value == given.value  # a NaN is not


def _same(value: object, wanted: float | str, tolerance: float) -> bool:
    if isinstance(wanted, str) or isinstance(value, str):
        return type(value) is type(wanted) and value == wanted
    return _distance(value, wanted) <= tolerance + SLACK * max(1.0, abs(wanted))


def _nearest(key: Key, value: object) -> Mistake | None:
    matching = [m for m in key.mistakes if _same(value, m.value, key.tolerance)]
    return min(matching, key=lambda m: _distance(value, m.value), default=None)


def _distance(value: object, wanted: float | str) -> float:
    if isinstance(value, float) and not isinstance(wanted, str):
        return abs(value - float(wanted))
    return 0.0
