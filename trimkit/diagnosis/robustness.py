"""How far what is believed may move before a mark does.

Nobody knows how often each fault is met, and the likelihoods come from a fit. So a log is marked
again with the evidence weighed from half to twice as much, and with other guesses at how often
each fault is met. A mark that flips under a small move should not be argued about.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import labels, marks, reference
from trimkit.diagnosis.labels import Labelled, Reasoner, Trail
from trimkit.diagnosis.marks import WEIGHTS, Marks
from trimkit.log import Log

SCALES = (0.5, 0.6, 0.7, 0.8, 0.9, 1.1, 1.25, 1.5, 1.75, 2.0)  # of the evidence's logarithm
DRAWS = 40  # other guesses at how often each fault is met
FACTOR = 2.0  # a guess is off by this factor, one standard deviation; assumed
SEED = 17
FLIP = 0.05  # a score that moves by more has flipped; assumed
LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """How far a mark is from flipping.

    Parameters
    ----------
    marks : Marks
        With evidence and priors as they are [-].
    fewest : float
        The evidence may be weighed down to this before the total flips, 0.5 for not at all [-].
    most : float
        The evidence may be weighed up to this before the total flips, 2 for not at all [-].
    flipped : float
        Part of the other guesses at how often each fault is met that flip the total [-].
    moves : mapping of str to float
        Largest move of each score, over all of it [-].
    relabelled : tuple of int
        Entries whose label changed in any of it [-].
    """

    marks: Marks
    fewest: float
    most: float
    flipped: float
    moves: Mapping[str, float]
    relabelled: tuple[int, ...]

    def words(self) -> str:
        """Say how firm the mark is.

        Returns
        -------
        str
            A few sentences [-].
        """
        loose = [f"{name} ({move:.2f})" for name, move in self.moves.items() if move > FLIP]
        parts = [
            f"The total is {self.marks.total:.2f}. It holds with the evidence weighed from "
            f"{self.fewest:g} to {self.most:g} times.",
            f"{self.flipped:.0%} of other guesses at how often each fault is met move it by "
            f"more than {FLIP:g}.",
            f"What moves most: {', '.join(loose)}." if loose else "No score moves by more.",
        ]
        return " ".join(parts)


def sensitivity(
    log: Log,
    aeroplane: Aeroplane,
    truth: str | Sequence[str],
    reasoner: Reasoner | None = None,
) -> Sensitivity:
    """Mark a log again and again, with what is believed moved.

    The steps that were on offer and the reference's minutes stay as they are.

    Parameters
    ----------
    log : Log
        The log of a case, whole [-].
    aeroplane : Aeroplane
        As planned [-].
    truth : str or sequence of str
        The fault, the faults, or "nothing" [-].
    reasoner : Reasoner or None
        The reference; None for the stored library [-].

    Returns
    -------
    Sensitivity
        How far the mark is from flipping [-].
    """
    judge = reasoner or reference.Stored()
    along = labels.trail(log, aeroplane, judge)
    truths = marks.checked_truths(along, truth)
    prior = judge.posterior(Log(), aeroplane).probabilities
    minutes = math.fsum(reference.minutes(aeroplane, one, judge) for one in truths)
    plain = marks.marked(along, truths, minutes)
    even = dict.fromkeys(prior, 1.0)
    scaled = {
        scale: marks.marked(_moved(along, prior, scale, even), truths, minutes) for scale in SCALES
    }
    guessed = [
        marks.marked(_moved(along, prior, 1.0, factors), truths, minutes)
        for factors in _factors(list(prior))
    ]
    everything = [*scaled.values(), *guessed]
    return Sensitivity(
        plain,
        _last_good(plain, scaled, [one for one in reversed(SCALES) if one < 1]),
        _last_good(plain, scaled, [one for one in SCALES if one > 1]),
        round(sum(_flips(plain, one) for one in guessed) / len(guessed), 3),
        MappingProxyType(_moves(plain, everything)),
        _relabelled(plain.labels, everything),
    )


def _factors(names: Sequence[str]) -> list[dict[str, float]]:
    """Other guesses at how often each fault is met, always the same ones."""
    draws = np.random.default_rng(SEED).standard_normal((DRAWS, len(names)))
    return [
        dict(zip(sorted(names), np.exp(math.log(FACTOR) * row).tolist(), strict=True))
        for row in draws
    ]


def moved(
    chances: Mapping[str, float],
    prior: Mapping[str, float],
    scale: float,
    factors: Mapping[str, float],
) -> dict[str, float]:
    """Weigh the evidence otherwise, and the prior too.

    Parameters
    ----------
    chances : mapping of str to float
        How likely each fault is after the evidence [-].
    prior : mapping of str to float
        How likely each was before it [-].
    scale : float
        The logarithm of the evidence is multiplied by it [-].
    factors : mapping of str to float
        The prior is multiplied by them [-].

    Returns
    -------
    dict of str to float
        How likely each is then; sums to 1 [-].

    Examples
    --------
    >>> moved({"a": 0.8, "b": 0.2}, {"a": 0.5, "b": 0.5}, 0.5, {"a": 1, "b": 1})["a"]
    0.6666666666666666
    """
    logs = {
        name: math.log(max(prior[name] * factors[name], LEAST))
        + scale * (math.log(max(p, LEAST)) - math.log(max(prior[name], LEAST)))
        for name, p in chances.items()
    }
    top = max(logs.values())
    weights = {name: math.exp(one - top) for name, one in logs.items()}
    total = math.fsum(weights.values())
    return {name: one / total for name, one in weights.items()}


def _moved(
    along: Trail, prior: Mapping[str, float], scale: float, factors: Mapping[str, float]
) -> Trail:
    points = tuple(
        replace(
            point,
            before=moved(point.before, prior, scale, factors),
            after=moved(point.after, prior, scale, factors),
        )
        for point in along.points
    )
    return replace(along, points=points, belief=moved(along.belief, prior, scale, factors))


def _flips(plain: Marks, other: Marks) -> bool:
    return round(abs(other.total - plain.total), 3) > FLIP


def _last_good(plain: Marks, scaled: Mapping[float, Marks], outwards: Sequence[float]) -> float:
    """The last scale, going outwards from 1, before the total flips."""
    last = 1.0
    for scale in outwards:
        if _flips(plain, scaled[scale]):
            break
        last = scale
    return last


def _moves(plain: Marks, others: Collection[Marks]) -> dict[str, float]:
    return {
        name: round(max(abs(other[name] - plain[name]) for other in others), 3) for name in WEIGHTS
    }


def _relabelled(plain: Sequence[Labelled], others: Collection[Marks]) -> tuple[int, ...]:
    return tuple(
        one.number
        for place, one in enumerate(plain)
        if any(other.labels[place].label != one.label for other in others)
    )
