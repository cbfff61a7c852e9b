"""All that a report says, put together before a word of it is written."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from trimkit.classroom.course import Course
from trimkit.classroom.items import Analysis
from trimkit.classroom.report import cases, counts, ideas, moved, talk
from trimkit.classroom.report.cases import CaseResult
from trimkit.classroom.report.counts import Results
from trimkit.classroom.report.ideas import Open
from trimkit.classroom.report.moved import Memory, Snapshot
from trimkit.classroom.report.talk import Talk


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """A report.

    Parameters
    ----------
    results : Results
        Who handed in what, and every mark [-].
    analyses : mapping of str to Analysis
        By lesson's folder: what the results say about its tasks [-].
    ideas : tuple of Open
        What is open [-].
    cases : tuple of CaseResult
        The last cases [-].
    talks : tuple of Talk
        Whom to talk to [-].
    now : Snapshot
        Today's counts [-].
    moved : tuple of str
        How the class moved, in sentences [-].
    memory : Memory
        What the file of the last report held [-].
    notes : tuple of str
        What the coach must know, in sentences [-].
    """

    results: Results
    analyses: Mapping[str, Analysis]
    ideas: tuple[Open, ...]
    cases: tuple[CaseResult, ...]
    talks: tuple[Talk, ...]
    now: Snapshot
    moved: tuple[str, ...]
    memory: Memory
    notes: tuple[str, ...]

    def as_data(self) -> dict[str, Any]:
        """Give it as plain data for JSON.

        Returns
        -------
        dict
            Everything that stands on the page [-].
        """
        return {
            "date": self.now.date,
            "notes": list(self.notes),
            "talk_to": [asdict(one) for one in self.talks],
            "moved": list(self.moved),
            "papers": [asdict(paper) for paper in self.results.papers],
            "ideas": [_idea(one) for one in self.ideas],
            "tasks": {lesson: _analysis(found) for lesson, found in self.analyses.items()},
            "cases": [asdict(one) for one in self.cases],
        }


def gather(
    course: Course,
    kept: Path,
    pupils: int = 0,
    today: datetime.date | None = None,
    say: Callable[[str], object] = lambda _: None,
) -> Report:
    """Put a report together.

    Parameters
    ----------
    course : Course
        The course, with the class word when cases are to be marked [-].
    kept : pathlib.Path
        The file with the last report's counts [-].
    pupils : int
        How many the class has, 0 for those known from the folders [-].
    today : datetime.date or None
        The day, None for today [-].
    say : callable
        Told what takes time [-].

    Returns
    -------
    Report
        The report [-].

    Raises
    ------
    FileNotFoundError
        When the folder holds no class.
    ValueError
        When the gradebook cannot be read, with what to do.
    """
    day = (today or datetime.date.today()).isoformat()
    results = counts.read(course, pupils)
    flown = cases.last_of_each(course, say)
    opened = ideas.find(results, flown)
    memory = moved.read(kept)
    now = moved.snapshot(results, opened, day)
    remarks = course.marking / "report.txt"
    return Report(
        results=results,
        analyses={lesson: results.analysis(lesson) for lesson in results.lessons},
        ideas=opened,
        cases=flown,
        talks=talk.choose(results, opened, flown, memory.asked_before(day)),
        now=now,
        moved=moved.words(memory.earlier(day), now),
        memory=memory,
        notes=tuple(filter(None, (*results.notes, memory.note, _remarked(remarks)))),
    )


def _remarked(path: Path) -> str:
    if not path.is_file():
        return ""
    count = sum(1 for line in path.read_text("utf-8", errors="replace").splitlines() if line)
    many = "1 remark" if count == 1 else f"{count} remarks"
    return f"The marking left {many} in marking/{path.name}; read them." if count else ""


def _idea(one: Open) -> dict[str, Any]:
    plain = asdict(one)
    return plain | {"places": {str(pupil): list(where) for pupil, where in one.places.items()}}


def _analysis(found: Analysis) -> dict[str, Any]:
    items = [
        asdict(item) | {"share": item.share, "interval": item.interval, "verdict": item.verdict}
        for item in found.items
    ]
    return {"n": found.n, "items": items, "alpha": asdict(found.alpha) if found.alpha else None}
