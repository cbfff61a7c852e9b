"""Building the library: fly what `samples` draws, fit it, and try it on what was kept back.

What has been flown is added, a block at a time, to a working file; a build that was stopped goes on
from there. One pair in three flies a demo aeroplane, the others one of a fleet of drawn ones.
Observer's errors are left out of the fit: whoever uses the response adds them, for what was
really seen.

One pair in twenty is not fitted to. On those, with observer's errors, the true fault has to be
found among all. A bell of two dozen features that is only nearly the true one makes anybody far too
sure, so likelihoods are taken to the power under which the true faults are likeliest there.
"""

from __future__ import annotations

import functools
import json
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import astuple, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from trimkit import files, fleet, observe
from trimkit.aeroplane import Aeroplane
from trimkit.diagnosis import bayes, causes, deviations, response, samples
from trimkit.diagnosis.causes import Setup
from trimkit.diagnosis.deviations import Design
from trimkit.diagnosis.library import FORMAT, Library, Trial
from trimkit.diagnosis.response import Flown, Response
from trimkit.diagnosis.samples import Sample
from trimkit.flight import Flight, canon, fly_many
from trimkit.settings import SETTINGS
from trimkit.units import Floats, checked

FLIGHTS, FEWEST, MOST = 13824, 120, 1_000_000
FLEET = 120  # plans drawn; a few are rejected
FEWEST_FOR_FLEET = 2400  # flights for which a whole fleet is worth its minutes
BLOCK = 64  # pairs of flights between two writes
KEPT_BACK = 20  # one pair in so many
MOST_TRIED = 200  # pairs
TEMPERS = (1.0, 0.7, 0.5, 0.35, 0.25, 0.18)  # powers of the likelihood
FEW, USUAL_TEMPER = 40, 0.35  # with fewer aeroplanes to try, the power is not fitted but this
ADJUSTED = tuple(name for name in SETTINGS if name != "turns")
TWO = "two"  # faults at once

Progress = Callable[[str, int, int], None]


def build(
    flights: int = FLIGHTS,
    seed: int = 1,
    executor: Executor | None = None,
    progress: Progress | None = None,
    resume: Path | None = None,
) -> Library:
    """Fly a library and fit it.

    Parameters
    ----------
    flights : int
        How many, 120 to a million; below 2400 only the demo aeroplanes fly [-].
    seed : int
        The same seed gives the same library, whatever the executor [-].
    executor : concurrent.futures.Executor or None
        Where to fly; None for a thread on each core. A pool of processes or a Dask cluster's
        `client.get_executor()` will do as well; trimkit itself does not need Dask [-].
    progress : callable or None
        Called with what is counted ("aeroplanes", "flights" or "networks"), how many are done,
        and how many there are in all [-].
    resume : pathlib.Path or None
        Working file that keeps what has been flown; a build that was stopped goes on with it [-].

    Returns
    -------
    Library
        Fitted, not yet saved [-].

    Raises
    ------
    ValueError
        When the working file belongs to another build.
    """
    checked("flights", flights, FEWEST, MOST, "count single flights")
    tell = progress or (lambda *_: None)
    head = {"format": FORMAT, "flights": flights, "seed": seed, "canon": canon.figures().tolist(),
            "deviations": list(deviations.NAMES)}  # fmt: skip
    work = _Work(resume, head)
    planes = _planes(work, flights, seed, executor, tell)
    pairs = (flights + 1) // 2
    for first in range(BLOCK * len(work.blocks), pairs, BLOCK):
        block = [one for pair in range(first, min(first + BLOCK, pairs))
                 for one in samples.draw(planes, pair, seed)]  # fmt: skip
        told = functools.partial(_tell_flights, tell, 2 * first, flights)
        work.add(list(_rows(block, fly_many((s.job for s in block), executor, told,
                                            refused="keep"))))  # fmt: skip
    rows = [row for block in work.blocks for row in block]
    told = functools.partial(tell, "networks")
    fitted = response.fit(_flown([r for r in rows if not _kept_back(r)], planes), seed, told)
    kept = [row for row in rows if _kept_back(row)]
    wider, trial = tried(fitted, planes, kept, seed, functools.partial(tell, "trials"))
    return Library(wider, len(rows), seed, canon.figures(), trial)


