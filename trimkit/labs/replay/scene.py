"""A flight and its aeroplane as plain numbers that a page can draw.

`frame_of` is the aeroplane as sheets and lines, from its own geometry. `track_of` is the flight
at an even, coarser beat: where it is, how it stands, how its joints bend, and what pushes it.

The engine does not keep the forces of a flight, so they are found again from what it did. Mass
times acceleration, less the weight, is all that air, propeller and touch push: that sum is exact
but for the smoothing. How it is shared is an estimate: the thrust is the propeller's for its
speed of turning, straight ahead; what is left along the path is called drag, across it lift.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from trimkit import incidence
from trimkit.aeroplane import Aeroplane
from trimkit.flight import Flight, Hall
from trimkit.flight.model import Model, model_of
from trimkit.units import STANDARD_GRAVITY_M_S2, Floats

BEAT_S = 0.04  # 25 rows a second: what is between them is drawn on a straight line
MOST_ROWS = 9000  # six minutes; a longer flight gets a slower beat
SMOOTH_S = 0.3  # forces are means over so long, or the propeller's shaking hides them
THRUST_EVERY_S = 0.2  # it changes slowly, and costs most of the time
CAMERA_SMOOTH_S = 1.6  # the follower turns more calmly than the aeroplane
RIBS = 4  # bays of each wing panel
ARC = (0.0, 0.15, 0.4, 0.7, 1.0)  # shares of the chord where a rib's arc is drawn
DISC_POINTS = 32

COLUMNS: tuple[tuple[str, int, float], ...] = (
    ("position", 3, 0.0005),  # north, east, down [m]
    ("quaternion", 4, 1 / 4096),  # body to earth, scalar first [-]
    ("joints", 3, 0.0005),  # tail pitch, tail twist, rock of the wing [rad]
    ("air", 3, 0.005),  # velocity through the air: north, east, down [m/s]
    ("push", 3, 0.1),  # of everything but the weight: north, east, down [mN]
    ("thrust", 1, 0.1),  # along the thrust line, estimated [mN]
    ("moment", 3, 0.002),  # whole turning push about the body axes [mN m]
    ("revs", 1, 0.02),  # of the propeller [1/s]
    ("camera", 1, 0.002),  # direction of travel, smoothed, without jumps [rad]
)
"""Name, width, and the grain in which the page gets it: half of it is the most that is lost."""
WIDTH = sum(width for _, width, _ in COLUMNS)
GRAINS = np.concatenate([np.full(width, grain) for _, width, grain in COLUMNS])

Group = Literal["body", "wing", "tail"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A sheet or a line of the drawn aeroplane.

    Parameters
    ----------
    name : str
        Part of the aeroplane [-].
    group : str
        What it moves with: "body", "wing" (rocks on its saddle) or "tail" (bends at its joint) [-].
    sheet : bool
        Filled, or only a line [-].
    points : numpy.ndarray
        Corners forward, right and down of the balance point (n, 3) [m].
    """

    name: str
    group: Group
    sheet: bool
    points: Floats


@dataclass(frozen=True, slots=True)
class Frame:
    """The aeroplane as it is drawn, in body axes about the balance point.

    Parameters
    ----------
    pieces : tuple of Piece
        Sheets and lines [-].
    hub, shaft, joint, saddle : numpy.ndarray
        Middle of the propeller, unit vector along its shaft, and the two points about which
        tail and wing move (3,) [m, -, m, m].
    radius : float
        Of the propeller [m].
    wing_share : float
        The body's share of a rock between wing and body; the wing takes the rest [-].
    span : float
        Of the wing [m].
    mass_g : float
        Of the whole aeroplane [g].
    """

    pieces: tuple[Piece, ...]
    hub: Floats
    shaft: Floats
    joint: Floats
    saddle: Floats
    radius: float
    wing_share: float
    span: float
    mass_g: float


@dataclass(frozen=True, slots=True)
class Track:
    """A flight at an even beat.

    Parameters
    ----------
    step_s : float
        From row to row; the last row is the end of the flight [s].
    rows : numpy.ndarray
        One row a beat, its columns in the order of `COLUMNS` (n, 22), float32 [-].
    """

    step_s: float
    rows: NDArray[np.float32]

    def column(self, name: str) -> NDArray[np.float32]:
        """Return the columns of one name.

        Parameters
        ----------
        name : str
            As in `COLUMNS` [-].

        Returns
        -------
        numpy.ndarray
            All rows of them [in the unit that `COLUMNS` says].

        Raises
        ------
        ValueError
            When no column has that name, with the list.
        """
        start = 0
        for known, width, _ in COLUMNS:
            if known == name:
                return self.rows[:, start : start + width]
            start += width
        known_names = ", ".join(known for known, *_ in COLUMNS)
        raise ValueError(f"no column is called {name!r}; there are {known_names}")


