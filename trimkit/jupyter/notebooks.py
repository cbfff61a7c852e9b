"""Notebooks that are laid ready for a pupil: one that goes on with a case."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any

from trimkit import files, places
from trimkit.lesson.case import log_name

CASES = "cases"
NOT_KNOWN = (
    "The name of this case says neither its number nor its aeroplane. Open the notebook that you "
    "began it in, and run the cell with lesson.case again: it goes on where it stopped."
)


def for_case(work: Path, name: str) -> Path:
    """Lay a notebook ready that goes on with a case; one that is there already stays as it is.

    Parameters
    ----------
    work : pathlib.Path
        The work folder [-].
    name : str
        Name of the case's log, without the ending [-].

    Returns
    -------
    pathlib.Path
        The notebook [-].

    Raises
    ------
    ValueError
        When the name does not say which case it is.
    """
    code = _code(name, places.pupil(work).class_word)
    path = work / CASES / f"{name}.ipynb"
    if not path.exists():
        path.parent.mkdir(exist_ok=True)
        files.write_whole(path, json.dumps(_notebook(code), indent=1).encode("utf-8"))
    return path


def _code(name: str, class_word: str) -> str:
    parts = re.fullmatch(r"case-(.+)-([12])-[0-9a-f]{6}", name)
    if parts is None:
        raise ValueError(NOT_KNOWN)
    words, faults = parts[1].split("-"), int(parts[2])
    seeds = {join.join(form(word) for word in words)
             for join in ("-", " ", "") for form in (str, str.capitalize, str.upper)}  # fmt: skip
    seeds |= {" ".join(words).capitalize()}
    for path in sorted((places.demo_folder() / "aeroplanes").glob("*.toml")):
        aeroplane = tomllib.loads(path.read_text("utf-8"))["name"]
        for seed in sorted(seeds):
            if log_name(seed, aeroplane, class_word, faults) == name:
                wanted = seed if seed.isdecimal() else f'"{seed}"'
                return f'labs.clinic(lesson.case({wanted}, "{path.stem}", faults={faults}))'
    raise ValueError(NOT_KNOWN)


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
