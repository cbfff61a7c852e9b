"""What to do next: the looks, measurements and flights that teach most for their minutes.

`next_steps` weighs everything that can be done by the bits that it is expected to teach about
*which* fault it is, for each minute. A look has two outcomes and a measurement a bell for each
cause; a flight is drawn a hundred times from what is believed now, always with the same draws, and
what is already known of this aeroplane's own scatter is taken off, so an unchanged repeat is worth
little after one flight.

`advise` says which one setting to move. For every setting and amount it foretells the next flight
under every cause that is still believed in, and takes the change after which it is expected to be
nearest to the flight of the plan. It knows only the log, the plan and the library, never the truth.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from trimkit.aeroplane import Aeroplane, Setting
from trimkit.diagnosis import bayes, causes, response, samples
from trimkit.diagnosis.causes import Posterior, Setup
from trimkit.diagnosis.library import Library
from trimkit.diagnosis.readings import READINGS
from trimkit.diagnosis.response import FEATURES
from trimkit.faults import PLACES
from trimkit.log import Log
from trimkit.observe import NEVER_NEGATIVE
from trimkit.settings import SETTINGS, Change
from trimkit.units import Floats, quantities

Rows: TypeAlias = NDArray[np.intp]  # places in the list of causes

FLIGHT_MINUTES = 6.0  # winding, flying, fetching and writing down; common practice, no source
LOOK_MINUTES = 2.0  # one place; common practice, no source
DRAWS, DRAWS_SEED = 120, 46
LEAST_BELIEF = 0.002  # causes less likely than that are left out of what is drawn
GRID = 46  # steps of a measurement's outcomes
RATIOS = causes.USUAL_RATIOS
SAME_RATIO = 0.05  # turns that differ by less in torque are the same
WORTH_IT = 0.1  # a change has to come nearer to the plan's flight by that much; assumed
BAD = 9.0  # a feature three spreads off is bad; more than that is not much worse
TOLD = ("duration_s", "peak_height_m", "start_climb_m_s", "swing_deg", "middle_turn_deg_s")
LIKELY = 1.28  # so many deviations either way hold four flights in five


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that can be done next.

    Parameters
    ----------
    action : str
        As in a log: "look", "measure", "fly" or "change" [-].
    what : str
        The place to look at or the reading to take, "" for a flight [-].
    changes : Change
        Settings to move, empty when nothing is moved [in the unit of each].
    turns : float or None
        Turns of the flight, None when nothing is flown [turns].
    minutes : float
        What it costs [min].
    bits : float
        What it is expected to teach about which fault it is [bit].
    """

    action: str
    what: str
    changes: Change
    turns: float | None
    minutes: float
    bits: float

    @property
    def bits_per_minute(self) -> float:
        """What it teaches for its time [bit/min]."""
        return self.bits / self.minutes

    def words(self) -> str:
        """Say what to do, and what it is worth.

        Returns
        -------
        str
            One sentence [-].
        """
        return f"{self._plain()} ({self.minutes:g} min, about {self.bits:.2f} bits)."

    def _plain(self) -> str:
        if self.action == "look":
            return f"Look at the {self.what}: {PLACES[self.what]}"
        if self.action == "measure":
            return f"Measure the {READINGS[self.what].title}"
        if self.changes.amounts:
            said = self.changes.words()
            return f"{said[0].upper()}{said[1:]}, then fly with {self.turns:.0f} turns"
        again = "Fly again, nothing changed," if self.action == "fly" else "Fly"
        return f"{again} with {self.turns:.0f} turns"


def next_steps(log: Log, aeroplane: Aeroplane, stored: Library | None = None) -> tuple[Step, ...]:
    """Rank everything that can be done by what it teaches for each minute.

    Parameters
    ----------
    log : Log
        What was done and seen [-].
    aeroplane : Aeroplane
        As planned, or as measured when the log began [-].
    stored : Library or None
        The library; None for that of the package, which must be fresh [-].

    Returns
    -------
    tuple of Step
        The best first; ties in a fixed order [-].
    """
    return ranked(causes.posterior(log, aeroplane, stored))


