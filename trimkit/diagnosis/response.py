"""How the signs of a flight follow from deviations: a smooth fit to thousands of flights.

`Response.predict` answers, without flying, what a flight of an aeroplane with some deviations
would show at some torque, and how far a single flight scatters about that. A few small networks
with two layers, each fitted without one part of the flights, are averaged; the part that a network
has not seen gives honest residuals. From those come the scatter, which depends on where one is
(a flight near the stall scatters more than a dive), and how the features scatter together, for
dives, short and long flights apart, each drawn half-way to that of all flights.

Fitting needs numpy alone: a network this small is trained in a minute by the few lines at the end,
and so nobody needs a further package to build or to use a library. Predicting is plain algebra
with stored numbers and gives the same everywhere.

Features are fitted on scales on which errors are alike: logarithms of times and heights, and
angles that are squeezed when they are large. Turns left are turned into turns that were on at the
launch, as a share of those that the log says, because it is that which gives a miscount away.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from trimkit import balance, observe, trim
from trimkit.diagnosis.deviations import Design
from trimkit.flight import steady
from trimkit.units import Floats

Scale = Literal["log", "squeezed"]
SCALES: Mapping[str, tuple[Scale, float]] = MappingProxyType(
    {
        "duration_s": ("log", 2.0),
        "peak_height_m": ("log", 0.5),
        "peak_time_s": ("log", 2.0),
        "start_climb_m_s": ("squeezed", 0.5),
        "early_bank_deg": ("squeezed", 30.0),
        "middle_bank_deg": ("squeezed", 30.0),
        "late_bank_deg": ("squeezed", 30.0),
        "early_turn_deg_s": ("squeezed", 60.0),
        "middle_turn_deg_s": ("squeezed", 60.0),
        "late_turn_deg_s": ("squeezed", 60.0),
        "early_nose_deg": ("squeezed", 30.0),
        "highest_nose_deg": ("squeezed", 30.0),
        "lowest_nose_deg": ("squeezed", 30.0),
        "first_drop_s": ("log", 1.0),
        "swing_deg": ("log", 2.0),
        "speed_m_s": ("log", 0.3),
        "late_sink_m_s": ("squeezed", 0.5),
        "rock_deg": ("log", 0.5),
        "shake_deg_s": ("log", 3.0),
        "landing_bank_deg": ("squeezed", 30.0),
        "landing_nose_deg": ("squeezed", 30.0),
        "turns_left": ("squeezed", 1.0),  # as a share of the turns by the log, see above
        "turns_per_s": ("log", 0.5),
        "hits": ("squeezed", 1.0),
    }
)  # assumed: about where an observer's error stops being small
FEATURES = tuple(SCALES)
_LOGS = np.array([kind == "log" for kind, _ in SCALES.values()])
_BASES = np.array([base for _, base in SCALES.values()])
_AT = {name: number for number, name in enumerate(FEATURES)}
HITS_ERROR = 0.3  # a count is not a smooth figure: it is off by up to a half
_KNOWN = {one.name: one for one in observe.FEATURES}
_ERRORS = np.array(
    [math.hypot(_KNOWN[name].error, HITS_ERROR * (name == "hits")) for name in FEATURES]
)
_SHARES = np.array([_KNOWN[name].share for name in FEATURES])
DESCRIPTORS = (
    "glide speed", "glide sink", "stall margin", "static margin", "rubber share", "level share",
    "turns of the loop", "dihedral", "climb", "bank", "turn", "propeller speed",
)  # fmt: skip
TUNING_RATIO = 1.6  # of the level torque: the middle of a flight, where the circle is described
KNOWN_WIDTH = 0.3  # how near an aeroplane must be to a well-known one, in spreads of the fleet
DIVE_S, SHORT_S = 8.0, 30.0  # expected duration that divides dives, short and long flights
HALF_POOLED = 0.5
FOLDS, HIDDEN, SPREAD_HIDDEN = 4, 64, 16
BATCH, LEARNING_RATE = 128, 4e-3
DECAYS = (6.0, 2.0, 0.6, 0.2, 0.06)  # how strongly weights are drawn to 0: the best is taken
SPREAD_DECAY = 2.0
SHRUNK = 0.1  # correlations are drawn to none by so much: few flights say them poorly
FEWEST_STEPS, MOST_STEPS = 1500, 12000
TAILS = (4.0, 6.0, 10.0, 20.0, 60.0)
LEAST_SPREAD = 0.02  # no feature is predicted better than that, on its scale; assumed

Layers = tuple[Floats, ...]


def scaled(values: Mapping[str, float], turns: float) -> tuple[Floats, Floats]:
    """Put what was seen of a flight on the scales of the fit.

    Parameters
    ----------
    values : mapping of str to float
        Features by name; those not seen may be left out [in the unit of each].
    turns : float
        Turns on, by the log [turns].

    Returns
    -------
    (numpy.ndarray, numpy.ndarray)
        Features and their observer's errors in the order of `FEATURES`, nan where nothing was
        seen [-].
    """
    raw = np.array([values.get(name, math.nan) for name in FEATURES])
    raw, errors = _turns_on(raw, np.hypot(_ERRORS, _SHARES * raw), turns)
    return to_scale(raw), errors * _steepness(raw)


def expected_errors(mean: Floats) -> Floats:
    """Say what the observer's errors will be for a flight that is only expected.

    Parameters
    ----------
    mean : numpy.ndarray
        Expected features, on the scales of the fit and in the order of `FEATURES`; one flight,
        or as many as there are rows (..., features) [-].

    Returns
    -------
    numpy.ndarray
        Standard deviations on the scales of the fit, of the same shape [-].
    """
    raw = from_scale(mean)
    errors = np.hypot(_ERRORS, _SHARES * raw)
    parts = [
        errors[..., _AT[name]] / np.maximum(raw[..., _AT[name]], 0.1)
        for name in ("turns_per_s", "duration_s")
    ]
    on = _AT["turns_left"]
    errors[..., on] = np.minimum(np.hypot(*parts), 1.0) * raw[..., on]
    return np.asarray(errors * _steepness(raw))


def _turns_on(raw: Floats, errors: Floats, turns: float) -> tuple[Floats, Floats]:
    """Turn turns left into turns that were on, as a share of those by the log."""
    left, rate, time = (_AT[name] for name in ("turns_left", "turns_per_s", "duration_s"))
    on, error = raw.copy(), errors.copy()
    on[left] = (raw[left] + raw[rate] * raw[time]) / max(turns, 1.0)
    parts = (errors[left], errors[rate] * raw[time], errors[time] * raw[rate])
    error[left] = math.hypot(*parts) / max(turns, 1.0)
    return on, error


def to_scale(raw: Floats) -> Floats:
    """Squeeze features, or take their logarithms; turns left are a share of the turns already.

    Parameters
    ----------
    raw : numpy.ndarray
        Rows in the order of `FEATURES` [in the unit of each].

    Returns
    -------
    numpy.ndarray
        On the scales of the fit [-].
    """
    logs = np.log(np.maximum(raw, 0.0) + _BASES)
    return np.asarray(np.where(_LOGS, logs, np.arcsinh(raw / _BASES)))


def from_scale(rows: Floats) -> Floats:
    """Undo `to_scale`.

    Parameters
    ----------
    rows : numpy.ndarray
        On the scales of the fit [-].

    Returns
    -------
    numpy.ndarray
        Features in the order of `FEATURES` [in the unit of each].
    """
    clipped = np.clip(rows, -12, 12)
    return np.asarray(np.where(_LOGS, np.exp(clipped) - _BASES, _BASES * np.sinh(clipped)))


def _steepness(raw: Floats) -> Floats:
    logs = 1 / (np.maximum(raw, 0.0) + _BASES)
    return np.asarray(np.where(_LOGS, logs, 1 / np.hypot(raw, _BASES)))


@functools.lru_cache(maxsize=64)
def _described(plan: Design) -> tuple[float, ...]:
    aeroplane = plan.aeroplane
    glide = trim.glide(aeroplane)
    circle = steady(aeroplane, plan.turns(TUNING_RATIO))
    rubber = aeroplane.setting.motor
    return (
        math.log(glide.speed_m_s),
        glide.sink_m_s,
        glide.stall_margin_deg,
        glide.static_margin,
        rubber.mass_g / balance.aeroplane_cg(aeroplane).mass_g,
        plan.turns(1.0) / rubber.limit_turns,
        math.log(rubber.limit_turns),
        aeroplane.build.wing.dihedral_deg,
        circle.climb_m_s,
        circle.roll_deg,
        circle.turn_rate_deg_s,
        circle.revs_per_s,
    )


def described(plan: Design) -> Floats:
    """Describe an aeroplane by a few figures on which its flights depend.

    Parameters
    ----------
    plan : Design
        The aeroplane as it should be [-].

    Returns
    -------
    numpy.ndarray
        One number for each of `DESCRIPTORS` [-].

    Raises
    ------
    ValueError
        When the aeroplane has no settled circle.
    """
    return np.array(_described(plan))


@dataclass(frozen=True, slots=True, eq=False)
class Prediction:
    """What flights would show, one row for each.

    Parameters
    ----------
    mean : numpy.ndarray
        Expected features on the scales of the fit (n, features) [-].
    spread : numpy.ndarray
        Standard deviations of single flights about it (n, features) [-].
    regime : numpy.ndarray
        0 for a dive, 1 for a short flight, 2 for a long one (n,) [-].
    together : numpy.ndarray
        Roots of how features scatter together, by regime (3, features, features) [-].
    """

    mean: Floats
    spread: Floats
    regime: NDArray[np.intp]
    together: Floats

    def scatter(self, rows: NDArray[np.intp] | None = None) -> Floats:
        """Return the roots of the covariance of single flights.

        Parameters
        ----------
        rows : numpy.ndarray or None
            Which flights; None for all [-].

        Returns
        -------
        numpy.ndarray
            Shape (n, features, features); times its transpose it is the covariance [-].
        """
        own = np.arange(len(self.regime)) if rows is None else rows
        return np.asarray(self.spread[own, :, None] * self.together[self.regime[own]])


@dataclass(frozen=True, slots=True, eq=False)
class Response:
    """The fit, as stored.

    Parameters
    ----------
    layers : tuple of tuple of numpy.ndarray
        Weights of each network [-].
    spread_layers : tuple of numpy.ndarray
        Weights of the network for the logarithm of the variance [-].
    middle, width : numpy.ndarray
        Of the inputs, before they go in [-].
    feature_middle, feature_width : numpy.ndarray
        Of the features [-].
    known : numpy.ndarray
        Descriptors of the well-known aeroplanes [-].
    describing : numpy.ndarray
        Middle and spread of the descriptors over the fleet [-].
    together : numpy.ndarray
        How features scatter together in dives, short and long flights (3, features,
        features) [-].
    shared_repeat, shared_other : float
        Part of the scatter that another flight of the same aeroplane has as well: unchanged, and
        at other settings or turns [-].
    tail : float
        Degrees of freedom of the scatter: few for frequent surprises [-].
    temper : float
        Power to which likelihoods of flights are taken, so that nobody is surer than flights
        not fitted to allow [-].
    explained : numpy.ndarray
        Part of each feature's variance that is foretold, in flights not fitted to [-].
    """

    layers: tuple[Layers, ...]
    spread_layers: Layers
    middle: Floats
    width: Floats
    feature_middle: Floats
    feature_width: Floats
    known: Floats
    describing: Floats
    together: Floats
    shared_repeat: float
    shared_other: float
    tail: float
    temper: float
    explained: Floats

    def predict(self, deviations: Floats, ratios: Floats, descriptors: Floats) -> Prediction:
        """Predict flights.

        Parameters
        ----------
        deviations : numpy.ndarray
            One row for each flight, in the order of `deviations.NAMES` [-].
        ratios : numpy.ndarray
            Torque at the launch over the level torque, by the plan's rubber (n,) [-].
        descriptors : numpy.ndarray
            From `described`: one row for all, or one for each flight [-].

        Returns
        -------
        Prediction
            What they would show [-].
        """
        given = inputs(deviations, ratios, descriptors, self.known, self.describing)
        rows = (given - self.middle) / self.width
        mean = np.mean([_output(each, rows) for each in self.layers], axis=0)
        logs = np.clip(_output(self.spread_layers, rows), -12, 6)
        raw = self.feature_middle + self.feature_width * mean
        spread = np.maximum(self.feature_width * np.exp(logs / 2), LEAST_SPREAD)
        return Prediction(raw, spread, regimes(raw), np.asarray(np.linalg.cholesky(self.together)))

    def as_arrays(self) -> dict[str, Any]:
        """Return everything as plain arrays, to be stored.

        Returns
        -------
        dict of str to numpy.ndarray
            By name; weights in single precision [-].
        """
        plain = {f.name: np.asarray(getattr(self, f.name)) for f in fields(self)
                 if not f.name.endswith("layers")}  # fmt: skip
        for number, each in enumerate((*self.layers, self.spread_layers)):
            plain |= {f"net{number}_{part}": one for part, one in enumerate(each)}
        single = {name: one.astype(np.float32) for name, one in plain.items()}
        return {**single, "nets": np.array(len(self.layers))}

    @classmethod
    def from_arrays(cls, stored: Mapping[str, Any]) -> Response:
        """Make a response again from what `as_arrays` gave.

        Parameters
        ----------
        stored : mapping of str to numpy.ndarray
            By name [-].

        Returns
        -------
        Response
            Ready to predict, in double precision [-].
        """
        nets = [
            tuple(stored[f"net{number}_{part}"].astype(np.float64) for part in range(PARTS))
            for number in range(int(stored["nets"]) + 1)
        ]
        rest = {f.name: stored[f.name].astype(np.float64) for f in fields(cls)
                if not f.name.endswith("layers")}  # fmt: skip
        single: dict[str, Any] = {
            name: float(one) if one.ndim == 0 else one for name, one in rest.items()
        }
        return cls(layers=tuple(nets[:-1]), spread_layers=nets[-1], **single)


def inputs(
    deviations: Floats, ratios: Floats, descriptors: Floats, known: Floats, describing: Floats
) -> Floats:
    """Lay out what goes into the networks.

    Parameters
    ----------
    deviations : numpy.ndarray
        One row for each flight [-].
    ratios : numpy.ndarray
        Torque over level torque (n,) [-].
    descriptors : numpy.ndarray
        One row for all, or for each flight [-].
    known : numpy.ndarray
        Descriptors of the well-known aeroplanes: each has a number of its own, 1 for that
        aeroplane and 0 for one that is not like it [-].
    describing : numpy.ndarray
        Middle and spread of the descriptors over the fleet [-].

    Returns
    -------
    numpy.ndarray
        One row for each flight [-].
    """
    count = len(deviations)
    about = np.broadcast_to(descriptors, (count, len(DESCRIPTORS))) - describing[0]
    about = about / describing[1]
    apart = about[:, None, :] - (known - describing[0]) / describing[1]
    like = np.exp(-np.mean(apart**2, axis=2) / (2 * KNOWN_WIDTH**2))
    power = np.stack([ratios, np.log(np.maximum(ratios, 0.05))], axis=1)
    return np.concatenate([deviations, power, np.clip(about, -4, 4), like], axis=1)


def regimes(mean: Floats) -> Any:
    """Say which flights are expected to be dives, short, and long.

    Parameters
    ----------
    mean : numpy.ndarray
        Expected features on the scales of the fit (n, features) [-].

    Returns
    -------
    numpy.ndarray
        0, 1 or 2 for each flight [-].
    """
    duration = mean[:, _AT["duration_s"]]
    base = SCALES["duration_s"][1]
    return np.digitize(duration, np.log(np.array([DIVE_S, SHORT_S]) + base))


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """Flights that the response is fitted to, one row for each.

    Parameters
    ----------
    deviations : numpy.ndarray
        In the order of `deviations.NAMES` (n, deviations) [-].
    ratios : numpy.ndarray
        Torque over level torque, by the plan's rubber and the log's turns (n,) [-].
    descriptors : numpy.ndarray
        Of the aeroplane (n, descriptors) [-].
    features : numpy.ndarray
        Exact, on the scales of the fit (n, features) [-].
    pairs : numpy.ndarray
        Number of the aeroplane with its faults and its own build: rows with the same number are
        flights of the same one (n,) [-].
    repeats : numpy.ndarray
        True where a row is flown like the one before it of the same pair (n,) [-].
    known : numpy.ndarray
        Descriptors of the well-known aeroplanes [-].
    """

    deviations: Floats
    ratios: Floats
    descriptors: Floats
    features: Floats
    pairs: Any
    repeats: Any
    known: Floats


def fit(
    flown: Flown, seed: int = 0, progress: Callable[[int, int], None] | None = None
) -> Response:
    """Fit a response to flights.

    Parameters
    ----------
    flown : Flown
        At least 100 flights [-].
    seed : int
        Of the first weights and the order of the flights [-].
    progress : callable or None
        Called with networks done and networks in all [-].

    Returns
    -------
    Response
        Ready to predict [-].

    Raises
    ------
    ValueError
        When there are too few flights.
    """
    count = len(flown.features)
    if count < 100:
        raise ValueError(f"{count} flights; allowed is 100 and more; were most of them refused?")
    aeroplanes = np.unique(flown.descriptors, axis=0)
    describing = np.stack([aeroplanes.mean(axis=0), np.maximum(aeroplanes.std(axis=0), 1e-3)])
    given = inputs(flown.deviations, flown.ratios, flown.descriptors, flown.known, describing)
    middle, width = _middle(given)
    feature_middle, feature_width = _middle(flown.features)
    rows = (given - middle) / width
    wanted = (flown.features - feature_middle) / feature_width
    layers, residuals, means = _folded(rows, wanted, flown.pairs, seed, progress)
    spread_layers, logs = _spread(rows, residuals, flown.pairs, seed)
    whole = residuals / np.exp(logs / 2)
    classes = regimes(feature_middle + feature_width * means)
    together = _together(whole, classes)
    white = _whitened(whole, np.linalg.cholesky(together)[classes])
    repeat, other = _shared(white, flown.pairs, flown.repeats)
    return Response(
        layers=layers,
        spread_layers=spread_layers,
        middle=middle,
        width=width,
        feature_middle=feature_middle,
        feature_width=feature_width,
        known=flown.known,
        describing=describing,
        together=together,
        shared_repeat=repeat,
        shared_other=other,
        tail=_tail(white),
        temper=1.0,
        explained=1 - np.mean(residuals**2, axis=0) / np.maximum(wanted.var(axis=0), 1e-9),
    )


def _middle(rows: Floats) -> tuple[Floats, Floats]:
    spread = rows.std(axis=0)
    return rows.mean(axis=0), np.where(spread > 1e-6, spread, 1.0)


def _folded(
    rows: Floats,
    wanted: Floats,
    pairs: Any,
    seed: int,
    progress: Callable[[int, int], None] | None,
) -> tuple[tuple[Layers, ...], Floats, Floats]:
    """Networks, and for each flight what the one that has not seen it says."""
    folds = np.random.default_rng([seed, 71]).permutation(int(np.max(pairs)) + 1)[pairs] % FOLDS
    decay = _decay(rows, wanted, folds == 0, seed)
    layers = []
    means = np.zeros_like(wanted)
    for fold in range(FOLDS):
        inside = folds != fold
        net = _trained(rows[inside], wanted[inside], HIDDEN, _misses, [seed, 72, fold], decay)
        means[~inside] = _output(net, rows[~inside])
        layers.append(net)
        if progress is not None:
            progress(fold + 1, FOLDS)
    return tuple(layers), wanted - means, means


def _decay(rows: Floats, wanted: Floats, apart: Any, seed: int) -> float:
    """The decay of weights that foretells flights best that were not fitted to."""
    misses = []
    for decay in DECAYS:
        net = _trained(rows[~apart], wanted[~apart], HIDDEN, _misses, [seed, 72, 0], decay)
        misses.append(float(np.mean((_output(net, rows[apart]) - wanted[apart]) ** 2)))
    return DECAYS[int(np.argmin(misses))]


def _spread(rows: Floats, residuals: Floats, pairs: Any, seed: int) -> tuple[Layers, Floats]:
    """A network for the logarithm of the residuals' variance, and what unseen flights say it is."""
    squares = np.minimum(residuals**2, 25 * np.mean(residuals**2, axis=0)) + LEAST_SPREAD**2
    start = np.log(np.mean(squares, axis=0))

    def learnt(which: Any) -> Layers:
        given = rows[which], squares[which], SPREAD_HIDDEN, _surprises, [seed, 73], SPREAD_DECAY
        return _trained(*given, start)

    half = np.asarray(pairs) % 2 == 0
    logs = np.zeros_like(residuals)
    for which in (half, ~half):
        logs[~which] = np.clip(_output(learnt(which), rows[~which]), -12, 6)
    missing = np.log(np.mean(squares / np.exp(logs), axis=0))
    net = learnt(np.full(len(rows), True))
    return (*net[:5], net[5] + missing, net[6]), logs + missing


