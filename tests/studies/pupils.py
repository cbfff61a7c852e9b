"""Synthetic pupils: seven ways to look for a fault, and a hall in which they do it.

Their ways were written before the weights of the marks, and the weights have not moved since.
Three things were touched after the first marks were seen: the serial checker no longer stops with
an error where a place holds no fault of the hall, and skips what he repaired; the small hall's
spread was widened about three times, for one flight nearly decided every case; and a first flight
is never called a change. The bounds in `test_pupils_study.py` were set with the figures in sight.

They see what a pupil sees, the log. The expert also asks the reference for the next step, so his
path is good by construction; the confounder reads his own log well. What the marks say about them
is validity evidence from synthetic pupils only, until real classes have used the marks.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.faults import CATALOGUE, PLACES
from trimkit.log import CANNOT_TELL, CERTAINTY, FLIGHTS, Entry, Log, Result

DAY = "2026-03-14"
MOST_ACTIONS = 14
SURE = 0.75  # the expert repairs from here
LOOK_MINUTES, FLY_MINUTES, REPAIR_MINUTES = 2.0, 6.0, 4.0
WORST_GAIN = 1.25  # a swapper stops when a flight is so much longer than the first


class Hall(Protocol):
    """Where a case is worked on: the reference, and what comes of an action."""

    aeroplane: Aeroplane
    turns: float

    def posterior(self, log: Log, aeroplane: Aeroplane) -> Any: ...

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> Any: ...

    def faults(self) -> tuple[str, ...]: ...

    def result(self, log: Log, entry: Entry, truth: str, seed: int) -> Result: ...


@dataclass(frozen=True)
class Scene:
    """What a pupil has before him when he chooses."""

    hall: Hall
    log: Log
    chance: np.random.Generator
    turns: float

    def belief(self) -> dict[str, float]:
        """Likeliest first."""
        found = self.hall.posterior(self.log, self.hall.aeroplane).probabilities
        return dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))

    def repaired(self) -> tuple[str, ...]:
        return tuple(entry.what for entry in self.log.entries if entry.action == "repair")

    def looked(self) -> tuple[str, ...]:
        return tuple(entry.what for entry in self.log.entries if entry.action == "look")

    def durations(self) -> list[float]:
        return [flight.result.features["duration_s"] for flight in self.log.flights]

    def faults_by_often(self) -> list[str]:
        names = [name for name in self.hall.faults() if name in CATALOGUE]
        return sorted(names, key=lambda name: (-CATALOGUE[name].often, name))

    def could_be_repaired(self) -> list[str]:
        return [name for name in self.faults_by_often() if name not in self.repaired()]


@dataclass(frozen=True)
class Move:
    """What a pupil does next."""

    action: str
    what: str = ""
    changes: Mapping[str, float] = field(default_factory=dict)
    turns: float | None = None
    hypothesis: str = ""
    prediction: str = ""
    certainty: str = ""
    minutes: float = 0.0

    def entry(self, scene: Scene) -> Entry:
        """As it will stand in the log, before its result is known."""
        turns = self.turns if self.turns is not None else scene.turns
        return Entry(
            number=scene.log.next_number,
            action=self.action,  # type: ignore[arg-type]
            what=self.what,
            hypothesis=self.hypothesis,
            prediction=self.prediction,
            certainty=self.certainty,
            changes=dict(self.changes),
            turns=turns if self.action in FLIGHTS else None,
            minutes=self.minutes,
            date=DAY,
        )


Policy = Callable[[Scene], Move]


def fly() -> Move:
    return Move("fly", minutes=FLY_MINUTES)


def repair(name: str, certainty: str) -> Move:
    minutes = REPAIR_MINUTES + FLY_MINUTES
    return Move("repair", name, {}, None, name, "longer", certainty, minutes)


def taken(scene: Scene, step: Any, hypothesis: str) -> Move:
    """A step of the reference's list; a first flight is no change, whatever its turns."""
    moved = dict(step.changes.amounts)
    first = step.action == "change" and not moved and not scene.log.flights
    action = "fly" if first else step.action
    return Move(action, step.what, moved, step.turns, hypothesis, minutes=step.minutes)


def word_for(p: float) -> str:
    """The word of certainty whose chance is nearest."""
    return min(CERTAINTY, key=lambda word: abs(CERTAINTY[word] - p))


def expert(scene: Scene) -> Move:
    """Take the reference's step until one fault stands out; repair, fly again, say it."""
    belief = scene.belief()
    best, p = next(iter(belief.items()))
    repaired, entries = scene.repaired(), scene.log.entries
    if repaired and best == repaired[-1]:
        if entries[-1].action == "repair":
            return Move(
                "fly",
                hypothesis=best,
                prediction="about the same",
                certainty="fairly sure",
                minutes=FLY_MINUTES,
            )
        return Move("say", best, certainty=word_for(p))
    if len(entries) >= MOST_ACTIONS - 3:
        return Move("say", best, certainty=word_for(p)) if p > 0.3 else Move("say", CANNOT_TELL)
    if p >= SURE:
        return (
            Move("say", best, certainty=word_for(p))
            if best not in CATALOGUE
            else repair(best, word_for(p))
        )
    step = scene.hall.next_steps(scene.log, scene.hall.aeroplane)[0]
    return taken(scene, step, best)


