"""What a marked task is: its question, its pupil's own numbers, and what may be said at once.

A task holds no key. Keys and hidden checks stay with the instructor. The checks here see only
what the pupil can see too: the unit, the sign, the size a thing can have, a known slip.
"""

from __future__ import annotations

import math
import numbers as abstract_numbers
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from typing import Any, Literal

Figures = Mapping[str, Any]
Kind = Literal["number", "choice", "words"]
LETTERS = "ABCDEF"
NOTHING_TYPED = "Nothing typed yet. Put your answer after the = sign."


@dataclass(frozen=True, slots=True)
class Check:
    """A remark that is made at once when it applies, and gives no key away.

    Parameters
    ----------
    name : str
        Short name of the slip, kept in the attempt log [-].
    applies : callable
        Takes the typed value and the pupil's figures, returns True when the remark fits [-].
    words : str
        What is said, with the next thing to try [-].
    """

    name: str
    applies: Callable[[Any, Figures], bool]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One marked question.

    Parameters
    ----------
    id : str
        Lesson and task, such as "02.3" [-].
    title : str
        A few words [-].
    kind : {"number", "choice", "words"}
        What is typed [-].
    draw : callable
        Takes a `random.Random` and returns the pupil's own figures [-].
    ask : callable
        Takes the figures and returns the question in plain words [-].
    unit : str
        Unit of a number [-].
    choices : tuple of str
        Texts to choose from, in the author's order; each pupil sees their own order [-].
    checks : tuple of Check
        Remarks made at once [-].
    look : str
        Where to look when stuck [-].
    points : int
        Points the task carries [-].
    """

    id: str
    title: str
    kind: Kind
    draw: Callable[[Random], Figures]
    ask: Callable[[Figures], str]
    unit: str = ""
    choices: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    look: str
    points: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A lesson: its number, its title and its tasks in order.

    Parameters
    ----------
    id : str
        Two digits [-].
    title : str
        Title as printed [-].
    tasks : tuple of Task
        In the order of the notebook [-].
    """

    id: str
    title: str
    tasks: tuple[Task, ...]

    def task(self, task_id: str) -> Task:
        """Find a task by its id.

        Parameters
        ----------
        task_id : str
            Such as "02.3" [-].

        Returns
        -------
        Task
            The task [-].

        Raises
        ------
        KeyError
            When the lesson has no such task, with the list of those it has.
        """
        for task in self.tasks:
            if task.id == task_id:
                return task
        known = ", ".join(task.id for task in self.tasks)
        raise KeyError(f"lesson {self.id} has no task {task_id}; it has {known}")


@dataclass(frozen=True, slots=True)
class Typed:
    """An answer as plain data.

    Parameters
    ----------
    type : {"number", "choice", "words", "none"}
        What it is; "none" when nothing usable was typed [-].
    value : float, str or None
        The plain value [-].
    problem : str
        What to mend before it can be used, empty when all is well [-].
    """

    type: str
    value: float | str | None
    problem: str = ""


def typed(task: Task, value: object) -> Typed:
    """Turn whatever a pupil typed into plain data, or say what to mend.

    Parameters
    ----------
    task : Task
        The task the answer belongs to [-].
    value : object
        Anything at all [-].

    Returns
    -------
    Typed
        Plain data; nothing a pupil can type raises [-].
    """
    if value is None or value is ...:
        return Typed("none", None, NOTHING_TYPED)
    if task.kind == "number":
        return _typed_number(task, value)
    if type(value) is not str:
        return Typed("none", None, f"This answer wants text in quotes, {_wanted(task)}.")
    if task.kind == "choice":
        return _typed_choice(task, value)
    return Typed("words", value[:2000])


def shuffled(random: Random, count: int) -> tuple[int, ...]:
    """Draw the order in which a pupil sees the choices.

    Parameters
    ----------
    random : random.Random
        The pupil's source [-].
    count : int
        Number of choices [-].

    Returns
    -------
    tuple of int
        Author's positions in the order shown; goes into the figures as "order" [-].
    """
    order = list(range(count))
    random.shuffle(order)
    return tuple(order)


def least_gap(answers: Sequence[float]) -> float:
    """Say how near the two nearest of some answers are, so that a draw keeps them apart.

    Parameters
    ----------
    answers : sequence of float
        The good one and those of known mistakes, two or more [in the task's unit].

    Returns
    -------
    float
        The smallest difference [in the task's unit].

    Examples
    --------
    >>> least_gap([4.0, 1.0, 3.5])
    0.5
    """
    return min(high - low for low, high in pairwise(sorted(answers)))


def options(task: Task, drawn: Figures) -> tuple[tuple[str, str], ...]:
    """List the choices as one pupil sees them.

    Parameters
    ----------
    task : Task
        A task with choices [-].
    drawn : mapping
        The pupil's figures, with their "order" [-].

    Returns
    -------
    tuple of (str, str)
        Letter and text, in the order shown [-].
    """
    order = drawn.get("order", range(len(task.choices)))
    return tuple(
        (letter, task.choices[place]) for letter, place in zip(LETTERS, order, strict=False)
    )


def letter(drawn: Figures, place: int) -> str:
    """Say under which letter a pupil sees one choice.

    Parameters
    ----------
    drawn : mapping
        The pupil's figures, with their "order" [-].
    place : int
        The choice's position in the author's order [-].

    Returns
    -------
    str
        "A" and so on [-].
    """
    return LETTERS[drawn["order"].index(place)]


def _wanted(task: Task) -> str:
    if task.kind == "choice":
        return "one of " + ", ".join(f'"{known}"' for known in LETTERS[: len(task.choices)])
    return 'such as "because the nose ..."'


def _typed_choice(task: Task, value: str) -> Typed:
    chosen = value.strip().upper()
    if chosen in list(LETTERS[: len(task.choices)]):
        return Typed("choice", chosen)
    shown = value.strip()[:20]
    return Typed("none", None, f'"{shown}" is not on the list. Type {_wanted(task)}.')


def _typed_number(task: Task, value: object) -> Typed:
    unit = f" in {task.unit}" if task.unit else ""
    if isinstance(value, tuple):
        return Typed("none", None, "There is a comma in the number. Use a point: 3.5, not 3,5.")
    if isinstance(value, str):
        return Typed(
            "none", None, f"Take the quotes away. Type only the number{unit}, without its unit."
        )
    if isinstance(value, bool) or not isinstance(value, abstract_numbers.Real):
        return Typed("none", None, f"This answer wants one number{unit}.")
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        return Typed("none", None, f"This answer wants one number{unit}.")
    if not math.isfinite(number) or abs(number) > 1e9:
        return Typed("none", None, f"That number is not one that a bench can give{unit}.")
    return Typed("number", number)
