"""The command mark: what can be typed, what it prints, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from papers import INSTRUCTOR

from trimkit.classroom import crowd
from trimkit.classroom.course import Course
from trimkit.classroom.crowd import Outcome, Result
from trimkit.cli import BAD_INPUT, DONE, NO, main

FINE = Result(folder="pupil-01", outcome="marked", points=12.0, of=16.0, to_read=1)
SAME = Result(folder="pupil-02", outcome="as before", points=2.0, of=16.0, remarks=("a remark",))
TROUBLE = Result(folder="pupil-03", outcome="trouble", sentence="pupil-03: is empty. Ask again")


def outcome(*results: Result, alarms: tuple[str, ...] = ()) -> Outcome:
    return Outcome(
        lesson="02-angles",
        results=results,
        guarded=True,
        guard="",
        seconds=3.2,
        backup="",
        alarms=alarms,
    )


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> dict[str, Any]:
    (tmp_path / "marking").mkdir()
    kept: dict[str, Any] = {"found": outcome(FINE, SAME), "root": tmp_path}

    def mark(course: Course, lesson: str, **options: Any) -> Outcome:
        kept.update(options, course=course, lesson=lesson)
        found: Outcome = kept["found"]
        return found

    monkeypatch.setattr(crowd, "mark", mark)
    return kept


def typed(asked: dict[str, Any], *words: str) -> int:
    return main(
        ["mark", "02", "--course", str(asked["root"]), "--instructor", str(INSTRUCTOR), *words]
    )


def test_a_marked_class_is_said_in_few_lines(
    asked: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    assert typed(asked, "--class-word", "oak", "--jobs", "3", "--again") == DONE
    assert capsys.readouterr().out.splitlines() == [
        "02-angles: 1 marked, 1 unchanged, 0 not marked, 3 s.",
        "a remark",
        "1 sentence(s) wait. Next: trimkit words 02",
    ]
    assert (asked["jobs"], asked["again"], asked["wish"]) == (3, True, "auto")
    assert asked["course"].class_word == "oak"
    assert asked["course"].instructor == INSTRUCTOR


@pytest.mark.parametrize(
    "found",
    [outcome(FINE, TROUBLE), outcome(), outcome(FINE, alarms=("The gradebook is damaged.",))],
)
def test_whatever_is_not_done_ends_with_no(
    asked: dict[str, Any], capsys: pytest.CaptureFixture[str], found: Outcome
) -> None:
    asked["found"] = found
    assert typed(asked) == NO
    said = capsys.readouterr().out
    assert all(line in said for line in found.alarms)
    assert all(result.sentence in said for result in found.results)


def test_json_holds_it_all(asked: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> None:
    asked["found"] = outcome(FINE, TROUBLE)
    assert typed(asked, "--json", "--guard", "required", "--cluster", "tcp://desk:8786") == NO
    said = json.loads(capsys.readouterr().out)
    assert said["good"] is False
    assert said["results"][0]["points"] == 12.0
    assert said["results"][1]["sentence"] == TROUBLE.sentence
    assert (asked["wish"], asked["progress"]) == ("required", None)
    assert asked["cluster"] == "tcp://desk:8786"


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (["--jobs", "0"], "a whole number from 1 to 64"),
        (["--jobs", "two"], "a whole number from 1 to 64"),
        (["--guard", "some"], "invalid choice"),
        (["--class-word", 'o"ak'], "class word"),
        (["--course", "/nowhere/at/all"], "holds no folder marking"),
        (["--instructor", "/nowhere/at/all"], "is not an instructor's folder"),
    ],
)
def test_what_cannot_be_used_is_said(
    asked: dict[str, Any], capsys: pytest.CaptureFixture[str], words: list[str], reason: str
) -> None:
    try:
        status = typed(asked, *words)
    except SystemExit as end:
        status = int(str(end.code))
    assert status == BAD_INPUT
    assert reason in capsys.readouterr().err
    assert "lesson" not in asked


def test_an_unknown_lesson_is_said_with_those_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "marking").mkdir()
    typed_words = ["mark", "77", "--course", str(tmp_path), "--instructor", str(INSTRUCTOR)]
    assert main(typed_words) == BAD_INPUT
    said = capsys.readouterr().err
    assert "there is no lesson '77'" in said
    assert "02-angles" in said
    assert list(tmp_path.rglob("*")) == [tmp_path / "marking"]
