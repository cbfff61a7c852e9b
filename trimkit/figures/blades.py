"""Two blades side by side as an eye sees them from the tip, and what they give."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from trimkit.figures.style import (
    BLUE,
    GREY,
    HEIGHT_IN,
    INK,
    LOOKS,
    PALE,
    SMALL,
    WIDTH_IN,
    Picture,
    Stage,
    Still,
    blank,
    enlarge,
    plain,
    style,
)
from trimkit.units import check_ranges, quantity

GAUGE_RATIO = 0.75  # of the way from the shaft to the tip: where the pitch gauge goes
CAMBER = 0.05  # height of the drawn arc over the chord, for the eye only


@dataclass(frozen=True, slots=True)
class Blades:
    """A pair of blades, and what they give at a torque and in level flight.

    Parameters
    ----------
    first_deg, second_deg : float
        Angle of each blade at the pitch gauge [deg].
    torque_mNm : float
        Torque of the rubber [mN m].
    revs_per_s : float
        How fast that torque turns them [1/s].
    thrust_mN : float
        How hard they then pull, negative when they brake [mN].
    level_revs_per_s : float
        How fast they turn in level flight [1/s].
    level_torque_mNm : float
        Torque of the rubber that level flight takes [mN m].
    level_s : float
        How long the turns between the two torques last in level flight [s].
    """

    first_deg: float = quantity("°", -20, 100, "Angle of the first blade at the gauge")
    second_deg: float = quantity("°", -20, 100, "Angle of the second blade at the gauge")
    torque_mNm: float = quantity("mN m", 0, 500, "Torque of the rubber")
    revs_per_s: float = quantity("1/s", 0, 150, "Turns a second at that torque")
    thrust_mN: float = quantity("mN", -20000, 20000, "Pull at that torque")
    level_revs_per_s: float = quantity("1/s", 0, 150, "Turns a second in level flight")
    level_torque_mNm: float = quantity("mN m", 0, 500, "Torque for level flight")
    level_s: float = quantity("s", 0, 7200, "How long the turns last in level flight")

    def __post_init__(self) -> None:
        check_ranges(self)


def blades_view(now: Blades, design: Blades, projector: bool = False) -> Picture:
    """Draw both blades seen from their tips, and four bars against the design.

    Parameters
    ----------
    now : Blades
        As set [-].
    design : Blades
        What it is held against [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    with style(projector):
        figure, axes = blank(projector=projector)
        _backdrop(figure, axes, projector)
        _paint(axes, now, design, projector)
        if projector:
            enlarge(figure)
    return Picture(figure, _words(now, design))


def blades_stage(dpi: float) -> Callable[[Blades, Blades], Still]:
    """Make a picture of blades that is drawn again quickly.

    Parameters
    ----------
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        From the blades as set and those of the design to a `Still` [-].
    """
    stage = Stage(_backdrop, dpi)

    def still(now: Blades, design: Blades) -> Still:
        return stage.still(lambda axes: _paint(axes, now, design), _words(now, design))

    return still


# --- what stays; the unit of the axes is an inch of the page ------------------------------------

_FEET = ((0.35, 1.75), (2.85, 1.75))  # where the leading edges stand
_REACH, _BLADE = 2.1, 1.95  # length of the plane of turning, and of the blade seen on end
_LEFT, _RIGHT, _RIGHT_OF_SLIDE = 5.4, 9.4, 7.8  # of the bars
_ROWS = (3.6, 2.65, 1.7, 0.75)  # where the bars lie
_TALL = 0.4
_FLAT, _CLEAR = math.radians(22), 0.3


def _backdrop(figure: Figure, axes: Axes, projector: bool = False) -> None:
    axes.set_xlim(0, WIDTH_IN)
    axes.set_ylim(0, HEIGHT_IN)
    bold: dict[str, Any] = {"fontsize": SMALL, "fontweight": "bold", "va": "center"}
    axes.text(0.2, 4.7, "The blades, seen from their tips", **bold)
    axes.text(_LEFT, 4.7, "What they give", **bold)
    small: dict[str, Any] = {"fontsize": SMALL, "va": "center"}
    axes.text(0.2, 0.32, "dashed: the way it runs round; thin: design", **small)
    axes.text(_RIGHT, 0.32, "thick mark: the design", ha="right", **small)
    for (x, y), name in zip(_FEET, ("first", "second"), strict=True):
        axes.plot([x - 0.1, x + _REACH], [y, y], "--", color=GREY, linewidth=2.0, gid="plane")
        axes.text(x + _REACH / 2, y - 0.35, f"{name} blade", ha="center", **small)
    for low in _ROWS:
        _strip(axes, low, _long(projector), facecolor=PALE, gid="room")


def _strip(axes: Axes, middle: float, length: float, **look: Any) -> None:
    axes.add_patch(Rectangle((_LEFT, middle - _TALL / 2), length, _TALL, **look))


def _long(projector: bool) -> float:
    """The bars of a slide leave room beside them for the numbers, which are long in large type."""
    return (_RIGHT_OF_SLIDE if projector else _RIGHT) - _LEFT


# --- what changes -------------------------------------------------------------------------------


def _paint(axes: Axes, now: Blades, design: Blades, projector: bool = False) -> None:
    pairs = ((now.first_deg, design.first_deg), (now.second_deg, design.second_deg))
    for place, (angle, before) in enumerate(pairs):
        _blade(axes, place, angle, before)
    for low, bar in zip(_ROWS, _bars(now, design), strict=True):
        _bar(axes, low, bar, projector)


def _blade(axes: Axes, place: int, angle_deg: float, design_deg: float) -> None:
    """The section at the gauge: it runs round along the dashed line, forward is up."""
    (x, y), angle, before = _FEET[place], math.radians(angle_deg), math.radians(design_deg)
    ghost = [x, x + _BLADE * math.cos(before)], [y, y + _BLADE * math.sin(before)]
    axes.plot(*ghost, "-", color=GREY, linewidth=1.5, gid="design blade")
    along = np.linspace(0, _BLADE, 30)
    rise = 4 * CAMBER * along * (1 - along / _BLADE)
    across = x + along * math.cos(angle) - rise * math.sin(angle)
    up = y + along * math.sin(angle) + rise * math.cos(angle)
    look: dict[str, Any] = {"color": LOOKS[place].colour, "linewidth": 7.0, "zorder": 5}
    axes.plot(across, up, "-", gid="blade", **look)
    part = np.linspace(0, angle, 20)
    axes.plot(x + 0.8 * np.cos(part), y + 0.8 * np.sin(part), "-", color=INK, linewidth=1.5)
    at = x + 0.95 * math.cos(angle / 2), y + 0.95 * math.sin(angle / 2)
    if angle < _FLAT:  # no room under the blade
        at = at[0], y + 0.95 * max(math.tan(angle), 0.0) + _CLEAR
    bold: dict[str, Any] = {"fontsize": SMALL, "fontweight": "bold", "va": "center", "zorder": 9}
    axes.text(*at, f"{plain(angle_deg)}°", ha="left", **bold)


@dataclass(frozen=True, slots=True)
class _Bar:
    """A number, what it is, and the same of the design."""

    name: str
    unit: str
    value: float
    design: float
    digits: int


def _bars(now: Blades, design: Blades) -> tuple[_Bar, ...]:
    torque = f"{plain(now.torque_mNm)} mN m"
    return (
        _Bar(f"turns at {torque}", "a second", now.revs_per_s, design.revs_per_s, 1),
        _Bar(f"pull at {torque}", "mN", now.thrust_mN, design.thrust_mN, 0),
        _Bar("turns in level flight", "a second", now.level_revs_per_s, design.level_revs_per_s, 1),
        _Bar("the turns last, flying level", "s", now.level_s, design.level_s, 0),
    )


def _bar(axes: Axes, low: float, bar: _Bar, projector: bool) -> None:
    most = max(1.25 * bar.design, 1.05 * bar.value, 1e-9)
    per = _long(projector) / most
    edge: dict[str, Any] = {"facecolor": BLUE, "edgecolor": INK, "linewidth": 1.2, "zorder": 3}
    _strip(axes, low, per * max(bar.value, 0.0), gid="bar", **edge)
    at = _LEFT + per * max(bar.design, 0.0)
    thick: dict[str, Any] = {"color": INK, "linewidth": 4.5, "zorder": 6}
    axes.plot([at, at], [low - 0.27, low + 0.27], "-", gid="design", **thick)
    look: dict[str, Any] = {"fontsize": SMALL, "va": "center", "zorder": 9}
    axes.text(_LEFT, low + 0.43, bar.name, **look)
    gap, height = ("\n", low) if projector else (" ", low + 0.43)
    said = f"{plain(bar.value, bar.digits)}{gap}{bar.unit}"
    axes.text(_RIGHT, height, said, ha="right", fontweight="bold", **look)


def _words(now: Blades, design: Blades) -> str:
    said = [
        f"Two blades seen from their tips, three quarters of the way out: the first stands at "
        f"{plain(now.first_deg)}°, the second at {plain(now.second_deg)}°."
    ]
    for bar in _bars(now, design):
        name = bar.name[0].upper() + bar.name[1:]
        said.append(
            f"{name}: {plain(bar.value, bar.digits)} {bar.unit}, the design "
            f"{plain(bar.design, bar.digits)}."
        )
    return " ".join(said)
