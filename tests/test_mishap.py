"""Slips of the fingers are answered in words, in a real kernel too."""

from __future__ import annotations

import nbformat
import pytest
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell, new_notebook

from trimkit.lesson import mishap


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (NameError(name="B"), "quotes"),
        (NameError(name="my_answer_02_1"), "Run All Above"),
        (SyntaxError("invalid syntax"), "a point"),
        (ZeroDivisionError("division by zero"), "divided by nothing"),
        (TypeError("unsupported operand"), "unsupported operand"),
        (ValueError(), "ValueError"),
    ],
)
def test_words(error: Exception, said: str) -> None:
    words = mishap.words(error)
    assert said in words
    assert "Shift + Enter" in words


def test_outside_a_notebook_nothing_happens() -> None:
    mishap.speak_plainly(None, print)


def test_no_traceback_reaches_a_pupil() -> None:
    typed = ["my_answer = A", "my_answer = 3,5 mm", "my_answer = 5 / 0", "1 +"]
    cells = [new_code_cell('from trimkit import lesson\nsession = lesson.begin("02")')]
    cells += [new_code_cell(line) for line in typed]
    notebook = new_notebook(cells=cells)
    NotebookClient(notebook, timeout=60, kernel_name="python3", allow_errors=True).execute()
    for cell in notebook.cells[1:]:
        text = nbformat.writes(new_notebook(cells=[cell]))
        assert "Shift + Enter" in text
        assert "Traceback" not in text
        assert '"output_type": "error"' not in text


def test_the_whole_traceback_stays_within_reach() -> None:
    typed = ['from trimkit import lesson\nsession = lesson.begin("02")', "5 / 0", "%tb"]
    notebook = new_notebook(cells=[new_code_cell(line) for line in typed])
    NotebookClient(notebook, timeout=60, kernel_name="python3", allow_errors=True).execute()
    assert "ZeroDivisionError" in nbformat.writes(new_notebook(cells=notebook.cells[2:]))
