"""How likely each fault is, given a log: exact Bayes over every fault in five sizes, and none.

One fault at a time is considered. That is what the catalogue's reliabilities allow: with two at
once there are twenty thousand pairs of sizes, and no log of a few flights tells them apart. When
one of two faults is repaired, the flights after it speak for the other.

*Flights.* The response foretells every flight from the deviations of the fault and of the settings
in force; the scatter of single flights and the observer's errors are added, and the tails are
heavy. Flights of one aeroplane share the errors that were built into it, so a second flight is
never worth as much as the first: part of the scatter (measured on pairs of flights when the
library was built) is one random effect common to all flights of the log, more so for an unchanged
repeat. Repeating a flight forever does not make anybody certain. Between two sizes of the grid the
expected flight moves; that, too, is in the scatter. The heavy tail is that of the average flight;
were it that of all features together, equal repeats would look like proof of a narrow bell.

A bell of two dozen features that is only nearly the true one makes anybody far too sure; so
likelihoods of flights are taken to a power below 1, the one under which true faults are likeliest
on flights that were not fitted to.

*Looks* find a fault that is there with .8 and cry wrong with .05; only the faults of that place
count. *Measurements* have their reading errors and the spread of careful building. A *repair* takes
its fault away for what follows.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from trimkit import aeroplane as records
from trimkit import faults, observe, settings
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import bayes, deviations, library, readings, response, samples
from trimkit.diagnosis.deviations import Design
from trimkit.diagnosis.library import Library
from trimkit.diagnosis.readings import FOUND_READING, READINGS, SOMETHING
from trimkit.diagnosis.response import FEATURES, Prediction, Response
from trimkit.faults import CATALOGUE, PLACES
from trimkit.flight import Job
from trimkit.log import Entry, Log, Result, State
from trimkit.settings import Change
from trimkit.units import Floats

NOTHING = "nothing"
NO_FAULT = 0.1  # how often nothing is wrong; assumed, as in the library
SIZES = 5
ENDLESS = 1e30  # larger than any squared distance
ALIKE = 0.5  # faults whose best test still leaves so much overlap are one class; assumed
USUAL_RATIOS = (1.25, 2.0, 2.6)  # of the level torque: low, middle and launch power


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong, at one size.

    Parameters
    ----------
    fault : str
        A name of the catalogue, or "nothing" [-].
    size : float
        How much, 0 for nothing [in the fault's unit].
    """

    fault: str
    size: float

    def job(self, job: Job) -> Job:
        """Give a flight this cause.

        Parameters
        ----------
        job : Job
            The flight as it should be [-].

        Returns
        -------
        Job
            The flight with the fault; the same one for "nothing" [-].
        """
        return job if self.fault == NOTHING else faults.afflict(job, self.fault, self.size)


def _sizes(fault: faults.Fault) -> tuple[float, ...]:
    """Middles of equal parts of the range, or the only size there is."""
    if fault.low == fault.high:
        return (fault.low,)
    parts = (np.arange(SIZES) + 0.5) / SIZES
    return tuple((fault.low + parts * (fault.high - fault.low)).tolist())


CAUSES = (
    Cause(NOTHING, 0.0),
    *(Cause(name, size) for name, one in CATALOGUE.items() for size in _sizes(one)),
)
NAMES = tuple(dict.fromkeys(cause.fault for cause in CAUSES))
_NUMBER = np.array([NAMES.index(cause.fault) for cause in CAUSES])
_ROWS = {name: np.array([row for row, cause in enumerate(CAUSES) if cause.fault == name])
         for name in NAMES}  # fmt: skip
OWNERS = np.eye(len(NAMES))[:, _NUMBER]  # 1 where a cause belongs to a fault


def _gradients() -> Floats:
    """From values at all causes to their change from one size of a fault to the next."""
    table = np.zeros((len(CAUSES), len(CAUSES)))
    for own in _ROWS.values():
        if own.size > 1:
            table[np.ix_(own, own)] = np.gradient(np.eye(own.size), axis=0)
    return table


