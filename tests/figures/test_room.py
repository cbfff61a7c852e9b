"""Words find a free place, or say that there is none."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.room import Room


@pytest.fixture
def axes() -> Axes:
    axes = Figure(figsize=(6, 4)).add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0, 6)
    axes.set_ylim(0, 4)
    return axes


def test_words_at_one_place_go_apart_until_the_place_is_full(axes: Axes) -> None:
    room = Room(axes.figure, 14)
    put = [room.put(axes, f"number {k}", (3.0, 2.0), needed=False) for k in range(40)]
    assert put[:2] == [True, True]
    assert not put[-1]
    assert put.count(True) == len(axes.texts)
    assert room.put(axes, "needed", (3.0, 2.0))


def test_words_stay_off_a_line_and_inside(axes: Axes) -> None:
    room = Room(axes.figure, 14)
    room.keep_free(axes, np.array([0.0, 6.0]), np.array([0.5, 3.5]))
    room.put(axes, "beside the line", (3.0, 2.0))
    room.put(axes, "in the corner", (5.95, 3.95))
    renderer = axes.figure.canvas.get_renderer()
    beside, corner = (text.get_window_extent(renderer) for text in axes.texts)
    line = axes.transData.transform(np.column_stack([np.linspace(0, 6, 600)] * 2) * [1, 0.5])
    line[:, 1] += axes.transData.transform((0, 0.5))[1]
    assert not any(beside.contains(x, y) for x, y in line)
    assert corner.x1 <= 600
    assert corner.y1 <= 400
