"""Where to put the ruler: one picture for each group of readings, with the same in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from matplotlib.axes import Axes
from matplotlib.patches import Polygon, Rectangle

from trimkit.figures.style import (
    BLUE,
    INK,
    ORANGE,
    PALE,
    Picture,
    label,
    page,
    see,
    sheet_axes,
    style,
)

TALL_IN = 5.6
Point = tuple[float, float]


def question_view(name: str) -> Picture:
    """Draw where to put the ruler for a group of readings.

    Parameters
    ----------
    name : str
        One of `PICTURES` [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is no such picture, with the names of all.
    """
    if name not in PICTURES:
        raise ValueError(f"{name!r} is no picture; allowed is {', '.join(PICTURES)}")
    title, words, paint = PICTURES[name]
    with style():
        figure, axes = sheet_axes(page(height_in=TALL_IN), title)
        paint(axes)
    return Picture(figure, f"{title}. {words}")


# --- strokes ----------------------------------------------------------------------------------


def _line(axes: Axes, *points: Point, **options: Any) -> None:
    look: dict[str, Any] = {"color": INK, "linewidth": 3, "linestyle": "-", "zorder": 3, **options}
    axes.plot([x for x, _ in points], [y for _, y in points], **look)


def _plate(axes: Axes, *corners: Point) -> None:
    axes.add_patch(Polygon(corners, facecolor=PALE, edgecolor=INK, linewidth=2, zorder=2))


def _measure(axes: Axes, a: Point, b: Point, words: str, at: Point) -> None:
    """A ruler's arrow from one place to another, and what it reads."""
    arrow = {"arrowstyle": "<->", "color": ORANGE, "linewidth": 2.5, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", b, a, arrowprops={**arrow, "mutation_scale": 18}, zorder=6)
    label(axes, words, at, color=INK, fontweight="bold")


def _mark(axes: Axes, at: Point, height: float) -> None:
    """A thin upright line that carries a place out to its arrow."""
    _line(axes, at, (at[0], at[1] + height), linewidth=1, zorder=1)


def _table(axes: Axes, left: float, right: float) -> None:
    axes.add_patch(
        Rectangle((left, -6), right - left, 6, facecolor=PALE, edgecolor=INK, hatch="//")
    )


# --- the aeroplane from the side, from above and from in front, in mm ---------------------------


def _side(axes: Axes, up: float = 0.0) -> None:
    """Nose to the left, the stick's upper side at this height."""
    _line(axes, (0, up), (270, up), linewidth=5)
    _line(axes, (270, up), (478, up), linewidth=3)
    _line(axes, (135, up), (135, up + 36), linewidth=2)
    _line(axes, (205, up), (205, up + 29), linewidth=2)
    _line(axes, (120, up + 38), (222, up + 30), color=BLUE, linewidth=6)
    _line(axes, (398, up + 5), (474, up + 2), color=BLUE, linewidth=6)
    _plate(axes, (405, up + 6), (470, up + 4), (470, up + 66), (425, up + 66))
    _line(axes, (-6, up - 70), (-6, up + 54), linewidth=4)
    _line(axes, (-6, up - 8), (0, up - 8), (0, up), linewidth=3)
    _line(axes, (0, up - 8), (270, up - 8), linewidth=2, color=ORANGE)
    _line(axes, (270, up - 8), (270, up), linewidth=3)


def _plan(axes: Axes) -> None:
    """Nose to the left, the left wing at the bottom, as seen from above."""
    _line(axes, (0, 0), (478, 0), linewidth=5)
    _line(axes, (-6, -120), (-6, 120), linewidth=4)
    _plate(axes, (120, -10), (128, -230), (212, -230), (222, 0), (212, 230), (128, 230), (120, 0))
    _plate(axes, (398, -99), (474, -99), (474, 99), (398, 99))


def _overview(axes: Axes) -> None:
    _side(axes)
    places = (
        ("propeller", (-45, 76), (-6, 50)), ("wing", (170, 84), (170, 36)),
        ("fin", (510, 60), (462, 45)), ("tailplane", (365, 50), (402, 5)),
        ("rubber", (90, -45), (90, -9)), ("rear hook", (230, -45), (271, -6)),
        ("boom", (370, -45), (370, -1)), ("stick", (60, 35), (60, 1)),
    )  # fmt: skip
    for words, at, to in places:
        label(axes, words, at, to)
    see(axes, (-90, -90), (560, 110))


def _span(axes: Axes) -> None:
    _plan(axes)
    _measure(axes, (100, -230), (100, 230), "span", (62, 150))
    _measure(axes, (500, -99), (500, 99), "span of the\ntailplane", (580, 0))
    label(axes, "left tip", (170, -258))
    label(axes, "right tip", (170, 258))
    label(axes, "is the middle\nof the wing beside\nthe stick?", (340, 180), (172, 4))
    see(axes, (-60, -280), (660, 285))


def _chords(axes: Axes) -> None:
    _plan(axes)
    _measure(axes, (120, 24), (221, 24), "chord in the middle", (172, 60))
    _measure(axes, (128, 216), (212, 216), "chord at the tip", (170, 255))
    _measure(axes, (398, 40), (474, 40), "chord of the\ntailplane", (436, 150))
    label(axes, "leading\nedge", (60, -150), (126, -150))
    label(axes, "trailing\nedge", (290, -150), (215, -150))
    see(axes, (-60, -250), (560, 285))


def _stations(axes: Axes) -> None:
    _side(axes, 60)
    for x, low in ((0, 52), (120, 98), (270, 52), (398, 64)):
        _line(axes, (x, low), (x, -130), linewidth=1, zorder=1)
    _measure(axes, (0, -30), (120, -30), "wing's place", (60, -48))
    _measure(axes, (0, -80), (270, -80), "rear hook's place", (135, -98))
    _measure(axes, (0, -130), (398, -130), "tailplane's place", (200, -148))
    label(axes, "front of\nthe bearing", (-75, 20), (0, 50))
    see(axes, (-130, -160), (560, 140))


def _balance(axes: Axes) -> None:
    _side(axes, 60)
    _mark(axes, (120, 100), 60)
    _mark(axes, (163, 96), 64)
    _measure(axes, (120, 150), (163, 150), "balance point", (141, 170))
    _plate(axes, (155, -40), (171, -40), (171, 86), (163, 93), (155, 86))
    label(axes, "fingertips under\nthe wing, both sides", (270, -20), (171, 0))
    see(axes, (-90, -50), (560, 190))


def _edges(axes: Axes) -> None:
    _table(axes, -60, 560)
    _side(axes, 90)
    for x in (40, 250):
        axes.add_patch(Rectangle((x - 12, 0), 24, 82, facecolor="white", edgecolor=INK, lw=2))
    tall = (
        (120, 128, "wing's\nleading", (108, 168)), (222, 120, "wing's\ntrailing", (240, 168)),
        (398, 95, "tailplane's\nleading", (350, 140)),
        (474, 92, "tailplane's\ntrailing", (520, 140)), (80, 90, "stick", (80, 112)),
    )  # fmt: skip
    for x, height, words, at in tall:
        _measure(axes, (x, 0), (x, height), words, at)
    label(axes, "blocks:\nstick level", (326, 36), (262, 40))
    label(axes, "table", (-30, 20))
    see(axes, (-80, -10), (590, 190))


def _front(axes: Axes) -> None:
    _table(axes, -270, 270)
    _line(axes, (-230, 116), (0, 80), (230, 116), color=BLUE, linewidth=6)
    _line(axes, (0, 80), (0, 45), linewidth=2)
    axes.add_patch(Rectangle((-5, 38), 10, 8, facecolor=INK, edgecolor=INK))
    for x, side in ((-230, "left"), (230, "right")):
        _measure(axes, (x, 0), (x, 116), f"{side} tip: both\nedges", (x * 0.8, 150))
    _line(axes, (-100, 80), (110, 80), linewidth=1, linestyle="--")
    _measure(axes, (100, 80), (100, 96), "rise of\nthe tips", (60, 130))
    label(axes, "seen from behind,\nstick level and not rolled", (0, 18))
    see(axes, (-290, -10), (290, 180))


def _shim(axes: Axes) -> None:
    _line(axes, (0, 0), (150, 0), linewidth=14)
    _plate(axes, (100, 8), (180, 8), (180, 30), (100, 30))
    _line(axes, (105, 18), (330, 26), color=BLUE, linewidth=6)
    _plate(axes, (168, 9), (180, 9), (180, 18), (168, 18))
    _measure(axes, (105, 42), (180, 42), "length of the socket", (142, 54))
    _measure(axes, (190, 9), (190, 18), "", (0, -40))
    label(axes, "shim: its thickness", (250, -6), (181, 13))
    label(axes, "boom, to the tailplane", (275, 50), (270, 25))
    label(axes, "stick", (40, 24), (40, 6))
    label(axes, "this shim lifts the tail's trailing edge: +", (165, -34))
    see(axes, (-20, -45), (350, 70))


def _fin(axes: Axes) -> None:
    """Left: the fin from the left side; right: from above."""
    _plate(axes, (0, 0), (60, 0), (60, 75), (18, 75))
    _measure(axes, (72, 0), (72, 75), "height", (96, 38))
    _measure(axes, (9, 37), (60, 37), "chord", (36, 52))
    _line(axes, (-20, 0), (80, 0), linewidth=3)
    label(axes, "from the side", (30, -14))
    _line(axes, (150, 40), (290, 40), linewidth=1, linestyle="--")
    _line(axes, (175, 40), (255, 24), color=BLUE, linewidth=6)
    _measure(axes, (255, 24), (255, 40), "to the left: +", (255, 58))
    label(axes, "leading edge", (180, 62), (175, 42))
    label(axes, "left", (215, 8))
    label(axes, "from above, nose to the left", (220, -14))
    see(axes, (-30, -24), (310, 86))


def _tilt(axes: Axes) -> None:
    _table(axes, -150, 150)
    _line(axes, (-99, 64), (99, 56), color=BLUE, linewidth=6)
    _line(axes, (0, 60), (0, 125), color=INK, linewidth=4)
    _measure(axes, (-99, 0), (-99, 64), "left tip", (-99, 78))
    _measure(axes, (99, 0), (99, 56), "right tip", (99, 72))
    label(axes, "seen from behind,\nthe wing's middle level", (0, 22))
    see(axes, (-160, -10), (160, 135))


def _propeller(axes: Axes) -> None:
    for sign in (-1, 1):
        _plate(
            axes, (0, 4), (sign * 60, 16), (sign * 100, 14), (sign * 120, 0),
            (sign * 100, -12), (sign * 60, -14), (0, -4),
        )  # fmt: skip
    _measure(axes, (-120, -30), (120, -30), "diameter, tip to tip", (0, -42))
    _line(axes, (90, -20), (90, 34), color=ORANGE, linestyle="--")
    label(axes, "pitch gauge here:\nthree quarters of the way out", (60, 50))
    _measure(axes, (0, 24), (90, 24), "", (0, -80))
    axes.plot(0, 0, "o", color=INK, markersize=12, zorder=7)
    see(axes, (-140, -55), (140, 66))


def _motor(axes: Axes) -> None:
    _line(axes, (0, 0), (20, 14), (380, 14), (400, 0), (380, -14), (20, -14), (0, 0), color=ORANGE)
    for x in (0, 400):
        axes.plot(x, 0, "o", color="white", markeredgecolor=INK, markersize=14, zorder=7)
    _measure(axes, (0, -45), (400, -45), "length of the loop, not stretched", (200, -64))
    for place in range(5):
        axes.add_patch(
            Rectangle((60 + 12 * place, 60), 12, 60, facecolor=PALE, edgecolor=INK, lw=2)
        )
    _measure(axes, (60, 135), (120, 135), "five strips: divide by five", (90, 158))
    label(axes, "torque meter: wind half,\ncount the turns, read it.\nEyes covered.", (310, 100))
    see(axes, (-30, -80), (430, 170))


Entry = tuple[str, str, Callable[[Axes], None]]
PICTURES: Mapping[str, Entry] = MappingProxyType(
    {
        "overview": (
            "The parts",
            "The aeroplane from the side, nose to the left: propeller, stick with the rubber "
            "under it, wing on two posts, rear hook, boom, tailplane and fin.",
            _overview,
        ),
        "span": (
            "Spans",
            "The aeroplane from above. The wing's span goes straight from tip to tip, the "
            "tailplane's too. The wing's middle may lie left or right of the stick.",
            _span,
        ),
        "chords": (
            "Chords",
            "The aeroplane from above, nose to the left. A chord goes from the leading edge in "
            "front to the trailing edge behind: in the wing's middle, at a tip, on the tailplane.",
            _chords,
        ),
        "stations": (
            "Places along the stick",
            "The aeroplane from the side. All places are measured from the front of the "
            "propeller's bearing: to the wing's leading edge, to the rear hook, to the "
            "tailplane's leading edge.",
            _stations,
        ),
        "balance": (
            "Balance point",
            "Two fingertips carry the wing from below. The balance point goes from the wing's "
            "leading edge in the middle back to the fingers.",
            _balance,
        ),
        "edges": (
            "Heights above the table",
            "The stick lies level on two blocks on a table. A ruler stands on the table at the "
            "wing's leading and trailing edge, at the tailplane's leading and trailing edge, and "
            "at the stick.",
            _edges,
        ),
        "front": (
            "The wing's tips",
            "The aeroplane from behind. A ruler stands at each tip, once at the leading and once "
            "at the trailing edge. The rise of the tips is how much higher they stand than the "
            "middle.",
            _front,
        ),
        "shim": (
            "Socket and shim",
            "The boom sits in a socket at the stick's end. The shim lies under the boom where it "
            "comes out of the socket: there it lifts the tail's trailing edge, which counts as "
            "plus.",
            _shim,
        ),
        "fin": (
            "The fin",
            "Left the fin from the side, with its height and, half way up, its chord. Right the "
            "fin from above: how far its trailing edge stands to the left of the line along the "
            "stick.",
            _fin,
        ),
        "tilt": (
            "Tail tilt",
            "The tailplane from behind, with a ruler at its left and its right tip.",
            _tilt,
        ),
        "propeller": (
            "The propeller",
            "The propeller from in front. The diameter goes from tip to tip. The pitch gauge "
            "stands three quarters of the way from the shaft to the tip.",
            _propeller,
        ),
        "motor": (
            "The rubber",
            "The loop lies flat between two pins and is not stretched. Five strips lie side by "
            "side for their width. The torque meter is read at half of the turns.",
            _motor,
        ),
    }
)