_GRADIENTS = _gradients()


def prior() -> Floats:
    """Say how likely each cause is before anything is seen.

    Returns
    -------
    numpy.ndarray
        In the order of `CAUSES`; sums to 1 [-].
    """
    often = sum(one.often for one in CATALOGUE.values())
    shares = [
        NO_FAULT if name == NOTHING else (1 - NO_FAULT) * CATALOGUE[name].often / often
        for name in NAMES
    ]
    each = np.bincount(_NUMBER)
    return np.asarray(np.array(shares)[_NUMBER] / each[_NUMBER])


def by_fault(weights: Floats) -> dict[str, float]:
    """Add up the sizes of each fault.

    Parameters
    ----------
    weights : numpy.ndarray
        How likely each cause is, in the order of `CAUSES` [-].

    Returns
    -------
    dict of str to float
        How likely each fault is, and "nothing", the likeliest first [-].
    """
    each = np.bincount(_NUMBER, weights)
    order = np.argsort(-each, kind="stable")
    return {NAMES[one]: float(each[one]) for one in order}


def possible(plan: Design, logs: Floats) -> Floats:
    """Leave out the causes that this aeroplane cannot have.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    logs : numpy.ndarray
        Logarithms of likelihoods, in the order of `CAUSES` [-].

    Returns
    -------
    numpy.ndarray
        The same, with -inf for those [-].
    """
    return np.asarray(np.where(np.isnan(_ill(plan)).any(axis=1), -np.inf, logs))


@functools.lru_cache(maxsize=128)
def _ill(plan: Design) -> Floats:
    """Deviations of every cause; a fault that this aeroplane cannot have stands at nan."""
    rows = []
    for cause in CAUSES:
        try:
            rows.append(plan.deviations(cause.job(plan.job())))
        except ValueError:
            rows.append(np.full(len(deviations.NAMES), np.nan))
    return np.array(rows)


@dataclass(frozen=True, slots=True)
class Setup:
    """How a flight is flown: what is in force.

    Parameters
    ----------
    changes : mapping of str to float
        Settings against the aeroplane that the log began with [in the unit of each].
    repairs : frozenset of str
        Faults that were repaired [-].
    turns : float
        Turns by the log [turns].
    """

    changes: Mapping[str, float]
    repairs: frozenset[str]
    turns: float

    def __hash__(self) -> int:
        return hash((frozenset(self.changes.items()), self.repairs, self.turns))

    def like(self, other: Setup) -> bool:
        """Say whether another flight is an unchanged repeat of this one.

        Parameters
        ----------
        other : Setup
            Of the other flight [-].

        Returns
        -------
        bool
            True when nothing differs [-].
        """
        return self == other


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """What every cause would make of some flights.

    Parameters
    ----------
    mean : numpy.ndarray
        Expected features on the scales of the fit (causes, flights, features) [-].
    roots : numpy.ndarray
        Roots of the covariance of single flights (causes, flights, features, features) [-].
    slopes : numpy.ndarray
        How the expected flight moves from one size of the grid to the next (causes, flights,
        features) [-].
    ties : numpy.ndarray
        How much of the scatter two flights share (flights, flights) [-].
    """

    mean: Floats
    roots: Floats
    slopes: Floats
    ties: Floats

    def covariances(self, which: NDArray[np.intp] | None = None) -> Floats:
        """Return the covariance of features of all flights, for each cause.

        Parameters
        ----------
        which : numpy.ndarray or None
            Places of the features, counted flight after flight; None for all [-].

        Returns
        -------
        numpy.ndarray
            Square for each cause, flight after flight, without the observer's errors [-].
        """
        count = len(self.mean)
        wanted = np.arange(self.mean[0].size) if which is None else which
        slopes = self.slopes.reshape(count, -1)[:, wanted]
        flat = self.roots.reshape(count, self.mean[0].size, -1)[:, wanted]
        flight = wanted // len(FEATURES)
        whole = flat @ flat.transpose(0, 2, 1)
        whole *= self.ties[flight[:, None], flight]
        whole += slopes[:, :, None] * (slopes / 12)[:, None, :]
        return np.asarray(whole)


