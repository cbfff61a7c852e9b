"""Exact discrete Bayes: how likely each cause is, and what another look would teach.

A `Network` is data: variables, their states, their parents and their tables. Its posteriors are
exact, by eliminating one variable after another; nothing is sampled. The functions below it do
the same for a single list of causes, which is all that most of a diagnosis needs.
Information is in bits: one bit halves the causes that are left, when all are alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import reduce
from math import prod

import numpy as np
from numpy.typing import ArrayLike

from trimkit.units import Floats

SUM_TOLERANCE = 1e-9  # how far from 1 probabilities may add up to; assumed


@dataclass(frozen=True, slots=True)
class Variable:
    """One variable of a network, with its table.

    Parameters
    ----------
    name : str
        What it is called [-].
    states : tuple of str
        What it may be, two or more [-].
    table : tuple of tuple of float
        Probabilities of the states, one row for each combination of the parents' states; the
        last parent changes fastest. One row when there are no parents [-].
    parents : tuple of str
        Names of the variables that it depends on [-].
    """

    name: str
    states: tuple[str, ...]
    table: tuple[tuple[float, ...], ...]
    parents: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.states) < 2 or len(set(self.states)) < len(self.states):
            raise ValueError(
                f"{self.name}: states are {self.states}; two or more are needed, all different"
            )
        for number, row in enumerate(self.table, start=1):
            if len(row) != len(self.states):
                raise ValueError(
                    f"{self.name}: row {number} has {len(row)} probabilities for "
                    f"{len(self.states)} states; is the table the wrong way round?"
                )
            _distribution(row, f"{self.name}: row {number}")


@dataclass(frozen=True, slots=True)
class _Factor:
    """A table over some variables, one axis each."""

    names: tuple[str, ...]
    values: Floats


@dataclass(frozen=True, slots=True)
class Network:
    """A small Bayesian network; parents stand before their children.

    Parameters
    ----------
    variables : tuple of Variable
        All of them, causes first [-].
    """

    variables: tuple[Variable, ...]

    def __post_init__(self) -> None:
        sizes: dict[str, int] = {}
        for variable in self.variables:
            _check_place(variable, sizes)
            sizes[variable.name] = len(variable.states)

    def joint(self, names: Sequence[str], evidence: Mapping[str, str] | None = None) -> Floats:
        """Find how likely every combination of some variables is, given what was seen.

        Parameters
        ----------
        names : sequence of str
            Variables that are asked about, none of them seen [-].
        evidence : mapping of str to str
            State of each variable that was seen [-].

        Returns
        -------
        numpy.ndarray
            One axis for each name, in order; sums to 1 [-].

        Raises
        ------
        ValueError
            When a name or a state is unknown, or the evidence cannot happen.
        """
        seen = dict(evidence or {})
        self._check_question(names, seen)
        needed = self._needed({*names, *seen})
        factors = [self._factor(variable, seen) for variable in needed]
        hidden = [v.name for v in needed if v.name not in seen and v.name not in names]
        left = reduce(_product, _eliminated(factors, hidden))
        total = float(left.values.sum())
        if total == 0:
            raise ValueError(f"{seen} cannot happen by the tables; is a state mistaken?")
        order = [left.names.index(name) for name in names]
        return np.asarray(left.values.transpose(order) / total, dtype=np.float64)

    def posterior(self, evidence: Mapping[str, str] | None = None) -> dict[str, dict[str, float]]:
        """Find how likely every state of every variable is, given what was seen.

        Parameters
        ----------
        evidence : mapping of str to str
            State of each variable that was seen [-].

        Returns
        -------
        dict of str to dict of str to float
            By variable and state, for the variables that were not seen [-].
        """
        seen = dict(evidence or {})
        return {
            v.name: dict(zip(v.states, self.joint([v.name], seen).tolist(), strict=True))
            for v in self.variables
            if v.name not in seen
        }

    def mutual_information_bits(
        self, a: str, b: str, evidence: Mapping[str, str] | None = None
    ) -> float:
        """Find how much seeing one variable tells about another, on average.

        Parameters
        ----------
        a, b : str
            Names of the two variables; the order does not matter [-].
        evidence : mapping of str to str
            State of each variable that was seen before [-].

        Returns
        -------
        float
            Mutual information [bit].
        """
        joint = self.joint([a, b], evidence)
        prior = joint.sum(axis=1)
        possible = prior > 0
        rows = joint[possible] / prior[possible, None]
        return expected_information_bits(prior[possible], rows)

    def _check_question(self, names: Sequence[str], seen: Mapping[str, str]) -> None:
        known = {variable.name: variable.states for variable in self.variables}
        for name in (*names, *seen):
            if name not in known:
                raise ValueError(f"{name} is not a variable; variables are: {', '.join(known)}")
        for name, state in seen.items():
            if state not in known[name]:
                raise ValueError(f"{name} is {state!r}; allowed is {', '.join(known[name])}")
        if not names or len(set(names)) < len(names) or set(names) & set(seen):
            raise ValueError(
                f"asked about {list(names)}, seen {list(seen)}; ask about one or more variables, "
                "each once, that were not seen"
            )

    def _needed(self, names: set[str]) -> list[Variable]:
        """The variables of these names and their causes; the others change nothing."""
        needed: list[Variable] = []
        for variable in reversed(self.variables):
            if variable.name in names:
                needed.append(variable)
                names = names | set(variable.parents)
        return needed[::-1]

    def _factor(self, variable: Variable, seen: Mapping[str, str]) -> _Factor:
        states = {v.name: v.states for v in self.variables}
        names = (*variable.parents, variable.name)
        shape = [len(states[name]) for name in names]
        values = np.array(variable.table, dtype=np.float64).reshape(shape)
        cut = tuple(
            states[name].index(seen[name]) if name in seen else slice(None) for name in names
        )
        left = tuple(name for name in names if name not in seen)
        return _Factor(left, np.asarray(values[cut]))


def _check_place(variable: Variable, sizes: Mapping[str, int]) -> None:
    """Check a variable against those that stand before it."""
    if variable.name in sizes:
        raise ValueError(f"{variable.name} stands twice in the network")
    unknown = [name for name in variable.parents if name not in sizes]
    if unknown or len(set(variable.parents)) < len(variable.parents):
        raise ValueError(
            f"{variable.name}: parents are {variable.parents}; allowed is each once, and only "
            f"variables that stand before it: {', '.join(sizes) or 'none'}"
        )
    rows = prod(sizes[name] for name in variable.parents)
    if len(variable.table) != rows:
        raise ValueError(
            f"{variable.name}: the table has {len(variable.table)} rows; its parents' states "
            f"make {rows} combinations"
        )


def _eliminated(factors: list[_Factor], hidden: Iterable[str]) -> list[_Factor]:
    """Sum the hidden variables out, always the one that makes the smallest table next."""
    waiting = set(hidden)
    while waiting:
        touched = {name: [f for f in factors if name in f.names] for name in waiting}
        name = min(sorted(waiting), key=lambda one: _size(touched[one]))
        product = reduce(_product, touched[name])
        axis = product.names.index(name)
        names = product.names[:axis] + product.names[axis + 1 :]
        factors = [f for f in factors if name not in f.names]
        factors.append(_Factor(names, product.values.sum(axis=axis)))
        waiting.remove(name)
    return factors


def _size(factors: Iterable[_Factor]) -> int:
    """Size of the table that the factors multiply to."""
    sizes = {n: size for f in factors for n, size in zip(f.names, f.values.shape, strict=True)}
    return prod(sizes.values())


def _product(one: _Factor, other: _Factor) -> _Factor:
    """Multiply two tables, kept near 1 so that many small numbers do not end at 0."""
    names = tuple(dict.fromkeys(one.names + other.names))
    values = _along(one, names) * _along(other, names)
    largest = float(values.max())
    return _Factor(names, values / largest if largest > 0 else values)


def _along(factor: _Factor, names: tuple[str, ...]) -> Floats:
    """Turn a table's axes into the order of the names, with one of length 1 for each other."""
    order = [factor.names.index(name) for name in names if name in factor.names]
    sizes = dict(zip(factor.names, factor.values.shape, strict=True))
    return factor.values.transpose(order).reshape([sizes.get(name, 1) for name in names])


