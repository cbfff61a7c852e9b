"""The command for marking a class: mark."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from trimkit import places
from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_course,
    add_json,
    course_folder,
    instructor_folder,
    print_json,
    whole_number,
)

MOST_JOBS = 64


def describe(commands: Commands) -> None:
    """Describe what can be typed after mark.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "mark",
        help="for coaches: mark a whole class in one lesson",
        description="Mark everything handed in for a lesson, into nbgrader's gradebook. Only what "
        "changed is marked again; a run that was cut short goes on where it stopped. Pupils' code "
        "runs without network and without sight of keys, marks or other pupils' work.",
        epilog="Exit status: 0 everybody who handed in is marked, 1 somebody is not or nobody "
        "handed in, 2 something typed cannot be used.",
    )
    command.add_argument("lesson", metavar="LESSON", help="the lesson, such as 02 or 02-angles")
    add_course(command)
    command.add_argument(
        "--instructor",
        type=Path,
        metavar="PATH",
        help="the instructor's folder (if left out: the one in the course folder or this project)",
    )
    command.add_argument(
        "--class-word", default="", metavar="W", help="the class word; kept for the next time"
    )
    command.add_argument(
        "--jobs",
        type=whole_number(MOST_JOBS),
        metavar="N",
        help="markers side by side (if left out: one a core, or one a thread of the cluster)",
    )
    command.add_argument(
        "--cluster",
        default="",
        metavar="ADDRESS",
        help="run pupils' code on the machines of a Dask cluster, such as tcp://10.0.0.5:8786; "
        "keys and marks stay here, and there it runs only behind walls unless --guard is off",
    )
    command.add_argument(
        "--guard",
        choices=("auto", "required", "off"),
        default="auto",
        help="walls round pupils' code: if they work (auto, if left out), or no marking without "
        "them (required), or limits only (off)",
    )
    command.add_argument("--again", action="store_true", help="mark again what did not change, too")
    add_json(command)
    command.set_defaults(run=_mark)


def _mark(given: argparse.Namespace) -> int:
    root = _course_folder(given.course)
    instructor = instructor_folder(given.instructor, root)
    word = places.checked_pupil(0, given.class_word).class_word
    from trimkit.classroom import crowd
    from trimkit.classroom.course import Course

    outcome = crowd.mark(
        Course(root=root, instructor=instructor, class_word=word),
        given.lesson,
        jobs=given.jobs,
        wish=given.guard,
        again=given.again,
        cluster=given.cluster,
        say=_say,
        progress=None if given.json else _bar,
    )
    if given.json:
        print_json(outcome.as_dict())
    else:
        print(outcome.words())
    return DONE if outcome.good else NO


def _course_folder(given: Path | None) -> Path:
    root = course_folder(given)
    if not (root / "marking").is_dir():
        raise FileNotFoundError(
            f"{root} holds no folder marking. Give the course folder, and put what pupils handed "
            "in into its marking/submitted/pupil-07/02-angles and so on: --course DIR"
        )
    return root


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _bar(**about: Any) -> Any:
    from tqdm import tqdm

    return tqdm(file=sys.stderr, disable=None, **about)
