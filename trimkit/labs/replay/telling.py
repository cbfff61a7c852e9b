"""What a flight does, in words, from the same numbers that are drawn.

`telling_of` gives one sentence for each quarter of a second and the moments that matter. Where a
stall or a dive begins is a matter of words, so its limits are assumed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trimkit.flight import Flight
from trimkit.labs.replay.scene import gradient, smooth
from trimkit.units import Floats

EVERY_S = 0.25
MOST_SENTENCES = 1440  # six minutes; a longer flight gets fewer a second
CALM_S = 0.6  # speeds and circles are told as means over so long

STRAIGHT_M = 25.0  # a wider circle is told as straight; assumed
SLOW_M_S = 0.4  # over the ground: then there is no circle to tell; assumed
LEVEL_M_S, LEVEL_DEG = 0.05, 2.0  # less is told as level; assumed
DIVE_DEG, STEEP_DEG = 20.0, 45.0  # path below level, bank; assumed
STALL_UP_DEG, STALL_DROP_DEG, STALL_WITHIN_S = 15.0, 20.0, 1.5  # assumed
PEAK_ABOVE_LAUNCH_M = 0.3
APART_S = 1.0  # the same again within so long is one moment
SAID_FOR_S = 0.8  # so long a sentence begins with the moment


@dataclass(frozen=True, slots=True)
class Moment:
    """A second that matters.

    Parameters
    ----------
    time_s : float
        When [s].
    what : str
        A few words, such as "hits a wall (left wing tip)" [-].
    """

    time_s: float
    what: str


@dataclass(frozen=True, slots=True)
class Telling:
    """A flight in words.

    Parameters
    ----------
    step_s : float
        From sentence to sentence [s].
    sentences : tuple of str
        What it does, without the time; the last one is the end [-].
    moments : tuple of Moment
        From the launch to the landing [-].
    """

    step_s: float
    sentences: tuple[str, ...]
    moments: tuple[Moment, ...]

    def at(self, time_s: float) -> str:
        """Return the sentence of a time, with the time.

        Parameters
        ----------
        time_s : float
            Since the launch; beyond the end it is the end [s].

        Returns
        -------
        str
            Such as "11.0 s: circling left, ..." [-].
        """
        last = len(self.sentences) - 1
        row = min(max(math.floor(time_s / self.step_s + 1e-6), 0), last)
        return f"{min(time_s, last * self.step_s):.1f} s: {self.sentences[row]}"


@dataclass(frozen=True, slots=True)
class _Calm:
    """Smoothed figures at the flight's own times."""

    climb_m_s: Floats
    along_m_s: Floats  # over the ground
    turn_rad_s: Floats  # + to the right
    pitch_deg: Floats
    roll_deg: Floats


def telling_of(flight: Flight) -> Telling:
    """Put a flight into words.

    Parameters
    ----------
    flight : Flight
        From `trimkit.flight.fly` [-].

    Returns
    -------
    Telling
        Sentences and moments [-].
    """
    calm = _calm(flight)
    moments = _moments(flight, calm)
    count = min(max(math.ceil(flight.duration_s / EVERY_S), 1), MOST_SENTENCES)
    step = flight.duration_s / count
    sentences = [_sentence(flight, calm, moments, row * step, step) for row in range(count)]
    return Telling(step, (*sentences, _end(flight)), moments)


def _calm(flight: Flight) -> _Calm:
    time = flight.time_s
    ground = smooth(gradient(flight.position_m, time), time, CALM_S)
    direction = np.unwrap(np.arctan2(ground[:, 1], ground[:, 0]))
    return _Calm(
        climb_m_s=-ground[:, 2],
        along_m_s=np.hypot(ground[:, 0], ground[:, 1]),
        turn_rad_s=smooth(gradient(direction, time), time, CALM_S),
        pitch_deg=smooth(flight.pitch_deg, time, CALM_S / 2),
        roll_deg=smooth(np.degrees(np.unwrap(np.radians(flight.roll_deg))), time, CALM_S / 2),
    )


# --- sentences ---------------------------------------------------------------------------------


def _sentence(
    flight: Flight, calm: _Calm, moments: tuple[Moment, ...], time_s: float, step_s: float
) -> str:
    now = [m for m in moments if time_s - SAID_FOR_S < m.time_s < time_s + step_s]
    when = max([time_s, *(moment.time_s for moment in now)])
    row = min(int(np.searchsorted(flight.time_s, when)), flight.time_s.size - 1)
    path = [
        *(moment.what for moment in now[-1:]),
        _circle(float(calm.along_m_s[row]), float(calm.turn_rad_s[row])),
        _sided(calm.pitch_deg[row], "nose up", "nose down", "nose level"),
        _climb(float(calm.climb_m_s[row])),
    ]
    figures = [
        _sided(calm.roll_deg[row], "right wing down", "left wing down", "wings level"),
        f"{flight.height_m[row]:.1f} m high",
        f"{flight.speed_m_s[row]:.1f} m/s",
        f"{max(flight.turns_left[row], 0):.0f} turns left",
    ]
    return f"{', '.join(path)}; {', '.join(figures)}"


