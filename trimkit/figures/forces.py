"""The forces of a steady flight, their levers, and how each turns the nose."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit import air as airs
from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.figures.room import Room
from trimkit.figures.style import (
    BLUE,
    GREY,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    page,
    plain,
    see,
    signed,
    style,
)
from trimkit.section import plate
from trimkit.trim import Trim
from trimkit.units import STANDARD_GRAVITY_M_S2

LONGEST_ARROW = 0.25  # share of the aeroplane's length that its weight is drawn long
SMALL_STRETCH = 3.0  # thrust and drag against the other arrows
FORCES_HEIGHT_IN = 7.4


@dataclass(frozen=True, slots=True)
class Force:
    """One force on the aeroplane.

    Parameters
    ----------
    name : str
        What it is called [-].
    size_mN : float
        How strong it is, negative against its usual direction [mN].
    at_mm : (float, float)
        Station and height where it acts [mm].
    aft_mN, up_mN : float
        The same along the stick, + aft, and across it, + up [mN].
    """

    name: str
    size_mN: float
    at_mm: tuple[float, float]
    aft_mN: float
    up_mN: float

    def moment_mNm(self, about_mm: tuple[float, float]) -> float:
        """Return how it turns the aeroplane about a point.

        Parameters
        ----------
        about_mm : (float, float)
            Station and height of the point [mm].

        Returns
        -------
        float
            Moment, + nose up [mN m].
        """
        ahead = about_mm[0] - self.at_mm[0]
        above = self.at_mm[1] - about_mm[1]
        return (self.up_mN * ahead + self.aft_mN * above) / 1000

    def lever_mm(self, about_mm: tuple[float, float]) -> float:
        """Return the distance between a point and the line of the force.

        Parameters
        ----------
        about_mm : (float, float)
            Station and height of the point [mm].

        Returns
        -------
        float
            Lever, never negative [mm].
        """
        return abs(1000 * self.moment_mNm(about_mm) / self.size_mN) if self.size_mN else 0.0


@dataclass(frozen=True, slots=True)
class Balance:
    """All forces of a steady flight, which together push and turn nothing.

    Parameters
    ----------
    forces : tuple of Force
        Wing lift, tail lift, weight, drag, and thrust in powered flight [-].
    about_mm : (float, float)
        Station and height of the balance point [mm].
    camber_mNm : float
        Moment of the wing's curved section by itself, + nose up [mN m].
    """

    forces: tuple[Force, ...]
    about_mm: tuple[float, float]
    camber_mNm: float

    def moments_mNm(self) -> dict[str, float]:
        """Return what turns the nose, by name; the sum is nothing.

        Returns
        -------
        dict of str to float
            Moments, + nose up [mN m].
        """
        turning = {f.name: f.moment_mNm(self.about_mm) for f in self.forces if f.name != "weight"}
        return {**turning, "wing's curve": self.camber_mNm}


def forces_of(aeroplane: Aeroplane, flown: Trim) -> Balance:
    """Share a steady flight's lift between wing and tail so that nothing turns the nose.

    Lift and drag are those of the trim; all drag is put at the wing's quarter chord, and the
    tail's lift is taken across the wing's air. Against the trim's own tail load, which counts
    the tail's and the fin's drag where they are, that is a picture's accuracy.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    flown : Trim
        Its `trim.glide` or `trim.level` in normal air [-].

    Returns
    -------
    Balance
        Forces and moments [mN, mN m].

    Raises
    ------
    ValueError
        When there is no steady flight.
    """
    if not flown.found:
        raise ValueError(
            "trim found no steady flight, so its forces do not balance; allowed is a trim with "
            "`found` True; is the decalage too small or too large?"
        )
    wing, cg = aeroplane.build.wing, balance.aeroplane_cg(aeroplane)
    pressure = airs.ROOM.density_kg_m3 * flown.speed_m_s**2 / 2
    area_mN = 1000 * pressure * wing.area_mm2 * 1e-6
    flow = np.radians(flown.angle_of_attack_deg - incidence.wing_incidence_deg(aeroplane))
    drag = _along(flow, "drag", flown.drag_coefficient * area_mN, _wing_place(aeroplane))
    thrust = _thrust(aeroplane, flown)
    about = (cg.station_mm, cg.height_mm)
    section = plate(wing.camber_percent, wing.covering_quality)
    camber = section.pitching_moment * area_mN * wing.mean_chord_mm / 1000
    rest = drag.moment_mNm(about) + camber + sum(t.moment_mNm(about) for t in thrust)
    lift_mN = flown.lift_coefficient * area_mN
    ones = [
        _across(flow, name, 1.0, place)
        for name, place in (("wing lift", _wing_place(aeroplane)), ("tail lift", _tail(aeroplane)))
    ]
    per_wing, per_tail = (one.moment_mNm(about) for one in ones)
    tail_mN = (rest + lift_mN * per_wing) / (per_wing - per_tail)
    shares = (lift_mN - tail_mN, tail_mN)
    lifts = [
        _across(flow, one.name, share, one.at_mm) for one, share in zip(ones, shares, strict=True)
    ]
    weight = _weight(cg.mass_g, about, float(flow), flown)
    return Balance((*lifts, weight, drag, *thrust), about, camber)


def _wing_place(aeroplane: Aeroplane) -> tuple[float, float]:
    quarter = balance.mean_chord_station_mm(aeroplane) + aeroplane.build.wing.mean_chord_mm / 4
    return quarter, balance.wing_part(aeroplane).height_mm


def _tail(aeroplane: Aeroplane) -> tuple[float, float]:
    tail = aeroplane.build.tail
    return tail.station_mm + tail.chord_mm / 4, tail.height_mm


def _across(flow: float, name: str, size: float, at: tuple[float, float]) -> Force:
    """A force across the air that meets the stick at an angle from below."""
    return Force(name, size, at, -size * float(np.sin(flow)), size * float(np.cos(flow)))


def _along(flow: float, name: str, size: float, at: tuple[float, float]) -> Force:
    return Force(name, size, at, size * float(np.cos(flow)), size * float(np.sin(flow)))


def _thrust(aeroplane: Aeroplane, flown: Trim) -> tuple[Force, ...]:
    if not flown.powered:
        return ()
    size, down = flown.thrust_mN, np.radians(aeroplane.setting.down_thrust_deg)
    at = (aeroplane.setting.propeller.station_mm, aeroplane.build.stick.motor_height_mm)
    aft, up = -size * float(np.cos(down)), -size * float(np.sin(down))
    return (Force("thrust", size, at, aft, up),)


def _weight(mass_g: float, at: tuple[float, float], flow: float, flown: Trim) -> Force:
    """Straight down; the stick stands above the level by flow less the slope of the path."""
    size = mass_g * STANDARD_GRAVITY_M_S2
    slope = 0.0 if flown.powered else float(np.arctan(1 / flown.glide_ratio))
    stick = flow - slope
    return Force("weight", size, at, size * float(np.sin(stick)), -size * float(np.cos(stick)))


def force_view(aeroplane: Aeroplane, flown: Trim, projector: bool = False) -> Picture:
    """Draw the forces of a steady flight with their levers, and what turns the nose.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    flown : Trim
        Its `trim.glide` or `trim.level` in normal air [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there is no steady flight.
    """
    found = forces_of(aeroplane, flown)
    sheet = page(projector, FORCES_HEIGHT_IN)
    kind = "level flight" if flown.powered else "the glide"
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        title = f"{aeroplane.name}: forces in {kind}"
        _side(figure, sheet, _bars(figure, sheet, found), aeroplane, found)
        place = 0.5 * sheet.em_in / sheet.width_in, 1 - 0.95 * sheet.em_in / sheet.height_in
        look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center"}
        figure.text(*place, title, fontweight="bold", **look)
    return Picture(figure, _words(aeroplane, found, kind))


def _side(figure: Figure, sheet: Page, low: float, aeroplane: Aeroplane, found: Balance) -> None:
    """The aeroplane as thin lines, and the arrows on it."""
    top = 1 - 1.7 * sheet.em_in / sheet.height_in
    axes = figure.add_axes((0.0, low, 1.0, top - low))
    axes.set_axis_off()
    tail, stick = aeroplane.build.tail, aeroplane.build.stick
    end = tail.station_mm + tail.chord_mm
    arrow = LONGEST_ARROW * end
    wing = aeroplane.build.wing
    see(axes, (-0.36 * end, -1.1 * arrow), (1.2 * end, wing.height_mm + 1.2 * arrow))
    thin: dict[str, Any] = {"color": GREY, "linewidth": 1.5 * sheet.line_pt, "zorder": 2}
    start = aeroplane.setting.wing_station_mm
    lines = [
        ([0.0, end - tail.chord_mm / 2], [0.0, tail.height_mm]),
        ([start, start + wing.root_chord_mm], [_wing_place(aeroplane)[1]] * 2),
        ([tail.station_mm, end], [tail.height_mm] * 2),
        ([0.0, 0.0], [stick.motor_height_mm - 0.08 * end, stick.motor_height_mm + 0.08 * end]),
    ]
    room = Room(figure, sheet.type_pt)
    for x, y in lines:
        axes.plot(x, y, "-", **thin)
        room.keep_free(axes, np.array(x), np.array(y))
    heaviest = max(abs(force.size_mN) for force in found.forces)
    for force in found.forces:
        _arrow(axes, room, sheet, force, arrow / heaviest)
    for force in found.forces:
        _named(axes, room, force, arrow / heaviest)
    axes.plot(*found.about_mm, "o", color="white", mec=INK, mew=2, ms=0.8 * sheet.type_pt, zorder=7)


_COLOURS = {"wing lift": BLUE, "tail lift": BLUE, "weight": INK, "drag": ORANGE, "thrust": ORANGE}


def _tip(force: Force, per_mN: float) -> tuple[float, float]:
    if force.name in ("drag", "thrust"):
        per_mN *= SMALL_STRETCH
    x, y = force.at_mm
    return x + per_mN * force.aft_mN, y + per_mN * force.up_mN


def _arrow(axes: Axes, room: Room, sheet: Page, force: Force, per_mN: float) -> None:
    tip = _tip(force, per_mN)
    look = {
        "arrowstyle": "-|>",
        "color": _COLOURS[force.name],
        "linewidth": 1.8 * sheet.line_pt,
        "mutation_scale": 1.4 * sheet.type_pt,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    axes.annotate("", tip, force.at_mm, arrowprops=look, zorder=5, gid=force.name)
    ends = np.array([force.at_mm, tip])
    room.keep_free(axes, *ends.T)


def _named(axes: Axes, room: Room, force: Force, per_mN: float) -> None:
    look: dict[str, Any] = {"color": _COLOURS[force.name], "fontweight": "bold"}
    room.put(axes, f"{force.name} {plain(force.size_mN)} mN", _tip(force, per_mN), **look)


def _bars(figure: Figure, sheet: Page, found: Balance) -> float:
    """A bar for each moment, nose down to the left; return where they end, as a share."""
    moments = found.moments_mNm()
    em, across = sheet.em_in / sheet.height_in, sheet.em_in / sheet.width_in
    low, row_high, names = 1.7 * em, 1.4 * em, 12.5 * across
    high = low + row_high * len(moments)
    axes = figure.add_axes((names, low, 1 - names, high - low))
    axes.set_axis_off()
    most = max(abs(moment) for moment in moments.values())
    room = most * (1 - names) / (1 - names - 7.5 * across)  # for the figures at both ends
    axes.set_xlim(-room, room)
    axes.set_ylim(len(moments) - 0.5, -0.5)
    axes.axvline(0, color=INK, linewidth=sheet.line_pt)
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center"}
    levers = {force.name: force.lever_mm(found.about_mm) for force in found.forces}
    for row, (name, moment) in enumerate(moments.items()):
        _bar(axes, row, name, moment, room, look)
        words = f"{name}, lever {plain(levers[name], 0)} mm" if name in levers else name
        figure.text(0.5 * across, high - (row + 0.5) * row_high, words, **look)
    head = "Turning the nose, in mN m: down to the left, up to the right"
    figure.text(0.5 * across, high + 0.8 * em, head, fontweight="bold", **look)
    note = f"Thrust and drag are drawn {SMALL_STRETCH:g} times longer than the other forces."
    figure.text(0.5 * across, 0.85 * em, note, **look)
    return high + 1.5 * em


def _bar(axes: Axes, row: int, name: str, moment: float, room: float, look: dict[str, Any]) -> None:
    up = moment >= 0
    hatch, colour = ("", BLUE) if up else ("//", PALE)
    axes.barh(row, moment, 0.6, color=colour, hatch=hatch, edgecolor=INK, gid=name)
    gap = 0.02 * room if up else -0.02 * room
    axes.text(moment + gap, row, signed(moment, 2), ha="left" if up else "right", **look)


def _words(aeroplane: Aeroplane, found: Balance, kind: str) -> str:
    told = " ".join(_force_words(force, found.about_mm) for force in found.forces)
    turning = _listed([f"{n} {signed(m, 2)}" for n, m in found.moments_mNm().items()])
    return (
        f"The forces on {aeroplane.name} in {kind}, seen from the side, nose to the left. "
        f"{told} What turns the nose about the balance point, in mN m, plus nose up: {turning}. "
        "Together that is nothing, so the nose stays where it is. In the picture thrust and drag "
        f"are drawn {SMALL_STRETCH:g} times longer than the other forces."
    )


def _force_words(force: Force, about: tuple[float, float]) -> str:
    pulls = {"drag": "back", "thrust": "forward", "weight": "down"}
    where = pulls.get(force.name, "up" if force.size_mN >= 0 else "down")
    said = f"The {force.name} pulls {where} with {plain(abs(force.size_mN))} mN"
    if force.name == "weight":
        return f"{said}, at the balance point."
    return f"{said}, {plain(force.lever_mm(about), 0)} mm from the balance point."


def _listed(words: Sequence[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}"
