"""The tasks of each lesson: questions and figures, never a key."""

from __future__ import annotations

import importlib

from trimkit.lesson.task import Lesson

_ROOMS = {
    "00": "start",
    "01": "straight",
    "02": "angles",
    "03": "balance",
    "04": "low_power",
    "05": "twist",
    "06": "circles",
    "07": "rubber",
    "08": "propeller",
    "09": "power_steps",
    "10": "clinic",
    "11": "own_aeroplane",
    "12": "contest",
}


def known() -> tuple[str, ...]:
    """List the lessons that have marked tasks.

    Returns
    -------
    tuple of str
        Two digits each, in order [-].
    """
    return tuple(_ROOMS)


def load(lesson_id: str) -> Lesson:
    """Load a lesson's tasks.

    Parameters
    ----------
    lesson_id : str
        Two digits [-].

    Returns
    -------
    Lesson
        The lesson [-].

    Raises
    ------
    KeyError
        When there is no such lesson, with the list of those there are.
    """
    if lesson_id not in _ROOMS:
        raise KeyError(f"no lesson {lesson_id!r}; there are {', '.join(_ROOMS)}")
    module = importlib.import_module(f"trimkit.lesson.tasks.{_ROOMS[lesson_id]}")
    lesson: Lesson = module.LESSON
    return lesson