def _tell_flights(tell: Progress, before: int, flights: int, done: int, _: int) -> None:
    tell("flights", min(before + done, flights), flights)


@dataclass(frozen=True, slots=True)
class Row:
    """What is kept of one flight.

    Parameters
    ----------
    pair : int
        Number of the aeroplane with its faults and its own build [-].
    repeat : bool
        Flown like the one before it [-].
    plane : int
        Which of the aeroplanes [-].
    fault : str
        The true fault, "nothing", or "two" [-].
    ratio : float
        Torque over level torque, by the log's turns [-].
    turns : float
        Turns by the log [turns].
    changes : tuple of float
        Amounts of the settings, in the order of `ADJUSTED` [in the unit of each].
    deviations : tuple of float
        In the order of `deviations.NAMES` [-].
    features : tuple of float
        Exact, in the order of `observe.NAMES` [in the unit of each].
    """

    pair: int
    repeat: bool
    plane: int
    fault: str
    ratio: float
    turns: float
    changes: tuple[float, ...]
    deviations: tuple[float, ...]
    features: tuple[float, ...]

    def seen(self) -> dict[str, float]:
        """Return the exact features by name.

        Returns
        -------
        dict of str to float
            Features [in the unit of each].
        """
        return dict(zip(observe.NAMES, self.features, strict=True))

    def setup(self) -> Setup:
        """Return how it was flown, as a log would tell it.

        Returns
        -------
        Setup
            Changes and turns [-].
        """
        moved = dict(zip(ADJUSTED, self.changes, strict=True))
        changes = {name: amount for name, amount in moved.items() if amount}
        return Setup(changes, frozenset(), self.turns)


def _kept_back(row: Row) -> bool:
    return row.pair % KEPT_BACK == KEPT_BACK - 1


def _rows(block: Sequence[Sample], flown: Sequence[Flight | ValueError]) -> Iterator[Row]:
    """What is kept of each flight that could be flown."""
    for sample, flight in zip(block, flown, strict=True):
        if isinstance(flight, Flight):
            names = list(sample.faults) or [causes.NOTHING]
            yield Row(
                pair=sample.pair,
                repeat=sample.repeat,
                plane=sample.plane,
                fault=names[0] if len(names) == 1 else TWO,
                ratio=sample.ratio,
                turns=sample.turns,
                changes=tuple(sample.change.amounts.get(name, 0.0) for name in ADJUSTED),
                deviations=sample.deviations,
                features=tuple(np.round(observe.watch(flight).vector(), 6).tolist()),
            )


def _planes(
    work: _Work, flights: int, seed: int, executor: Executor | None, tell: Progress
) -> tuple[Design, ...]:
    """The demo aeroplanes and, for a library of some size, a fleet; drawn once for a build."""
    drawn = [files.loads(text) for text in work.aeroplanes or ()]
    if work.aeroplanes is None:
        count = FLEET if flights >= FEWEST_FOR_FLEET else 0
        told = functools.partial(tell, "aeroplanes")
        drawn = list(fleet.draw_many(count, seed, told, executor).aeroplanes) if count else []
        drawn = [files.loads(files.dumps(one)) for one in drawn]  # as they will be read again
        drawn = [one for one in drawn if _can_be_described(one)]
        work.keep_aeroplanes([files.dumps(one) for one in drawn])
    return tuple(deviations.design(one) for one in (*canon.demo_aeroplanes(), *drawn))


def _can_be_described(aeroplane: Aeroplane) -> bool:
    try:
        response.described(deviations.design(aeroplane))
    except ValueError:
        return False
    return True


class _Work:
    """What has been flown so far: one line of JSON for the build, the fleet and each block."""

    def __init__(self, path: Path | None, head: dict[str, Any]) -> None:
        self.path = path
        self.aeroplanes: list[str] | None = None
        self.blocks: list[list[Row]] = []
        lines = path.read_text("utf-8").split("\n") if path and path.exists() else []
        whole = [json.loads(line) for line in lines[:-1]]  # a line without its end was cut short
        if whole and whole[0] != head:
            raise ValueError(
                f"{path.name if path else ''} belongs to another build (other flights, seed, "
                "physics or version); delete it, or give another name"
            )
        if path:
            path.write_text("".join(f"{line}\n" for line in lines[:-1]), "utf-8")
        if not whole:
            self._write(head)
        if len(whole) > 1:
            self.aeroplanes = whole[1]
            self.blocks = [[_row(plain) for plain in block] for block in whole[2:]]

    def keep_aeroplanes(self, texts: list[str]) -> None:
        self.aeroplanes = texts
        self._write(texts)

    def add(self, rows: list[Row]) -> None:
        self.blocks.append(rows)
        self._write([list(astuple(row)) for row in rows])

    def _write(self, content: object) -> None:
        if self.path:
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(content) + "\n")
                file.flush()
                os.fsync(file.fileno())