def ranked(known: Posterior) -> tuple[Step, ...]:
    """Rank everything that can be done, from what is believed.

    Parameters
    ----------
    known : Posterior
        What is believed [-].

    Returns
    -------
    tuple of Step
        The best first; ties in a fixed order [-].
    """
    steps = [*looks(known), *measurements(known), *flights(known)]
    return tuple(sorted(steps, key=lambda step: -round(step.bits_per_minute, 6)))


def looks(known: Posterior) -> Iterator[Step]:
    """Weigh a look at each place.

    Parameters
    ----------
    known : Posterior
        What is believed [-].

    Yields
    ------
    Step
        One for each place [-].
    """
    for place in PLACES:
        rows = causes.look_chances(place, known.setup.repairs)
        bits = 0.0 if place in known.looked else _bits(known.weights, rows)
        yield Step("look", place, Change(), None, LOOK_MINUTES, bits)


def measurements(known: Posterior) -> Iterator[Step]:
    """Weigh each measurement.

    Parameters
    ----------
    known : Posterior
        What is believed [-].

    Yields
    ------
    Step
        One for each reading [-].
    """
    for name, reading in READINGS.items():
        expected, spread = causes.expected_readings(known.plan, known.setup, name)
        rows = _bells(expected, spread, known.weights)
        bits = _bits(known.weights, rows)
        yield Step("measure", name, Change(), None, reading.minutes, bits)


def _bells(expected: Floats, spread: Floats, weights: Floats) -> Floats:
    """Chances of a measurement's outcomes, in steps over where they fall."""
    believed = weights > LEAST_BELIEF / 10
    width = float(spread[believed].max())
    edges = np.linspace(
        expected[believed].min() - 4 * width, expected[believed].max() + 4 * width, GRID
    )
    middles = (edges[1:] + edges[:-1]) / 2
    logs = -(((middles - expected[:, None]) / spread[:, None]) ** 2) / 2
    rows = np.exp(logs - logs.max(axis=1, keepdims=True))
    return np.asarray(rows / rows.sum(axis=1, keepdims=True))


def _bits(weights: Floats, rows: Floats) -> float:
    """What outcomes teach about the fault, whatever its size."""
    faults = causes.OWNERS @ weights
    even = causes.OWNERS / causes.OWNERS.sum(axis=1, keepdims=True)
    share = np.where(faults[:, None] > 0, causes.OWNERS * weights, even)
    found = share @ rows
    found = found / found.sum(axis=1, keepdims=True)
    return bayes.expected_information_bits(faults / faults.sum(), found)


def flights(known: Posterior) -> Iterator[Step]:
    """Weigh flights: the same again, at other turns, with one setting moved.

    Parameters
    ----------
    known : Posterior
        What is believed [-].

    Yields
    ------
    Step
        One for each flight [-].
    """
    rows = np.flatnonzero(known.weights > LEAST_BELIEF)
    given = _Given.of(known, rows) if rows.size > 1 else None
    for setup, changes, minutes in _choices(known):
        action = "fly" if known.flights and setup.like(known.flights[-1]) else "change"
        bits = _flight_bits(known, setup, given) if given else 0.0
        yield Step(action, "", changes, setup.turns, minutes, bits)


def _choices(known: Posterior) -> Iterator[tuple[Setup, Change, float]]:
    """Flights at three powers, the last one again, and each setting both ways."""
    plan, now = known.plan, known.setup
    yield now, Change(), FLIGHT_MINUTES
    for ratio in RATIOS:
        if abs(plan.torque_ratio(now.turns) / ratio - 1) > SAME_RATIO:
            yield replace(now, turns=samples.wound(plan, ratio)), Change(), FLIGHT_MINUTES
    for name, setting in SETTINGS.items():
        for amount in (setting.usual, setting.step, -setting.step, -setting.usual):
            if name != "turns" and _allowed(known, name, amount):
                setup = _moved(now, name, amount)
                yield setup, Change({name: amount}), FLIGHT_MINUTES + setting.minutes