def entropy_bits(p: ArrayLike) -> float:
    """Say how undecided a distribution is.

    Parameters
    ----------
    p : array_like
        Probabilities that sum to 1 [-].

    Returns
    -------
    float
        Entropy: 0 when one state is certain, 1 for a fair coin [bit].

    Examples
    --------
    >>> entropy_bits([0.5, 0.25, 0.25])
    1.5
    """
    values = _distribution(p, "p")
    some = values[values > 0]
    return max(0.0, float(-(some * np.log2(some)).sum()))


def update(prior: ArrayLike, likelihoods: ArrayLike) -> Floats:
    """Find how likely each cause is after something was seen.

    Parameters
    ----------
    prior : array_like
        How likely each cause was before; sums to 1 [-].
    likelihoods : array_like
        How likely each cause makes what was seen; any common factor [-].

    Returns
    -------
    numpy.ndarray
        How likely each cause is now; sums to 1 [-].

    Examples
    --------
    >>> [round(p, 3) for p in update([0.25, 0.75], [0.9, 0.1]).tolist()]
    [0.75, 0.25]
    """
    given = np.asarray(likelihoods, dtype=np.float64)
    if not np.isfinite(given).all() or (given < 0).any():
        raise ValueError(f"likelihoods are {given}; allowed is 0 or more; are they logarithms?")
    with np.errstate(divide="ignore"):
        return log_update(prior, np.log(given))


