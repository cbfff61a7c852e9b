"""Notebooks that are laid ready for a pupil: one that goes on with a case."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from trimkit import files, places
from trimkit.lesson import casebook
from trimkit.lesson.case import PLAN

CASES = "cases"
NOT_KNOWN = (
    "The name of this case says neither its number nor its aeroplane. Open the notebook that you "
    "began it in, and run the cell with lesson.case again: it goes on where it stopped."
)


def for_case(work: Path, log: Path) -> Path:
    """Lay a notebook ready that goes on with a case; one that is there already stays as it is.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].
    log : pathlib.Path
        The case's log, in the work folder [-].

    Returns
    -------
    pathlib.Path
        The notebook [-].

    Raises
    ------
    ValueError
        When the name does not say which case it is.
    """
    code = _code(log, places.pupil(work).class_word)
    path = work / CASES / f"{log.stem}.ipynb"
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        files.write_whole(path, json.dumps(_notebook(code), indent=1).encode("utf-8"))
    return path


def _code(log: Path, class_word: str) -> str:
    found = casebook.recognised(log, class_word)
    if found is None:
        raise ValueError(NOT_KNOWN)
    demo, terms = found
    if demo.endswith(PLAN):
        demo = f"../{log.parent.name}/{demo}"
    if terms.class_word != class_word and (kept := casebook.place(terms.seed, demo)):
        return f"labs.clinic(lesson.open_case{kept})"
    wanted = terms.seed if terms.seed.isdecimal() else f'"{terms.seed}"'
    return f'labs.clinic(lesson.case({wanted}, "{demo}", faults={terms.faults}))'


def _notebook(code: str) -> dict[str, Any]:
    text = (
        "# Your case\n\nClick the cell below, then press **Shift + Enter**. The case goes on "
        "where you left it: what you did stands in its log, and no minute is used again."
    )
    cells: list[dict[str, Any]] = [
        {"cell_type": "markdown", "id": "text", "metadata": {}, "source": text},
        {"cell_type": "code", "id": "case", "metadata": {}, "execution_count": None,
         "outputs": [], "source": f"from trimkit import labs, lesson\n\n{code}"},
    ]  # fmt: skip
    kernel = {"name": "python3", "display_name": "Python 3 (ipykernel)", "language": "python"}
    return {"cells": cells, "metadata": {"kernelspec": kernel}, "nbformat": 4, "nbformat_minor": 5}
