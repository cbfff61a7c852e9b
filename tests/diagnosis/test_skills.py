"""Predictions that came true, and the four parts of fair comparing."""

from __future__ import annotations

import importlib

import pytest

from tests.diagnosis.logs import log_of
from tests.diagnosis.test_labels import played
from tests.diagnosis.toy import TRAINER, Toy
from trimkit.diagnosis import skills
from trimkit.diagnosis.labels import trail
from trimkit.diagnosis.skills import FAMILY, Count, came_true, compared, fair_comparing
from trimkit.faults import CATALOGUE
from trimkit.log import CANNOT_TELL, Log

TOY = Toy()
case = importlib.import_module("trimkit.lesson.case")  # the package's own name is a function
FLY = ("fly", "", {})
BOTH = ("change", "", {"changes": {"shim_mm": 0.4, "fin_deg": -0.5}})


def counts(log: Log) -> dict[str, Count]:
    return {one.skill: one for one in fair_comparing(trail(log, TRAINER, TOY))}


def test_the_words_are_those_of_a_case() -> None:
    assert set(skills.PREDICTIONS) == set(case.PREDICTIONS)
    assert set(FAMILY) == set(case.FAMILIES) - {"no idea yet"}


def test_every_fault_is_of_one_family() -> None:
    listed = [name for names in FAMILY.values() for name in names]
    assert sorted(listed) == sorted(CATALOGUE)


SEEN = (
    {"duration_s": 3, "lowest_nose_deg": -30, "start_climb_m_s": -0.3, "early_turn_deg_s": 2},
    {"duration_s": 30, "lowest_nose_deg": -5, "highest_nose_deg": 30, "first_drop_s": 4,
     "early_turn_deg_s": 30, "start_climb_m_s": 0.2},
    {"duration_s": 90, "lowest_nose_deg": 0, "highest_nose_deg": 14, "first_drop_s": 90,
     "early_turn_deg_s": -30, "start_climb_m_s": 0.2},
)  # fmt: skip


@pytest.mark.parametrize(
    ("place", "true"),
    [
        (0, {"shorter", "dives", "flies straight"}),
        (1, {"about the same", "stalls", "circles left"}),
        (2, {"longer", "circles right"}),
    ],
)
@pytest.mark.parametrize("said", skills.PREDICTIONS)
def test_a_prediction_is_judged_by_what_came(place: int, true: set[str], said: str) -> None:
    log = log_of(
        ("fly", "", {"seen": {"duration_s": 31}}),
        ("fly", "", {"seen": SEEN[place], "prediction": said}),
    )
    assert came_true(log, 2) is (said in true)


def test_the_three_flights_are_told_apart() -> None:
    done = [skills.shown(log_of(("fly", "", {"seen": seen})).entries[0]) for seen in SEEN]
    assert done == [
        ("dives", "flies straight"), ("stalls", "circles left"), ("circles right",)
    ]  # fmt: skip


def test_what_cannot_be_told_is_not_judged() -> None:
    log = log_of(
        ("fly", "", {"seen": {"duration_s": 30}, "prediction": "longer"}),
        ("fly", "", {"prediction": "longer"}),
        ("fly", "", {"seen": {"duration_s": 30}}),
        ("fly", "", {"prediction": "dives"}),
    )
    assert [came_true(log, count) for count in (1, 2, 3, 4)] == [None] * 4


@pytest.mark.parametrize(
    ("now", "wanted"),
    [(30, "about the same"), (33, "about the same"), (34, "longer"), (26, "shorter")],
)
def test_a_tenth_is_about_the_same(now: float, wanted: str) -> None:
    assert compared(30, now) == wanted


def test_planning_is_a_flight_that_can_be_compared() -> None:
    found = counts(played(FLY, FLY, BOTH))["plan"]
    assert (found.shown, found.of) == (1, 2)


def test_identifying_is_a_prediction_on_a_fair_pair() -> None:
    told = {"prediction": "longer", "certainty": "leaning", "hypothesis": "nose"}
    fair = ("change", "", {"changes": {"shim_mm": 0.4}, **told})
    unfair = ("change", "", {**BOTH[2], **told})
    assert str(counts(played(FLY, fair, unfair))["identify"]).startswith("identify: 1 of 2 ")
    alone = ("change", "", {**BOTH[2], **told, "prediction": "dives"})
    assert counts(played(FLY, alone))["identify"].of == 0


def test_interpreting_is_judged_by_the_evidence_not_by_the_truth() -> None:
    """The loose tail shakes: a thought that fits is good, one that the flight spoke against not."""
    fits = counts(played(FLY, ("look", "tail", {}), ("say", "loose-tail", {})))
    against = counts(played(FLY, ("look", "tail", {}), ("say", "fin-bent-left", {})))
    assert (fits["interpret"].shown, fits["interpret"].of) == (1, 1)
    assert (against["interpret"].shown, against["interpret"].of) == (0, 1)
    none = counts(played(FLY, ("look", "tail", {}), ("say", CANNOT_TELL, {})))
    assert none["interpret"].of == 0


def test_a_family_is_a_thought_too() -> None:
    repeat = ("fly", "", {"hypothesis": "shaking"})
    assert counts(played(FLY, repeat))["interpret"].shown == 1
    no_idea = ("fly", "", {"hypothesis": "no idea yet"})
    assert counts(played(FLY, no_idea))["interpret"].of == 0


@pytest.mark.parametrize(
    ("after", "shown"),
    [
        (("change", "", {"changes": {"fin_deg": 0.5}}), 1),  # taken apart
        (("say", CANNOT_TELL, {}), 1),
        (("say", "loose-tail", {"certainty": "guess"}), 1),
        (("say", "loose-tail", {"certainty": "would bet my motor"}), 0),
    ],
)
def test_an_unfair_comparison_decides_nothing(after: tuple, shown: int) -> None:
    found = counts(played(FLY, BOTH, after))["unfair decides nothing"]
    assert (found.shown, found.of) == (shown, 1)


def test_no_occasion_is_no_count() -> None:
    found = counts(played(FLY))
    assert [one.of for one in found.values()] == [0, 0, 0, 0]
    with pytest.raises(ValueError, match="3 of 2"):
        Count("plan", 3, 2, "")