def _moved(now: Setup, name: str, amount: float) -> Setup:
    total = {**now.changes, name: now.changes.get(name, 0.0) + amount}
    return replace(now, changes={one: value for one, value in total.items() if abs(value) > 1e-9})


def _allowed(known: Posterior, name: str, amount: float) -> bool:
    limit = quantities(Setting)[name]
    start = float(getattr(known.plan.aeroplane.setting, name))
    return limit.low <= start + known.setup.changes.get(name, 0.0) + amount <= limit.high


def flight_bits(known: Posterior, setup: Setup) -> float:
    """Say what a flight is expected to teach about which fault it is.

    Parameters
    ----------
    known : Posterior
        What is believed [-].
    setup : Setup
        How the flight would be flown [-].

    Returns
    -------
    float
        Expected fall of the entropy over the faults, never below 0 [bit].
    """
    rows = np.flatnonzero(known.weights > LEAST_BELIEF)
    return _flight_bits(known, setup, _Given.of(known, rows)) if rows.size > 1 else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class _Given:
    """What the flights so far say about the next one, for each believed cause.

    Parameters
    ----------
    rows : numpy.ndarray
        Rows of `CAUSES` [-].
    inverse : numpy.ndarray
        Of the root of the covariance of what was seen (causes, seen, seen) [-].
    white : numpy.ndarray
        Misses of what was seen, whitened (causes, seen) [-].
    """

    rows: Rows
    inverse: Floats
    white: Floats

    @classmethod
    def of(cls, known: Posterior, rows: Rows) -> _Given:
        """Work out what does not depend on the next flight."""
        there = _seen(known)
        if not there.size:
            return cls(rows, np.zeros((rows.size, 0, 0)), np.zeros((rows.size, 0)))
        ahead = causes.outlook(known.fitted, known.plan, known.flights, rows)
        whole = ahead.covariances(there)
        whole[:, range(there.size), range(there.size)] += known.errors.ravel()[there] ** 2
        inverse = np.linalg.inv(np.linalg.cholesky(whole))
        apart = (known.seen - ahead.mean).reshape(rows.size, -1)[:, there]
        return cls(rows, inverse, np.einsum("cij,cj->ci", inverse, apart))


def _seen(known: Posterior) -> Rows:
    return np.flatnonzero(np.isfinite(known.seen.ravel()))


def _flight_bits(known: Posterior, setup: Setup, given: _Given) -> float:
    weights = known.weights[given.rows] / known.weights[given.rows].sum()
    mean, roots = _after(known, setup, given)
    seen, drawn = _draws(weights, mean, roots)
    joint = _logs(known, seen, mean, roots) + np.log(weights)[:, None]
    top = joint.max(axis=0)
    shares = np.exp(joint - top)
    owners = causes.OWNERS[:, given.rows]
    mine = owners.argmax(axis=0)[drawn]
    own = (owners @ shares)[mine, np.arange(drawn.size)]
    before = (owners @ weights)[mine]
    return max(0.0, float(np.mean(np.log(own / shares.sum(axis=0) / before))) / math.log(2))


def _after(known: Posterior, setup: Setup, given: _Given) -> tuple[Floats, Floats]:
    """Mean and root of the covariance of a further flight, given the flights so far."""
    every = (*known.flights, setup)
    ahead = causes.outlook(known.fitted, known.plan, every, given.rows)
    whole = ahead.covariances()
    new = slice(whole.shape[1] - len(FEATURES), None)
    tied = given.inverse @ whole[:, _seen(known), new]
    mean = ahead.mean[:, -1] + np.einsum("cij,ci->cj", tied, given.white)
    covariance = whole[:, new, new] - tied.transpose(0, 2, 1) @ tied
    places = range(len(FEATURES))
    covariance[:, places, places] += response.expected_errors(ahead.mean[:, -1]) ** 2
    return mean, np.asarray(np.linalg.cholesky(covariance))


