"""The commands for handing in without a server: hand-in for pupils, collect for coaches."""

from __future__ import annotations

import argparse
import dataclasses
from pathlib import Path

from trimkit import places
from trimkit.cli.shared import DONE, NO, Commands, add_course, add_json, course_folder, print_json


def describe(commands: Commands) -> None:
    """Describe what can be typed after hand-in and collect.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    _describe_hand_in(commands)
    _describe_collect(commands)


def _describe_hand_in(commands: Commands) -> None:
    command = commands.add_parser(
        "hand-in",
        help="look whether a lesson is ready, and make the file to hand in",
        description="Look whether a lesson is ready, and make one zip with your number, not your "
        "name, to give to your coach. Save the notebook first. Nothing of yours is changed.",
        epilog="Exit status: 0 made and nothing missing, 1 something is missing, 2 something "
        "typed cannot be used.",
    )
    command.add_argument("lesson", metavar="LESSON", help="the lesson, such as 02 or 02-angles")
    command.add_argument(
        "--work",
        type=Path,
        metavar="DIR",
        help=f"your work folder (if left out: {places.default_work_folder().name} in your home)",
    )
    command.add_argument(
        "--to", type=Path, metavar="DIR", help="where to (if left out: hand-in in the work folder)"
    )
    command.add_argument("--folder", action="store_true", help="a folder instead of a zip")
    command.add_argument("--check", action="store_true", help="only look, make nothing")
    add_json(command)
    command.set_defaults(run=_hand_in)


def _hand_in(given: argparse.Namespace) -> int:
    from trimkit.lesson import handin

    work = given.work or places.default_work_folder()
    if given.check:
        checks, path = handin.check(work, given.lesson), None
    else:
        made = handin.make(work, given.lesson, given.to, given.folder)
        checks, path = made.checks, made.path
    if given.json:
        about = dataclasses.asdict(checks) | {"missing": checks.missing, "ready": checks.ready}
        print_json(about | {"path": str(path) if path else None})
    else:
        print(checks.words())
        print(f"Hand in: {path}" if path else "Nothing was made.")
    return DONE if checks.ready else NO


def _describe_collect(commands: Commands) -> None:
    command = commands.add_parser(
        "collect",
        help="for coaches: take a folder of downloads to where it is marked",
        description="Take zips, folders and notebooks with odd names to marking/submitted. Whose "
        "it is stands in its name as a number, which lesson in the notebook. The newest counts; "
        "an older one moves to marking/earlier. A file marking/due.csv with lines such as "
        "02,2026-11-20 says by when a lesson is due; late ones are taken too, and told.",
        epilog="Exit status: 0 all collected, 1 something could not be used or nothing was there, "
        "2 something typed cannot be used.",
    )
    command.add_argument("downloads", metavar="DIR", type=Path, help="the folder of downloads")
    add_course(command)
    add_json(command)
    command.set_defaults(run=_collect)


def _collect(given: argparse.Namespace) -> int:
    from trimkit.classroom import collection
    from trimkit.classroom.course import Course

    root = course_folder(given.course)
    if not (root / "course").is_dir():
        raise FileNotFoundError(f"{root} holds no folder course. Give the course folder: --course")
    found = collection.collect(Course(root=root, instructor=root / "instructor"), given.downloads)
    if given.json:
        print_json(dataclasses.asdict(found))
    else:
        print(found.words())
    return DONE if found.taken and not found.troubles else NO
