"""What a coach in the hall can see, time and count of a flight.

`watch(flight)` turns a computed flight into an `Observation`: a vector of features, each with
the error of an observer, and plain words in order of time. The words are made from the same
numbers as the vector, errors included. What a person can judge, and how well, is assumed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from trimkit.flight import Flight
from trimkit.units import Floats

START_S = 5.0  # what a coach calls the start
FIRST_S = 8.0  # in which the nose is watched after the launch
MIDDLE, LATE = (0.40, 0.60), (0.75, 0.95)  # shares of the flight
SWING_LIMIT_S = 20.0  # the nose is watched for a porpoise so long
LOW_PASS_S = 0.6  # an eye follows nothing faster; rocking and shaking are what is left
DROP_DEG, DROP_BELOW_DEG = 15.0, 5.0  # a nose that drops so far, to so little, has dropped
SHAKE_SEEN_DEG_S, ROCK_SEEN_DEG, SWING_SEEN_DEG = 12.0, 1.5, 5.0
STRAIGHT_DEG_S, TIGHTER, WIDER = 8.0, 1.3, 0.75
STEEP_DEG, ROLLED_OVER_DEG = -15.0, 45.0
ZOOM_DEG = 25.0  # a nose that goes up and down by so much stalled


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing that is seen, timed or counted.

    Parameters
    ----------
    name : str
        Its name, with its unit [-].
    unit : str
        Unit [-].
    error : float
        Standard deviation of a careful observer; assumed [in that unit].
    share : float
        And so much of the value itself; assumed [-].
    meaning : str
        One plain sentence [-].
    """

    name: str
    unit: str
    error: float
    share: float
    meaning: str

    def error_at(self, value: float) -> float:
        """Return the observer's error at a value.

        Parameters
        ----------
        value : float
            What there is to see [in the feature's unit].

        Returns
        -------
        float
            Standard deviation [in the feature's unit].
        """
        return math.hypot(self.error, self.share * value)


FEATURES = (
    Feature("duration_s", "s", 0.7, 0.0, "Time from the hand to the floor"),
    Feature("peak_height_m", "m", 0.25, 0.05, "Greatest height"),
    Feature("peak_time_s", "s", 1.0, 0.05, "When it was highest"),
    Feature("start_climb_m_s", "m/s", 0.08, 0.0, "Height gained each second at the start"),
    Feature("early_bank_deg", "°", 4.0, 0.0, "Bank at the start, + left wing low"),
    Feature("middle_bank_deg", "°", 4.0, 0.0, "Bank in the middle, + left wing low"),
    Feature("late_bank_deg", "°", 4.0, 0.0, "Bank late in the flight, + left wing low"),
    Feature("early_turn_deg_s", "°/s", 3.0, 0.06, "Circling at the start, + to the left"),
    Feature("middle_turn_deg_s", "°/s", 3.0, 0.06, "Circling in the middle, + to the left"),
    Feature("late_turn_deg_s", "°/s", 3.0, 0.06, "Circling late in the flight, + to the left"),
    Feature("early_nose_deg", "°", 3.0, 0.0, "Nose above the level at the start"),
    Feature("highest_nose_deg", "°", 4.0, 0.05, "Highest the nose came, soon after the launch"),
    Feature("lowest_nose_deg", "°", 4.0, 0.05, "Lowest the nose came, soon after the launch"),
    Feature("first_drop_s", "s", 0.4, 0.0, "When the nose first dropped, or the end"),
    Feature("swing_deg", "°", 1.5, 0.1, "How far the nose swings up and down about its middle"),
    Feature("speed_m_s", "m/s", 0.15, 0.05, "Speed over the floor and up"),
    Feature("late_sink_m_s", "m/s", 0.06, 0.05, "Height lost each second late in the flight"),
    Feature("rock_deg", "°", 0.5, 0.1, "How far the wing rocks on the stick"),
    Feature("shake_deg_s", "°/s", 2.0, 0.2, "How fast the nose shakes"),
    Feature("landing_bank_deg", "°", 6.0, 0.0, "Bank at the floor, + left wing low"),
    Feature("landing_nose_deg", "°", 6.0, 0.0, "Nose above the level at the floor"),
    Feature("turns_left", "turns", 3.0, 0.01, "Turns left on the rubber, counted after landing"),
    Feature("turns_per_s", "1/s", 0.05, 0.01, "Turns used for each second of the flight"),
    Feature("hits", "", 0.0, 0.0, "How often it hit a wall or the ceiling"),
)
NAMES = tuple(feature.name for feature in FEATURES)
NEVER_NEGATIVE = frozenset(
    {"duration_s", "peak_height_m", "peak_time_s", "first_drop_s", "swing_deg", "speed_m_s"}
    | {"rock_deg", "shake_deg_s", "turns_left", "turns_per_s", "hits"}
)


