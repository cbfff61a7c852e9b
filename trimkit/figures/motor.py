"""What a rubber motor gives: torque while it is wound, and on the way down."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from trimkit.figures.room import Room
from trimkit.figures.style import (
    BLUE,
    GREY,
    HEIGHT_IN,
    INK,
    ORANGE,
    PALE,
    Page,
    Picture,
    Stage,
    Still,
    page,
    plain,
    style,
)
from trimkit.motor import RubberMotor
from trimkit.units import Floats

USUAL_SHARE = 0.85  # of the breaking turns, where no turns are given; common practice, no source
POINTS = 300
ENDS = (1.0, 1.25, 1.6, 2.0, 2.5, 3.2, 4.0, 5.0, 6.3, 8.0, 10.0)  # of an axis, times a power of ten
MOST_FRAMES = 40


@dataclass(frozen=True, slots=True)
class _Curve:
    """The figures that picture and words share."""

    motor: RubberMotor
    wound: float
    backed_off: float
    level_mNm: float | None
    temperature_c: float

    @property
    def breaks(self) -> float:
        return self.motor.max_turns(self.temperature_c)

    def up_mNm(self, turns: Floats | float) -> Floats:
        return np.asarray(self.motor.winding_torque_mNm(turns, self.temperature_c))

    def down_mNm(self, turns: Floats | float) -> Floats:
        return np.asarray(self.motor.unwinding_torque_mNm(turns, self.wound, self.temperature_c))

    @property
    def launch(self) -> tuple[float, float]:
        turns = self.wound - self.backed_off
        return turns, float(self.down_mNm(turns))

    @property
    def level_turns(self) -> float | None:
        """Turns at which the torque has fallen to that of level flight."""
        if self.level_mNm is None or self.level_mNm > self.launch[1]:
            return None
        turns = np.linspace(0, self.launch[0], 4001)
        enough = np.flatnonzero(self.down_mNm(turns) >= self.level_mNm)
        return float(turns[enough[0]])


def torque_curve(
    motor: RubberMotor,
    wound: float | None = None,
    level_torque_mNm: float | None = None,
    temperature_c: float = 20,
    backed_off: float = 0.0,
    projector: bool = False,
) -> Picture:
    """Draw the torque of a motor against its turns, while winding and on the way down.

    Parameters
    ----------
    motor : RubberMotor
        The loop [-].
    wound : float or None
        Most turns that are wound, more than 0 and up to `motor.limit_turns`; None for 85 % of
        the turns at which the loop is likely to break [turns].
    level_torque_mNm : float or None
        Torque of level flight, more than 0; None to leave it out [mN m].
    temperature_c : float
        Temperature of the rubber, 0 to 40 [°C].
    backed_off : float
        Turns taken off again before the launch, 0 to less than `wound` [turns].
    projector : bool
        A slide with type of 28 pt instead of a page for a screen or a print [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When turns, torque or temperature are out of range.
    """
    most = USUAL_SHARE * motor.max_turns(temperature_c) if wound is None else wound
    if not 0 < most <= motor.limit_turns:
        raise ValueError(
            f"wound is {most:g}; allowed is more than 0 up to the {motor.limit_turns:.0f} turns "
            "of this loop; is its length or strip mistyped?"
        )
    if not 0 <= backed_off < most:
        raise ValueError(
            f"backed_off is {backed_off:g}; allowed is 0 to less than the {most:.0f} turns wound; "
            "is it the turns that are left?"
        )
    if level_torque_mNm is not None and not level_torque_mNm > 0:
        raise ValueError(
            f"level_torque_mNm is {level_torque_mNm:g}; allowed is more than 0 mN m; leave it out "
            "to draw none"
        )
    curve = _Curve(motor, most, backed_off, level_torque_mNm, temperature_c)
    sheet = page(projector)
    with style(projector):
        figure = Figure(figsize=(sheet.width_in, sheet.height_in))
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        _frame(axes, _reach(curve), sheet)
        _paint(axes, curve, sheet)
    return Picture(figure, _words(curve))


def torque_stage(
    dpi: float,
) -> Callable[[RubberMotor, float, float | None, float, float], Still]:
    """Prepare `torque_curve` for a slider: the axes stay while the curve fills most of them.

    Parameters
    ----------
    dpi : float
        Dots per inch [1/in].

    Returns
    -------
    callable
        From the loop, the turns wound, the torque of level flight or None, the temperature and the
        turns backed off, each as in `torque_curve`, to a `Still` [-, turns, mN m, °C, turns].
    """
    sheet = page(height_in=HEIGHT_IN)

    @lru_cache(maxsize=MOST_FRAMES)
    def stage(reach: tuple[float, float]) -> Stage:
        return Stage(lambda _, axes: _frame(axes, reach, sheet), dpi)

    def still(
        motor: RubberMotor, wound: float, level_mNm: float | None, warm_c: float, off: float
    ) -> Still:
        curve = _Curve(motor, wound, off, level_mNm, warm_c)
        turns, torque = _reach(curve)
        frame = stage((_rounded_up(turns), _rounded_up(torque)))
        return frame.still(lambda axes: _paint(axes, curve, sheet), _words(curve))

    return still


def _rounded_up(value: float) -> float:
    """To the next of a few ends, so that an axis jumps seldom."""
    ten = 10.0 ** math.floor(math.log10(value))
    return next(end * ten for end in ENDS if end * ten >= value)


def _reach(curve: _Curve) -> tuple[float, float]:
    """Turns and torque at which the axes end."""
    most = max(curve.breaks, curve.wound)
    return 1.05 * most, 1.18 * max(float(curve.up_mNm(most)), curve.level_mNm or 0.0)


def _paint(axes: Axes, curve: _Curve, sheet: Page) -> None:
    _lines(axes, curve, sheet)
    _names(axes, curve, sheet)
    title = f"Torque of a {plain(curve.motor.mass_g, 2)} g loop at {curve.temperature_c:g} °C"
    em = sheet.em_in
    place = 0.5 * em / sheet.width_in, 1 - 0.95 * em / sheet.height_in
    look: dict[str, Any] = {"fontsize": sheet.type_pt, "va": "center", "fontweight": "bold"}
    axes.text(*place, title, transform=axes.figure.transFigure, **look)


def _frame(axes: Axes, reach: tuple[float, float], sheet: Page) -> None:
    em = sheet.em_in
    left, low = 2.6 * em / sheet.width_in, 2.9 * em / sheet.height_in
    high = 1 - 3.4 * em / sheet.height_in
    axes.set_position((left, low, 1 - left - 1.8 * em / sheet.width_in, high - low))
    axes.set_axis_on()
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=sheet.type_pt, length=0.25 * sheet.type_pt, width=1.5)
    axes.grid(color=PALE, linewidth=0.4 * sheet.line_pt)
    axes.set_axisbelow(True)
    axes.set_xlim(0, reach[0])
    axes.set_ylim(0, reach[1])
    axes.locator_params(nbins=6, steps=[1, 2, 5, 10])
    axes.set_xlabel("turns on the rubber", fontsize=sheet.type_pt)
    axes.set_title("torque in mN m", fontsize=sheet.type_pt, fontweight="normal")


def _lines(axes: Axes, curve: _Curve, sheet: Page) -> None:
    wide: dict[str, Any] = {"linewidth": 1.4 * sheet.line_pt, "zorder": 4}
    up, down = np.linspace(0, curve.wound, POINTS), np.linspace(0, curve.launch[0], POINTS)
    axes.plot(up, curve.up_mNm(up), "-", color=INK, gid="winding", **wide)
    axes.plot(down, curve.down_mNm(down), "--", color=BLUE, gid="unwinding", **wide)
    if curve.backed_off:
        off = np.linspace(curve.launch[0], curve.wound, 30)
        axes.plot(off, curve.down_mNm(off), ":", color=BLUE, gid="backed off", **wide)
    if curve.wound < curve.breaks:
        rest = np.linspace(curve.wound, curve.breaks, 50)
        thin: dict[str, Any] = {"linewidth": 0.7 * sheet.line_pt, "zorder": 3}
        axes.plot(rest, curve.up_mNm(rest), ":", color=GREY, gid="not wound", **thin)
    breaks: dict[str, Any] = {"mew": 1.2 * sheet.line_pt, "ms": 0.8 * sheet.type_pt, "zorder": 6}
    axes.plot(curve.breaks, curve.up_mNm(curve.breaks), "x", color=ORANGE, gid="breaks", **breaks)
    dot: dict[str, Any] = {"ms": 0.7 * sheet.type_pt, "mec": INK, "zorder": 7}
    axes.plot(*curve.launch, "o", color=BLUE, gid="launch", **dot)
    if curve.level_mNm is not None:
        flat: dict[str, Any] = {"color": ORANGE, "linewidth": sheet.line_pt, "zorder": 2}
        axes.axhline(curve.level_mNm, linestyle="-.", gid="level", **flat)
        if curve.level_turns is not None:
            at = (curve.level_turns, curve.level_mNm)
            axes.plot(*at, "D", color=ORANGE, gid="level turns", **dot)


def _names(axes: Axes, curve: _Curve, sheet: Page) -> None:
    room = Room(cast(Figure, axes.figure), sheet.type_pt)
    for line in axes.lines:
        x, y = (np.asarray(part, dtype=float) for part in line.get_data())
        if line.get_gid() == "level":
            x = np.asarray(axes.get_xlim())
        room.keep_free(axes, x, y)
    turns, torque = curve.launch
    broken = (curve.breaks, float(curve.up_mNm(curve.breaks)))
    room.put(axes, f"may break:\n{plain(curve.breaks, 0)} turns", broken, color=ORANGE)
    words = f"launch: {plain(turns, 0)} turns,\n{plain(torque)} mN m"
    room.put(axes, words, (turns, torque), color=BLUE, fontweight="bold")
    if curve.backed_off:
        top = (curve.wound, float(curve.up_mNm(curve.wound)))
        room.put(axes, f"wound: {plain(curve.wound, 0)}", top, needed=False)
    if curve.level_mNm is not None:
        words = f"level flight: {plain(curve.level_mNm)} mN m"
        if curve.level_turns is not None:
            words = f"{words},\ndown to {plain(curve.level_turns, 0)} turns"
        at = (curve.level_turns or 0.15 * curve.breaks, curve.level_mNm)
        room.put(axes, words, at, color=ORANGE)
    part = 0.62 * curve.wound
    room.put(axes, "winding", (part, float(curve.up_mNm(part))), fontweight="bold")
    part = 0.45 * turns
    look: dict[str, Any] = {"color": BLUE, "fontweight": "bold"}
    room.put(axes, "unwinding", (part, float(curve.down_mNm(part))), **look)


def _words(curve: _Curve) -> str:
    turns, torque = curve.launch
    top = float(curve.up_mNm(curve.wound))
    parts = [
        f"Torque against turns of a loop of {plain(curve.motor.mass_g, 2)} g at "
        f"{curve.temperature_c:g} °C. Winding goes up to {plain(curve.wound, 0)} turns and "
        f"{plain(top)} mN m. The loop may break at {plain(curve.breaks, 0)} turns.",
    ]
    if curve.backed_off:
        parts.append(f"{plain(curve.backed_off, 0)} turns are taken off before the launch.")
    parts.append(
        f"At the launch there are {plain(turns, 0)} turns and {plain(torque)} mN m. On the way "
        "down, the dashed line, the torque is lower than it was while winding."
    )
    return " ".join([*parts, *_level_words(curve)])


def _level_words(curve: _Curve) -> list[str]:
    if curve.level_mNm is None:
        return []
    needs = f"Level flight needs {plain(curve.level_mNm)} mN m."
    if curve.level_turns is None:
        return [f"{needs} At the launch the motor gives less: the aeroplane sinks all the way."]
    return [
        f"{needs} The motor gives more than that down to {plain(curve.level_turns, 0)} turns: "
        "until then the aeroplane climbs, after that it sinks."
    ]