def _together(whole: Floats, classes: Any) -> Floats:
    """Correlations in each regime, half-way to that of all."""
    clipped = np.clip(whole, -5, 5)
    overall = clipped.T @ clipped / len(clipped)
    found = []
    for regime in range(3):
        own = clipped[classes == regime]
        trust = HALF_POOLED * len(own) / (len(own) + 100)  # few flights say little
        each = own.T @ own / max(len(own), 1)
        found.append((1 - SHRUNK) * ((1 - trust) * overall + trust * each))
    return np.array(found) + SHRUNK * np.eye(len(overall))


def _whitened(whole: Floats, roots: Floats) -> Floats:
    return np.asarray(np.linalg.solve(roots, whole[:, :, None])[:, :, 0])


def _shared(white: Floats, pairs: Any, repeats: Any) -> tuple[float, float]:
    """What two flights of one aeroplane have in common, of the whole scatter."""
    clipped = np.clip(white, -3, 3)
    later = np.flatnonzero(pairs[1:] == pairs[:-1]) + 1
    common = np.mean(clipped[later] * clipped[later - 1], axis=1) / np.mean(clipped**2)
    alike = repeats[later]
    found = [float(np.mean(common[which])) if which.any() else 0.3 for which in (alike, ~alike)]
    repeat = min(max(found[0], 0.05), 0.9)
    return repeat, min(max(found[1], 0.0), repeat)


