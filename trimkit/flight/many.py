"""Fly thousands of times, on every core or on a cluster, with the same results in any order."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from concurrent.futures import Executor, Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass, field
from typing import Literal

from trimkit.aeroplane import Aeroplane
from trimkit.flight.fly import LONGEST_S, SAMPLES_PER_S, STEP_S, fly, prepare
from trimkit.flight.hall import Hall
from trimkit.flight.launch import Launch
from trimkit.flight.record import Flight

CHUNKS_PER_WORKER, LARGEST_CHUNK = 4, 64


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One flight to be flown; the fields are those of `fly`.

    Parameters
    ----------
    aeroplane : Aeroplane
        As built and set [-].
    launch : Launch
        How it leaves the hand, with its turns [-].
    hall : Hall
        The hall [-].
    seed : int
        Chooses the scatter of the launch and the swings of the air [-].
    step_s : float
        Step of the integration [s].
    samples_per_s : float
        Rows of the history for each second [1/s].
    longest_s : float
        The flight is cut off then [s].
    propeller : bool
        False takes the propeller's forces away [-].
    """

    aeroplane: Aeroplane
    launch: Launch
    hall: Hall = field(default_factory=Hall)
    seed: int = 0
    step_s: float = STEP_S
    samples_per_s: float = SAMPLES_PER_S
    longest_s: float = LONGEST_S
    propeller: bool = True

    def fly(self) -> Flight:
        """Fly it.

        Returns
        -------
        Flight
            What it did [-].
        """
        return fly(
            self.aeroplane,
            launch=self.launch,
            hall=self.hall,
            seed=self.seed,
            step_s=self.step_s,
            samples_per_s=self.samples_per_s,
            longest_s=self.longest_s,
            propeller=self.propeller,
        )


Refusal = Literal["raise", "keep"]


def fly_many(
    jobs: Iterable[Job],
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    *,
    refused: Refusal = "raise",
) -> list[Flight | ValueError]:
    """Fly many times.

    Parameters
    ----------
    jobs : iterable of Job
        The flights; each carries its own seed, so neither order nor workers change a result [-].
    executor : concurrent.futures.Executor or None
        Where to fly; None for a thread on each core. A pool of processes or a Dask cluster's
        `client.get_executor()` will do as well [-].
    progress : callable or None
        Called with flights done and flights in all, whenever some are done [-].
    refused : {"raise", "keep"}
        An aeroplane that cannot fly stops all, or leaves its error in its place [-].

    Returns
    -------
    list of Flight
        In the order of the jobs; with "keep" also a ValueError where one was refused [-].

    Raises
    ------
    ValueError
        When an aeroplane cannot fly and `refused` is "raise".
    """
    wanted = list(jobs)
    if executor is not None:
        return _flown(wanted, executor, _workers(executor), progress, refused)
    prepare()
    workers = min(os.cpu_count() or 1, max(len(wanted), 1))
    with ThreadPoolExecutor(workers) as threads:
        return _flown(wanted, threads, workers, progress, refused)


def _workers(executor: Executor) -> int:
    return int(getattr(executor, "_max_workers", 0) or os.cpu_count() or 1)


def _flown(
    jobs: list[Job],
    executor: Executor,
    workers: int,
    progress: Callable[[int, int], None] | None,
    refused: Refusal,
) -> list[Flight | ValueError]:
    size = min(max(len(jobs) // (CHUNKS_PER_WORKER * workers), 1), LARGEST_CHUNK)
    starts: dict[Future[list[Flight | ValueError]], int] = {}
    for first in range(0, len(jobs), size):
        starts[executor.submit(_fly_chunk, jobs[first : first + size], refused)] = first
    found: list[Flight | ValueError] = [ValueError("not flown")] * len(jobs)
    done = 0
    try:
        for future in as_completed(starts):
            flights = future.result()
            found[starts[future] : starts[future] + len(flights)] = flights
            done += len(flights)
            if progress is not None:
                progress(done, len(jobs))
    finally:
        for future in starts:
            future.cancel()
    return found


def _fly_chunk(jobs: list[Job], refused: Refusal) -> list[Flight | ValueError]:
    return [_fly_one(job, refused) for job in jobs]


def _fly_one(job: Job, refused: Refusal) -> Flight | ValueError:
    try:
        return job.fly()
    except ValueError as problem:
        if refused == "keep":
            return problem
        raise