@dataclass(frozen=True, slots=True)
class Moment:
    """Something that was seen, and when.

    Parameters
    ----------
    time_s : float
        Since the launch [s].
    words : str
        What was seen [-].
    """

    time_s: float
    words: str


@dataclass(frozen=True, slots=True)
class Observation:
    """What was seen of one flight.

    Parameters
    ----------
    name : str
        Name of the aeroplane [-].
    turns_on : float
        Turns at the launch [turns].
    values : mapping of str to float
        Every feature of `FEATURES` by name, with the observer's error [in its unit].
    touched : tuple of Moment
        Walls, ceiling, a motor that ran out, in order of time [-].
    landed_on : str
        What touched the floor first, "" when it did not land [-].
    """

    name: str
    turns_on: float
    values: Mapping[str, float]
    touched: tuple[Moment, ...]
    landed_on: str

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    def vector(self) -> Floats:
        """Return the features in the order of `FEATURES`.

        Returns
        -------
        numpy.ndarray
            Shape (len(FEATURES),) [each in its unit].
        """
        return np.array([self.values[name] for name in NAMES])

    def errors(self) -> Floats:
        """Return the observer's error of each feature.

        Returns
        -------
        numpy.ndarray
            Standard deviations in the order of `FEATURES` [each in its unit].
        """
        return np.array([feature.error_at(self.values[feature.name]) for feature in FEATURES])

    def moments(self) -> tuple[Moment, ...]:
        """Return what was seen, in order of time.

        Returns
        -------
        tuple of Moment
            The last is the landing, or the end of the watching [-].
        """
        seen = [*_start(self), *_circle(self), *_nose(self), *_troubles(self), *self.touched]
        return (*sorted(seen, key=lambda moment: moment.time_s), _end(self))

    def words(self) -> str:
        """Say what was seen, in plain words and in order of time.

        Returns
        -------
        str
            Sentences divided by semicolons [-].
        """
        return "; ".join(moment.words for moment in self.moments()) + "."


def watch(flight: Flight, seed: int | None = None) -> Observation:
    """Watch a flight as a coach in the hall would.

    Parameters
    ----------
    flight : Flight
        What it did [-].
    seed : int or None
        Chooses the observer's errors; None for a perfect observer [-].

    Returns
    -------
    Observation
        What was seen [-].
    """
    values = dict(zip(NAMES, map(float, _measured(flight)), strict=True))
    if seed is not None:
        values = misread(values, np.random.default_rng([seed, 2]))
    touched = tuple(
        Moment(event.time_s, f"{event.what}{_with_part(event.part)} at {event.time_s:.0f} s")
        for event in flight.events
        if event.what != "landed"
    )
    landed = flight.landed_on if flight.ended == "landed" else ""
    return Observation(flight.name, flight.turns_on, MappingProxyType(values), touched, landed)


def _with_part(part: str) -> str:
    return f" with the {part}" if part else ""


def misread(
    values: Mapping[str, float], chance: np.random.Generator, worse: float = 1.0
) -> dict[str, float]:
    """Add an observer's errors to exact features.

    Parameters
    ----------
    values : mapping of str to float
        Every feature by name [in the unit of each].
    chance : numpy.random.Generator
        Draws the errors [-].
    worse : float
        How many times the usual errors [-].

    Returns
    -------
    dict of str to float
        What is read [in the unit of each].
    """
    found = {}
    for feature, draw in zip(FEATURES, chance.standard_normal(len(FEATURES)), strict=True):
        true = values[feature.name]
        value = true + worse * feature.error_at(true) * float(draw)
        found[feature.name] = max(value, 0.0) if feature.name in NEVER_NEGATIVE else value
    return found


