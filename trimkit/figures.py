"""Pictures for the bench and the hall, each with the same said in plain words.

Every function returns a `Picture`: a matplotlib figure, and a text that a 12-year-old can read
aloud to somebody who does not see it. One style holds for all: large type for a projector in
a bright hall; lines differ in dash and marker and carry their names, so that a black and white
print says the same; the colours are told apart by colour-blind eyes.

Nothing here touches pyplot or leaves a figure open: a figure goes when its picture goes.
The nose points to the left in every picture of an aeroplane, as stations count from the nose.
"""

from __future__ import annotations

import io
import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, cast

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse, Polygon, Rectangle
from PIL import Image

from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane, Part
from trimkit.balance import CentreOfGravity
from trimkit.trim import Trim
from trimkit.units import Floats

WIDTH_IN, HEIGHT_IN = 9.6, 5.0
SCREEN_DPI = 100
INK, GREY = "#000000", "#555555"
BLUE, ORANGE = "#0a4f96", "#a43b00"  # dark on white: contrast above 6 to 1, also in grey print
PALE = "#e3e3e3"
SMALL, MIDDLE, LARGE = 14, 17, 24

HEIGHT_STRETCH = 2.0  # ruler pictures: heights against lengths
INCIDENCE_STRETCH = 3.0  # side view: angles against what they are
TALLEST_MM = 300.0  # a long school ruler
TAIL_START = 1.75  # where the tail stands on the bench picture, in wing chords
RULER_ABOVE_MM = 7.0  # how far a drawn ruler stands above its reading
HALL_LENGTH_M, HAND_HEIGHT_M = 25.0, 1.8
DEGREES = 57.3  # degrees in one radian, as lessons say it

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


@dataclass(frozen=True, slots=True)
class Edges:
    """Ruler readings of one wing or tailplane on the bench.

    Parameters
    ----------
    leading_mm, trailing_mm : float
        Height of each edge above the table, 0 to 300 [mm].
    chord_mm : float
        Chord, edge to edge [mm].
    """

    leading_mm: float
    trailing_mm: float
    chord_mm: float

    def __post_init__(self) -> None:
        for name in ("leading_mm", "trailing_mm"):
            height = getattr(self, name)
            if not 0 <= height <= TALLEST_MM:
                raise ValueError(
                    f"{name} is {height:g} mm; allowed is 0 to {TALLEST_MM:g} mm above the table; "
                    "is it in cm, or measured from somewhere else?"
                )
        incidence.angle_deg(self.leading_mm, self.trailing_mm, self.chord_mm)

    @property
    def angle_deg(self) -> float:
        """Angle of the chord line, + leading edge up [deg]."""
        return incidence.angle_deg(self.leading_mm, self.trailing_mm, self.chord_mm)

    @property
    def rise_mm(self) -> float:
        """Leading edge minus trailing edge [mm]."""
        return self.leading_mm - self.trailing_mm


@dataclass(frozen=True, slots=True)
class _Look:
    dash: str
    marker: str
    colour: str


_LOOKS = (
    _Look("-", "o", INK),
    _Look("--", "s", BLUE),
    _Look(":", "^", ORANGE),
    _Look("-.", "D", GREY),
)


@contextmanager
def style() -> Iterator[None]:
    """Use the one style inside a `with` block, and put matplotlib back as it was after it.

    Returns
    -------
    context manager
        For `with figures.style():` [-].
    """
    with matplotlib.rc_context(_STYLE):
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
            figure, self._axes = _blank()
            figure.set_dpi(dpi)
            backdrop(figure, self._axes)
            self._canvas = cast(Any, FigureCanvasAgg(figure))  # its methods carry no types
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
        return Still(_encoded(np.asarray(self._canvas.buffer_rgba())), text)


def _encoded(dots: Any) -> bytes:
    """Write dots as PNG: fast rather than small, and without transparency."""
    file = io.BytesIO()
    Image.fromarray(np.ascontiguousarray(dots[:, :, :3])).save(file, "PNG", compress_level=1)
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


def _plain(value: float, digits: int = 1) -> str:
    text = f"{value:.{digits}f}"
    return text.lstrip("-") if float(text) == 0 else text.replace("-", "−")


def _blank(title: str = "", height_in: float = HEIGHT_IN) -> tuple[Figure, Axes]:
    """Figure and axes that fill it, without a frame, under a title."""
    figure = Figure(figsize=(WIDTH_IN, height_in))
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    if title:
        _title(axes, title)
    return figure, axes


def _title(axes: Axes, words: str) -> None:
    place = axes.figure.transFigure
    look: dict[str, Any] = {"fontsize": MIDDLE, "fontweight": "bold", "va": "top", "zorder": 9}
    axes.text(0.025, 0.955, words, transform=place, **look)


