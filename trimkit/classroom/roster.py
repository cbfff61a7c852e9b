"""The roster: the numbers of a class, never names, in `marking/roster.csv`."""

from __future__ import annotations

from trimkit.classroom.course import Course
from trimkit.classroom.message import LARGEST_PUPIL

FILE = "roster.csv"
HEAD = "pupil"


def read(course: Course) -> tuple[int, ...]:
    """Read the numbers of a class.

    Parameters
    ----------
    course : Course
        The course [-].

    Returns
    -------
    tuple of int
        1 to 9999, in order, empty when there is no such file [-].

    Raises
    ------
    ValueError
        When a line is no number, or a number stands twice.
    """
    path = course.marking / FILE
    lines = path.read_bytes().decode("utf-8-sig", "replace").splitlines() if path.is_file() else []
    found: dict[int, int] = {}
    for place, line in enumerate(lines, 1):
        text = line.strip().strip(",;").strip()
        if not text or (place == 1 and text.lower() == HEAD):
            continue
        if not (text.isdecimal() and 1 <= int(text) <= LARGEST_PUPIL):
            raise ValueError(
                f"{path}, line {place}: allowed is one number from 1 to {LARGEST_PUPIL}, and "
                "nothing beside it. Names stay on the school's own list, not in this file"
            )
        if int(text) in found:
            raise ValueError(
                f"{path}, line {place}: number {int(text)} stands in line {found[int(text)]} too. "
                "Give each pupil one number, used by nobody else"
            )
        found[int(text)] = place
    return tuple(sorted(found))
