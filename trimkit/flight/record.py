"""What a flight leaves behind."""

from __future__ import annotations

import json
import os
import tempfile
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from trimkit.flight.model import (
    ENERGY,
    POSITION,
    QUATERNION,
    RATES,
    ROCK,
    SHAFT_SPEED,
    TAIL_PITCH,
    TAIL_TWIST,
    TURNS,
    VELOCITY,
)
from trimkit.units import Floats

FORMAT = "trimkit flight 1"
_PARTS: tuple[tuple[str, slice], ...] = (
    ("position_m", slice(POSITION, POSITION + 3)),
    ("quaternion", slice(QUATERNION, QUATERNION + 4)),
    ("velocity_m_s", slice(VELOCITY, VELOCITY + 3)),
    ("rates_rad_s", slice(RATES, RATES + 3)),
    ("turns_left", slice(TURNS, TURNS + 1)),
    ("shaft_rad_s", slice(SHAFT_SPEED, SHAFT_SPEED + 1)),
    ("joints_rad", slice(TAIL_PITCH, ROCK + 1, 2)),
    ("energy_J", slice(ENERGY, ENERGY + 1)),
)
assert TAIL_TWIST - TAIL_PITCH == 2 == ROCK - TAIL_TWIST


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened in a flight.

    Parameters
    ----------
    time_s : float
        When [s].
    what : str
        "hit a wall", "hit the ceiling", "motor run out" or "landed" [-].
    part : str
        Which part of the aeroplane, "" when it does not matter [-].
    """

    time_s: float
    what: str
    part: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Flight:
    """One flight, sampled evenly; the last sample is the end.

    Parameters
    ----------
    name : str
        Name of the aeroplane [-].
    turns_on : float
        Turns at the launch [turns].
    seed : int
        Seed of launch and air [-].
    step_s : float
        Step of the integration [s].
    time_s : numpy.ndarray
        Since the aeroplane left the hand [s].
    position_m : numpy.ndarray
        North, east, down from the middle of the floor (n, 3) [m].
    quaternion : numpy.ndarray
        Attitude, body to earth, scalar first (n, 4) [-].
    velocity_m_s : numpy.ndarray
        Through the air, body axes (n, 3) [m/s].
    rates_rad_s : numpy.ndarray
        Roll, pitch and yaw rate in body axes (n, 3) [rad/s].
    turns_left : numpy.ndarray
        On the rubber (n,) [turns].
    shaft_rad_s : numpy.ndarray
        Speed of the propeller (n,) [rad/s].
    joints_rad : numpy.ndarray
        Tail pitch, tail twist, rock of the wing (n, 3) [rad].
    energy_J : numpy.ndarray
        Work that the rubber has done (n,) [J].
    ended : str
        "landed" or "time over" [-].
    landed_on : str
        Part that touched the floor first, "" when none did [-].
    events : tuple of Event
        In order of time [-].
    notes : tuple of str
        Where the flight left what the model is valid for, empty when it did not [-].
    """

    name: str
    turns_on: float
    seed: int
    step_s: float
    time_s: Floats
    position_m: Floats
    quaternion: Floats
    velocity_m_s: Floats
    rates_rad_s: Floats
    turns_left: Floats
    shaft_rad_s: Floats
    joints_rad: Floats
    energy_J: Floats
    ended: str
    landed_on: str
    events: tuple[Event, ...]
    notes: tuple[str, ...]

    @property
    def duration_s(self) -> float:
        """Time from the hand to the floor [s]."""
        return float(self.time_s[-1])

    @property
    def height_m(self) -> Floats:
        """Height of the balance point above the floor [m]."""
        return np.asarray(-self.position_m[:, 2])

    @property
    def peak_height_m(self) -> float:
        """Greatest height [m]."""
        return float(np.max(self.height_m))

    @property
    def turns_at_landing(self) -> float:
        """Turns left on the rubber at the end [turns]."""
        return float(self.turns_left[-1])

    @property
    def speed_m_s(self) -> Floats:
        """Speed through the air [m/s]."""
        return np.asarray(np.linalg.norm(self.velocity_m_s, axis=1))

    @property
    def revs_per_s(self) -> Floats:
        """Speed of the propeller [1/s]."""
        return np.asarray(self.shaft_rad_s / (2 * np.pi))

    @property
    def angle_of_attack_deg(self) -> Floats:
        """Angle between the stick and the air from below [deg]."""
        u, _, w = self.velocity_m_s.T
        return np.asarray(np.degrees(np.arctan2(w, u)))

    @property
    def slip_deg(self) -> Floats:
        """Angle of the air from the right [deg]."""
        return np.asarray(np.degrees(np.arcsin(self.velocity_m_s[:, 1] / self.speed_m_s)))

    @property
    def roll_deg(self) -> Floats:
        """Roll angle, + right wing down [deg]."""
        w, x, y, z = self.quaternion.T
        return np.asarray(np.degrees(np.arctan2(2 * (w * x + y * z), 1 - 2 * (x * x + y * y))))

    @property
    def pitch_deg(self) -> Floats:
        """Nose above the level [deg]."""
        w, x, y, z = self.quaternion.T
        return np.asarray(np.degrees(np.arcsin(np.clip(2 * (w * y - x * z), -1, 1))))

    @property
    def heading_deg(self) -> Floats:
        """Direction of the nose, without jumps: 0 north, 90 east [deg]."""
        w, x, y, z = self.quaternion.T
        heading = np.arctan2(2 * (w * z + x * y), 1 - 2 * (y * y + z * z))
        return np.asarray(np.degrees(np.unwrap(heading)))

    @property
    def nbytes(self) -> int:
        """Memory of the arrays [byte]."""
        return sum(getattr(self, name).nbytes for name in ("time_s", *(n for n, _ in _PARTS)))

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the flight to a file, whole or not at all.

        Parameters
        ----------
        path : path
            Where; ".npz" is usual [-].
        """
        target = Path(path)
        words = {
            "format": FORMAT,
            **{name: getattr(self, name) for name in ("name", "turns_on", "seed", "step_s")},
            "ended": self.ended,
            "landed_on": self.landed_on,
            "events": [asdict(event) for event in self.events],
            "notes": list(self.notes),
        }
        arrays = {name: getattr(self, name) for name in ("time_s", *(n for n, _ in _PARTS))}
        handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                np.savez_compressed(file, words=np.array(json.dumps(words)), **arrays)
            os.replace(name, target)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Flight:
        """Read a flight from a file.

        Parameters
        ----------
        path : path
            A file that `save` wrote [-].

        Returns
        -------
        Flight
            The same flight [-].

        Raises
        ------
        ValueError
            When the file is not a flight.
        """
        try:
            with np.load(path, allow_pickle=False) as found:
                words = json.loads(str(found["words"]))
                arrays = {name: found[name] for name in ("time_s", *(n for n, _ in _PARTS))}
        except (KeyError, ValueError, EOFError) as problem:
            raise ValueError(f"{Path(path).name} is not a flight: {problem}") from problem
        if words.pop("format", None) != FORMAT:
            raise ValueError(f"{Path(path).name} is not a flight of the form {FORMAT!r}")
        words["events"] = tuple(Event(**event) for event in words["events"])
        words["notes"] = tuple(words["notes"])
        return cls(**words, **arrays)


def arrays_of(history: Floats) -> dict[str, Any]:
    """Split rows of states into the arrays of a `Flight`.

    Parameters
    ----------
    history : numpy.ndarray
        Rows of states [SI].

    Returns
    -------
    dict of str to numpy.ndarray
        By field name; single columns become flat [SI].
    """
    found = {name: history[:, part].copy() for name, part in _PARTS}
    return {name: rows[:, 0] if rows.shape[1] == 1 else rows for name, rows in found.items()}
