"""What each action of a log was worth, given that log: telling, one by one, or in vain.

An action is judged by what was known before it, never by its luck: a look that had a good chance
to split the causes stays a good look when it finds nothing. Where the reference does not list
the action, what it did tell stands in for what it was expected to tell.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, Protocol

import numpy as np

from trimkit import log as logs
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import deviations
from trimkit.faults import CATALOGUE
from trimkit.log import CANNOT_TELL, Entry, Log, Result
from trimkit.settings import SETTINGS, Change

Label = Literal[
    "splitting", "serial", "swap-and-hope", "redundant", "irrelevant", "confounded", "cure"
]
MEANINGS: Mapping[Label, str] = MappingProxyType(
    {
        "splitting": "it could divide the causes that were left",
        "serial": "it tells something, but far less for its minutes than another step",
        "swap-and-hope": "a repair that nothing in the log asked for",
        "redundant": "it was done before, and could tell nothing more",
        "irrelevant": "none of the causes that were left would have shown in it",
        "confounded": "two things or more were changed, so it decides nothing",
        "cure": "a repair that the log asked for, or the flight that confirms it",
    }
)
SUPPORTED = 0.5  # a repair is asked for when its fault is as likely as not; assumed
LITTLE_BITS = 0.05  # less than that tells nothing worth a minute; assumed
SERIAL_SHARE = 1 / 3  # of what the best step tells for each minute; assumed
TREATED = 0.6  # a change treats a fault when no more than so much of it is left; assumed
LIKE_TURNS = 0.15  # turns this near are the same kind of flight; assumed
DECIMALS = 6  # nothing is decided by what rounds otherwise on another machine


class Belief(Protocol):
    """What is believed after a log."""

    @property
    def probabilities(self) -> Mapping[str, float]:
        """How likely each fault and "nothing" is [-]."""

    def classes(self) -> Sequence[Collection[str]]:
        """Groups of faults that no action tells apart [-]."""


class Step(Protocol):
    """One thing that could be done next."""

    @property
    def action(self) -> str:
        """As in a log's entry [-]."""

    @property
    def what(self) -> str:
        """As in a log's entry [-]."""

    @property
    def changes(self) -> Change:
        """Settings to move [in the unit of each]."""

    @property
    def turns(self) -> float | None:
        """As in a log's entry [turns]."""

    @property
    def bits(self) -> float:
        """What it is expected to tell [bit]."""

    @property
    def minutes(self) -> float:
        """What it costs [min]."""


class Reasoner(Hashable, Protocol):
    """The reference that a log is judged by."""

    def posterior(self, log: Log, aeroplane: Aeroplane) -> Belief:
        """Say how likely each fault is, given a log.

        Parameters
        ----------
        log : Log
            What was done and seen [-].
        aeroplane : Aeroplane
            As the log began with it [-].

        Returns
        -------
        Belief
            Over all faults and "nothing" [-].
        """

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> Sequence[Step]:
        """Rank what could be done next, the most told for each minute first.

        Parameters
        ----------
        log : Log
            What was done and seen [-].
        aeroplane : Aeroplane
            As the log began with it [-].

        Returns
        -------
        sequence of Step
            The best first [-].
        """

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        """Foretell what an action shows when a fault is there, without any luck.

        Parameters
        ----------
        log : Log
            What was done before [-].
        aeroplane : Aeroplane
            As the log began with it [-].
        entry : Entry
            The action, its result left out [-].
        fault : str
            What is wrong, or "nothing" [-].

        Returns
        -------
        Result
            What would be seen on average [-].
        """


