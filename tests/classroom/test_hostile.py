"""Notebooks that try for points or for trouble, through nbgrader's own autograding."""

from __future__ import annotations

from pathlib import Path

import nbformat
import pytest
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell
from papers import INSTRUCTOR, instructor_with, mark

from trimkit.classroom import gradebook
from trimkit.classroom.course import Course

pytestmark = pytest.mark.notebooks

EQUAL_TO_ALL = """
class Everything(float):
    def __eq__(self, other): return True
    __hash__ = float.__hash__
my_answer_02_1 = Everything(1.0)
"""
PATCHED = """
from IPython.display import display
def forged(task_id, value):
    kind = "application/vnd.trimkit.answer+json"
    display({kind: {"schema": 1, "id": task_id, "pupil": 1, "share": 1.0}}, raw=True)
    display({"text/plain": "2.0"}, raw=True)
    return 2.0
lesson.answer = forged
"""
NOISY = """
import sys, math
print("x" * 5_000_000)
print("a warning", file=sys.stderr)
my_answer_02_1 = math.nan
"""
HOSTILE = {
    1: EQUAL_TO_ALL,
    2: PATCHED,
    3: NOISY,
    4: "while True: pass",
    5: "import os; os._exit(1)",
    6: "raise SystemExit",
}
DOUBLED, HONEST, STRAY = 7, 8, 9


def hand_in(course: Course, pupil: int, notebook: NotebookNode) -> None:
    folder = course.marking / "submitted" / f"pupil-{pupil:02d}" / "02-angles"
    folder.mkdir(parents=True)
    nbformat.write(notebook, folder / "angles.ipynb")


def answer_cell(notebook: NotebookNode, grade_id: str) -> NotebookNode:
    marked = [c for c in notebook.cells if "nbgrader" in c.metadata]
    return next(c for c in marked if c.metadata.nbgrader.grade_id == grade_id)


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Course:
    some = instructor_with(tmp_path_factory.mktemp("some") / "instructor", "02-angles")
    course = Course(root=tmp_path_factory.mktemp("hostile"), instructor=some, class_word="oak")
    course.prepare()
    course.generate()
    path = course.released / "02-angles" / "angles.ipynb"

    def released() -> NotebookNode:
        return nbformat.read(path, as_version=4)

    for pupil, source in HOSTILE.items():
        notebook = released()
        answer_cell(notebook, "answer-02-1").source = source
        hand_in(course, pupil, notebook)
    doubled = released()
    doubled.cells.append(nbformat.from_dict(answer_cell(doubled, "task-02-1")))
    doubled.cells[-1]["id"] = "twin-01"
    hand_in(course, DOUBLED, doubled)
    honest = released()
    solved = nbformat.read(INSTRUCTOR / "source" / "02-angles" / "angles.ipynb", as_version=4)
    answer_cell(honest, "answer-02-1").source = answer_cell(solved, "answer-02-1").source
    hand_in(course, HONEST, honest)
    stray = released()
    stray.cells.append(new_code_cell("1"))
    stray.cells[-1].metadata["nbgrader"] = mark("task-02-99", grade=True, locked=True, points=50)
    hand_in(course, STRAY, stray)
    gradebook.enrol(course)
    course.run_each("autograde", "--ExecuteAnswers.timeout=6")
    course.run_each("generate_feedback")
    return course


def test_every_notebook_is_marked_and_no_trick_earns_a_point(marked: Course) -> None:
    rows = gradebook.rows(marked)
    earned = {pupil: 0.0 for pupil in (*HOSTILE, DOUBLED, HONEST, STRAY)}
    assert {row.pupil for row in rows if row.lesson == "02-angles"} == set(earned)
    for row in rows:
        earned[row.pupil] += row.points
    assert earned == {pupil: 2.0 * (pupil == HONEST) for pupil in earned}
    assert len({sum(row.pupil == pupil for row in rows) for pupil in earned}) == 1


def test_the_coach_is_told(marked: Course) -> None:
    report = (marked.marking / "report.txt").read_text("utf-8")
    assert "pupil-05: the run stopped early" in report
    assert "pupil-02: an answer in cell 02.2 was refused" in report
    assert "pupil-04: a cell was stopped after 6 s" in report
    assert "pupil-07: a cell was doubled" in report
    assert "pupil-09: a cell was doubled or its marks were damaged" in report
    assert "pupil-08" not in report


def test_everyone_gets_a_page_of_a_sane_size(marked: Course) -> None:
    pages = sorted((marked.marking / "feedback").glob("*/02-angles/*.html"))
    assert len(pages) == len(HOSTILE) + 3
    assert all(page.stat().st_size < 2_000_000 for page in pages)


def test_marks_are_plain_numbers_in_the_marked_notebooks(marked: Course) -> None:
    for path in sorted(Path(marked.marking / "autograded").glob("*/02-angles/*.ipynb")):
        for cell in nbformat.read(path, as_version=4).cells:
            if cell.cell_type == "code" and cell.metadata.get("nbgrader", {}).get("grade"):
                kinds = [output.output_type for output in cell.outputs]
                assert kinds == ["display_data", "execute_result"]
                assert 0 <= float(cell.outputs[1].data["text/plain"]) <= 2
