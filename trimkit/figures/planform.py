"""The aeroplane from above and from the front: what makes it circle."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.figures.outline import fin_ends, tail_ends, turned, wing_corners, wing_front
from trimkit.figures.room import Room
from trimkit.figures.style import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    Page,
    Picture,
    page,
    plain,
    see,
    sheet_axes,
    signed,
    style,
)

ANGLE_STRETCH = 3.0  # small angles against what they are
FRONT_HEIGHT_IN = 5.4
_NOTE = "Small angles are drawn 3 times larger than they are."

Corners = Sequence[tuple[float, float]]


def plan_view(aeroplane: Aeroplane, projector: bool = False) -> Picture:
    """Draw the aeroplane from above, nose to the left, equal scales.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane; fin, side thrust and skew are drawn three times larger [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    sheet = page(projector)
    with style(projector):
        figure, axes = sheet_axes(sheet, f"{aeroplane.name} from above", _NOTE)
        half = max(aeroplane.build.wing.span_mm, aeroplane.setting.propeller.diameter_mm) / 2
        half += abs(aeroplane.setting.wing_offset_mm)
        end = aeroplane.build.end_mm
        see(axes, (-0.12 * end, -1.08 * half), (1.05 * end, 1.08 * half))
        room = Room(figure, sheet.type_pt)
        _plan_of_wings(axes, aeroplane, room, sheet)
        _plan_of_stick(axes, aeroplane, room, sheet)
        _plan_names(axes, aeroplane, room)
    return Picture(figure, _plan_words(aeroplane))


def front_view(aeroplane: Aeroplane, projector: bool = False) -> Picture:
    """Draw the aeroplane from the front, equal scales: its left wing is on the right.

    Parameters
    ----------
    aeroplane : Aeroplane
        Any aeroplane; tail tilt and wash-in are drawn three times larger [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    sheet = page(projector, FRONT_HEIGHT_IN)
    with style(projector):
        figure, axes = sheet_axes(sheet, f"{aeroplane.name} from the front", _FRONT_NOTE)
        see(axes, *_front_box(aeroplane))
        room = Room(figure, sheet.type_pt)
        _front_of_propeller(axes, aeroplane, room, sheet)
        _front_of_wing(axes, aeroplane, room, sheet)
        _front_of_tail(axes, aeroplane, room, sheet)
        _front_names(axes, aeroplane, room)
    return Picture(figure, _front_words(aeroplane))


# --- tools -----------------------------------------------------------------------------------


def _line(axes: Axes, room: Room, corners: Corners, dash: str = "-", **options: Any) -> None:
    """Draw a line through corners, and keep words off it."""
    ends = np.array(corners, dtype=float)
    axes.plot(*ends.T, dash, **options)
    room.keep_free(axes, *ends.T)


def _cross(axes: Axes, at: tuple[float, float], sheet: Page) -> None:
    """The mark of the balance point."""
    axes.plot(*at, "o", color="white", mec=INK, mew=sheet.line_pt, ms=sheet.type_pt, zorder=7)
    axes.plot(*at, "P", color=INK, ms=0.65 * sheet.type_pt, mew=0, zorder=8, gid="balance")


# --- from above ------------------------------------------------------------------------------


def _plan_of_wings(axes: Axes, aeroplane: Aeroplane, room: Room, sheet: Page) -> None:
    tail, setting = aeroplane.build.tail, aeroplane.setting
    look: dict[str, Any] = {"color": BLUE, "linewidth": 1.5 * sheet.line_pt, "zorder": 5}
    corners = wing_corners(aeroplane, ANGLE_STRETCH)
    _line(axes, room, [*corners, corners[0]], gid="wing", **look)
    root = setting.wing_station_mm
    middle = setting.wing_offset_mm
    chord = [(root, middle), (root + aeroplane.build.wing.root_chord_mm, middle)]
    thin: dict[str, Any] = {"color": BLUE, "linewidth": 0.6 * sheet.line_pt, "zorder": 5}
    _line(axes, room, chord, "--", gid="wing middle", **thin)
    x0, x1, half = tail.station_mm, tail.station_mm + tail.chord_mm, tail.span_mm / 2
    outline = [(x0, -half), (x0, half), (x1, half), (x1, -half), (x0, -half)]
    _line(axes, room, outline, gid="tail", **look)


def _plan_of_stick(axes: Axes, aeroplane: Aeroplane, room: Room, sheet: Page) -> None:
    """Stick, fin, propeller and the line along which it pulls."""
    setting = aeroplane.setting
    end = aeroplane.build.end_mm
    tail_middle = aeroplane.build.tail.station_mm + aeroplane.build.tail.chord_mm / 2
    dark: dict[str, Any] = {"color": INK, "linewidth": 2 * sheet.line_pt, "zorder": 4}
    _line(axes, room, [(0, 0), (tail_middle, 0)], gid="stick", **dark)
    heavy: dict[str, Any] = {"color": ORANGE, "linewidth": 2.5 * sheet.line_pt, "zorder": 6}
    _line(axes, room, fin_ends(aeroplane, ANGLE_STRETCH), gid="fin", **heavy)
    radius, x = setting.propeller.diameter_mm / 2, setting.propeller.station_mm
    side_deg = ANGLE_STRETCH * setting.side_thrust_deg
    disc = turned([(x, -radius), (x, radius)], (0.0, 0.0), side_deg)
    _line(axes, room, disc, color=INK, linewidth=2 * sheet.line_pt, zorder=4, gid="propeller")
    pull = turned([(-0.1 * end, 0.0), (0.3 * end, 0.0)], (0.0, 0.0), side_deg)
    thin: dict[str, Any] = {"color": GREY, "linewidth": 0.8 * sheet.line_pt, "zorder": 3}
    _line(axes, room, pull, ":", gid="thrust", **thin)
    _cross(axes, (balance.aeroplane_cg(aeroplane).station_mm, 0.0), sheet)


def _plan_names(axes: Axes, aeroplane: Aeroplane, room: Room) -> None:
    wing, tail, setting = aeroplane.build.wing, aeroplane.build.tail, aeroplane.setting
    root = setting.wing_station_mm
    offset, cg = setting.wing_offset_mm, balance.aeroplane_cg(aeroplane).station_mm
    radius = setting.propeller.diameter_mm / 2
    fin_end = aeroplane.build.fin.trailing_edge_mm
    quarter = wing.span_mm / 4
    behind = root + 0.9 * wing.root_chord_mm
    bold: dict[str, Any] = {"fontweight": "bold"}
    room.put(axes, "right wing", (root, offset + 1.7 * quarter), **bold)
    room.put(axes, "left wing", (root, offset - 1.7 * quarter), **bold)
    room.put(axes, "balance point", (cg, 0.0))
    room.put(axes, f"tail {plain(tail.span_mm, 0)} mm", (tail.station_mm, tail.span_mm / 4))
    room.put(axes, f"fin {signed(aeroplane.fin_deg)}°", (fin_end, 0.0))
    side = f"side thrust {signed(setting.side_thrust_deg)}°"
    room.put(axes, side, (0.0, 0.0))
    room.put(axes, f"propeller {plain(2 * radius, 0)} mm", (0.0, -0.8 * radius))
    span = f"span {plain(wing.span_mm, 0)} mm"
    room.put(axes, span, (behind, offset + 1.7 * quarter))
    if offset:
        words = f"wing {plain(abs(offset), 0)} mm {_side_of(offset)}"
        room.put(axes, words, (behind, offset - 1.7 * quarter))


def _side_of(right_mm: float) -> str:
    return "to the right" if right_mm > 0 else "to the left"


def _plan_words(aeroplane: Aeroplane) -> str:
    wing, tail, setting = aeroplane.build.wing, aeroplane.build.tail, aeroplane.setting
    offset = setting.wing_offset_mm
    shifted = f"{plain(abs(offset), 0)} mm {_side_of(offset)}" if offset else "in the middle"
    skew = ""
    if wing.skew_deg:
        tip = "right" if wing.skew_deg > 0 else "left"
        skew = f" The wing is turned, its {tip} tip {plain(abs(wing.skew_deg))}° forward."
    return (
        f"{aeroplane.name} seen from above, nose to the left, so that its right wing is at the "
        f"top. The wing spans {plain(wing.span_mm, 0)} mm and sits {shifted}.{skew} Its leading "
        f"edge is {plain(setting.wing_station_mm)} mm behind the propeller bearing. The tailplane "
        f"spans {plain(tail.span_mm, 0)} mm. The propeller measures "
        f"{plain(setting.propeller.diameter_mm, 0)} mm. The fin is at "
        f"{signed(aeroplane.fin_deg)}°; plus puts its trailing edge to the left. The side "
        f"thrust is {signed(setting.side_thrust_deg)}°; plus pulls to the left. {_NOTE}"
    )


# --- from the front --------------------------------------------------------------------------

_FRONT_NOTE = "Tail tilt and twists are drawn 3 times larger than they are."


def _mirrored(corners: Corners) -> list[tuple[float, float]]:
    """Corners as (right, height) on the page: what is right of the stick is drawn left of it."""
    return [(-right, height) for right, height in corners]


def _leading_edge(aeroplane: Aeroplane) -> list[tuple[float, float]]:
    """Left tip, middle, right tip."""
    return _mirrored(wing_front(aeroplane))


def _trailing_edge(aeroplane: Aeroplane) -> list[tuple[float, float]]:
    """Below the leading edge by the sine of three times the angle of each chord."""
    wing, twist = aeroplane.build.wing, incidence.panel_twist_deg(aeroplane)
    root_deg = incidence.wing_incidence_deg(aeroplane)
    chords = (wing.tip_chord_mm, wing.root_chord_mm, wing.tip_chord_mm)
    angles = (root_deg + twist.left_deg, root_deg, root_deg + twist.right_deg)
    return [
        (x, height - chord * float(np.sin(np.radians(ANGLE_STRETCH * deg))))
        for (x, height), chord, deg in zip(_leading_edge(aeroplane), chords, angles, strict=True)
    ]


def _tail_ends(aeroplane: Aeroplane) -> list[tuple[float, float]]:
    """Left and right tip of the tail; on the page the left one is on the right."""
    return _mirrored(tail_ends(aeroplane, ANGLE_STRETCH))


def _front_box(aeroplane: Aeroplane) -> tuple[tuple[float, float], tuple[float, float]]:
    radius = aeroplane.setting.propeller.diameter_mm / 2
    drop = aeroplane.build.stick.motor_height_mm
    edges = [*_leading_edge(aeroplane), *_trailing_edge(aeroplane), *_tail_ends(aeroplane)]
    x, heights = zip(*edges, strict=True)
    fin = aeroplane.build.fin
    high = max(*heights, drop + radius, fin.height_mm + fin.span_mm / 2)
    low = min(*heights, drop - radius)
    wide = max(x) - min(x)
    return (min(x) - 0.06 * wide, low - 0.05 * wide), (max(x) + 0.06 * wide, high + 0.12 * wide)


def _front_of_propeller(axes: Axes, aeroplane: Aeroplane, room: Room, sheet: Page) -> None:
    radius, drop = aeroplane.setting.propeller.diameter_mm / 2, aeroplane.build.stick
    around = np.linspace(0, 2 * np.pi, 90)
    circle = [
        (radius * float(np.cos(a)), drop.motor_height_mm + radius * float(np.sin(a)))
        for a in around
    ]
    look: dict[str, Any] = {"color": GREY, "linewidth": 0.8 * sheet.line_pt, "zorder": 2}
    _line(axes, room, circle, ":", gid="propeller", **look)
    axes.plot(0, 0, "s", color=INK, ms=0.5 * sheet.type_pt, zorder=6, gid="stick")


def _front_of_wing(axes: Axes, aeroplane: Aeroplane, room: Room, sheet: Page) -> None:
    heavy: dict[str, Any] = {"color": BLUE, "linewidth": 2 * sheet.line_pt, "zorder": 5}
    _line(axes, room, _leading_edge(aeroplane), gid="leading edge", **heavy)
    thin: dict[str, Any] = {"color": INK, "linewidth": sheet.line_pt, "zorder": 5}
    _line(axes, room, _trailing_edge(aeroplane), "--", gid="trailing edge", **thin)
    middle = -aeroplane.setting.wing_offset_mm
    post = [(0.0, 0.0), (middle, aeroplane.build.wing.height_mm)]
    _line(axes, room, post, color=INK, linewidth=sheet.line_pt, zorder=3)


def _front_of_tail(axes: Axes, aeroplane: Aeroplane, room: Room, sheet: Page) -> None:
    fin = aeroplane.build.fin
    look: dict[str, Any] = {"color": ORANGE, "linewidth": 2 * sheet.line_pt, "zorder": 4}
    _line(axes, room, _tail_ends(aeroplane), gid="tail", **look)
    upright = [(0.0, fin.height_mm - fin.span_mm / 2), (0.0, fin.height_mm + fin.span_mm / 2)]
    _line(axes, room, upright, gid="fin", **look)


def _front_names(axes: Axes, aeroplane: Aeroplane, room: Room) -> None:
    twist = incidence.panel_twist_deg(aeroplane)
    left_deg, right_deg = aeroplane.build.wing.panels_deg
    left, _, right = _leading_edge(aeroplane)
    for side, tip, deg, twisted in (
        ("left", left, left_deg, twist.left_deg),
        ("right", right, right_deg, twist.right_deg),
    ):
        words = f"{side} wing\ndihedral {plain(deg)}°\ntwist {signed(twisted)}°"
        middle = -aeroplane.setting.wing_offset_mm
        height = aeroplane.build.wing.height_mm
        at = (middle + 0.75 * (tip[0] - middle), height + 0.75 * (tip[1] - height))
        room.put(axes, words, at)
    tail_tip = _tail_ends(aeroplane)[0]
    words = f"tail tilt {signed(aeroplane.setting.tail_tilt_deg)}°"
    room.put(axes, words, (0.8 * tail_tip[0], tail_tip[1]), color=ORANGE)
    fin = aeroplane.build.fin
    room.put(axes, "fin", (0.0, fin.height_mm + 0.4 * fin.span_mm), color=ORANGE)
    stick, radius = aeroplane.build.stick, aeroplane.setting.propeller.diameter_mm / 2
    aside = 0.8 * radius
    room.put(axes, "propeller", (-aside, stick.motor_height_mm - 0.6 * radius))
    ahead = _trailing_edge(aeroplane)
    edge = (0.4 * ahead[2][0] + 0.6 * ahead[1][0], 0.4 * ahead[2][1] + 0.6 * ahead[1][1])
    room.put(axes, "trailing edge", edge)


def _front_words(aeroplane: Aeroplane) -> str:
    twist, tilt = incidence.panel_twist_deg(aeroplane), aeroplane.setting.tail_tilt_deg
    left_deg, right_deg = aeroplane.build.wing.panels_deg
    high = "is level" if not tilt else f"has its {'left' if tilt > 0 else 'right'} tip high"
    return (
        f"{aeroplane.name} seen from the front, so that its left wing is on the right. The left "
        f"panel rises by {plain(left_deg)}° and the right one by {plain(right_deg)}°. The left "
        f"tip is twisted by {signed(twist.left_deg)}° and the right one by "
        f"{signed(twist.right_deg)}°; plus is wash-in, the trailing edge down. The tail tilt is "
        f"{signed(tilt)}°: the tailplane {high}. The dashed line is the wing's trailing edge. "
        f"{_FRONT_NOTE}"
    )
