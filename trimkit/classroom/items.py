"""What a class's results say about the tasks themselves, never about one pupil.

Three old and plain figures of classical test theory: the share of pupils who got a task right;
the point-biserial correlation of a task with the rest of its lesson (the task itself taken out,
for with it every task agrees with itself); and alpha of Cronbach, which for results of 0 and 1
is formula 20 of Kuder and Richardson. A class is small, so none is given without the number of
pupils it comes from, and a figure from too few is not given at all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from trimkit.units import Floats

AGREEMENT_FROM = 10  # pupils; assumed: with 9 the interval around no agreement is 1.3 wide of 2
ALPHA_FROM = 20  # pupils; assumed: with 19 the interval of alpha .7 is .42 wide, for 8 tasks
NORMAL_95 = 1.959964  # 97.5 % point of the normal distribution
Verdict = Literal["yes", "cannot tell", "no", "no figure"]
VERDICTS: Mapping[Verdict, str] = {
    "yes": "yes",
    "cannot tell": "cannot tell from so few",
    "no": "no: read the task again before you look at the pupils",
    "no figure": "no figure",
}


@dataclass(frozen=True, slots=True)
class Item:
    """What a class's results say about one task.

    Parameters
    ----------
    task : str
        Its name [-].
    right : int
        Pupils with all points [-].
    n : int
        Pupils whose mark is known [-].
    agreement : float or None
        Correlation with the number right in the rest of the lesson, None when it has no
        meaning: too few pupils, all the same, or nothing to compare with [-].
    agreement_n : int
        Pupils that it comes from, 0 for none [-].
    """

    task: str
    right: int
    n: int
    agreement: float | None
    agreement_n: int

    @property
    def share(self) -> float | None:
        """Share of pupils who got it right, None when no mark is known [-]."""
        return self.right / self.n if self.n else None

    @property
    def interval(self) -> tuple[float, float] | None:
        """Where the agreement lies with 95 % certainty, None without one [-]."""
        if self.agreement is None:
            return None
        return correlation_interval(self.agreement, self.agreement_n)

    @property
    def verdict(self) -> Verdict:
        """Whether the task agrees with the others, as far as so few pupils can tell [-]."""
        if self.interval is None:
            return "no figure"
        low, high = self.interval
        return "yes" if low > 0 else "no" if high < 0 else "cannot tell"


@dataclass(frozen=True, slots=True)
class Alpha:
    """How well the tasks of a lesson hang together.

    Parameters
    ----------
    value : float
        Alpha [-].
    low, high : float
        Where it lies with 95 % certainty, by the F distribution (Feldt 1965) [-].
    n : int
        Pupils [-].
    tasks : int
        Tasks [-].
    """

    value: float
    low: float
    high: float
    n: int
    tasks: int


@dataclass(frozen=True, slots=True)
class Analysis:
    """All tasks of one lesson.

    Parameters
    ----------
    items : tuple of Item
        In the order given [-].
    alpha : Alpha or None
        None when there are too few pupils or it has no meaning [-].
    n : int
        Pupils who handed the lesson in and whose marks for the tasks compared are known [-].
    """

    items: tuple[Item, ...]
    alpha: Alpha | None
    n: int


def analyse(tasks: Sequence[str], right: Floats) -> Analysis:
    """Analyse a lesson.

    Parameters
    ----------
    tasks : sequence of str
        Names of the tasks [-].
    right : array
        A row for each pupil, a column for each task: 1 right, 0 not, NaN not marked yet [-].

    Returns
    -------
    Analysis
        The tasks and alpha. A task that is not marked for every pupil has a share and no
        agreement, and does not count in the rest [-].

    Raises
    ------
    ValueError
        When the table does not fit the names, or holds something else.

    Examples
    --------
    >>> table = np.array([[1, 1], [1, 0], [0, 0]])
    >>> [item.right for item in analyse(["02.1", "02.2"], table).items]
    [2, 1]
    """
    table = _checked(tasks, right)
    whole = np.array([not np.isnan(column).any() for column in table.T], bool)
    full = table[:, whole]
    places = np.cumsum(whole) - 1
    items = tuple(
        _item(name, table[:, k], full, int(places[k]) if whole[k] else None)
        for k, name in enumerate(tasks)
    )
    return Analysis(items, _alpha(full), len(full))


def point_biserial(right: Floats, score: Floats) -> float | None:
    """Correlate right and not right with a score.

    Parameters
    ----------
    right : array
        1 or 0 for each pupil [-].
    score : array
        The score of each, with the task in it or without [-].

    Returns
    -------
    float or None
        -1 to 1; None when all pupils are the same in one of them [-].

    Examples
    --------
    >>> round(point_biserial(np.array([0, 0, 1, 1]), np.array([1, 2, 3, 4])), 4)
    0.8944
    """
    x, y = np.asarray(right, float), np.asarray(score, float)
    if len(x) < 2 or np.ptp(x) == 0 or np.ptp(y) == 0:
        return None
    x, y = x - x.mean(), y - y.mean()
    return float(x @ y / math.sqrt((x @ x) * (y @ y)))


def cronbach_alpha(scores: Floats) -> float | None:
    """Work out alpha.

    Parameters
    ----------
    scores : array
        A row for each pupil, a column for each task [-].

    Returns
    -------
    float or None
        At most 1; None for fewer than two tasks or pupils, or when all pupils score the same [-].

    Examples
    --------
    >>> round(cronbach_alpha(np.array([[1, 1], [1, 0], [0, 0]])), 4)
    0.6667
    """
    table = np.asarray(scores, float)
    if min(table.shape) < 2 or np.ptp(table.sum(axis=1)) == 0:
        return None
    count = table.shape[1]
    shares = table.var(axis=0).sum() / table.sum(axis=1).var()
    return float(count / (count - 1) * (1 - shares))


def correlation_interval(value: float, n: int) -> tuple[float, float]:
    """Say where a correlation lies with 95 % certainty, by Fisher's z.

    Parameters
    ----------
    value : float
        The correlation found, -1 to 1 [-].
    n : int
        Pupils it was found in, at least 4 [-].

    Returns
    -------
    (float, float)
        Lower and upper end; for results of 0 and 1 a rough guide [-].

    Raises
    ------
    ValueError
        When there are too few pupils, or it is no correlation.

    Examples
    --------
    >>> [round(end, 2) for end in correlation_interval(0.5, 24)]
    [0.12, 0.75]
    """
    if not -1 <= value <= 1 or n < 4:
        raise ValueError(
            f"a correlation of {value:g} in {n} pupils has no interval; allowed is -1 to 1 in 4 "
            "pupils or more"
        )
    if abs(value) == 1:
        return value, value
    middle, half = math.atanh(value), NORMAL_95 / math.sqrt(n - 3)
    return math.tanh(middle - half), math.tanh(middle + half)


def alpha_interval(value: float, n: int, tasks: int) -> tuple[float, float]:
    """Say where alpha lies with 95 % certainty, by the F distribution (Feldt 1965).

    Parameters
    ----------
    value : float
        Alpha found, at most 1 [-].
    n : int
        Pupils, at least 2 [-].
    tasks : int
        Tasks, at least 2 [-].

    Returns
    -------
    (float, float)
        Lower and upper end [-].

    Raises
    ------
    ValueError
        When one of them is outside its range.

    Examples
    --------
    >>> [round(end, 2) for end in alpha_interval(0.7, 24, 8)]
    [0.48, 0.85]
    """
    if value > 1 or n < 2 or tasks < 2:
        raise ValueError(
            f"alpha {value:g} of {n} pupils and {tasks} tasks has no interval; allowed is at "
            "most 1, and two of each or more"
        )
    from scipy.stats import f

    degrees = (n - 1, (n - 1) * (tasks - 1))
    small, large = (float(f.ppf(p, *degrees)) for p in (0.025, 0.975))
    return 1 - (1 - value) * large, 1 - (1 - value) * small


def _checked(tasks: Sequence[str], right: Floats) -> Floats:
    table = np.asarray(right, float)
    if table.ndim != 2 or table.shape[1] != len(tasks):
        raise ValueError(
            f"a table of {' x '.join(map(str, table.shape))} does not fit {len(tasks)} tasks; "
            "allowed is a row for each pupil, a column for each task"
        )
    if not np.isin(table[~np.isnan(table)], (0.0, 1.0)).all():
        raise ValueError("a result is not 1, 0 or NaN; are these points, and not right or wrong?")
    return table


def _item(name: str, column: Floats, full: Floats, place: int | None) -> Item:
    known = column[~np.isnan(column)]
    agreement, n = None, 0
    if place is not None and len(full) >= AGREEMENT_FROM and full.shape[1] > 1:
        agreement = point_biserial(full[:, place], full.sum(axis=1) - full[:, place])
        n = len(full) if agreement is not None else 0
    return Item(name, int(known.sum()), len(known), agreement, n)


def _alpha(full: Floats) -> Alpha | None:
    n, tasks = full.shape
    value = cronbach_alpha(full) if n >= ALPHA_FROM else None
    if value is None:
        return None
    return Alpha(value, *alpha_interval(value, n, tasks), n, tasks)
