"""What rolls an aeroplane: seen from behind, at one or two powers, with twist and torque."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit import incidence
from trimkit.aeroplane import Aeroplane
from trimkit.figures.outline import wing_front
from trimkit.figures.room import Room
from trimkit.figures.style import (
    BLUE,
    GREY,
    HEIGHT_IN,
    INK,
    ORANGE,
    Page,
    Picture,
    page,
    plain,
    signed,
    style,
)
from trimkit.units import Floats

MOST_ROLLS = 2
NOTHING = 0.05  # of the space beside an arrow: shorter ones are left out
STRETCH = 3.0  # twist against what it is
ARROW_SHARE = 0.8  # of the half span: the longest arrow
_NOTE = "Seen from behind. Twist is drawn 3 times larger than it is."


@dataclass(frozen=True, slots=True)
class Roll:
    """How an aeroplane hangs in the air at one power.

    Parameters
    ----------
    name : str
        Of the power, one or two words [-].
    bank_deg : float
        + left wing down [deg].
    torque_mNm : float
        Of the rubber, rolling to the left [mN m].
    twist_mNm : float
        Of the wing's twist, + rolling to the right [mN m].
    offset_mNm : float
        Of a wing that sits beside the middle, + rolling to the right [mN m].
    ended : str
        How the flight went, a few words [-].
    """

    name: str
    bank_deg: float
    torque_mNm: float
    twist_mNm: float
    offset_mNm: float
    ended: str

    @property
    def pushes(self) -> dict[str, float]:
        """What rolls it, + to the right [mN m]."""
        return {
            "torque": -self.torque_mNm, "wing's place": self.offset_mNm, "twist": self.twist_mNm,
        }  # fmt: skip

    def words(self) -> str:
        """Say it in one sentence [-]."""
        side = "left" if self.bank_deg > 0 else "right"
        pushes = ", ".join(_pushed(name, moment) for name, moment in self.pushes.items())
        return (
            f"{self.name[0].upper()}{self.name[1:]} power: {pushes}; {side} wing "
            f"{plain(abs(self.bank_deg), 0)}° down; {self.ended}."
        )


def _pushed(name: str, moment_mNm: float) -> str:
    way = "to the right" if moment_mNm > 0 else "to the left"
    return f"{name} {plain(abs(moment_mNm))} mN m {way}"


def rolling_view(aeroplane: Aeroplane, rolls: Sequence[Roll], projector: bool = False) -> Picture:
    """Draw an aeroplane from behind at one or two powers.

    Parameters
    ----------
    aeroplane : Aeroplane
        As it is set [-].
    rolls : sequence of Roll
        One or two, the weaker first [-].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When there are none or more than fit.
    """
    if not 1 <= len(rolls) <= MOST_ROLLS:
        raise ValueError(f"{len(rolls)} powers are given; allowed is 1 or {MOST_ROLLS}")
    sheet = page(projector, HEIGHT_IN)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        largest = max(abs(moment) for one in rolls for moment in one.pushes.values())
        for place, roll in enumerate(rolls):
            _one(figure, sheet, aeroplane, roll, (place, len(rolls)), largest)
        figure.text(0.01, 0.02, _NOTE, fontsize=sheet.type_pt)
    twist = incidence.panel_twist_deg(aeroplane)
    said = (
        f"{aeroplane.name} from behind. Wash-in: left {signed(twist.left_deg)}°, right "
        f"{signed(twist.right_deg)}°; minus is wash-out."
    )
    return Picture(figure, " ".join([said, *(one.words() for one in rolls), _NOTE]))


def _one(
    figure: Figure, sheet: Page, aeroplane: Aeroplane, roll: Roll, place: tuple[int, int],
    largest: float,
) -> None:  # fmt: skip
    number, count = place
    axes = figure.add_axes((number / count, 0.08, 1 / count, 0.82))
    axes.set_axis_off()
    edge = _edge(aeroplane)
    half = float(np.abs(edge[:, 0]).max())
    axes.set_xlim(-1.25 * half, 1.25 * half)
    axes.set_ylim(-0.55 * half, 1.3 * half)
    axes.set_aspect("equal")
    title = f"{roll.name} power: {roll.ended}"
    figure.text(
        (number + 0.5) / count, 0.94, title, ha="center", fontsize=sheet.type_pt, fontweight="bold"
    )
    room = Room(figure, sheet.type_pt)
    _wing(axes, room, aeroplane, roll.bank_deg, sheet)
    share = ARROW_SHARE * half / max(largest, 1e-9)
    for (name, moment), height, colour in zip(
        roll.pushes.items(), (0.8, 1.0, 1.2), (ORANGE, INK, BLUE), strict=True
    ):
        _push(axes, sheet, name, moment * share, height * half, colour)
    room.put(axes, f"{plain(abs(roll.bank_deg), 0)}°", (0.0, -0.25 * half), fontweight="bold")


def _edge(aeroplane: Aeroplane) -> Floats:
    """Leading edge from behind: left tip, middle, right tip; right is right on the page."""
    corners = np.array(wing_front(aeroplane), dtype=float)
    corners[:, 0] -= aeroplane.setting.wing_offset_mm
    corners[:, 1] -= corners[:, 1].min()
    return corners


def _wing(axes: Axes, room: Room, aeroplane: Aeroplane, bank_deg: float, sheet: Page) -> None:
    lead, twist = _edge(aeroplane), incidence.panel_twist_deg(aeroplane)
    wing = aeroplane.build.wing
    angles = np.interp(lead[:, 0], [lead[0, 0], 0.0, lead[-1, 0]], [twist.left_deg, 0.0,
                                                                    twist.right_deg])  # fmt: skip
    drop = wing.tip_chord_mm * np.sin(np.radians(STRETCH * angles))
    trail = lead - np.column_stack([np.zeros(len(lead)), drop])
    lean = np.radians(bank_deg)  # + left wing down: anticlockwise from behind
    turn = np.array([[np.cos(lean), -np.sin(lean)], [np.sin(lean), np.cos(lean)]])
    for corners, dash, name, colour in (
        (lead, "-", "leading edge", BLUE),
        (trail, "--", "trailing edge", INK),
    ):
        drawn = corners @ turn.T
        axes.plot(*drawn.T, dash, gid=name, color=colour, linewidth=1.3 * sheet.line_pt)
        room.keep_free(axes, *drawn.T)
    level: dict[str, Any] = {"color": GREY, "linewidth": 0.5 * sheet.line_pt}
    axes.plot([lead[0, 0], lead[-1, 0]], [0, 0], ":", **level)
    for name, corner in (("left", lead[0]), ("right", lead[-1])):
        x, y = (float(one) for one in turn @ corner)
        room.put(axes, name, (x, y))


def _push(axes: Axes, sheet: Page, name: str, length: float, height: float, colour: str) -> None:
    """An arrow over the aeroplane to the side to which it rolls, its name on the other side."""
    aside = 0.06 * float(np.ptp(axes.get_xlim())) * (-1 if length > 0 else 1)
    side = "right" if length > 0 else "left"
    look: dict[str, Any] = {"color": colour, "fontsize": sheet.type_pt, "fontweight": "bold"}
    axes.text(aside / 2, height, name, ha=side, va="center", **look)
    arrow: dict[str, Any] = {
        "arrowstyle": "-|>", "color": colour, "linewidth": 1.4 * sheet.line_pt,
        "mutation_scale": 1.3 * sheet.type_pt, "shrinkA": 0, "shrinkB": 0,
    }  # fmt: skip
    if abs(length) > NOTHING * abs(aside):
        axes.annotate("", (length, height), (0.0, height), arrowprops=arrow, gid=name)
