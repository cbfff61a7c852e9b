"""The draughtsman's pen: lines, dimension lines, and names that find room for themselves."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from types import MappingProxyType
from typing import Any

import numpy as np

from trimkit.drawing.layout import EDGE
from trimkit.drawing.marks import NAMES, SMALL, Box, Disc, Fill, Line, Mark, Point, Words, width_mm
from trimkit.units import Floats

GAP = 2.0  # between a thing and where its extension line begins [mm]
ARROW = 1.8  # length of an arrow head [mm]
BALANCE = 1.6  # radius of the balance point's mark [mm]
CELL = 0.5  # of the grid on which words look for room [mm]
_FAR = (1.5, 3.0, 5.0, 8.0, 12.0, 16.0)  # between a part and its name [mm]
_WAYS = (
    (1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (0, 1), (1, 0), (-1, 0),
    (0.4, -1), (-0.4, -1), (0.4, 1), (-0.4, 1), (1, -0.4), (-1, -0.4), (1, 0.4), (-1, 0.4),
)  # fmt: skip
WEIGHTS: Mapping[str, float] = MappingProxyType(
    {"outline": 5.0, "bar": 5.0, "hidden": 3.0, "rubber": 3.0}
)  # how much words stay off a line; others count 1


class Pen:
    """Puts marks on a sheet of paper.

    Parameters
    ----------
    width, height : float
        Size of the paper [mm].
    """

    def __init__(self, width: float, height: float) -> None:
        self._size = width, height
        self._lines: list[Mark] = []
        self._words: list[Words] = []
        self._boxes: list[Box] = []  # of the words
        self._under: list[tuple[float, float, float]] = []  # points of lines, and their weights
        self._cells: Floats | None = None
        self._counted = 0

    def marks(self) -> Iterator[Mark]:
        """Give all marks, the words on top of the lines.

        Yields
        ------
        mark
            In the order in which they are drawn [-].
        """
        yield from self._lines
        for words in self._words:
            left, top, right, low = words.box
            box = ((left, top), (right, top), (right, low), (left, low))
            yield Fill(box, white=True)
            yield words

    def add(self, mark: Mark) -> None:
        """Put down a mark that words may cover.

        Parameters
        ----------
        mark : mark
            A line, a disc or a shape [mm].
        """
        self._lines.append(mark)

    def line(
        self, corners: Sequence[Point], kind: str = "outline", name: str = "", closed: bool = False
    ) -> None:
        """Draw a line that words stay off where they can.

        Parameters
        ----------
        corners : sequence of (float, float)
            On the paper [mm].
        kind : str
            A key of `LINES` [-].
        name : str
            Its name in the SVG file, "" for none [-].
        closed : bool
            Whether the last corner joins the first [-].
        """
        self._lines.append(Line(tuple(corners), kind, name, closed))
        round_trip = [*corners, corners[0]] if closed else corners
        for one, other in pairwise(round_trip):
            steps = max(int(math.dist(one, other) / CELL), 1)
            weight = WEIGHTS.get(kind, 1.0)
            self._under += [
                (
                    one[0] + (other[0] - one[0]) * k / steps,
                    one[1] + (other[1] - one[1]) * k / steps,
                    weight,
                )
                for k in range(steps + 1)
            ]

    def disc(self, at: Point, radius: float, kind: str, name: str) -> None:
        """Draw a circle that words stay off where they can.

        Parameters
        ----------
        at : (float, float)
            Its middle [mm].
        radius : float
            Its radius [mm].
        kind : str
            A key of `LINES` [-].
        name : str
            Its name in the SVG file [-].
        """
        self._lines.append(Disc(at, radius, kind, name))
        around = (k / 120 * math.tau for k in range(120))
        self._under += [
            (at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn), WEIGHTS["hidden"])
            for turn in around
        ]

    def say(self, text: str, at: Point, **look: Any) -> None:
        """Put words with their middle at a place.

        Parameters
        ----------
        text : str
            The words [-].
        at : (float, float)
            Where [mm].
        **look : values
            Fields of `Words`: size, upright, bold [-].
        """
        words = Words(text, at, **look)
        self._words.append(words)
        self._boxes.append(words.box)

    def left(self, text: str, x: float, y: float, size: float = SMALL, bold: bool = False) -> None:
        """Put words that begin at a place.

        Parameters
        ----------
        text : str
            The words [-].
        x, y : float
            Where they begin, and their middle's height [mm].
        size : float
            Height of the type [mm].
        bold : bool
            In bold type [-].
        """
        half = width_mm(text, size, bold) / 2
        self.say(text, (x + half, y), size=size, bold=bold)

    def across(self, x0: float, x1: float, y: float, text: str, name: str = "") -> None:
        """Draw a dimension line from left to right, its number on it or behind it.

        Parameters
        ----------
        x0, x1 : float
            Its ends [mm].
        y : float
            Its place [mm].
        text : str
            The number, with what it is of [-].
        name : str
            Its name in the SVG file, "" for none [-].
        """
        self.line([(x0, y), (x1, y)], "measure", name)
        room = x1 - x0 - 2 * ARROW - 1.0
        inside = x1 - x0 > 2 * ARROW + 0.5
        self._arrow((x0, y), (-1.0 if inside else 1.0, 0.0))
        self._arrow((x1, y), (1.0 if inside else -1.0, 0.0))
        wide = width_mm(text, SMALL) + 0.6
        if wide < room:
            self.say(text, ((x0 + x1) / 2, y))
        else:
            away = 1.0 + wide / 2 + (0 if inside else ARROW)
            above = (x0 + x1) / 2, y - SMALL
            self._say_where_free(text, [(x1 + away, y), (x0 - away, y), above], False)

    def upright(self, x: float, y0: float, y1: float, text: str, name: str = "") -> None:
        """Draw an upright dimension line, its number on it or above it.

        Parameters
        ----------
        x : float
            Its place [mm].
        y0, y1 : float
            Upper and lower end [mm].
        text : str
            The number, with what it is of [-].
        name : str
            Its name in the SVG file, "" for none [-].
        """
        inside = self._upright(x, y0, y1, name)
        wide = width_mm(text, SMALL) + 0.6
        if wide < y1 - y0 - 2 * ARROW - 1.0:
            self.say(text, (x, (y0 + y1) / 2), upright=True)
        else:
            away = 1.0 + wide / 2 + (0 if inside else ARROW)
            self._say_where_free(text, [(x, y0 - away), (x, y1 + away)], True)

    def _upright(self, x: float, y0: float, y1: float, name: str) -> bool:
        """Line and arrows; True when the arrows fit between the ends."""
        self.line([(x, y0), (x, y1)], "measure", name)
        inside = y1 - y0 > 2 * ARROW + 0.5
        self._arrow((x, y0), (0.0, -1.0 if inside else 1.0))
        self._arrow((x, y1), (0.0, 1.0 if inside else -1.0))
        return inside

    def _say_where_free(self, text: str, places: Sequence[Point], upright: bool) -> None:
        costs = [self.covered(Words(text, place, upright=upright).box) for place in places]
        self.say(text, places[costs.index(min(costs))], upright=upright)

    def _arrow(self, tip: Point, way: Point) -> None:
        x, y = tip[0] - way[0] * ARROW, tip[1] - way[1] * ARROW
        half = ARROW / 6
        corners = (
            tip,
            (x + way[1] * half, y + way[0] * half),
            (x - way[1] * half, y - way[0] * half),
        )
        self._lines.append(Fill(corners))

    def upright_beside(self, x: float, y0: float, y1: float, text: str, name: str) -> None:
        """Draw a short upright dimension line, its number beside it.

        Parameters
        ----------
        x : float
            Its place [mm].
        y0, y1 : float
            Upper and lower end [mm].
        text : str
            The number, with what it is of [-].
        name : str
            Its name in the SVG file, "" for none [-].
        """
        self._upright(x, y0, y1, name)
        self.say(text, (x + 1.0 + width_mm(text, SMALL) / 2, (y0 + y1) / 2))

    def name(self, text: str, at: Point, far: Sequence[float] = _FAR) -> None:
        """Put a part's name where it covers least, with a thin line to the part.

        Parameters
        ----------
        text : str
            The name; lines are parted by line ends [-].
        at : (float, float)
            A point of the part [mm].
        far : sequence of float
            How far away the name may stand [mm].
        """
        lines = text.split("\n")
        half = max(width_mm(line, NAMES) for line in lines) / 2
        tall = 1.15 * NAMES * len(lines) / 2
        places = [
            (at[0] + dx * (distance + half), at[1] + dy * (distance + tall))
            for distance in far
            for dx, dy in _WAYS
        ]
        costs = [
            self.covered((x - half - 0.7, y - tall, x + half + 0.7, y + tall))
            + self._crossed(_nearest(at, (x, y), half, tall), at)
            + 0.15 * k
            for k, (x, y) in enumerate(places)
        ]
        x, y = places[costs.index(min(costs))]
        for k, line in enumerate(lines):
            self.say(line, (x, y + 1.15 * NAMES * (k - (len(lines) - 1) / 2)), size=NAMES)
        near = _nearest(at, (x, y), half, tall)
        if math.dist(near, at) > 1.2:
            self._lines.append(Line((near, at), "leader"))
            self._lines.append(Disc(at, 0.35, "leader"))

    def _crossed(self, start: Point, end: Point) -> float:
        """What a leader would cross on its way, its last millimetre left out."""
        length = math.dist(start, end)
        if length < 1.2:
            return 0.0
        shares = np.arange(0.0, length - 1.0, CELL) / length
        x, y = np.add(start, np.outer(shares, np.subtract(end, start))).T
        grid = self._grid()
        rows = np.clip(y / CELL, 0, grid.shape[0] - 1).astype(int)
        columns = np.clip(x / CELL, 0, grid.shape[1] - 1).astype(int)
        return 5.0 * float(np.sum(grid[rows, columns] >= WEIGHTS["hidden"]))

    def covered(self, box: Box) -> float:
        """Say what a box would cover: lines, and very much for words and the edge.

        Parameters
        ----------
        box : (float, float, float, float)
            Left, top, right and bottom [mm].

        Returns
        -------
        float
            Cost [-].
        """
        left, top, right, low = box
        ends = (max(round(one / CELL), 0) for one in (top, low, left, right))
        first, last, start, stop = ends
        lines = float(np.sum(self._grid()[first : last + 1, start : stop + 1]))
        words = sum(
            left < other[2] and other[0] < right and top < other[3] and other[1] < low
            for other in self._boxes
        )
        width, height = self._size
        inside = left >= EDGE and right <= width - EDGE and top >= EDGE and low <= height - EDGE
        return lines + 1000.0 * words + 1000.0 * (not inside)

    def _grid(self) -> Floats:
        """Weights of all points of the lines so far, in cells of the paper."""
        if self._cells is None or self._counted != len(self._under):
            x, y, weight = np.array(self._under).T
            width, height = self._size
            shape = int(height / CELL) + 1, int(width / CELL) + 1
            self._cells, self._counted = np.zeros(shape), len(self._under)
            rows = np.clip(y / CELL, 0, shape[0] - 1).astype(int)
            columns = np.clip(x / CELL, 0, shape[1] - 1).astype(int)
            np.add.at(self._cells, (rows, columns), weight)
        return self._cells

    def balance_mark(self, at: Point) -> None:
        """Draw the mark of a balance point: a quartered circle.

        Parameters
        ----------
        at : (float, float)
            Its middle [mm].
        """
        radius, (x, y) = BALANCE, at
        square = [(x + a * radius, y + b * radius) for a in (-1, 1) for b in (-1, 1)]
        around = [
            (x + radius * math.cos(k * math.tau / 48), y + radius * math.sin(k * math.tau / 48))
            for k in range(48)
        ]
        self._lines.append(Fill(tuple(around), white=True))
        for start in (0, 24):
            self._lines.append(Fill((at, *around[start : start + 13])))
        self._lines.append(Disc(at, radius, "leader"))
        self._under += [(*corner, WEIGHTS["bar"]) for corner in (at, *square)]


def _nearest(at: Point, middle: Point, half: float, tall: float) -> Point:
    """The place on a box that is nearest to a point."""
    x, y = middle
    return min(max(at[0], x - half), x + half), min(max(at[1], y - tall), y + tall)
