"""A pupil's session in a notebook: ask, answer, predict.

`begin` says who is working and on which lesson. `ask` shows a question with the pupil's own
figures. `answer` says at once what can be said without giving the key away, and leaves the
answer in the notebook as plain data, to be judged elsewhere. Nothing here raises for what a
pupil typed.
"""

from __future__ import annotations

import html
from dataclasses import dataclass
from typing import Any

import numpy as np
from IPython.core.getipython import get_ipython
from IPython.display import display

from trimkit import places
from trimkit.lesson import attempts, mishap, tasks, variant
from trimkit.lesson.task import NOTHING_TYPED, Figures, Lesson, Task, Typed, options, typed

ANSWER_TYPE = "application/vnd.trimkit.answer+json"
ANSWER_SCHEMA = 1
LONGEST_SHOWN = 16  # figures of a number that a pupil reads as it was typed


@dataclass(frozen=True, slots=True)
class Session:
    """Who works on what.

    Parameters
    ----------
    lesson : Lesson
        The lesson [-].
    pupil : places.Pupil
        The pupil [-].
    """

    lesson: Lesson
    pupil: places.Pupil

    def figures(self, task_id: str) -> Figures:
        """Return the pupil's own figures for a task.

        Parameters
        ----------
        task_id : str
            Such as "02.3" [-].

        Returns
        -------
        mapping of str to value
            The figures [-].
        """
        task = self.lesson.task(task_id)
        return variant.figures(task, self.pupil.number, self.pupil.class_word)


def begin(lesson_id: str) -> Session:
    """Start a lesson and say whose numbers are used.

    Parameters
    ----------
    lesson_id : str
        Two digits [-].

    Returns
    -------
    Session
        The session, for the cells that draw [-].
    """
    mishap.speak_plainly(get_ipython(), say)
    session = Session(tasks.load(lesson_id), places.pupil())
    number = session.pupil.number
    who = f"pupil number {number}" if number else "a visitor (no pupil number yet)"
    say(f"Lesson {lesson_id}: {session.lesson.title}. The figures below are for {who}.")
    return session


def ask(task_id: str) -> None:
    """Show a question with the pupil's own figures.

    Parameters
    ----------
    task_id : str
        Such as "02.3" [-].
    """
    task = _task(task_id)
    if task is None:
        return
    pupil = places.pupil()
    drawn = variant.figures(task, pupil.number, pupil.class_word)
    question = task.ask(drawn)
    choices = [f"{letter}: {text}" for letter, text in options(task, drawn)]
    say(f"Task {task.id}. {question}", choices, strong=f"{task.title}")


def answer(task_id: str, value: object) -> None:
    """Take an answer: remark on it at once, log it, and leave it as plain data.

    Parameters
    ----------
    task_id : str
        Such as "02.3" [-].
    value : object
        What the pupil typed [-].
    """
    task = _task(task_id)
    if task is None:
        return
    pupil = places.pupil()
    given = typed(task, value)
    drawn = variant.figures(task, pupil.number, pupil.class_word)
    slips = remarks(task, given, drawn)
    log(
        task_id[:2],
        "answer",
        task=task_id,
        type=given.type,
        value=given.value,
        slips=[name for name, _ in slips],
    )
    _show_answer(task, given, [words for _, words in slips], pupil)


def remarks(task: Task, given: Typed, drawn: Figures) -> list[tuple[str, str]]:
    """List what may be said at once about an answer, at most one remark.

    Parameters
    ----------
    task : Task
        The task [-].
    given : Typed
        The answer as plain data [-].
    drawn : mapping
        The pupil's figures [-].

    Returns
    -------
    list of (str, str)
        Name of the slip and the words, empty when nothing is out of place [-].
    """
    if given.problem:
        return [("not usable", given.problem)]
    for check in task.checks:
        if check.applies(given.value, drawn):
            return [(check.name, check.words)]
    return []


def log(lesson_id: str, kind: str, **content: Any) -> None:
    """Add to the attempt log when there is a work folder to keep it in.

    Parameters
    ----------
    lesson_id : str
        Two digits [-].
    kind : str
        "answer" or "prediction" [-].
    **content : plain data
        What happened [-].
    """
    path = places.attempts_path()
    if path is None:
        return
    try:
        attempts.append(path, lesson_id, kind, **content)
    except OSError as error:
        say(f"Your work is safe in this notebook, but the log could not be written: {error}.")


def say(text: str, points: list[str] | None = None, strong: str = "") -> None:
    """Show plain text that a screen reader reads too.

    Parameters
    ----------
    text : str
        One or more sentences [-].
    points : list of str or None
        A list below the text [-].
    strong : str
        A short heading above the text [-].
    """
    display(_bundle(text, points or [], strong), raw=True)


def _bundle(text: str, points: list[str], strong: str = "") -> dict[str, Any]:
    plain = "\n".join(part for part in [strong, text, *(f"  {p}" for p in points)] if part)
    head = f"<strong>{html.escape(strong)}</strong><br>" if strong else ""
    items = "".join(f"<li>{html.escape(p)}</li>" for p in points)
    listed = f'<ul style="list-style:none;padding-left:1em">{items}</ul>' if items else ""
    body = html.escape(text).replace("\n", "<br>")
    page = (
        '<div role="status" style="max-width:46em;padding:.4em .8em;'
        f'border-left:4px solid currentColor">{head}{body}{listed}</div>'
    )
    return {"text/plain": plain, "text/html": page}


def _show_answer(task: Task, given: Typed, words: list[str], pupil: places.Pupil) -> None:
    shown = _shown(task, given)
    if given.type == "none":
        lines = words
    elif words:
        lines = [f"You typed {shown}.", *words]
    else:
        lines = [
            f"You typed {shown}. Noted.",
            "Nothing looks out of place. It is marked when you hand in.",
        ]
    if words and given.problem != NOTHING_TYPED:
        lines.append(f"Where to look: {task.look}")
    bundle = _bundle("\n".join(lines), [], f"Answer {task.id}")
    bundle[ANSWER_TYPE] = {
        "schema": ANSWER_SCHEMA,
        "id": task.id,
        "pupil": pupil.number,
        "answer": {"type": given.type, "value": given.value},
    }
    display(bundle, raw=True)


def _shown(task: Task, given: Typed) -> str:
    if not isinstance(given.value, float):
        return str(given.value)
    figures = np.format_float_positional(given.value, precision=10, fractional=False, trim="-")
    number = (figures if len(figures) < LONGEST_SHOWN else f"{given.value:g}").replace("-", "−")
    return number + ("" if task.unit == "°" else " ") + task.unit


def _task(task_id: object) -> Task | None:
    try:
        if not isinstance(task_id, str):
            raise KeyError(f"a task's id is text such as '02.3', not {task_id!r}")
        return tasks.load(task_id[:2]).task(task_id)
    except KeyError as error:
        say(f"There is no such task: {error.args[0]}.")
        return None