def _row(plain: list[Any]) -> Row:
    given: list[Any] = [tuple(one) if isinstance(one, list) else one for one in plain]
    return Row(*given)


def _flown(rows: Sequence[Row], planes: Sequence[Design]) -> Flown:
    descriptors = np.array([response.described(plan) for plan in planes])
    return Flown(
        deviations=np.array([row.deviations for row in rows]),
        ratios=np.array([row.ratio for row in rows]),
        descriptors=descriptors[[row.plane for row in rows]],
        features=np.array([response.scaled(row.seen(), row.turns)[0] for row in rows]),
        pairs=np.array([row.pair for row in rows]),
        repeats=np.array([row.repeat for row in rows]),
        known=descriptors[: len(canon.NAMES)],
    )


def tried(
    fitted: Response,
    planes: Sequence[Design],
    kept: Sequence[Row],
    seed: int,
    progress: Callable[[int, int], None],
) -> tuple[Response, Trial]:
    """Try a response on aeroplanes that it was not fitted to, and make it as sure as it may be.

    Parameters
    ----------
    fitted : Response
        As fitted [-].
    planes : sequence of Design
        The aeroplanes of the library [-].
    kept : sequence of Row
        Flights that were kept back [-].
    seed : int
        Chooses the observer's errors [-].
    progress : callable
        Called with aeroplanes tried and aeroplanes in all [-].

    Returns
    -------
    (Response, Trial)
        Tempered, and how it fared [-].
    """
    pairs = sorted({row.pair for row in kept if row.fault != TWO})[:MOST_TRIED]
    cases = [[row for row in kept if row.pair == pair] for pair in pairs]
    logs = []
    for number, case in enumerate(cases, start=1):
        logs.append(_logs(fitted, planes[case[0].plane], case, [seed, 91, case[0].pair]))
        progress(number, len(cases))
    truths = [case[0].fault for case in cases]
    allowed = TEMPERS if len(cases) >= FEW else (USUAL_TEMPER,)
    every = [[_chances(one, temper) for one in logs] for temper in allowed]
    best = int(np.argmax([_score(chances, truths) for chances in every]))
    return replace(fitted, temper=allowed[best]), _trial(every[best], truths)


def _logs(fitted: Response, plan: Design, case: Sequence[Row], seed: Sequence[int]) -> Floats:
    """How well each cause explains the flights of one aeroplane."""
    chance = np.random.default_rng(list(seed))
    read = [response.scaled(observe.misread(row.seen(), chance), row.turns) for row in case]
    seen, errors = (np.array([one[place] for one in read]) for place in (0, 1))
    ahead = causes.outlook(fitted, plan, [row.setup() for row in case])
    return causes.possible(plan, causes.flight_logs(fitted, ahead, seen, errors))


def _chances(logs: Floats, temper: float) -> dict[str, float]:
    """How likely each fault is, the likeliest first."""
    return causes.by_fault(bayes.log_update(causes.prior(), temper * logs))


def _score(chances: Sequence[dict[str, float]], truths: Sequence[str]) -> float:
    """Mean logarithm of the chance that was given to the truth."""
    given = [one[truth] for one, truth in zip(chances, truths, strict=True)]
    return float(np.mean(np.log(np.maximum(given, 1e-9)))) if given else 0.0


def _trial(chances: Sequence[dict[str, float]], truths: Sequence[str]) -> Trial:
    ranks = [list(one).index(truth) for one, truth in zip(chances, truths, strict=True)]
    if not ranks:
        return Trial(0, 0.0, 0.0, 0.0)
    stated = float(np.mean([max(one.values()) for one in chances]))
    first, three = (sum(rank < most for rank in ranks) / len(ranks) for most in (1, 3))
    return Trial(len(ranks), first, three, stated)
