"""The one style of all pictures, what a picture is, and the small tools that draw words."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, cast

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import FancyArrowPatch, Patch
from matplotlib.text import Text
from PIL import Image

from trimkit.figures.stamps import StampCanvas

WIDTH_IN, HEIGHT_IN, TALL_IN = 9.6, 5.0, 7.0
SCREEN_DPI = 100
INK, GREY = "#000000", "#555555"
BLUE, ORANGE = "#0a4f96", "#a43b00"  # dark on white: contrast above 6 to 1, also in grey print
PALE = "#e3e3e3"
SMALL, MIDDLE, LARGE = 14, 17, 24
MOST_COLOURS, NEARLY_WHITE = 64, 250

_STYLE: dict[Any, Any] = {
    "font.family": "DejaVu Sans",  # comes with matplotlib, has every sign used here
    "font.size": MIDDLE,
    "axes.titlesize": MIDDLE,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.linewidth": 1.5,
    "lines.linewidth": 3.0,
    "lines.markersize": 11,
    "lines.solid_capstyle": "round",
    "text.color": INK,
    "figure.facecolor": "white",
    "axes.facecolor": "white",
    "hatch.linewidth": 1.0,
}


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure, and the same in words.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        The figure [-].
    text : str
        What it shows, in plain sentences [-].
    """

    figure: Figure
    text: str

    def png(self, dpi: float = SCREEN_DPI) -> bytes:
        """Draw the figure as a PNG file that carries the words inside it too.

        Parameters
        ----------
        dpi : float
            Dots per inch, 30 to 600 [1/in].

        Returns
        -------
        bytes
            The file [-].

        Raises
        ------
        ValueError
            When dpi is outside its range.
        """
        if not 30 <= dpi <= 600:
            raise ValueError(f"dpi is {dpi:g}; allowed is 30 to 600; is it a size in mm?")
        self.figure.set_dpi(dpi)
        file = io.BytesIO()
        FigureCanvasAgg(self.figure).print_png(  # type: ignore[no-untyped-call]
            file,
            metadata={"Description": self.text, "Software": None},
        )
        return file.getvalue()

    def still(self, dpi: float = SCREEN_DPI, small: bool = False) -> Still:
        """Draw the figure for a page that shows its words beside it, in few colours: quickly.

        Parameters
        ----------
        dpi : float
            Dots per inch [1/in].
        small : bool
            Take longer for a file a third smaller [-].

        Returns
        -------
        Still
            The same to the eye [-].
        """
        self.figure.set_dpi(dpi)
        canvas = cast(Any, StampCanvas(self.figure))  # its methods carry no types
        canvas.draw()
        return Still(_encoded(canvas.buffer_rgba(), 9 if small else 1), self.text)


@dataclass(frozen=True, slots=True)
class Look:
    """How one of several lines differs from the others, with and without colour.

    Parameters
    ----------
    dash : str
        Dash of the line [-].
    marker : str
        Marker at its end [-].
    colour : str
        Colour, dark on white [-].
    """

    dash: str
    marker: str
    colour: str


LOOKS = (
    Look("-", "o", INK),
    Look("--", "s", BLUE),
    Look(":", "^", ORANGE),
    Look("-.", "D", GREY),
)


@dataclass(frozen=True, slots=True)
class Page:
    """Size of a picture and of its type.

    Parameters
    ----------
    width_in, height_in : float
        Size of the picture [in].
    type_pt : float
        Smallest type on it [pt].
    line_pt : float
        Width of its lines [pt].
    """

    width_in: float
    height_in: float
    type_pt: float
    line_pt: float

    @property
    def em_in(self) -> float:
        """Height of its type [in]."""
        return self.type_pt / 72


def page(projector: bool = False, height_in: float = TALL_IN) -> Page:
    """Return the page for a screen or a print, or the one for a projector in a bright hall.

    Parameters
    ----------
    projector : bool
        A wide slide with type of 28 pt, always 9 in high [-].
    height_in : float
        Height for a screen [in].

    Returns
    -------
    Page
        Sizes of picture, type and lines [in, pt].
    """
    return SLIDE if projector else Page(WIDTH_IN, height_in, SMALL, 2.0)