# --- the aeroplane -----------------------------------------------------------------------------


def frame_of(aeroplane: Aeroplane, turns: float) -> Frame:
    """Draw an aeroplane from its own geometry.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    turns : float
        Turns on the rubber [turns].

    Returns
    -------
    Frame
        Sheets, lines, and the points about which they move [-].
    """
    model = model_of(aeroplane, turns, Hall())
    hub = _bench(-aeroplane.setting.propeller.station_mm, aeroplane.build.stick.motor_height_mm)
    balance_point = hub - model["hub"]
    moved = [
        Piece(p.name, p.group, p.sheet, p.points - balance_point) for p in _pieces(aeroplane, hub)
    ]
    return Frame(
        pieces=tuple(moved),
        hub=np.array(model["hub"]),
        shaft=np.array(model["shaft"]),
        joint=np.array(model["joint_point"]),
        saddle=np.array(model["saddle_point"]),
        radius=float(model["radius"]),
        wing_share=float(model["wing_share"]),
        span=aeroplane.build.wing.span_mm / 1000,
        mass_g=float(model["mass"]) * 1000,
    )


def _bench(forward_mm: float, height_mm: float, right_mm: float = 0.0) -> Floats:
    """Metres forward, right and down of the bearing from bench figures."""
    return np.array([forward_mm, right_mm, -height_mm]) / 1000


def _pieces(aeroplane: Aeroplane, hub: Floats) -> list[Piece]:
    return [
        *_wing_pieces(aeroplane),
        *_tail_pieces(aeroplane),
        _fin_piece(aeroplane),
        *_stick_pieces(aeroplane, hub),
    ]


def _rib(quarter: Floats, along: Floats, up: Floats, chord: float, camber: float) -> Floats:
    """Points of an arched section from its leading edge to its trailing edge."""
    share = np.array(ARC)[:, None]
    rise = 4 * camber * share * (1 - share)
    return np.asarray(quarter + chord * ((0.25 - share) * along + rise * up))


def _wing_ribs(aeroplane: Aeroplane) -> Floats:
    """Ribs from the left tip to the right one (2 RIBS + 1, points, 3)."""
    frame, setting = aeroplane.build.wing, aeroplane.setting
    twist = incidence.panel_twist_deg(aeroplane)
    root_angle = incidence.wing_incidence_deg(aeroplane)
    quarter_root = -setting.wing_station_mm - frame.root_chord_mm / 4
    saddle = _bench(
        -setting.wing_station_mm - frame.root_chord_mm / 2, frame.height_mm, setting.wing_offset_mm
    )
    ribs = []
    for share in np.linspace(-1, 1, 2 * RIBS + 1):
        side = math.copysign(1.0, share) if share else 0.0
        droop = frame.left_droop_deg if share < 0 else 0.0
        slope = math.radians(frame.dihedral_deg - droop)
        out = abs(share) * frame.span_mm / 2
        place = _bench(
            quarter_root,
            frame.height_mm + out * math.tan(slope),
            setting.wing_offset_mm + share * frame.span_mm / 2,
        )
        tip = twist.left_deg if share < 0 else twist.right_deg
        angle = math.radians(root_angle + tip * abs(share))
        normal = np.array([0.0, -side * math.sin(slope), -math.cos(slope) if side else -1.0])
        along, up = _raised(normal, angle)
        chord = frame.root_chord_mm + abs(share) * (frame.tip_chord_mm - frame.root_chord_mm)
        ribs.append(_rib(place, along, up, chord / 1000, frame.camber_percent / 100))
    skewed = _turned(np.array(ribs) - saddle, 2, -math.radians(frame.skew_deg))
    return np.asarray(saddle + skewed)


def _raised(normal: Floats, angle: float) -> tuple[Floats, Floats]:
    """Chord and normal of a section whose leading edge is raised by an angle."""
    ahead = np.array([1.0, 0.0, 0.0])
    cosine, sine = math.cos(angle), math.sin(angle)
    return cosine * ahead + sine * normal, cosine * normal - sine * ahead


def _turned(vectors: Floats, axis: int, angle: float) -> Floats:
    """Turn vectors about a body axis, right-handed."""
    first, second = (axis + 1) % 3, (axis + 2) % 3
    turned = np.array(vectors, dtype=float)
    cosine, sine = math.cos(angle), math.sin(angle)
    turned[..., first] = vectors[..., first] * cosine - vectors[..., second] * sine
    turned[..., second] = vectors[..., first] * sine + vectors[..., second] * cosine
    return turned