@dataclass(frozen=True, slots=True)
class Point:
    """An entry of a log, and what was known before and after it.

    Parameters
    ----------
    entry : Entry
        The action [-].
    before, after : mapping of str to float
        How likely each fault was [-].
    steps : tuple of Step
        What could have been done instead, the best first [-].
    """

    entry: Entry
    before: Mapping[str, float]
    after: Mapping[str, float]
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class Trail:
    """A log with what the reference makes of each entry.

    Parameters
    ----------
    log : Log
        The log [-].
    aeroplane : Aeroplane
        As the log began with it [-].
    points : tuple of Point
        One for each entry [-].
    groups : tuple of frozenset of str
        Faults that no action tells apart, each name once [-].
    belief : mapping of str to float
        How likely each fault is at the end [-].
    """

    log: Log
    aeroplane: Aeroplane
    points: tuple[Point, ...]
    groups: tuple[frozenset[str], ...]
    belief: Mapping[str, float]

    def group(self, name: str) -> frozenset[str]:
        """Return the class that a fault belongs to.

        Parameters
        ----------
        name : str
            A fault, or "nothing" [-].

        Returns
        -------
        frozenset of str
            All that is told apart from it by no action [-].

        Raises
        ------
        ValueError
            When there is no such fault.
        """
        for group in self.groups:
            if name in group:
                return group
        known = ", ".join(sorted(one for group in self.groups for one in group))
        raise ValueError(f"there is no fault {name!r}; faults are: {known}")

    def chance(self, name: str, among: Mapping[str, float] | None = None) -> float:
        """Say how likely the class of a fault is.

        Parameters
        ----------
        name : str
            A fault, or "nothing" [-].
        among : mapping of str to float or None
            How likely each fault is; None for the end of the log [-].

        Returns
        -------
        float
            Sum over its class [-].
        """
        chances = self.belief if among is None else among
        total = math.fsum(chances.get(one, 0.0) for one in self.group(name))
        return round(total, DECIMALS)

    def likeliest(self) -> tuple[str, float]:
        """Name the likeliest class at the end of the log.

        Returns
        -------
        str
            The likeliest fault of that class [-].
        float
            How likely the class is [-].
        """
        best = min(self.groups, key=lambda group: (-self.chance(min(group)), min(group)))
        name = min(best, key=lambda one: (-round(self.belief.get(one, 0.0), DECIMALS), one))
        return name, self.chance(name)


def trail(log: Log, aeroplane: Aeroplane, reasoner: Reasoner) -> Trail:
    """Go through a log with the reference beside it.

    Parameters
    ----------
    log : Log
        The log, whole [-].
    aeroplane : Aeroplane
        As the log began with it [-].
    reasoner : Reasoner
        The reference [-].

    Returns
    -------
    Trail
        What was known before and after every entry [-].

    Raises
    ------
    ValueError
        When a line of the log is bad or an entry is lost.
    """
    if log.bad_lines:
        raise ValueError(f"a log with a bad line is not marked. {log.bad_lines[0].words()}")
    if log.entries:
        log.in_force(log.entries[-1].number)  # refuses a log that has lost an entry
    parts = [Log(log.entries[:count]) for count in range(len(log.entries) + 1)]
    beliefs = [reasoner.posterior(part, aeroplane) for part in parts]
    points = []
    for count, entry in enumerate(log.entries):
        wanted = entry.action != "say"
        steps = tuple(reasoner.next_steps(parts[count], aeroplane)) if wanted else ()
        before, after = beliefs[count].probabilities, beliefs[count + 1].probabilities
        points.append(Point(entry, before, after, steps))
    groups = tuple(frozenset(group) for group in beliefs[-1].classes())
    return Trail(log, aeroplane, tuple(points), groups, beliefs[-1].probabilities)


@dataclass(frozen=True, slots=True)
class Labelled:
    """An action with its label.

    Parameters
    ----------
    number : int
        Of the entry [-].
    label : str
        One of `MEANINGS` [-].
    bits : float
        What the action was expected to tell [bit].
    better : str
        The best step there was, "" when the action was as good or nothing better is known [-].
    times : float
        How much more that step would have told for each minute [-].
    """

    number: int
    label: Label
    bits: float
    better: str = ""
    times: float = 1.0

    def words(self) -> str:
        """Say what the action was.

        Returns
        -------
        str
            One or two sentences [-].
        """
        said = f"Entry {self.number} was {self.label}: {MEANINGS[self.label]}."
        if not self.better:
            return said
        much = f"{self.times:.0f} times" if self.times < 100 else "far more than 100 times"
        return f"{said} {self.better} would have told {much} as much for each minute."


