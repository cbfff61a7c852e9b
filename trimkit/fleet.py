"""A fleet of invented aeroplanes, each of them trimmed, for studies and for the diagnosis.

`draw` takes a seed and gives an aeroplane. Its plan is drawn from `RANGES`; then it is trimmed as
a coach would do it: the wing goes where the aeroplane balances with the drawn margin, the
tailplane's angle sets how near to the stall it flies, the rubber's section fits the torque of
level flight, and fin and wash-in make it circle to the left. Last it flies. An aeroplane that
does not climb away in a calm left circle after all that is not given out: `Rejected` says why.

The ranges are common practice, without a source, or assumed, as each one says. No aeroplane here
is anybody's plan.
"""

from __future__ import annotations

import dataclasses
import math
import threading
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, as_completed
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from trimkit import balance, incidence, motor, trim
from trimkit import wing as wings
from trimkit.aeroplane import (
    Aeroplane,
    Build,
    Fin,
    Part,
    Setting,
    Stick,
    Tail,
    Wing,
    replace,
)
from trimkit.air import ROOM
from trimkit.flight import Flight, Hall, fly, level_torque_mNm, steady
from trimkit.motor import RubberMotor
from trimkit.propeller import Propeller
from trimkit.trim import Trim
from trimkit.units import Floats, checked


@dataclass(frozen=True, slots=True)
class Range:
    """From where to where something is drawn.

    Parameters
    ----------
    low, high : float
        Both ends [in its own unit].
    unit : str
        Unit as printed, "" for a pure number [-].
    meaning : str
        What it is, one plain sentence without its full stop [-].
    """

    low: float
    high: float
    unit: str
    meaning: str

    def holds(self, value: float) -> bool:
        """Whether a value lies in the range, both ends included.

        Parameters
        ----------
        value : float
            Value [in the range's own unit].

        Returns
        -------
        bool
            True when it does [-].
        """
        return bool(self.low - 1e-9 <= value <= self.high + 1e-9)

    def held(self, value: float) -> float:
        """Return the nearest value that lies in the range.

        Parameters
        ----------
        value : float
            Value [in the range's own unit].

        Returns
        -------
        float
            The same value, or the end it is beyond [in the range's own unit].
        """
        return float(min(max(value, self.low), self.high))


# Common practice, no source, unless "assumed" is said. Most are drawn evenly from end to end. What
# follows from others is only held inside: chord, masses, strip, propeller, balance point, wash-in
# in mm and rudder.
RANGES: Mapping[str, Range] = MappingProxyType(
    {
        "span_mm": Range(300, 500, "mm", "Wing span"),
        "chord_mm": Range(80, 130, "mm", "Wing chord in the middle"),
        "aspect_ratio": Range(4.0, 5.8, "", "Wing span over mean chord; assumed"),
        "taper": Range(0.75, 1.0, "", "Tip chord over chord in the middle; assumed"),
        "camber_percent": Range(4, 6, "%", "Height of the wing section's arc; assumed"),
        "dihedral_deg": Range(5, 15, "°", "Dihedral of each wing panel"),
        "wing_height_mm": Range(20, 45, "mm", "Wing root above the stick; assumed"),
        "wing_incidence_deg": Range(2.5, 4.5, "°", "Wing root against the stick; assumed"),
        "loading_g_m2": Range(150, 290, "g/m²", "Mass all up over wing area; assumed"),
        "airframe_g": Range(1, 12, "g", "Mass without the rubber"),
        "motor_g": Range(0.5, 3, "g", "Mass of the rubber"),
        "strip_mm": Range(0.8, 3.2, "mm", "Width of the rubber strip, two strands of it"),
        "loop_mm": Range(150, 500, "mm", "Length of the rubber loop"),
        "level_percent": Range(40, 48, "%", "Turns that give level torque, of the most turns"),
        "tail_percent": Range(20, 40, "%", "Tailplane area over wing area"),
        "tail_aspect_ratio": Range(2.2, 3.2, "", "Tailplane span over chord; assumed"),
        "tail_camber_percent": Range(0, 3, "%", "Height of the tail section's arc; assumed"),
        "tail_arm_chords": Range(2.6, 3.8, "", "Tail arm over mean chord; assumed"),
        "stick_chords": Range(2.3, 2.9, "", "Bearing to rear hook over mean chord; assumed"),
        "socket_mm": Range(35, 60, "mm", "Length of the boom socket"),
        "fin_percent": Range(7, 10, "%", "Fin area over wing area; assumed"),
        "propeller_mm": Range(120, 300, "mm", "Propeller diameter"),
        "propeller_over_span": Range(0.42, 0.58, "", "Propeller diameter over span; assumed"),
        "pitch_ratio": Range(1.2, 2.2, "", "Propeller pitch over diameter"),
        "cg_percent": Range(40, 100, "%", "Balance point on the mean chord"),
        "static_margin": Range(0.18, 0.32, "", "Neutral less balance point over chord; assumed"),
        "stall_margin_deg": Range(4.5, 6.5, "°", "Powered circle below the stall; assumed"),
        "wing_offset_percent": Range(0, 4, "%", "Wing to the left, of the span; assumed"),
        "wash_in_mm": Range(1, 6, "mm", "Left tip's trailing edge down"),
        "wash_in_percent": Range(25, 80, "%", "Level torque that wash-in holds; assumed"),
        "tail_tilt_deg": Range(2, 12, "°", "Tail tilt, left tip high"),
        "side_thrust_deg": Range(0, 5, "°", "Left thrust"),
        "down_thrust_deg": Range(0, 3, "°", "Down thrust"),
        "fin_deg": Range(-4, 10, "°", "Rudder, + left; common practice is 0 and more"),
        "radius_m": Range(3, 6.5, "m", "Radius of the left circle; 8 needs a wide hall"),
    }
)