def outlook(
    fitted: Response,
    plan: Design,
    setups: Sequence[Setup],
    which: Sequence[int] | NDArray[np.intp] | None = None,
) -> Outlook:
    """Foretell flights under the causes.

    Parameters
    ----------
    fitted : Response
        Of the library [-].
    plan : Design
        The aeroplane as it should be [-].
    setups : sequence of Setup
        How each flight is flown [-].
    which : sequence of int or None
        Rows of `CAUSES`; None for all [-].

    Returns
    -------
    Outlook
        One row for each cause [-].
    """
    rows = np.arange(len(CAUSES)) if which is None else np.asarray(which)
    family = np.flatnonzero(np.isin(_NUMBER, _NUMBER[rows]))  # slopes need every size of a fault
    found = [foretold(fitted, plan, setup, family) for setup in setups]
    own = np.searchsorted(family, rows)
    mean = np.stack([one.mean for one in found], axis=1)
    roots = np.stack([one.scatter(own) for one in found], axis=1)
    ties = np.array([[_tie(fitted, one, other) for other in setups] for one in setups])
    np.fill_diagonal(ties, 1.0)
    slopes = np.tensordot(_GRADIENTS[np.ix_(rows, family)], mean, 1)
    return Outlook(mean[own], roots, slopes, ties)


def foretold(fitted: Response, plan: Design, setup: Setup, rows: NDArray[np.intp]) -> Prediction:
    """Foretell one flight under some causes.

    Parameters
    ----------
    fitted : Response
        Of the library [-].
    plan : Design
        The aeroplane as it should be [-].
    setup : Setup
        How it is flown [-].
    rows : numpy.ndarray
        Rows of `CAUSES` [-].

    Returns
    -------
    Prediction
        One row for each; kept for the next question [-].
    """
    return _foretold(fitted, plan, rows.tobytes(), setup)


@functools.lru_cache(maxsize=512)  # a case comes back to the same few setups
def _foretold(fitted: Response, plan: Design, which: bytes, setup: Setup) -> Prediction:
    rows = np.frombuffer(which, dtype=np.intp)
    ill = np.nan_to_num(_ill(plan))[rows]
    if setup.repairs:
        ill[[CAUSES[row].fault in setup.repairs for row in rows.tolist()]] = 0.0
    if setup.changes:
        ill = ill + deviations.of_change(plan, Change(setup.changes))
    ratio = np.full(rows.size, plan.torque_ratio(setup.turns))
    return fitted.predict(ill, ratio, response.described(plan))


def _tie(fitted: Response, one: Setup, other: Setup) -> float:
    return fitted.shared_repeat if one.like(other) else fitted.shared_other


@dataclass(frozen=True, slots=True, eq=False)
class Fact:
    """One thing that was seen, and how well each cause explains it.

    Parameters
    ----------
    words : str
        What was seen [-].
    logs : numpy.ndarray
        Logarithm of its likelihood, in the order of `CAUSES` [-].
    """

    words: str
    logs: Floats


@dataclass(frozen=True, slots=True)
class Sign:
    """A fact that speaks for one fault against another.

    Parameters
    ----------
    words : str
        What was seen [-].
    fault, other : str
        The fault that it speaks for, and the one that it speaks against [-].
    times : float
        How many times likelier it is under the first [-].
    """

    words: str
    fault: str
    other: str
    times: float

    def __str__(self) -> str:
        one, other = title(self.fault), title(self.other)
        return f"{self.words}: {_times(self.times)} likelier under {one} than under {other}"


def title(name: str) -> str:
    """Say a fault as the bench calls it.

    Parameters
    ----------
    name : str
        A name of the catalogue, or "nothing" [-].

    Returns
    -------
    str
        Its title [-].
    """
    return "nothing wrong" if name == NOTHING else CATALOGUE[name].title


