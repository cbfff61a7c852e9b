"""The hooks in nbgrader's lists, one at a time, without a kernel."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nbformat import NotebookNode, validate
from nbformat.v4 import new_code_cell, new_output
from nbgrader.preprocessors import CheckCellMetadata, DeduplicateIds
from nbgrader.utils import determine_grade
from papers import INSTRUCTOR, grade_cell, mark, message, notebook, resources, shown

from trimkit.classroom import hooks, marking
from trimkit.classroom.hooks import (
    ComparePupil,
    DropStrayMarks,
    JudgeAnswers,
    StripAnswers,
    TidyAnswers,
    kernel_environment,
    points_of,
)
from trimkit.classroom.key import Key
from trimkit.classroom.marking import Mark
from trimkit.classroom.names import pupil_number, task_of
from trimkit.lesson import tasks, variant


def keys(pupil: int = 7) -> dict[str, Key]:
    figures = variant.all_figures(tasks.load("02"), pupil, "oak")
    return marking.load(INSTRUCTOR / "marking" / "02.py").keys(figures)


@pytest.fixture
def report(tmp_path: Path) -> Path:
    return tmp_path / "marking" / "report.txt"


@pytest.fixture
def judging(report: Path) -> JudgeAnswers:
    folder = str(INSTRUCTOR / "marking")
    return JudgeAnswers(class_word="oak", keys_folder=folder, report=str(report))


def judged(judging: JudgeAnswers, *cells: NotebookNode) -> list[float]:
    """Judge a notebook, and let nbgrader itself read the marks."""
    nb, _ = judging.preprocess(notebook(*cells), resources())
    validate(nb)
    return [determine_grade(cell)[0] for cell in nb.cells if cell.cell_type == "code"]


@pytest.mark.parametrize("folder", ["7", "07", "0007", "pupil-7", "pupil-07", "Pupil 7"])
def test_a_folder_names_a_pupil(folder: str) -> None:
    assert pupil_number(folder) == 7


@pytest.mark.parametrize("folder", ["", "0", "pupil", "robin", "7b", "12345", "7-8", "-7", "²"])
def test_other_folders_are_refused_with_what_to_do(folder: str) -> None:
    with pytest.raises(ValueError, match="Name it 7 or pupil-07"):
        pupil_number(folder)


def test_a_grade_cell_names_its_task() -> None:
    assert task_of("task-02-3") == "02.3"
    assert task_of("words-02-8") is None
    assert task_of("task-02-3-copy") is None


def test_a_notebook_worked_under_another_number_is_reported(report: Path) -> None:
    cell = grade_cell("02.1", shown(message(pupil=9)), shown(message(pupil=0)))
    told = resources()
    ComparePupil(report=str(report)).preprocess(notebook(cell), told)
    line = "02-angles, pupil-07: worked as pupil a visitor (0), 9, handed in as 7: marked as 7"
    assert told["nbgrader"]["remarks"] == [line]
    assert report.read_text("utf-8") == line + "\n"


def test_a_notebook_under_its_own_number_or_without_outputs_is_not(report: Path) -> None:
    told = resources()
    cells = [grade_cell("02.1", shown(message())), grade_cell("02.2")]
    ComparePupil(report=str(report)).preprocess(notebook(*cells), told)
    assert "remarks" not in told["nbgrader"]
    assert not report.exists()


def test_doubled_cells_do_not_stop_nbgrader() -> None:
    nb = notebook(grade_cell("02.1"), grade_cell("02.1"), new_code_cell("1"))
    told = resources()
    DeduplicateIds().preprocess(nb, told)
    DropStrayMarks().preprocess(nb, told)
    CheckCellMetadata().preprocess(nb, told)
    assert ["nbgrader" in cell.metadata for cell in nb.cells] == [False, False, True, False]
    assert len(told["nbgrader"]["remarks"]) == 1


@pytest.mark.parametrize(
    "damage",
    [{}, [], "task", {"grade_id": "task-02-1"}, mark(""), mark("a", schema_version=0),
     mark("a", grade="yes"), mark("a", grade_id=None)],
)  # fmt: skip
def test_damaged_marks_are_dropped(damage: Any) -> None:
    cell = new_code_cell("1")
    cell.metadata["nbgrader"] = damage
    nb, _ = DropStrayMarks().preprocess(notebook(cell), resources())
    assert "nbgrader" not in nb.cells[1].metadata


def test_a_kernel_knows_the_pupil_and_nothing_of_the_coach(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TRIMKIT_COURSE_ROOT", "/the/coach")
    monkeypatch.setenv("TRIMKIT_PUPIL", "99")
    environment = kernel_environment(7, "oak")
    ours = {name: v for name, v in environment.items() if name.startswith("TRIMKIT_")}
    assert ours == {"TRIMKIT_MARKING": "1", "TRIMKIT_PUPIL": "7", "TRIMKIT_CLASS_WORD": "oak"}


def test_good_answers_a_mistake_and_nonsense_get_what_they_should(judging: JudgeAnswers) -> None:
    wanted = keys()
    mistake = next(m for m in wanted["02.2"].mistakes if m.share > 0)
    cells = [
        grade_cell("02.1", shown(message("02.1", float(wanted["02.1"].value)))),
        grade_cell("02.2", shown(message("02.2", float(mistake.value)))),
        grade_cell("02.3", shown(message("02.3", 999.0))),
        grade_cell("02.4", shown(message("02.4", None, "none"))),
        grade_cell("02.5", shown(message("02.5", str(wanted["02.5"].value), "choice"))),
    ]
    assert judged(judging, *cells) == [2.0, 2 * mistake.share, 0.0, 0.0, 2.0]


def test_the_folders_number_decides_and_not_the_messages(judging: JudgeAnswers) -> None:
    other = float(keys(9)["02.1"].value)
    assert abs(other - float(keys(7)["02.1"].value)) > keys(7)["02.1"].tolerance
    cell = grade_cell("02.1", shown(message("02.1", other, pupil=9)))
    assert judged(judging, cell) == [0.0]


def test_of_two_answers_the_last_counts(judging: JudgeAnswers) -> None:
    good = shown(message("02.1", float(keys()["02.1"].value)))
    bad = shown(message("02.1", 999.0))
    assert judged(judging, grade_cell("02.1", bad, good)) == [2.0]
    assert judged(judging, grade_cell("02.1", good, bad)) == [0.0]


def test_an_answer_from_another_cell_counts_nowhere(judging: JudgeAnswers, report: Path) -> None:
    good = shown(message("02.1", float(keys()["02.1"].value)))
    forged = [new_code_cell("forge()", outputs=[good]), grade_cell("02.2", good)]
    nb, _ = judging.preprocess(notebook(*forged, grade_cell("02.1")), resources())
    assert [determine_grade(cell)[0] for cell in nb.cells[2:]] == [0.0, 0.0]
    assert "cell 02.2 gave an answer for 02.1: no" in report.read_text("utf-8")


@pytest.mark.parametrize(
    "outputs",
    [
        [],
        [new_output("stream", name="stdout", text="2.0")],
        [new_output("stream", name="stderr", text="a warning")],
        [new_output("execute_result", {"text/plain": "2.0"}, execution_count=1)],
        [new_output("execute_result", {"text/plain": "<Figure>"}, execution_count=1)],
        [new_output("error", ename="NameError", evalue="no", traceback=["no"])],
        [shown({"schema": 1, "id": "02.1", "share": 1.0})],
        [shown(message(value="x" * 3_000_000, kind="words"))],
        [shown(message(value=math.nan))],
    ],
)
def test_whatever_else_a_grade_cell_shows_earns_nothing(
    judging: JudgeAnswers, outputs: list[NotebookNode]
) -> None:
    cell = grade_cell("02.1", *outputs)
    assert judged(judging, cell) == [0.0]
    assert "No answer reached this cell" in cell.outputs[0].data["text/plain"]
    assert [o.output_type for o in cell.outputs] == ["display_data", "execute_result"]


def test_a_refused_and_a_missing_answer_are_reported(judging: JudgeAnswers, report: Path) -> None:
    judged(judging, grade_cell("02.1", shown(message(value=True))))
    lines = report.read_text("utf-8")
    assert "an answer in cell 02.1 was refused" in lines
    assert "the cell that hands in task 02.2 is missing: 0 points" in lines
    assert "task 02.1 is missing" not in lines


def test_a_judge_that_cannot_judge_is_not_a_zero(tmp_path: Path) -> None:
    judging = JudgeAnswers(class_word="oak", keys_folder=str(tmp_path))
    with pytest.raises(RuntimeError, match="no marking file"):
        judging.preprocess(notebook(grade_cell("02.1", shown(message()))), resources())


def test_the_verdict_is_in_words_and_escaped(judging: JudgeAnswers) -> None:
    mistake = keys()["02.2"].mistakes[0]
    cell = grade_cell("02.2", shown(message("02.2", float(mistake.value))))
    judged(judging, cell)
    said = cell.outputs[0]
    assert mistake.name in said.data["text/plain"]
    assert mistake.words in said.data["text/plain"]
    assert "Where to look: " in said.data["text/plain"]
    assert "color" not in said.data["text/html"]
    assert said.metadata[hooks.MARK_RECORD].name == mistake.name
    lines = ["<script>", "a & b"]
    assert hooks._page(lines).count("<script>") == 0
    assert "a &amp; b" in hooks._page(lines)


@given(st.floats(), st.floats(0, 10))
@settings(derandomize=True, deadline=None, max_examples=50)
def test_points_are_a_plain_number_that_nbgrader_takes(share: float, most: float) -> None:
    points = points_of(Mark("02.1", share, "mistake", "", "", ""), most)
    assert type(points) is float
    assert 0 <= points <= most
    assert float(repr(points)) == points
    assert points_of(None, most) == 0.0


def test_points_that_nbgrader_would_stumble_over_are_rounded() -> None:
    assert points_of(Mark("02.1", 1 / 3, "mistake", "", "", ""), 2.0) == 0.67
    assert points_of(Mark("02.1", 1.0000000000000002, "good", "", "", ""), 2.0) == 0.0


def test_huge_outputs_are_cut(judging: JudgeAnswers) -> None:
    huge = "9" * 200_000
    page = new_output("display_data", {"text/plain": huge, "text/html": huge})
    cell = new_code_cell("", outputs=[new_output("stream", name="stdout", text=huge), page])
    judging.preprocess(notebook(cell), resources())
    assert len(str(cell)) < 3 * hooks.LONGEST_OUTPUT


def test_released_cells_end_where_the_text_ends() -> None:
    cell = new_code_cell("my_answer_02_1 = ...  # your number\n\n")
    cell.metadata["nbgrader"] = mark("answer-02-1", solution=True)
    nb, _ = TidyAnswers().preprocess(notebook(cell), resources())
    assert nb.cells[1].source == "my_answer_02_1 = ...  # your number"


def test_a_page_carries_no_message_and_no_bare_number(judging: JudgeAnswers) -> None:
    cell = grade_cell("02.1", shown(message()))
    plain = new_code_cell("lesson.answer()", outputs=[shown(message())])
    nb = notebook(cell, plain)
    judging.preprocess(nb, resources())
    StripAnswers().preprocess(nb, resources())
    assert hooks.ANSWER_TYPE not in str(nb)
    assert [o.output_type for o in cell.outputs] == ["display_data"]
