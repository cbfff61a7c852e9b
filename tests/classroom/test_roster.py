"""The roster holds numbers in any plain form, and a forgotten pupil leaves it."""

from __future__ import annotations

from pathlib import Path

import pytest

from trimkit.classroom import forgetting, roster
from trimkit.classroom.course import Course


@pytest.fixture
def course(tmp_path: Path) -> Course:
    made = Course(root=tmp_path, instructor=tmp_path / "instructor")
    made.marking.mkdir()
    return made


def test_without_a_roster_nobody_is_in_it(course: Course) -> None:
    assert roster.read(course) == ()


@pytest.mark.parametrize(
    "raw", [b"pupil\n8\n7\n\n", b"\xef\xbb\xbfPupil;\r\n07;\r\n8;\r\n", b"7\n8"]
)
def test_numbers_are_read_as_spreadsheets_write_them(course: Course, raw: bytes) -> None:
    (course.marking / roster.FILE).write_bytes(raw)
    assert roster.read(course) == (7, 8)


def test_a_forgotten_pupil_leaves_the_roster(course: Course) -> None:
    (course.marking / roster.FILE).write_bytes(b"pupil;\n07;\n70;\n8;\n")
    assert forgetting.pupil(course, 7, really=False).lines == 1
    assert roster.read(course) == (7, 8, 70)
    forgetting.pupil(course, 7, really=True)
    assert roster.read(course) == (8, 70)