def label(along: Trail) -> tuple[Labelled, ...]:
    """Label every action of a log; what was said gets none.

    Parameters
    ----------
    along : Trail
        The log with the reference beside it [-].

    Returns
    -------
    tuple of Labelled
        In the order of the log [-].
    """
    return tuple(_labelled(along, point) for point in along.points if point.entry.action != "say")


def _labelled(along: Trail, point: Point) -> Labelled:
    bits, minutes = _bits(point), max(point.entry.minutes, 1.0)
    found = _label(along, point, bits)
    if found not in ("serial", "irrelevant", "redundant", "swap-and-hope") or not point.steps:
        return Labelled(point.entry.number, found, bits)
    best = point.steps[0]
    times = _rate(best) / max(bits / minutes, 1e-3)
    if times < 1.5:
        return Labelled(point.entry.number, found, bits)
    return Labelled(point.entry.number, found, bits, step_words(best), round(times, 1))


def _label(along: Trail, point: Point, bits: float) -> Label:
    entry = point.entry
    if is_confounded(along.log, entry):
        return "confounded"
    if _is_cure(along, point):
        return "cure"
    if entry.action == "repair":
        return "swap-and-hope"
    if bits < LITTLE_BITS:
        return "redundant" if _done_before(along.log, entry) else "irrelevant"
    best = max((_rate(step) for step in point.steps), default=0.0)
    told = bits / max(entry.minutes, 1.0)
    return "serial" if told < SERIAL_SHARE * best else "splitting"


def _rate(step: Step) -> float:
    return round(float(step.bits) / max(step.minutes, 1.0), DECIMALS)


def _bits(point: Point) -> float:
    """What it was expected to tell; what it did tell, when the reference does not list it."""
    near = [step for step in point.steps if _same(step, point.entry)]
    if not near:
        return round(told_bits(point.before, point.after), DECIMALS)
    turns = point.entry.turns or 0.0
    best = min(near, key=lambda step: (abs((step.turns or turns) - turns), _far(step, point.entry)))
    return round(float(best.bits), DECIMALS)


def _same(step: Step, entry: Entry) -> bool:
    """Whether a step is of the same kind as an entry: the same thing, moved the same way."""
    if (step.action, step.what) != (entry.action, entry.what):
        return False
    if set(_ways(step.changes.amounts)) != set(_ways(entry.changes)):
        return False
    if step.turns is None or not entry.turns:
        return True
    return abs(step.turns - entry.turns) <= LIKE_TURNS * entry.turns


def _ways(changes: Mapping[str, float]) -> Iterator[tuple[str, bool]]:
    return ((name, amount > 0) for name, amount in changes.items())


def _far(step: Step, entry: Entry) -> float:
    apart = (abs(step.changes.amounts[name] - entry.changes[name]) for name in entry.changes)
    return math.fsum(apart)


def told_bits(before: Mapping[str, float], after: Mapping[str, float]) -> float:
    """Say how much a result told.

    Parameters
    ----------
    before, after : mapping of str to float
        How likely each fault was, and is [-].

    Returns
    -------
    float
        Information gained (Kullback-Leibler) [bit].

    Examples
    --------
    >>> told_bits({"warp": 0.5, "skew": 0.5}, {"warp": 1.0, "skew": 0.0})
    1.0
    """
    parts = (p * math.log2(p / before[name]) for name, p in after.items() if p > 0)
    return max(0.0, math.fsum(parts))


def is_confounded(log: Log, entry: Entry) -> bool:
    """Say whether a flight differs in more than one thing from every flight before it.

    Going back to a setting flown before is a fair comparison with that flight.

    Parameters
    ----------
    log : Log
        The log, whole [-].
    entry : Entry
        One of its entries [-].

    Returns
    -------
    bool
        False for anything but a flight, and for the first one [-].
    """
    return bool(confounding(log, entry))


def confounding(log: Log, entry: Entry) -> tuple[str, ...]:
    """Name what was changed at once, where a flight can be compared with none before it.

    Parameters
    ----------
    log : Log
        The log, whole [-].
    entry : Entry
        One of its entries [-].

    Returns
    -------
    tuple of str
        Settings and repaired faults that differ from the flight before, in the bench's words;
        empty when it can be compared [-].
    """
    if not entry.is_flight:
        return ()
    count = log.flights.index(entry) + 1
    apart = [logs.differences(log, one, count).names for one in range(1, count)]
    if not apart or min(len(names) for names in apart) <= 1:
        return ()
    return tuple(bench_name(name) for name in apart[-1])


