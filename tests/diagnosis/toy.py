"""A small reference for tests: nine causes, five features, everything exact and fast.

What is seen of a flight is linear in what is wrong, plus a bell of fixed width; every fault has
the same effect always. It is a stand-in for the stored library with the same doors, not physics.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis.bayes import expected_information_bits, log_update
from trimkit.faults import CATALOGUE
from trimkit.flight.canon import demo_aeroplanes
from trimkit.log import Entry, Log, Result
from trimkit.settings import SETTINGS, Change

TRAINER = demo_aeroplanes()[0]
TURNS = 1157.0
POWERS = (750.0, 1157.0, 1326.0)
NOTHING = "nothing"
# nose, roll, shaking, power: what each cause does, 1 for plainly seen
EFFECTS: Mapping[str, tuple[float, float, float, float]] = {
    NOTHING: (0.0, 0.0, 0.0, 0.0),
    "too-little-decalage": (-1.6, 0.0, 0.0, 0.0),
    "wing-too-far-back": (-1.3, 0.0, 0.0, 0.1),
    "too-much-decalage": (1.6, 0.0, 0.0, 0.0),
    "left-panel-washed-out": (-0.1, 1.5, 0.0, 0.0),
    "fin-bent-left": (-0.2, 1.3, 0.0, 0.0),
    "loose-tail": (0.1, 0.2, 1.5, 0.2),
    "tired-motor": (0.0, 0.0, 0.0, 1.2),
    "under-wound": (0.0, 0.0, 0.0, 1.2),
}
NAMES = tuple(EFFECTS)
MOVES: Mapping[str, tuple[float, float, float, float]] = {  # for one unit of the setting
    "shim_mm": (1.3, 0.0, 0.0, 0.0),
    "wing_station_mm": (-0.13, 0.0, 0.0, 0.01),
    "fin_deg": (-0.05, 0.7, 0.0, 0.0),
    "left_wash_in_deg": (0.05, -0.6, 0.0, 0.0),
    "down_thrust_deg": (-0.3, 0.0, 0.0, 0.0),
}
SPREAD = np.array([0.35, 11.0, 13.0, 4.5, 80.0])  # so wide that one flight seldom decides
FOUND, FALSE_ALARM = 0.8, 0.05
SAME_CLASS = frozenset({"tired-motor", "under-wound"})
FLY_MINUTES, LOOK_MINUTES = 6.0, 2.0
DRAWS = np.random.default_rng(5).standard_normal((40, 5))


@dataclass(frozen=True)
class ToyBelief:
    probabilities: Mapping[str, float]

    def classes(self) -> tuple[frozenset[str], ...]:
        alone = (frozenset({name}) for name in NAMES if name not in SAME_CLASS)
        return (*alone, SAME_CLASS)


@dataclass(frozen=True)
class ToyStep:
    action: str
    what: str
    changes: Change
    turns: float | None
    minutes: float
    bits: float


def mean(fault: str, changes: Mapping[str, float], repairs: tuple[str, ...], turns: float):
    """Expected log duration, nose, bank, swing and turns left."""
    ill = np.array(EFFECTS[NOTHING if fault in repairs else fault])
    for name, amount in changes.items():
        ill = ill + amount * np.array(MOVES.get(name, (0, 0, 0, 0)))
    nose, roll, shaking, power = ill
    much = turns / TURNS
    loss = 0.9 * abs(nose) + 0.6 * much * abs(roll) + 0.4 * shaking + 0.4 * abs(power)
    long = math.log(90.0) + 1.3 * math.log(much) - min(loss, 3.0)
    swing = 2.0 + 6.0 * max(nose, 0.0) + 5.0 * shaking
    left = 200.0 + 60.0 * power + 100.0 * min(loss, 3.0)
    return np.array([long, 14.0 * nose, 18.0 * much * roll, swing, left])


def features(row) -> dict[str, float]:
    """As a flight of a log has them."""
    long, nose, bank, swing, left = (float(one) for one in row)
    end = math.exp(long)
    return {
        "duration_s": end,
        "early_nose_deg": nose,
        "early_bank_deg": bank,
        "swing_deg": max(swing, 0.0),
        "turns_left": max(left, 0.0),
        "lowest_nose_deg": nose - max(swing, 0.0),
        "highest_nose_deg": nose + max(swing, 0.0),
        "start_climb_m_s": 0.3 + 0.05 * nose / 2,
        "first_drop_s": 3.0 if nose > 10 else end,
        "early_turn_deg_s": 15.0 + bank,
    }


def row(seen: Mapping[str, float]):
    end = max(seen["duration_s"], 0.1)
    rest = ("early_nose_deg", "early_bank_deg", "swing_deg", "turns_left")
    return np.array([math.log(end), *(seen[name] for name in rest)])


@dataclass(frozen=True)
class Toy:
    """The reference, and a hall for synthetic pupils."""

    aeroplane: Aeroplane = TRAINER
    turns: float = TURNS

    @cached_property
    def prior(self):
        often = np.array([0.5, *(CATALOGUE[name].often for name in NAMES[1:])])
        return often / often.sum()

    def faults(self) -> tuple[str, ...]:
        return NAMES[1:]

    def _setup(self, log: Log, entry: Entry):
        state = Log((*log.entries, entry)).in_force(entry.number)
        return state.changes, state.repairs, state.turns or self.turns

    def weights(self, log: Log):
        logs = np.zeros(len(NAMES))
        for entry in log.entries:
            changes, repairs, turns = self._setup(Log(log.entries[: entry.number - 1]), entry)
            for place, name in enumerate(NAMES):
                if entry.is_flight and entry.result.features:
                    apart = row(entry.result.features) - mean(name, changes, repairs, turns)
                    logs[place] -= min(float(np.sum((apart / SPREAD) ** 2)) / 2, 30.0)
                if entry.action == "look":
                    p = self._finds(name, entry.what, repairs)
                    found = entry.result.readings.get("found", 0.0) > 0.5
                    logs[place] += math.log(p if found else 1 - p)
        return log_update(self.prior, logs)

    @staticmethod
    def _finds(name: str, place: str, repairs: tuple[str, ...]) -> float:
        there = name != NOTHING and name not in repairs and CATALOGUE[name].place == place
        return FOUND if there else FALSE_ALARM

    def posterior(self, log: Log, aeroplane: Aeroplane) -> ToyBelief:
        return ToyBelief(dict(zip(NAMES, self.weights(log).tolist(), strict=True)))

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> tuple[ToyStep, ...]:
        weights = self.weights(log)
        last = log.entries[-1].number if log.entries else 0
        state = log.in_force(last) if last else None
        changes = dict(state.changes) if state else {}
        repairs = state.repairs if state else ()
        turns = (state.turns if state else None) or self.turns
        found = [self._look(place, weights, repairs) for place in PLACES]
        for power in POWERS:
            action = "fly" if power == turns or not log.flights else "change"
            bits = self._flight_bits(weights, changes, repairs, power)
            found.append(ToyStep(action, "", Change(), power, FLY_MINUTES, bits))
        for name in MOVES:
            for amount in (SETTINGS[name].step, -SETTINGS[name].step):
                moved = {**changes, name: changes.get(name, 0.0) + amount}
                bits = self._flight_bits(weights, moved, repairs, turns)
                cost = FLY_MINUTES + SETTINGS[name].minutes
                found.append(ToyStep("change", "", Change({name: amount}), turns, cost, bits))
        return tuple(sorted(found, key=lambda step: -round(step.bits / step.minutes, 6)))

    def _look(self, place: str, weights, repairs: tuple[str, ...]) -> ToyStep:
        p = np.array([self._finds(name, place, repairs) for name in NAMES])
        bits = expected_information_bits(weights, np.stack([p, 1 - p], axis=1))
        return ToyStep("look", place, Change(), None, LOOK_MINUTES, bits)

    @staticmethod
    def _flight_bits(weights, changes, repairs, turns) -> float:
        """Fixed draws under each cause that is still believed in."""
        means = np.array([mean(name, changes, repairs, turns) for name in NAMES]) / SPREAD
        told = 0.0
        for place, weight in enumerate(weights):
            if weight > 1e-3:
                apart = means[place] + DRAWS[:, None, :] - means
                logs = -np.minimum(np.sum(apart**2, axis=2) / 2, 30.0)
                whole = np.log(np.exp(logs) @ weights)
                told += weight * float(np.mean(logs[:, place] - whole))
        return max(told, 0.0) / math.log(2)

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        changes, repairs, turns = self._setup(log, entry)
        if entry.action == "look":
            there = self._finds(fault, entry.what, repairs) > 0.5
            return Result(readings={"found": float(there)})
        return Result(features(mean(fault, changes, repairs, turns)))

    def result(self, log: Log, entry: Entry, truth: str, seed: int) -> Result:
        chance = np.random.default_rng([seed, 92, entry.number])
        changes, repairs, turns = self._setup(log, entry)
        if entry.action == "look":
            found = chance.random() < self._finds(truth, entry.what, repairs)
            return Result(readings={"found": float(found)})
        drawn = mean(truth, changes, repairs, turns) + SPREAD * chance.standard_normal(5)
        return Result(features(drawn))


PLACES = ("tail", "wing", "fin", "stick", "propeller", "motor")
