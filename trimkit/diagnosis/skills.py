"""Counts from a log: which predictions came true, and the four parts of fair comparing.

The four parts are those of the inventory of Schwichow, Christoph, Boone & Härtig (International
Journal of Science Education 38, 2016): plan a fair comparison, identify one, interpret one, and
see that an unfair one decides nothing. A log gives counts, n of m; no ability is read from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from trimkit import log as logs
from trimkit import observe
from trimkit.diagnosis.labels import Trail, confounding, is_confounded
from trimkit.log import CANNOT_TELL, CERTAINTY, Entry, Log

AGAINST_BEFORE = ("longer", "about the same", "shorter")
OF_ITSELF = ("dives", "stalls", "circles left", "flies straight", "circles right")
PREDICTIONS = AGAINST_BEFORE + OF_ITSELF
SAME_TIME = 0.1  # two flights within so much last about the same; common practice, no source
LESS_LIKELY = 0.98  # a hypothesis fell when it keeps less than that of its chance; assumed
FAMILY: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "nose": (
            "too-little-decalage", "too-much-decalage", "wing-too-far-back",
            "wing-too-far-forward", "wing-back-to-front", "bowed-boom", "thrust-line-up",
            "soft-stick", "heavy-propeller",
        ),
        "circle": (
            "left-panel-washed-out", "left-panel-over-washed-in", "right-panel-over-washed-in",
            "right-panel-washed-out", "skewed-wing", "broken-dihedral-joint", "wrong-tail-tilt",
            "fin-bent-left", "fin-bent-right", "thrust-line-right", "thrust-line-left",
            "torn-panel",
        ),
        "power": (
            "bent-shaft", "pitch-too-high", "pitch-too-low", "slipping-hub", "binding-hook",
            "under-wound", "tired-motor", "dry-motor", "loop-too-thick", "loop-too-thin",
            "slack-covering", "overweight", "cold-hall",
        ),
        "shaking": (
            "tired-saddle-bands", "loose-tail", "unequal-blades", "out-of-balance-propeller",
            "blades-out-of-track",
        ),
        "hand or air": ("fast-launch", "nose-high-launch", "banked-launch", "restless-air"),
    }
)  # fmt: skip


def came_true(log: Log, count: int) -> bool | None:
    """Say whether the prediction made before a flight came true.

    Parameters
    ----------
    log : Log
        The log [-].
    count : int
        Count of the flight, as in "flight 2" [-].

    Returns
    -------
    bool or None
        None when nothing was predicted that can be told from the log [-].
    """
    flight = log.flight(count)
    if flight.prediction in OF_ITSELF and "duration_s" in flight.result.features:
        return flight.prediction in shown(flight)
    if flight.prediction not in AGAINST_BEFORE or count < 2:
        return None
    times = [log.flight(n).result.features.get("duration_s") for n in (count - 1, count)]
    if None in times:
        return None
    return compared(*(one for one in times if one is not None)) == flight.prediction


def compared(before_s: float, now_s: float) -> str:
    """Say how long a flight was against the one before it.

    Parameters
    ----------
    before_s, now_s : float
        Durations [s].

    Returns
    -------
    str
        One of `AGAINST_BEFORE` [-].

    Examples
    --------
    >>> compared(30, 32)
    'about the same'
    """
    if abs(now_s - before_s) <= SAME_TIME * max(before_s, now_s):
        return "about the same"
    return "longer" if now_s > before_s else "shorter"


def shown(flight: Entry) -> tuple[str, ...]:
    """Say which of the things that can be predicted a flight did.

    Parameters
    ----------
    flight : Entry
        A flight of a log [-].

    Returns
    -------
    tuple of str
        Some of `OF_ITSELF`; what was not seen is left out [-].
    """
    seen = flight.result.features
    done = []
    if _dives(seen):
        done.append("dives")
    if _stalls(seen):
        done.append("stalls")
    turn = seen.get("early_turn_deg_s")
    if turn is None:
        return tuple(done)
    if abs(turn) < observe.STRAIGHT_DEG_S:
        return (*done, "flies straight")
    return (*done, "circles left" if turn > 0 else "circles right")


def _dives(seen: Mapping[str, float]) -> bool:
    return (
        seen.get("lowest_nose_deg", 0.0) < observe.STEEP_DEG
        and seen.get("duration_s", 0.0) < observe.FIRST_S
        and seen.get("start_climb_m_s", 0.0) < 0
    )


def _stalls(seen: Mapping[str, float]) -> bool:
    end = seen.get("duration_s", 0.0)
    drops = seen.get("first_drop_s", end) <= 0.9 * end
    return drops and seen.get("highest_nose_deg", 0.0) >= observe.DROP_DEG


def hypothesis_chance(along: Trail, hypothesis: str, among: Mapping[str, float]) -> float | None:
    """Say how likely a hypothesis is.

    Parameters
    ----------
    along : Trail
        The log with the reference beside it [-].
    hypothesis : str
        A fault, or one of `FAMILY` [-].
    among : mapping of str to float
        How likely each fault is [-].

    Returns
    -------
    float or None
        Sum over all that it covers, None for what is no hypothesis [-].
    """
    known = {name for group in along.groups for name in group}
    if hypothesis in known:
        return along.chance(hypothesis, among)
    names = [name for name in FAMILY.get(hypothesis, ()) if name in known]
    return sum(among.get(name, 0.0) for name in names) if names else None


@dataclass(frozen=True, slots=True)
class Count:
    """How often a part of fair comparing was shown.

    Parameters
    ----------
    skill : str
        "plan", "identify", "interpret" or "unfair decides nothing" [-].
    shown, of : int
        How often it was shown, of how often there was occasion [-].
    words : str
        What was counted [-].
    """

    skill: str
    shown: int
    of: int
    words: str

    def __post_init__(self) -> None:
        if not 0 <= self.shown <= self.of:
            raise ValueError(f"{self.shown} of {self.of} were shown; allowed is 0 up to {self.of}")

    def __str__(self) -> str:
        return f"{self.skill}: {self.shown} of {self.of} {self.words}"


def _count(skill: str, found: list[bool], words: str) -> Count:
    return Count(skill, sum(found), len(found), words)


def fair_comparing(along: Trail) -> tuple[Count, Count, Count, Count]:
    """Count the four parts of fair comparing in a log.

    Parameters
    ----------
    along : Trail
        The log with the reference beside it [-].

    Returns
    -------
    tuple of Count
        Plan, identify, interpret, unfair decides nothing [-].
    """
    log = along.log
    return (
        _count(
            "plan",
            [not is_confounded(log, flight) for flight in log.flights[1:]],
            "flights can be compared with an earlier one: one thing or nothing was changed",
        ),
        _count(
            "identify",
            _identified(log),
            "predictions against the flight before were made where one thing or nothing differed",
        ),
        _count(
            "interpret",
            _interpreted(along),
            "times, what was thought next was what the result had not made less likely",
        ),
        _count(
            "unfair decides nothing",
            _unfair(log),
            "confounded flights were taken apart, or led to no firmer word",
        ),
    )


def _identified(log: Log) -> list[bool]:
    found = []
    for count, flight in enumerate(log.flights[1:], start=2):
        if flight.prediction in AGAINST_BEFORE:
            found.append(len(logs.differences(log, count - 1, count).names) <= 1)
    return found


def _thought(entry: Entry) -> str:
    return entry.what if entry.action == "say" else entry.hypothesis


def _interpreted(along: Trail) -> list[bool]:
    """Judged by the reference's likelihoods, not by whether the thought was true."""
    found = []
    for point, later in pairwise(along.points):
        if point.entry.action == "say" or is_confounded(along.log, point.entry):
            continue
        before = hypothesis_chance(along, _thought(later.entry), point.before)
        after = hypothesis_chance(along, _thought(later.entry), point.after)
        if before is not None and after is not None:
            found.append(round(after, 6) >= round(LESS_LIKELY * before, 6))
    return found


def _unfair(log: Log) -> list[bool]:
    return [
        _taken_apart(log, entry) or not _firmer(log, entry)
        for entry in log.flights
        if confounding(log, entry)
    ]


def _taken_apart(log: Log, entry: Entry) -> bool:
    """The next flight differs from the confounded one in one thing alone."""
    count = log.flights.index(entry) + 1
    return count < len(log.flights) and bool(logs.differences(log, count, count + 1).alone)


def _firmer(log: Log, entry: Entry) -> bool:
    """What is thought next is said with more certainty than before."""
    later = [one for one in log.entries if one.number > entry.number and _thought(one)]
    if not later or later[0].what == CANNOT_TELL:
        return False
    before, after = CERTAINTY.get(entry.certainty, 0.0), CERTAINTY.get(later[0].certainty, 0.0)
    return after >= before and after > CERTAINTY["guess"]