def _wing_pieces(aeroplane: Aeroplane) -> list[Piece]:
    """A sheet for each bay, so that twist and dihedral show; a line for each rib; two posts."""
    ribs = _wing_ribs(aeroplane)
    found = []
    for bay, (left, right) in enumerate(itertools.pairwise(ribs)):
        side = "left wing" if bay < RIBS else "right wing"
        found.append(Piece(side, "wing", True, np.vstack([left, right[::-1]])))
    names = ["left wing"] * RIBS + ["wing"] + ["right wing"] * RIBS
    found += [Piece(name, "wing", False, rib) for name, rib in zip(names, ribs, strict=True)]
    middle = ribs[RIBS]
    for edge in (middle[0], middle[-1]):
        foot = np.array([edge[0], 0.0, 0.0])
        found.append(Piece("wing post", "body", False, np.vstack([edge, foot])))
    return found


def _tail_pieces(aeroplane: Aeroplane) -> list[Piece]:
    tail = aeroplane.build.tail
    tilt = math.radians(aeroplane.setting.tail_tilt_deg)
    middle = _bench(-tail.station_mm - tail.chord_mm / 4, tail.height_mm)
    angle = math.radians(incidence.tail_incidence_deg(aeroplane))
    up = _turned(np.array([0.0, 0.0, -1.0]), 0, tilt)
    along, up = _raised(up, angle)
    ribs = []
    for share in (-1.0, 0.0, 1.0):
        out = _turned(np.array([0.0, share * tail.span_mm / 2000, 0.0]), 0, tilt)
        ribs.append(_rib(middle + out, along, up, tail.chord_mm / 1000, tail.camber_percent / 100))
    sheets = [
        Piece("tailplane", "tail", True, np.vstack([one, other[::-1]]))
        for one, other in itertools.pairwise(ribs)
    ]
    return sheets + [Piece("tailplane", "tail", False, rib) for rib in ribs]


def _fin_piece(aeroplane: Aeroplane) -> Piece:
    fin = aeroplane.build.fin
    bend = math.radians(aeroplane.fin_deg)
    along = np.array([math.cos(bend), math.sin(bend), 0.0])
    foot = _bench(-fin.station_mm, fin.height_mm - fin.span_mm / 2)
    top = _bench(-fin.station_mm, fin.height_mm + fin.span_mm / 2)
    ahead, behind = along * fin.chord_mm / 4000, -along * fin.chord_mm * 3 / 4000
    corners = np.array([foot + ahead, top + ahead, top + behind, foot + behind])
    return Piece("fin", "tail", True, corners)


def _stick_pieces(aeroplane: Aeroplane, hub: Floats) -> list[Piece]:
    """Stick and boom, which the tail's joint parts, and the rubber."""
    build = aeroplane.build
    nose, hook = np.zeros(3), _bench(-build.stick.hook_station_mm, 0.0)
    end = _bench(-build.tail.station_mm - build.tail.chord_mm, build.tail.height_mm)
    rear = _bench(-build.stick.hook_station_mm, build.stick.motor_height_mm)
    return [
        Piece("stick", "body", False, np.vstack([nose, hook])),
        Piece("boom", "tail", False, np.vstack([hook, end])),
        Piece("rubber", "body", False, np.vstack([hub, rear, hook])),
    ]


# --- the flight --------------------------------------------------------------------------------


def track_of(flight: Flight, aeroplane: Aeroplane) -> Track:
    """Resample a flight, and find again what pushed the aeroplane.

    Parameters
    ----------
    flight : Flight
        From `trimkit.flight.fly` [-].
    aeroplane : Aeroplane
        The aeroplane that flew it [-].

    Returns
    -------
    Track
        Rows at an even beat [-].

    Raises
    ------
    ValueError
        When the flight is another aeroplane's, or too short to be shown.
    """
    _check(flight, aeroplane)
    model = model_of(aeroplane, flight.turns_on, Hall())
    time = flight.time_s
    count = min(math.ceil(flight.duration_s / BEAT_S), MOST_ROWS - 1)
    beat = np.linspace(0.0, flight.duration_s, count + 1)
    parts = _parts(flight, aeroplane, model)
    rows = np.empty((beat.size, WIDTH), np.float32)
    start = 0
    for name, width, _ in COLUMNS:
        values = parts[name].reshape(time.size, width)
        for column in range(width):
            rows[:, start + column] = np.interp(beat, time, values[:, column])
        start += width
    return Track(flight.duration_s / count, rows)


