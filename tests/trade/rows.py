"""What the trade says a change does to a flight: common practice, no source.

Each row names the flights it needs and what must hold between them. Torque at the launch is
given as a multiple of the aeroplane's own torque for level flight, so that a row fits every
aeroplane. Sizes of angles and shims are those a coach uses on a trainer of 46 cm; lengths along
the stick go with the wing's chord, masses with the aeroplane's, torques with its level torque.
"""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from trimkit import faults
from trimkit.aeroplane import Aeroplane
from trimkit.balance import aeroplane_cg
from trimkit.flight import Job, Launch, level_torque_mNm
from trimkit.incidence import shim_for_angle_mm
from trimkit.motor import turns_for_torque
from trimkit.observe import Observation
from trimkit.settings import Change, changed

GONE, BELOW, LOW, MIDDLE, HIGH = 0.25, 0.83, 1.25, 2.0, 2.6
TRAINER_CHORD_MM, TRAINER_MASS_G, TRAINER_LEVEL_MNM = 94.0, 11.95, 2.15
LONGEST_S = 240.0


@functools.cache
def level_torque(aeroplane: Aeroplane) -> float:
    return level_torque_mNm(aeroplane)


@functools.cache
def turns_on(aeroplane: Aeroplane, torque: float) -> int:
    motor = aeroplane.setting.motor
    return round(turns_for_torque(motor, torque * level_torque(aeroplane), 20.0))


@dataclass(frozen=True, slots=True)
class Flown:
    """A flight that a row needs.

    Parameters
    ----------
    torque : float
        At the launch, over the torque for level flight [-].
    faults : tuple of (str, float)
        Faults and sizes [in each fault's unit].
    change : tuple of (str, float)
        Settings moved, "decalage_deg" through the shim [in the unit of each].
    """

    torque: float = MIDDLE
    faults: tuple[tuple[str, float], ...] = ()
    change: tuple[tuple[str, float], ...] = ()

    def job(self, aeroplane: Aeroplane) -> Job:
        """The flight for one aeroplane."""
        chord = aeroplane.build.wing.mean_chord_mm / TRAINER_CHORD_MM
        mass = aeroplane_cg(aeroplane).mass_g / TRAINER_MASS_G
        torque = TRAINER_LEVEL_MNM / level_torque(aeroplane)
        scale = {"mm": chord, "g": mass, "mN m": 1 / torque, "°/mN m": torque}
        job = Job(
            aeroplane=aeroplane,
            launch=Launch(turns=turns_on(aeroplane, self.torque)),
            longest_s=LONGEST_S,
        )
        for name, size in self.faults:
            job = faults.afflict(job, name, size * scale.get(faults.CATALOGUE[name].unit, 1.0))
        moved = dict(self.change)
        angle = moved.pop("decalage_deg", 0.0)
        if angle:
            moved["shim_mm"] = shim_for_angle_mm(angle, aeroplane.build.tail.socket_mm)
        if "wing_station_mm" in moved:
            moved["wing_station_mm"] *= chord
        return dataclasses.replace(job, aeroplane=changed(job.aeroplane, Change(moved)))


@dataclass(frozen=True, slots=True)
class Row:
    """One fact of the trade.

    Parameters
    ----------
    name : str
        Short name [-].
    says : str
        What the trade says [-].
    flights : mapping of str to Flown
        By a short name; "base" is the aeroplane as designed at the middle torque [-].
    holds : callable
        From the observations by the same names to whether the fact was seen [-].
    """

    name: str
    says: str
    flights: Mapping[str, Flown]
    holds: Callable[[Mapping[str, Observation]], bool]


def fault(name: str, size: float, torque: float = MIDDLE, **change: float) -> Flown:
    return Flown(torque, ((name, size),), tuple(change.items()))


def setting(torque: float = MIDDLE, **change: float) -> Flown:
    return Flown(torque, (), tuple(change.items()))


BASE, BASE_LOW, BASE_HIGH = Flown(), Flown(LOW), Flown(HIGH)


