"""Whom to talk to this week, at most three, and what to ask: a question, and meant as help.

Four signs are looked at, in turns, one pupil from each, until there are three. Within a sign
those come first who were never asked, then those asked longest ago, then by number: so it goes
round, and nobody is asked for being last in a list of marks. There is no such list.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trimkit.classroom.report import counts
from trimkit.classroom.report.cases import CaseResult
from trimkit.classroom.report.counts import Paper, Results
from trimkit.classroom.report.ideas import Open

MOST = 3
HALF = 0.5
TWICE = 2
RULE = (
    "How they were chosen: one from each of four signs in turn. A lesson that half the class has "
    "handed in is missing; one idea stands in two places; half a lesson or more was left blank; "
    "two flights of the last case differ in more than one thing. Among several, those who were "
    "never asked come first, then those asked longest ago, then the lower number. Marks do not "
    "count."
)


@dataclass(frozen=True, slots=True)
class Talk:
    """A pupil to talk to.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    sign : str
        What was seen [-].
    ask : str
        What to ask [-].
    """

    pupil: int
    sign: str
    ask: str


def choose(
    results: Results,
    ideas: Sequence[Open],
    cases: Sequence[CaseResult],
    asked: Mapping[int, str],
) -> tuple[Talk, ...]:
    """Choose at most three.

    Parameters
    ----------
    results : Results
        Who handed in what [-].
    ideas : sequence of Open
        What is open [-].
    cases : sequence of CaseResult
        The last cases [-].
    asked : mapping of int to str
        By pupil: the day of the last report that named them [-].

    Returns
    -------
    tuple of Talk
        In the order of the signs [-].
    """
    queues = [
        sorted(signs, key=lambda one: (asked.get(one.pupil, ""), one.pupil))
        for signs in (_missing(results), _twice(ideas), _blank(results), _mixed(cases))
    ]
    chosen: list[Talk] = []
    while any(queues) and len(chosen) < MOST:
        for place, queue in enumerate(queues):
            known = {one.pupil for one in chosen}
            left = [one for one in queue if one.pupil not in known]
            chosen += left[:1]
            queues[place] = left[1:]
    return tuple(chosen[:MOST])


def _missing(results: Results) -> Iterator[Talk]:
    lesson = _newest(results)
    if not lesson:
        return
    name = f"lesson {lesson[:2]}"
    for paper in results.of_lesson(lesson):
        if paper.state == "not yet":
            yield Talk(
                paper.pupil,
                f"{name} has not come in, and half the class has handed it in",
                f"What got in the way of {name}? What would help you to begin: a quiet place, a "
                "partner, or the first task together?",
            )


def _newest(results: Results) -> str:
    """The last lesson that at least half the class has handed in, "" for none."""
    for lesson in reversed(results.lessons):
        papers = results.of_lesson(lesson)
        if sum(paper.state != "not yet" for paper in papers) >= HALF * len(papers):
            return lesson
    return ""


def _twice(ideas: Sequence[Open]) -> Iterator[Talk]:
    for one in ideas:
        for pupil in one.pupils:
            if len(one.places[pupil]) >= TWICE:
                where = counts.listed(one.places[pupil][:TWICE])
                yield Talk(pupil, f"one idea stands in two places, {where}", _question(one, where))


def _question(one: Open, where: str) -> str:
    if one.is_slip:
        return (
            f"Can you show me, with a pencil, how you worked out {where}? At which step would "
            "you like a check of your own?"
        )
    return (
        f"Somebody says: “{one.idea}” What would you see in the hall if that were so, and which "
        "two flights would show it?"
    )


def _blank(results: Results) -> Iterator[Talk]:
    for pupil in results.pupils:
        marked = [paper for paper in results.of_pupil(pupil) if paper.state == "marked"]
        if marked and _is_blank(marked[-1]):
            name = f"lesson {marked[-1].lesson[:2]}"
            yield Talk(
                pupil,
                f"half of {name} or more was left blank",
                f"Which task of {name} did you look at longest? Show me where you stopped; what "
                "would you try next?",
            )


def _is_blank(paper: Paper) -> bool:
    return paper.of > 0 and paper.blank >= HALF * paper.of


def _mixed(cases: Sequence[CaseResult]) -> Iterator[Talk]:
    for one in cases:
        if one.confounded:
            flights = counts.numbers(one.confounded)
            yield Talk(
                one.pupil,
                f"in {one.title}, flights {flights} differ in more than one thing",
                f"Look at flights {flights} of your case. Which one flight would tell you what "
                "made the difference?",
            )
