"""The kept study of plans: true flights lie inside the spread about as often as it states."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from tests.studies import recovery
from tests.studies.plan_study import NAME, RESULT, summed
from trimkit.flight import canon


@pytest.fixture(scope="module")
def study() -> dict[str, Any]:
    return dict(json.loads(RESULT.read_text("utf-8")))


def test_the_study_is_of_this_physics(study: dict[str, Any]) -> None:
    assert canon.agree(np.array(study["canon"])), "run python -m tests.studies.plan_study again"


def test_the_sums_are_those_of_the_rows(study: dict[str, Any]) -> None:
    assert summed(study["rows"]) == {name: study[name] for name in summed(study["rows"])}


def test_true_flights_lie_inside_the_spread_about_as_stated(study: dict[str, Any]) -> None:
    # flights of one aeroplane hang together: count aeroplanes, three standard errors
    for what in ("time", "height"):
        shares = [row[what] / recovery.TRUE_FLIGHTS for row in study["rows"] if what in row]
        error = float(np.std(shares, ddof=1)) / len(shares) ** 0.5
        assert abs(study[f"{what}_inside"] - study["stated"]) <= 3 * error, (what, shares)


@pytest.mark.study
def test_a_kept_plan_comes_out_the_same() -> None:
    row = next(one for one in json.loads(RESULT.read_text("utf-8"))["rows"] if "time" in one)
    assert recovery.planned(NAME, row["seed"]) == row