SLIDE = Page(16.0, 9.0, 28.0, 3.5)
SLIDE_SHARE = 1.65  # of its size on a page: large type grows less, as titles have little room


@contextmanager
def style(projector: bool = False) -> Iterator[None]:
    """Use the one style inside a `with` block, and put matplotlib back as it was after it.

    Parameters
    ----------
    projector : bool
        With type of 28 pt, for the back row of a bright hall [-].

    Returns
    -------
    context manager
        For `with figures.style():` [-].
    """
    large: dict[Any, Any] = {"font.size": SLIDE.type_pt, "axes.titlesize": SLIDE.type_pt}
    with matplotlib.rc_context(_STYLE | large if projector else _STYLE):
        yield


# --- pictures that follow a slider ------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Still:
    """A picture as a finished PNG file, and the same in words.

    Parameters
    ----------
    png : bytes
        The file [-].
    text : str
        What it shows, in plain sentences [-].
    """

    png: bytes
    text: str


class Stage:
    """A figure that is drawn once, and then only where it changes: quick enough for a slider.

    Parameters
    ----------
    backdrop : callable
        Draws what stays, on a figure and its axes, and sets the axes' limits [-].
    dpi : float
        Dots per inch [1/in].
    """

    def __init__(self, backdrop: Callable[[Figure, Axes], None], dpi: float) -> None:
        with style():
            figure, self._axes = blank()
            figure.set_dpi(dpi)
            backdrop(figure, self._axes)
            self._canvas = cast(Any, StampCanvas(figure))  # its methods carry no types
            self._canvas.draw()
            self._clean = self._canvas.copy_from_bbox(figure.bbox)
        self._stays = set(self._axes.get_children())

    def still(self, paint: Callable[[Axes], None], text: str) -> Still:
        """Draw what changes over what stays, and take it away again.

        Parameters
        ----------
        paint : callable
            Draws on the axes [-].
        text : str
            What the picture then shows [-].

        Returns
        -------
        Still
            The picture [-].
        """
        with style():
            paint(self._axes)
        fresh = [one for one in self._axes.get_children() if one not in self._stays]
        self._canvas.restore_region(self._clean)
        for artist in sorted(fresh, key=lambda one: one.get_zorder()):
            self._axes.draw_artist(artist)
            artist.remove()
        return Still(_encoded(self._canvas.buffer_rgba()), text)


