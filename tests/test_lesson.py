"""What a pupil types, whose figures they are, what is said at once, and the attempt log."""

from __future__ import annotations

import datetime
import fractions
import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimkit import places
from trimkit.lesson import attempts, session, tasks, variant
from trimkit.lesson.task import Check, Lesson, Task, letter, options, shuffled, typed

NUMBER = Task(
    id="90.1",
    title="How far",
    kind="number",
    unit="mm",
    draw=lambda random: {"half_mm": random.randint(1000, 9999)},
    ask=lambda f: f"Half the way is {f['half_mm']} mm.",
    checks=(
        Check("sign", lambda value, _: value < 0, "A length has no minus."),
        Check("half", lambda value, f: value <= f["half_mm"], "That is half at most."),
    ),
    look="the picture.",
)
CHOICE = Task(
    id="90.2",
    title="Which",
    kind="choice",
    draw=lambda random: {"order": shuffled(random, 3)},
    ask=lambda f: "Which?",
    choices=("left", "middle", "right"),
    look="the picture.",
)
WORDS = Task(id="90.3", title="Why", kind="words", draw=lambda _: {}, ask=lambda _: "?", look="up.")


class AlwaysEqual:
    """An object that says it equals everything, and turns into a number when asked."""

    def __eq__(self, other: object) -> bool:
        return True

    __hash__ = object.__hash__

    def __float__(self) -> float:
        return 2.0


@pytest.mark.parametrize(
    ("value", "number"),
    [
        (3, 3.0),
        (-0.5, -0.5),
        (0, 0.0),
        (np.float64(1.5), 1.5),
        (np.int32(4), 4.0),
        (fractions.Fraction(1, 4), 0.25),
        (1e9, 1e9),
    ],
)
def test_any_real_number_becomes_a_plain_float(value: Any, number: float) -> None:
    got = typed(NUMBER, value)
    assert (got.type, got.value, got.problem) == ("number", number, "")
    assert type(got.value) is float


@pytest.mark.parametrize(
    ("value", "hint"),
    [
        (..., "Nothing typed yet"),
        (None, "Nothing typed yet"),
        ((3, 5), "comma"),
        ("3.5", "Take the quotes away"),
        ("3.5 mm", "without its unit"),
        (True, "one number in mm"),
        (np.True_, "one number in mm"),
        ([3.5], "one number in mm"),
        (np.array([1.0]), "one number in mm"),
        (3 + 0j, "one number in mm"),
        (print, "one number in mm"),
        (AlwaysEqual(), "one number in mm"),
        (math.nan, "not one that a bench can give"),
        (-math.inf, "not one that a bench can give"),
        (1.1e9, "not one that a bench can give"),
        (10**400, "one number in mm"),
    ],
)
def test_anything_else_is_no_number_and_says_what_to_mend(value: Any, hint: str) -> None:
    got = typed(NUMBER, value)
    assert (got.type, got.value) == ("none", None)
    assert hint in got.problem


@pytest.mark.parametrize("value", ["B", "b", " b "])
def test_a_letter_may_be_small_or_have_spaces(value: str) -> None:
    assert typed(CHOICE, value).value == "B"


@pytest.mark.parametrize(
    ("value", "hint"),
    [
        (2, "text in quotes"),
        (b"B", "text in quotes"),
        ("D", '"D" is not on the list'),
        ("AB", "not on the list"),
        ("", "not on the list"),
        ("x" * 10_000_000, "not on the list"),
        (AlwaysEqual(), "text in quotes"),
    ],
)
def test_anything_else_is_no_letter(value: Any, hint: str) -> None:
    got = typed(CHOICE, value)
    assert (got.type, got.value) == ("none", None)
    assert hint in got.problem
    assert len(got.problem) < 200


def test_words_are_kept_up_to_a_page() -> None:
    assert typed(WORDS, "because").value == "because"
    assert typed(WORDS, "x" * 5000).value == "x" * 2000
    assert typed(WORDS, 5).type == "none"


@given(st.one_of(st.none(), st.floats(), st.text(), st.binary(), st.lists(st.integers())))
@settings(derandomize=True, deadline=None, max_examples=50)
def test_nothing_that_can_be_typed_raises(value: Any) -> None:
    for task in (NUMBER, CHOICE, WORDS):
        got = typed(task, value)
        assert (got.value is None) == (got.type == "none") == bool(got.problem)


def test_figures_are_the_same_every_time_and_on_every_machine() -> None:
    assert variant.figures(NUMBER, 7, "oak") == variant.figures(NUMBER, 7, "oak")
    assert variant.source("90.1", 7, "oak").random() == 0.0485693426840742


@pytest.mark.parametrize(("pupil", "word"), [(8, "oak"), (7, "elm"), (7, ""), (71, "oak")])
def test_another_pupil_or_class_has_other_figures(pupil: int, word: str) -> None:
    assert variant.figures(NUMBER, pupil, word) != variant.figures(NUMBER, 7, "oak")


def test_figures_of_a_task_do_not_hang_on_its_neighbours() -> None:
    alone = variant.all_figures(Lesson(id="90", title="", tasks=(NUMBER,)), 7)
    together = variant.all_figures(Lesson(id="90", title="", tasks=(CHOICE, NUMBER)), 7)
    assert alone["90.1"] == together["90.1"]
    assert list(together) == ["90.2", "90.1"]


