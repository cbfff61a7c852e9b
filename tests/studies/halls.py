"""The hall of the stored library: the whole reference, and results that are drawn.

Nothing flies. A flight is drawn from what the library foretells for the hidden fault at a drawn
size: its scatter, of which a part is common to all flights of the case, and the observer's
errors.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import causes, readings, reference, response, steps
from trimkit.diagnosis.causes import Posterior, Setup
from trimkit.diagnosis.library import Library, fresh
from trimkit.diagnosis.response import FEATURES
from trimkit.diagnosis.steps import Step
from trimkit.faults import CATALOGUE
from trimkit.flight.canon import demo_aeroplanes
from trimkit.log import Entry, Log, Result
from trimkit.observe import NEVER_NEGATIVE


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
        return steps.ranked(self.posterior(log, aeroplane))

    def expected(self, log: Log, aeroplane: Aeroplane, entry: Entry, fault: str) -> Result:
        return reference.Stored(self.library).expected(log, aeroplane, entry, fault)

    def result(self, log: Log, entry: Entry, truth: str, seed: int) -> Result:
        known = self.posterior(log, self.aeroplane)
        state = Log((*log.entries, entry)).in_force(entry.number)
        turns = known.setup.turns if state.turns is None else state.turns
        setup = Setup(dict(state.changes), frozenset(state.repairs), turns)
        chance = np.random.default_rng([seed, 92, entry.number])
        if entry.action == "look":
            left = {truth} - setup.repairs
            return readings.looked(readings.sight(entry.what, left, chance))
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


def truth_for(seed: int) -> str:
    """A fault, as often as it is met; nothing once in ten."""
    chance = np.random.default_rng([seed, 90])
    weights = causes.OWNERS @ causes.prior()
    return str(chance.choice(causes.NAMES, p=weights / weights.sum()))