def _smooth(time: Floats, rows: Floats, width_s: float) -> Floats:
    """Running mean over a width, shorter at both ends."""
    step = float(time[1] - time[0]) if time.size > 1 else width_s
    half = max(round(width_s / step / 2), 1)
    total = np.concatenate([[0.0], np.cumsum(rows)])
    first = np.clip(np.arange(rows.size) - half, 0, rows.size)
    last = np.clip(np.arange(rows.size) + half + 1, 0, rows.size)
    return np.asarray((total[last] - total[first]) / (last - first))


def _between(time: Floats, first: float, last: float) -> slice:
    """Rows between two times, at least two of them where there are two."""
    start = int(np.searchsorted(time, first))
    end = max(int(np.searchsorted(time, last)), start + 2)
    return slice(max(min(start, time.size - 2), 0), min(end, time.size))


def _course_deg(flight: Flight) -> Floats:
    """Direction of the path over the floor, without jumps, + to the left."""
    speed: Floats = np.gradient(flight.position_m[:, :2], flight.time_s, axis=0)
    north, east = (_smooth(flight.time_s, speed[:, axis], LOW_PASS_S) for axis in (0, 1))
    return np.asarray(-np.degrees(np.unwrap(np.arctan2(east, north))))


def _slope(time: Floats, rows: Floats, part: slice) -> float:
    span = float(time[part][-1] - time[part][0])
    return float(rows[part][-1] - rows[part][0]) / span if span > 0 else 0.0


def _drop_time(time: Floats, nose: Floats) -> float:
    """When the nose has come down from its highest by much, to below the level or near it."""
    fallen = np.maximum.accumulate(nose) - nose
    found = np.flatnonzero((fallen > DROP_DEG) & (nose < DROP_BELOW_DEG))
    return float(time[found[0]]) if found.size else float(time[-1])


def _swing_deg(time: Floats, nose: Floats) -> float:
    """Half of what the nose goes up and down by, about its running middle."""
    part = _between(time, min(2.0, time[-1] / 3), SWING_LIMIT_S)
    if time[part].size < 4:
        return 0.0
    around = nose[part] - _smooth(time[part], nose[part], 4.0)
    return float(np.percentile(around, 95) - np.percentile(around, 5)) / 2


def _shake_deg_s(flight: Flight) -> float:
    """Root mean square of the fast part of the nose's pitch and yaw rates."""
    part = _between(flight.time_s, 1.0, 10.0)
    time = flight.time_s[part]
    rates: Floats = np.degrees(flight.rates_rad_s[part, 1:])
    slow = np.stack([_smooth(time, rates[:, axis], LOW_PASS_S / 2) for axis in (0, 1)], axis=1)
    return float(np.sqrt(np.mean(np.square(rates - slow))))


def _rock_deg(flight: Flight) -> float:
    """How far the wing rolls against the stick about its running middle."""
    part = _between(flight.time_s, 1.0, SWING_LIMIT_S)
    rock: Floats = np.degrees(flight.joints_rad[part, 2])
    fast = rock - _smooth(flight.time_s[part], rock, 2.0)
    return float(np.sqrt(2 * np.mean(fast**2)))


def _measured(flight: Flight) -> Iterator[float]:
    """The features of a perfect observer, in the order of `FEATURES`."""
    time, height = flight.time_s, flight.height_m
    end, highest = flight.duration_s, int(np.argmax(height))
    bank = -flight.roll_deg
    nose = _smooth(time, flight.pitch_deg, LOW_PASS_S / 2)
    course = _course_deg(flight)
    start = _between(time, min(1.0, end / 4), START_S)
    middle, late = (_between(time, low * end, high * end) for low, high in (MIDDLE, LATE))
    first = _between(time, 0.3, FIRST_S)
    yield end
    yield float(height[highest])
    yield float(time[highest])
    yield _slope(time, height, _between(time, 0.0, START_S))
    yield from (float(np.median(bank[part])) for part in (start, middle, late))
    yield from (_slope(time, course, part) for part in (start, middle, late))
    yield float(np.mean(nose[start]))
    yield float(np.max(nose[first]))
    yield float(np.min(nose[first]))
    yield _drop_time(time, nose)
    yield _swing_deg(time, nose)
    yield float(np.mean(np.linalg.norm(np.diff(flight.position_m, axis=0), axis=1)) / _step(time))
    yield -_slope(time, height, late)
    yield _rock_deg(flight)
    yield _shake_deg_s(flight)
    yield float(bank[-1])
    yield float(nose[-1])
    yield max(flight.turns_at_landing, 0.0)
    yield (flight.turns_on - flight.turns_at_landing) / max(end, 0.1)
    yield float(sum(event.what.startswith("hit") for event in flight.events))


