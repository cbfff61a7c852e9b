"""A class in miniature, offline: pack, hand-ins by synthetic pupils, marking, feedback, marks.

It uses the same files, settings and commands as a real class, and compares what each synthetic
pupil earned with what the pupil should have earned.
"""

from __future__ import annotations

import datetime
import re
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import nbformat
from tqdm import tqdm

from trimkit import places
from trimkit.classroom import gradebook, marking, pack, pupils
from trimkit.classroom.course import Course
from trimkit.classroom.pupils import Policy
from trimkit.lesson import tasks
from trimkit.lesson.handin import folder_name

CLASS_WORD = "rehearsal"
_PAGE_DONE = re.compile(r"\] Autograding |FeedbackApp.*\] Converting notebook ")
Expected = dict[tuple[int, str, str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one synthetic pupil earned in one lesson.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    policy : str
        How the pupil answered [-].
    lesson : str
        The lesson's folder [-].
    expected, earned, of : float
        Points that it should be, that it is, and that there are [-].
    differences : tuple of str
        Tasks whose points are not what they should be [-].
    feedback : bool
        Whether a feedback page was written [-].
    """

    pupil: int
    policy: str
    lesson: str
    expected: float
    earned: float
    of: float
    differences: tuple[str, ...]
    feedback: bool

    @property
    def good(self) -> bool:
        """Say whether every task earned what it should and a page came back.

        Returns
        -------
        bool
            True when so [-].
        """
        return not self.differences and self.feedback


@dataclass(frozen=True, slots=True, kw_only=True)
class Rehearsal:
    """A rehearsal's outcome.

    Parameters
    ----------
    folder : pathlib.Path
        Where everything lies [-].
    results : tuple of Result
        By pupil and lesson [-].
    seconds_per_notebook : float
        Time to mark one notebook [s].
    """

    folder: Path
    results: tuple[Result, ...]
    seconds_per_notebook: float

    @property
    def good(self) -> bool:
        """Say whether every pupil earned what they should.

        Returns
        -------
        bool
            True when so, False for a rehearsal without results [-].
        """
        return bool(self.results) and all(result.good for result in self.results)

    def as_dict(self) -> dict[str, Any]:
        """Give it as plain data for JSON.

        Returns
        -------
        dict
            Folder, outcome, time [s] and results [-].
        """
        return {
            "folder": str(self.folder),
            "good": self.good,
            "seconds_per_notebook": round(self.seconds_per_notebook, 2),
            "results": [asdict(result) for result in self.results],
        }

    def words(self) -> str:
        """Say it as a page in Markdown.

        Returns
        -------
        str
            A table of expected and earned points, and the verdict [-].
        """
        lines = [
            "# Rehearsal",
            "",
            _verdict(self),
            "",
            f"Marking one notebook took {self.seconds_per_notebook:.1f} s.",
            "",
            "| pupil | answers | lesson | should earn | earned | of | as it should be |",
            "|---|---|---|---|---|---|---|",
        ]
        return "\n".join([*lines, *(_line(result) for result in self.results), ""])


def rehearse(
    pupils: int = 12,
    output: Path | None = None,
    instructor: Path | None = None,
    progress: Callable[..., Any] | None = tqdm,
) -> Rehearsal:
    """Rehearse a class.

    Parameters
    ----------
    pupils : int
        Number of synthetic pupils, at least 1 [-].
    output : pathlib.Path or None
        Folder to fill, new or empty; None makes `rehearsal-` and the date here [-].
    instructor : pathlib.Path or None
        The instructor's folder, None for the checkout's [-].
    progress : callable or None
        Makes a progress bar as tqdm does, None for no bar [-].

    Returns
    -------
    Rehearsal
        What each pupil earned and should have earned [-].

    Raises
    ------
    ValueError
        When the folder is in use or there are no pupils.
    FileNotFoundError
        When there is no instructor's folder.
    ChildProcessError
        When nbgrader fails, with its words.
    """
    if pupils < 1:
        raise ValueError(f"{pupils} pupils cannot be rehearsed with; at least 1")
    course = Course(
        root=_empty_folder(output),
        instructor=places.instructor_folder(instructor),
        class_word=CLASS_WORD,
    )
    course.prepare()
    pack.write(course.root / "pupils.zip", CLASS_WORD)
    course.generate()
    expected, chosen = _hand_in(course, pupils)
    seconds = _mark(course, len(chosen) * len(course.lessons()), progress)
    found = gradebook.write(course, course.root / "marks.csv")
    outcome = Rehearsal(
        folder=course.root,
        results=_results(course, chosen, expected, found),
        seconds_per_notebook=seconds,
    )
    (course.root / "summary.md").write_text(outcome.words(), encoding="utf-8")
    return outcome


def _empty_folder(output: Path | None) -> Path:
    folder = output or Path(f"rehearsal-{datetime.date.today().isoformat()}")
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise ValueError(f"{folder} is in use. Name a new or an empty folder: --output DIR")
    folder.mkdir(parents=True, exist_ok=True)
    return folder.resolve()


def _hand_in(course: Course, count: int) -> tuple[Expected, tuple[Policy, ...]]:
    chosen = pupils.policies(count)
    expected: Expected = {}
    for lesson_folder in course.lessons():
        lesson = tasks.load(lesson_folder[:2])
        marks = marking.load(course.instructor / "marking" / f"{lesson.id}.py")
        for path in sorted((course.released / lesson_folder).glob("*.ipynb")):
            released = nbformat.read(path, as_version=4)  # type: ignore[no-untyped-call]
            for number, policy in enumerate(chosen, 1):
                who = (number, course.class_word)
                paper = pupils.fill_in(released, lesson, marks, who, policy)
                _write(course, number, lesson_folder, path.name, paper.notebook)
                for task, points in paper.expected.items():
                    expected[number, lesson_folder, task] = points
    return expected, chosen


def _write(course: Course, pupil: int, lesson: str, name: str, notebook: Any) -> None:
    folder = course.marking / "submitted" / folder_name(pupil) / lesson
    folder.mkdir(parents=True, exist_ok=True)
    nbformat.write(notebook, folder / name)  # type: ignore[no-untyped-call]


def _mark(course: Course, notebooks: int, progress: Callable[..., Any] | None) -> float:
    bar = progress(total=2 * notebooks, desc="Marking", unit="page") if progress else None

    def watch(line: str) -> None:
        if bar is not None and _PAGE_DONE.search(line):
            bar.update(1)

    try:
        gradebook.enrol(course)
        start = time.monotonic()
        course.run_each("autograde", watch=watch)
        seconds = time.monotonic() - start
        gradebook.enter_sentences(course, _coach(course))
        course.run_each("generate_feedback", watch=watch)
    finally:
        if bar is not None:
            bar.close()
    return seconds / max(notebooks, 1)


def _coach(course: Course) -> Callable[[str, str], int | None]:
    known = {
        (lesson, sentence.strip()): points
        for lesson in course.lessons()
        for points, sentence in marking.load(
            course.instructor / "marking" / f"{lesson[:2]}.py"
        ).sentences.items()
    }
    return lambda lesson, sentence: known.get((lesson, sentence.strip()))


def _results(
    course: Course,
    chosen: tuple[Policy, ...],
    expected: Expected,
    found: list[gradebook.Row],
) -> tuple[Result, ...]:
    earned = {(row.pupil, row.lesson, row.task): row for row in found}
    return tuple(
        _result(course, number, policy, lesson, expected, earned)
        for number, policy in enumerate(chosen, 1)
        for lesson in course.lessons()
    )


def _result(
    course: Course,
    number: int,
    policy: Policy,
    lesson: str,
    expected: Expected,
    earned: dict[tuple[int, str, str], gradebook.Row],
) -> Result:
    wanted = {name: points for name, points in expected.items() if name[:2] == (number, lesson)}
    rows = {name: row for name, row in earned.items() if name[:2] == (number, lesson)}
    names = sorted(wanted.keys() | rows.keys())
    pages = course.marking / "feedback" / folder_name(number) / lesson
    return Result(
        pupil=number,
        policy=policy.words,
        lesson=lesson,
        expected=sum(wanted.values()),
        earned=sum(row.points for row in rows.values()),
        of=sum(row.of for row in rows.values()),
        differences=tuple(
            name[2]
            for name in names
            if name not in wanted or name not in rows or wanted[name] != rows[name].points
        ),
        feedback=any(pages.glob("*.html")),
    )


def _verdict(rehearsal: Rehearsal) -> str:
    wrong = sum(not result.good for result in rehearsal.results)
    if rehearsal.good:
        return f"All {len(rehearsal.results)} marked lessons earned what they should."
    return f"{wrong} of {len(rehearsal.results)} marked lessons are not as they should be."


def _line(result: Result) -> str:
    trouble = [*result.differences, *([] if result.feedback else ["no feedback page"])]
    answer = "yes" if result.good else "no: " + ", ".join(trouble)
    return (
        f"| {result.pupil} | {result.policy} | {result.lesson} | {result.expected:g} | "
        f"{result.earned:g} | {result.of:g} | {answer} |"
    )