def log_update(prior: ArrayLike, log_likelihoods: ArrayLike) -> Floats:
    """Find how likely each cause is after something was seen, from logarithms.

    Logarithms of thousands, as from many flights, do no harm.

    Parameters
    ----------
    prior : array_like
        How likely each cause was before; sums to 1 [-].
    log_likelihoods : array_like
        Natural logarithm of how likely each cause makes what was seen, -inf for never; any
        common amount may be added [-].

    Returns
    -------
    numpy.ndarray
        How likely each cause is now; sums to 1 [-].

    Raises
    ------
    ValueError
        When no cause can make what was seen.
    """
    before = _distribution(prior, "prior")
    logs = np.asarray(log_likelihoods, dtype=np.float64)
    if logs.shape != before.shape or np.isnan(logs).any() or (logs == np.inf).any():
        raise ValueError(
            f"log likelihoods are {logs}; allowed is one number below infinity for each of "
            f"{before.size} causes"
        )
    with np.errstate(divide="ignore"):
        total = np.log(before) + logs
    largest = total.max()
    if largest == -np.inf:
        raise ValueError("no cause can make what was seen; is a likelihood of 0 too strict?")
    weights = np.exp(total - largest)
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def expected_information_bits(prior: ArrayLike, outcome_likelihoods: ArrayLike) -> float:
    """Say what a look is expected to teach, before it is taken.

    Parameters
    ----------
    prior : array_like
        How likely each cause is now; sums to 1 [-].
    outcome_likelihoods : array_like
        One row for each cause: how likely it makes each outcome of the look [-].

    Returns
    -------
    float
        Expected fall of the entropy over the causes, never below 0 [bit].

    Examples
    --------
    >>> expected_information_bits([0.5, 0.5], [[1, 0], [0, 1]])
    1.0
    >>> expected_information_bits([0.5, 0.5], [[0.3, 0.7], [0.3, 0.7]])
    0.0
    """
    before = _distribution(prior, "prior")
    rows = np.asarray(outcome_likelihoods, dtype=np.float64)
    if rows.ndim != 2 or len(rows) != before.size:
        raise ValueError(
            f"outcome likelihoods have shape {rows.shape}; allowed is one row for each of "
            f"{before.size} causes; is the table the wrong way round?"
        )
    for number, row in enumerate(rows, start=1):
        _distribution(row, f"outcome likelihoods, row {number}")
    outcomes = before @ rows
    counts = (rows > 0) & (outcomes > 0)
    logs = np.log2(np.where(counts, rows, 1)) - np.log2(np.where(counts, outcomes, 1))
    return max(0.0, float(before @ (rows * logs).sum(axis=1)))


def information_per_cost(
    prior: ArrayLike, outcome_likelihoods: ArrayLike, cost_minutes: float
) -> float:
    """Say what a look is expected to teach for each minute that it takes.

    Parameters
    ----------
    prior : array_like
        How likely each cause is now; sums to 1 [-].
    outcome_likelihoods : array_like
        One row for each cause: how likely it makes each outcome of the look [-].
    cost_minutes : float
        Time of the look, more than 0 [min].

    Returns
    -------
    float
        Expected information over cost [bit/min].
    """
    if not 0 < cost_minutes < np.inf:
        raise ValueError(f"cost is {cost_minutes:g} min; allowed is more than 0")
    return expected_information_bits(prior, outcome_likelihoods) / cost_minutes


def _distribution(p: ArrayLike, name: str) -> Floats:
    """Check that numbers are probabilities of which one must happen."""
    values = np.asarray(p, dtype=np.float64)
    good = values.ndim == 1 and values.size > 0 and bool((values >= 0).all())
    if not good or abs(float(values.sum()) - 1) > SUM_TOLERANCE:
        raise ValueError(
            f"{name}: probabilities are {values}; allowed is a list of numbers from 0 up that "
            "sum to 1; are they in percent?"
        )
    return values