def _tail(white: Floats) -> float:
    """Degrees of freedom under which the unseen residuals are likeliest."""
    square, size = np.sum(white**2, axis=1), white.shape[1]
    scores = [float(np.mean(log_density(square, 0.0, size, tail))) for tail in TAILS]
    return TAILS[int(np.argmax(scores))]


def log_density(square: Any, log_determinant: Any, size: float, tail: float) -> Any:
    """Logarithm of a bell with heavy tails, of unit variance on each whitened axis.

    Parameters
    ----------
    square : numpy.ndarray or float
        Squared distance in standard deviations, summed over the axes [-].
    log_determinant : numpy.ndarray or float
        Of the covariance [-].
    size : float
        Number of axes, or of axes for each flight on average [-].
    tail : float
        Degrees of freedom, above 2 [-].

    Returns
    -------
    numpy.ndarray or float
        Natural logarithm of the density [-].
    """
    constant = math.lgamma((tail + size) / 2) - math.lgamma(tail / 2)
    constant -= size / 2 * math.log((tail - 2) * math.pi)
    return constant - log_determinant / 2 - (tail + size) / 2 * np.log1p(square / (tail - 2))


# A network is two layers with a bend (tanh) and, past them, a straight line from input to output.
PARTS = 7


def _first(sizes: Sequence[int], chance: np.random.Generator, start: Floats) -> list[Floats]:
    given, hidden, wanted = sizes
    return [
        chance.standard_normal((given, hidden)) / math.sqrt(given),
        np.zeros(hidden),
        chance.standard_normal((hidden, hidden)) / math.sqrt(hidden),
        np.zeros(hidden),
        chance.standard_normal((hidden, wanted)) * 0.3 / math.sqrt(hidden),
        start.copy(),
        np.zeros((given, wanted)),
    ]