def _fit(axes: Axes, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Show at least this box with equal scales; return the height of the view.

    What is spare goes left and right, or above.
    """
    width, height = high[0] - low[0], high[1] - low[1]
    shape = WIDTH_IN / HEIGHT_IN
    spare = max(shape * height - width, 0.0) / 2
    view = max(height, width / shape)
    axes.set_xlim(low[0] - spare, high[0] + spare)
    axes.set_ylim(low[1], low[1] + view)
    return view


def _label(
    axes: Axes,
    words: str,
    at: tuple[float, float],
    to: tuple[float, float] | None = None,
    **options: Any,
) -> None:
    """Put words at a place, with a thin line to what they name."""
    options = {"ha": "center", "va": "center", "fontsize": SMALL, "zorder": 9, **options}
    box = {"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none"}
    if to is None:
        axes.text(*at, words, bbox=box, **options)
        return
    line = {"arrowstyle": "-", "color": INK, "linewidth": 1.2, "shrinkA": 0, "shrinkB": 3}
    axes.annotate(words, to, at, arrowprops=line, bbox=box, **options)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


# --- ruler and table -------------------------------------------------------------------------


def ruler_view(
    leading_edge_mm: float, trailing_edge_mm: float, chord_mm: float, name: str = "wing"
) -> Picture:
    """Draw a wing above a table with a ruler at each edge, and the angle that comes out.

    Parameters
    ----------
    leading_edge_mm, trailing_edge_mm : float
        Height of each edge above the table, 0 to 300 [mm].
    chord_mm : float
        Chord, edge to edge, 5 to 1500; angles up to 30° [mm].
    name : str
        What it is, such as "wing" or "tailplane" [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When a height or the angle is outside its range.
    """
    edges = Edges(leading_edge_mm, trailing_edge_mm, chord_mm)
    with style():
        figure, axes = _blank(f"{_sentence(name)}: {signed(edges.angle_deg)}°")
        view = _fit(axes, *_ruler_box(edges))
        _table(axes)
        _rulers(axes, edges, 0.0)
        _section(axes, edges, 0.0)
        _angle(axes, edges, 0.0, view)
        _rise_note(axes, edges)
        _edge_names(axes, edges, view)
        _stretch_note(figure)
    return Picture(figure, _ruler_words(edges, name))


def _ruler_box(edges: Edges) -> tuple[tuple[float, float], tuple[float, float]]:
    """Room for the names above and, in the table, for the note below, at any height."""
    tall = _up(max(edges.leading_mm, edges.trailing_mm) + RULER_ABOVE_MM) / 0.74
    chord = edges.chord_mm
    return (-0.7 * chord, -0.13 * tall), (1.7 * chord, tall)


def _up(height_mm: float) -> float:
    return HEIGHT_STRETCH * height_mm


def _table(axes: Axes) -> None:
    axes.axhline(0, color=INK, linewidth=2.5, zorder=1)
    axes.axhspan(-500, 0, facecolor=PALE, edgecolor=GREY, hatch="//", linewidth=0, zorder=0)
    box = {"facecolor": "white", "edgecolor": "none", "pad": 2}
    axes.figure.text(0.025, 0.02, "table", fontsize=SMALL, ha="left", va="bottom", bbox=box)


def _rulers(axes: Axes, edges: Edges, start: float) -> None:
    wide = 0.11 * edges.chord_mm
    end = start + edges.chord_mm
    _ruler(axes, start - wide, wide, edges.leading_mm, tip_right=True)
    _ruler(axes, end, wide, edges.trailing_mm, tip_right=False)


def _ruler(axes: Axes, left: float, wide: float, read_mm: float, tip_right: bool) -> None:
    """One upright ruler with a line every mm and 10 mm, and the reading marked."""
    top = read_mm + RULER_ABOVE_MM
    axes.add_patch(
        Rectangle((left, 0), wide, _up(top), facecolor="white", edgecolor=INK, linewidth=1.5)
    )
    marks = np.arange(0.0, top)
    lengths = np.where(marks % 10 == 0, 0.7, np.where(marks % 5 == 0, 0.5, 0.28)) * wide
    inner, sign = (left + wide, -1) if tip_right else (left, 1)
    ends = np.column_stack([np.full_like(lengths, inner), inner + sign * lengths])
    axes.plot(_broken(ends), _broken(np.column_stack([marks, marks]) * _up(1)), **_THIN)
    axes.plot(inner, _up(read_mm), marker="o", color=ORANGE, markeredgecolor=INK, zorder=7)


_THIN: dict[str, Any] = {"color": INK, "linewidth": 1.0, "linestyle": "-"}


def _broken(ends: Floats) -> Floats:
    """Join many short strokes into one line with gaps: much faster to draw."""
    return np.column_stack([ends, np.full(len(ends), np.nan)]).ravel()


def _section(axes: Axes, edges: Edges, start: float, bulge: float = 0.05) -> None:
    """The curved plate and its chord line; the chord lies at its true angle, stretched."""
    share = np.linspace(0, 1, 41)
    x = start + share * edges.chord_mm
    chord = _up(edges.leading_mm) - share * _up(edges.rise_mm)
    arc = chord + 4 * bulge * edges.chord_mm * share * (1 - share)
    axes.plot(x, arc, "-", color=BLUE, linewidth=6, zorder=5)
    if bulge:
        axes.plot(x, chord, "--", color=INK, linewidth=1.8, zorder=6)


def _without_shim(axes: Axes, tail: Edges, start: float) -> None:
    ends = [start, start + tail.chord_mm]
    heights = [_up(tail.leading_mm), _up(tail.trailing_mm)]
    axes.plot(ends, heights, "--", color=ORANGE, linewidth=3, zorder=8)


def _angle(axes: Axes, edges: Edges, start: float, view: float, name: str = "") -> None:
    """Level line through the lower edge and the wedge between it and the chord."""
    low = _up(min(edges.leading_mm, edges.trailing_mm))
    end = start + edges.chord_mm
    vertex, far = (end, start) if edges.rise_mm >= 0 else (start, end)
    high = _up(max(edges.leading_mm, edges.trailing_mm))
    wedge = [(vertex, low), (far, low), (far, high)]
    axes.add_patch(Polygon(wedge, facecolor=PALE, edgecolor="none", zorder=2))
    axes.plot([start, end], [low, low], ":", color=INK, linewidth=2, zorder=4)
    place = ((start + end) / 2, low - 0.075 * view)
    if low < 0.13 * view:  # no room between it and the table
        place = (place[0], high + _up(RULER_ABOVE_MM) + 0.12 * view)
    words, size = f"{name}{signed(edges.angle_deg)}°", MIDDLE if name else LARGE
    _label(axes, words, place, fontsize=size, fontweight="bold", zorder=3)


def _rise_note(axes: Axes, edges: Edges) -> None:
    """Beside the left ruler: how much higher the leading edge is."""
    if abs(edges.rise_mm) < 0.05:
        return
    x = -0.17 * edges.chord_mm
    low, high = sorted((_up(edges.leading_mm), _up(edges.trailing_mm)))
    axes.plot([x, x], [low, high], "-", color=ORANGE, linewidth=3.5, marker="_", zorder=6)
    side = "higher" if edges.rise_mm > 0 else "lower"
    words = f"{_plain(abs(edges.rise_mm))} mm\n{side}"
    _label(axes, words, (x - 0.03 * edges.chord_mm, (low + high) / 2), ha="right")


def _edge_names(axes: Axes, edges: Edges, view: float) -> None:
    """Names above the rulers, each on its outer side so that the two never meet."""
    wide = 0.11 * edges.chord_mm
    ends = (
        ("leading edge", edges.leading_mm, wide / 2 - wide, "right"),
        ("trailing edge", edges.trailing_mm, edges.chord_mm + wide / 2, "left"),
    )
    for words, height, x, side in ends:
        shift = 0.09 * view if side == "right" else -0.09 * view
        place = (x + shift, _up(height + RULER_ABOVE_MM) + 0.02 * view)
        said = f"{words}\n{_plain(height)} mm"
        _label(axes, said, place, ha=side, va="bottom", fontweight="bold", zorder=4)


def _stretch_note(figure: Figure) -> None:
    _note(figure, "Heights are drawn twice as large as lengths. Nose to the left.")


def _note(figure: Figure, words: str) -> None:
    """What a reader must know about the drawing, in the lower right corner."""
    box = {"facecolor": "white", "edgecolor": "none", "pad": 2}
    figure.text(0.975, 0.02, words, fontsize=SMALL, ha="right", va="bottom", bbox=box)


def _ruler_words(edges: Edges, name: str) -> str:
    return (
        f"A {name} seen from the side above a table, nose to the left, with a ruler at each edge. "
        f"{_edge_words(edges)} {_quotient_words(edges)} "
        "In the picture heights are twice as large as lengths, so the angle looks steeper."
    )


def _edge_words(edges: Edges) -> str:
    return (
        f"The leading edge is {_plain(edges.leading_mm)} mm above the table, the trailing edge "
        f"{_plain(edges.trailing_mm)} mm."
    )


def _quotient_words(edges: Edges) -> str:
    return (
        f"{_plain(edges.rise_mm)} ÷ {edges.chord_mm:g} × {DEGREES} gives an angle of "
        f"{signed(edges.angle_deg)}°, {_nose_words(edges.angle_deg)}."
    )


def _nose_words(angle_deg: float) -> str:
    if abs(angle_deg) < 0.05:
        return "level"
    return "leading edge up" if angle_deg > 0 else "leading edge down"


def bench_view(wing: Edges, tail: Edges, shim_mm: float, socket_mm: float) -> Picture:
    """Draw wing and tailplane above the table, the tailplane before and after its shim.

    Parameters
    ----------
    wing, tail : Edges
        Readings of both, the tail's taken before the shim [-].
    shim_mm : float
        Shim, + lifts the tail's trailing edge [mm].
    socket_mm : float
        Length over which the shim tilts the tail, 5 to 1500 [mm].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When the shim tilts the tail by more than 30°.
    """
    tilted = _with_shim(tail, shim_mm, socket_mm)
    with style():
        figure, axes = _blank()
        highest = (wing.leading_mm, wing.trailing_mm, tilted.leading_mm, tilted.trailing_mm)
        _bench(figure, axes, wing.chord_mm, tail.chord_mm, max(highest))
        _on_bench(axes, wing, tail, tilted, shim_mm)
    return Picture(figure, _bench_words(wing, tail, tilted, shim_mm))


def bench_stage(
    wing_chord_mm: float, tail_chord_mm: float, socket_mm: float, tallest_mm: float, dpi: float
) -> Callable[[Edges, Edges, float], Still]:
    """Prepare `bench_view` for a slider: the table stays, wing and tail are redrawn.

    Parameters
    ----------
    wing_chord_mm, tail_chord_mm : float
        Chords, 5 to 1500 [mm].
    socket_mm : float
        Length over which the shim tilts the tail, 5 to 1500 [mm].
    tallest_mm : float
        Largest height that will be shown, up to 300 [mm].
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        Takes wing, tail and shim in mm, returns a `Still` [-].
    """
    stage = Stage(lambda f, a: _bench(f, a, wing_chord_mm, tail_chord_mm, tallest_mm), dpi)

    def still(wing: Edges, tail: Edges, shim_mm: float) -> Still:
        tilted = _with_shim(tail, shim_mm, socket_mm)
        words = _bench_words(wing, tail, tilted, shim_mm)
        return stage.still(lambda axes: _on_bench(axes, wing, tail, tilted, shim_mm), words)

    return still


def _bench(
    figure: Figure, axes: Axes, wing_chord_mm: float, tail_chord_mm: float, tallest_mm: float
) -> None:
    tall = _up(tallest_mm + RULER_ABOVE_MM) / 0.72
    right = TAIL_START * wing_chord_mm + 1.4 * tail_chord_mm
    _fit(axes, (-0.35 * wing_chord_mm, -0.13 * tall), (right, tall))
    _table(axes)
    _stretch_note(figure)


def _on_bench(axes: Axes, wing: Edges, tail: Edges, tilted: Edges, shim_mm: float) -> None:
    start = TAIL_START * wing.chord_mm
    after, before = wing.angle_deg - tilted.angle_deg, wing.angle_deg - tail.angle_deg
    shimless = f"; without the shim, dashed, {signed(before)}°" if shim_mm else ""
    _title(axes, f"Decalage: {signed(after)}°{shimless}")
    _mounted(axes, wing, 0.0, "wing", 0.05)
    _mounted(axes, tilted, start, "tail", 0.0)
    if shim_mm:
        _without_shim(axes, tail, start)


def _mounted(axes: Axes, edges: Edges, start: float, name: str, bulge: float) -> None:
    """A wing or tail between its rulers, with its angle and its readings."""
    bottom, top = axes.get_ylim()
    _rulers(axes, edges, start)
    _section(axes, edges, start, bulge)
    _angle(axes, edges, start, top - bottom, f"{name} ")
    ends = ((edges.leading_mm, start, "right"), (edges.trailing_mm, start + edges.chord_mm, "left"))
    for height, x, side in ends:
        place = (x, _up(height + RULER_ABOVE_MM) + 0.02 * (top - bottom))
        _label(axes, _plain(height), place, ha=side, va="bottom")


def _with_shim(tail: Edges, shim_mm: float, socket_mm: float) -> Edges:
    """Turn the tail by the shim's angle about its leading edge; the table stops it."""
    turned = incidence.angle_for_shim_deg(shim_mm, socket_mm)
    rise = incidence.leading_edge_mm(tail.angle_deg - turned, 0.0, tail.chord_mm)
    trailing = max(tail.leading_mm - rise, 0.0)
    return Edges(max(trailing + rise, 0.0), trailing, tail.chord_mm)


def _bench_words(wing: Edges, tail: Edges, tilted: Edges, shim_mm: float) -> str:
    before = wing.angle_deg - tail.angle_deg
    after = wing.angle_deg - tilted.angle_deg
    parts = [
        "Wing and tailplane seen from the side above a table, nose to the left.",
        f"Wing: {_edge_words(wing)} That is {signed(wing.angle_deg)}°.",
        f"Tailplane: {_edge_words(tilted)} That is {signed(tilted.angle_deg)}°.",
        f"Decalage is wing minus tail: {signed(after)}°.",
    ]
    if shim_mm:
        parts.append(
            f"Without the shim of {signed(shim_mm)} mm it is {signed(before)}°; the dashed line "
            "is the tailplane without it."
        )
    parts.append("In the picture heights are twice as large as lengths.")
    return " ".join(parts)


def readings(values: Sequence[float], unit: str, title: str) -> Picture:
    """Draw repeated readings of one thing as dots, one row each, with their spread.

    Parameters
    ----------
    values : sequence of float
        Two to twelve readings [in the given unit].
    unit : str
        Unit as printed [-].
    title : str
        What was read [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there are fewer than two or more than twelve.
    """
    read = [float(value) for value in values]
    if not 2 <= len(read) <= 12:
        raise ValueError(f"{len(read)} readings are given; allowed is 2 to 12")
    low, high, middle = min(read), max(read), float(np.mean(read))
    with style():
        figure, axes = _blank(title)
        axes.set_position((0.04, 0.02, 0.92, 0.84))
        axes.axvspan(low, high, facecolor=PALE, zorder=0)
        axes.axvline(middle, color=INK, linestyle="--", linewidth=2)
        for row, value in enumerate(read):
            axes.plot(value, -row, marker="o", color=BLUE, markeredgecolor=INK, markersize=14)
            _reading_label(axes, value, -row, unit, high - low)
        room = max(high - low, 0.1)
        _label(axes, f"mean {_plain(middle)}{_spaced(unit)}", (middle, 0.85))
        spread = f"spread {_plain(high - low)}{_spaced(unit)}"
        _label(axes, spread, (middle, -len(read) + 0.15), fontweight="bold")
        axes.set_xlim(low - 0.35 * room, high + 0.35 * room)
        axes.set_ylim(-len(read) - 0.3, 1.3)
    return Picture(figure, _readings_words(read, unit, title))


def _spaced(unit: str) -> str:
    return unit if unit in ("", "°") else f" {unit}"


def _reading_label(axes: Axes, value: float, row: float, unit: str, spread: float) -> None:
    place = (value + 0.04 * max(spread, 0.1), row)
    _label(axes, f"{_plain(value)}{_spaced(unit)}", place, ha="left")


def _readings_words(read: Sequence[float], unit: str, title: str) -> str:
    listed = ", ".join(_plain(value) for value in read)
    spread, middle = max(read) - min(read), float(np.mean(read))
    return (
        f"{title}. The readings are {listed}{_spaced(unit)}. Their mean is {_plain(middle)}"
        f"{_spaced(unit)}. From the lowest to the highest is {_plain(spread)}{_spaced(unit)}."
    )


# --- the aeroplane from the side -------------------------------------------------------------


def side_view(aeroplane: Aeroplane) -> Picture:
    """Draw the aeroplane from its left side, nose to the left, equal scales.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane; angles are drawn three times larger than they are [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    with style():
        figure, axes = _blank(f"{aeroplane.name} from the side")
        _sticks(axes, aeroplane)
        _propeller(axes, aeroplane)
        _fin(axes, aeroplane)
        _wing_and_tail(axes, aeroplane)
        _shim(axes, aeroplane)
        _points(axes, aeroplane)
        _fit(axes, *_side_box(aeroplane))
        words = "Angles are drawn 3 times larger than they are."
        _note(figure, words)
    return Picture(figure, _side_words(aeroplane))


def _tail_end_mm(aeroplane: Aeroplane) -> float:
    fin = aeroplane.build.fin
    tail = aeroplane.build.tail
    return max(tail.station_mm + tail.chord_mm, fin.station_mm + 0.75 * fin.chord_mm)


def _side_box(aeroplane: Aeroplane) -> tuple[tuple[float, float], tuple[float, float]]:
    end = _tail_end_mm(aeroplane)
    radius = aeroplane.setting.propeller.diameter_mm / 2
    low = min(aeroplane.build.stick.motor_height_mm - radius, -0.2 * end)
    return (-0.17 * end, low - 0.09 * end), (1.09 * end, _top_mm(aeroplane) + 0.17 * end)


def _top_mm(aeroplane: Aeroplane) -> float:
    build, radius = aeroplane.build, aeroplane.setting.propeller.diameter_mm / 2
    wing_top = build.wing.height_mm + 0.2 * build.wing.root_chord_mm
    fin_top = build.fin.height_mm + build.fin.span_mm / 2
    return max(wing_top, fin_top, build.stick.motor_height_mm + radius)


def _sticks(axes: Axes, aeroplane: Aeroplane) -> None:
    stick, tail = aeroplane.build.stick, aeroplane.build.tail
    hook, end = stick.hook_station_mm, tail.station_mm + tail.chord_mm / 2
    axes.plot([0, hook], [0, 0], "-", color=INK, linewidth=6, zorder=3)
    axes.plot([hook, end], [0, tail.height_mm], "-", color=INK, linewidth=3, zorder=3)
    drop = stick.motor_height_mm
    axes.plot([0, hook], [drop, drop], ":", color=ORANGE, linewidth=3, zorder=2)
    for x in (0, hook):
        axes.plot([x, x], [0, drop], "-", color=INK, linewidth=2)
    _label(axes, "rubber", (0.3 * hook, drop - 0.05 * end), color=ORANGE)
    _label(axes, "stick", (0.2 * hook, 0.035 * end))


def _propeller(axes: Axes, aeroplane: Aeroplane) -> None:
    """A steady disc seen from its edge."""
    propeller, drop = aeroplane.setting.propeller, aeroplane.build.stick.motor_height_mm
    place = (propeller.station_mm, drop)
    size = propeller.diameter_mm
    axes.add_patch(
        Ellipse(place, 0.06 * size, size, facecolor=PALE, edgecolor=INK, linewidth=2, zorder=2)
    )
    below = (propeller.station_mm, drop - size / 2 - 0.035 * _tail_end_mm(aeroplane))
    _label(axes, "propeller", below)


def _fin(axes: Axes, aeroplane: Aeroplane) -> None:
    fin = aeroplane.build.fin
    corner = (fin.station_mm - fin.chord_mm / 4, fin.height_mm - fin.span_mm / 2)
    outline: dict[str, Any] = {
        "facecolor": "white",
        "edgecolor": INK,
        "linewidth": 2.0,
        "zorder": 1.0,
    }
    axes.add_patch(Rectangle(corner, fin.chord_mm, fin.span_mm, **outline))
    middle = (fin.station_mm + fin.chord_mm / 4, fin.height_mm + 0.28 * fin.span_mm)
    _label(axes, "fin", middle, zorder=2)


def _tilted(
    station_mm: float, height_mm: float, chord_mm: float, angle_deg: float, camber_percent: float
) -> tuple[Floats, Floats]:
    """A curved plate turned about its middle by three times its angle."""
    share = np.linspace(-0.5, 0.5, 41)
    bulge = camber_percent / 100 * chord_mm * (1 - 4 * share**2)
    turn = np.radians(INCIDENCE_STRETCH * angle_deg)
    x = station_mm + chord_mm / 2 + share * chord_mm * np.cos(turn) + bulge * np.sin(turn)
    return x, height_mm - share * chord_mm * np.sin(turn) + bulge * np.cos(turn)


def _wing_and_tail(axes: Axes, aeroplane: Aeroplane) -> None:
    wing, tail, setting = aeroplane.build.wing, aeroplane.build.tail, aeroplane.setting
    end = _tail_end_mm(aeroplane)
    wing_deg = incidence.wing_incidence_deg(aeroplane)
    tail_deg = incidence.tail_incidence_deg(aeroplane)
    plate = _tilted(
        setting.wing_station_mm, wing.height_mm, wing.root_chord_mm, wing_deg, wing.camber_percent
    )
    for x in setting.wing_station_mm + np.array([0.15, 0.85]) * wing.root_chord_mm:
        top = float(np.interp(x, *plate))
        axes.plot([x, x], [0, top], "-", color=INK, linewidth=2, zorder=2)
    axes.plot(*plate, "-", color=BLUE, linewidth=6, zorder=5)
    above = (setting.wing_station_mm + wing.root_chord_mm / 2, wing.height_mm + 0.1 * end)
    _label(axes, f"wing {signed(wing_deg)}°", above, fontweight="bold", fontsize=MIDDLE)
    plate = _tilted(tail.station_mm, tail.height_mm, tail.chord_mm, tail_deg, tail.camber_percent)
    axes.plot(*plate, "-", color=BLUE, linewidth=6, zorder=5)
    below = (tail.station_mm + tail.chord_mm / 2, tail.height_mm - 0.08 * end)
    _label(axes, f"tail {signed(tail_deg)}°", below, fontweight="bold", fontsize=MIDDLE)


def _shim(axes: Axes, aeroplane: Aeroplane) -> None:
    """A wedge at the socket, on the side that the shim goes."""
    shim, hook = aeroplane.setting.shim_mm, aeroplane.build.stick.hook_station_mm
    end = _tail_end_mm(aeroplane)
    words = f"shim {signed(shim)} mm" if shim else "no shim"
    _label(axes, words, (hook + 0.02 * end, 0.11 * end), to=(hook + 0.03 * end, 0.0))
    if shim:
        tall = 0.02 * end
        wedge = [(hook, 0), (hook + 0.06 * end, 0), (hook + 0.06 * end, -np.sign(shim) * tall)]
        axes.add_patch(Polygon(wedge, facecolor=ORANGE, edgecolor=INK, zorder=6))


def _points(axes: Axes, aeroplane: Aeroplane) -> None:
    """Balance point and neutral point below the stick, names on the side where there is room."""
    end = _tail_end_mm(aeroplane)
    cg, neutral = balance.aeroplane_cg(aeroplane), balance.neutral_point_mm(aeroplane)
    level = -0.16 * end
    axes.plot(cg.station_mm, cg.height_mm, "o", color="white", mec=INK, mew=3, ms=18, zorder=7)
    axes.plot(cg.station_mm, cg.height_mm, "P", color=INK, ms=12, mew=0, zorder=8)
    axes.plot(neutral, 0, "D", color=ORANGE, mec=INK, mew=2, ms=13, zorder=7)
    ahead = cg.station_mm <= neutral
    sides = ("right", "left") if ahead else ("left", "right")
    gap = 0.015 * end if ahead else -0.015 * end
    _label(
        axes,
        "balance point",
        (min(cg.station_mm, cg.station_mm - gap), level),
        to=(cg.station_mm, cg.height_mm),
        ha=sides[0],
        fontweight="bold",
    )
    _label(axes, "neutral point", (neutral + gap, level), to=(neutral, 0), ha=sides[1])


def _side_words(aeroplane: Aeroplane) -> str:
    wing_mm = aeroplane.setting.wing_station_mm
    point = balance.balance_point_mm(aeroplane)
    apart = balance.neutral_point_mm(aeroplane) - balance.aeroplane_cg(aeroplane).station_mm
    side = "behind" if apart >= 0 else "ahead of"
    shim = aeroplane.setting.shim_mm
    shim_words = f"The shim is {signed(shim)} mm." if shim else "There is no shim."
    return (
        f"{aeroplane.name} seen from the side, nose to the left. The wing's leading edge is "
        f"{_plain(wing_mm)} mm behind the propeller bearing. The wing is at "
        f"{signed(incidence.wing_incidence_deg(aeroplane))}° and the tailplane at "
        f"{signed(incidence.tail_incidence_deg(aeroplane))}°, so the decalage is "
        f"{signed(incidence.decalage_deg(aeroplane))}°. {shim_words} "
        f"The aeroplane balances {_plain(point)} mm behind the wing's leading edge. The neutral "
        f"point is {_plain(abs(apart))} mm {side} that. "
        "In the picture angles are three times larger than they are."
    )


# --- balance ---------------------------------------------------------------------------------


def balance_beam(parts: Iterable[Sequence[float] | Part], cg: CentreOfGravity) -> Picture:
    """Draw masses on a beam that balances on a point.

    Parameters
    ----------
    parts : iterable of Part or (mass_g, station_mm) or (mass_g, station_mm, height_mm)
        One to sixteen masses [g, mm, mm].
    cg : CentreOfGravity
        Where they balance [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is no part, or more than sixteen.
    """
    rows = sorted(_named_parts(parts), key=lambda row: row[2])
    if not 1 <= len(rows) <= 16:
        raise ValueError(f"{len(rows)} parts are given; allowed is 1 to 16; join the small ones")
    with style():
        figure, axes = _blank("What balances where", 5.6)
        left, right = rows[0][2], max(rows[-1][2], cg.station_mm)
        room = max(right - left, 10.0)
        axes.set_xlim(left - 0.15 * room, right + 0.15 * room)
        axes.plot([left - 0.05 * room, right + 0.05 * room], [0, 0], "-", color=INK, linewidth=7)
        lines = _masses(axes, rows, room)
        axes.set_ylim(-2.3, max(3.0, 1.5 + 0.85 * lines) + 1.4)
        _pivot(axes, cg)
    return Picture(figure, _beam_words(rows, cg))


def _named_parts(parts: Iterable[Sequence[float] | Part]) -> list[tuple[str, float, float]]:
    found = []
    for number, part in enumerate(parts, start=1):
        if isinstance(part, Part):
            found.append((part.name, part.mass_g, part.station_mm))
        else:
            found.append((f"part {number}", float(part[0]), float(part[1])))
    return found


def _masses(axes: Axes, rows: Sequence[tuple[str, float, float]], room: float) -> int:
    """A disc for each mass, its name above on the first free line; return the lines used."""
    heaviest = max(mass for _, mass, _ in rows)
    ends: list[float] = []
    for name, mass, station in rows:
        words = f"{name}: {_plain(mass, 2)} g"
        half = 0.0083 * room * len(words)  # measured on the picture: half a word's width
        line = next((k for k, end in enumerate(ends) if end < station - half), len(ends))
        ends[line : line + 1] = [station + half]
        height = 1.5 + 0.85 * line
        size = 9 + 17 * float(np.sqrt(mass / heaviest))
        axes.plot(station, 0.35, "o", color=BLUE, mec=INK, mew=1.5, ms=size, zorder=5)
        axes.plot([station, station], [0.35, height], "-", color=GREY, linewidth=1.2, zorder=1)
        _label(axes, words, (station, height))
    return len(ends)


def _pivot(axes: Axes, cg: CentreOfGravity) -> None:
    axes.plot(cg.station_mm, -0.42, "^", color=ORANGE, mec=INK, mew=2, ms=26, zorder=4)
    words = f"balances at {_plain(cg.station_mm)} mm\n{_plain(cg.mass_g, 2)} g in all"
    _label(axes, words, (cg.station_mm, -1.5), fontsize=MIDDLE, fontweight="bold")


def _beam_words(rows: Sequence[tuple[str, float, float]], cg: CentreOfGravity) -> str:
    listed = "; ".join(f"{name}, {_plain(m, 2)} g at {_plain(s)} mm" for name, m, s in rows)
    return (
        f"A beam with masses on it, counted from the propeller bearing, nose to the left: "
        f"{listed}. Together {_plain(cg.mass_g, 2)} g. It balances at {_plain(cg.station_mm)} mm."
    )


# --- the glide -------------------------------------------------------------------------------


def glide_path(trims: Sequence[Trim], names: Sequence[str] | None = None) -> Picture:
    """Draw steady glides from a hand launch at 1.8 m, in a hall 25 m long.

    Only the steady glide is drawn: speed and sink of each `Trim`. What a stall or a dive with
    no steady glide really looks like needs a flight to be worked out; here it is marked.

    Parameters
    ----------
    trims : sequence of Trim
        One to four results of `trim.glide` [-].
    names : sequence of str or None
        Their names, None for "setting 1" and so on [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is none or more than four, or the names do not fit.
    """
    if not 1 <= len(trims) <= len(_LOOKS):
        raise ValueError(f"{len(trims)} glides are given; allowed is 1 to {len(_LOOKS)}")
    called = list(names or _default_names(len(trims)))
    if len(called) != len(trims):
        raise ValueError(f"{len(called)} names are given for {len(trims)} glides")
    with style():
        figure, axes = _blank()
        _hall(figure, axes, len(trims))
        for row, (flown, name) in enumerate(zip(trims, called, strict=True)):
            _glide(axes, flown, name, row)
    return Picture(figure, _glide_words(trims, called))


def glide_stage(design: Trim, dpi: float) -> Callable[[Trim], Still]:
    """Prepare `glide_path` for a slider: hall and design setting stay, the other is redrawn.

    Parameters
    ----------
    design : Trim
        Glide at the design setting, drawn as "design" [-].
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        Takes the `Trim` of the setting now, returns a `Still` [-].
    """

    def backdrop(figure: Figure, axes: Axes) -> None:
        _hall(figure, axes, 2)
        _glide(axes, design, "design", 1)

    stage = Stage(backdrop, dpi)
    return lambda now: stage.still(
        lambda axes: _glide(axes, now, "now", 0), _glide_words([now, design], ["now", "design"])
    )


def _default_names(count: int) -> list[str]:
    return ["this setting"] if count == 1 else [f"setting {k + 1}" for k in range(count)]


def landing_m(flown: Trim) -> float:
    """Distance along the floor that the steady glide covers from a hand launch at 1.8 m.

    Parameters
    ----------
    flown : Trim
        Result of `trim.glide` [-].

    Returns
    -------
    float
        Distance, 0 when there is no steady glide [m].
    """
    if not flown.found:
        return 0.0
    forward = np.sqrt(max(flown.speed_m_s**2 - flown.sink_m_s**2, 0.0))
    return float(HAND_HEIGHT_M * forward / flown.sink_m_s)


def time_down_s(flown: Trim) -> float:
    """Time that the steady glide takes from a hand launch at 1.8 m to the floor.

    Parameters
    ----------
    flown : Trim
        Result of `trim.glide` [-].

    Returns
    -------
    float
        Time, 0 when there is no steady glide [s].
    """
    return HAND_HEIGHT_M / flown.sink_m_s if flown.found else 0.0


def _hall(figure: Figure, axes: Axes, glides: int) -> None:
    """Floor, wall, the launching hand, and distances below the names of the glides."""
    names_below = -0.42 - 0.2 * glides
    axes.set_xlim(-2.6, HALL_LENGTH_M + 1.2)
    axes.set_ylim(names_below - 0.42, 3.0)
    _title(axes, "The steady glide from the hand, propeller off")
    _note(figure, "Heights are drawn larger than lengths.")
    axes.axhline(0, color=INK, linewidth=2.5)
    axes.axhspan(-0.12, 0, facecolor=PALE, edgecolor=GREY, hatch="//", linewidth=0)
    axes.plot([HALL_LENGTH_M] * 2, [0, 2.9], color=INK, linewidth=2.5)
    for x in range(0, 26, 5):
        axes.plot([x, x], [-0.05, 0.05], color=INK, linewidth=2)
        _label(axes, f"{x} m", (x, names_below), zorder=2)
    axes.plot([0, 0], [0, HAND_HEIGHT_M], ":", color=GREY, linewidth=2)
    _label(axes, "hand\n1.8 m", (-0.2, HAND_HEIGHT_M), ha="right")
    _label(axes, "wall", (HALL_LENGTH_M, 1.2), rotation=90)


def _glide(axes: Axes, flown: Trim, name: str, row: int) -> None:
    look = _LOOKS[row]
    _path(axes, flown, name, look, row)
    _legend_line(axes, flown, name, look, row)


def _path(axes: Axes, flown: Trim, name: str, look: _Look, row: int) -> None:
    """The line from the hand to the floor or to the wall, its marker and its name."""
    if not flown.found:
        _no_glide(axes, flown, name, look, row)
        return
    lands = landing_m(flown)
    share = min(1.0, HALL_LENGTH_M / lands)
    end = (share * lands, HAND_HEIGHT_M * (1 - share))
    axes.plot([0, end[0]], [HAND_HEIGHT_M, end[1]], look.dash, color=look.colour, zorder=4)
    axes.plot(*end, marker=look.marker, color=look.colour, mec=INK, zorder=6)
    _label(axes, name, (end[0], -0.32 - 0.2 * row), to=end, color=look.colour, fontweight="bold")
    if flown.verdict == "stalls":
        _mark_stall(axes, 0.22 * lands, lands)


def _mark_stall(axes: Axes, x: float, lands: float) -> None:
    """A marked spot where the picture cannot say more than that it happens."""
    height = HAND_HEIGHT_M * (1 - x / lands)
    axes.plot(x, height, marker="X", color=INK, markersize=15, zorder=7)
    words = "stall: nose up,\nthen drops"
    _label(axes, words, (3.2, 2.22), to=(x, height), ha="left", fontweight="bold")


def _no_glide(axes: Axes, flown: Trim, name: str, look: _Look, row: int) -> None:
    """No line can be drawn: an arrow says which way the nose goes, with the name at its tip."""
    drops = flown.verdict == "dives"
    tip = (0.7 + 0.4 * row, 1.0 - 0.2 * row) if drops else (1.3, 2.2 + 0.2 * row)
    arrow = {"arrowstyle": "-|>", "color": look.colour, "linewidth": 3, "linestyle": look.dash}
    axes.annotate("", tip, (0, HAND_HEIGHT_M), arrowprops={**arrow, "mutation_scale": 28})
    place = (tip[0], tip[1] - 0.13) if drops else (tip[0] + 0.2, tip[1])
    side = "center" if drops else "left"
    _label(axes, name, place, ha=side, color=look.colour, fontweight="bold")


def _legend_line(axes: Axes, flown: Trim, name: str, look: _Look, row: int) -> None:
    """A sample of the line and its figures, in the corner no glide reaches."""
    height = 2.42 - 0.27 * row
    axes.plot([9.6, 11.2], [height] * 2, look.dash, color=look.colour, zorder=4)
    axes.plot(10.4, height, marker=look.marker, color=look.colour, mec=INK, zorder=5)
    words = f"{name}: {flown.verdict}, no steady glide"
    if flown.found:
        distance, seconds = _plain(landing_m(flown)), _plain(time_down_s(flown))
        words = f"{name}: {flown.verdict}, {distance} m in {seconds} s"
    _label(axes, words, (11.6, height), ha="left")


def _glide_words(trims: Sequence[Trim], names: Sequence[str]) -> str:
    said = " ".join(_one_glide(flown, name) for flown, name in itertools.zip_longest(trims, names))
    return (
        f"Glides from a hand 1.8 m above the floor in a hall 25 m long, propeller off. {said} "
        "This picture shows the steady glide; a stall's nose-up-and-drop is only marked. "
        "Heights are drawn larger than lengths."
    )


_CALLED = {"dives": "it dives", "stalls": "it stalls", "good": "the trim is good"}


def _one_glide(flown: Trim, name: str) -> str:
    start = f"{_sentence(name)}: {_CALLED[flown.verdict]}"
    if not flown.found:
        nose = "drops" if flown.verdict == "dives" else "rises"
        return f"{start}. There is no steady glide: the nose {nose} and keeps going."
    wall = landing_m(flown) > HALL_LENGTH_M
    where = "It reaches the wall." if wall else f"It lands {_plain(landing_m(flown))} m away"
    after = "" if wall else f" after {_plain(time_down_s(flown))} s."
    return (
        f"{start}. It flies {_plain(flown.speed_m_s)} m/s and sinks {_plain(flown.sink_m_s, 2)} "
        f"m/s. {where}{after}"
    )
