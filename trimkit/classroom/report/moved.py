"""How the class moved since the last report: a small file of counts, kept beside the report.

It holds counts of the whole class, and the day on which a pupil's number stood among those to
talk to. A second report on one day compares with the day before it, not with itself.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from trimkit import places
from trimkit.classroom.report import counts
from trimkit.classroom.report.counts import Results
from trimkit.classroom.report.ideas import Open
from trimkit.classroom.report.talk import Talk

FILE = "last-counts.json"
SCHEMA = 1


@dataclass(frozen=True, slots=True)
class Snapshot:
    """A class's counts on one day.

    Parameters
    ----------
    date : str
        The day [-].
    pupils : int
        Pupils known [-].
    lessons : mapping of str to (int, int, int)
        By lesson's folder: papers handed in, tasks right, tasks marked [-].
    open : mapping of str to int
        By idea: pupils for whom it is open [-].
    """

    date: str
    pupils: int
    lessons: Mapping[str, tuple[int, int, int]]
    open: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Memory:
    """What the file holds.

    Parameters
    ----------
    last : Snapshot or None
        Of the last report [-].
    before : Snapshot or None
        Of the last report on an earlier day than that [-].
    asked : mapping of int to str
        By pupil: the day of the last report that named them [-].
    note : str
        What there is to say about the file, "" when all is well [-].
    """

    last: Snapshot | None = None
    before: Snapshot | None = None
    asked: Mapping[int, str] = field(default_factory=dict)
    note: str = ""

    def earlier(self, today: str) -> Snapshot | None:
        """Find the counts to compare with.

        Parameters
        ----------
        today : str
            The day [-].

        Returns
        -------
        Snapshot or None
            Of the last report before today [-].
        """
        return self.before if self.last and self.last.date == today else self.last

    def asked_before(self, today: str) -> dict[int, str]:
        """List who was asked before today, so that a second report names the same.

        Parameters
        ----------
        today : str
            The day [-].

        Returns
        -------
        dict of int to str
            By pupil: the day [-].
        """
        return {pupil: day for pupil, day in self.asked.items() if day != today}


def snapshot(results: Results, ideas: Sequence[Open], today: str) -> Snapshot:
    """Count the class.

    Parameters
    ----------
    results : Results
        Who handed in what [-].
    ideas : sequence of Open
        What is open [-].
    today : str
        The day [-].

    Returns
    -------
    Snapshot
        The counts [-].
    """
    lessons = {}
    for lesson in results.lessons:
        papers = results.of_lesson(lesson)
        lessons[lesson] = (
            sum(paper.state != "not yet" for paper in papers),
            sum(paper.good for paper in papers),
            sum(paper.of for paper in papers),
        )
    opened = {one.name: len(one.pupils) for one in ideas}
    return Snapshot(today, len(results.pupils), lessons, opened)


def words(before: Snapshot | None, now: Snapshot) -> tuple[str, ...]:
    """Say what moved.

    Parameters
    ----------
    before, now : Snapshot or None
        Counts of the last report before today, and today's [-].

    Returns
    -------
    tuple of str
        Sentences [-].
    """
    if before is None:
        return ("This is the first report, so there is nothing to compare with yet.",)
    lines = [line for lesson in sorted({*before.lessons, *now.lessons})
             if (line := _lesson_moved(lesson, before, now))]  # fmt: skip
    lines += [line for name in sorted({*before.open, *now.open})
              if (line := _idea_moved(name, before, now))]  # fmt: skip
    if not lines:
        return (f"Nothing has moved since the report of {before.date}.",)
    return (f"Since the report of {before.date}:", *lines)


def read(path: Path) -> Memory:
    """Read the file; one that cannot be read is set aside, never lost.

    Parameters
    ----------
    path : pathlib.Path
        The file [-].

    Returns
    -------
    Memory
        Empty when there is none, with a note when it was set aside [-].
    """
    if not path.exists():
        return Memory()
    try:
        content = json.loads(path.read_text("utf-8"))
        if content["schema"] != SCHEMA:
            raise ValueError("another edition wrote it")
        asked = {int(pupil): str(day) for pupil, day in content["asked"].items()}
        return Memory(_snapshot(content["last"]), _snapshot(content["before"]), asked)
    except (ValueError, KeyError, TypeError, AttributeError):
        aside = places.set_aside(path)
        return Memory(
            note=f"The counts of the last report could not be read. They were set aside as "
            f"{aside.name}, and this report starts anew."
        )


def as_text(memory: Memory, now: Snapshot, talks: Sequence[Talk]) -> str:
    """Write what the next report needs.

    Parameters
    ----------
    memory : Memory
        What was known [-].
    now : Snapshot
        Today's counts [-].
    talks : sequence of Talk
        Whom this report names [-].

    Returns
    -------
    str
        JSON [-].
    """
    before = memory.earlier(now.date)
    asked = memory.asked_before(now.date) | {one.pupil: now.date for one in talks}
    content: dict[str, Any] = {
        "schema": SCHEMA,
        "last": asdict(now),
        "before": asdict(before) if before else None,
        "asked": {str(pupil): asked[pupil] for pupil in sorted(asked)},
    }
    return json.dumps(content, indent=1, ensure_ascii=False) + "\n"


def _snapshot(plain: Any) -> Snapshot | None:
    if plain is None:
        return None
    lessons = {str(name): _three(given) for name, given in plain["lessons"].items()}
    opened = {str(name): int(count) for name, count in plain["open"].items()}
    return Snapshot(str(plain["date"]), int(plain["pupils"]), lessons, opened)


def _three(given: Any) -> tuple[int, int, int]:
    handed, good, of = (int(one) for one in given)
    return handed, good, of


def _lesson_moved(lesson: str, before: Snapshot, now: Snapshot) -> str:
    old, new = (one.lessons.get(lesson, (0, 0, 0)) for one in (before, now))
    if old == new:
        return ""
    now_in = f"now {new[0]}" if new[0] != old[0] else "as before"
    return (
        f"Lesson {counts.lesson_name(lesson)}: handed in by {old[0]}, {now_in}; tasks right "
        f"{old[1]} of {old[2]}, now {new[1]} of {new[2]}."
    )


def _idea_moved(name: str, before: Snapshot, now: Snapshot) -> str:
    old, new = before.open.get(name, 0), now.open.get(name, 0)
    if old == new:
        return ""
    said = name.replace("-", " ")
    if not new:
        return f"Closed: “{said}” (was open for {old})."
    if not old:
        return f"New: “{said}”, open for {new}."
    return f"“{said}”: open for {old}, now {new}."