def _times(ratio: float) -> str:
    if ratio > 100:
        return "more than 100 times"
    return f"{ratio:.0f} times" if ratio >= 3 else f"{ratio:.1f} times"


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What is believed after a log.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    fitted : Response
        Of the library [-].
    weights : numpy.ndarray
        How likely each cause is, in the order of `CAUSES`; sums to 1 [-].
    facts : tuple of Fact
        Everything that was seen, one by one [-].
    setup : Setup
        What is in force at the end of the log [-].
    flights : tuple of Setup
        How each flight of the log was flown [-].
    seen : numpy.ndarray
        What was seen of each, nan where nothing was (flights, features) [-].
    errors : numpy.ndarray
        The observer's errors of it [-].
    looked : frozenset of str
        Places that were looked at and not touched since: a further look sees the same [-].
    """

    plan: Design
    fitted: Response
    weights: Floats
    facts: tuple[Fact, ...]
    setup: Setup
    flights: tuple[Setup, ...]
    seen: Floats
    errors: Floats
    looked: frozenset[str] = frozenset()

    @property
    def probabilities(self) -> Mapping[str, float]:
        """How likely each fault and "nothing" is, the likeliest first [-]."""
        return MappingProxyType(by_fault(self.weights))

    def __getitem__(self, name: str) -> float:
        return self.probabilities[name]

    def ranked(self, count: int = 3) -> tuple[str, ...]:
        """Name the likeliest.

        Parameters
        ----------
        count : int
            How many [-].

        Returns
        -------
        tuple of str
            Faults, or "nothing", the likeliest first [-].
        """
        return tuple(self.probabilities)[:count]

    def sizes(self, name: str) -> Mapping[float, float]:
        """Say how likely each size of a fault is, if it is that fault.

        Parameters
        ----------
        name : str
            A name of the catalogue, or "nothing" [-].

        Returns
        -------
        mapping of float to float
            Chances by size; they sum to 1 [-].

        Raises
        ------
        ValueError
            When there is no such fault.
        """
        own = rows_of(name)
        weights = self.weights[own]
        total = weights.sum()
        share = weights / total if total > 0 else np.full(len(own), 1 / len(own))
        found = {CAUSES[row].size: float(one) for row, one in zip(own, share, strict=True)}
        return MappingProxyType(found)

    def entropy_bits(self) -> float:
        """Say how undecided it still is between the faults.

        Returns
        -------
        float
            Entropy: 0 when one is certain [bit].
        """
        return bayes.entropy_bits(list(self.probabilities.values()))

    def signs(self, count: int = 3) -> tuple[Sign, ...]:
        """Name the facts that weigh most for the likeliest fault, against the next one.

        Each fact is weighed alone, so signs of one flight that go together count more than once.

        Parameters
        ----------
        count : int
            How many [-].

        Returns
        -------
        tuple of Sign
            The strongest first; fewer when nothing speaks for it [-].
        """
        first, second = self.ranked(2)
        found = []
        for fact in self.facts:
            weight = self._mean(fact, first) - self._mean(fact, second)
            found.append(Sign(fact.words, first, second, math.exp(min(weight, 50.0))))
        strong = sorted((one for one in found if one.times > 1.2), key=lambda one: -one.times)
        return tuple(strong[:count])

    def _mean(self, fact: Fact, name: str) -> float:
        """Logarithm of a fact's likelihood under a fault, over its sizes."""
        own = rows_of(name)
        shares = np.array(list(self.sizes(name).values()))
        return float(np.logaddexp.reduce(fact.logs[own] + np.log(np.maximum(shares, 1e-300))))

    def classes(self) -> tuple[frozenset[str], ...]:
        """Put those faults together that nothing that can be done tells apart.

        Looks tell places apart. For faults of one place, every measurement and flights at low,
        middle and launch power are weighed together, between the sizes that are hardest to
        tell: where more than half stays common, the two are one class.

        Returns
        -------
        tuple of frozenset of str
            Every name once, "nothing" by itself; most classes have one [-].
        """
        return classes(self.plan, self.fitted)

    def words(self, count: int = 3) -> str:
        """Say what is likeliest, and why.

        Parameters
        ----------
        count : int
            How many faults, and how many signs [-].

        Returns
        -------
        str
            A few lines [-].
        """
        chances = self.probabilities
        lines = [f"{title(name)}: {chances[name]:.0%}" for name in self.ranked(count)]
        return "\n".join([*lines, *(str(sign) for sign in self.signs(count))])


