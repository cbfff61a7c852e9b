"""Predictions by a tap: stored, and compared with what happened as soon as they are made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets
from IPython.display import display

from trimkit import places
from trimkit.lesson import attempts
from trimkit.lesson.session import log, say

_remembered: dict[str, str] = {}  # for a notebook opened outside a work folder
_offered: set[str] = set()  # predictions whose buttons are on the page
_waiting: dict[str, Callable[[], None]] = {}  # what to show once a prediction is tapped


def predict(name: str, question: str, choices: tuple[str, ...]) -> None:
    """Show a question with one button a choice; a tap stores the prediction.

    Parameters
    ----------
    name : str
        Lesson and a short name, such as "02.ruler" [-].
    question : str
        What is to be predicted [-].
    choices : tuple of str
        The answers on offer [-].
    """
    said = ipywidgets.HTML(value="Tap one.")
    buttons = [
        ipywidgets.Button(description=choice, layout=ipywidgets.Layout(width="auto"))
        for choice in choices
    ]

    def tapped(button: Any) -> None:
        log(name[:2], "prediction", name=name, value=button.description)
        _remembered[name] = button.description
        said.value = (
            '<span role="status">Your prediction is kept: '
            f"<b>{button.description}</b>. Look below.</span>"
        )
        if name in _waiting:
            _waiting[name]()

    for button in buttons:
        button.on_click(tapped)
    _offered.add(name)
    display(ipywidgets.VBox([ipywidgets.HTML(f"<b>{question}</b>"), *buttons, said]))


def compare(name: str, happened: str, why: str, draw: Callable[[], None]) -> None:
    """Show what happened beside the prediction, but only once there is one.

    Parameters
    ----------
    name : str
        The name given to `predict` [-].
    happened : str
        What happened, in the words of the choices [-].
    why : str
        One or two sentences of reason [-].
    draw : callable
        Shows the picture of what happened [-].
    """
    if places.marking():  # nobody tapped
        draw()
        return

    def tell() -> None:
        before = predicted(name)
        if before is None:
            say("What happened waits here until you have tapped a prediction above.")
            return
        draw()
        agree = "You saw it coming." if before == happened else "A surprise: they teach most."
        say(f"You predicted: {before}\nWhat happened: {happened}\n{agree} {why}")

    if name not in _offered:  # no buttons here, so nothing to wait for
        tell()
        return
    room = ipywidgets.Output()

    def fill() -> None:
        room.clear_output(wait=True)
        with room:
            tell()

    _waiting[name] = fill
    display(room)
    fill()


def predicted(name: str) -> str | None:
    """Return the last stored prediction.

    Parameters
    ----------
    name : str
        The name given to `predict` [-].

    Returns
    -------
    str or None
        The choice, or None when nothing was tapped [-].
    """
    path = places.attempts_path()
    entries = attempts.read(path) if path else []
    kept = [e["value"] for e in entries if e["kind"] == "prediction" and e.get("name") == name]
    return kept[-1] if kept else _remembered.get(name)
