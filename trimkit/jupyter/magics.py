"""The course's checks in a plain notebook, after `%load_ext trimkit`.

`%lessons` says where you stand, `%task 02.3` asks, `%check 02.3 3.5` remarks on an answer.
"""

from __future__ import annotations

from typing import Any

from trimkit import lesson, places
from trimkit.jupyter import standing
from trimkit.lesson import mishap, session

HOW = "%lessons shows where you stand, %task 02.3 asks, and %check 02.3 3.5 checks your answer 3.5."
NO_FOLDER = "This notebook lies outside a work folder, so nothing is kept. Start with: trimkit open"


def load(shell: Any) -> None:
    """Bring the checks into a notebook, and say how they are used.

    Parameters
    ----------
    shell : IPython.core.interactiveshell.InteractiveShell
        The notebook's shell [-].
    """

    def lessons(_: str) -> None:
        work = places.work_folder()
        session.say(standing.read(work).words() if work else NO_FOLDER)

    def task(line: str) -> None:
        lesson.ask(line.strip())

    def check(line: str) -> None:
        name, _, typed = line.strip().partition(" ")
        if not typed.strip():
            session.say(f"Give the task, a space, and your answer. {HOW}")
            return
        try:
            answer = shell.ev(typed)
        except Exception as error:
            session.say(mishap.words(error))
            return
        lesson.answer(name, answer)

    for magic in (lessons, task, check):
        shell.register_magic_function(magic, "line")
    session.say(HOW)
