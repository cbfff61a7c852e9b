"""`%load_ext trimkit` gives the same checks without the panel."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from IPython.core.interactiveshell import InteractiveShell
from IPython.utils.capture import capture_output

from trimkit.jupyter import standing
from trimkit.lesson import session, work


@pytest.fixture
def shell(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path / "ipython"))
    monkeypatch.chdir(work.prepare(tmp_path / "work", 7).folder)
    InteractiveShell.clear_instance()
    made = InteractiveShell.instance()
    with capture_output() as said:
        made.run_line_magic("load_ext", "trimkit")
    assert "%check 02.3 3.5" in plain(said)
    yield made
    InteractiveShell.clear_instance()


def plain(said: Any) -> str:
    return "\n".join(shown.data["text/plain"] for shown in said.outputs)


def run(shell: Any, magic: str, line: str = "") -> Any:
    with capture_output() as said:
        shell.run_line_magic(magic, line)
    return said


def test_an_answer_is_remarked_on_and_kept_as_in_a_lesson(shell: Any) -> None:
    said = run(shell, "check", "02.1 2 + 1.2")
    assert "You typed 3.2°" in plain(said)
    assert said.outputs[0].data[session.ANSWER_TYPE]["answer"] == {"type": "number", "value": 3.2}
    assert "02: Angles from a ruler: " in plain(run(shell, "lessons"))
    assert standing.read(Path.cwd()).lessons[2].begun


def test_a_task_is_asked(shell: Any) -> None:
    assert "Task 02.1" in plain(run(shell, "task", "02.1"))


@pytest.mark.parametrize(
    ("line", "hint"),
    [
        ("", "Give the task, a space, and your answer"),
        ("02.1", "Give the task, a space, and your answer"),
        ("02.1 3,2", "Use a point: 3.5, not 3,5"),
        ("02.1 A", "A letter wants quotes"),
        ("02.1 3.2 deg", "Python cannot read this line"),
        ("99.1 3", "There is no such task"),
    ],
)
def test_a_slip_is_a_sentence(shell: Any, line: str, hint: str) -> None:
    assert hint in plain(run(shell, "check", line))


def test_outside_a_work_folder_it_says_so(
    shell: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert "trimkit open" in plain(run(shell, "lessons"))
