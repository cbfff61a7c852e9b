"""Predictions by a tap: stored, and compared later with what happened."""

from __future__ import annotations

from typing import Any

import ipywidgets
from IPython.display import display

from trimkit import places
from trimkit.lesson import attempts
from trimkit.lesson.session import log, say


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
        _REMEMBERED[name] = button.description
        said.value = f"Your prediction is kept: <b>{button.description}</b>. Now find out."

    for button in buttons:
        button.on_click(tapped)
    display(ipywidgets.VBox([ipywidgets.HTML(f"<b>{question}</b>"), *buttons, said]))


def compare(name: str, happened: str, why: str) -> None:
    """Put the stored prediction beside what happened.

    Parameters
    ----------
    name : str
        The name given to `predict` [-].
    happened : str
        What happened, in the words of the choices [-].
    why : str
        One or two sentences of reason [-].
    """
    if places.marking():
        return  # nobody tapped, and nobody looks
    before = predicted(name)
    if before is None:
        say("You have not tapped a prediction yet. Go up, tap one, then run this cell again.")
        return
    agree = "You saw it coming." if before == happened else "A surprise. Those teach the most."
    say(f"You predicted: {before}\nWhat happened: {happened}\n{agree} {why}")


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
    return kept[-1] if kept else _REMEMBERED.get(name)


_REMEMBERED: dict[str, str] = {}  # for a notebook opened outside a work folder