def rows_of(name: str) -> NDArray[np.intp]:
    """Find the rows of a fault, smallest size first.

    Parameters
    ----------
    name : str
        A name of the catalogue, or "nothing" [-].

    Returns
    -------
    numpy.ndarray
        Places in `CAUSES` [-].

    Raises
    ------
    ValueError
        When there is no such fault.
    """
    if name not in NAMES:
        raise ValueError(f"there is no fault {name!r}; faults are: {', '.join(NAMES)}")
    return _ROWS[name]


def posterior(log: Log, aeroplane: Aeroplane, stored: Library | None = None) -> Posterior:
    """Say how likely each fault is, given a log.

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
    Posterior
        Over every fault and "nothing" [-].

    Raises
    ------
    ValueError
        When the aeroplane has no level flight, the library is stale, or an entry is lost.
    """
    fitted = (stored or library.fresh()).response
    plan = deviations.design(aeroplane)
    flights = [entry for entry in log.flights if entry.result.features]
    setups = tuple(_setup(log, plan, entry) for entry in flights)
    pairs = [response.scaled(e.result.features, e.turns or 0.0) for e in flights]
    shape = (len(pairs), len(FEATURES))
    seen, errors = (np.array([pair[one] for pair in pairs]).reshape(shape) for one in (0, 1))
    bench = tuple(_bench_facts(log, plan))
    logs = sum((fact.logs for fact in bench), np.zeros(len(CAUSES)))
    signs: list[Fact] = []
    if setups:
        from_flights, each = _of_flights(fitted, plan, setups, seen.tobytes(), errors.tobytes())
        logs = logs + from_flights
        signs = list(_signs(each, flights))
    last = log.entries[-1].number if log.entries else 0
    now = _setup(log, plan, log.entry(last)) if last else Setup({}, frozenset(), _turns(plan, None))
    weights = bayes.log_update(prior(), possible(plan, logs))
    facts = (*bench, *signs)
    return Posterior(plan, fitted, weights, facts, now, setups, seen, errors, _looked_at(log))


@functools.lru_cache(maxsize=128)  # a look or a measurement leaves the flights as they were
def _of_flights(
    fitted: Response, plan: Design, setups: tuple[Setup, ...], seen: bytes, errors: bytes
) -> tuple[Floats, Floats]:
    """How well each cause explains the flights together, and each feature of each by itself."""
    ahead = outlook(fitted, plan, setups)
    shape = (len(setups), len(FEATURES))
    table, off = (np.frombuffer(one).reshape(shape) for one in (seen, errors))
    spread = np.sqrt(np.sum(ahead.roots**2, axis=3) + off**2)
    apart = (table - ahead.mean) / spread
    each = -np.minimum(apart**2, 40.0) / 2 - np.log(spread)
    return flight_logs(fitted, ahead, table, off), each


def _setup(log: Log, plan: Design, entry: Entry) -> Setup:
    state = log.in_force(entry.number)
    return Setup(dict(state.changes), frozenset(state.repairs), _turns(plan, state.turns))


def _turns(plan: Design, turns: float | None) -> float:
    """Before the first flight, the turns of middle power."""
    return samples.wound(plan, USUAL_RATIOS[1]) if turns is None else turns


def flight_logs(fitted: Response, ahead: Outlook, seen: Floats, errors: Floats) -> Floats:
    """Say how well each cause explains flights, all together.

    Parameters
    ----------
    fitted : Response
        Of the library [-].
    ahead : Outlook
        What the causes would make of these flights [-].
    seen, errors : numpy.ndarray
        What was seen, nan where nothing was, and the observer's errors (flights, features) [-].

    Returns
    -------
    numpy.ndarray
        Logarithm of the likelihood of each cause, tempered as the library's trial asks [-].
    """
    square, spread, size = whitened(ahead, seen, errors)
    count = len(seen)
    each = response.log_density(square / count, spread / count, size / count, fitted.tail)
    return np.asarray(fitted.temper * count * each)  # the tail is that of an average flight


