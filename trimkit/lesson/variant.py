"""Each pupil's own numbers, the same on every machine.

The figures of a task come from a seed made of the class word, the pupil's number and the
task's id. The class word is chosen by the coach and kept outside the project, so that a
published key does not fit a class's numbers.
"""

from __future__ import annotations

import hashlib
from random import Random

from trimkit.lesson.task import Figures, Lesson, Task


def source(task_id: str, pupil_number: int, class_word: str = "") -> Random:
    """Make the random source for one pupil and one task.

    Parameters
    ----------
    task_id : str
        Such as "02.3" [-].
    pupil_number : int
        The pupil's number, 0 for a visitor [-].
    class_word : str
        The coach's word, empty for practice [-].

    Returns
    -------
    random.Random
        Seeded from a hash, so it is the same on every machine [-].
    """
    text = f"{class_word}|{pupil_number}|{task_id}"
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return Random(int.from_bytes(digest[:8], "big"))


def figures(task: Task, pupil_number: int, class_word: str = "") -> Figures:
    """Draw the figures of one task for one pupil.

    Parameters
    ----------
    task : Task
        The task [-].
    pupil_number : int
        The pupil's number [-].
    class_word : str
        The coach's word [-].

    Returns
    -------
    mapping of str to value
        What the question shows [-].
    """
    return task.draw(source(task.id, pupil_number, class_word))


def all_figures(lesson: Lesson, pupil_number: int, class_word: str = "") -> dict[str, Figures]:
    """Draw the figures of every task of a lesson for one pupil.

    Parameters
    ----------
    lesson : Lesson
        The lesson [-].
    pupil_number : int
        The pupil's number [-].
    class_word : str
        The coach's word [-].

    Returns
    -------
    dict of str to mapping
        Figures by task id [-].
    """
    return {task.id: figures(task, pupil_number, class_word) for task in lesson.tasks}