class Rejected(ValueError):  # noqa: N818
    """The aeroplane drawn from a seed cannot be trimmed; the message says why.

    Parameters
    ----------
    reason : str
        Why, in a few words that are the same for the same kind of trouble [-].
    detail : str
        Figures [-].
    """

    def __init__(self, reason: str, detail: str = "") -> None:
        super().__init__(reason, detail)
        self.reason = reason
        self.detail = detail

    def __str__(self) -> str:
        return f"{self.reason}: {self.detail}" if self.detail else self.reason


# Shares of the airframe's mass, as the demo aeroplanes have them; assumed.
SHARES: Mapping[str, float] = MappingProxyType(
    {
        "wing": 0.285,
        "tail": 0.083,
        "propeller": 0.232,
        "stick": 0.21,
        "boom": 0.068,
        "fin": 0.028,
        "bearing": 0.034,
        "rear hook and socket": 0.02,
        "wing posts": 0.04,
    }
)
SHARE_SPREAD = 0.08  # each share is so much larger or smaller, root mean square; assumed
FIRST_MOTOR_SHARE = 0.17  # of the mass all up, until the level torque is known
LOOP_OVER_HOOK = 1.05  # a loop shorter than that could not be hooked up; assumed
THICKNESS_MM, DENSITY_G_CM3 = 1.0, 0.93  # of the strip; the narrowest is also cut thinner
LEAST_STRIP_MM2 = 0.6  # section of the thinnest strip; assumed
RUBBER_C = Hall().temperature_c

TUNING_RATIO = 1.6  # of the level torque: the middle of a flight, where the circle is tuned
LAUNCH_RATIO = 2.0  # of the level torque: the launch of the flight that has the last word
CUT_OFF_S, SAMPLES_PER_S = 30.0, 10.0  # of that flight
# What that flight has to be; our rule.
SHORTEST_S = 25.0
LEAST_CLIMB_M = 0.5  # above the launch
SETTLED_AFTER_S = 8.0  # the circle is judged from here on
TIGHTEST_M, WIDEST_M = 2.5, 8.0  # radius of the circle
MOST_SWING_DEG = 3.0  # pitch about its own trend, root mean square: more is a porpoise

