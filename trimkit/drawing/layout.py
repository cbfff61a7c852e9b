"""Where the three views stand on the paper."""

from __future__ import annotations

from dataclasses import dataclass

from trimkit import balance
from trimkit.aeroplane import Aeroplane
from trimkit.figures.outline import wing_front

EDGE = 10.0  # no printer prints to the edge; common practice, no source [mm]
ROW = 4.6  # between two dimension lines [mm]


@dataclass(frozen=True, slots=True)
class Extent:
    """What a view covers; right and up are plus.

    Parameters
    ----------
    left, right, low, high : float
        Its edges [mm of the aeroplane].
    """

    left: float
    right: float
    low: float
    high: float


class Layout:
    """The views on the paper: above and side in one column, front beside the side view.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].
    scale : float
        How many mm of the aeroplane one mm of paper is [-].
    width, height : float
        Size of the paper [mm].
    """

    def __init__(self, aeroplane: Aeroplane, scale: float, width: float, height: float) -> None:
        self.scale, self.width, self.height = scale, width, height
        build, setting = aeroplane.build, aeroplane.setting
        self.end_mm = build.end_mm
        radius = setting.propeller.diameter_mm / 2
        half = build.wing.span_mm / 2
        nose = min(setting.propeller.station_mm, 0.0)
        right = max(half + setting.wing_offset_mm, radius, build.tail.span_mm / 2)
        left = max(half - setting.wing_offset_mm, radius, build.tail.span_mm / 2)
        drop = build.stick.motor_height_mm
        fin_low = build.fin.height_mm - build.fin.span_mm / 2
        fin_high = build.fin.height_mm + build.fin.span_mm / 2
        tip = max(height for _, height in wing_front(aeroplane))
        self.plan = Extent(nose, self.end_mm, -left, right)
        stations = len(stations_of(aeroplane))
        under = min(0.0, drop, fin_low, build.tail.height_mm, build.wing.height_mm)
        self.rows_mm = under - scale * 9.0  # where the stations' first line lies, as a height
        low = min(drop - radius, self.rows_mm - scale * ROW * (stations - 0.4))
        high = max(drop + radius, tip, fin_high, build.wing.height_mm + scale * 11)
        self.side = Extent(nose, self.end_mm, low, high)
        self.front = Extent(-right, left, low, high)
        self._place()

    def _place(self) -> None:
        column = 2 * ROW + 5.0  # left of the views: the span's dimension
        self.x_plan = EDGE + column - self.plan.left / self.scale
        self.y_plan = EDGE + 16.0 + self.plan.high / self.scale
        plan_end = self.y_plan - self.plan.low / self.scale
        self.y_side = plan_end + 6.0 + self.side.high / self.scale
        self.x_right = self.x_plan + self.plan.right / self.scale + 3 * ROW + 6.0
        self.x_front = self.x_right + 8.0 - self.front.left / self.scale
        self.foot = self.y_side - self.side.low / self.scale

    @property
    def fits(self) -> bool:
        """Whether all of it stays within the paper's edge [-]."""
        wide = self.x_front + self.front.right / self.scale + 9.0
        table = self.x_right + TABLE_WIDTH
        tall = self.foot + 11.0  # the caption, and the check bar with its words
        upper = self.y_side - self.side.high / self.scale + 1.0 > EDGE + TABLE_HEIGHT
        room = self.width - EDGE
        return wide <= room and table <= room and tall <= self.height - EDGE and upper


TABLE_WIDTH, TABLE_HEIGHT = 88.0, 84.0


def stations_of(aeroplane: Aeroplane) -> list[tuple[float, str]]:
    """List what is measured from the propeller's bearing.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    list of (float, str)
        Station and part, the nearest first [mm].
    """
    build, setting = aeroplane.build, aeroplane.setting
    found = [
        (setting.wing_station_mm, "wing"),
        (balance.aeroplane_cg(aeroplane).station_mm, "balance point"),
        (build.stick.hook_station_mm, "rear hook"),
        (build.tail.station_mm, "tailplane"),
        (build.fin.station_mm, "fin's quarter chord"),
        (build.end_mm, "tail's end"),
    ]
    return sorted(found)
