"""The reference that logs are judged by: the stored library, and the way it would take itself.

`minutes` lets the reference work on a case with everything coming out as expected: always the
step that tells most for its minutes, a repair as soon as one class of faults stands out, and one
more flight that confirms it. Nothing is drawn and nothing flies, so it is the same every time.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import causes, readings, response, steps
from trimkit.diagnosis.causes import CAUSES, Setup
from trimkit.diagnosis.labels import Belief, Reasoner, Step
from trimkit.diagnosis.library import Library, fresh
from trimkit.diagnosis.response import FEATURES
from trimkit.diagnosis.steps import FLIGHT_MINUTES
from trimkit.faults import CATALOGUE
from trimkit.log import FLIGHTS, Action, Entry, Log, Result
from trimkit.units import Floats

STANDS_OUT = 0.75  # "fairly sure"; assumed
MOST_STEPS = 12  # the reference gives up then; assumed
ANY_DAY = "2000-01-01"  # a log wants a day; nothing depends on it


@dataclass(frozen=True, slots=True)
class Stored:
    """The reference of the stored library.

    Parameters
    ----------
    library : Library or None
        None for that of the package, which must be fresh [-].
    """

    library: Library | None = None

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
        return causes.posterior(log, aeroplane, self.library)

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> Sequence[Step]:
        """Rank what could be done next.

        Parameters
        ----------
        log : Log
            What was done and seen [-].
        aeroplane : Aeroplane
            As planned [-].

        Returns
        -------
        sequence of Step
            The best first [-].
        """
        return steps.next_steps(log, aeroplane, self.library)

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        """Foretell what an action shows when a fault of middle size is there.

        Parameters
        ----------
        log : Log
            What was done before [-].
        aeroplane : Aeroplane
            As planned [-].
        entry : Entry
            The action, its result left out [-].
        fault : str
            What is wrong, or "nothing" [-].

        Returns
        -------
        Result
            What would be seen on average [-].
        """
        known = causes.posterior(log, aeroplane, self.library)
        setup = _setup(log, entry, known.setup.turns)
        if entry.action == "look":
            likely = readings.sight_chances(entry.what, "" if fault in setup.repairs else fault)
            return readings.looked(readings.sights(entry.what)[int(np.argmax(likely))])
        row = middle(fault)
        if entry.action == "measure":
            values, _ = causes.expected_readings(known.plan, setup, entry.what)
            return Result(readings={entry.what: float(values[row])})
        fitted = (self.library or fresh()).response
        ahead = causes.outlook(fitted, known.plan, [setup], [row])
        return Result(features(ahead.mean[0, 0], setup.turns))


def middle(fault: str) -> int:
    """Find the row of a fault's middle size.

    Parameters
    ----------
    fault : str
        A fault, or "nothing" [-].

    Returns
    -------
    int
        Row in `causes.CAUSES` [-].
    """
    rows = [row for row, cause in enumerate(CAUSES) if cause.fault == fault]
    if not rows:
        raise ValueError(f"there is no fault {fault!r}; faults are: {', '.join(causes.NAMES)}")
    return rows[len(rows) // 2]


def features(scaled: Floats, turns: float) -> dict[str, float]:
    """Turn figures on the scales of the fit into what is seen.

    Parameters
    ----------
    scaled : numpy.ndarray
        One row in the order of `response.FEATURES` [-].
    turns : float
        Turns by the log [turns].

    Returns
    -------
    dict of str to float
        By name of the feature [in the unit of each].
    """
    seen = dict(zip(FEATURES, response.from_scale(scaled).tolist(), strict=True))
    used = seen["turns_per_s"] * seen["duration_s"]
    seen["turns_left"] = min(max(seen["turns_left"] * turns - used, 0.0), turns)
    return seen


def _setup(log: Log, entry: Entry, turns: float) -> Setup:
    """What is in force at an entry that is not yet in the log."""
    state = Log((*log.entries, entry)).in_force(entry.number)
    known = turns if state.turns is None else state.turns
    return Setup(dict(state.changes), frozenset(state.repairs), known)


def minutes(aeroplane: Aeroplane, fault: str, reasoner: Reasoner) -> float:
    """Say how long the reference takes for a fault.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned [-].
    fault : str
        What is wrong, or "nothing" [-].
    reasoner : Reasoner
        The reference [-].

    Returns
    -------
    float
        Until it is cured and confirmed [min].
    """
    return path(aeroplane, fault, reasoner).minutes


@functools.lru_cache(maxsize=512)
def path(aeroplane: Aeroplane, fault: str, reasoner: Reasoner) -> Log:
    """Write the log that the reference would leave; kept for the next pupil with that case.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned [-].
    fault : str
        What is wrong, or "nothing" [-].
    reasoner : Reasoner
        The reference [-].

    Returns
    -------
    Log
        With everything as expected [-].
    """
    log = Log()
    groups = tuple(reasoner.posterior(log, aeroplane).classes())
    for _ in range(MOST_STEPS):
        best, p = _stands_out(reasoner.posterior(log, aeroplane).probabilities, groups)
        cured = log.entries[-1] if log.entries and log.entries[-1].action == "repair" else None
        if cured is not None and best == cured.what:
            return _done(reasoner, log, aeroplane, fault, _flown(log, "fly"))
        if p >= STANDS_OUT and best not in CATALOGUE:
            return log
        if p >= STANDS_OUT and best not in log_repairs(log):
            entry = _flown(log, "repair", best)
        else:
            entry = entry_of(reasoner.next_steps(log, aeroplane)[0], log)
        log = _done(reasoner, log, aeroplane, fault, entry)
    return log


def _stands_out(
    chances: Mapping[str, float], groups: Sequence[Collection[str]]
) -> tuple[str, float]:
    """The likeliest fault of the likeliest class, and how likely that class is."""
    sums = {min(group): (math.fsum(chances[one] for one in group), group) for group in groups}
    head = min(sums, key=lambda name: (-round(sums[name][0], 6), name))
    p, group = sums[head]
    return min(group, key=lambda name: (-round(chances[name], 6), name)), p


def log_repairs(log: Log) -> tuple[str, ...]:
    """Name what was repaired so far.

    Parameters
    ----------
    log : Log
        The log [-].

    Returns
    -------
    tuple of str
        Faults, in order [-].
    """
    return tuple(entry.what for entry in log.entries if entry.action == "repair")


def entry_of(step: Step, log: Log) -> Entry:
    """Write a step as the next entry of a log, its result left out.

    Parameters
    ----------
    step : Step
        What is done [-].
    log : Log
        What was done before [-].

    Returns
    -------
    Entry
        Ready for its result [-].
    """
    first = not log.flights and not step.changes.amounts
    action: Action = "fly" if step.action == "change" and first else _known(step.action)
    return Entry(
        number=log.next_number,
        action=action,
        what=step.what,
        changes=dict(step.changes.amounts),
        turns=step.turns if action in FLIGHTS else None,
        minutes=step.minutes,
        date=ANY_DAY,
    )


def _known(action: str) -> Action:
    for one in ("fly", "look", "measure", "change", "repair"):
        if action == one:
            return one
    raise ValueError(f"a step is {action!r}; allowed is fly, look, measure, change or repair")


def _flown(log: Log, action: Action, what: str = "") -> Entry:
    turns = log.flights[-1].turns if log.flights else None
    cost = FLIGHT_MINUTES + (CATALOGUE[what].minutes if what in CATALOGUE else 0.0)
    return Entry(
        number=log.next_number,
        action=action,
        what=what,
        turns=turns or 0.0,
        minutes=cost,
        date=ANY_DAY,
    )


def _done(reasoner: Reasoner, log: Log, aeroplane: Aeroplane, fault: str, entry: Entry) -> Log:
    result = reasoner.expected(log, aeroplane, entry, fault)
    return Log((*log.entries, replace(entry, result=result)))