TRIES = 4  # settings to fly before a plan is given up
BALANCE_STEPS, STEPS = 6, 5  # most steps to balance, and to trim for one aim
FIRST_DECALAGE_DEG = 2.0
LEVEL_MARGIN_DEG, FIRST_LEVEL_SLOPE = 1.5, 1.6  # to begin with: below the stall, for a ° of tail
LEAST_MARGIN_DEG = 0.3  # of level flight by `trim.level`, below its stall
CLOSE = np.array([0.5, 0.03])  # angle of attack [deg], curvature of the circle [1/m]
LARGEST_STEP = np.array([1.5, 3.0])  # tail incidence, fin [deg]
FIRST_SLOPES = np.array([[-1.7, -0.3], [0.01, -0.02]])  # how those two follow these two
FIN_ASPECT_RATIO = 1.25  # assumed
MOST_DRAWN = 100_000
_one_root_at_a_time = threading.Lock()  # the root finder is not made for threads


@dataclass(frozen=True, slots=True)
class Fleet:
    """What `draw_many` drew.

    Parameters
    ----------
    aeroplanes : tuple of Aeroplane
        Those that fly, in the order of their seeds [-].
    rejected : tuple of (int, str)
        Seed and reason of those that could not be trimmed [-].
    """

    aeroplanes: tuple[Aeroplane, ...]
    rejected: tuple[tuple[int, str], ...]

    @property
    def rejection_rate(self) -> float:
        """Rejected over drawn [-]."""
        drawn = len(self.aeroplanes) + len(self.rejected)
        return len(self.rejected) / drawn if drawn else 0.0

    @property
    def reasons(self) -> dict[str, int]:
        """How often each reason was given, the most frequent first [-]."""
        kinds = Counter(reason.partition(":")[0] for _, reason in self.rejected)
        return dict(kinds.most_common())


@dataclass(frozen=True, slots=True)
class _Plan:
    """What was drawn, before anything is trimmed; the keys are those of `RANGES`."""

    seed: int
    values: Mapping[str, float]
    shares: Mapping[str, float]

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    @property
    def chord_mm(self) -> float:
        return self["chord_mm"] * (1 + self["taper"]) / 2

    @property
    def area_mm2(self) -> float:
        return self["span_mm"] * self.chord_mm

    @property
    def hook_mm(self) -> float:
        return self["stick_chords"] * self.chord_mm

    @property
    def all_up_g(self) -> float:
        return self["loading_g_m2"] * self.area_mm2 * 1e-6


def _plan(seed: int) -> _Plan:
    chance = np.random.default_rng([seed, 46])
    drawn = {name: float(chance.uniform(r.low, r.high)) for name, r in RANGES.items()}
    chord = 2 * drawn["span_mm"] / drawn["aspect_ratio"] / (1 + drawn["taper"])
    drawn["chord_mm"] = RANGES["chord_mm"].held(chord)
    propeller = drawn["propeller_over_span"] * drawn["span_mm"]
    drawn["propeller_mm"] = RANGES["propeller_mm"].held(propeller)
    tilt = RANGES["tail_tilt_deg"]
    share = (drawn["tail_tilt_deg"] - tilt.low) / (tilt.high - tilt.low)
    drawn["side_thrust_deg"] *= 1 - 0.7 * share  # the two do the same work
    spread = np.exp(SHARE_SPREAD * chance.standard_normal(len(SHARES)))
    shares = np.array(list(SHARES.values())) * spread
    return _Plan(seed, drawn, dict(zip(SHARES, (shares / shares.sum()).tolist(), strict=True)))


def _wing(plan: _Plan, airframe_g: float) -> Wing:
    return Wing(
        span_mm=plan["span_mm"],
        root_chord_mm=plan["chord_mm"],
        tip_chord_mm=plan["chord_mm"] * plan["taper"],
        dihedral_deg=plan["dihedral_deg"],
        incidence_deg=plan["wing_incidence_deg"],
        camber_percent=plan["camber_percent"],
        height_mm=plan["wing_height_mm"],
        mass_g=airframe_g * plan.shares["wing"],
    )


