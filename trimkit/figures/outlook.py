"""A plan in a picture: for each motor the height under the ceiling, and the time."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes

from trimkit.figures.style import BLUE, GREY, INK, ORANGE, Page, Picture, chart, style, write_keys
from trimkit.plan import Outlook, Plan

MOST_MOTORS = 6


def plan_view(plan: Plan, projector: bool = False) -> Picture:
    """Draw the height that each motor will reach, with its spread, under the ceiling.

    Parameters
    ----------
    plan : Plan
        With one motor or more [-].
    projector : bool
        A slide with type of 28 pt [-].

    Returns
    -------
    Picture
        The picture and its words [-].

    Raises
    ------
    ValueError
        When no motor has a plan.
    """
    shown = plan.outlooks[:MOST_MOTORS]
    if not shown:
        raise ValueError("no motor has a plan; there is nothing to draw")
    want = plan.want
    with style(projector):
        figure, axes, sheet = chart(projector, f"Height in a hall of {want.height_m:g} m")
        axes.axhline(want.height_m, color=INK, linewidth=2 * sheet.line_pt, gid="ceiling")
        free = want.height_m - want.free_m
        look: dict[str, Any] = {"color": GREY, "linestyle": "--", "linewidth": sheet.line_pt}
        axes.axhline(free, gid="free", **look)
        for place, one in enumerate(shown):
            _motor(axes, place, one, sheet)
        axes.set_xticks(range(len(shown)), [_under(one, one is shown[0]) for one in shown])
        axes.set_xlim(-0.6, len(shown) - 0.4)
        axes.set_ylim(0, 1.06 * want.height_m)
        axes.set_ylabel("height in m")
        keys = "dot: the middle; bar: 8 flights in 10; thick line: ceiling; dashes: room kept"
        write_keys(figure, sheet, keys)
    return Picture(figure, plan.heights_words())


def _motor(axes: Axes, place: int, one: Outlook, sheet: Page) -> None:
    colour = BLUE if place == 0 else ORANGE
    height = one.height_m
    thick = 3 * sheet.line_pt
    axes.plot([place, place], [height.low, height.high], "-", color=colour, linewidth=thick)
    axes.plot(place, height.middle, "o", color=colour, mec=INK, ms=0.8 * sheet.type_pt)
    axes.text(
        place + 0.08,
        height.middle,
        f"{height.middle:.1f} m",
        va="center",
        fontsize=sheet.type_pt,
    )


def _under(one: Outlook, first: bool) -> str:
    take = "take " if first else ""
    return f"{take}motor {one.number[:8]}\n{one.winding.turns_on} turns, {one.time_s.middle:.0f} s"
