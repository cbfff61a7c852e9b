"""A motor's fitted torque curve with its readings, its interval, and what was left out."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.room import Room
from trimkit.figures.style import (
    BLUE,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    chart,
    plain,
    style,
    write_keys,
)
from trimkit.fit import MotorCurve, TorqueReading
from trimkit.units import Floats

POINTS = 60


def fitted_curve(curve: MotorCurve, projector: bool = False) -> Picture:
    """Draw the readings of a motor, and the curve through them with its interval.

    Parameters
    ----------
    curve : MotorCurve
        The fit [-].
    projector : bool
        A slide with type of 28 pt [-].

    Returns
    -------
    Picture
        The picture and its words [-].
    """
    with style(projector):
        title = f"Motor {curve.number[:12]}: readings and curve"
        figure, axes, sheet = chart(projector, title)
        _lines(axes, curve, sheet)
        for reading in curve.used:
            _mark(axes, reading, sheet, "o" if reading.up else "s", "used")
        for reading in curve.left_out:
            _mark(axes, reading, sheet, "x", "left out")
        every = (*curve.used, *curve.left_out)
        axes.set_xlim(0, 1.12 * max(one.turns for one in every))
        axes.set_ylim(0, 1.2 * max(one.torque_mNm for one in every))
        axes.set_xlabel("turns on the rubber")
        axes.set_ylabel("torque in mN m")
        _names(figure, axes, curve, sheet)
        keys = "ring: winding; square: unwinding; grey: where the curve may lie, 9 in 10"
        write_keys(figure, sheet, keys)
    return Picture(figure, curve.words())


def _lines(axes: Axes, curve: MotorCurve, sheet: Page) -> None:
    for wound, dash, colour, name in (
        (None, "-", INK, "winding"), (curve.to_turns, "--", BLUE, "unwinding"),
    ):  # fmt: skip
        if wound is not None and all(one.up for one in curve.used):
            continue
        turns, low, middle, high = _band(curve, wound)
        axes.fill_between(turns, low, high, color=PALE, zorder=1, linewidth=0)
        wide: dict[str, Any] = {"linewidth": 1.2 * sheet.line_pt, "zorder": 3}
        axes.plot(turns, middle, dash, color=colour, gid=name, **wide)


def _band(curve: MotorCurve, wound: float | None) -> tuple[Floats, Floats, Floats, Floats]:
    turns = np.linspace(curve.from_turns, curve.to_turns, POINTS)
    found = [curve.torque_mNm(float(one), wound) for one in turns]
    low, middle, high = (
        np.array([getattr(one, end) for one in found]) for end in ("low", "value", "high")
    )
    return turns, low, middle, high


def _mark(axes: Axes, reading: TorqueReading, sheet: Page, mark: str, name: str) -> None:
    colour = ORANGE if name == "left out" else BLUE
    size = {"x": 0.8, "o": 0.6, "s": 0.55}[mark] * sheet.type_pt
    axes.plot(
        reading.turns, reading.torque_mNm, mark, color=colour, ms=size, zorder=5, gid=name,
        mfc="none", mew=0.8 * sheet.line_pt,
    )  # fmt: skip


def _names(figure: Figure, axes: Axes, curve: MotorCurve, sheet: Page) -> None:
    room = Room(figure, sheet.type_pt)
    for line in axes.lines:
        x, y = (np.asarray(part, dtype=float) for part in line.get_data())
        room.keep_free(axes, x, y)
    top = curve.torque_mNm(curve.to_turns)
    words = f"{plain(top.value, 2)} mN m,\nbetween {plain(top.low, 2)} and {plain(top.high, 2)}"
    room.put(axes, words, (curve.to_turns, top.value), fontweight="bold")
    middle = curve.from_turns + 0.55 * (curve.to_turns - curve.from_turns)
    room.put(axes, "winding", (middle, curve.torque_mNm(middle).value))
    if any(not one.up for one in curve.used):
        low = curve.from_turns + 0.35 * (curve.to_turns - curve.from_turns)
        down = curve.torque_mNm(low, curve.to_turns).value
        room.put(axes, "unwinding", (low, down), color=BLUE)
    for reading in curve.left_out:
        at = (reading.turns, reading.torque_mNm)
        room.put(axes, "left out: read it again", at, color=ORANGE)
