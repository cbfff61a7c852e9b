"""The cell that goes on with a case must open the very case the log is of."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path
from typing import Any

import pytest

from trimkit import files, lesson, places
from trimkit.jupyter import notebooks
from trimkit.lesson import work
from trimkit.lesson.case import log_name

WORD = "swallow"


@pytest.fixture
def pupil(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = work.prepare(tmp_path / "work", 7, WORD).folder
    (folder / notebooks.CASES).mkdir()
    monkeypatch.chdir(folder / notebooks.CASES)
    return folder


def for_case(pupil: Path, name: str) -> Path:
    return notebooks.for_case(pupil, pupil / places.LOG_FOLDER / f"{name}.jsonl")


def opened(pupil: Path, name: str) -> Any:
    """Run the cell's own last line, without the bench around the case."""
    cell = json.loads(for_case(pupil, name).read_text("utf-8"))["cells"][1]["source"]
    inner = cell.splitlines()[-1].removeprefix("labs.clinic(").removesuffix(")")
    return eval(inner, {"lesson": lesson})


@pytest.mark.parametrize("seed", ["7", "week 3", "Week 3", "HALL-2"])
def test_a_case_of_the_class_comes_back(pupil: Path, seed: str) -> None:
    name = log_name(seed, "Hallfinch 46", WORD, 2)
    assert opened(pupil, name).name == name


def test_a_case_of_the_book_comes_back_though_the_class_has_a_word(pupil: Path) -> None:
    name = lesson.open_case(2, 5).name
    assert opened(pupil, name).name == name


def test_a_case_on_the_teams_own_aeroplane_comes_back_with_its_log(pupil: Path) -> None:
    ours = dataclasses.replace(files.load_aeroplane(places.demo_aeroplanes()["hallfinch-46"]),
                               name="Tuesday One")  # fmt: skip
    case = lesson.case(3, ours)
    case.say("cannot tell yet")
    back = opened(pupil, case.name)
    assert back.aeroplane == ours
    assert len(back.log.entries) == 1


def test_another_class_word_is_said_and_nothing_is_written(pupil: Path) -> None:
    name = log_name("not in the book", "Hallfinch 46", "another word", 1)
    with pytest.raises(ValueError, match="Open the notebook that you began it in"):
        for_case(pupil, name)
    assert not any((pupil / notebooks.CASES).iterdir())
