"""The hall of the stored library: a reference with less on offer, and results that are drawn.

Nothing flies. A flight is drawn from what the library foretells for the hidden fault at a drawn
size: its scatter, of which a part is common to all flights of the case, and the observer's
errors. The steps on offer are looks, measurements and flights at three powers: single settings
are left out, for ranking them all at each of some thousand actions takes hours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import bayes, causes, reference, response, steps
from trimkit.diagnosis.causes import CAUSES, Posterior, Setup
from trimkit.diagnosis.library import Library, fresh
from trimkit.diagnosis.readings import FALSE_ALARM, FOUND, FOUND_READING, READINGS
from trimkit.diagnosis.response import FEATURES
from trimkit.diagnosis.steps import FLIGHT_MINUTES, LOOK_MINUTES, Step
from trimkit.faults import CATALOGUE, PLACES
from trimkit.flight.canon import demo_aeroplanes
from trimkit.log import Entry, Log, Result
from trimkit.observe import NEVER_NEGATIVE
from trimkit.settings import Change


@dataclass(frozen=True)
class LibraryHall:
    """A reference and a hall on the stored library."""

    library: Library = field(default_factory=fresh)
    aeroplane: Aeroplane = field(default_factory=lambda: demo_aeroplanes()[0])
    kept: dict[str, Posterior] = field(default_factory=dict, compare=False)

    @property
    def turns(self) -> float:
        return causes.posterior(Log(), self.aeroplane, self.library).setup.turns

    def faults(self) -> tuple[str, ...]:
        return tuple(CATALOGUE)

    def posterior(self, log: Log, aeroplane: Aeroplane) -> Posterior:
        key = repr(log.entries)
        if key not in self.kept:
            self.kept[key] = causes.posterior(log, self.aeroplane, self.library)
        return self.kept[key]

    def next_steps(self, log: Log, aeroplane: Aeroplane) -> Sequence[Step]:
        known = self.posterior(log, aeroplane)
        found = [*self._looks(known), *self._measurements(known), *self._flights(known)]
        return tuple(sorted(found, key=lambda step: -round(step.bits_per_minute, 6)))

    @staticmethod
    def _looks(known: Posterior) -> list[Step]:
        found = []
        for place in PLACES:
            chances = causes.look_chances(place, known.setup.repairs)
            bits = _bits(known.weights, np.stack([chances, 1 - chances], axis=1))
            found.append(Step("look", place, Change(), None, LOOK_MINUTES, bits))
        return found

    @staticmethod
    def _measurements(known: Posterior) -> list[Step]:
        found = []
        for name, reading in READINGS.items():
            expected, spread = causes.expected_readings(known.plan, known.setup, name)
            low, high = float((expected - 4 * spread).min()), float((expected + 4 * spread).max())
            middles = np.linspace(low, high, 60)
            rows = np.exp(-(((middles - expected[:, None]) / spread[:, None]) ** 2) / 2) + 1e-12
            bits = _bits(known.weights, rows / rows.sum(axis=1, keepdims=True))
            found.append(Step("measure", name, Change(), None, reading.minutes, bits))
        return found

    def _flights(self, known: Posterior) -> list[Step]:
        found = []
        turns = {round(known.plan.turns(ratio)) for ratio in causes.USUAL_RATIOS}
        for wound in sorted({*turns, round(known.setup.turns)}):
            setup = replace(known.setup, turns=float(wound))
            same = bool(known.flights) and setup.like(known.flights[-1])
            action = "fly" if same or not known.flights else "change"
            bits = steps.flight_bits(known, setup)
            found.append(Step(action, "", Change(), float(wound), FLIGHT_MINUTES, bits))
        return found

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        return reference.Stored(self.library).expected(log, aeroplane, entry, fault)

    def result(self, log: Log, entry: Entry, truth: str, seed: int) -> Result:
        known = self.posterior(log, self.aeroplane)
        state = Log((*log.entries, entry)).in_force(entry.number)
        turns = known.setup.turns if state.turns is None else state.turns
        setup = Setup(dict(state.changes), frozenset(state.repairs), turns)
        chance = np.random.default_rng([seed, 92, entry.number])
        if entry.action == "look":
            there = truth in CATALOGUE and CATALOGUE[truth].place == entry.what
            p = FOUND if there and truth not in setup.repairs else FALSE_ALARM
            return Result(readings={FOUND_READING: float(chance.random() < p)})
        rows = causes.rows_of(truth)
        row = int(rows[np.random.default_rng([seed, 93]).integers(len(rows))])
        if entry.action == "measure":
            expected, spread = causes.expected_readings(known.plan, setup, entry.what)
            return Result(readings={entry.what: float(chance.normal(expected[row], spread[row]))})
        return Result(self._drawn(known, setup, row, seed, chance))

    def _drawn(self, known: Posterior, setup: Setup, row: int, seed: int, chance: Any) -> Any:
        fitted = self.library.response
        ahead = causes.outlook(fitted, known.plan, [setup], np.array([row]))
        common = np.random.default_rng([seed, 94]).standard_normal(len(FEATURES))
        own = chance.standard_normal(len(FEATURES))
        part = fitted.shared_other
        scatter = ahead.roots[0, 0] @ (np.sqrt(part) * common + np.sqrt(1 - part) * own)
        noise = response.expected_errors(ahead.mean[0, 0]) * chance.standard_normal(len(FEATURES))
        seen = reference.features(ahead.mean[0, 0] + scatter + noise, setup.turns)
        return {
            name: max(value, 0.0) if name in NEVER_NEGATIVE else value
            for name, value in seen.items()
        }


def _bits(weights: Any, rows: Any) -> float:
    """What outcomes tell about which fault it is."""
    faults, found = [], []
    for name in causes.NAMES:
        own = causes.rows_of(name)
        total = float(weights[own].sum())
        share = weights[own] / total if total > 0 else np.full(len(own), 1 / len(own))
        faults.append(total)
        found.append(share @ rows[own])
    return bayes.expected_information_bits(np.array(faults) / sum(faults), found)


def truth_for(seed: int) -> str:
    """A fault, as often as it is met; nothing once in ten."""
    chance = np.random.default_rng([seed, 90])
    weights = np.bincount(
        [causes.NAMES.index(cause.fault) for cause in CAUSES], weights=causes.prior()
    )
    return str(chance.choice(causes.NAMES, p=weights / weights.sum()))
