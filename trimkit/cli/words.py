"""The command for answers in words: words."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from trimkit.cli.shared import (
    DONE,
    NO,
    Commands,
    add_course,
    add_json,
    course_folder,
    instructor_folder,
    print_json,
)

if TYPE_CHECKING:
    from trimkit.classroom.course import Course
    from trimkit.classroom.sentences import Group

ASKED = "2, 1 or 0; s to see them one by one; Enter to leave it; q to stop: "
POINTS = {"2": 2, "1": 1, "0": 0}


def describe(commands: Commands) -> None:
    """Describe what can be typed after words.

    Parameters
    ----------
    commands : Commands
        The parser's commands, filled [-].
    """
    command = commands.add_parser(
        "words",
        help="for coaches: read the answers in words, nameless, and key 2, 1 or 0",
        description="Show the sentences of a marked lesson that nobody has read, nameless, those "
        "that say nearly the same together. Each key is kept at once; stop when you like.",
        epilog="Exit status: 0 nothing waits any more, 1 some still wait, 2 something typed "
        "cannot be used.",
    )
    command.add_argument("lesson", metavar="LESSON", help="the lesson, such as 02 or 02-angles")
    command.add_argument("--list", action="store_true", help="only show them, ask nothing")
    command.add_argument(
        "--instructor", type=Path, metavar="PATH", help="the instructor's folder, for its rubric"
    )
    add_course(command)
    add_json(command)
    command.set_defaults(run=_words)


def _words(given: argparse.Namespace) -> int:
    from trimkit.classroom import marking, sentences

    course, lesson = _course(given), given.lesson
    known = [path.name for path in course.released.glob("[0-9][0-9]-*")]
    found = [name for name in known if lesson in (name, name[:2])]
    if not found:
        raise ValueError(f"there is no lesson {lesson!r}; there is {', '.join(sorted(known))}")
    rubric = marking.load(course.instructor / "marking" / f"{found[0][:2]}.py").words_key
    groups = sentences.grouped(sentences.waiting(course, found[0]))
    if given.json:
        print_json({"lesson": found[0], "rubric": rubric, "groups": [one.texts for one in groups]})
        return NO if groups else DONE
    for points in sorted(rubric, reverse=True):
        print(f"{points}: {rubric[points]}")
    if given.list or not sys.stdin.isatty():
        print("\n".join(_shown(one) for one in groups) or "No sentence waits.")
        return NO if groups else DONE
    return _read(course, found[0], list(groups))


def _read(course: Course, lesson: str, groups: list[Group]) -> int:
    """Ask about one group after the other, until none is left or the coach stops."""
    from trimkit.classroom import sentences

    left = 0
    while groups:
        group = groups.pop(0)
        print(f"\n{_shown(group)}")
        key = _asked()
        if key == "q":
            print(f"Stopped; {left + len(group.texts) + sum(len(g.texts) for g in groups)} wait.")
            return NO
        if key == "s":
            groups[:0] = [sentences.Group((text,)) for text in group.texts]
        elif key in POINTS:
            print(f"{sentences.give(course, lesson, group.texts, POINTS[key])} marked.")
        else:
            left += len(group.texts)
    print(f"{left} still wait." if left else "No sentence waits.")
    return NO if left else DONE


def _asked() -> str:
    while True:
        try:
            key = input(ASKED).strip().lower()
        except (EOFError, KeyboardInterrupt):
            return "q"
        if key in (*POINTS, "s", "q", ""):
            return key
        print(f"{key[:20]!r} is no key here.")


def _shown(group: Group) -> str:
    count = len(group.texts)
    head = "One says" if count == 1 else f"{count} say nearly the same"
    return "\n".join([f"{head}:", *(f"  {' '.join(text.split())}" for text in group.different)])


def _course(given: argparse.Namespace) -> Course:
    from trimkit.classroom import backup
    from trimkit.classroom.course import Course

    root = course_folder(given.course)
    course = Course(root=root, instructor=instructor_folder(given.instructor, root))
    if not course.has_gradebook:
        raise FileNotFoundError(f"{root} holds no marked lesson. Next: trimkit mark {given.lesson}")
    backup.see_server(course)
    return course