def _encoded(dots: Any, level: int = 1) -> bytes:
    """Write dots as PNG without transparency, in so few colours that an eye sees no difference.

    A picture of lines and words has a handful of colours and what lies between them at their
    edges: with one byte a dot it is written in half the time, and is less than half as long.
    """
    file = io.BytesIO()
    high, wide, _ = dots.shape
    image = Image.frombytes("RGB", (wide, high), dots, "raw", "RGBX")
    few = image.quantize(MOST_COLOURS, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    palette = np.array(few.getpalette())
    few.putpalette(np.where(palette > NEARLY_WHITE, 255, palette).tolist())  # paper stays white
    few.save(file, "PNG", compress_level=level)
    return file.getvalue()


# --- small tools -----------------------------------------------------------------------------


def signed(value: float, digits: int = 1) -> str:
    """Write a number with its sign, and no sign for nothing.

    Parameters
    ----------
    value : float
        The number [in any unit].
    digits : int
        Decimals [-].

    Returns
    -------
    str
        With a real minus sign [-].

    Examples
    --------
    >>> signed(3.18), signed(-0.04), signed(0.8)
    ('+3.2', '0.0', '+0.8')
    """
    text = f"{value:+.{digits}f}"
    return text.lstrip("+-") if float(text) == 0 else text.replace("-", "−")


def plain(value: float, digits: int = 1) -> str:
    """Write a number with a sign only where it is negative.

    Parameters
    ----------
    value : float
        The number [in any unit].
    digits : int
        Decimals [-].

    Returns
    -------
    str
        With a real minus sign [-].

    Examples
    --------
    >>> plain(3.18), plain(-0.04), plain(-0.8)
    ('3.2', '0.0', '−0.8')
    """
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def blank(
    title: str = "", height_in: float = HEIGHT_IN, projector: bool = False
) -> tuple[Figure, Axes]:
    """Return a figure and axes that fill it, without a frame, under a title.

    Parameters
    ----------
    title : str
        Title, "" for none [-].
    height_in : float
        Height of the figure [in].
    projector : bool
        As large as a slide; `enlarge` then makes what is drawn on it fit [-].

    Returns
    -------
    (matplotlib.figure.Figure, matplotlib.axes.Axes)
        Figure and axes [-].
    """
    sheet = page(projector, height_in)
    figure = Figure(figsize=(sheet.width_in, sheet.height_in))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    if title:
        write_title(axes, title)
    return figure, axes


def enlarge(figure: Figure) -> None:
    """Make what was drawn with the sizes of a page as large as a slide needs it.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        Of the size of a slide; type, lines, marks and arrows grow, places stay [-].
    """
    times = SLIDE.line_pt / page().line_pt
    for artist in figure.findobj():
        if isinstance(artist, Text):
            artist.set_fontsize(max(SLIDE.type_pt, SLIDE_SHARE * float(artist.get_fontsize())))
        elif isinstance(artist, Line2D):
            artist.set_linewidth(times * artist.get_linewidth())
            artist.set_markersize(times * artist.get_markersize())
            artist.set_markeredgewidth(times * artist.get_markeredgewidth())
        elif isinstance(artist, Patch):
            artist.set_linewidth(times * artist.get_linewidth())
        if isinstance(artist, FancyArrowPatch):
            artist.set_mutation_scale(times * artist.get_mutation_scale())


def sheet_axes(sheet: Page, title: str, note: str = "") -> tuple[Figure, Axes]:
    """Return a figure and axes without a frame between its title and its note.

    Parameters
    ----------
    sheet : Page
        Sizes [-].
    title : str
        Title, in the upper left corner [-].
    note : str
        What a reader must know about the drawing, below it [-].

    Returns
    -------
    (matplotlib.figure.Figure, matplotlib.axes.Axes)
        Figure and axes [-].
    """
    figure = Figure(figsize=(sheet.width_in, sheet.height_in))
    em = sheet.em_in / sheet.height_in
    foot = 1.7 * em if note else 0.4 * em
    axes = figure.add_axes((0.0, foot, 1.0, 1 - 2.0 * em - foot))
    axes.set_axis_off()
    left = 0.5 * sheet.em_in / sheet.width_in
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center"}
    figure.text(left, 1 - 0.95 * em, title, fontweight="bold", **look)
    figure.text(left, 0.85 * em, note, **look)
    return figure, axes


def chart(projector: bool, title: str) -> tuple[Figure, Axes, Page]:
    """Begin a chart: a title above, axes, and room for a line of words below.

    Parameters
    ----------
    projector : bool
        A slide with type of 28 pt [-].
    title : str
        What it shows [-].

    Returns
    -------
    (Figure, Axes, Page)
        To be drawn on [-].
    """
    sheet = page(projector, 6.0)
    figure = Figure(figsize=(sheet.width_in, sheet.height_in))
    em_x, em_y = sheet.em_in / sheet.width_in, sheet.em_in / sheet.height_in
    axes = figure.add_axes((5.0 * em_x, 6.2 * em_y, 1 - 6.5 * em_x, 1 - 8.8 * em_y))
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=sheet.type_pt)
    axes.xaxis.label.set_fontsize(sheet.type_pt)
    axes.yaxis.label.set_fontsize(sheet.type_pt)
    axes.grid(axis="y", color=PALE, linewidth=1)
    axes.set_axisbelow(True)
    look = {"fontsize": sheet.type_pt, "fontweight": "bold", "va": "center"}
    figure.text(0.5 * em_x, 1 - 1.1 * em_y, title, **look)  # type: ignore[arg-type]
    return figure, axes, sheet


def write_keys(figure: Figure, sheet: Page, words: str) -> None:
    """Write a line of words below a chart.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        The chart [-].
    sheet : Page
        Its page [-].
    words : str
        What its marks are [-].
    """
    em_x, em_y = sheet.em_in / sheet.width_in, sheet.em_in / sheet.height_in
    figure.text(0.5 * em_x, 1.1 * em_y, words, fontsize=sheet.type_pt, va="center")


