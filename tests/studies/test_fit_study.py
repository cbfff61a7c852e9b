"""The kept study of recovery: the intervals of a fit hold the truth at the rate they state."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from scipy.stats import binom

from tests.studies import recovery
from tests.studies.fit_study import NAME, RESULT
from trimkit.flight import canon


@pytest.fixture(scope="module")
def study() -> dict[str, Any]:
    return dict(json.loads(RESULT.read_text("utf-8")))


def test_the_study_is_of_this_physics(study: dict[str, Any]) -> None:
    assert canon.agree(np.array(study["canon"])), "run python -m tests.studies.fit_study again"


@pytest.mark.parametrize("part", ["figures", "motor"])
def test_intervals_hold_the_truth_at_their_rate(study: dict[str, Any], part: str) -> None:
    for name, told in study[part].items():
        low, high = binom.interval(0.999, told["of"], study["stated"])
        assert low <= round(told["held"] * told["of"]) <= high or told["held"] > study["stated"], (
            f"{part}, {name}: {told}"
        )


def test_most_aeroplanes_can_be_fitted(study: dict[str, Any]) -> None:
    assert study["refused"] <= 0.15 * len(study["rows"])


@pytest.mark.study
def test_a_kept_aeroplane_comes_out_the_same() -> None:
    row = json.loads(RESULT.read_text("utf-8"))["rows"][1]
    assert recovery.recovered(NAME, row["seed"])["held"] == row["held"]
