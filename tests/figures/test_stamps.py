"""Words from stamps look as matplotlib draws them, and are drawn once."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from trimkit.figures.stamps import StampCanvas, stamp
from trimkit.units import Floats

SEEN = 60  # of 255: less is only where in a dot an edge lies


def written(words: str, at: tuple[float, float], **look: object) -> Figure:
    figure = Figure(figsize=(4, 1), dpi=80)
    figure.text(*at, words, **look)
    return figure


def dots(canvas: FigureCanvasAgg) -> Floats:
    canvas.draw()
    return np.asarray(canvas.buffer_rgba(), dtype=float)[:, :, :3].copy()


@pytest.mark.parametrize(
    ("words", "look"),
    [
        ("launch: 1040 turns, 3.7 mN m", {"fontsize": 14}),
        ("Ågjpqy −3.2°…", {"fontsize": 24, "fontweight": "bold", "color": "#a43b00"}),
        ("two\nlines", {"fontsize": 14, "ha": "center", "va": "center"}),
        ("wall", {"fontsize": 14, "rotation": 90}),
    ],
)
def test_a_stamp_looks_as_if_it_were_drawn(words: str, look: dict[str, object]) -> None:
    for at in ((0.3, 0.4), (0.3013, 0.4077), (0.9, 0.9)):  # the last one runs off the page
        plain = dots(FigureCanvasAgg(written(words, at, **look)))
        stamped = dots(StampCanvas(written(words, at, **look)))
        assert (plain < 200).any()
        assert np.mean(np.abs(plain - stamped).max(axis=2) > SEEN) < 0.0005


def test_a_word_that_stays_is_drawn_once() -> None:
    stamp.cache_clear()
    first = dots(StampCanvas(written("stick 2.00 g", (0.2, 0.4), fontsize=14)))
    for _ in range(3):
        again = dots(StampCanvas(written("stick 2.00 g", (0.2, 0.4), fontsize=14)))
        assert (again == first).all()
    assert (stamp.cache_info().misses, stamp.cache_info().hits) == (1, 3)


def test_another_colour_size_or_place_is_another_stamp() -> None:
    stamp.cache_clear()
    looks: list[dict[str, object]] = [{}, {"color": "#a43b00"}, {"fontsize": 17}]
    for look in looks:
        dots(StampCanvas(written("stick", (0.2, 0.4), **look)))
    dots(StampCanvas(written("stick", (0.2013, 0.4))))
    assert stamp.cache_info().misses == len(looks) + 1