def _tail(plan: _Plan, wing: Wing, wing_station_mm: float, airframe_g: float) -> Tail:
    area = plan.area_mm2 * plan["tail_percent"] / 100
    chord = math.sqrt(area / plan["tail_aspect_ratio"])
    quarter = wing_station_mm + plan["chord_mm"] / 4 + plan["tail_arm_chords"] * wing.mean_chord_mm
    return Tail(
        span_mm=area / chord,
        chord_mm=chord,
        station_mm=quarter - chord / 4,
        incidence_deg=plan["wing_incidence_deg"] - FIRST_DECALAGE_DEG,
        camber_percent=plan["tail_camber_percent"],
        socket_mm=plan["socket_mm"],
        mass_g=airframe_g * plan.shares["tail"],
    )


def _fin(plan: _Plan, tail: Tail) -> Fin:
    area = plan.area_mm2 * plan["fin_percent"] / 100
    span = math.sqrt(FIN_ASPECT_RATIO * area)
    station = tail.station_mm + tail.chord_mm / 4
    return Fin(area_mm2=area, span_mm=span, station_mm=station, height_mm=span / 2)


def _parts(
    plan: _Plan, tail: Tail, fin: Fin, wing_station_mm: float, airframe_g: float
) -> tuple[Part, ...]:
    """Stick, boom and fittings: name, station, height and length as on the demo aeroplanes."""
    hook, socket, end = plan.hook_mm, plan["socket_mm"], tail.station_mm + tail.chord_mm
    post = wing_station_mm + plan.chord_mm / 2
    rows = (
        ("stick", hook / 2, 0.0, hook),
        ("boom", (hook + end) / 2, 0.0, end - hook),
        ("fin", fin.station_mm + fin.chord_mm / 4, fin.height_mm, fin.chord_mm),
        ("bearing", 2.0, 0.0, 0.0),
        ("rear hook and socket", hook, 0.0, socket),
        ("wing posts", post, plan["wing_height_mm"] / 2, 0.85 * plan.chord_mm),
    )
    return tuple(
        Part(
            name=name,
            mass_g=airframe_g * plan.shares[name],
            station_mm=station,
            height_mm=height,
            length_mm=length,
        )
        for name, station, height, length in rows
    )


def _build(plan: _Plan, wing_station_mm: float, airframe_g: float) -> Build:
    wing = _wing(plan, airframe_g)
    tail = _tail(plan, wing, wing_station_mm, airframe_g)
    fin = _fin(plan, tail)
    stick = Stick(hook_station_mm=plan.hook_mm)
    parts = _parts(plan, tail, fin, wing_station_mm, airframe_g)
    return Build(wing=wing, tail=tail, fin=fin, stick=stick, parts=parts)


def _setting(plan: _Plan, wing_station_mm: float, airframe_g: float, motor_g: float) -> Setting:
    tip_mm = plan["chord_mm"] * plan["taper"]
    diameter = plan["propeller_mm"]
    return Setting(
        wing_station_mm=wing_station_mm,
        wing_offset_mm=-plan["wing_offset_percent"] / 100 * plan["span_mm"],
        left_wash_in_deg=incidence.wash_in_deg(plan["wash_in_mm"], tip_mm),
        tail_tilt_deg=plan["tail_tilt_deg"],
        side_thrust_deg=plan["side_thrust_deg"],
        down_thrust_deg=plan["down_thrust_deg"],
        motor=_loop(motor_g / (DENSITY_G_CM3 * _loop_mm(plan)) * 1000, _loop_mm(plan)),
        propeller=Propeller.helical(
            diameter_mm=diameter,
            pitch_mm=plan["pitch_ratio"] * diameter,
            mass_g=airframe_g * plan.shares["propeller"],
        ),
    )


def _loop_mm(plan: _Plan) -> float:
    """Drawn between the shortest loop that can be hooked up and the longest of all."""
    allowed = RANGES["loop_mm"]
    drawn = (plan["loop_mm"] - allowed.low) / (allowed.high - allowed.low)
    shortest = max(allowed.low, LOOP_OVER_HOOK * plan.hook_mm)
    return shortest + drawn * (allowed.high - shortest)


def _loop(section_mm2: float, loop_mm: float) -> RubberMotor:
    width = max(section_mm2 / 2 / THICKNESS_MM, RANGES["strip_mm"].low)
    return RubberMotor(
        loop_mm=loop_mm,
        strip_width_mm=width,
        strip_thickness_mm=section_mm2 / 2 / width,
        density_g_cm3=DENSITY_G_CM3,
    )


