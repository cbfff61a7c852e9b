"""The demonstration desk: one key a step, votes before the answer, and no name anywhere."""

from __future__ import annotations

import html
import importlib
import re
from typing import Any

import pytest

from tests.test_case import Here
from trimkit.faults import CATALOGUE
from trimkit.labs import demonstration as demonstrate
from trimkit.lesson.case import FAMILIES
from trimkit.lesson.referee import Refused
from trimkit.log import CANNOT_TELL

desk = importlib.import_module("trimkit.labs.demonstration")


@pytest.fixture(autouse=True)
def hall(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(importlib.import_module("trimkit.lesson.case"), "_hall", Here())


def shown(form: Any) -> str:
    values = (form.heading.value, form.words.value, form.before.value)
    return html.unescape(re.sub("<[^>]+>", "\n", "\n".join(values)))


def played(number: int) -> tuple[Any, list[tuple[str, str, tuple[str, ...]]]]:
    """Press on to the end; three hands for the first choice of each vote."""
    form = desk.Desk(number)
    pages = []
    while not form.onward.disabled:
        if form.hands:
            form.hands[0].value = 3
        form.onward.click()
        heading = re.sub("<[^>]+>", "", form.heading.value)
        pages.append((heading, shown(form), tuple(box.description for box in form.hands)))
    return form, pages


def check(number: int) -> None:
    form, pages = played(number)
    heads = [head for head, _, _ in pages]
    assert heads[:2] == ["When all was well", "Today, the same turns"]
    assert heads[-3:] == ["What is it?", "It was", "Repaired, the same turns"]
    assert heads.count("The next test") == heads.count("It shows") <= desk.MOST_STEPS
    votes = [choices for _, _, choices in pages if choices]
    assert votes[0] == tuple(FAMILIES.values())
    assert votes[-1][-1] == CANNOT_TELL
    assert len(votes[-1]) in (desk.CANDIDATES + 1, desk.CANDIDATES + 2)
    truth = next(one for one in CATALOGUE.values() if one.title in pages[-2][1])
    assert truth.title in votes[-1]
    assert list(votes[-1][:-1]) == sorted(votes[-1][:-1])  # the order tells nothing
    assert "Hands." in form.before.value
    assert form.before.value.count(": 3<") == len(votes)  # who got none is left out
    assert form.image.value.startswith("<img")


def test_a_demonstration_runs_from_the_card_to_the_cure() -> None:
    check(1)


@pytest.mark.study
@pytest.mark.parametrize("number", range(2, len(desk.SEEDS) + 1))
def test_every_demonstration_runs_to_its_cure(number: int) -> None:
    check(number)


@pytest.mark.parametrize("number", [0, 7, "one", True])
def test_a_demonstration_that_is_none_is_told(number: Any) -> None:
    with pytest.raises(Refused, match="allowed is 1 to 6"):
        demonstrate(number)
