"""A drawing of an aeroplane in three views, to scale, with its measures: SVG and PDF.

One list of marks in millimetres of paper makes both files, so that a ruler on the print gives
the same length in either. Lines differ in weight and dash, never in colour. Angles are drawn as
they are; the numbers beside them are to be trusted, since a small angle cannot be read off paper.
"""

from __future__ import annotations

from collections.abc import Iterator

from trimkit.aeroplane import Aeroplane
from trimkit.drawing.above import Above
from trimkit.drawing.frame import Frame, figures_of
from trimkit.drawing.front import Front
from trimkit.drawing.layout import Layout, stations_of
from trimkit.drawing.marks import Mark, Words
from trimkit.drawing.pen import Pen
from trimkit.drawing.sheet import PAPERS, Drawing, Paper, save
from trimkit.drawing.side import Side
from trimkit.figures.outline import wing_front
from trimkit.figures.style import plain

__all__ = ["PAPERS", "Drawing", "Paper", "Words", "draw", "figures_of", "save"]

SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)


def draw(aeroplane: Aeroplane, paper: Paper = "a4") -> Drawing:
    """Draw an aeroplane from above, from its left side and from the front.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    paper : str
        "a4" or "letter" [-].

    Returns
    -------
    Drawing
        At the largest of the usual scales that fits the paper [-].

    Raises
    ------
    ValueError
        When there is no such paper, or the aeroplane fits none of the scales.
    """
    if paper not in PAPERS:
        raise ValueError(f"paper is {paper!r}; allowed is {' or '.join(PAPERS)}")
    for scale in SCALES:
        plan = Layout(aeroplane, scale, *PAPERS[paper])
        if plan.fits:
            marks = tuple(_marks(aeroplane, plan))
            return Drawing(aeroplane.name, _told(aeroplane, scale), paper, scale, marks)
    raise ValueError(f"{aeroplane.name} does not fit {paper} at 1:{SCALES[-1]:g}; are its mm mm?")


def _marks(aeroplane: Aeroplane, layout: Layout) -> Iterator[Mark]:
    """Lines first, then their measures, then names, which look for room between them."""
    pen = Pen(layout.width, layout.height)
    views = [view(aeroplane, layout, pen) for view in (Above, Side, Front)]
    for view in views:
        view.draw()
    for view in views:
        view.measure()
    Frame(aeroplane, layout, pen).draw()
    for view in views:
        view.name()
    yield from pen.marks()


def _told(aeroplane: Aeroplane, scale: float) -> str:
    """The drawing in words."""
    stations = "; ".join(f"{word} {plain(station)}" for station, word in stations_of(aeroplane))
    build, setting = aeroplane.build, aeroplane.setting
    left, middle, right = (height for _, height in wing_front(aeroplane))
    figures = "; ".join(f"{what} {value}" for what, value in figures_of(aeroplane))
    return (
        f"{aeroplane.name} in three views at 1:{scale:g}: from above with its nose to the left, "
        "below that from its left side, and to the right of that from the front. Lengths in mm: "
        f"span {plain(build.wing.span_mm)}; chord {plain(build.wing.root_chord_mm)} in the middle "
        f"and {plain(build.wing.tip_chord_mm)} at the tips; tips higher than the middle by "
        f"{plain(left - middle)} left and {plain(right - middle)} right; wing "
        f"{plain(build.wing.height_mm)} above the stick; tailplane "
        f"{plain(build.tail.span_mm)} by {plain(build.tail.chord_mm)}; "
        f"fin {plain(build.fin.span_mm)} high; propeller {plain(setting.propeller.diameter_mm)}. "
        f"Stations from the bearing: {stations}. {figures}."
    )