def _aeroplane(plan: _Plan, wing_station_mm: float, motor_g: float) -> Aeroplane:
    airframe_g = RANGES["airframe_g"].held(plan.all_up_g * (1 - FIRST_MOTOR_SHARE))
    return Aeroplane(
        name=f"Drawn {plan.seed}",
        build=_build(plan, wing_station_mm, airframe_g),
        setting=_setting(plan, wing_station_mm, airframe_g, motor_g),
        note=f"Drawn by trimkit's fleet from seed {plan.seed}. No such aeroplane exists.",
    )


def _wanted_cg(plan: _Plan, aeroplane: Aeroplane) -> float:
    """Balance point over the chord: the drawn margin ahead of the neutral point, if allowed."""
    chord = aeroplane.build.wing.mean_chord_mm
    start = balance.mean_chord_station_mm(aeroplane)
    neutral = (balance.neutral_point_mm(aeroplane) - start) / chord
    return RANGES["cg_percent"].held(100 * (neutral - plan["static_margin"])) / 100


def _balanced(plan: _Plan, motor_g: float) -> Aeroplane:
    """Slide the wing, and the tail behind it with its arm kept, until the whole balances."""
    station = 0.4 * plan.hook_mm
    for _ in range(BALANCE_STEPS):
        aeroplane = _aeroplane(plan, station, motor_g)
        wanted = balance.wing_station_for_cg_mm(aeroplane, _wanted_cg(plan, aeroplane))
        if abs(wanted - station) < 0.05:
            break
        station = wanted
    return aeroplane


def _tail_at(aeroplane: Aeroplane, incidence_deg: float) -> Aeroplane:
    tail = dataclasses.replace(aeroplane.build.tail, incidence_deg=incidence_deg)
    return dataclasses.replace(aeroplane, build=dataclasses.replace(aeroplane.build, tail=tail))


def _level(aeroplane: Aeroplane) -> Trim:
    found = trim.level(aeroplane)
    if not found.found or found.torque_mNm <= 0:
        raise Rejected("no level flight", f"{found.decalage_deg:.1f}° of decalage")
    return found


def _pitched(aeroplane: Aeroplane) -> tuple[Aeroplane, Trim]:
    """Set the tail for level flight safely below the stall, by secants."""
    angle, slope = aeroplane.build.tail.incidence_deg, FIRST_LEVEL_SLOPE
    level = _level(aeroplane)
    for _ in range(STEPS):
        miss = LEVEL_MARGIN_DEG - level.stall_margin_deg
        if abs(miss) < CLOSE[0]:
            break
        step = float(np.clip(miss / slope, -LARGEST_STEP[0], LARGEST_STEP[0]))
        angle += step
        aeroplane = _tail_at(aeroplane, angle)
        level, before = _level(aeroplane), level
        slope = float(np.clip((level.stall_margin_deg - before.stall_margin_deg) / step, 0.5, 5.0))
    return aeroplane, level


def _section_mm2(torque_mNm: float, share: float) -> float:
    """Section of the rubber that has a torque at a share of its turns."""
    one = _loop(2.0, 100.0)
    unit = one.winding_torque_mNm(share * one.max_turns(RUBBER_C), RUBBER_C)
    return float(one.section_mm2 * (torque_mNm / unit) ** (2 / 3))


def _rubbered(aeroplane: Aeroplane, plan: _Plan, torque_mNm: float) -> Aeroplane:
    """Fit a loop of the same mass to the level torque."""
    section = _section_mm2(torque_mNm, plan["level_percent"] / 100)
    wanted = section / 2
    if not LEAST_STRIP_MM2 <= wanted <= RANGES["strip_mm"].high * THICKNESS_MM:
        raise Rejected("no strip for the level torque", f"{wanted:.2f} mm² in one strip")
    length = aeroplane.setting.motor.mass_g / (DENSITY_G_CM3 * section) * 1000
    return replace(aeroplane, motor=_loop(section, RANGES["loop_mm"].held(length)))


