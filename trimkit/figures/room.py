"""Room for words: each finds a free place beside what it names."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from trimkit.figures.style import INK
from trimkit.units import Floats

_SIDES = ((1, 1), (-1, 1), (1, -1), (-1, -1), (1, 0), (-1, 0), (0, 1), (0, -1))
_FAR = (0.5, 0.9, 1.6, 2.6, 3.8)  # heights of the type between a thing and its words
_AFAR = 1.2  # from here on a line leads from the words to the thing
_COVERED, _BARE = 1e4, 6.0  # costs: of covered words, and of a place with nothing in it
_ALIGNED = {-1: "right", 0: "center", 1: "left"}
_UPRIGHT = {-1: "top", 0: "center", 1: "bottom"}


class Room:
    """What is still free on a figure.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        With all its axes placed and their limits set [-].
    type_pt : float
        Size of the words [pt].
    """

    def __init__(self, figure: Figure, type_pt: float) -> None:
        self._figure, self._type_pt = figure, type_pt
        there = figure.canvas  # a stage draws on its own: do not take its figure away
        canvas = there if isinstance(there, FigureCanvasAgg) else FigureCanvasAgg(figure)
        self._renderer = cast(Any, canvas).get_renderer()
        self._taken: list[Bbox] = []
        self._drawn: list[Floats] = []

    def keep_free(self, axes: Axes, x: Floats, y: Floats) -> None:
        """Let words stay off a line where they can.

        Parameters
        ----------
        axes : matplotlib.axes.Axes
            Axes that carry it [-].
        x, y : numpy.ndarray
            Corners of the line [in the axes' unit].
        """
        corners = np.asarray(axes.transData.transform(np.column_stack([x, y])))
        self._drawn.append(_evenly(corners, self._type_pt * self._figure.dpi / 72 / 6))

    def put(
        self, axes: Axes, words: str, at: tuple[float, float], needed: bool = True, **options: Any
    ) -> bool:
        """Put words beside a point, where they cover least.

        Parameters
        ----------
        axes : matplotlib.axes.Axes
            Axes that carry them [-].
        words : str
            The words [-].
        at : (float, float)
            The point that they name [in the axes' unit].
        needed : bool
            Put them even far away or over a line; others only where they cover nothing [-].
        **options
            For matplotlib's text [-].

        Returns
        -------
        bool
            Whether they were put [-].
        """
        options = {"fontsize": self._type_pt, "color": INK, "zorder": 9, **options}
        size = self._size(axes, words, options)
        x, y = axes.transData.transform(at)
        cost, side, far, box = self._cheapest(axes, (float(x), float(y)), size, needed)
        if cost > _BARE and not needed:
            return False
        self._taken.append(box)
        self._write(axes, words, at, side, far * self._type_pt, options)
        return True

    def _cheapest(
        self, axes: Axes, at: tuple[float, float], size: tuple[float, float], needed: bool
    ) -> tuple[float, tuple[int, int], float, Bbox]:
        """The places come nearest first, and far costs: the search ends where none can win."""
        best: tuple[float, tuple[int, int], float, Bbox] | None = None
        for side, far, box in self._places(at, size):
            if best is not None and (best[0] <= 4 * far or (not needed and far >= _AFAR)):
                break
            cost = self._cost(axes, box) + 4 * far
            if best is None or cost < best[0]:
                best = cost, side, far, box
        assert best is not None
        return best

    def _size(self, axes: Axes, words: str, options: dict[str, Any]) -> tuple[float, float]:
        sample = axes.text(0, 0, words, **options)
        box = Text.get_window_extent(sample, self._renderer)
        sample.remove()
        return float(box.width), float(box.height)

    def _places(
        self, at: tuple[float, float], size: tuple[float, float]
    ) -> Iterator[tuple[tuple[int, int], float, Bbox]]:
        em = self._type_pt * self._figure.dpi / 72
        for far in _FAR:
            for side in _SIDES:
                left, low = (
                    place + sign * far * em + (sign - 1) / 2 * length
                    for place, sign, length in zip(at, side, size, strict=True)
                )
                yield side, far, Bbox.from_bounds(left, low, *size)

    def _cost(self, axes: Axes, box: Bbox) -> float:
        """Points of lines under a box; very much for words under it or an end outside."""
        around = box.padded(0.12 * box.height)
        inside = axes.bbox.contains(around.x0, around.y0) and axes.bbox.contains(
            around.x1, around.y1
        )
        covered = sum(around.overlaps(other) for other in self._taken) + (not inside)
        under = sum(int(np.sum(_within(around, line))) for line in self._drawn)
        return _COVERED * covered + min(under, _COVERED / 2)

    def _write(
        self,
        axes: Axes,
        words: str,
        at: tuple[float, float],
        side: tuple[int, int],
        far_pt: float,
        options: dict[str, Any],
    ) -> None:
        line = {"arrowstyle": "-", "color": INK, "linewidth": 1.0, "shrinkA": 0, "shrinkB": 2}
        axes.annotate(
            words,
            at,
            (side[0] * far_pt, side[1] * far_pt),
            textcoords="offset points",
            ha=_ALIGNED[side[0]],
            va=_UPRIGHT[side[1]],
            arrowprops=line if far_pt >= _AFAR * self._type_pt else None,
            bbox={"boxstyle": "round,pad=0.1", "facecolor": "white", "edgecolor": "none"},
            **options,
        )


def _evenly(corners: Floats, spacing: float) -> Floats:
    """Points along a line at even distances, so that their number tells its length."""
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    places = np.arange(0.0, along[-1] + spacing, spacing)
    return np.column_stack([np.interp(places, along, part) for part in corners.T])


def _within(box: Bbox, line: Floats) -> Floats:
    x, y = line.T
    return np.asarray((x > box.x0) & (x < box.x1) & (y > box.y0) & (y < box.y1))
