"""The last case of each pupil who handed in a log: counts of fair comparing, and five scores.

A log is data from somebody else: it is read, checked and counted, never run, and no word of it
is printed. What was wrong with the aeroplane is worked out from the case's name and the class
word; without them there is nothing to mark by.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from trimkit import log as logs
from trimkit.aeroplane import Aeroplane
from trimkit.classroom.course import Course
from trimkit.classroom.names import pupil_number
from trimkit.diagnosis import labels, marks, misunderstandings, reference
from trimkit.diagnosis.labels import Belief, Step
from trimkit.diagnosis.marks import Score
from trimkit.diagnosis.skills import Count
from trimkit.lesson import casebook
from trimkit.lesson.case import LOG_NAME, is_log
from trimkit.lesson.referee import Terms, hidden_faults
from trimkit.log import Entry, Log, Result

LARGEST_LOG = 1_000_000  # bytes; a case of fifty actions takes a twentieth of it
MOST_ENTRIES = 60  # of a log that is marked; each costs about half a second
UNKNOWN = (
    "cannot be marked: its name does not fit the class word, or its aeroplane is not one that "
    "comes with the course. Give the word with --class-word."
)


@dataclass(frozen=True, slots=True)
class CaseResult:
    """One pupil's last case.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    title : str
        "case 7"; "a named case" when it has a name of its own, which may be anybody's [-].
    date : str
        Day of its last entry [-].
    flights, actions : int
        How many there were [-].
    counts : tuple of Count
        The four parts of fair comparing, empty when it could not be marked [-].
    scores : tuple of Score
        The five, empty when it could not be marked [-].
    ideas : tuple of str
        Names of the ideas that the log shows [-].
    confounded : tuple of int
        The first two flights, by count, that differ in more than one thing; empty for none [-].
    note : str
        Why it could not be marked, "" when it was [-].
    """

    pupil: int
    title: str
    date: str = ""
    flights: int = 0
    actions: int = 0
    counts: tuple[Count, ...] = ()
    scores: tuple[Score, ...] = ()
    ideas: tuple[str, ...] = ()
    confounded: tuple[int, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Counting:
    """The stored reference without its advice: what was likely, not what to do next.

    The advice takes most of the reference's time, and neither scores nor counts need it.

    Parameters
    ----------
    stored : reference.Stored
        The stored reference [-].
    """

    stored: reference.Stored

    def posterior(self, log: Log, aeroplane: Aeroplane) -> Belief:
        """Say how likely each fault is, given a log.

        Parameters
        ----------
        log : Log
            What was done and seen [-].
        aeroplane : Aeroplane
            As planned [-].

        Returns
        -------
        Belief
            Over all faults and "nothing" [-].
        """
        return self.stored.posterior(log, aeroplane)

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> Sequence[Step]:
        """Give no advice.

        Parameters
        ----------
        log : Log
            What was done and seen [-].
        aeroplane : Aeroplane
            As planned [-].

        Returns
        -------
        sequence of Step
            Empty [-].
        """
        return ()

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        """Say what an action would most likely show.

        Parameters
        ----------
        log : Log
            What was done and seen before [-].
        aeroplane : Aeroplane
            As planned [-].
        entry : Entry
            The action [-].
        fault : str
            What is wrong [-].

        Returns
        -------
        Result
            What would be seen [-].
        """
        return self.stored.expected(log, aeroplane, entry, fault)


def last_of_each(
    course: Course, say: Callable[[str], object] = lambda _: None
) -> tuple[CaseResult, ...]:
    """Read the last case of each pupil.

    Parameters
    ----------
    course : Course
        The course; logs lie anywhere below a pupil's folder in `marking/submitted` [-].
    say : callable
        Told which pupil's case is being read [-].

    Returns
    -------
    tuple of CaseResult
        By pupil number, for those who handed one in [-].
    """
    found = []
    for pupil, paths in _logs(course.marking / "submitted"):
        say(f"Case of pupil {pupil}")
        path, log = max(((path, _log(path)) for path in paths), key=_age)
        found.append(_result(pupil, path, log, course.class_word))
    return tuple(found)


def judge(pupil: int, title: str, log: Log, terms: Terms) -> CaseResult:
    """Count and mark one case.

    Parameters
    ----------
    pupil : int
        The pupil's number [-].
    title : str
        What the report calls it [-].
    log : Log
        The log, whole [-].
    terms : Terms
        What the case follows from [-].

    Returns
    -------
    CaseResult
        Counts and scores [-].

    Raises
    ------
    ValueError
        When the log has a bad line or has lost an entry.
    """
    stored = reference.Stored()
    along = labels.trail(log, terms.aeroplane, Counting(stored))
    truths = tuple(name for name, _ in hidden_faults(terms))
    minutes = sum(reference.minutes(terms.aeroplane, one, stored) for one in truths)
    marked = marks.marked(along, truths, minutes)
    return CaseResult(
        pupil,
        title,
        log.entries[-1].date,
        len(log.flights),
        len(log.entries),
        marked.counts,
        marked.scores,
        tuple(misunderstandings.found(log)),
        _confounded(log),
    )


def _age(one: tuple[Path, Log]) -> tuple[str, int, str]:
    path, log = one
    return log.entries[-1].date if log.entries else "", len(log.entries), path.name


def _logs(submitted: Path) -> Iterator[tuple[int, list[Path]]]:
    by_pupil: dict[int, list[Path]] = {}
    for folder in sorted(submitted.iterdir()) if submitted.is_dir() else ():
        try:
            pupil = pupil_number(folder.name)
        except ValueError:
            continue
        by_pupil.setdefault(pupil, []).extend(sorted(filter(is_log, folder.rglob("*"))))
    return ((pupil, paths) for pupil, paths in sorted(by_pupil.items()) if paths)


def _log(path: Path) -> Log:
    """Read a log; what is no file or too large for one counts as empty."""
    if path.is_symlink() or not path.is_file() or path.stat().st_size > LARGEST_LOG:
        return Log()
    return logs.read(path)


def _result(pupil: int, path: Path, log: Log, class_word: str) -> CaseResult:
    title = _title(path)
    if not log.entries:
        return CaseResult(pupil, title, note="its log is empty, too large, or cannot be read.")
    if len(log.entries) > MOST_ENTRIES:
        note = f"its log has {len(log.entries)} actions; at most {MOST_ENTRIES} are marked."
        return _unmarked(pupil, title, log, note)
    try:
        known = casebook.recognised(path, class_word)
        if known is None:
            return _unmarked(pupil, title, log, UNKNOWN)
        return judge(pupil, title, log, known[1])
    except ValueError:
        return _unmarked(pupil, title, log, "its log has a damaged line or has lost an entry.")


def _unmarked(pupil: int, title: str, log: Log, note: str) -> CaseResult:
    last = log.entries[-1].date
    return CaseResult(pupil, title, last, len(log.flights), len(log.entries), note=note)


def _title(path: Path) -> str:
    found = LOG_NAME.fullmatch(path.stem)
    seed = found["seed"] if found else ""
    return f"case {seed}" if seed.isdecimal() else "a named case"


def _confounded(log: Log) -> tuple[int, ...]:
    for count, flight in enumerate(log.flights[1:], start=2):
        if labels.is_confounded(log, flight):
            return count - 1, count
    return ()