def _wash_in_for(aeroplane: Aeroplane, level: Trim, percent: float) -> float:
    """Wash-in of the left panel that holds a part of the level torque, within its range."""
    frame = aeroplane.build.wing
    taper, density = frame.tip_chord_mm / frame.root_chord_mm, ROOM.density_kg_m3
    pressure = density * level.speed_m_s**2 / 2
    one = wings.twist_moment(1.0, 0.0, frame.aspect_ratio, taper) * pressure
    one *= frame.area_mm2 * frame.span_mm * 1e-6  # mN m for each degree
    wanted = percent / 100 * level.torque_mNm / one
    drop = incidence.wash_in_mm(min(wanted, 8.0), frame.tip_chord_mm)
    return incidence.wash_in_deg(RANGES["wash_in_mm"].held(drop), frame.tip_chord_mm)


def _motored(plan: _Plan) -> tuple[Aeroplane, Trim]:
    """Find the mass of the rubber, balance again with it, and warp the wing."""
    first, level = _pitched(_balanced(plan, FIRST_MOTOR_SHARE * plan.all_up_g))
    section = _section_mm2(level.torque_mNm, plan["level_percent"] / 100)
    mass = section * DENSITY_G_CM3 * _loop_mm(plan) / 1000
    again = _balanced(plan, RANGES["motor_g"].held(mass))
    again = _tail_at(again, first.build.tail.incidence_deg)
    level = _level(again)
    again = replace(again, left_wash_in_deg=_wash_in_for(again, level, plan["wash_in_percent"]))
    return _rubbered(again, plan, level.torque_mNm), level


@dataclass(frozen=True, slots=True)
class _Aim:
    """The powered circle to be trimmed for."""

    angle_deg: float
    curvature_per_m: float  # negative to the left

    @property
    def wanted(self) -> Floats:
        return np.array([self.angle_deg, self.curvature_per_m])


def _seen(aeroplane: Aeroplane, turns: float) -> Floats:
    try:
        with _one_root_at_a_time:
            found = steady(aeroplane, turns)
    except ValueError as problem:
        raise Rejected("no steady circle", f"at {turns:.0f} turns") from problem
    return np.array([found.angle_of_attack_deg, 1 / found.radius_m])


def _put(aeroplane: Aeroplane, place: Floats) -> Aeroplane:
    return replace(_tail_at(aeroplane, float(place[0])), fin_deg=float(place[1]))


def _step(slopes: Floats, miss: Floats, place: Floats) -> Floats:
    """One step towards the aim; a fin at its end leaves the tail to do its own part."""
    fin = RANGES["fin_deg"]
    step = np.clip(-np.linalg.solve(slopes, miss), -LARGEST_STEP, LARGEST_STEP)
    step[1] = fin.held(place[1] + step[1]) - place[1]
    tail = -(miss[0] + slopes[0, 1] * step[1]) / slopes[0, 0]
    step[0] = np.clip(tail, -LARGEST_STEP[0], LARGEST_STEP[0])
    return np.asarray(step)


def _tuned(aeroplane: Aeroplane, aim: _Aim, turns: float) -> Aeroplane:
    """Turn tail and fin until the powered circle is the one wanted (Broyden's secants)."""
    place = np.array([aeroplane.build.tail.incidence_deg, aeroplane.setting.fin_deg])
    slopes, seen = FIRST_SLOPES.copy(), _seen(aeroplane, turns)
    for _ in range(STEPS):
        miss = seen - aim.wanted
        if np.all(np.abs(miss) < CLOSE):
            break
        step = _step(slopes, miss, place)
        if not np.any(np.abs(step) > 0.01):
            break
        now = _seen(_put(aeroplane, place + step), turns)
        better = slopes + np.outer(now - seen - slopes @ step, step) / (step @ step)
        if better[0, 0] < -0.4 and better[1, 1] < -0.004:
            slopes = better
        place, seen = place + step, now
    return _put(aeroplane, place)


def _turns(aeroplane: Aeroplane, torque_mNm: float) -> float:
    return motor.turns_for_torque(aeroplane.setting.motor, torque_mNm, RUBBER_C)


