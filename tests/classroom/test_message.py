"""Answers as data: exactly what `lesson.answer` writes, and nothing else."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from papers import message, shown

from trimkit.classroom.message import ANSWER_SCHEMA, ANSWER_TYPE, messages, read_message
from trimkit.lesson import session
from trimkit.lesson.task import Typed


@pytest.mark.parametrize(
    ("kind", "value", "read"),
    [
        ("number", 3, 3.0),
        ("number", -0.25, -0.25),
        ("choice", "D", "D"),
        ("words", "because", "because"),
        ("none", None, None),
    ],
)
def test_what_an_answer_can_be(kind: str, value: Any, read: Any) -> None:
    got = read_message(message("02.3", value, kind))
    assert (got.task_id, got.pupil, got.given) == ("02.3", 7, Typed(kind, read))
    assert type(got.given.value) is type(read)


@pytest.mark.parametrize(
    "content",
    [
        None,
        [],
        "02.3",
        {},
        message() | {"points": 2},
        message(schema=2),
        message(schema=True),
        message(schema=1.0),
        message(id="task-02-3"),
        message(id="02.3; 02.4"),
        message(id=2.3),
        message(pupil="7"),
        message(pupil=-1),
        message(pupil=10_000),
        message(pupil=True),
        message(answer=3.0),
        message(answer={"type": "number"}),
        message(answer={"type": "number", "value": 3.0, "share": 1.0}),
        message(value=True),
        message(value=math.nan),
        message(value=math.inf),
        message(value=1e10),
        message(value=10**400),
        message(value="3.0"),
        message(value=[3.0]),
        message(value=None),
        message(value="G", kind="choice"),
        message(value="b", kind="choice"),
        message(value="AB", kind="choice"),
        message(value="x" * 2001, kind="words"),
        message(value=3.0, kind="none"),
        message(value=3.0, kind="mark"),
        message(value=3.0, kind=["number"]),  # type: ignore[arg-type]
    ],
)
def test_anything_else_is_refused_with_a_short_reason(content: Any) -> None:
    with pytest.raises(ValueError, match=r".") as refusal:
        read_message(content)
    assert len(str(refusal.value)) < 200


def test_a_huge_text_is_refused_without_repeating_it() -> None:
    held, refused = messages([shown(message(value="9" * 5_000_000))])
    assert held == []
    assert len(refused) == 1
    assert len(refused[0]) < 200


def test_outputs_of_any_shape_can_be_looked_through() -> None:
    outputs = [{"output_type": "stream", "text": "3"}, "text", {"data": None}, shown(message())]
    held, refused = messages(outputs)
    assert len(held) == 1
    assert refused == []
    assert messages(None) == ([], [])
    assert messages("outputs") == ([], [])


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text() | st.integers(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
        max_leaves=8,
    )
)
@settings(derandomize=True, deadline=None, max_examples=50)
def test_no_json_at_all_gets_anything_but_a_refusal(content: Any) -> None:
    with pytest.raises(ValueError, match=r"."):
        read_message(message(answer=content) if isinstance(content, int) else content)


def test_the_notebook_writes_what_the_judge_reads(monkeypatch: pytest.MonkeyPatch) -> None:
    bundles: list[dict[str, Any]] = []
    monkeypatch.setattr(session, "display", lambda data, raw: bundles.append({"data": data}))
    assert (session.ANSWER_TYPE, session.ANSWER_SCHEMA) == (ANSWER_TYPE, ANSWER_SCHEMA)
    session.answer("02.1", 3.25)
    held, refused = messages(bundles)
    assert refused == []
    assert [(m.task_id, m.given) for m in held] == [("02.1", Typed("number", 3.25))]
