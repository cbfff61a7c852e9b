"""What lies on the paper, in mm from its upper left corner."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

SMALL, NAMES, TITLE = 2.5, 2.9, 5.0  # height of the type [mm]

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right and bottom
# width in mm and dash in mm of each kind of line
LINES: Mapping[str, tuple[float, tuple[float, ...]]] = MappingProxyType(
    {
        "outline": (0.5, ()),
        "hidden": (0.3, (2.0, 1.0)),
        "rubber": (0.35, (0.4, 0.8)),
        "centre": (0.15, (5.0, 1.0, 0.8, 1.0)),
        "measure": (0.15, ()),
        "leader": (0.15, ()),
        "bar": (0.7, ()),
    }
)


@dataclass(frozen=True, slots=True)
class Line:
    """A line through corners.

    Parameters
    ----------
    corners : tuple of (float, float)
        On the paper, from its upper left corner [mm].
    kind : str
        A key of `LINES` [-].
    name : str
        Its name in the SVG file, "" for none [-].
    closed : bool
        Whether the last corner joins the first [-].
    """

    corners: tuple[Point, ...]
    kind: str = "outline"
    name: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle.

    Parameters
    ----------
    at : (float, float)
        Its middle [mm].
    radius : float
        Its radius [mm].
    kind : str
        A key of `LINES` [-].
    name : str
        Its name in the SVG file, "" for none [-].
    """

    at: Point
    radius: float
    kind: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled shape, black or white.

    Parameters
    ----------
    corners : tuple of (float, float)
        Its corners [mm].
    white : bool
        White, to keep words readable, else black [-].
    """

    corners: tuple[Point, ...]
    white: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text.

    Parameters
    ----------
    text : str
        The words [-].
    at : (float, float)
        Middle of the text [mm].
    size : float
        Height of the type [mm].
    upright : bool
        Turned a quarter, to be read from the right [-].
    bold : bool
        In bold type [-].
    """

    text: str
    at: Point
    size: float = SMALL
    upright: bool = False
    bold: bool = False

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of the words [mm]."""
        width, height = width_mm(self.text, self.size, self.bold) + 0.6, 1.1 * self.size
        if self.upright:
            width, height = height, width
        x, y = self.at
        return x - width / 2, y - height / 2, x + width / 2, y + height / 2


Mark = Line | Disc | Fill | Words


@functools.lru_cache(maxsize=2048)
def width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Measure a line of text.

    Parameters
    ----------
    text : str
        The words [-].
    size_mm : float
        Height of the type [mm].
    bold : bool
        In bold type [-].

    Returns
    -------
    float
        Its width [mm].
    """
    look = FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal", size=100)
    width, _, _ = text_to_path.get_text_width_height_descent(text, look, ismath=False)
    return float(width) / 100 * size_mm