def whitened(ahead: Outlook, seen: Floats, errors: Floats) -> tuple[Floats, Floats, int]:
    """Say how far flights are from what each cause foretells, in standard deviations.

    The row of misses is put below each covariance as one more row, so that one decomposition
    gives the determinant and the whitened misses together.

    Parameters
    ----------
    ahead : Outlook
        What the causes would make of these flights [-].
    seen, errors : numpy.ndarray
        What was seen, nan where nothing was, and the observer's errors (flights, features) [-].

    Returns
    -------
    (numpy.ndarray, numpy.ndarray, int)
        Squared distance and logarithm of the determinant for each cause, and the number of
        figures that were seen [-].
    """
    there = np.flatnonzero(np.isfinite(seen.ravel()))
    size = there.size
    apart = (seen - ahead.mean).reshape(len(ahead.mean), -1)[:, there]
    whole = np.zeros((len(apart), size + 1, size + 1))
    whole[:, :size, :size] = ahead.covariances(there)
    whole[:, range(size), range(size)] += errors.ravel()[there] ** 2
    whole[:, size, :size] = apart
    whole[:, size, size] = ENDLESS
    root = np.linalg.cholesky(whole)
    white = root[:, size, :size]
    inner = np.diagonal(root, axis1=1, axis2=2)[:, :size]
    return np.sum(white**2, axis=1), 2 * np.sum(np.log(inner), axis=1), size


def _signs(each: Floats, flights: Sequence[Entry]) -> Iterator[Fact]:
    """Every feature of every flight by itself; what was not seen says nothing."""
    for number, entry in enumerate(flights):
        where = f"flight {number + 1}: " if len(flights) > 1 else ""
        for place, name in enumerate(FEATURES):
            logs = each[:, number, place]
            if np.isfinite(logs).all():
                said = feature_words(name, entry.result.features[name])
                yield Fact(where + said, logs)


def _side(value: float, unit: str) -> str:
    return f"{abs(value):.0f}{unit} to the {'left' if value >= 0 else 'right'}"


def _sloped(value: float, up: str, down: str) -> str:
    return f"{up if value >= 0 else down} by {abs(value):.0f}°"


def feature_words(name: str, value: float) -> str:
    """Say one feature of a flight in plain words.

    Parameters
    ----------
    name : str
        A name of `observe.NAMES` [-].
    value : float
        What was seen [in the feature's unit].

    Returns
    -------
    str
        A short sentence without its full stop [-].
    """
    when, _, rest = name.partition("_")
    if rest == "bank_deg":
        return f"{_time(when)} it banked by {_side(value, '°')}"
    if rest == "turn_deg_s":
        return f"{_time(when)} it circled by {_side(value, '° each second')}"
    if rest == "nose_deg":
        said = _sloped(value, "up", "down")
        lead = {"highest": "the nose came at most", "lowest": "the nose came at least"}
        return f"{lead.get(when, f'{_time(when)} the nose was')} {said}"
    if name == "start_climb_m_s":
        return f"at the start it {'climbed' if value >= 0 else 'sank'} {abs(value):.2f} m/s"
    return _PLAIN[name].format(value)


def _time(when: str) -> str:
    times = {"early": "at the start", "middle": "in the middle", "late": "late"}
    return times.get(when, f"at the {when}")


_PLAIN = {
    "duration_s": "it flew for {:.0f} s",
    "peak_height_m": "it came {:.1f} m high",
    "peak_time_s": "it was highest at {:.0f} s",
    "first_drop_s": "the nose first dropped, or the flight ended, at {:.0f} s",
    "swing_deg": "the nose swung by {:.0f}° about its middle",
    "speed_m_s": "it flew at {:.1f} m/s",
    "late_sink_m_s": "late it lost {:.2f} m each second",
    "rock_deg": "the wing rocked by {:.1f}°",
    "shake_deg_s": "the nose shook by {:.0f}° each second",
    "turns_left": "{:.0f} turns were left",
    "turns_per_s": "it used {:.1f} turns each second",
    "hits": "it hit walls or ceiling {:.0f} times",
}
assert set(observe.NAMES) >= set(_PLAIN)


