"""Find what was drawn by the name that it was drawn under."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from trimkit.figures import Picture
from trimkit.units import Floats


def lines(axes: Axes, name: str) -> list[Line2D]:
    return [line for line in axes.lines if line.get_gid() == name]


def points(axes: Axes, name: str, which: int = 0) -> tuple[Floats, Floats]:
    x, y = lines(axes, name)[which].get_data()
    return np.asarray(x, dtype=float), np.asarray(y, dtype=float)


def per_unit(axes: Axes) -> tuple[float, float]:
    """Dots on the page for one unit across and up."""
    (x0, y0), (x1, y1) = axes.transData.transform([(0, 0), (1, 1)])
    return float(x1 - x0), float(y1 - y0)


def words(picture: Picture) -> set[str]:
    found = set()
    for axes in picture.figure.axes:
        found |= {text.get_text() for text in axes.texts}
    return found | {text.get_text() for text in picture.figure.texts}
