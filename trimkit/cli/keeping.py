"""The commands for what is kept of pupils: override and forget."""

from __future__ import annotations

import argparse
import dataclasses
from typing import TYPE_CHECKING

from trimkit import places
from trimkit.cli.shared import (
    BAD_INPUT,
    DONE,
    NO,
    Commands,
    add_course,
    add_json,
    course_folder,
    print_json,
    whole_number,
)

if TYPE_CHECKING:
    from trimkit.classroom.course import Course


def describe(commands: Commands) -> None:
    """Describe what can be typed after override and forget.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    _describe_override(commands)
    _describe_forget(commands)


def _describe_override(commands: Commands) -> None:
    command = commands.add_parser(
        "override",
        help="for coaches: put your own mark in place of the machine's, with a reason",
        description="Put your own mark in place of the machine's. It stands in "
        "marking/overrides.csv with its reason and survives marking again.",
    )
    command.add_argument(
        "pupil", type=whole_number(places.LARGEST_NUMBER), metavar="PUPIL", help="number"
    )
    command.add_argument("task", metavar="TASK", help="the task, such as 02.3")
    command.add_argument("points", metavar="POINTS", help="points, or the word undo")
    command.add_argument("--reason", required=True, metavar="WORDS", help="why; no names")
    add_course(command)
    add_json(command)
    command.set_defaults(run=_override)


def _override(given: argparse.Namespace) -> int:
    from trimkit.classroom import overrides

    try:
        points = None if given.points == "undo" else float(given.points.replace(",", "."))
    except ValueError:
        raise ValueError(
            f"{given.points!r} points are given; allowed is a number, or the word undo"
        ) from None
    made = overrides.override(_course(given), given.pupil, given.task, points, given.reason)
    if given.json:
        print_json(dataclasses.asdict(made))
    else:
        what = "the machine's mark again" if points is None else f"{made.points} points"
        print(f"Pupil {made.pupil}, {made.task}: {what}. {made.reason}")
    return DONE


def _describe_forget(commands: Commands) -> None:
    command = commands.add_parser(
        "forget",
        help="for coaches: erase what is kept of a pupil, or of the season",
        description="Erase what is kept of a pupil, or of the whole season, in the course folder. "
        "Without --yes it only says what there is. instructor/plans/what-is-kept.md says what is "
        "kept where, and for how long.",
        epilog="Exit status: 0 erased, or nothing was kept, 1 only said what there is, 2 something "
        "typed cannot be used.",
    )
    command.add_argument(
        "pupil",
        type=whole_number(places.LARGEST_NUMBER),
        nargs="?",
        metavar="PUPIL",
        help="the number",
    )
    command.add_argument("--season", action="store_true", help="everybody, everything")
    command.add_argument("--yes", action="store_true", help="really erase it")
    add_course(command)
    add_json(command)
    command.set_defaults(run=_forget)


def _forget(given: argparse.Namespace) -> int:
    from trimkit.classroom import forgetting

    if (given.pupil is None) == (not given.season):
        print("trimkit: give a pupil's number, or --season, and not both.")
        return BAD_INPUT
    course = _course(given)
    if given.season:
        found = forgetting.season(course, given.yes)
    else:
        found = forgetting.pupil(course, given.pupil, given.yes)
    if given.json:
        print_json(dataclasses.asdict(found) | {"erased": given.yes})
    else:
        print(found.words(given.yes))
        if found.anything and not given.yes:
            print("Nothing was erased. Type it again with --yes.")
    return DONE if given.yes or not found.anything else NO


def _course(given: argparse.Namespace) -> Course:
    from trimkit.classroom import backup
    from trimkit.classroom.course import Course

    root = course_folder(given.course)
    if not (root / "marking").is_dir():
        raise FileNotFoundError(f"{root} holds no folder marking. Give the course folder: --course")
    course = Course(root=root, instructor=root / "instructor")
    backup.see_server(course)
    return course
