"""Misunderstandings that are still open, with the lesson and the flight that answer each.

A wrong answer with a name, or a log of a case that shows an idea, is a reason to talk and to
show flights, never a verdict. An idea of a pupil counts as open until the same pupil answers
well, later, a task that drew it from somebody in the class.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from trimkit.classroom.gradebook import Row
from trimkit.classroom.names import task_of
from trimkit.classroom.report import counts
from trimkit.classroom.report.cases import CaseResult
from trimkit.classroom.report.counts import MISTAKE, Results
from trimkit.diagnosis.labels import bench_name
from trimkit.diagnosis.misunderstandings import IDEAS, Trial
from trimkit.faults import CATALOGUE
from trimkit.figures.style import signed
from trimkit.settings import Change

SAME_IDEA: Mapping[str, str] = MappingProxyType(
    {
        "a hard throw helps": "hard-throw-helps",
        "more power for a bad trim": "more-turns-cure-a-dive",
        "more turns cure a bad trim": "more-turns-cure-a-dive",
        "nose weight cures everything": "nose-weight-cures-every-stall",
        "shim on the wrong side": "shim-goes-under-what-is-low",
        "slow taken for a stall": "slow-is-about-to-fall",
        "the wing's angle alone matters": "wing-angle-alone-matters",
    }
)  # names in the marking files that say in other words what an idea of the catalogue says
_WORD = re.compile(r"[a-z0-9]+")


@dataclass(frozen=True, slots=True)
class Open:
    """An idea that is open for some pupils.

    Parameters
    ----------
    name : str
        Of the idea, or of the mistake where it is a slip of working [-].
    idea : str
        In a pupil's words [-].
    pupils : tuple of int
        For whom it is open, by number [-].
    places : mapping of int to tuple of str
        By pupil: the tasks and cases that showed it [-].
    lesson : str
        Folder of the lesson that takes it up, "" when none does yet [-].
    answer : str
        The flight that answers it, or where to look when it is a slip of working [-].
    is_slip : bool
        No flight answers it: the working does [-].
    """

    name: str
    idea: str
    pupils: tuple[int, ...]
    places: Mapping[int, tuple[str, ...]]
    lesson: str
    answer: str
    is_slip: bool


def find(results: Results, cases: Sequence[CaseResult]) -> tuple[Open, ...]:
    """Find what is open.

    Parameters
    ----------
    results : Results
        The class's marks [-].
    cases : sequence of CaseResult
        The last case of each pupil who handed one in [-].

    Returns
    -------
    tuple of Open
        Ideas before slips, those of most pupils first [-].
    """
    drew = _drew(results.rows)
    places: dict[str, dict[int, list[str]]] = defaultdict(lambda: defaultdict(list))
    for row in results.rows:
        name = idea_of(row)
        if name and not _answered_later(row, results.rows, drew[name]):
            places[name][row.pupil].append(counts.task_name(row.task))
    for one in cases:
        for name in one.ideas:
            places[name][one.pupil].append(one.title)
    found = [_open(name, where, drew.get(name, {})) for name, where in places.items()]
    return tuple(sorted(found, key=lambda one: (one.is_slip, -len(one.pupils), one.name)))


def idea_of(row: Row) -> str:
    """Name the idea that a mark shows.

    Parameters
    ----------
    row : Row
        A mark [-].

    Returns
    -------
    str
        A name of the catalogue where there is one, else the mistake's own, "" for none [-].
    """
    if not row.verdict.startswith(MISTAKE):
        return ""
    mistake = row.verdict.removeprefix(MISTAKE)
    hyphened = "-".join(_WORD.findall(mistake.lower()))
    if hyphened in IDEAS:
        return hyphened
    return SAME_IDEA.get(mistake, mistake)


def flight_words(name: str) -> str:
    """Say which flights answer an idea, and what is seen in them.

    Parameters
    ----------
    name : str
        A name of the catalogue [-].

    Returns
    -------
    str
        In one or two sentences [-].
    """
    known = IDEAS[name]
    if not known.trials:
        return f"No flight: measure it. {known.overturned}"
    listed = "; ".join(f"“{short}” {_trial(trial)}" for short, trial in known.trials.items())
    if all(short.isdecimal() for short in known.trials):
        listed = f"the same {len(known.trials)} times, {_trial(next(iter(known.trials.values())))}"
    return f"{known.overturned} Fly: {listed}."


def _drew(rows: Sequence[Row]) -> dict[str, dict[str, str]]:
    """By idea: the tasks that drew it from somebody, each with its lesson's folder."""
    drew: dict[str, dict[str, str]] = defaultdict(dict)
    for row in rows:
        if name := idea_of(row):
            drew[name][row.task] = row.lesson
    return drew


def _answered_later(row: Row, rows: Sequence[Row], drew: Mapping[str, str]) -> bool:
    return any(
        later.pupil == row.pupil
        and later.task in drew
        and counts.order(later.task) > counts.order(row.task)
        and counts.is_good(later)
        for later in rows
    )


def _open(name: str, where: Mapping[int, Sequence[str]], drew: Mapping[str, str]) -> Open:
    tasks = sorted(drew, key=counts.order)
    known = IDEAS.get(name)
    return Open(
        name=name,
        idea=known.idea if known else name,
        pupils=tuple(sorted(where)),
        places={pupil: tuple(where[pupil]) for pupil in sorted(where)},
        lesson=drew[tasks[0]] if tasks else "",
        answer=flight_words(name) if known else _look(tasks[0], drew[tasks[0]]),
        is_slip=known is None,
    )


def _look(grade_id: str, folder: str) -> str:
    """Where the lesson itself sends a pupil who is stuck in a task."""
    lesson, name = counts.lesson_of(folder), task_of(grade_id)
    looks = {task.id: task.look for task in lesson.tasks} if lesson else {}
    look = looks.get(name or "", "")
    return f"A slip of working, no flight needed. Look at {look}" if look else "A slip of working."


def _trial(trial: Trial) -> str:
    parts = [_fault(name, size) for name, size in trial.ill.items()]
    parts += [Change({name: amount}).words() for name, amount in trial.changes.items()]
    parts += [_built(*where, by) for where, by in trial.build.items()]
    power = f"at {trial.power:g} times level torque" if trial.power else "as a glide"
    if trial.share != 1:
        power += f" with {trial.share:.0%} of the turns"
    return f"{power}, {' and '.join(parts) if parts else 'as planned'}"


def _fault(name: str, size: float) -> str:
    unit = CATALOGUE[name].unit
    amount = f"{size:g}{unit}" if unit == "°" else f"{size:g} {unit}".strip()
    return f"{bench_name(name)} ({amount})"


def _built(part: str, name: str, by: float) -> str:
    unit = {"deg": "°", "g": " g", "mm": " mm"}.get(name.rpartition("_")[2], "")
    return f"the {part}'s {name.rpartition('_')[0]} {signed(by)}{unit}"
