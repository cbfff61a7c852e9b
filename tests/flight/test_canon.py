"""The canon notices a change of physics and nothing else."""

from __future__ import annotations

import numpy as np
import pytest

from trimkit.flight import canon, equations


def test_the_canon_is_a_dozen_flights_that_agree_with_themselves() -> None:
    stored = canon.figures()
    assert stored.shape == (12, 5)
    assert canon.agree(stored)


def test_a_small_change_of_the_physics_is_noticed() -> None:
    stored = canon.figures()
    assert not canon.agree(stored + np.array([0.0, 0.0, 0.03, 0.0, 0.0]))
    assert not canon.agree(stored[1:])


def test_no_two_flights_of_the_canon_are_alike() -> None:
    stored = canon.figures()
    for one in range(len(stored)):
        for other in range(one):
            assert np.max(np.abs(stored[one] - stored[other])) > 10 * canon.TOLERANCE


def test_figures_are_those_of_the_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    stored = canon.figures()
    warmer = [
        canon.Job(
            aeroplane=job.aeroplane,
            launch=job.launch,
            hall=canon.Hall(temperature_c=job.hall.temperature_c + 1.0),
            longest_s=job.longest_s,
            propeller=job.propeller,
        )
        for job in canon.jobs()
    ]
    monkeypatch.setattr(canon, "jobs", lambda: iter(warmer))
    assert not canon.agree(stored)
    assert pytest.approx(9.80665) == equations.GRAVITY