def _step(time: Floats) -> float:
    return float(time[-1]) / max(time.size - 1, 1) or 1.0


def _start(seen: Observation) -> Iterator[Moment]:
    climb, lowest = seen["start_climb_m_s"], seen["lowest_nose_deg"]
    if lowest < STEEP_DEG and seen["duration_s"] < FIRST_S and climb < 0:
        yield Moment(0.0, "dives from the hand")
    elif climb > 0.25:
        yield Moment(0.0, "climbs strongly from the hand")
    elif climb > 0.08:
        yield Moment(0.0, "climbs from the hand")
    elif climb > -0.08:
        yield Moment(0.0, "holds its height from the hand")
    else:
        yield Moment(0.0, "sinks from the hand")
    yield from _drop(seen)


def _drop(seen: Observation) -> Iterator[Moment]:
    when, end = seen["first_drop_s"], seen["duration_s"]
    if when > 0.9 * end or seen["highest_nose_deg"] < DROP_DEG:
        return
    if when > FIRST_S:
        yield Moment(when, f"the nose drops at {when:.0f} s")
    elif seen["highest_nose_deg"] - seen["lowest_nose_deg"] > ZOOM_DEG:
        yield Moment(when, f"the nose goes up, then drops at {when:.0f} s")


def _turning(turn_deg_s: float, speed_m_s: float) -> str:
    if abs(turn_deg_s) < STRAIGHT_DEG_S:
        return "flies nearly straight"
    side = "left" if turn_deg_s > 0 else "right"
    radius = speed_m_s / math.radians(abs(turn_deg_s))
    return f"circles {side} with a radius of about {radius:.0f} m"


def _circle(seen: Observation) -> Iterator[Moment]:
    turns = [seen[f"{when}_turn_deg_s"] for when in ("early", "middle", "late")]
    bank, end = seen["early_bank_deg"], seen["duration_s"]
    if abs(bank) > ROLLED_OVER_DEG:
        yield Moment(1.0, f"rolls hard to the {'left' if bank > 0 else 'right'}")
    yield Moment(min(1.0, end / 4), _turning(turns[0], seen["speed_m_s"]))
    if end < 2 * START_S:
        return
    for before, after, when in ((0, 1, MIDDLE[0]), (1, 2, LATE[0])):
        words = _circle_changes(turns[before], turns[after])
        if words:
            yield Moment(when * end, words)


def _circle_changes(before: float, after: float) -> str:
    if before * after < 0 and min(abs(before), abs(after)) > STRAIGHT_DEG_S:
        return "then circles the other way"
    if max(abs(before), abs(after)) < STRAIGHT_DEG_S:
        return ""
    if abs(after) > TIGHTER * abs(before):
        return "the circle gets tighter"
    return "the circle gets wider" if abs(after) < WIDER * abs(before) else ""


def _nose(seen: Observation) -> Iterator[Moment]:
    if seen["swing_deg"] > SWING_SEEN_DEG and seen["duration_s"] > START_S:
        swing = seen["swing_deg"]
        yield Moment(2.0, f"the nose swings up and down by {swing:.0f}° about its middle")
    if seen["peak_time_s"] > START_S:
        height, when = seen["peak_height_m"], seen["peak_time_s"]
        yield Moment(when, f"is highest at {when:.0f} s, {height:.1f} m up")


def _troubles(seen: Observation) -> Iterator[Moment]:
    if seen["rock_deg"] > ROCK_SEEN_DEG:
        yield Moment(2.5, f"the wing rocks on the stick by {seen['rock_deg']:.0f}°")
    if seen["shake_deg_s"] > SHAKE_SEEN_DEG_S:
        yield Moment(1.5, "it buzzes and the nose shakes")


def _end(seen: Observation) -> Moment:
    end, left = seen["duration_s"], seen["turns_left"]
    if not seen.landed_on:
        return Moment(end, f"still flying after {end:.0f} s, {left:.0f} turns left")
    return Moment(end, f"down after {end:.0f} s, {seen.landed_on} first, {left:.0f} turns left")
