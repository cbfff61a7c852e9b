"""Many flights: the same in any order and on any number of workers."""

from __future__ import annotations

import dataclasses
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

from trimkit.aeroplane import Aeroplane
from trimkit.flight import Flight, Hall, Job, Launch, fly_many


def jobs(aeroplane: Aeroplane) -> list[Job]:
    launch = Launch(turns=400, scatter=1.0)
    return [
        Job(aeroplane=aeroplane, launch=launch, hall=Hall(restless_m_s=0.02), seed=seed)
        for seed in range(12)
    ]


def ends(flights: list[Flight | ValueError]) -> list[tuple[float, ...]]:
    return [tuple(found.position_m[-1]) for found in flights if isinstance(found, Flight)]


def test_workers_and_order_do_not_matter(trainer: Aeroplane) -> None:
    wanted = jobs(trainer)
    alone = ends([job.fly() for job in wanted])
    assert len(set(alone)) == 12
    assert ends(fly_many(wanted)) == alone
    assert ends(fly_many(wanted[::-1]))[::-1] == alone
    for workers in (1, 3):
        with ThreadPoolExecutor(workers) as executor:
            assert ends(fly_many(wanted, executor)) == alone


def test_processes_give_the_same(trainer: Aeroplane) -> None:
    wanted = jobs(trainer)[:4]
    executor: Executor
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as executor:
        assert ends(fly_many(wanted, executor)) == ends(fly_many(wanted))


def test_progress_counts_up_to_all(trainer: Aeroplane) -> None:
    seen: list[tuple[int, int]] = []
    fly_many(jobs(trainer), progress=lambda done, of: seen.append((done, of)))
    assert seen[-1] == (12, 12)
    assert all(np.diff([done for done, _ in seen]) > 0)
    assert fly_many([]) == []


def test_a_refused_aeroplane_stops_all_or_keeps_its_place(trainer: Aeroplane) -> None:
    tail = dataclasses.replace(trainer.build.tail, station_mm=160.0)
    build = dataclasses.replace(trainer.build, tail=tail)
    wanted = jobs(trainer)[:3]
    wanted[1] = dataclasses.replace(wanted[1], aeroplane=dataclasses.replace(trainer, build=build))
    with pytest.raises(ValueError, match="cannot fly"):
        fly_many(wanted)
    found = fly_many(wanted, refused="keep")
    assert isinstance(found[1], ValueError)
    assert isinstance(found[0], Flight)
    assert isinstance(found[2], Flight)