def _check_flight(aeroplane: Aeroplane, torque_mNm: float) -> Flight:
    turns = _turns(aeroplane, LAUNCH_RATIO * torque_mNm)
    return fly(aeroplane, turns, longest_s=CUT_OFF_S, samples_per_s=SAMPLES_PER_S)


def _swing_deg(time_s: Floats, pitch_deg: Floats) -> float:
    """Pitch about its own trend, root mean square."""
    trend = np.polyval(np.polyfit(time_s, pitch_deg, 2), time_s)
    return float(np.sqrt(np.mean((pitch_deg - trend) ** 2)))


def _trouble(flight: Flight) -> tuple[str, str] | None:
    """What a coach would not like in the check flight: reason and figures, or None."""
    climb = flight.peak_height_m - float(flight.height_m[0])
    if flight.duration_s < SHORTEST_S:
        word = "does not climb" if climb < LEAST_CLIMB_M else "comes down early"
        return word, f"down after {flight.duration_s:.1f} s, {climb:.1f} m above the launch"
    hits = [event for event in flight.events if event.what.startswith("hit")]
    if hits:
        return "hits the hall", f"{hits[0].what} after {hits[0].time_s:.1f} s"
    settled = flight.time_s > SETTLED_AFTER_S
    time, heading = flight.time_s[settled], np.radians(flight.heading_deg[settled])
    turning = float((heading[-1] - heading[0]) / (time[-1] - time[0]))
    radius = float(np.mean(flight.speed_m_s[settled])) / abs(turning)
    if turning >= 0 or radius > WIDEST_M:
        return "no left circle", f"turns {np.degrees(turning):.0f}° a second"
    if radius < TIGHTEST_M:
        return "circle too tight", f"radius {radius:.1f} m"
    swing = _swing_deg(time, flight.pitch_deg[settled])
    if swing > MOST_SWING_DEG:
        return "porpoises", f"pitch swings by {swing:.1f}°"
    if climb < LEAST_CLIMB_M:
        return "does not climb", f"{climb:.1f} m above the launch"
    return None


def _helped(aeroplane: Aeroplane, aim: _Aim, reason: str) -> tuple[Aeroplane, _Aim]:
    """Change what a coach would change next."""
    angle, curvature, setting = aim.angle_deg, aim.curvature_per_m, aeroplane.setting
    changes: dict[str, float] = {}
    if reason in ("porpoises", "no level flight"):
        angle -= 0.8
    elif reason in ("no left circle", "hits the hall"):
        curvature *= 1.25
    else:
        angle += 0.5 if reason == "does not climb" else 0.0
        curvature *= 0.75
        changes["left_wash_in_deg"] = _more_wash_in(aeroplane)
        changes["down_thrust_deg"] = 0.5 * setting.down_thrust_deg
        changes["side_thrust_deg"] = 0.5 * setting.side_thrust_deg
        changes["tail_tilt_deg"] = RANGES["tail_tilt_deg"].held(0.5 * setting.tail_tilt_deg)
    return replace(aeroplane, **changes), _Aim(angle, _held_curvature(curvature))


def _held_curvature(curvature_per_m: float) -> float:
    return -1 / RANGES["radius_m"].held(-1 / curvature_per_m)


def _more_wash_in(aeroplane: Aeroplane) -> float:
    tip = aeroplane.build.wing.tip_chord_mm
    drop = incidence.wash_in_mm(aeroplane.setting.left_wash_in_deg, tip)
    return incidence.wash_in_deg(RANGES["wash_in_mm"].held(drop + 1.5), tip)


def _circle_torque_mNm(aeroplane: Aeroplane) -> float:
    """Torque that holds the height in the circle; more than in a straight line."""
    try:
        with _one_root_at_a_time:
            return level_torque_mNm(aeroplane)
    except ValueError as problem:
        raise Rejected("no level circle", str(problem)) from problem