def see(axes: Axes, low: tuple[float, float], high: tuple[float, float]) -> None:
    """Show a box in the middle of axes of any shape, with equal scales.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        The axes [-].
    low, high : (float, float)
        Lower left and upper right corner of what must be seen [in the axes' unit].
    """
    width, height = high[0] - low[0], high[1] - low[1]
    shape = axes.bbox.width / axes.bbox.height
    half_height = max(height, width / shape) / 2
    x, y = (low[0] + high[0]) / 2, (low[1] + high[1]) / 2
    axes.set_xlim(x - shape * half_height, x + shape * half_height)
    axes.set_ylim(y - half_height, y + half_height)


def write_title(axes: Axes, words: str) -> None:
    """Write a title in the upper left corner of the figure.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Axes that carry it [-].
    words : str
        The title [-].
    """
    place = axes.figure.transFigure
    look: dict[str, Any] = {"fontsize": MIDDLE, "fontweight": "bold", "va": "top", "zorder": 9}
    axes.text(0.025, 0.955, words, transform=place, **look)


def fit(axes: Axes, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Show at least this box with equal scales; what is spare goes left and right, or above.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Axes that fill a figure [-].
    low, high : (float, float)
        Lower left and upper right corner [in the axes' unit].

    Returns
    -------
    float
        Height of the view [in the axes' unit].
    """
    width, height = high[0] - low[0], high[1] - low[1]
    shape = axes.bbox.width / axes.bbox.height
    spare = max(shape * height - width, 0.0) / 2
    view = max(height, width / shape)
    axes.set_xlim(low[0] - spare, high[0] + spare)
    axes.set_ylim(low[1], low[1] + view)
    return view


def label(
    axes: Axes,
    words: str,
    at: tuple[float, float],
    to: tuple[float, float] | None = None,
    **options: Any,
) -> None:
    """Put words at a place, with a thin line to what they name.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        Axes that carry them [-].
    words : str
        The words [-].
    at : (float, float)
        Place of the words [in the axes' unit].
    to : (float, float) or None
        What they name, None for no line [in the axes' unit].
    **options
        For matplotlib's text [-].
    """
    options = {"ha": "center", "va": "center", "fontsize": SMALL, "zorder": 9, **options}
    box = {"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none"}
    if to is None:
        axes.text(*at, words, bbox=box, **options)
        return
    line = {"arrowstyle": "-", "color": INK, "linewidth": 1.2, "shrinkA": 0, "shrinkB": 3}
    axes.annotate(words, to, at, arrowprops=line, bbox=box, **options)


def cut(words: str, width: int, most: int = 1) -> list[str]:
    """Break words into lines, with three dots where there are more than there is room for.

    Parameters
    ----------
    words : str
        The words [-].
    width : int
        Longest line [letters].
    most : int
        Most lines [-].

    Returns
    -------
    list of str
        The lines, none for no words [-].

    Examples
    --------
    >>> cut("nose weight taken out", 21), cut("nose weight taken out", 12)
    (['nose weight taken out'], ['nose weight…'])
    """
    lines = textwrap.wrap(words, width)
    if len(lines) <= most:
        return lines
    last = lines[most - 1]
    while len(last) >= width and " " in last:
        last = last.rpartition(" ")[0]
    return [*lines[: most - 1], f"{last[: width - 1]}…"]


def sentence(words: str) -> str:
    """Begin words with a capital letter and leave the rest as it is.

    Parameters
    ----------
    words : str
        The words [-].

    Returns
    -------
    str
        The same with a capital letter [-].
    """
    return words[:1].upper() + words[1:]


def write_note(figure: Figure, words: str) -> None:
    """Write what a reader must know about the drawing in the lower right corner.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
        The figure [-].
    words : str
        The note [-].
    """
    box = {"facecolor": "white", "edgecolor": "none", "pad": 2}
    figure.text(0.975, 0.02, words, fontsize=SMALL, ha="right", va="bottom", bbox=box)
