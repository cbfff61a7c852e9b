"""A drawing as files: SVG by hand, PDF by matplotlib, both in exact millimetres."""

from __future__ import annotations

import html
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal

import matplotlib
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon

from trimkit.drawing.marks import LINES, Disc, Fill, Mark, Point, Words, width_mm
from trimkit.files import printable, write_whole
from trimkit.units import MM_PER_INCH

Paper = Literal["a4", "letter"]
PAPERS: Mapping[str, tuple[float, float]] = MappingProxyType(
    {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}
)  # ISO 216 and ANSI/ASME Y14.1, landscape [mm]
POINTS_PER_MM = 72 / MM_PER_INCH
BASELINE = 0.36  # from the middle of the letters down to the line they stand on, over their size
FONT = "DejaVu Sans, Verdana, Arial, sans-serif"


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing, ready for paper.

    Parameters
    ----------
    title : str
        Name of the aeroplane [-].
    text : str
        What the drawing shows, in plain sentences [-].
    paper : str
        "a4" or "letter", landscape [-].
    scale : float
        How many mm of the aeroplane one mm of paper is [-].
    marks : tuple of marks
        Everything on the paper, what lies on top last [mm].
    """

    title: str
    text: str
    paper: Paper
    scale: float
    marks: tuple[Mark, ...]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the paper [mm]."""
        return PAPERS[self.paper]

    def svg(self, inside_a_page: bool = False) -> str:
        """Write the drawing as SVG, one unit of it one mm.

        Parameters
        ----------
        inside_a_page : bool
            To stand inside an HTML page, without the head of a file [-].

        Returns
        -------
        str
            The file's text [-].
        """
        width, height = self.size_mm
        head = "" if inside_a_page else '<?xml version="1.0" encoding="UTF-8"?>\n'
        title = escaped(f"{self.title}, three views, scale 1:{self.scale:g}")
        lines = [
            f'{head}<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" '
            f'height="{height:g}mm" viewBox="0 0 {width:g} {height:g}" role="img" '
            'aria-labelledby="drawing-title drawing-words">',
            f'<title id="drawing-title">{title}</title>',
            f'<desc id="drawing-words">{escaped(self.text)}</desc>',
            f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>',
            f'<g fill="none" stroke="#000" stroke-linejoin="round" font-family="{FONT}">',
            *(_svg(mark) for mark in self.marks),
            "</g>",
            "</svg>\n",
        ]
        return "\n".join(lines)

    def pdf(self) -> bytes:
        """Write the drawing as PDF, one page of the paper's size.

        Returns
        -------
        bytes
            The file [-].
        """
        width, height = self.size_mm
        with matplotlib.rc_context({"pdf.fonttype": 42, "font.family": "DejaVu Sans"}):
            figure = Figure(figsize=(width / MM_PER_INCH, height / MM_PER_INCH))
            axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
            axes.set_axis_off()
            axes.set_xlim(0, width)
            axes.set_ylim(height, 0)
            for order, mark in enumerate(self.marks):
                _paint(axes, mark, order)
            file = io.BytesIO()
            told = {
                "Title": self.title,
                "Subject": self.text,
                "Creator": None,
                "CreationDate": None,
            }
            canvas: Any = FigureCanvasPdf(figure)
            canvas.print_pdf(file, metadata=told)
        return file.getvalue()


def save(drawing: Drawing, path: Path) -> None:
    """Save a drawing; the file is whole or as it was.

    Parameters
    ----------
    drawing : Drawing
        The drawing [-].
    path : pathlib.Path
        A name that ends in .svg or .pdf [-].

    Raises
    ------
    ValueError
        When it ends in something else.
    """
    kind = path.suffix.lower()
    if kind not in (".svg", ".pdf"):
        raise ValueError(f"{path.name} ends in {kind!r}; allowed is .svg or .pdf")
    raw = drawing.pdf() if kind == ".pdf" else drawing.svg().encode("utf-8")
    write_whole(path, raw)


def escaped(text: str) -> str:
    """Make words safe inside SVG or HTML, wherever they came from.

    Parameters
    ----------
    text : str
        Plain text [-].

    Returns
    -------
    str
        The same to a reader; unprintable letters become a question mark [-].

    Examples
    --------
    >>> escaped('<b onclick="x">')
    '&lt;b onclick=&quot;x&quot;&gt;'
    """
    return html.escape(printable(text), quote=True)


def _xy(point: Point) -> str:
    return f"{point[0]:.3f},{point[1]:.3f}"


def _svg(mark: Mark) -> str:
    if isinstance(mark, Words):
        x, y = mark.at
        turn = f' transform="rotate(-90 {x:.3f} {y:.3f})"' if mark.upright else ""
        weight = ' font-weight="bold"' if mark.bold else ""
        return (
            f'<text x="{x:.3f}" y="{y + BASELINE * mark.size:.3f}"'
            f' font-size="{mark.size:g}" text-anchor="middle" fill="#000" stroke="none"'
            f"{weight}{turn}>{escaped(mark.text)}</text>"
        )
    if isinstance(mark, Fill):
        corners = " ".join(_xy(one) for one in mark.corners)
        colour = "#fff" if mark.white else "#000"
        return f'<polygon points="{corners}" fill="{colour}" stroke="none"/>'
    width, dash = LINES[mark.kind]
    look = f'stroke-width="{width:g}"'
    look += f' stroke-dasharray="{" ".join(f"{one:g}" for one in dash)}"' if dash else ""
    name = f' id="{mark.name}"' if mark.name else ""
    if isinstance(mark, Disc):
        x, y = mark.at
        return f'<circle{name} cx="{x:.3f}" cy="{y:.3f}" r="{mark.radius:.3f}" {look}/>'
    shape = "polygon" if mark.closed else "polyline"
    corners = " ".join(_xy(one) for one in mark.corners)
    return f'<{shape}{name} points="{corners}" {look}/>'


def _paint(axes: Any, mark: Mark, order: int) -> None:
    """The same mark for the PDF file."""
    if isinstance(mark, Words):
        (x, y), half = mark.at, width_mm(mark.text, mark.size, mark.bold) / 2
        drop = BASELINE * mark.size
        start = (x + drop, y + half) if mark.upright else (x - half, y + drop)
        axes.text(
            *start,
            printable(mark.text),
            fontsize=mark.size * POINTS_PER_MM,
            fontweight="bold" if mark.bold else "normal",
            rotation=90 if mark.upright else 0,
            rotation_mode="anchor",
            ha="left",
            va="baseline",
            zorder=order,
            parse_math=False,
        )
        return
    if isinstance(mark, Fill):
        colour = "white" if mark.white else "black"
        axes.add_patch(Polygon(mark.corners, facecolor=colour, edgecolor="none", zorder=order))
        return
    width, dash = LINES[mark.kind]
    style: Any = (0, [one / width for one in dash]) if dash else "-"
    look: dict[str, Any] = {
        "linewidth": width * POINTS_PER_MM, "linestyle": style, "zorder": order,
    }  # fmt: skip
    if isinstance(mark, Disc):
        axes.add_patch(Circle(mark.at, mark.radius, fill=False, edgecolor="black", **look))
        return
    corners = [*mark.corners, mark.corners[0]] if mark.closed else mark.corners
    axes.plot(*zip(*corners, strict=True), color="black", **look)
