"""Words as stamps: what is written again and again on a picture is drawn once and kept.

Most of the time of a quick picture goes into its letters. A word that stays while a slider moves
is taken from a shelf; it lies there at each quarter of a dot, so that it stands where it would.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any, cast

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.font_manager import FontProperties

MOST_STAMPS = 400  # about 2 MB
ROOM = 3  # dots around a word: letters may lean out of their box
PHASES = 4  # places within a dot, each way
ABOVE, BELOW, WIDEST = 1.2, 0.4, 1.3  # of any letter, over the size of the type


@lru_cache(maxsize=MOST_STAMPS)
def stamp(
    words: str, font: FontProperties, colour: tuple[float, ...], part: tuple[int, int], dpi: float
) -> tuple[Any, int]:
    """Draw words on a sheet of their own, and keep it.

    Parameters
    ----------
    words : str
        One line [-].
    font : matplotlib.font_manager.FontProperties
        Type and its size [-].
    colour : tuple of float
        Red, green, blue, each 0 to 1 [-].
    part : (int, int)
        Where in a dot they begin, across and down [1/4 dot].
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    (numpy.ndarray, int)
        The dots, lowest row first, and how many of the rows lie above the base line [-].
    """
    dots = font.get_size_in_points() * dpi / 72
    above, below = math.ceil(ABOVE * dots) + ROOM, math.ceil(BELOW * dots) + ROOM
    wide = math.ceil(WIDEST * dots * len(words)) + 2 * ROOM
    sheet = cast(Any, RendererAgg)(wide, above + below, dpi)
    pen = sheet.new_gc()
    pen.set_foreground(colour)
    sheet.draw_text(pen, ROOM + part[0] / PHASES, above + part[1] / PHASES, words, font, 0)
    drawn = np.asarray(sheet.buffer_rgba())[::-1]
    used = np.flatnonzero(drawn[:, :, 3].any(axis=0))
    return np.ascontiguousarray(drawn[:, : used[-1] + 1 if used.size else 1]), above


class StampRenderer(RendererAgg):
    """Draws as matplotlib does, but upright words from stamps."""

    def draw_text(
        self, gc: Any, x: float, y: float, s: str, prop: FontProperties, angle: float,
        ismath: Any = False, mtext: Any = None,
    ) -> None:  # fmt: skip
        """Draw words, from a stamp where they are upright and plain; as in matplotlib [-]."""
        if angle or ismath:
            super().draw_text(gc, x, y, s, prop, angle, ismath, mtext)  # type: ignore[no-untyped-call]
            return
        (left, part_x), (base, part_y) = (divmod(round(PHASES * at), PHASES) for at in (x, y))
        made, above = stamp(s, prop, tuple(gc.get_rgb()), (part_x, part_y), self.dpi)
        foot = base - above + len(made)
        self.draw_image(gc, left - ROOM, int(self.height) - foot, made)


class StampCanvas(FigureCanvasAgg):
    """A canvas whose words are stamps."""

    def get_renderer(self) -> StampRenderer:
        """Return the one renderer of this canvas [-]."""
        if getattr(self, "renderer", None) is None:
            size = self.figure.bbox.size
            self.renderer = cast(Any, StampRenderer)(*size, self.figure.dpi)
        return cast(StampRenderer, self.renderer)
