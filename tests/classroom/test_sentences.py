"""Answers in words are put together by likeness."""

from __future__ import annotations

import pytest

from trimkit.classroom import sentences
from trimkit.classroom.course import Course

SAID = (
    "I would fly it again with nothing changed, because one dive can be the launch.",
    "Fly it again with nothing changed, because the dive can be the launch!",
    "More turns.",
    "more turns",
    "I measure the tips and take the twist out.",
)


def test_those_that_say_nearly_the_same_come_together() -> None:
    groups = sentences.grouped(SAID)
    assert [len(one.texts) for one in groups] == [2, 2, 1]
    assert {frozenset(one.texts) for one in groups} == {
        frozenset(SAID[:2]), frozenset(SAID[2:4]), frozenset(SAID[4:])
    }  # fmt: skip


def test_nothing_is_lost_and_the_order_of_pupils_does_not_show() -> None:
    groups = sentences.grouped([*SAID, SAID[2]])
    assert sorted(text for one in groups for text in one.texts) == sorted([*SAID, SAID[2]])
    assert groups == sentences.grouped([SAID[2], *reversed(SAID)])
    assert len(groups[0].texts) == 3
    assert len(groups[0].different) == 2
    assert sentences.grouped([]) == ()


def test_likeness_is_that_of_jaccard() -> None:
    """Two of four words in common: a half. Worked out by hand."""
    assert sentences._likeness("left wing low", "left wing heavy") == pytest.approx(2 / 4)
    assert sentences._likeness("the of", "and") == 1.0


def test_points_are_two_at_most(tmp_path) -> None:
    course = Course(root=tmp_path, instructor=tmp_path)
    with pytest.raises(ValueError, match="3 points are given for a sentence; allowed is 0, 1 or 2"):
        sentences.give(course, "02-angles", ["x"], 3)
