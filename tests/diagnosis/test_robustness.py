"""A mark that hangs on a thread is told from one that is firm."""

from __future__ import annotations

import pytest

from tests.diagnosis.test_labels import played
from tests.diagnosis.toy import TRAINER, Toy
from trimkit.diagnosis import marks
from trimkit.diagnosis.marks import WEIGHTS
from trimkit.diagnosis.robustness import SCALES, moved, sensitivity

TOY = Toy()
FLY = ("fly", "", {})
TRUTH = "loose-tail"
SURE = {"certainty": "would bet my motor"}
FIRM = played(FLY, ("look", "tail", {}), ("repair", TRUTH, {}), FLY, ("say", TRUTH, SURE))
LOOSE = played(("look", "tail", {}), ("say", TRUTH, SURE))


def test_a_log_full_of_evidence_is_firm() -> None:
    found = sensitivity(FIRM, TRAINER, TRUTH, TOY)
    assert found.marks == marks.mark(FIRM, TRAINER, TRUTH, TOY)
    assert found.most == max(SCALES)
    assert found.flipped < 0.2


def test_a_log_with_one_look_hangs_on_the_prior() -> None:
    firm, loose = (sensitivity(log, TRAINER, TRUTH, TOY) for log in (FIRM, LOOSE))
    assert loose.flipped > firm.flipped
    assert loose.flipped > 0.3
    assert max(loose.moves.values()) > 0.1


def test_the_truth_scores_do_not_move_with_belief() -> None:
    found = sensitivity(LOOSE, TRAINER, TRUTH, TOY)
    assert found.moves["diagnosis"] == 0
    assert found.moves["one change"] == 0
    assert set(found.moves) == set(WEIGHTS)


def test_a_label_that_changes_is_named() -> None:
    """A repair at about one half is a cure or swap-and-hope as the prior has it."""
    log = played(("look", "tail", {}), ("repair", "too-little-decalage", {}),
                 ("say", "too-little-decalage", SURE), truth="too-little-decalage")  # fmt: skip
    found = sensitivity(log, TRAINER, "too-little-decalage", TOY)
    assert 2 in found.relabelled


def test_the_report_is_the_same_each_time_and_in_words() -> None:
    one, other = (sensitivity(LOOSE, TRAINER, TRUTH, Toy()) for _ in range(2))
    assert one == other
    words = one.words()
    assert f"The total is {one.marks.total:.2f}" in words
    assert f"{one.flipped:.0%} of other guesses" in words
    assert "What moves most: " in words


def test_evidence_is_weighed_in_logarithms() -> None:
    even, one = {"a": 0.5, "b": 0.5}, {"a": 1.0, "b": 1.0}
    assert moved({"a": 0.8, "b": 0.2}, even, 1.0, one) == pytest.approx({"a": 0.8, "b": 0.2})
    assert moved({"a": 0.8, "b": 0.2}, even, 2.0, one)["a"] == pytest.approx(16 / 17)
    assert moved({"a": 0.8, "b": 0.2}, even, 0.0, one)["a"] == pytest.approx(0.5)
    assert moved({"a": 0.5, "b": 0.5}, even, 1.0, {"a": 3.0, "b": 1.0})["a"] == pytest.approx(0.75)


def test_what_is_impossible_stays_so() -> None:
    even, one = {"a": 0.5, "b": 0.5}, {"a": 1.0, "b": 1.0}
    assert moved({"a": 1.0, "b": 0.0}, even, 0.5, one)["a"] > 0.999