@given(st.integers(0, 9999))
@settings(derandomize=True, deadline=None, max_examples=50)
def test_every_choice_is_shown_once_and_found_again(pupil: int) -> None:
    drawn = variant.figures(CHOICE, pupil)
    shown = dict(options(CHOICE, drawn))
    assert sorted(shown.values()) == sorted(CHOICE.choices)
    assert [shown[letter(drawn, place)] for place in range(3)] == list(CHOICE.choices)


def test_a_lesson_without_the_task_names_those_it_has() -> None:
    with pytest.raises(KeyError, match=r"no task 90\.9; it has 90\.1, 90\.2"):
        Lesson(id="90", title="", tasks=(NUMBER, CHOICE)).task("90.9")


@pytest.mark.parametrize(
    ("value", "slip"), [(-2.0, "sign"), (2.0, "half"), (2e4, None), ("2", "not usable")]
)
def test_at_most_one_remark_and_the_first_that_fits(value: Any, slip: str | None) -> None:
    drawn = variant.figures(NUMBER, 7)
    said = session.remarks(NUMBER, typed(NUMBER, value), drawn)
    assert [name for name, _ in said] == ([slip] if slip else [])


def test_a_remark_never_says_whether_an_answer_is_the_key() -> None:
    drawn = {"half_mm": 1000}
    for value in (2000.0, 1500.0, 9000.0):
        assert session.remarks(NUMBER, typed(NUMBER, value), drawn) == []


@pytest.fixture
def screen(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, Any]]:
    """Collect what a notebook would show."""
    shown: list[dict[str, Any]] = []
    monkeypatch.setattr(session, "display", lambda bundle, raw: shown.append(bundle))
    return shown


def test_an_answer_is_left_in_the_notebook_and_in_the_log(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    screen: list[dict[str, Any]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    places.write_pupil(tmp_path / places.PUPIL_FILE, places.Pupil(7, "oak", ""))
    monkeypatch.chdir(tmp_path)
    task = tasks.load("02").tasks[0]
    session.answer(task.id, -2.5)
    bundle = screen[-1]
    assert bundle[session.ANSWER_TYPE] == {
        "schema": 1,
        "id": task.id,
        "pupil": 7,
        "answer": {"type": "number", "value": -2.5},
    }
    assert "You typed −2.5°" in bundle["text/plain"]
    assert capsys.readouterr().err == ""
    entry = attempts.read(tmp_path / "logs" / "attempts.jsonl")[-1]
    assert (entry["task"], entry["value"], entry["slips"]) == (task.id, -2.5, ["sign"])


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (1e9, "1000000000"),
        (0.1 + 0.2, "0.3"),
        (1234567.25, "1234567.25"),
        (7, "7"),
        (1e-30, "1e−30"),
    ],
)
def test_a_number_is_shown_as_it_was_typed(value: float, shown: str, screen: Any) -> None:
    session.answer("02.1", value)
    assert f"You typed {shown}°" in screen[-1]["text/plain"]


@pytest.mark.parametrize("task_id", ["02.99", "99.1", "", None, 2.1])
def test_an_unknown_task_is_said_and_not_raised(task_id: Any, screen: list[dict[str, Any]]) -> None:
    session.answer(task_id, 1.0)
    assert "There is no such task" in screen[-1]["text/plain"]
    assert session.ANSWER_TYPE not in screen[-1]


def test_marking_keeps_no_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, screen: list[dict[str, Any]]
) -> None:
    places.write_pupil(tmp_path / places.PUPIL_FILE, places.Pupil(9, "", ""))
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TRIMKIT_MARKING", "1")
    monkeypatch.setenv("TRIMKIT_PUPIL", "7")
    session.answer("02.1", 3.0)
    assert screen[-1][session.ANSWER_TYPE]["pupil"] == 7
    assert not (tmp_path / "logs").exists()


def test_the_log_only_grows_and_holds_a_date_and_no_time(tmp_path: Path) -> None:
    path = tmp_path / "logs" / "attempts.jsonl"
    attempts.append(path, "02", "answer", task="02.1", value=1.5)
    before = path.read_bytes()
    attempts.append(path, "02", "prediction", name="02.ruler", value="déjà")
    assert path.read_bytes().startswith(before)
    entries = attempts.read(path)
    assert [entry["kind"] for entry in entries] == ["answer", "prediction"]
    assert entries[1]["value"] == "déjà"
    assert entries[0]["date"] == datetime.date.today().isoformat()
    assert set(entries[0]) == {"schema", "date", "lesson", "kind", "task", "value"}


@pytest.mark.parametrize(
    "damage", [b"{\n", b"\xff\xfe\n", b'{"schema": 99}\n', b"[1]\n", b'{"schema": 1, "kind": "an']
)
def test_a_damaged_log_is_set_aside_and_its_good_lines_live_on(
    tmp_path: Path, damage: bytes
) -> None:
    path = tmp_path / "attempts.jsonl"
    attempts.append(path, "02", "answer", value=1)
    with path.open("ab") as log:
        log.write(damage)
    whole = path.read_bytes()
    attempts.append(path, "02", "answer", value=2)
    assert [entry["value"] for entry in attempts.read(path)] == [1, 2]
    (aside,) = tmp_path.glob("attempts.damaged-*.jsonl")
    assert aside.read_bytes().startswith(whole)
    for line in path.read_text("utf-8").splitlines():
        json.loads(line)


def test_a_log_that_is_not_there_is_empty(tmp_path: Path) -> None:
    assert attempts.read(tmp_path / "attempts.jsonl") == []
