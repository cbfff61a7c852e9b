"""Marks for a diagnosis: five scores with fixed weights, and words from the pupil's own log.

A mark reads the log, the stored library and, for two of the scores, the truth that the marker
holds; it never flies. The same log gives the same marks on any machine. The weights are judgement,
not measurement; `tests/studies` shows what they say about seven kinds of synthetic pupils.

========== ====== ==============================================================================
score      weight what it is
========== ====== ==============================================================================
diagnosis  .35    quadratic score of the fault said with its certainty; classes that nothing
                  tells apart count as one; "cannot tell yet" is the better the less the log
                  decides, once as much time was spent as the reference needs
path       .20    1 within 25 % of the reference's minutes, then falling to 0 at 2.5 times; as
                  far as the log supports what was said
one change .15    part of the flights after the first that can be compared with an earlier one
certainty  .15    quadratic score of each stated certainty: of predictions against what came, of
                  what was said in the end against what the log supports
cure       .15    half for taking the fault away, half for one more flight that confirms it
========== ====== ==============================================================================
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from trimkit import log as logs
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import labels, reference, scoring, skills
from trimkit.diagnosis.labels import Labelled, Reasoner, Trail, bench_name
from trimkit.diagnosis.skills import Count
from trimkit.log import CANNOT_TELL, CERTAINTY, Entry, Log

WEIGHTS: Mapping[str, float] = MappingProxyType(
    {"diagnosis": 0.35, "path": 0.20, "one change": 0.15, "certainty": 0.15, "cure": 0.15}
)
FULL_PATH, NO_PATH = 1.25, 2.5  # times the reference's minutes; assumed
DECIMALS = 3  # of a score
NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Score:
    """One of the five.

    Parameters
    ----------
    name : str
        As in `WEIGHTS` [-].
    value : float
        0 to 1 [-].
    words : str
        Why, from the pupil's own log [-].
    """

    name: str
    value: float
    words: str

    def __post_init__(self) -> None:
        if self.name not in WEIGHTS or not 0 <= self.value <= 1:
            raise ValueError(
                f"score {self.name!r} is {self.value:g}; allowed is 0 to 1 for one of "
                f"{', '.join(WEIGHTS)}"
            )

    @property
    def weight(self) -> float:
        """Its fixed weight [-]."""
        return WEIGHTS[self.name]


@dataclass(frozen=True, slots=True)
class Marks:
    """What a log is worth.

    Parameters
    ----------
    scores : tuple of Score
        In the order of `WEIGHTS` [-].
    labels : tuple of Labelled
        One for each action [-].
    counts : tuple of Count
        The four parts of fair comparing [-].
    """

    scores: tuple[Score, ...]
    labels: tuple[Labelled, ...]
    counts: tuple[Count, ...]

    @property
    def total(self) -> float:
        """All scores by their weights, 0 to 1 [-]."""
        return round(math.fsum(one.weight * one.value for one in self.scores), DECIMALS)

    def __getitem__(self, name: str) -> float:
        return next(one.value for one in self.scores if one.name == name)

    def words(self) -> str:
        """Say the marks, each score on a line with its reason.

        Returns
        -------
        str
            Five lines, and one for each part of fair comparing [-].
        """
        lines = [f"{one.name} ({one.weight:.2f}): {one.value:.2f}. {one.words}"
                 for one in self.scores]  # fmt: skip
        return "\n".join([*lines, *map(str, self.counts)])


def mark(
    log: Log,
    aeroplane: Aeroplane,
    truth: str | Sequence[str],
    reasoner: Reasoner | None = None,
) -> Marks:
    """Mark a log.

    Parameters
    ----------
    log : Log
        The log of a case, whole [-].
    aeroplane : Aeroplane
        As planned: what the card says [-].
    truth : str or sequence of str
        The fault, the faults, or "nothing": given by the marker, never in the log [-].
    reasoner : Reasoner or None
        The reference; None for the stored library [-].

    Returns
    -------
    Marks
        Five scores, the label of each action and four counts [-].

    Raises
    ------
    ValueError
        When the log has lost an entry, or there is no such fault.
    """
    judge = reasoner or reference.Stored()
    along = labels.trail(log, aeroplane, judge)
    truths = checked_truths(along, truth)
    minutes = math.fsum(reference.minutes(aeroplane, one, judge) for one in truths)
    return marked(along, truths, minutes)


def checked_truths(along: Trail, truth: str | Sequence[str]) -> tuple[str, ...]:
    """Check what the marker says was wrong.

    Parameters
    ----------
    along : Trail
        The log with the reference beside it [-].
    truth : str or sequence of str
        The fault, the faults, or "nothing" [-].

    Returns
    -------
    tuple of str
        One or more, all known [-].

    Raises
    ------
    ValueError
        When there is none, or no such fault.
    """
    truths = (truth,) if isinstance(truth, str) else tuple(truth)
    if not truths:
        raise ValueError('no truth is given; allowed is one fault or more, or "nothing"')
    for one in truths:
        along.group(one)
    return truths


def marked(along: Trail, truths: Sequence[str], reference_minutes: float) -> Marks:
    """Mark a log that the reference has gone through.

    Parameters
    ----------
    along : Trail
        The log with the reference beside it [-].
    truths : sequence of str
        The faults, or "nothing" alone [-].
    reference_minutes : float
        What the reference needs for the case [min].

    Returns
    -------
    Marks
        Five scores, the label of each action and four counts [-].
    """
    worth = labels.label(along)
    scores = (
        _score("diagnosis", *_diagnosis(along, truths, reference_minutes)),
        _score("path", *_path(along, worth, reference_minutes)),
        _score("one change", *_one_change(along.log)),
        _score("certainty", *_certainty(along)),
        _score("cure", *_cure(along, truths)),
    )
    return Marks(scores, worth, skills.fair_comparing(along))


def _score(name: str, value: float, words: str) -> Score:
    return Score(name, round(min(max(value, 0.0), 1.0), DECIMALS) + 0.0, words)


# --- diagnosis -------------------------------------------------------------------------------


def _diagnosis(along: Trail, truths: Sequence[str], minutes: float) -> tuple[float, str]:
    said = labels.conclusions(along.log)[: len(truths)]
    if not said:
        return 0.0, "Nothing was said in the end. Even “cannot tell yet” is an answer."
    if said[0].what == CANNOT_TELL:
        return _cannot_tell(along, truths[0], minutes)
    left = list(said)
    values: list[float] = []
    for truth in truths:
        own = next((one for one in left if one.what in along.group(truth)), None)
        chosen = own or (left[0] if len(left) > len(truths) - len(values) - 1 else None)
        if chosen is not None:
            left.remove(chosen)
        values.append(_stated(along, chosen, truth))
    return math.fsum(values) / len(values), _support(along, said[0])


def _stated(along: Trail, said: Entry | None, truth: str) -> float:
    if said is None:
        return 0.0
    heads = _heads(along)
    stated = scoring.belief(heads[said.what], said.certainty, tuple(dict.fromkeys(heads.values())))
    return scoring.quadratic_score(stated, heads[truth])


def _heads(along: Trail) -> dict[str, str]:
    """The name that stands for the class of each fault."""
    return {name: min(group) for group in along.groups for name in sorted(group)}


def _cannot_tell(along: Trail, truth: str, minutes: float) -> tuple[float, str]:
    """As good as a belief spread evenly; better the less is decided after an honest search."""
    even = {head: 1 / len(along.groups) for head in set(_heads(along).values())}
    flat = scoring.quadratic_score(even, _heads(along)[truth])
    best, p = along.likeliest()
    value = flat + (1 - p**2 - flat) * _effort(along.log, minutes)
    return value, f"“Cannot tell yet”: by your log the likeliest is {bench_name(best)}, {p:.0%}."


def _effort(log: Log, minutes: float) -> float:
    """Time spent against what the reference needs."""
    return min(1.0, log.minutes / minutes) if minutes > 0 else 1.0


def _support(along: Trail, said: Entry) -> str:
    """What the log says about what was said, and the entry that weighs most against it."""
    p, (best, most) = along.chance(said.what), along.likeliest()
    words = (
        f"You said {bench_name(said.what)}, {said.certainty}. Your log makes that {p:.0%} likely."
    )
    if best in along.group(said.what):
        return words
    against = _against(along, said.what, best)
    where = f" Look again at entry {against}." if against else ""
    return f"{words} It speaks more for {bench_name(best)}, {most:.0%}.{where}"


def _against(along: Trail, said: str, best: str) -> int:
    """Number of the entry that moved the odds most from what was said to what is likeliest."""
    shifts = [
        (_odds(along, best, said, p.after) - _odds(along, best, said, p.before), -p.entry.number)
        for p in along.points
    ]
    largest, number = max(shifts, default=(0.0, 0))
    return -number if largest > math.log(1.5) else 0


def _odds(along: Trail, one: str, other: str, among: Mapping[str, float]) -> float:
    first, second = (max(along.chance(name, among), 1e-6) for name in (one, other))
    return round(math.log(first / second), DECIMALS)


# --- path ------------------------------------------------------------------------------------


def _path(along: Trail, worth: Sequence[Labelled], minutes: float) -> tuple[float, str]:
    spent = along.log.minutes
    reach = min(max((NO_PATH - spent / minutes) / (NO_PATH - FULL_PATH), 0.0), 1.0)
    words = (
        f"You took {spent:.0f} minutes; always taking the step that tells most for its minutes "
        f"takes about {minutes:.0f}."
    )
    better = [one for one in worth if one.better]
    if better:
        words = f"{words} {max(better, key=lambda one: (one.times, -one.number)).words()}"
    return reach * _supported(along, minutes), words


def _supported(along: Trail, minutes: float) -> float:
    """How far the path has led to what was said: no way is short that leads nowhere."""
    said = labels.conclusions(along.log)[:1]
    if not said:
        return 0.0
    if said[0].what == CANNOT_TELL:
        return (1 - along.likeliest()[1] ** 2) * _effort(along.log, minutes)
    return min(1.0, along.chance(said[0].what) / labels.SUPPORTED)


# --- one change at a time --------------------------------------------------------------------


def _one_change(log: Log) -> tuple[float, str]:
    later = log.flights[1:]
    if not later:
        return 0.0, "There are no two flights to compare."
    mixed = [flight for flight in later if labels.is_confounded(log, flight)]
    value = 1 - len(mixed) / len(later)
    if mixed:
        return value, _mixed(log, mixed[0])
    return value, f"All {len(later)} flights after the first can be compared with an earlier one."


def _mixed(log: Log, flight: Entry) -> str:
    count = log.flights.index(flight) + 1
    names = labels.confounding(log, flight)
    listed = f"{', '.join(names[:-1])} and {names[-1]}"
    many = {2: "two", 3: "three", 4: "four"}.get(len(names), str(len(names)))
    seen = _seen(log, count)
    either = "either" if len(names) == 2 else "any of them"
    return (
        f"Flights {count - 1} and {count} differ in {many} things: {listed}; {either} could "
        f"explain {seen}. Which one flight would separate them?"
    )


def _seen(log: Log, count: int) -> str:
    """What is to be explained about a flight."""
    did = skills.shown(log.flight(count))
    if "dives" in did or "stalls" in did:
        return "the dive" if "dives" in did else "the stall"
    times = [log.flight(n).result.features.get("duration_s", 0.0) for n in (count - 1, count)]
    change = skills.compared(*times)
    return "why nothing much changed" if change == "about the same" else f"the {change} flight"


# --- certainty -------------------------------------------------------------------------------


def _certainty(along: Trail) -> tuple[float, str]:
    told = [
        (flight.certainty, came)
        for count, flight in enumerate(along.log.flights, start=1)
        if flight.certainty and (came := skills.came_true(along.log, count)) is not None
    ]
    values = [scoring.certainty_score(word, came) for word, came in told]
    said = [one for one in labels.conclusions(along.log)[:1] if one.certainty]
    values += [1 - (CERTAINTY[one.certainty] - _believed(along, one)) ** 2 for one in said]
    if not values:
        return 0.0, "Nothing was said with a certainty that the log could check."
    return math.fsum(values) / len(values), _kept(told, said)


def _believed(along: Trail, said: Entry) -> float:
    return 0.0 if said.what == CANNOT_TELL else along.chance(said.what)


def _kept(told: Sequence[tuple[str, bool]], said: Sequence[Entry]) -> str:
    true = sum(came for _, came in told)
    words = [f"{true} of {len(told)} predictions came true."] if told else []
    surest = max(told, key=lambda one: (not one[1], CERTAINTY[one[0]]), default=None)
    if surest is not None and not surest[1]:
        words.append(f"One that failed was said with “{surest[0]}”.")
    if said:
        words.append(f"In the end you said “{said[0].certainty}”.")
    return " ".join(words)


# --- cure ------------------------------------------------------------------------------------


def _cure(along: Trail, truths: Sequence[str]) -> tuple[float, str]:
    log = along.log
    if tuple(truths) == (NOTHING,):
        return _left_alone(log)
    values = []
    for truth in truths:
        cured = _cured_at(along, truth)
        values.append(0.0 if not cured else 1.0 if _confirmed(log, cured) else 0.5)
    value = math.fsum(values) / len(values)
    repaired = [entry for entry in log.entries if entry.action == "repair"]
    if not repaired and not value:
        return value, "Nothing was cured. A diagnosis is proved by its cure."
    if value == 1:
        return value, "It was cured, and one more flight without a change confirmed it."
    if value:
        return value, "One good flight may be luck: fly it once more without a change."
    return value, f"After repairing {bench_name(repaired[-1].what)} the fault was still there."


def _cured_at(along: Trail, truth: str) -> int:
    """Count of the first flight after which nothing is left of a fault, 0 for none."""
    for count, flight in enumerate(along.log.flights, start=1):
        state = along.log.in_force(flight.number)
        if truth in state.repairs or labels.treats(along.aeroplane, truth, state.changes):
            return count
    return 0


def _confirmed(log: Log, cured: int) -> bool:
    """Two flights with nothing changed between them, the cure in force at both."""
    return any(pair.first >= cured for pair in logs.repeats(log))


def _left_alone(log: Log) -> tuple[float, str]:
    if any(entry.action == "repair" for entry in log.entries):
        return 0.0, "A thing was repaired that was well."
    if logs.repeats(log):
        return 1.0, "Nothing was wrong, nothing was repaired, and the same was flown again."
    return 0.5, "Nothing was repaired. The same flown again would show how flights scatter."
