"""A hall in which aeroplanes with a hidden fault really fly, for people who only see the log.

Each case is a generated aeroplane, from seeds that the library was not built with: a plan, small
errors of building that nobody measured, one hidden fault or none, drawn as often as the library
believes it is met. Looks, measurements and observers have the fixed reliabilities of
`trimkit.diagnosis.readings` and `trimkit.observe`.

In the other world physics and eyes are not those that the library assumed: the section's camber,
the blades' lift slope and drag, and the rubber's strength are each off by 10 to 20 %, either way,
and every observer's error is doubled. Plan and library know nothing of it.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from trimkit import faults, fleet, observe, settings
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import causes, deviations, readings, samples
from trimkit.diagnosis.deviations import Design
from trimkit.faults import CATALOGUE
from trimkit.flight import Job
from trimkit.log import Entry, Log, Result
from trimkit.settings import Change

FLEET_SEED = 2026  # the library draws its fleet from seed 1
DAY = "2026-03-14"
LEAST_OFF, MOST_OFF = 0.10, 0.20
DOUBLED = 2.0
MIDDLE, LOW = 2.0, 1.25  # torque over level torque
GOOD_SEEDS = 2
MANY = 1000  # no case has so many entries


@dataclass(frozen=True)
class Case:
    """One aeroplane with what is wrong with it."""

    number: int
    plan: Design
    truth: str
    size: float
    perturbed: bool

    @functools.cached_property
    def built(self) -> Aeroplane:
        made = samples.scattered(self.plan.aeroplane, [self.number, 1])
        return _off(made, np.random.default_rng([self.number, 2])) if self.perturbed else made

    def turns(self, ratio: float) -> float:
        return samples.wound(self.plan, ratio)

    def job(self, changes: Mapping[str, float], turns: float, count: int) -> Job:
        """The flight as it really is; a ValueError says that it cannot be."""
        seed = int(np.random.default_rng([self.number, 3, count]).integers(2**31))
        job = replace(self.plan.job(turns, seed, scatter=1.0), aeroplane=self.built)
        if self.truth != causes.NOTHING:
            job = faults.afflict(job, self.truth, self.size)
        return replace(job, aeroplane=settings.changed(job.aeroplane, Change(changes)))

    def seen(self, flight: Any, count: int) -> Result:
        """What an observer writes down."""
        chance = np.random.default_rng([self.number, 4, count])
        worse = DOUBLED if self.perturbed else 1.0
        return Result(features=observe.misread(observe.watch(flight).values, chance, worse))

    def result(self, log: Log, entry: Entry) -> Result:
        """What comes of an entry at the end of a log."""
        state = Log((*log.entries, entry)).in_force(entry.number)
        if entry.action == "look":  # a second look at a place sees what the first one saw
            place = sorted(faults.PLACES).index(entry.what)
            luck = np.random.default_rng([self.number, 5, place])
            return readings.looked(readings.sight(entry.what, [self.truth], luck))
        turns = state.turns if state.turns is not None else self.turns(MIDDLE)
        job = self.job(state.changes, turns, entry.number)
        if entry.action == "measure":
            value = readings.READINGS[entry.what].read(job, self.number * MANY + entry.number)
            return Result(readings={entry.what: value})
        return self.seen(job.fly(), entry.number)

    def tried(self, log: Log, action: str, what: str = "", **given: Any) -> Log:
        """The log with one more action and what came of it."""
        entry = Entry(number=log.next_number, action=action, what=what, date=DAY, **given)  # type: ignore[arg-type]
        return Log((*log.entries, replace(entry, result=self.result(log, entry))))

    def good_s(self) -> float:
        """How long it flies with nothing wrong: the mean of two flights."""
        well = replace(self, truth=causes.NOTHING, size=0.0)
        times = [
            well.job({}, self.turns(MIDDLE), 900 + n).fly().duration_s for n in range(GOOD_SEEDS)
        ]
        return float(np.mean(times))


def _off(made: Aeroplane, chance: np.random.Generator) -> Aeroplane:
    """Section, blades and rubber off by 10 to 20 %, each either way."""

    def factor() -> float:
        return 1 + float(chance.choice([-1, 1]) * chance.uniform(LEAST_OFF, MOST_OFF))

    wing, now = made.build.wing, made.setting
    camber = min(wing.camber_percent * factor(), 8.0)
    blades = replace(
        now.propeller,
        lift_slope_per_rad=min(now.propeller.lift_slope_per_rad * factor(), 6.3),
        least_drag=now.propeller.least_drag * factor(),
    )
    rubber = replace(
        now.motor, batch_strength=min(max(now.motor.batch_strength * factor(), 0.8), 1.2)
    )
    return replace(
        made,
        build=replace(made.build, wing=replace(wing, camber_percent=camber)),
        setting=replace(now, propeller=blades, motor=rubber),
    )


def drawn(number: int, plans: tuple[Design, ...], perturbed: bool = False) -> Case:
    """Case of a number: its aeroplane, and a fault that it can have."""
    plan = plans[number % len(plans)]
    shares = causes.OWNERS @ causes.prior()
    for attempt in range(20):
        chance = np.random.default_rng([number, 6, attempt])
        name = str(chance.choice(causes.NAMES, p=shares / shares.sum()))
        known = CATALOGUE.get(name)
        size = 0.0 if known is None else float(chance.uniform(known.low, known.high))
        case = Case(number, plan, name, size, perturbed)
        try:
            case.job({}, case.turns(MIDDLE), 0)
        except ValueError:  # this aeroplane cannot have this fault
            continue
        return case
    raise ValueError(f"case {number}: no fault was found that {plan.aeroplane.name} can have")


def plans(count: int, executor: Any = None) -> tuple[Design, ...]:
    """Generated aeroplanes that the library has not seen."""
    made = fleet.draw_many(count, FLEET_SEED, executor=executor)
    return tuple(deviations.design(one) for one in made.aeroplanes)