def _check(flight: Flight, aeroplane: Aeroplane) -> None:
    if flight.name != aeroplane.name:
        raise ValueError(
            f"the flight is one of {flight.name!r}, the aeroplane is {aeroplane.name!r}; "
            "give the aeroplane that flew"
        )
    if flight.time_s.size < 3:
        raise ValueError(
            f"the flight has {flight.time_s.size} rows; allowed is 3 or more; "
            "was it cut off by longest_s?"
        )


def _parts(flight: Flight, aeroplane: Aeroplane, model: Model) -> dict[str, Floats]:
    ground = gradient(flight.position_m, flight.time_s)
    pull = gradient(smooth(ground, flight.time_s, SMOOTH_S), flight.time_s)
    pull = smooth(pull, flight.time_s, SMOOTH_S) - np.array([0.0, 0.0, STANDARD_GRAVITY_M_S2])
    return {
        "position": flight.position_m,
        "quaternion": _unflipped(flight.quaternion),
        "joints": flight.joints_rad,
        "air": _to_earth(flight.quaternion, flight.velocity_m_s),
        "push": 1000 * float(model["mass"]) * pull,
        "thrust": _thrust_mN(flight, aeroplane, model),
        "moment": _moment_mNm(flight, model),
        "revs": flight.revs_per_s,
        "camera": _travel(ground, flight.time_s),
    }


def gradient(values: Floats, time_s: Floats) -> Floats:
    """Differentiate columns over time; exact for parabolas, at the ends too.

    Parameters
    ----------
    values : numpy.ndarray
        One row for each time [in any unit].
    time_s : numpy.ndarray
        Times [s].

    Returns
    -------
    numpy.ndarray
        Of the same shape [that unit/s].
    """
    return np.asarray(np.gradient(values, time_s, axis=0, edge_order=2))


def smooth(values: Floats, time_s: Floats, over_s: float) -> Floats:
    """Take means over a window that is cut short at both ends.

    Parameters
    ----------
    values : numpy.ndarray
        One row for each time [in any unit].
    time_s : numpy.ndarray
        Times, even but for the last [s].
    over_s : float
        Length of the window [s].

    Returns
    -------
    numpy.ndarray
        Of the same shape [that unit].
    """
    half = round(over_s / 2 / float(time_s[1] - time_s[0]))
    count = len(values)
    table = np.concatenate([np.zeros((1, *values.shape[1:])), np.cumsum(values, axis=0)])
    place = np.arange(count)
    reach = np.minimum(np.minimum(place, count - 1 - place), half)
    sums = table[place + reach + 1] - table[place - reach]
    return np.asarray((sums.T / (2 * reach + 1)).T)


def _unflipped(quaternion: Floats) -> Floats:
    """A quaternion and its negative are one attitude: keep neighbours on one side."""
    turns = np.sum(quaternion[1:] * quaternion[:-1], axis=1) < 0
    sign = np.concatenate([[1.0], np.where(turns, -1.0, 1.0)]).cumprod()
    return np.asarray(quaternion * sign[:, None])


def _to_earth(quaternion: Floats, vectors: Floats) -> Floats:
    scalar, axis = quaternion[:, :1], quaternion[:, 1:]
    twice = 2 * np.cross(axis, vectors)
    return np.asarray(vectors + scalar * twice + np.cross(axis, twice))


def _thrust_mN(flight: Flight, aeroplane: Aeroplane, model: Model) -> Floats:
    """Thrust of the propeller in the air ahead, from its smoothed speeds, a few times a second."""
    time = flight.time_s
    ahead = smooth(flight.velocity_m_s @ np.array(model["shaft"]), time, SMOOTH_S)
    revs = smooth(flight.revs_per_s, time, SMOOTH_S)
    some = np.unique(
        np.linspace(0, time.size - 1, round(time[-1] / THRUST_EVERY_S) + 2).astype(int)
    )
    thrust = aeroplane.setting.propeller.thrust_N(
        np.clip(ahead[some], 0.0, 30.0), np.clip(revs[some], 0.0, 150.0)
    )
    return np.asarray(np.interp(time, time[some], 1000 * np.asarray(thrust)))


def _moment_mNm(flight: Flight, model: Model) -> Floats:
    """Whole turning push: change of spin, without the propeller's own."""
    rates = smooth(flight.rates_rad_s, flight.time_s, SMOOTH_S)
    inertia = np.array(model["inertia"])
    spin = rates @ inertia
    change = gradient(rates, flight.time_s) @ inertia + np.cross(rates, spin)
    return smooth(1000 * change, flight.time_s, SMOOTH_S)


def _travel(ground: Floats, time_s: Floats) -> Floats:
    """Direction over the ground, smoothed and without jumps."""
    calm = smooth(ground, time_s, CAMERA_SMOOTH_S)
    return np.asarray(np.unwrap(np.arctan2(calm[:, 1], calm[:, 0])))
