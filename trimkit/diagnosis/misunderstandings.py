"""Wrong ideas that are met again and again, each with the flights that contradict it.

The ideas and what overturns them are common practice, no source. What the flights say is
computed: `contradicts` flies them and compares what was seen, by sign and with room. Where an
idea is about a tool, no flight shows it, and a reading does instead.

`detect` looks for an idea in a log. What it finds is a reason to show the flights, never a
verdict about a pupil.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from types import MappingProxyType

from trimkit import faults, settings
from trimkit import log as logs
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import deviations, skills
from trimkit.diagnosis.labels import bench_name
from trimkit.diagnosis.readings import READINGS
from trimkit.faults import CATALOGUE
from trimkit.flight import Flight, Hall, Job, Launch, fly_many
from trimkit.log import CANNOT_TELL, CERTAINTY, Entry, Log
from trimkit.observe import Observation, watch
from trimkit.settings import Change

LOW, MIDDLE, HIGH = 1.25, 2.0, 2.6  # launch torque over level torque
GLIDE_TURNS = 20.0  # for a glide: hardly any
TALL_M, WIDE_M = 30.0, 100.0  # no wall and no ceiling in the way
SMALL_HALL_M, LOW_CEILING_M = 24.0, 10.5
LONGEST_S = 240.0
PUPILS = 5  # who measure the same


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """One flight that an idea is tried on.

    Parameters
    ----------
    power : float
        Launch torque over level torque; 0 for a glide without its propeller [-].
    share : float
        Part of the turns of that power that are wound [-].
    ill : mapping of str to float
        Faults and sizes [in each fault's unit].
    changes : mapping of str to float
        Settings moved [in the unit of each].
    build : mapping of (str, str) to float
        Figures of the build moved, by record and field [in the unit of each].
    size_m : (float, float, float)
        Of the hall [m].
    east_m : float
        Place of the launch, so that the circle fits in a small hall [m].
    seed : int
        0 for an exact launch in still air, others for a practised hand in a quiet hall [-].
    """

    power: float = MIDDLE
    share: float = 1.0
    ill: Mapping[str, float] = field(default_factory=dict)
    changes: Mapping[str, float] = field(default_factory=dict)
    build: Mapping[tuple[str, str], float] = field(default_factory=dict)
    size_m: tuple[float, float, float] = (WIDE_M, WIDE_M, TALL_M)
    east_m: float = 0.0
    seed: int = 0

    def job(self, aeroplane: Aeroplane) -> Job:
        """Return the flight for an aeroplane.

        Parameters
        ----------
        aeroplane : Aeroplane
            As planned [-].

        Returns
        -------
        Job
            Ready to be flown [-].
        """
        turns = deviations.design(aeroplane).turns(self.power) if self.power else GLIDE_TURNS
        scatter, restless = (1.0, 0.07) if self.seed else (0.0, 0.0)
        launch = Launch(turns=round(turns * self.share), scatter=scatter, east_m=self.east_m)
        job = Job(
            aeroplane=_rebuilt(aeroplane, self.build),
            launch=launch,
            hall=Hall(size_m=self.size_m, restless_m_s=restless),
            seed=self.seed,
            longest_s=LONGEST_S,
            propeller=bool(self.power),
        )
        for name, size in self.ill.items():
            job = faults.afflict(job, name, size)
        moved = settings.changed(job.aeroplane, Change(dict(self.changes)))
        return dataclasses.replace(job, aeroplane=moved)


def _rebuilt(aeroplane: Aeroplane, moved: Mapping[tuple[str, str], float]) -> Aeroplane:
    for (record, name), amount in moved.items():
        part = getattr(aeroplane.build, record)
        part = dataclasses.replace(part, **{name: getattr(part, name) + amount})
        build = dataclasses.replace(aeroplane.build, **{record: part})
        aeroplane = dataclasses.replace(aeroplane, build=build)
    return aeroplane


@dataclass(frozen=True, slots=True)
class Evidence:
    """Where a log shows an idea.

    Parameters
    ----------
    entries : tuple of int
        Numbers of the entries [-].
    words : str
        What was done there [-].
    """

    entries: tuple[int, ...]
    words: str


Seen = Mapping[str, Observation]


def _nowhere(log: Log) -> Evidence | None:
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Misunderstanding:
    """A wrong idea.

    Parameters
    ----------
    name : str
        Short name [-].
    idea : str
        In a pupil's words [-].
    overturned : str
        What overturns it, in plain words [-].
    trials : mapping of str to Trial
        The flights that contradict it, by a short name; empty when no flight shows it [-].
    holds : callable
        From what was seen of them to whether they contradict it [-].
    reading : str
        A name of `READINGS` that shows it where no flight does, "" when flights do [-].
    measured : callable
        From an aeroplane to whether that reading contradicts it [-].
    detect : callable
        From a log to the evidence for the idea, or None [-].
    """

    name: str
    idea: str
    overturned: str
    trials: Mapping[str, Trial] = field(default_factory=dict)
    holds: Callable[[Seen], bool] = bool
    reading: str = ""
    measured: Callable[[Aeroplane], bool] | None = None
    detect: Callable[[Log], Evidence | None] = _nowhere

    @property
    def shows_in_log(self) -> bool:
        """Whether a log can show the idea at all [-]."""
        return self.detect is not _nowhere

    def jobs(self, aeroplane: Aeroplane) -> dict[str, Job]:
        """Return the flights that contradict the idea.

        Parameters
        ----------
        aeroplane : Aeroplane
            As planned; the trainer is the one they were chosen on [-].

        Returns
        -------
        dict of str to Job
            By a short name [-].
        """
        return {name: trial.job(aeroplane) for name, trial in self.trials.items()}

    def contradicts(self, aeroplane: Aeroplane) -> bool:
        """Fly them, or take the reading, and say whether the idea is contradicted.

        Parameters
        ----------
        aeroplane : Aeroplane
            As planned [-].

        Returns
        -------
        bool
            Whether what was seen speaks against the idea [-].
        """
        if self.measured is not None and not self.measured(aeroplane):
            return False
        if not self.trials:
            return self.measured is not None
        jobs = self.jobs(aeroplane)
        flown = fly_many(jobs.values())
        pairs = zip(jobs, flown, strict=True)
        return self.holds({name: watch(one) for name, one in pairs if isinstance(one, Flight)})


# --- what was seen ---------------------------------------------------------------------------


def _time(seen: Seen, name: str) -> float:
    return seen[name]["duration_s"]


def _share(seen: Seen, name: str, of: str) -> float:
    return _time(seen, name) / _time(seen, of)


def _more(seen: Seen, feature: str, name: str, of: str) -> float:
    return seen[name][feature] - seen[of][feature]


# --- what a log shows ------------------------------------------------------------------------


def _neighbours(log: Log) -> Iterator[tuple[Entry, Entry, logs.Difference]]:
    """Every flight with the one before it, and in what they differ."""
    for count, (before, now) in enumerate(pairwise(log.flights), start=1):
        yield before, now, logs.differences(log, count, count + 1)


def _did(entry: Entry, what: str) -> bool:
    return what in skills.shown(entry)


def _moved_after(sign: str, name: str, way: int) -> Callable[[Log], Evidence | None]:
    """A setting moved one way, straight after a flight that showed a sign."""

    def detect(log: Log) -> Evidence | None:
        for before, now, apart in _neighbours(log):
            if _did(before, sign) and apart.amounts.get(name, 0.0) * way > 0:
                moved = Change({name: apart.amounts[name]}).words()
                words = f"entry {before.number} {sign}; then: {moved}"
                return Evidence((before.number, now.number), words)
        return None

    return detect


def _moved_for(name: str, way: int, *thought: str) -> Callable[[Log], Evidence | None]:
    """A setting moved one way against a fault that it does not cure."""

    def detect(log: Log) -> Evidence | None:
        for entry in log.entries:
            if entry.hypothesis in thought and entry.changes.get(name, 0.0) * way > 0:
                words = f"{Change({name: entry.changes[name]}).words()}, against "
                return Evidence((entry.number,), words + bench_name(entry.hypothesis))
        return None

    return detect


def _expected(name: str, way: int, prediction: str) -> Callable[[Log], Evidence | None]:
    """A change of one setting with a prediction that the idea makes, and that failed."""

    def detect(log: Log) -> Evidence | None:
        for count, (_, now, apart) in enumerate(_neighbours(log), start=2):
            moved = apart.alone == name and apart.amounts.get(name, 0.0) * way > 0
            if moved and now.prediction == prediction and skills.came_true(log, count) is False:
                return Evidence((now.number,), f"expected “{prediction}”, and it was not so")
        return None

    return detect


def _together(*names: str) -> Callable[[Log], Evidence | None]:
    """These settings moved between the same two flights; any two when none is named."""

    def detect(log: Log) -> Evidence | None:
        for before, now, apart in _neighbours(log):
            if len(apart.names) > 1 and set(names) <= set(apart.names):
                listed = " and ".join(bench_name(one) for one in apart.names)
                return Evidence((before.number, now.number), f"changed together: {listed}")
        return None

    return detect


def _one_flight(log: Log) -> Evidence | None:
    """Said after a repair or a change that was flown once."""
    for entry in log.entries:
        before = [one for one in log.flights if one.number < entry.number]
        if entry.action != "say" or entry.what == CANNOT_TELL or not before:
            continue
        alone = before[-1].action in ("repair", "change")
        if alone and CERTAINTY.get(entry.certainty, 0.0) >= CERTAINTY["fairly sure"]:
            words = f"said “{entry.certainty}” after one flight of what was changed last"
            return Evidence((before[-1].number, entry.number), words)
    return None


def _exact_ruler(log: Log) -> Evidence | None:
    """One reading of a ruler, and straight after it the surest word."""
    for before, now in pairwise(log.entries):
        ruler = any("deg" in name or "mm" in name for name in before.result.readings)
        if before.action == "measure" and ruler and now.certainty == "would bet my motor":
            words = f"measured once, then “{now.certainty}”"
            return Evidence((before.number, now.number), words)
    return None


def _first_answer(log: Log) -> Evidence | None:
    """The first thought was never put to a test that could have spoken against it."""
    said = [entry for entry in log.entries if entry.action == "say"]
    if not said or said[0].what == CANNOT_TELL or len(log.flights) > 1:
        return None
    tested = any(entry.action in ("look", "measure") for entry in log.entries)
    if tested or not log.flights or said[0].number < log.flights[0].number:
        return None
    return Evidence(
        (log.flights[0].number, said[0].number), "one flight, and the first answer was said"
    )


def _motor_stopped(log: Log) -> Evidence | None:
    """A stall with many turns left, and then a fault of the motor in mind."""
    for before, now in pairwise(log.entries):
        left = before.result.features.get("turns_left", 0.0)
        thought = now.hypothesis == "power" or (
            now.hypothesis in CATALOGUE and CATALOGUE[now.hypothesis].place == "motor"
        )
        if before.is_flight and _did(before, "stalls") and thought and left > 100:
            words = f"it stalled with {left:.0f} turns left; then the motor was thought of"
            return Evidence((before.number, now.number), words)
    return None


def _only_low_power(log: Log) -> Evidence | None:
    """The trim was called good after flights with few turns alone."""
    turns = [flight.turns or 0.0 for flight in log.flights]
    said = [one for one in log.entries if one.action == "say" and one.what == "nothing"]
    if not said or not turns or max(turns) - min(turns) > 0.1 * max(turns):
        return None
    return Evidence(
        (log.flights[-1].number, said[0].number), "called good after flights at one power alone"
    )


def _always_more(log: Log) -> Evidence | None:
    """More turns after a flight that already touched something."""
    for before, now, apart in _neighbours(log):
        if before.result.features.get("hits", 0.0) >= 0.5 and apart.amounts.get("turns", 0.0) > 0:
            return Evidence((before.number, now.number), "it touched; then more turns")
    return None


# --- readings --------------------------------------------------------------------------------


def _pupils_differ(aeroplane: Aeroplane) -> bool:
    """Five careful pupils read the same decalage, half a degree apart and more."""
    job = Trial().job(aeroplane)
    read = [READINGS["decalage_deg"].read(job, seed) for seed in range(PUPILS)]
    return max(read) - min(read) > 0.5


def _balance_splits(aeroplane: Aeroplane) -> bool:
    """Two faults with the same dive: the balance point tells them apart by more than 3 mm."""
    balance = READINGS["balance_point_mm"]
    one, other = (balance.of(_TWO_DIVES[name].job(aeroplane)) for name in ("decalage", "balance"))
    return abs(one - other) > 3


_DIVE, _SMALL_DIVE = {"too-little-decalage": 1.3}, {"too-little-decalage": 0.8}
_STALL, _POWER_STALL = {"too-much-decalage": 1.4}, {"too-much-decalage": 0.7}
_WARP = {"left-panel-washed-out": 3.0}
_SOFT = {"soft-stick": 0.25}
_TWO_DIVES = {"decalage": Trial(ill=_DIVE), "balance": Trial(ill={"wing-too-far-back": 12.0})}

_ALL = (
    Misunderstanding(
        name="more-turns-cure-a-dive",
        idea="It dives because it has too little power. More turns will pull it up.",
        overturned="With more turns it dives faster and is down sooner: more speed on the same "
        "angles is more of the same turn downwards.",
        trials={"few": Trial(power=LOW, ill=_DIVE), "many": Trial(power=HIGH, ill=_DIVE)},
        holds=lambda s: (
            _share(s, "many", "few") < 1.1 and _more(s, "speed_m_s", "many", "few") > 0.3
        ),
        detect=_moved_after("dives", "turns", 1),
    ),
    Misunderstanding(
        name="nose-weight-cures-every-stall",
        idea="It stalls, so the nose wants weight.",
        overturned="Enough clay to stop the stall at launch power makes it fly flat and short "
        "at low power: the stall that it had was better.",
        trials={
            "stall": Trial(power=LOW, ill=_POWER_STALL),
            "clay": Trial(power=LOW, ill=_POWER_STALL, changes={"ballast_g": 0.5}),
        },
        holds=lambda s: _share(s, "clay", "stall") < 0.8,
        detect=_moved_after("stalls", "ballast_g", 1),
    ),
    Misunderstanding(
        name="nose-weight-for-a-power-stall",
        idea="It stalls only when it is wound up. A little clay at the nose will do.",
        overturned="Clay acts at every power, a stall with power wants a cure that acts with "
        "power: down thrust keeps the flight at low power, clay takes it.",
        trials={
            "clay": Trial(power=LOW, ill=_POWER_STALL, changes={"ballast_g": 0.3}),
            "thrust": Trial(power=LOW, ill=_POWER_STALL, changes={"down_thrust_deg": 1.0}),
            "clay high": Trial(power=HIGH, ill=_POWER_STALL, changes={"ballast_g": 0.3}),
            "thrust high": Trial(power=HIGH, ill=_POWER_STALL, changes={"down_thrust_deg": 1.0}),
        },
        holds=lambda s: (
            _share(s, "clay", "thrust") < 0.9 and _share(s, "clay high", "thrust high") < 1.0
        ),
        detect=_moved_for("ballast_g", 1, "thrust-line-up"),
    ),
    Misunderstanding(
        name="wing-forward-is-nose-heavy",
        idea="I slid the wing forward, so now there is more weight in front.",
        overturned="The aeroplane's balance moves by 2 to 3 mm, the wing by 10: the balance is "
        "now further back on the wing, and the nose comes up.",
        trials={"base": Trial(), "forward": Trial(changes={"wing_station_mm": -10.0})},
        holds=lambda s: _more(s, "highest_nose_deg", "forward", "base") > 3,
        detect=_moved_after("stalls", "wing_station_mm", -1),
    ),
    Misunderstanding(
        name="wing-back-for-a-dive",
        idea="It dives, so the tail end wants more weight: wing back.",
        overturned="Sliding the wing back moves the balance forward on the wing: it dives more.",
        trials={"base": Trial(), "back": Trial(changes={"wing_station_mm": 9.0})},
        holds=lambda s: (
            _share(s, "back", "base") < 0.5 and _more(s, "early_nose_deg", "back", "base") < -5
        ),
        detect=_moved_after("dives", "wing_station_mm", 1),
    ),
    Misunderstanding(
        name="thicker-rubber-flies-longer",
        idea="Thicker rubber is stronger, so it flies longer.",
        overturned="The same mass of rubber, ever thicker: it climbs ever higher, and past a "
        "point the seconds fall, for the turns run out.",
        trials={
            "thick": Trial(ill={"loop-too-thick": 0.15}),
            "thickest": Trial(ill={"loop-too-thick": 0.44}),
        },
        holds=lambda s: (
            _more(s, "peak_height_m", "thickest", "thick") > 1
            and _share(s, "thickest", "thick") < 1
        ),
    ),
    Misunderstanding(
        name="faster-propeller-flies-longer",
        idea="The propeller turns faster now, so it flies longer.",
        overturned="Seconds are the turns used over the turns each second: with too little "
        "pitch the turns go sooner.",
        trials={"base": Trial(), "fast": Trial(ill={"pitch-too-low": 8.0})},
        holds=lambda s: (
            _share(s, "fast", "base") < 0.9 and _more(s, "turns_per_s", "fast", "base") > 0.5
        ),
    ),
    Misunderstanding(
        name="hard-throw-helps",
        idea="A hard throw gives it a good start.",
        overturned="Thrown at twice its speed it zooms, and then flies as long as ever: the "
        "throw is gone in a second.",
        trials={"walk": Trial(), "thrown": Trial(ill={"fast-launch": 2.0})},
        holds=lambda s: 0.9 < _share(s, "thrown", "walk") < 1.08,
    ),
    Misunderstanding(
        name="circles-because-of-the-fin",
        idea="It circles because of the fin. With the fin in the middle it will fly straight.",
        overturned="With the fin in the middle and a warped left panel it still banks and "
        "circles to the left.",
        trials={"centred": Trial(ill=_WARP, changes={"fin_deg": -1.65})},
        holds=lambda s: (
            s["centred"]["early_turn_deg_s"] > 12 and s["centred"]["early_bank_deg"] > 10
        ),
        detect=_expected("fin_deg", -1, "flies straight"),
    ),
    Misunderstanding(
        name="fin-for-a-warp",
        idea="It rolls left. Fin to the right will bring it back.",
        overturned="The fin widens the circle later on, but from the hand it rolls as hard as "
        "before; taking the warp out stops the roll.",
        trials={
            "warp": Trial(power=HIGH, ill=_WARP),
            "fin": Trial(power=HIGH, ill=_WARP, changes={"fin_deg": -1.0}),
            "unwarped": Trial(power=HIGH, ill=_WARP, changes={"left_wash_in_deg": 3.0}),
        },
        holds=lambda s: (
            _more(s, "early_bank_deg", "fin", "warp") > -2.5
            and _more(s, "early_bank_deg", "unwarped", "warp") < -4
        ),
        detect=_moved_for("fin_deg", -1, "left-panel-washed-out", "right-panel-over-washed-in"),
    ),
    Misunderstanding(
        name="more-fin-is-steadier",
        idea="More fin to the left makes the circle steadier.",
        overturned="Two degrees too much: the circle tightens, the nose drops, and it spirals in.",
        trials={"base": Trial(), "more": Trial(ill={"fin-bent-left": 2.0})},
        holds=lambda s: (
            _share(s, "more", "base") < 0.5 and _more(s, "early_nose_deg", "more", "base") < -5
        ),
        detect=_expected("fin_deg", 1, "longer"),
    ),
    Misunderstanding(
        name="shim-goes-under-what-is-low",
        idea="The tail hangs low, so the shim goes under the edge that is low.",
        overturned="The shim that lifts the leading edge makes a dive worse. Look at the boom's "
        "end before and after: up is nose up.",
        trials={
            "dive": Trial(ill=_SMALL_DIVE),
            "wrong": Trial(ill=_SMALL_DIVE, changes={"shim_mm": -0.6}),
            "good": Trial(ill=_SMALL_DIVE, changes={"shim_mm": 0.6}),
        },
        holds=lambda s: _share(s, "wrong", "dive") < 0.9 and _share(s, "good", "dive") > 2,
        detect=_moved_after("dives", "shim_mm", -1),
    ),
    Misunderstanding(
        name="shim-up-for-a-stall",
        idea="It drops its nose again and again, so I lift the nose with the shim.",
        overturned="The nose drops because it was too high before. More shim, more stall; less "
        "shim, and it is smooth.",
        trials={
            "stall": Trial(ill=_STALL),
            "up": Trial(ill=_STALL, changes={"shim_mm": 0.4}),
            "down": Trial(ill=_STALL, changes={"shim_mm": -0.9}),
        },
        holds=lambda s: _share(s, "up", "stall") < 0.9 and _share(s, "down", "stall") > 1.5,
        detect=_moved_after("stalls", "shim_mm", 1),
    ),
    Misunderstanding(
        name="wing-angle-alone-matters",
        idea="The wing's angle makes it climb. The tail only follows.",
        overturned="Wing and tail both up by a degree: the same flight. The wing alone: a stall. "
        "What counts is the difference.",
        trials={
            "base": Trial(),
            "both": Trial(build={("wing", "incidence_deg"): 1.0, ("tail", "incidence_deg"): 1.0}),
            "wing": Trial(build={("wing", "incidence_deg"): 1.0}),
        },
        holds=lambda s: 0.85 < _share(s, "both", "base") < 1.15 and _share(s, "wing", "base") < 0.8,
    ),
    Misunderstanding(
        name="two-changes-save-time",
        idea="Two changes at once save a flight.",
        overturned="Both together: better. Take one of them back: better again. The pair hid "
        "that one of the two did harm.",
        trials={
            "stall": Trial(ill=_STALL),
            "both": Trial(ill=_STALL, changes={"shim_mm": -0.9, "wing_station_mm": 5.0}),
            "one": Trial(ill=_STALL, changes={"shim_mm": -0.9}),
        },
        holds=lambda s: _share(s, "both", "stall") > 1.2 and _share(s, "one", "both") > 1.1,
        detect=_together(),
    ),
    Misunderstanding(
        name="balance-and-shim-together",
        idea="It dives: wing forward and shim in, then it is sure to come up.",
        overturned="Each cures the dive by itself. Both together stall, and nobody knows which "
        "one to take back.",
        trials={
            "shim": Trial(ill=_DIVE, changes={"shim_mm": 1.0}),
            "both": Trial(ill=_DIVE, changes={"shim_mm": 1.0, "wing_station_mm": -10.0}),
        },
        holds=lambda s: (
            _share(s, "both", "shim") < 0.85 and _more(s, "swing_deg", "both", "shim") > 3
        ),
        detect=_together("shim_mm", "wing_station_mm"),
    ),
    Misunderstanding(
        name="one-good-flight-proves-it",
        idea="It flew longer, so the change was good.",
        overturned="Nothing changed, flown six times: the longest is 5 % and more over the "
        "shortest. A gain smaller than that is luck until it is flown again.",
        trials={str(seed): Trial(seed=seed) for seed in range(1, 7)},
        holds=lambda s: (
            max(_time(s, name) for name in s) > 1.05 * min(_time(s, name) for name in s)
        ),
        detect=_one_flight,
    ),
    Misunderstanding(
        name="ruler-is-exact",
        idea="I measured it, so the decalage is exactly that.",
        overturned="Five pupils measure the same aeroplane and are half a degree apart and more. "
        "The good band is about a degree wide: the ruler puts you near, the flight decides.",
        reading="decalage_deg",
        measured=_pupils_differ,
        detect=_exact_ruler,
    ),
    Misunderstanding(
        name="stall-means-the-motor-stopped",
        idea="It stalled, so the motor stopped.",
        overturned="The propeller turns on through the stall, and it lands with turns left.",
        trials={"stall": Trial(ill=_STALL)},
        holds=lambda s: (
            s["stall"]["first_drop_s"] < 0.5 * _time(s, "stall")
            and s["stall"]["turns_per_s"] > 3
            and s["stall"]["turns_left"] > 100
        ),
        detect=_motor_stopped,
    ),
    Misunderstanding(
        name="a-glide-shows-the-power-trim",
        idea="It glides well from the hand, so it is trimmed.",
        overturned="The soft stick glides like the good one. Wound up, it bows, and dives.",
        trials={
            "glide": Trial(power=0.0),
            "soft glide": Trial(power=0.0, ill=_SOFT),
            "power": Trial(power=HIGH),
            "soft power": Trial(power=HIGH, ill=_SOFT),
        },
        holds=lambda s: (
            0.85 < _share(s, "soft glide", "glide") < 1.15
            and _share(s, "soft power", "power") < 0.5
        ),
        detect=_only_low_power,
    ),
    Misunderstanding(
        name="straight-is-best",
        idea="A straight flight is the best flight.",
        overturned="In a hall the wide one meets the walls, and the circle does not.",
        trials={
            "circle": Trial(size_m=(SMALL_HALL_M, SMALL_HALL_M, TALL_M), east_m=4.0),
            "wide": Trial(
                size_m=(SMALL_HALL_M, SMALL_HALL_M, TALL_M), east_m=4.0, changes={"fin_deg": -4.0}
            ),
        },
        holds=lambda s: (
            s["wide"]["hits"] > s["circle"]["hits"] and _share(s, "wide", "circle") < 0.9
        ),
    ),
    Misunderstanding(
        name="half-the-turns-half-the-flight",
        idea="Half the turns, half the flight.",
        overturned="Half the turns do not even hold the height: the flight is far shorter than "
        "half. What counts is the torque over that of level flight.",
        trials={"all": Trial(), "half": Trial(share=0.5)},
        holds=lambda s: _share(s, "half", "all") < 0.35,
    ),
    Misunderstanding(
        name="lighter-is-always-better",
        idea="Lighter is always better, so I sand the stick thin.",
        overturned="Half a gram is saved, but the limp stick bows as it is wound: it dives.",
        trials={
            "stiff": Trial(power=HIGH),
            "limp": Trial(power=HIGH, ill=_SOFT, build={("wing", "mass_g"): -0.5}),
        },
        holds=lambda s: _share(s, "limp", "stiff") < 0.5,
    ),
    Misunderstanding(
        name="torque-rolls-it-with-the-propeller",
        idea="The propeller turns to the right, so the torque rolls it to the right.",
        overturned="More torque, more bank to the left: the propeller pushes the body the other "
        "way. Hold the propeller and let the body go.",
        trials={
            "low": Trial(power=LOW, changes={"side_thrust_deg": -1.7}),
            "high": Trial(power=HIGH, changes={"side_thrust_deg": -1.7}),
        },
        holds=lambda s: _more(s, "early_bank_deg", "high", "low") > 5,
        detect=_expected("turns", 1, "circles right"),
    ),
    Misunderstanding(
        name="slow-is-about-to-fall",
        idea="It flies so slowly, it is about to fall. It wants more speed.",
        overturned="Less shim makes it faster, and it is down sooner: slow and smooth is long.",
        trials={"slow": Trial(), "fast": Trial(changes={"shim_mm": -0.3})},
        holds=lambda s: (
            _more(s, "speed_m_s", "fast", "slow") > 0.2 and _share(s, "fast", "slow") < 0.8
        ),
        detect=_expected("shim_mm", -1, "longer"),
    ),
    Misunderstanding(
        name="the-low-wing-is-heavy",
        idea="The left wing drops, so it is too heavy.",
        overturned="Not a gram was moved, the panel is only twisted, and it rolls left. Hang it "
        "by the middle: it balances level.",
        trials={"high": Trial(power=HIGH), "warped": Trial(power=HIGH, ill=_WARP)},
        holds=lambda s: _more(s, "early_bank_deg", "warped", "high") > 3,
        reading="mass_g",
        measured=lambda aeroplane: (
            READINGS["mass_g"].of(Trial(ill=_WARP).job(aeroplane))
            == READINGS["mass_g"].of(Trial().job(aeroplane))
        ),
    ),
    Misunderstanding(
        name="always-fly-to-the-ceiling",
        idea="It must touch the ceiling, then you know that you have used the hall.",
        overturned="Touches cost seconds: the same turns in a taller hall fly longer.",
        trials={
            "touches": Trial(power=HIGH, size_m=(WIDE_M, WIDE_M, LOW_CEILING_M)),
            "free": Trial(power=HIGH),
        },
        holds=lambda s: s["touches"]["hits"] >= 1 and _time(s, "free") - _time(s, "touches") > 5,
        detect=_always_more,
    ),
    Misunderstanding(
        name="the-first-answer-is-the-fault",
        idea="It dives: too little decalage, of course.",
        overturned="A wing too far back dives as well. One flight does not tell them apart; the "
        "balance point does, in two minutes.",
        trials=_TWO_DIVES,
        holds=lambda s: all(_time(s, name) < 12 and s[name]["early_nose_deg"] < 0 for name in s),
        reading="balance_point_mm",
        measured=_balance_splits,
        detect=_first_answer,
    ),
    Misunderstanding(
        name="turns-tell-the-power",
        idea="The same turns are the same power, whatever the weather.",
        overturned="Cold rubber pulls less at the same turns: lower and shorter. Compare flights "
        "by launch torque.",
        trials={"warm": Trial(), "cold": Trial(ill={"cold-hall": 14.0})},
        holds=lambda s: (
            _share(s, "cold", "warm") < 0.92 and _more(s, "peak_height_m", "cold", "warm") < -0.5
        ),
    ),
)
IDEAS: Mapping[str, Misunderstanding] = MappingProxyType({one.name: one for one in _ALL})


def found(log: Log) -> dict[str, Evidence]:
    """Look for every idea in a log.

    Parameters
    ----------
    log : Log
        The log, whole [-].

    Returns
    -------
    dict of str to Evidence
        By the name of each idea that the log shows, in the order of the catalogue [-].
    """
    shown = ((one.name, one.detect(log)) for one in _ALL)
    return {name: evidence for name, evidence in shown if evidence is not None}