def _circle(along_m_s: float, turn_rad_s: float) -> str:
    if along_m_s < SLOW_M_S:
        return "hardly moving along"
    radius = along_m_s / max(abs(turn_rad_s), 1e-6)
    if radius > STRAIGHT_M:
        return "flying straight"
    side = "right" if turn_rad_s > 0 else "left"
    return f"circling {side}, {radius:.0f} m radius" if radius >= 1 else f"spinning {side}"


def _sided(angle_deg: float, more: str, less: str, none: str) -> str:
    if abs(angle_deg) < LEVEL_DEG:
        return none
    return f"{more if angle_deg > 0 else less} {abs(angle_deg):.0f}°"


def _climb(speed_m_s: float) -> str:
    if abs(speed_m_s) < LEVEL_M_S:
        return "holding its height"
    return f"{'climbing' if speed_m_s > 0 else 'sinking'} {abs(speed_m_s):.1f} m/s"


def _end(flight: Flight) -> str:
    turns = f"{max(flight.turns_at_landing, 0):.0f} turns left of {flight.turns_on:.0f}"
    if flight.landed_on:
        return f"landed ({flight.landed_on} first), {turns}"
    return f"{flight.ended}, {flight.height_m[-1]:.1f} m high, {turns}"


# --- moments -----------------------------------------------------------------------------------


def _moments(flight: Flight, calm: _Calm) -> tuple[Moment, ...]:
    found = [
        Moment(0.0, "leaves the hand"),
        *_peak(flight),
        *_stalls(flight, calm),
        *_dives(flight, calm),
        *_steep(flight, calm),
        *_events(flight),
    ]
    if not flight.landed_on:
        found.append(Moment(flight.duration_s, flight.ended))
    return tuple(_spread(sorted(found, key=lambda moment: moment.time_s)))


def _moment(flight: Flight, row: int, what: str) -> Moment:
    return Moment(round(float(flight.time_s[row]), 2), what)


def _spread(moments: list[Moment]) -> Iterator[Moment]:
    """Drop what is the same again too soon."""
    last: dict[str, float] = {}
    for moment in moments:
        kind = moment.what.partition(" (")[0].partition(":")[0]
        if moment.time_s - last.get(kind, -math.inf) >= APART_S:
            yield moment
        last[kind] = moment.time_s


def _peak(flight: Flight) -> Iterator[Moment]:
    row = int(np.argmax(flight.height_m))
    if flight.height_m[row] > flight.height_m[0] + PEAK_ABOVE_LAUNCH_M:
        yield _moment(flight, row, f"at its highest: {flight.height_m[row]:.1f} m")


def _stalls(flight: Flight, calm: _Calm) -> Iterator[Moment]:
    """A nose that is high, and soon after much lower."""
    pitch, time = calm.pitch_deg, flight.time_s
    tops = np.flatnonzero((pitch[1:-1] >= pitch[:-2]) & (pitch[1:-1] > pitch[2:])) + 1
    for row in tops[pitch[tops] >= STALL_UP_DEG]:
        end = int(np.searchsorted(time, time[row] + STALL_WITHIN_S))
        if pitch[row] - pitch[row:end].min() >= STALL_DROP_DEG:
            yield _moment(flight, int(row), f"stalls: nose up {pitch[row]:.0f}°, then it drops")


def _dives(flight: Flight, calm: _Calm) -> Iterator[Moment]:
    """Where the path turns steeply down: with the nose down it dives, else it drops."""
    path = np.degrees(np.arctan2(-calm.climb_m_s, calm.along_m_s))
    for row in _begins(path > DIVE_DEG):
        yield _moment(flight, row, "dives" if calm.pitch_deg[row] < 0 else "drops, nose still up")


def _steep(flight: Flight, calm: _Calm) -> Iterator[Moment]:
    for side, holds in (("left", calm.roll_deg < -STEEP_DEG), ("right", calm.roll_deg > STEEP_DEG)):
        for row in _begins(holds):
            yield _moment(flight, row, f"{side} wing down past {STEEP_DEG:.0f}°")


def _begins(holds: NDArray[np.bool_]) -> list[int]:
    """Rows where something begins to hold."""
    return [int(row) for row in np.flatnonzero(holds & ~np.concatenate([[False], holds[:-1]]))]


def _events(flight: Flight) -> Iterator[Moment]:
    says = {
        "hit a wall": "hits a wall",
        "hit the ceiling": "hits the ceiling",
        "motor run out": "the motor has run out",
        "landed": "lands",
    }
    for event in flight.events:
        part = f" ({event.part})" if event.part else ""
        yield Moment(round(event.time_s, 3), says.get(event.what, event.what) + part)