def _bench_facts(log: Log, plan: Design) -> Iterator[Fact]:
    looked = set()
    for entry in log.entries:
        state = log.in_force(entry.number)
        found = entry.result.readings
        if entry.action == "look" and entry.what in PLACES and FOUND_READING in found:
            if (sight := _sight(entry.what, state)) not in looked:
                yield look_fact(entry.what, entry.result, frozenset(state.repairs))
            looked.add(sight)
        if entry.action == "measure":
            setup = _setup(log, plan, entry)
            for name in found:
                if name in READINGS:
                    yield _reading_fact(plan, setup, name, found[name])


def _sight(place: str, state: State) -> object:
    """What there is to see at a place: the same eye on the same thing sees the same again."""
    return place, readings.touched(place, state.changes, state.repairs)


def _looked_at(log: Log) -> frozenset[str]:
    """Places that were looked at and not touched since."""
    looks = [e for e in log.entries if e.action == "look" and FOUND_READING in e.result.readings]
    if not looks:
        return frozenset()
    now = log.in_force(log.entries[-1].number)
    return frozenset(
        e.what for e in looks if _sight(e.what, log.in_force(e.number)) == _sight(e.what, now)
    )


@functools.lru_cache(maxsize=128)
def look_chances(place: str, repaired: frozenset[str]) -> Floats:
    """Say how likely an eye says each thing of a place, under each cause.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].
    repaired : frozenset of str
        Faults that are repaired by then [-].

    Returns
    -------
    numpy.ndarray
        Rows in the order of `CAUSES`, columns in that of `readings.sights`: (causes, sights) [-].
    """
    faults = ["" if cause.fault in repaired else cause.fault for cause in CAUSES]
    return np.array([readings.sight_chances(place, fault) for fault in faults])


def look_fact(place: str, seen: Result, repaired: frozenset[str]) -> Fact:
    """Say what a look teaches.

    Parameters
    ----------
    place : str
        A name of `faults.PLACES` [-].
    seen : Result
        Whether something was found, and what it was when it was named [-].
    repaired : frozenset of str
        Faults that are repaired by then [-].

    Returns
    -------
    Fact
        For all causes [-].
    """
    chances, said = look_chances(place, repaired), readings.sights(place)
    if seen.readings[FOUND_READING] <= 0.5:
        return Fact(f"nothing was found at the {place}", np.log(chances[:, 0]))
    if seen.named == SOMETHING:
        return Fact(f"an angle, a length or a mass is off at the {place}", np.log(chances[:, 1]))
    if seen.named in said[1:]:
        what = CATALOGUE[seen.named].title
        return Fact(f"{what} was seen at the {place}", np.log(chances[:, said.index(seen.named)]))
    return Fact(f"something was found at the {place}", np.log(1 - chances[:, 0]))


def expected_readings(plan: Design, setup: Setup, name: str) -> tuple[Floats, Floats]:
    """Foretell a measurement under each cause.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    setup : Setup
        What is in force [-].
    name : str
        A name of `readings.READINGS` [-].

    Returns
    -------
    (numpy.ndarray, numpy.ndarray)
        Expected reading and its standard deviation, in the order of `CAUSES` [in its unit].
    """
    return _expected(plan, setup, name)


@functools.lru_cache(maxsize=512)
def _expected(plan: Design, setup: Setup, name: str) -> tuple[Floats, Floats]:
    known = READINGS[name]
    jobs = _jobs(plan, setup)
    values = np.array([math.nan if job is None else known.of(job) for job in jobs])
    plain = jobs[0]
    assert plain is not None
    built = _built_spread(plain, known)
    errors = np.array([known.error(plain, value) for value in values.tolist()])
    there = np.nan_to_num(values, nan=float(values[0]))
    steps = np.where(np.isnan(values), 0.0, _GRADIENTS @ there)
    spread = np.sqrt(errors**2 + built**2 + steps**2 / 12)
    return np.nan_to_num(values), np.nan_to_num(spread, nan=1.0)