def _hidden(net: Sequence[Floats], rows: Floats) -> tuple[Floats, Floats]:
    one = np.tanh(rows @ net[0] + net[1])
    return one, np.tanh(one @ net[2] + net[3])


def _output(net: Sequence[Floats], rows: Floats) -> Floats:
    return np.asarray(_hidden(net, rows)[1] @ net[4] + net[5] + rows @ net[6])


def _misses(output: Floats, wanted: Floats) -> Floats:
    """Slope of half the squared miss."""
    return (output - wanted) / len(wanted)


def _surprises(output: Floats, squares: Floats) -> Floats:
    """Slope of the surprise at squared residuals, for the logarithm of their variance."""
    return (1 - squares * np.exp(-np.clip(output, -12, 6))) / (2 * len(squares))


def _slopes(net: Sequence[Floats], rows: Floats, wrong: Callable[[Floats], Floats]) -> list[Floats]:
    one, two = _hidden(net, rows)
    output = wrong(two @ net[4] + net[5] + rows @ net[6])
    back_two = (output @ net[4].T) * (1 - two**2)
    back_one = (back_two @ net[2].T) * (1 - one**2)
    return [
        rows.T @ back_one, back_one.sum(axis=0), one.T @ back_two, back_two.sum(axis=0),
        two.T @ output, output.sum(axis=0), rows.T @ output,
    ]  # fmt: skip


