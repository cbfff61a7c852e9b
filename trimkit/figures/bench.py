"""Rulers and a table: a wing, or wing and tailplane, as they are measured on the bench."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle

from trimkit import incidence
from trimkit.figures.style import (
    BLUE,
    GREY,
    INK,
    LARGE,
    MIDDLE,
    ORANGE,
    PALE,
    SMALL,
    Picture,
    Stage,
    Still,
    blank,
    enlarge,
    fit,
    label,
    plain,
    sentence,
    signed,
    style,
    write_note,
    write_title,
)
from trimkit.units import Floats

HEIGHT_STRETCH = 2.0  # heights against lengths
TALLEST_MM = 300.0  # a long school ruler
TAIL_START = 1.75  # where the tail stands on the bench picture, in wing chords
RULER_ABOVE_MM = 7.0  # how far a drawn ruler stands above its reading
DEGREES = 57.3  # degrees in one radian, as lessons say it


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


def ruler_view(
    leading_edge_mm: float, trailing_edge_mm: float, chord_mm: float, name: str = "wing",
    projector: bool = False,
) -> Picture:  # fmt: skip
    """Draw a wing above a table with a ruler at each edge, and the angle that comes out.

    Parameters
    ----------
    leading_edge_mm, trailing_edge_mm : float
        Height of each edge above the table, 0 to 300 [mm].
    chord_mm : float
        Chord, edge to edge, 5 to 1500; angles up to 30° [mm].
    name : str
        What it is, such as "wing" or "tailplane" [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

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
    with style(projector):
        title = f"{sentence(name)}: {signed(edges.angle_deg)}°"
        figure, axes = blank(title, projector=projector)
        view = fit(axes, *_ruler_box(edges, axes.bbox.width / axes.bbox.height))
        _table(axes)
        _rulers(axes, edges, 0.0)
        _section(axes, edges, 0.0)
        _angle(axes, edges, 0.0, view)
        _rise_note(axes, edges)
        _edge_names(axes, edges, view)
        _stretch_note(figure)
        if projector:
            enlarge(figure)
    return Picture(figure, _ruler_words(edges, name))


def _ruler_box(edges: Edges, shape: float) -> tuple[tuple[float, float], tuple[float, float]]:
    """Room for the names above and, in the table, for the note below, at any height."""
    chord = edges.chord_mm
    rulers = _up(max(edges.leading_mm, edges.trailing_mm) + RULER_ABOVE_MM) / 0.74
    tall = max(rulers, 2.4 * chord / shape / 1.13)  # low rulers leave the width to say how much
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
    label(axes, words, place, fontsize=size, fontweight="bold", zorder=3)


def _rise_note(axes: Axes, edges: Edges) -> None:
    """Beside the left ruler: how much higher the leading edge is."""
    if abs(edges.rise_mm) < 0.05:
        return
    x = -0.17 * edges.chord_mm
    low, high = sorted((_up(edges.leading_mm), _up(edges.trailing_mm)))
    axes.plot([x, x], [low, high], "-", color=ORANGE, linewidth=3.5, marker="_", zorder=6)
    side = "higher" if edges.rise_mm > 0 else "lower"
    words = f"{plain(abs(edges.rise_mm))} mm\n{side}"
    label(axes, words, (x - 0.03 * edges.chord_mm, (low + high) / 2), ha="right")


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
        said = f"{words}\n{plain(height)} mm"
        label(axes, said, place, ha=side, va="bottom", fontweight="bold", zorder=4)


def _stretch_note(figure: Figure) -> None:
    write_note(figure, "Heights are drawn twice as large as lengths. Nose to the left.")


def _ruler_words(edges: Edges, name: str) -> str:
    return (
        f"A {name} seen from the side above a table, nose to the left, with a ruler at each edge. "
        f"{_edge_words(edges)} {_quotient_words(edges)} "
        "In the picture heights are twice as large as lengths, so the angle looks steeper."
    )


def _edge_words(edges: Edges) -> str:
    return (
        f"The leading edge is {plain(edges.leading_mm)} mm above the table, the trailing edge "
        f"{plain(edges.trailing_mm)} mm."
    )


def _quotient_words(edges: Edges) -> str:
    return (
        f"{plain(edges.rise_mm)} ÷ {edges.chord_mm:g} × {DEGREES} gives an angle of "
        f"{signed(edges.angle_deg)}°, {_nose_words(edges.angle_deg)}."
    )


def _nose_words(angle_deg: float) -> str:
    if abs(angle_deg) < 0.05:
        return "level"
    return "leading edge up" if angle_deg > 0 else "leading edge down"


def bench_view(
    wing: Edges, tail: Edges, shim_mm: float, socket_mm: float, projector: bool = False
) -> Picture:
    """Draw wing and tailplane above the table, the tailplane before and after its shim.

    Parameters
    ----------
    wing, tail : Edges
        Readings of both, the tail's taken before the shim [-].
    shim_mm : float
        Shim, + lifts the tail's trailing edge [mm].
    socket_mm : float
        Length over which the shim tilts the tail, 5 to 1500 [mm].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

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
    with style(projector):
        figure, axes = blank(projector=projector)
        highest = (wing.leading_mm, wing.trailing_mm, tilted.leading_mm, tilted.trailing_mm)
        _bench(figure, axes, wing.chord_mm, tail.chord_mm, max(highest))
        _on_bench(axes, wing, tail, tilted, shim_mm)
        if projector:
            enlarge(figure)
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
    fit(axes, (-0.35 * wing_chord_mm, -0.13 * tall), (right, tall))
    _table(axes)
    _stretch_note(figure)


def _on_bench(axes: Axes, wing: Edges, tail: Edges, tilted: Edges, shim_mm: float) -> None:
    start = TAIL_START * wing.chord_mm
    after, before = wing.angle_deg - tilted.angle_deg, wing.angle_deg - tail.angle_deg
    shimless = f"; without the shim, dashed, {signed(before)}°" if shim_mm else ""
    write_title(axes, f"Decalage: {signed(after)}°{shimless}")
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
        label(axes, plain(height), place, ha=side, va="bottom")


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


def readings(values: Sequence[float], unit: str, title: str, projector: bool = False) -> Picture:
    """Draw repeated readings of one thing as dots, one row each, with their spread.

    Parameters
    ----------
    values : sequence of float
        Two to twelve readings [in the given unit].
    unit : str
        Unit as printed [-].
    title : str
        What was read [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

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
    with style(projector):
        figure, axes = blank(title, projector=projector)
        axes.set_position((0.04, 0.02, 0.92, 0.84))
        axes.axvspan(low, high, facecolor=PALE, zorder=0)
        axes.axvline(middle, color=INK, linestyle="--", linewidth=2)
        for row, value in enumerate(read):
            axes.plot(value, -row, marker="o", color=BLUE, markeredgecolor=INK, markersize=14)
            _reading_label(axes, value, -row, unit, high - low)
        room = max(high - low, 0.1)
        label(axes, f"mean {plain(middle)}{_spaced(unit)}", (middle, 0.85))
        spread = f"spread {plain(high - low)}{_spaced(unit)}"
        label(axes, spread, (middle, -len(read) + 0.15), fontweight="bold")
        axes.set_xlim(low - 0.35 * room, high + 0.35 * room)
        axes.set_ylim(-len(read) - 0.3, 1.3)
        if projector:
            enlarge(figure)
    return Picture(figure, _readings_words(read, unit, title))


def _spaced(unit: str) -> str:
    return unit if unit in ("", "°") else f" {unit}"


def _reading_label(axes: Axes, value: float, row: float, unit: str, spread: float) -> None:
    place = (value + 0.04 * max(spread, 0.1), row)
    label(axes, f"{plain(value)}{_spaced(unit)}", place, ha="left")


def _readings_words(read: Sequence[float], unit: str, title: str) -> str:
    listed = ", ".join(plain(value) for value in read)
    spread, middle = max(read) - min(read), float(np.mean(read))
    return (
        f"{title}. The readings are {listed}{_spaced(unit)}. Their mean is {plain(middle)}"
        f"{_spaced(unit)}. From the lowest to the highest is {plain(spread)}{_spaced(unit)}."
    )
