"""What the views and their frame have in common: an aeroplane, a place and a pen."""

from __future__ import annotations

from trimkit.aeroplane import Aeroplane
from trimkit.drawing.layout import Layout
from trimkit.drawing.pen import Pen


class View:
    """Something that is drawn of an aeroplane.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    layout : Layout
        Where the views stand [-].
    pen : Pen
        Draws them [-].
    """

    def __init__(self, aeroplane: Aeroplane, layout: Layout, pen: Pen) -> None:
        self.aeroplane, self.layout, self.pen = aeroplane, layout, pen
        self.scale = layout.scale