def _tried(aeroplane: Aeroplane, aim: _Aim, plan: _Plan, level: Trim) -> Aeroplane:
    """Trim for the aim, fit the rubber and fly."""
    turns = _turns(aeroplane, TUNING_RATIO * level.torque_mNm)
    tuned = _tuned(aeroplane, aim, turns)
    level = _level(tuned)
    if level.stall_margin_deg < LEAST_MARGIN_DEG:
        less = LEAST_MARGIN_DEG + 0.5 - level.stall_margin_deg
        tuned = _tuned(tuned, _Aim(aim.angle_deg - less, aim.curvature_per_m), turns)
    torque_mNm = _circle_torque_mNm(tuned)
    tuned = _rubbered(tuned, plan, torque_mNm)
    trouble = _trouble(_check_flight(tuned, torque_mNm))
    if trouble is not None:
        raise Rejected(*trouble)
    return tuned


def draw(seed: int) -> Aeroplane:
    """Invent one aeroplane and trim it.

    Parameters
    ----------
    seed : int
        The same seed gives the same aeroplane, 0 or more [-].

    Returns
    -------
    Aeroplane
        It climbs away in a calm left circle at 2.0 times its level torque [-].

    Raises
    ------
    Rejected
        When this plan cannot be trimmed, with the reason.
    """
    try:
        return _trimmed(_plan(seed))
    except Rejected:
        raise
    except ValueError as problem:  # from one of the doors that this goes through
        raise Rejected("cannot be built or flown", str(problem)) from problem


def _trimmed(plan: _Plan) -> Aeroplane:
    """Try one setting after the other until the check flight is a good one."""
    aeroplane, level = _motored(plan)
    stall_deg = level.angle_of_attack_deg + level.stall_margin_deg
    aim = _Aim(stall_deg - plan["stall_margin_deg"], -1 / plan["radius_m"])
    for _ in range(TRIES - 1):
        try:
            return _tried(aeroplane, aim, plan, level)
        except Rejected as problem:
            aeroplane, aim = _helped(aeroplane, aim, problem.reason)
    return _tried(aeroplane, aim, plan, level)


def _drawn_or_why(seed: int) -> Aeroplane | str:
    try:
        return draw(seed)
    except Rejected as problem:
        return str(problem)


def seeds_of(count: int, seed: int) -> tuple[int, ...]:
    """Seeds of the aeroplanes of a fleet; a larger fleet begins with those of a smaller one.

    Parameters
    ----------
    count : int
        How many, 1 to 100,000 [-].
    seed : int
        Of the fleet, 0 or more [-].

    Returns
    -------
    tuple of int
        One for each aeroplane [-].
    """
    checked("count", count, 1, MOST_DRAWN, "count whole aeroplanes")
    return tuple(
        int(word) for word in np.random.default_rng([seed, 47]).integers(2**31, size=count)
    )


def draw_many(
    count: int,
    seed: int,
    progress: Callable[[int, int], None] | None = None,
    executor: Executor | None = None,
) -> Fleet:
    """Invent many aeroplanes, trim them, and keep those that fly.

    Parameters
    ----------
    count : int
        How many plans to draw; some of them are rejected [-].
    seed : int
        The same seed gives the same fleet, whatever the executor [-].
    progress : callable or None
        Called with plans done and plans in all, whenever one is done [-].
    executor : concurrent.futures.Executor or None
        Where to work; None for one plan after the other, here. A pool of processes is the
        fastest: threads wait for each other most of the time [-].

    Returns
    -------
    Fleet
        Aeroplanes, and the seeds and reasons of the rejected [-].
    """
    seeds = seeds_of(count, seed)
    found: dict[int, Aeroplane | str] = {}
    for place, drawn in _worked(seeds, executor):
        found[place] = drawn
        if progress is not None:
            progress(len(found), count)
    told = [(seeds[place], found[place]) for place in range(count)]
    return Fleet(
        tuple(drawn for _, drawn in told if isinstance(drawn, Aeroplane)),
        tuple((own, drawn) for own, drawn in told if isinstance(drawn, str)),
    )


def _worked(
    seeds: tuple[int, ...], executor: Executor | None
) -> Iterator[tuple[int, Aeroplane | str]]:
    if executor is None:
        yield from ((place, _drawn_or_why(own)) for place, own in enumerate(seeds))
        return
    waiting = {executor.submit(_drawn_or_why, own): place for place, own in enumerate(seeds)}
    try:
        for future in as_completed(waiting):
            yield waiting[future], future.result()
    finally:
        for future in waiting:
            future.cancel()
