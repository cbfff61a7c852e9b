"""The command for the coach's report: report."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_course,
    add_json,
    course_folder,
    print_json,
    whole_number,
)

MOST_PUPILS = 500


def describe(commands: Commands) -> None:
    """Describe what can be typed after report.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "report",
        help="for coaches: one page on the class, with whom to talk to and what to ask",
        description="One page of HTML and tables as CSV from a marked class, offline: who has "
        "handed in what, counts, ideas still open and the flights that answer them, what the "
        "results say about the tasks, the last cases, whom to talk to. Numbers, never names; no "
        "order of marks. Nothing of the class's folder is changed but the report itself.",
    )
    add_course(command)
    command.add_argument(
        "--output",
        type=Path,
        metavar="DIR",
        help="folder for the report (if left out: marking/report in the course folder)",
    )
    command.add_argument(
        "--pupils",
        type=whole_number(MOST_PUPILS),
        default=0,
        metavar="N",
        help="how many the class has, so that those who handed in nothing are on the page too "
        "(if left out: the numbers in marking/roster.csv)",
    )
    command.add_argument(
        "--class-word", default="", metavar="W", help="the class word, to mark logs of cases"
    )
    add_json(command)
    command.set_defaults(run=_report)


def _report(given: argparse.Namespace) -> int:
    root = _course_folder(given.course)
    from trimkit.classroom import report
    from trimkit.classroom.course import Course
    from trimkit.classroom.report import moved

    course = Course(root=root, instructor=root / "instructor", class_word=given.class_word)
    folder = given.output or course.marking / "report"
    if folder.exists() and not folder.is_dir():
        raise ValueError(f"{folder} is a file. Name a folder: --output DIR")
    found = report.gather(course, folder / moved.FILE, given.pupils, say=_say)
    written = report.save(found, folder)
    if given.json:
        print_json(found.as_data() | {"files": [str(path) for path in written]})
    else:
        _print(found.results.lessons, found.notes, written)
    return DONE if found.results.lessons else NO


def _print(lessons: tuple[str, ...], notes: tuple[str, ...], written: tuple[Path, ...]) -> None:
    for note in notes:
        print(note)
    if not lessons:
        print("Nobody has handed in a lesson yet; the report says so. Next: collect the notebooks")
        print("into marking/submitted/pupil-07/02-angles and so on, and mark them.")
    page, *beside = written
    print(f"{page}: open it in a browser, or print it.")
    print(f"Beside it: {', '.join(path.name for path in beside)}")


def _say(words: str) -> None:
    print(f"{words} ...", file=sys.stderr, flush=True)


def _course_folder(given: Path | None) -> Path:
    root = course_folder(given)
    if not root.is_dir():
        raise FileNotFoundError(
            f"there is no folder {root}. Give the course folder, the one that holds marking: "
            "--course DIR"
        )
    return root
