"""Notebook cells as nbgrader and `lesson.answer` leave them, for the tests in this folder."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import nbformat
from nbformat import NotebookNode
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

from trimkit.classroom import marking, pupils
from trimkit.classroom.course import Course
from trimkit.classroom.message import ANSWER_TYPE
from trimkit.classroom.rehearse import CLASS_WORD
from trimkit.lesson import tasks
from trimkit.lesson.handin import folder_name
from trimkit.lesson.task import Check, Task

INSTRUCTOR = Path(__file__).parents[2] / "instructor"

DISTANCE = Task(
    id="90.1",
    title="How far",
    kind="number",
    unit="mm",
    draw=lambda random: {"half_mm": random.randint(10, 20)},
    ask=lambda f: f"Half the way is {f['half_mm']} mm. How long is the way, in mm?",
    checks=(Check("sign", lambda value, _: value < 0, "A length has no minus."),),
    look="the first picture.",
)
SIDE = Task(
    id="90.2",
    title="Which side",
    kind="choice",
    draw=lambda random: {"order": (2, 0, 1)},
    ask=lambda f: "Which side?",
    choices=("left", "middle", "right"),
    look="the second picture.",
)


def message(
    task_id: str = "02.1", value: Any = 3.0, kind: str = "number", **changed: Any
) -> dict[str, Any]:
    """Make what `lesson.answer` leaves in an output."""
    answer = {"type": kind, "value": value}
    return {"schema": 1, "id": task_id, "pupil": 7, "answer": answer} | changed


def shown(content: Any) -> NotebookNode:
    """Make the output that carries a message."""
    return new_output("display_data", {"text/plain": "You typed it.", ANSWER_TYPE: content})


def grade_cell(task_id: str, *outputs: NotebookNode, points: float = 2) -> NotebookNode:
    """Make a locked cell that hands an answer in."""
    number = task_id.replace(".", "-")
    cell = new_code_cell(f'lesson.answer("{task_id}", my_answer)', outputs=list(outputs))
    cell.metadata["nbgrader"] = mark(f"task-{number}", grade=True, locked=True, points=points)
    return cell


def mark(grade_id: str, /, **changed: Any) -> NotebookNode:
    """Make nbgrader's record of a cell."""
    record = {
        "grade_id": grade_id,
        "grade": False,
        "locked": False,
        "solution": False,
        "task": False,
        "schema_version": 3,
    }
    return NotebookNode(record | changed)


def notebook(*cells: NotebookNode) -> NotebookNode:
    """Make a notebook with a title and these cells."""
    return new_notebook(cells=[new_markdown_cell("# Lesson 02: Angles"), *cells])


def resources(folder: str = "pupil-07", lesson: str = "02-angles") -> dict[str, Any]:
    """Make what nbgrader hands its preprocessors."""
    return {"nbgrader": {"student": folder, "assignment": lesson, "notebook": "angles"}}


def instructor_with(place: Path, *lessons: str) -> Path:
    """Copy the instructor's folder with some of the lessons only, for time."""
    shutil.copytree(INSTRUCTOR, place)
    for folder in (place / "source").iterdir():
        if folder.name not in lessons:
            shutil.rmtree(folder)
    return place


def new_class(root: Path, instructor: Path) -> Course:
    """Make a course in which nobody has handed in."""
    made = Course(root=root, instructor=instructor, class_word=CLASS_WORD)
    made.prepare()
    return made


def hand_in(course: Course, lesson: str, count: int) -> None:
    """Let synthetic pupils hand in a released lesson: a good one, a blank one, then mistakes."""
    keys = marking.load(INSTRUCTOR / "marking" / f"{lesson[:2]}.py")
    released = next((course.released / lesson).glob("*.ipynb"))
    for number, policy in enumerate(pupils.policies(count), 1):
        paper = pupils.fill_in(
            nbformat.read(released, as_version=4),
            tasks.load(lesson[:2]),
            keys,
            (number, CLASS_WORD),
            policy,
        )
        folder = course.marking / "submitted" / folder_name(number) / lesson
        folder.mkdir(parents=True)
        nbformat.write(paper.notebook, folder / released.name)
