"""The glossary holds every word that a lesson explains, once, in order."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from trimkit.lesson import tasks

ROOT = Path(__file__).parents[2]
GLOSSARY = (ROOT / "course" / "glossary.md").read_text("utf-8")
ROWS = re.findall(r"^\| ([^|]+) \| ([^|]+) \| (\d\d) \|$", GLOSSARY, re.M)
EXPLAINED = re.compile(  # a word set off, and then what it is
    r"(?<!\*)(\*{1,2})([A-Za-z][^*\n|]{1,40}?)\1(?!\*)"
    r"(?=[,:]? (?:is|are|means)\b|, (?:the|a|what|how)\b|:\*? | \|)"
)
STRESSED = {  # set off for weight, not explained
    "but the wing", "measure", "read it like this", "under",
}  # fmt: skip


def explained(path: Path) -> Iterator[str]:
    for cell in json.loads(path.read_text("utf-8"))["cells"]:
        if cell["cell_type"] == "markdown":
            for _, words in EXPLAINED.findall("".join(cell["source"])):
                plain = re.sub(r"\([^)]*\)|:", "", words).lower()
                yield from (one.strip() for one in plain.split(","))


@pytest.mark.parametrize(
    "path", sorted(ROOT.glob("instructor/source/*/*.ipynb")), ids=lambda path: path.stem
)
def test_what_a_lesson_explains_is_in_the_glossary(path: Path) -> None:
    known = {word for word, _, _ in ROWS} | STRESSED
    # "leading, trailing edge" is two edges
    missing = {one for one in explained(path) if not {one, f"{one} edge"} & known}
    assert not missing, "add a row to course/glossary.md"


def test_words_stand_once_in_order_with_a_lesson_that_exists() -> None:
    words = [word for word, _, _ in ROWS]
    assert len(words) > 50
    assert words == sorted(set(words))
    assert {lesson for _, _, lesson in ROWS} <= set(tasks.known())
    assert GLOSSARY.count("\n| ") == len(ROWS) + 1  # and the head


def test_a_word_is_found_when_it_is_explained() -> None:
    found = EXPLAINED.findall("A **jig** is a board. The *window*: time. **before** the flight")
    assert [words for _, words in found] == ["jig", "window"]