@functools.cache
def _chances() -> tuple[Floats, Floats]:
    """Standard draws, each with its opposite, and the places in the list of causes."""
    chance = np.random.default_rng(DRAWS_SEED)
    half = chance.standard_normal((DRAWS // 2, len(FEATURES)))
    places = (np.arange(DRAWS) + 0.5) / DRAWS
    return np.concatenate([half, -half]), chance.permutation(places)


def _draws(weights: Floats, mean: Floats, roots: Floats) -> tuple[Floats, Floats]:
    """Flights drawn from what is believed, each cause as often as it is likely."""
    normal, places = _chances()
    drawn = np.minimum(np.searchsorted(np.cumsum(weights), places), len(weights) - 1)
    return mean[drawn] + np.einsum("iab,ib->ia", roots[drawn], normal), drawn


def _logs(known: Posterior, seen: Floats, mean: Floats, roots: Floats) -> Floats:
    """How well each cause explains each drawn flight (causes, draws)."""
    inverse = np.linalg.inv(roots)
    apart = (seen - mean[:, None, :]) @ inverse.transpose(0, 2, 1)
    spread = 2 * np.sum(np.log(np.diagonal(roots, axis1=1, axis2=2)), axis=1)
    square = np.sum(apart**2, axis=2)
    logs = response.log_density(square, spread[:, None], mean.shape[1], known.fitted.tail)
    return np.asarray(known.fitted.temper * logs)


@dataclass(frozen=True, slots=True)
class Expected:
    """What a feature of the next flight should be.

    Parameters
    ----------
    name : str
        A name of `observe.NAMES` [-].
    value, low, high : float
        The middle, and the ends between which four flights in five should lie [in its unit].
    """

    name: str
    value: float
    low: float
    high: float

    def words(self) -> str:
        """Say it in plain words.

        Returns
        -------
        str
            The middle and both ends [-].
        """
        digits = 2 if self.name.endswith("m_s") else 0
        ends = f"{self.low:.{digits}f} to {self.high:.{digits}f}"
        return f"{causes.feature_words(self.name, self.value)} (likely {ends})"


@dataclass(frozen=True, slots=True)
class Advice:
    """Which one setting to move, and what should come of it.

    Parameters
    ----------
    setting : str
        Name of the setting, "" when nothing is better than what is set [-].
    amount : float
        How much, up or down [in the setting's unit].
    uncertainty : float
        Standard deviation of that amount over what may be wrong [in the setting's unit].
    nearer : float
        Part of the distance to the plan's flight that is expected to go [-].
    turns : float
        Turns of the next flight [turns].
    expected : tuple of Expected
        What the next flight should then show [-].
    """

    setting: str
    amount: float
    uncertainty: float
    nearer: float
    turns: float
    expected: tuple[Expected, ...]

    def words(self) -> str:
        """Say what to move, how sure that is, and what should come of it.

        Returns
        -------
        str
            A few sentences [-].
        """
        told = "; ".join(one.words() for one in self.expected)
        if not self.setting:
            return f"Change nothing yet: no one setting helps. The same again should give: {told}."
        known = SETTINGS[self.setting]
        said = Change({self.setting: self.amount}).words()
        sure = f"give or take {self.uncertainty:.2g} {known.unit}"
        return (
            f"{said[0].upper()}{said[1:]} ({sure}), and fly with {self.turns:.0f} turns. "
            f"That should give: {told}."
        )


def advise(log: Log, aeroplane: Aeroplane, stored: Library | None = None) -> Advice:
    """Say which one setting to move, which way and how much.

    Parameters
    ----------
    log : Log
        What was done and seen [-].
    aeroplane : Aeroplane
        As planned, or as measured when the log began [-].
    stored : Library or None
        The library; None for that of the package, which must be fresh [-].

    Returns
    -------
    Advice
        With what the next flight should then show [-].
    """
    return advice(causes.posterior(log, aeroplane, stored))


def advice(known: Posterior) -> Advice:
    """Say which one setting to move, from what is believed.

    Parameters
    ----------
    known : Posterior
        What is believed [-].

    Returns
    -------
    Advice
        With what the next flight should then show [-].
    """
    rows = np.flatnonzero(known.weights > LEAST_BELIEF)
    weights = known.weights[rows] / known.weights[rows].sum()
    aim = _aim(known)
    now = _loss(known, known.setup, rows, aim)
    best: tuple[float, str, float, float] = (float(weights @ now), "", 0.0, 0.0)
    for name in SETTINGS:
        amounts = [one for one in _amounts(name) if _allowed(known, name, one)]
        if len(amounts) < 2:
            continue
        losses = np.array([_loss(known, _moved(known.setup, name, a), rows, aim) for a in amounts])
        means = losses @ weights
        if means.min() < best[0] - 1e-9:
            each = np.array(amounts)[np.argmin(losses, axis=0)]
            apart = math.sqrt(float(weights @ (each - weights @ each) ** 2))
            best = (float(means.min()), name, amounts[int(means.argmin())], apart)
    start = float(weights @ now)
    nearer = 1 - best[0] / start if start > 0 else 0.0
    if nearer < WORTH_IT:
        return _told(known, rows, weights, "", 0.0, 0.0, 0.0)
    return _told(known, rows, weights, best[1], best[2], best[3], nearer)


def _amounts(name: str) -> Sequence[float]:
    """From the most one way to the most the other, in small steps; none for turns."""
    known = SETTINGS[name]
    count = 0 if name == "turns" else round(known.usual / known.step)
    return [round(known.step * one, 6) for one in range(-count, count + 1)] if count else []


def _aim(known: Posterior) -> tuple[Floats, Floats]:
    """The plan's own flight at the turns in force, and how far single flights are from it."""
    plain = replace(known.setup, changes={}, repairs=frozenset())
    ahead = causes.outlook(known.fitted, known.plan, [plain], causes.rows_of(causes.NOTHING))
    return ahead.mean[0, 0], np.sqrt(np.sum(ahead.roots[0, 0] ** 2, axis=1))


def _loss(known: Posterior, setup: Setup, rows: Rows, aim: tuple[Floats, Floats]) -> Floats:
    """How far from the plan's flight, for each cause; a bad feature is bad, not endlessly so."""
    mean = causes.foretold(known.fitted, known.plan, setup, rows).mean
    square = ((mean - aim[0]) / aim[1]) ** 2
    return np.asarray(np.mean(square / (1 + square / BAD), axis=1))


def _told(
    known: Posterior,
    rows: Rows,
    weights: Floats,
    setting: str,
    amount: float,
    uncertainty: float,
    nearer: float,
) -> Advice:
    setup = _moved(known.setup, setting, amount) if setting else known.setup
    mean, roots = _after(known, setup, _Given.of(known, rows))
    middle = weights @ mean
    variance = weights @ (np.sum(roots**2, axis=2) + (mean - middle) ** 2)
    ends = [response.from_scale(middle + way * LIKELY * np.sqrt(variance)) for way in (-1, 0, 1)]
    low, value, high = (dict(zip(FEATURES, one.tolist(), strict=True)) for one in ends)
    least = {name: 0.0 for name in NEVER_NEGATIVE}
    expected = tuple(
        Expected(name, *(max(end[name], least.get(name, -math.inf)) for end in (value, low, high)))
        for name in TOLD
    )
    return Advice(setting, amount, uncertainty, nearer, setup.turns, expected)
