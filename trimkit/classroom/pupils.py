"""Synthetic pupils: who answers well, who leaves all blank, who makes which mistake."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import nbformat
from nbformat import NotebookNode

from trimkit.classroom.key import Key
from trimkit.classroom.marking import MarkingFile
from trimkit.classroom.names import task_of
from trimkit.lesson import variant
from trimkit.lesson.task import Lesson

DECIMALS = 4  # as typed; far inside every tolerance
SENTENCE_POINTS = (2, 1, 0)


@dataclass(frozen=True, slots=True)
class Policy:
    """How a synthetic pupil answers.

    Parameters
    ----------
    kind : {"good", "blank", "mistake"}
        All answers good, all left as they were, or a mistake in every task [-].
    place : int
        Which of a task's named mistakes, from 0; it wraps around where a task has fewer [-].
    sentence : int
        Points that the sentence is worth, 0 to 2 [-].
    """

    kind: Literal["good", "blank", "mistake"]
    place: int = 0
    sentence: int = 2

    @property
    def words(self) -> str:
        """Say it in words.

        Returns
        -------
        str
            Such as "mistake 2" [-].
        """
        named = {"good": "all good", "blank": "all blank"}
        return named.get(self.kind, f"mistake {self.place + 1}")


@dataclass(frozen=True, slots=True)
class Paper:
    """One pupil's lesson, filled in, and what it should earn.

    Parameters
    ----------
    notebook : NotebookNode
        The notebook to hand in [-].
    expected : mapping of str to float
        Points by nbgrader's grade id [-].
    """

    notebook: NotebookNode
    expected: Mapping[str, float]


def policies(count: int) -> tuple[Policy, ...]:
    """Give each pupil of a class a policy.

    Parameters
    ----------
    count : int
        Number of pupils, at least 1 [-].

    Returns
    -------
    tuple of Policy
        One all good, one all blank, then mistakes in turn [-].
    """
    first = (Policy("good"), Policy("blank", sentence=0))
    rest = (Policy("mistake", k, SENTENCE_POINTS[(k + 1) % 3]) for k in range(count - len(first)))
    return (*first, *rest)[:count]


def fill_in(
    released: NotebookNode,
    lesson: Lesson,
    marks: MarkingFile,
    who: tuple[int, str],
    policy: Policy,
) -> Paper:
    """Fill a released lesson in as one synthetic pupil.

    Parameters
    ----------
    released : NotebookNode
        The lesson as pupils get it; it stays as it is [-].
    lesson : Lesson
        Its tasks [-].
    marks : MarkingFile
        Its keys and sentences [-].
    who : (int, str)
        The pupil's number and the class word [-].
    policy : Policy
        How the pupil answers [-].

    Returns
    -------
    Paper
        The notebook and the points it should earn [-].
    """
    keys = marks.keys(variant.all_figures(lesson, *who))
    notebook = nbformat.from_dict(released)  # type: ignore[no-untyped-call]
    expected: dict[str, float] = {}
    for cell in notebook.cells:
        mark = cell.metadata.get("nbgrader", {})
        grade_id = mark.get("grade_id", "")
        if mark.get("solution") and policy.kind != "blank":
            cell.source = _typed(grade_id, cell.source, keys, marks, policy)
        if mark.get("grade"):
            expected[grade_id] = _points(grade_id, float(mark.points), keys, policy)
    return Paper(notebook, expected)


def _typed(
    grade_id: str, source: str, keys: Mapping[str, Key], marks: MarkingFile, policy: Policy
) -> str:
    kind, _, number = grade_id.partition("-")
    if kind == "words":
        return marks.sentences[policy.sentence]
    key = keys[number.replace("-", ".")]
    value, _share = _answer(key, policy)
    typed = round(value, DECIMALS) if isinstance(value, float) else value
    head = source.split("=", 1)[0]
    return f"{head}= {typed!r}"


def _points(grade_id: str, most: float, keys: Mapping[str, Key], policy: Policy) -> float:
    if policy.kind == "blank":
        return 0.0
    task_id = task_of(grade_id)
    if task_id is None:
        return float(policy.sentence)
    return round(_answer(keys[task_id], policy)[1] * most, 2)


def _answer(key: Key, policy: Policy) -> tuple[float | str, float]:
    if policy.kind == "good":
        return key.value, 1.0
    mistake = key.mistakes[policy.place % len(key.mistakes)]
    return mistake.value, mistake.share
