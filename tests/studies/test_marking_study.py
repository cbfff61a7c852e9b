"""The figures of marking that are told are those that were measured."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

FOUND = json.loads(Path(__file__).with_name("marking_study.json").read_text("utf-8"))
TOLD = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text("utf-8")


def test_the_study_marked_a_class_behind_walls_and_both_agree() -> None:
    assert (FOUND["pupils"], FOUND["guard"], FOUND["marks_the_same"]) == (30, True, True)
    for seconds, times in zip(FOUND["trimkit_mark_s"], FOUND["times_as_fast"], strict=True):
        assert times == pytest.approx(FOUND["nbgrader_autograde_s"] / seconds, abs=0.06)
        assert times >= 5  # the aim


def test_what_is_told_is_what_was_measured() -> None:
    first, again = FOUND["trimkit_mark_s"]
    assert f"{first} s and {again} s beside {FOUND['nbgrader_autograde_s']} s" in TOLD
    assert f"largest process {FOUND['largest_process_MB']} MB" in TOLD