def _trained(
    rows: Floats,
    wanted: Floats,
    hidden: int,
    wrong: Callable[[Floats, Floats], Floats],
    seed: Sequence[int],
    decay: float,
    start: Floats | None = None,
) -> Layers:
    """Descend the slope in small batches, with steps that end small (Adam, Kingma & Ba 2015)."""
    chance = np.random.default_rng(list(seed))
    begin = np.zeros(wanted.shape[1]) if start is None else start
    net = _first((rows.shape[1], hidden, wanted.shape[1]), chance, begin)
    moment, square = ([np.zeros_like(one) for one in net] for _ in range(2))
    steps = int(min(max(len(rows), FEWEST_STEPS), MOST_STEPS))
    for step in range(1, steps + 1):
        batch = chance.integers(len(rows), size=min(BATCH, len(rows)))
        slopes = _slopes(net, rows[batch], lambda out, batch=batch: wrong(out, wanted[batch]))  # type: ignore[misc]
        rate = LEARNING_RATE * (0.5 + 0.5 * math.cos(math.pi * step / steps))
        for part, slope in enumerate(slopes):
            moment[part] += 0.1 * (slope - moment[part])
            square[part] += 0.001 * (slope**2 - square[part])
            size = np.sqrt(square[part] / (1 - 0.999**step)) + 1e-8
            net[part] -= rate * moment[part] / (1 - 0.9**step) / size
            if net[part].ndim == 2:
                net[part] *= 1 - rate * decay
    return tuple(net)
