"""The kept blind study is fresh, and says how far the reference and its advice are to be trusted.

What was aimed at and is not reached stands here as an expected failure with the figure measured.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.studies import blind, confusion
from tests.studies.blind_study import AIMS, PLANS, RESULT, SAMPLE, STAGES, WORLDS, worked
from trimkit import fleet
from trimkit.diagnosis import deviations, library
from trimkit.flight import canon

KEPT: dict[str, Any] = json.loads(RESULT.read_text("utf-8"))
AGAIN = "run python -m tests.studies.blind_study again"
BY_CHANCE = 1 / 43  # one fault of the catalogue


def test_the_study_is_of_this_physics_and_this_library() -> None:
    assert canon.agree(np.array(KEPT["canon"])), AGAIN
    assert KEPT["library"] == library.fresh().flights, AGAIN


@pytest.mark.parametrize("world", WORLDS.values())
def test_five_hundred_cases_were_worked_on_and_most_had_a_fault(world: str) -> None:
    assert KEPT[world]["cases"] >= 495
    assert 0.8 < KEPT[world]["with a fault"] / KEPT[world]["cases"] < 0.98


@pytest.mark.parametrize("world", WORLDS.values())
def test_every_step_teaches(world: str) -> None:
    """Two powers say more than one flight, and the bench says most."""
    first = [KEPT[world][stage]["first"] for stage in STAGES[:3]]
    assert 5 * BY_CHANCE < first[0] < first[1] < first[2] - 0.15


RESISTS = {
    (False, "first"): "79 % of 440, aim 90 %",
    (False, "among three"): "85 % of 440, aim 99 %",
    (True, "first"): "73 % of 440, aim 80 %",
    (True, "among three"): "81 % of 440, aim 95 %",
}


@pytest.mark.parametrize("place", [0, 1], ids=["first", "among three"])
@pytest.mark.parametrize("perturbed", WORLDS)
def test_the_true_fault_is_found_in_five_actions(
    perturbed: bool, place: int, request: pytest.FixtureRequest
) -> None:
    name = ("first", "among three")[place]
    reason = RESISTS[perturbed, name]
    request.applymarker(pytest.mark.xfail(strict=True, reason=reason))
    assert KEPT[WORLDS[perturbed]]["five actions"][name] >= AIMS[perturbed][place]


@pytest.mark.xfail(strict=True, reason="196 of 292 in at most six flights (67 %), aim 90 %")
def test_following_the_advice_cures() -> None:
    cure = KEPT[WORLDS[False]]["cure"]
    assert cure["cured"] >= 0.9 * cure["others"]


def test_the_advice_cures_more_often_where_a_setting_can_help() -> None:
    cure = KEPT[WORLDS[False]]["cure"]
    assert cure["of those cured"] / cure["a setting can help"] > cure["cured"] / cure["others"]
    assert cure["cured"] > 0.4 * cure["others"]


@pytest.mark.parametrize("stage", STAGES[:3])
def test_what_is_stated_comes_as_often(stage: str) -> None:
    """Within three standard errors."""
    found = KEPT[WORLDS[False]][stage]
    assert abs(found["stated"] - found["came"]) < 3 * np.sqrt(0.25 / KEPT[WORLDS[False]]["cases"])
    assert found["Brier"] < found["uncertainty"]


@pytest.mark.xfail(strict=True, reason="flights alone, six of them: .61 stated, .45 came")
def test_six_flights_alone_are_not_believed_too_much() -> None:
    found = KEPT[WORLDS[False]]["five flights"]
    assert abs(found["stated"] - found["came"]) < 0.1


def test_the_parts_of_the_brier_score_add_up() -> None:
    for world in WORLDS.values():
        for stage in STAGES:
            found = KEPT[world][stage]
            whole = found["reliability"] - found["resolution"] + found["uncertainty"]
            assert found["Brier"] == pytest.approx(whole, abs=0.02)  # ten bins


def test_the_table_of_confusions_is_drawn_with_every_case(tmp_path: Path) -> None:
    picture = tmp_path / "confused.png"
    drawn = confusion.draw(KEPT[WORLDS[False]], picture)
    assert drawn.sum() == KEPT[WORLDS[False]]["with a fault"]
    assert picture.stat().st_size > 20_000


@pytest.mark.study
def test_a_fixed_sample_says_the_same_again() -> None:
    flown = []
    for seed in fleet.seeds_of(PLANS, blind.FLEET_SEED)[:SAMPLE]:
        try:
            flown.append(deviations.design(fleet.draw(seed)))
        except fleet.Rejected:
            continue
    row = KEPT[WORLDS[False]]["sample"][0]
    plan = flown[row["case"] % KEPT["plans"]]
    case = blind.Case(row["case"], plan, row["truth"], row["size"], perturbed=False)
    again = worked(case)
    assert [again["said"][:2], again["rank"][:2]] == [row["said"][:2], row["rank"][:2]]
