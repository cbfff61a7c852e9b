"""Answers in words, read by the coach: nameless, those that say nearly the same together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from trimkit.classroom import gradebook
from trimkit.classroom.course import Course

ALIKE = 0.5  # share of words in common from which two are shown together; assumed
LITTLE = frozenset(
    ("a", "an", "and", "are", "as", "at", "be", "because", "but", "by", "do", "for", "from", "i",
     "if", "in", "is", "it", "its", "my", "of", "on", "or", "so", "that", "the", "then", "there",
     "they", "this", "to", "was", "we", "will", "with", "would", "you")
)  # fmt: skip
_WORD = re.compile(r"[^\W\d_]+|\d+(?:[.,]\d+)?")


@dataclass(frozen=True, slots=True)
class Group:
    """Sentences that say nearly the same.

    Parameters
    ----------
    texts : tuple of str
        One for each pupil, without saying whose [-].
    """

    texts: tuple[str, ...]

    @property
    def different(self) -> tuple[str, ...]:
        """The same words only once [-]."""
        return tuple(dict.fromkeys(self.texts))


def waiting(course: Course, lesson: str) -> tuple[str, ...]:
    """List the sentences of a lesson that nobody has read.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].

    Returns
    -------
    tuple of str
        One for each pupil, in no order that tells whose it is [-].
    """
    return tuple(sorted(text for text in gradebook.unread(course, lesson) if text.strip()))


def grouped(texts: Sequence[str]) -> tuple[Group, ...]:
    """Put sentences together that share most of their words.

    Parameters
    ----------
    texts : sequence of str
        Sentences [-].

    Returns
    -------
    tuple of Group
        The largest first, then by their words [-].
    """
    groups: list[list[str]] = []
    for text in sorted(texts):
        near = [group for group in groups if _likeness(group[0], text) >= ALIKE]
        if near:
            max(near, key=lambda group: _likeness(group[0], text)).append(text)
        else:
            groups.append([text])
    return tuple(Group(tuple(one)) for one in sorted(groups, key=lambda one: (-len(one), one[0])))


def give(course: Course, lesson: str, texts: Sequence[str], points: int) -> int:
    """Give points for sentences, at once in the gradebook.

    Parameters
    ----------
    course : Course
        The course [-].
    lesson : str
        The lesson's folder [-].
    texts : sequence of str
        The sentences; whoever wrote one of them gets the points [-].
    points : int
        0 to 2 [-].

    Returns
    -------
    int
        How many pupils got them [-].
    """
    if points not in (0, 1, 2):
        raise ValueError(f"{points} points are given for a sentence; allowed is 0, 1 or 2")
    mine = set(texts)
    return gradebook.enter_sentences(
        course, lambda of, text: points if of == lesson and text in mine else None
    )


def _words(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(text.lower())) - LITTLE


def _likeness(one: str, other: str) -> float:
    """Words in common over words in all: 1 for the same, 0 for none (Jaccard 1901)."""
    first, second = _words(one), _words(other)
    return len(first & second) / len(first | second) if first or second else 1.0
