"""Every question has its picture, and no words on it lie on others or leave it."""

from __future__ import annotations

from itertools import combinations

import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg

from trimkit import measurement
from trimkit.figures import questions


def test_every_question_has_a_picture_and_every_picture_a_question() -> None:
    assert {one.picture for one in measurement.QUESTIONS} == set(questions.PICTURES)


@pytest.mark.parametrize("name", list(questions.PICTURES))
def test_words_do_not_overlap_and_are_not_cut(name: str) -> None:
    figure = questions.question_view(name).figure
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    texts = [*figure.texts, *figure.axes[0].texts]
    boxes = [text.get_window_extent() for text in texts if text.get_text()]
    assert boxes
    assert [one for one in boxes if not figure.bbox.contains(one.x0, one.y0)] == []
    assert [one for one in boxes if not figure.bbox.contains(one.x1, one.y1)] == []
    assert [pair for pair in combinations(boxes, 2) if pair[0].overlaps(pair[1])] == []
    assert min(text.get_fontsize() for text in texts) >= 14


def test_the_picture_says_it_in_words_and_carries_them() -> None:
    picture = questions.question_view("edges")
    assert "two blocks on a table" in picture.text
    assert picture.text.encode("latin-1") in picture.png(50)
    with pytest.raises(ValueError, match="overview"):
        questions.question_view("wings")
