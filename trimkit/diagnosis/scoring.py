"""Marks for a stated belief, and for how well four words of certainty are kept.

The marks come from the quadratic score (Brier, Monthly Weather Review 78, 1950, 1). It is
proper: whoever states what they believe expects the most. The logarithmic score is proper as
well, but one wrong "never" costs without limit, and a mark must stay between 0 and 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import comb

from trimkit.log import CERTAINTY

SUM_TOLERANCE = 1e-9  # how far from 1 a stated belief may add up to; assumed
SURPRISE = 0.05  # a count that luck makes this seldom is called too sure or too shy; assumed


def quadratic_score(stated: Mapping[str, float], truth: str) -> float:
    """Mark a stated belief against the truth.

    Parameters
    ----------
    stated : mapping of str to float
        How likely each class is said to be; sums to 1 [-].
    truth : str
        The class that it was [-].

    Returns
    -------
    float
        1 for being certain of the truth, 0 for being certain of another class [-].

    Examples
    --------
    >>> quadratic_score({"warp": 0.5, "skew": 0.5}, "warp")
    0.75
    """
    _check_belief(stated)
    if truth not in stated:
        raise ValueError(f"the truth is {truth!r}; classes stated are: {', '.join(stated)}")
    return 1 - sum((p - (name == truth)) ** 2 for name, p in stated.items()) / 2


def belief(said: str, certainty: str, classes: Sequence[str]) -> dict[str, float]:
    """Turn one class and a word of certainty into a belief over all classes.

    Parameters
    ----------
    said : str
        The class that was named [-].
    certainty : str
        One of the four words [-].
    classes : sequence of str
        All classes, each once; what the word leaves is shared evenly among the others [-].

    Returns
    -------
    dict of str to float
        How likely each class is said to be; sums to 1 [-].
    """
    if said not in classes or len(classes) < 2 or len(set(classes)) < len(classes):
        raise ValueError(
            f"{said!r} was named; allowed is one of two or more different classes: "
            f"{', '.join(classes)}"
        )
    sure = _chance(certainty)
    rest = (1 - sure) / (len(classes) - 1)
    return {name: sure if name == said else rest for name in classes}


def merged(stated: Mapping[str, float], groups: Iterable[Sequence[str]]) -> dict[str, float]:
    """Put classes that nothing tells apart together.

    Parameters
    ----------
    stated : mapping of str to float
        How likely each class is said to be [-].
    groups : iterable of sequence of str
        Names that count as one class, called by the first of them [-].

    Returns
    -------
    dict of str to float
        The belief with each group as one class [-].

    Examples
    --------
    >>> merged({"a": 0.25, "b": 0.5, "c": 0.25}, [("a", "c")])
    {'a': 0.5, 'b': 0.5}
    """
    called: dict[str, str] = {}
    for group in groups:
        for name in group:
            if name in called or name not in stated:
                raise ValueError(
                    f"{name!r} is grouped; allowed is each class once: {', '.join(stated)}"
                )
            called[name] = group[0]
    together: dict[str, float] = {}
    for name, p in stated.items():
        one = called.get(name, name)
        together[one] = together.get(one, 0.0) + p
    return together


def certainty_score(certainty: str, came_true: bool) -> float:
    """Mark one word of certainty against what happened.

    Parameters
    ----------
    certainty : str
        One of the four words [-].
    came_true : bool
        Whether what was said with it was so [-].

    Returns
    -------
    float
        The quadratic score of the word's chance, 0 to 1 [-].

    Examples
    --------
    >>> round(certainty_score("would bet my motor", False), 4)
    0.0975
    """
    return 1 - (_chance(certainty) - bool(came_true)) ** 2


@dataclass(frozen=True, slots=True)
class Calibration:
    """How often one word of certainty came true.

    Parameters
    ----------
    certainty : str
        The word [-].
    true, said : int
        How often it came true, of how often it was said [-].
    """

    certainty: str
    true: int
    said: int

    def __post_init__(self) -> None:
        _chance(self.certainty)
        if not 0 <= self.true <= self.said:
            raise ValueError(
                f"{self.true} of {self.said} came true; allowed is 0 up to how often it was said"
            )

    @property
    def verdict(self) -> str:
        """Whether luck alone is unlikely: "too sure", "too shy" or "" for neither [-]."""
        chance = _chance(self.certainty)
        if _at_most(self.true, self.said, chance) < SURPRISE:
            return "too sure"
        if _at_most(self.said - self.true, self.said, 1 - chance) < SURPRISE:
            return "too shy"
        return ""


def calibration(said: Iterable[tuple[str, bool]]) -> tuple[Calibration, ...]:
    """Count how often each word of certainty came true.

    Parameters
    ----------
    said : iterable of (str, bool)
        A word, and whether what was said with it was so [-].

    Returns
    -------
    tuple of Calibration
        Counts for all four words, the least sure first; counts only, no ability score [-].
    """
    counts = {word: [0, 0] for word in CERTAINTY}
    for word, came_true in said:
        _chance(word)
        counts[word][0] += bool(came_true)
        counts[word][1] += 1
    return tuple(Calibration(word, true, total) for word, (true, total) in counts.items())


def _chance(certainty: str) -> float:
    if certainty not in CERTAINTY:
        raise ValueError(f"certainty is {certainty!r}; allowed is {', '.join(CERTAINTY)}")
    return CERTAINTY[certainty]


def _check_belief(stated: Mapping[str, float]) -> None:
    total = sum(stated.values())
    if not abs(total - 1) <= SUM_TOLERANCE or min(stated.values()) < 0:
        raise ValueError(
            f"a belief sums to {total:g}; allowed is numbers from 0 up that sum to 1; "
            "are they in percent?"
        )


def _at_most(true: int, said: int, chance: float) -> float:
    """Chance of so few or fewer coming true: the binomial tail, exact."""
    return sum(comb(said, n) * chance**n * (1 - chance) ** (said - n) for n in range(true + 1))