def _built_spread(job: Job, known: readings.Reading) -> float:
    """How far careful building moves a reading."""
    true = known.of(job)
    moved = (
        known.of(replace(job, aeroplane=_nudged(job.aeroplane, name, by))) - true
        for name, by in samples.BUILT.items()
    )
    return math.sqrt(math.fsum(one**2 for one in moved))


def _nudged(aeroplane: Aeroplane, name: str, by: float) -> Aeroplane:
    return records.replace(aeroplane, **{name: getattr(aeroplane.setting, name) + by})


@functools.lru_cache(maxsize=16)
def _jobs(plan: Design, setup: Setup) -> tuple[Job | None, ...]:
    """The aeroplane under every cause, None where it cannot be."""
    found: list[Job | None] = []
    for cause in CAUSES:
        own = CAUSES[0] if cause.fault in setup.repairs else cause
        try:
            job = own.job(plan.job(setup.turns))
            moved = settings.changed(job.aeroplane, Change(setup.changes))
            found.append(replace(job, aeroplane=moved))
        except ValueError:
            found.append(None)
    return tuple(found)


def _reading_fact(plan: Design, setup: Setup, name: str, value: float) -> Fact:
    expected, spread = expected_readings(plan, setup, name)
    logs = -(((value - expected) / spread) ** 2) / 2 - np.log(spread)
    known = READINGS[name]
    return Fact(f"{known.title}: {value:.3g} {known.unit}", logs)


@functools.lru_cache(maxsize=32)
def classes(plan: Design, fitted: Response) -> tuple[frozenset[str], ...]:
    """Put those faults together that nothing that can be done tells apart.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].
    fitted : Response
        Of the library [-].

    Returns
    -------
    tuple of frozenset of str
        Every name once; see `Posterior.classes` [-].
    """
    setups = [Setup({}, frozenset(), samples.wound(plan, ratio)) for ratio in USUAL_RATIOS]
    ahead = outlook(fitted, plan, setups)
    whole = ahead.covariances()
    noise = response.expected_errors(ahead.mean).reshape(len(CAUSES), -1)
    whole[:, range(noise.shape[1]), range(noise.shape[1])] += noise**2
    roots = np.asarray(np.linalg.cholesky(whole))
    told = [expected_readings(plan, setups[1], name) for name in READINGS]
    groups: list[set[str]] = []
    for name in NAMES:
        alike = functools.partial(_alike, name, mean=ahead.mean, roots=roots, told=told)
        near = (one for one in groups if all(map(alike, one)))
        home = next(near, None)
        if home is None:
            groups.append({name})
        else:
            home.add(name)
    return tuple(frozenset(one) for one in groups)


Told: TypeAlias = Sequence[tuple[Floats, Floats]]


def _alike(one: str, other: str, mean: Floats, roots: Floats, told: Told) -> bool:
    if NOTHING in (one, other) or CATALOGUE[one].place != CATALOGUE[other].place:
        return False
    ways = ((one, other), (other, one))
    return min(_overlap(*names, mean, roots, told) for names in ways) > ALIKE


def _overlap(one: str, other: str, mean: Floats, roots: Floats, told: Told) -> float:
    """What stays common after the best tests, on average over the sizes of one."""
    others = rows_of(other)
    shares = []
    for row in rows_of(one):
        apart = (mean[others] - mean[row]).reshape(len(others), -1)
        square = np.sum(np.linalg.solve(roots[row], apart.T) ** 2, axis=0)
        for values, spread in told:
            square = square + ((values[others] - values[row]) / spread[row]) ** 2
        shares.append(math.erfc(math.sqrt(float(square.min())) / 2 / math.sqrt(2)))
    return float(np.mean(shares))