def serial(scene: Scene) -> Move:
    """Look at one place after the other; repair there what is commonest, and say it."""
    if not scene.log.entries:
        return fly()
    last = scene.log.entries[-1]
    if last.action == "repair":
        return Move("say", last.what, certainty="fairly sure")
    if last.action == "look" and last.result.readings.get("found", 0.0) > 0.5:
        here = [one for one in scene.could_be_repaired() if CATALOGUE[one].place == last.what]
        if here:
            return repair(here[0], "fairly sure")
    left = [place for place in PLACES if place not in scene.looked()]
    if not left or len(scene.log.entries) >= MOST_ACTIONS - 2:
        return Move("say", CANNOT_TELL)
    return Move("look", left[0], minutes=LOOK_MINUTES)


def random(scene: Scene) -> Move:
    """Six things that could be done, whichever; then any fault."""
    if len(scene.log.entries) >= 6:
        name = str(scene.chance.choice(scene.faults_by_often()))
        return Move("say", name, certainty=str(scene.chance.choice(list(CERTAINTY))))
    steps = scene.hall.next_steps(scene.log, scene.hall.aeroplane)
    step = steps[int(scene.chance.integers(len(steps)))]
    guess = str(scene.chance.choice(scene.faults_by_often()))
    told = {"prediction": str(scene.chance.choice(["longer", "about the same", "shorter"])),
            "certainty": str(scene.chance.choice(list(CERTAINTY)))}  # fmt: skip
    flies = step.action in FLIGHTS and scene.log.flights
    return dataclasses.replace(taken(scene, step, guess), **(told if flies else {}))


PAIRS = (
    {"shim_mm": 0.4, "wing_station_mm": -5.0},
    {"fin_deg": -0.5, "left_wash_in_deg": 0.5},
    {"shim_mm": -0.8, "down_thrust_deg": 0.5},
    {"wing_station_mm": 5.0, "fin_deg": 0.5},
)


def confounder(scene: Scene) -> Move:
    """Two settings at a time save time; then what the log says is likeliest, and no cure."""
    if not scene.log.entries:
        return fly()
    flown = len(scene.log.flights)
    best, p = next(iter(scene.belief().items()))
    if flown > len(PAIRS):
        return Move("say", best, certainty=word_for(p))
    return Move("change", "", PAIRS[flown - 1], None, best, "longer", "fairly sure",
                FLY_MINUTES + 4.0)  # fmt: skip


def swapper(scene: Scene) -> Move:
    """Repair one thing after the other, the commonest first, until a flight is longer."""
    if not scene.log.entries:
        return fly()
    durations, left = scene.durations(), scene.could_be_repaired()
    last = scene.log.entries[-1]
    longer = last.action == "repair" and durations[-1] > WORST_GAIN * durations[0]
    if longer or not left or len(durations) > 6:
        name = scene.repaired()[-1]
        return Move("say", name, certainty="would bet my motor")
    return repair(left[0], "fairly sure")


def guesser(scene: Scene) -> Move:
    """One flight, any fault, and sure of it."""
    if not scene.log.entries:
        return fly()
    name = str(scene.chance.choice(scene.faults_by_often()))
    return Move("say", name, certainty="would bet my motor")


def commonest(scene: Scene) -> Move:
    """One flight, the commonest fault, whatever was seen."""
    if not scene.log.entries:
        return fly()
    return Move("say", scene.faults_by_often()[0], certainty="would bet my motor")


POLICIES: Mapping[str, Policy] = {
    "expert": expert,
    "serial": serial,
    "random": random,
    "confounder": confounder,
    "swapper": swapper,
    "guesser": guesser,
    "commonest": commonest,
}


def worked(policy: Policy, hall: Hall, truth: str, seed: int) -> Log:
    """Let a pupil work on a case until he says what it is."""
    log, chance = Log(), np.random.default_rng([seed, 91])
    for _ in range(MOST_ACTIONS):
        turns = (log.flights[-1].turns or hall.turns) if log.flights else hall.turns
        move = policy(Scene(hall, log, chance, turns))
        entry = move.entry(Scene(hall, log, chance, turns))
        if entry.action != "say":
            entry = dataclasses.replace(entry, result=hall.result(log, entry, truth, seed))
        log = Log((*log.entries, entry))
        if entry.action == "say":
            return log
    unsaid = Entry(number=log.next_number, action="say", what=CANNOT_TELL, date=DAY)
    return Log((*log.entries, unsaid))