def time(seen: Observation) -> float:
    return seen["duration_s"]


def share(seen: Mapping[str, Observation], name: str, of: str = "base") -> float:
    """Duration over that of another flight."""
    return time(seen[name]) / time(seen[of])


def tighter(seen: Mapping[str, Observation], name: str, when: str, of: str = "base") -> float:
    """By how much it circles faster to the left than another flight [deg/s]."""
    key = f"{when}_turn_deg_s"
    return seen[name][key] - seen[of][key]


def dives(seen: Observation) -> bool:
    return time(seen) < 10 and seen["early_nose_deg"] < 0


ROWS = (
    Row(
        "levels",
        "little torque does not climb, some barely holds height, more climbs, more still climbs "
        "strongly",
        {"below": Flown(BELOW), "low": BASE_LOW, "base": BASE, "high": BASE_HIGH},
        lambda s: (
            s["below"]["peak_height_m"] < 2.1
            and s["low"]["peak_height_m"] < 3.4
            and s["base"]["peak_height_m"] > 1.5 * s["low"]["peak_height_m"]
            and s["high"]["peak_height_m"] > 1.2 * s["base"]["peak_height_m"]
            and time(s["below"]) < time(s["low"]) < time(s["base"]) < time(s["high"])
        ),
    ),
    Row(
        "dive",
        "1.3 degrees too little decalage: a dive, down in seconds",
        {"base": BASE, "less": fault("too-little-decalage", 1.3)},
        lambda s: dives(s["less"]) and share(s, "less") < 0.2,
    ),
    Row(
        "dive-cured",
        "the right shim brings most of it back, half the shim some of it",
        {
            "base": BASE,
            "none": fault("too-little-decalage", 1.3),
            "half": fault("too-little-decalage", 1.3, decalage_deg=0.65),
            "full": fault("too-little-decalage", 1.3, decalage_deg=1.3),
        },
        lambda s: (
            time(s["none"]) < time(s["half"]) < time(s["full"]) * 1.02
            and 0.95 < share(s, "full") < 1.05
        ),
    ),
    Row(
        "two-shims",
        "after 2.4 degrees too little, one shim is not enough and two are",
        {
            "base": BASE,
            "none": fault("too-little-decalage", 2.4),
            "one": fault("too-little-decalage", 2.4, decalage_deg=1.0),
            "two": fault("too-little-decalage", 2.4, decalage_deg=2.0),
        },
        lambda s: (
            time(s["none"]) < time(s["one"]) < time(s["two"])
            and share(s, "one") < 0.15
            and time(s["two"]) > 3 * time(s["one"])
        ),
    ),
    Row(
        "shim-under-the-wrong-edge",
        "a shim under the wrong edge makes a dive worse",
        {
            "dive": fault("too-little-decalage", 0.8),
            "worse": fault("too-little-decalage", 0.8, decalage_deg=-0.8),
        },
        lambda s: (
            time(s["worse"]) < time(s["dive"])
            and s["worse"]["lowest_nose_deg"] < s["dive"]["lowest_nose_deg"]
        ),
    ),
    Row(
        "stall",
        "1.4 degrees too much decalage: it stalls again and again",
        {"base": BASE, "more": fault("too-much-decalage", 1.4)},
        lambda s: (
            share(s, "more") < 0.6
            and s["more"]["swing_deg"] > max(8.0, 1.5 * s["base"]["swing_deg"])
            and s["more"]["highest_nose_deg"] > s["base"]["highest_nose_deg"] + 4
        ),
    ),
    Row(
        "stall-cured",
        "most of that decalage out again brings the time back",
        {
            "base": BASE,
            "more": fault("too-much-decalage", 1.4),
            "cured": fault("too-much-decalage", 1.4, decalage_deg=-1.2),
        },
        lambda s: share(s, "cured") > 0.8,
    ),
    Row(
        "stall-only-with-power",
        "a little too much decalage: smooth at low torque, a mild stall with power",
        {
            "low": BASE_LOW,
            "base": BASE,
            "more low": fault("too-much-decalage", 0.5, LOW),
            "more": fault("too-much-decalage", 0.5),
        },
        lambda s: (
            s["more low"]["swing_deg"] < 5
            and share(s, "more low", "low") > 0.75
            and s["more"]["swing_deg"] > s["base"]["swing_deg"] + 4
            and s["more"]["peak_height_m"] < 0.9 * s["base"]["peak_height_m"]
        ),
    ),
    Row(
        "down-thrust-cures-it",
        "1 degree of down thrust helps a stall that shows with power",
        {
            "stalls": fault("too-much-decalage", 0.7),
            "cured": fault("too-much-decalage", 0.7, down_thrust_deg=1.0),
        },
        lambda s: (
            time(s["cured"]) > 1.03 * time(s["stalls"])
            and s["cured"]["peak_height_m"] > 1.05 * s["stalls"]["peak_height_m"]
            and s["cured"]["swing_deg"] < s["stalls"]["swing_deg"] + 0.5
        ),
    ),
    Row(
        "wing-back",
        "the wing back by 5 and 10 mm: the nose goes down, more with more",
        {
            "base": BASE,
            "5": fault("wing-too-far-back", 5),
            "10": fault("wing-too-far-back", 10),
        },
        lambda s: (
            share(s, "10") < 0.6
            and share(s, "10") < share(s, "5") < 1.0
            and s["10"]["early_nose_deg"] < s["5"]["early_nose_deg"] < s["base"]["early_nose_deg"]
        ),
    ),
    Row(
        "wing-forward",
        "the wing forward by 10 mm: the nose goes up and it begins to stall",
        {"base": BASE, "10": fault("wing-too-far-forward", 10)},
        lambda s: (
            s["10"]["highest_nose_deg"] > s["base"]["highest_nose_deg"] + 3
            and (s["10"]["swing_deg"] > s["base"]["swing_deg"] + 2 or share(s, "10") < 0.9)
        ),
    ),
    Row(
        "heavy-propeller",
        "a propeller .8 g heavier: it flies flat until the wing goes forward",
        {
            "base": BASE,
            "heavy": fault("heavy-propeller", 0.8),
            "moved": fault("heavy-propeller", 0.8, wing_station_mm=-12.0),
        },
        lambda s: (
            share(s, "heavy") < 0.5
            and s["heavy"]["start_climb_m_s"] < 0.5 * s["base"]["start_climb_m_s"]
            and share(s, "moved") > max(0.4, 2 * share(s, "heavy"))
            and s["moved"]["start_climb_m_s"] > s["heavy"]["start_climb_m_s"] + 0.1
        ),
    ),
    Row(
        "left-wash-out",
        "a left panel washed out: less time and more left bank, the more the worse",
        {
            "base": BASE,
            "1": setting(left_wash_in_deg=-1.0),
            "2": setting(left_wash_in_deg=-2.0),
            "3": setting(left_wash_in_deg=-3.0),
        },
        lambda s: (
            1.0 > share(s, "1") > share(s, "2") > share(s, "3")
            and share(s, "3") < 0.85
            and s["3"]["middle_bank_deg"] > s["base"]["middle_bank_deg"] + 2
        ),
    ),
    Row(
        "left-wash-out-with-power",
        "4 degrees of it at high torque: it rolls left into the floor",
        {
            "high": BASE_HIGH,
            "warped": setting(HIGH, left_wash_in_deg=-4.0),
        },
        lambda s: share(s, "warped", "high") < 0.3 and s["warped"]["middle_bank_deg"] > 25,
    ),
    Row(
        "left-wash-out-late",
        "left wash-out: the circle tightens late, as the nose comes down",
        {"base": BASE, "warped": setting(left_wash_in_deg=-2.0)},
        lambda s: (
            s["warped"]["late_turn_deg_s"] - s["warped"]["middle_turn_deg_s"]
            > s["base"]["late_turn_deg_s"] - s["base"]["middle_turn_deg_s"] + 3
        ),
    ),
    Row(
        "left-wash-in",
        "a degree more of left wash-in: less left bank, and no shorter",
        {"base": BASE, "in": setting(left_wash_in_deg=1.0)},
        lambda s: share(s, "in") > 0.93 and s["in"]["early_bank_deg"] < s["base"]["early_bank_deg"],
    ),
    Row(
        "fin",
        "fin to the left: a tighter circle; 2 degrees too far, a spiral dive; to the right, wide",
        {
            "base": BASE,
            "1": setting(fin_deg=1.0),
            "3": setting(fin_deg=3.0),
            "-2": setting(fin_deg=-2.0),
        },
        lambda s: (
            tighter(s, "1", "middle") > 1
            and tighter(s, "-2", "middle") < -2
            and share(s, "3") < 0.4
            and s["3"]["early_nose_deg"] < 0
        ),
    ),
    Row(
        "loose-tail",
        "a loose tail joint: bad, worse with power, worse the looser",
        {
            "low": BASE_LOW,
            "base": BASE,
            "half": fault("loose-tail", 0.5),
            "full": fault("loose-tail", 1.0),
            "full low": fault("loose-tail", 1.0, LOW),
        },
        lambda s: (
            share(s, "full") < 0.4
            and share(s, "full") < share(s, "half") < 0.97
            and share(s, "full") < share(s, "full low", "low")
        ),
    ),
    Row(
        "tired-bands",
        "tired saddle bands: the wing is seen rocking",
        {"base": BASE, "tired": fault("tired-saddle-bands", 1.0)},
        lambda s: (
            s["tired"]["rock_deg"] > 1.5
            and s["base"]["rock_deg"] < 0.5
            and share(s, "tired") < 0.97
        ),
    ),
    Row(
        "bent-shaft",
        "a bent shaft: less time and more turns left, the more the worse",
        {"base": BASE, "2": fault("bent-shaft", 2), "4": fault("bent-shaft", 4)},
        lambda s: (
            0.97 > share(s, "2") > share(s, "4")
            and share(s, "4") < 0.75
            and s["4"]["turns_left"] > s["2"]["turns_left"] > s["base"]["turns_left"]
        ),
    ),
    Row(
        "unequal-blades",
        "blades of unequal pitch: the nose shakes, and thrust is lost",
        {"base": BASE, "10": fault("unequal-blades", 10)},
        lambda s: (
            s["10"]["shake_deg_s"] > 1.5 * s["base"]["shake_deg_s"] and 0.4 < share(s, "10") < 0.97
        ),
    ),
    Row(
        "blades-out-of-track",
        "blades out of track: little but a small loss",
        {"base": BASE, "apart": fault("blades-out-of-track", 3)},
        lambda s: 0.92 < share(s, "apart") < 0.999,
    ),
    Row(
        "unbalanced-blades",
        "a propeller out of balance: the nose shakes, the time hardly changes",
        {"base": BASE, "8": fault("out-of-balance-propeller", 8)},
        lambda s: (
            s["8"]["shake_deg_s"] > 1.5 * s["base"]["shake_deg_s"] and 0.85 < share(s, "8") < 1.05
        ),
    ),
    Row(
        "cold",
        "15 degrees colder: less time and height, more turns left",
        {"base": BASE, "cold": fault("cold-hall", 14)},
        lambda s: (
            0.5 < share(s, "cold") < 0.92
            and s["cold"]["peak_height_m"] < s["base"]["peak_height_m"]
            and s["cold"]["turns_left"] > s["base"]["turns_left"]
        ),
    ),
    Row(
        "poor-covering",
        "covering a little poorer: about a tenth of the time is lost",
        {"base": BASE, "poor": fault("slack-covering", 0.025)},
        lambda s: 0.82 < share(s, "poor") < 0.96,
    ),
    Row(
        "overweight",
        "half a gram more on a trainer: some time is lost",
        {"base": BASE, "heavy": fault("overweight", 0.5)},
        lambda s: 0.75 < share(s, "heavy") < 0.99,
    ),
    Row(
        "soft-stick",
        "a soft stick: good at low torque, nose-down at high torque",
        {
            "low": BASE_LOW,
            "high": BASE_HIGH,
            "soft low": fault("soft-stick", 0.08, LOW),
            "soft high": fault("soft-stick", 0.08, HIGH),
        },
        lambda s: (
            share(s, "soft low", "low") > 0.6
            and s["soft high"]["early_nose_deg"] < s["high"]["early_nose_deg"] - 4
            and s["soft low"]["early_nose_deg"] - s["low"]["early_nose_deg"]
            > s["soft high"]["early_nose_deg"] - s["high"]["early_nose_deg"] + 2
        ),
    ),
    Row(
        "side-thrust-fades",
        "side thrust's share of the circle fades as the power goes, the fin's does not",
        {
            "low": BASE_LOW,
            "gone": Flown(GONE),
            "thrust": setting(LOW, side_thrust_deg=-2.0),
            "thrust gone": setting(GONE, side_thrust_deg=-2.0),
            "fin": setting(LOW, fin_deg=-2.0),
            "fin gone": setting(GONE, fin_deg=-2.0),
        },
        lambda s: (
            tighter(s, "thrust", "middle", "low") < -1
            and tighter(s, "fin", "middle", "low") < -1
            and tighter(s, "thrust gone", "middle", "gone")
            > 0.85 * tighter(s, "thrust", "middle", "low")
            and tighter(s, "fin gone", "middle", "gone") < 0.9 * tighter(s, "fin", "middle", "low")
        ),
    ),
    Row(
        "no-circle",
        "fin to the right: it drifts wide or straight on",
        {"base": BASE, "right": fault("fin-bent-right", 4)},
        lambda s: s["right"]["middle_turn_deg_s"] < 0.75 * s["base"]["middle_turn_deg_s"],
    ),
    Row(
        "thrust-line-right",
        "thrust line to the right: wide or right at the launch, later left again",
        {"base": BASE, "right": fault("thrust-line-right", 4)},
        lambda s: s["right"]["early_turn_deg_s"] < 0.7 * s["base"]["early_turn_deg_s"],
    ),
    Row(
        "under-wound",
        "too few turns: flat, trim looks fine",
        {"base": BASE, "few": fault("under-wound", 0.35)},
        lambda s: (
            share(s, "few") < 0.6 and s["few"]["peak_height_m"] < 3.2 and s["few"]["swing_deg"] < 5
        ),
    ),
    Row(
        "tired-rubber",
        "tired rubber: flat at the same turns, many turns left",
        {"base": BASE, "tired": fault("tired-motor", 0.3)},
        lambda s: (
            share(s, "tired") < 0.7
            and s["tired"]["turns_left"] > 1.2 * s["base"]["turns_left"]
            and s["tired"]["peak_height_m"] < s["base"]["peak_height_m"]
        ),
    ),
    Row(
        "dry-rubber",
        "dry rubber: less time, more turns left",
        {"base": BASE, "dry": fault("dry-motor", 1.0)},
        lambda s: share(s, "dry") < 0.9 and s["dry"]["turns_left"] > s["base"]["turns_left"],
    ),
    Row(
        "binding-hook",
        "a hook that binds: flat at the same launch torque, many turns left",
        {"base": BASE, "binds": fault("binding-hook", 0.5)},
        lambda s: (
            share(s, "binds") < 0.8 and s["binds"]["turns_left"] > 1.2 * s["base"]["turns_left"]
        ),
    ),
    Row(
        "pitch-too-high",
        "too much pitch: it flies flatter, with more turns left and fewer turns a second",
        {"base": BASE, "high": fault("pitch-too-high", 12)},
        lambda s: (
            s["high"]["turns_left"] > s["base"]["turns_left"]
            and s["high"]["turns_per_s"] < s["base"]["turns_per_s"]
            and s["high"]["start_climb_m_s"] < s["base"]["start_climb_m_s"]
        ),
    ),
    Row(
        "pitch-too-low",
        "too little pitch: more turns a second, and a shorter flight",
        {"base": BASE, "low": fault("pitch-too-low", 8)},
        lambda s: s["low"]["turns_per_s"] > s["base"]["turns_per_s"] and share(s, "low") < 0.95,
    ),
    Row(
        "loop-too-thick",
        "the same rubber thicker and shorter: rockets up, lands with few turns left",
        {"base": BASE, "thick": fault("loop-too-thick", 0.25)},
        lambda s: (
            s["thick"]["peak_height_m"] > 1.15 * s["base"]["peak_height_m"]
            and s["thick"]["turns_left"] < 0.6 * s["base"]["turns_left"]
        ),
    ),
    Row(
        "loop-too-thin",
        "the same rubber thinner and longer: will not climb, many turns left",
        {"base": BASE, "thin": fault("loop-too-thin", 0.25)},
        lambda s: (
            s["thin"]["peak_height_m"] < 0.7 * s["base"]["peak_height_m"]
            and s["thin"]["turns_left"] > 1.3 * s["base"]["turns_left"]
        ),
    ),
    Row(
        "fast-launch",
        "launched too fast at low torque: one zoom, then it flies as ever",
        {"low": BASE_LOW, "fast": fault("fast-launch", 2.0, LOW)},
        lambda s: (
            s["fast"]["highest_nose_deg"] > s["low"]["highest_nose_deg"] + 2
            and 0.85 < share(s, "fast", "low") < 1.3
        ),
    ),
    Row(
        "nose-high-launch",
        "launched nose high at low torque: one stall",
        {"low": BASE_LOW, "up": fault("nose-high-launch", 25, LOW)},
        lambda s: (
            s["up"]["highest_nose_deg"] - s["up"]["lowest_nose_deg"]
            > s["low"]["highest_nose_deg"] - s["low"]["lowest_nose_deg"] + 10
        ),
    ),
    Row(
        "wing-back-to-front",
        "the wing on back to front: a steep dive",
        {"back": fault("wing-back-to-front", 1)},
        lambda s: time(s["back"]) < 3 and s["back"]["lowest_nose_deg"] < -25,
    ),
    Row(
        "skewed-wing",
        "a skewed wing, right tip ahead: it rolls left",
        {"base": BASE, "skewed": fault("skewed-wing", 6)},
        lambda s: s["skewed"]["early_bank_deg"] > s["base"]["early_bank_deg"] + 2,
    ),
    Row(
        "right-panel-washed-in",
        "the right panel washed in: it rolls left, and more with power",
        {"base": BASE, "in": fault("right-panel-over-washed-in", 3)},
        lambda s: (
            share(s, "in") < 0.8 and s["in"]["early_bank_deg"] > s["base"]["early_bank_deg"] + 4
        ),
    ),
    Row(
        "right-panel-washed-out",
        "the right panel washed out: less left bank",
        {"base": BASE, "out": fault("right-panel-washed-out", 3)},
        lambda s: s["out"]["early_bank_deg"] < s["base"]["early_bank_deg"] - 4,
    ),
    Row(
        "torn-panel",
        "the left panel's covering torn: it rolls left and loses time",
        {"base": BASE, "torn": fault("torn-panel", 0.15)},
        lambda s: (
            share(s, "torn") < 0.85 and s["torn"]["middle_bank_deg"] > s["base"]["middle_bank_deg"]
        ),
    ),
    Row(
        "thrust-line-up",
        "the thrust line points up: a stall that comes with power",
        {
            "low": BASE_LOW,
            "base": BASE,
            "up": fault("thrust-line-up", 3),
            "up low": fault("thrust-line-up", 3, LOW),
        },
        lambda s: (
            share(s, "up") < share(s, "up low", "low")
            and s["up"]["highest_nose_deg"] > s["base"]["highest_nose_deg"] + 3
        ),
    ),
)


def flown(rows: Iterable[Row] = ROWS) -> tuple[Flown, ...]:
    """Every flight that the rows need, once."""
    return tuple(dict.fromkeys(each for row in rows for each in row.flights.values()))