def bench_name(name: str) -> str:
    """Say a setting or a fault as the bench calls it.

    Parameters
    ----------
    name : str
        Of a setting or a fault [-].

    Returns
    -------
    str
        Its title; the name itself when there is none [-].
    """
    known = SETTINGS.get(name) or CATALOGUE.get(name)
    titles = {"nothing": "nothing wrong"}
    return known.title if known else titles.get(name, name)


def step_words(step: Step) -> str:
    """Say a step in plain words.

    Parameters
    ----------
    step : Step
        What could be done [-].

    Returns
    -------
    str
        Begins a sentence [-].
    """
    turns = f" at {step.turns:.0f} turns" if step.turns else ""
    if step.action == "fly":
        return f"A flight{turns}"
    if step.action == "change":
        moved = step.changes.words() if step.changes.amounts else "other turns"
        return f"A flight{turns} with one change ({moved})"
    verbs = {"look": "A look at the", "measure": "Measuring the", "repair": "Repairing:"}
    return f"{verbs[step.action]} {bench_name(step.what).removesuffix('_mm')}"


def _is_cure(along: Trail, point: Point) -> bool:
    """A repair or a change against a likely fault, or the unchanged flight after it."""
    entry = point.entry
    if entry.action == "repair":
        return along.chance(entry.what, point.before) >= SUPPORTED
    if entry.action == "change" and entry.changes:
        return any(
            along.chance(name, point.before) >= SUPPORTED
            and treats(along.aeroplane, name, entry.changes)
            for name in _likely(along, point)
        )
    if entry.action == "fly":
        count = along.log.flights.index(entry)
        earlier = [
            p for p in along.points if p.entry in along.log.flights[max(count - 1, 0) : count]
        ]
        return any(p.entry.action != "fly" and _is_cure(along, p) for p in earlier)
    return False


def _likely(along: Trail, point: Point) -> list[str]:
    return [name for name, p in point.before.items() if p >= SUPPORTED / len(along.group(name))]


def treats(aeroplane: Aeroplane, fault: str, changes: Mapping[str, float]) -> bool:
    """Say whether settings take most of a fault away.

    Parameters
    ----------
    aeroplane : Aeroplane
        As planned [-].
    fault : str
        A fault of the catalogue at its middle size, or any other word, which nothing treats [-].
    changes : mapping of str to float
        Settings moved [in the unit of each].

    Returns
    -------
    bool
        Whether no more than `TREATED` of its deviations are left [-].
    """
    if fault not in CATALOGUE or not changes:
        return False
    plan = deviations.design(aeroplane)
    try:
        ill = deviations.of_fault(plan, fault)
        moved = deviations.of_change(plan, Change(dict(changes)))
    except ValueError:  # a fault or a change that this aeroplane cannot have
        return False
    left, whole = float(np.linalg.norm(ill + moved)), float(np.linalg.norm(ill))
    return left <= TREATED * whole


def _done_before(log: Log, entry: Entry) -> bool:
    """The same thing, with nothing changed since."""
    now = log.in_force(entry.number)
    return any(
        (one.action, one.what) == (entry.action, entry.what) or (one.is_flight and entry.is_flight)
        for one in log.entries
        if one.number < entry.number and log.in_force(one.number) == now
    )


def conclusions(log: Log) -> tuple[Entry, ...]:
    """Return what was said in the end: the last word about each fault.

    Parameters
    ----------
    log : Log
        The log [-].

    Returns
    -------
    tuple of Entry
        Entries of "say", the last first; "cannot tell yet" only when it was the last word [-].
    """
    said = [entry for entry in reversed(log.entries) if entry.action == "say"]
    if not said or said[0].what == CANNOT_TELL:
        return tuple(said[:1])
    last: dict[str, Entry] = {}
    for entry in said:
        if entry.what != CANNOT_TELL:
            last.setdefault(entry.what, entry)
    return tuple(last.values())
