"""Hall cards: one side as written, two on the page, and nothing of them in the marking."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from trimkit.classroom import cards

SOURCE = Path(__file__).parents[2] / "instructor" / "source"
CARDS = sorted(SOURCE.glob(f"*/{cards.FILE}"))


def test_every_lesson_has_a_card() -> None:
    assert [path.parent for path in CARDS] == sorted(p.parent for p in SOURCE.glob("*/*.ipynb"))


@pytest.mark.parametrize("path", CARDS, ids=lambda path: path.parent.name)
def test_both_sides_say_the_same_and_their_drawings_have_own_names(path: Path) -> None:
    made = cards.page(path.read_text("utf-8"))
    upper, lower = re.findall(r'<section class="card">\n(.*?)\n</section>', made, re.S)
    assert (upper.count("<h1>"), upper.count("<h2>"), lower.count("<h1>")) == (1, 0, 0)

    def plain(side: str) -> str:
        return re.sub(r"<[^>]*>", "", side)

    assert plain(upper) == plain(lower)
    names = re.findall(r'\bid="([^"]+)"', made)
    assert len(names) == len(set(names))
    assert set(re.findall(r"url\(#([^)]+)\)", made)) <= set(names)
    assert "@" not in upper + lower
    assert made.count("<title>") == 1


def test_a_lesson_that_is_not_released_gets_none(tmp_path: Path) -> None:
    (tmp_path / "02-angles").mkdir()
    cards.lay_out(SOURCE, tmp_path)
    assert [path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.*")] == [
        f"02-angles/{cards.FILE}"
    ]
