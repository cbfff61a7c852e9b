"""What stands around the views: name, scale, table, check bar."""

from __future__ import annotations

from trimkit import balance, incidence
from trimkit.aeroplane import Aeroplane
from trimkit.drawing.layout import EDGE, TABLE_WIDTH
from trimkit.drawing.marks import NAMES, SMALL, TITLE, Line, Words, width_mm
from trimkit.drawing.sheet import PAPERS
from trimkit.drawing.view import View
from trimkit.figures.style import plain, signed

CHECK_BAR = 50.0  # [mm]


class Frame(View):
    """What stands around the views: name, scale, table, check bar."""

    def draw(self) -> None:
        """Draw all of it; the views' lines lie there already."""
        self._head()
        self._table()
        self._bar()
        self._caption()

    def _head(self) -> None:
        layout = self.layout
        name = self.aeroplane.name
        while width_mm(name, TITLE, True) > layout.x_right - EDGE - 4 and len(name) > 4:
            name = name[:-2].rstrip("… ") + "…"
        self.pen.left(name, EDGE, EDGE + 3.0, TITLE, bold=True)
        column = layout.x_plan - layout.plan.left / self.scale
        foot = layout.foot + 4.0
        self.pen.left("from its left side", column + 1.0, foot, NAMES, bold=True)
        words = "from the front: its left wing is on the right"
        self.pen.left(words, layout.x_right + 4.0, foot, NAMES, bold=True)

    def _table(self) -> None:
        x, y = self.layout.x_right, EDGE + 3.0
        paper = "A4" if self.layout.width == PAPERS["a4"][0] else "letter paper"
        self.pen.left(f"Scale 1:{self.scale:g} on {paper}", x, y, TITLE, bold=True)
        note = (
            "Lengths in mm. Stations from the propeller's bearing,",
            "to the leading edge of a part.",
        )
        for k, text in enumerate(note):
            self.pen.left(text, x, y + 6.0 + 3.6 * k, 2.3)
        y += 14.5
        rows = figures_of(self.aeroplane)
        for k, (what, value) in enumerate(rows):
            level = y + 3.9 * k
            self.pen.left(what, x, level)
            half = width_mm(value, SMALL) / 2
            self.pen.say(value, (x + TABLE_WIDTH - half, level))
            self.pen.add(Line(((x, level + 2.0), (x + TABLE_WIDTH, level + 2.0)), "measure"))

    def _bar(self) -> None:
        x, y = self.layout.width - EDGE - CHECK_BAR - 1.0, self.layout.height - EDGE - 1.0
        self.pen.line([(x, y), (x + CHECK_BAR, y)], "bar", "check-bar")
        for end in (x, x + CHECK_BAR):
            self.pen.line([(end, y - 1.2), (end, y + 1.2)], "measure")
        words = f"On paper this bar measures {CHECK_BAR:g} mm. If not: print again at 100 %."
        self.pen.say(words, (x + CHECK_BAR - width_mm(words, 2.3) / 2, y - 3.2), size=2.3)

    def _caption(self) -> None:
        """The words for the view from above, in that corner of it that is free."""
        layout, words = self.layout, "from above"
        half = width_mm(words, NAMES, True) / 2
        ends = layout.x_plan + layout.plan.right / self.scale - half, EDGE + half + 8.0
        low = layout.y_plan - layout.plan.low / self.scale - NAMES
        places = [
            (x, y) for y in (low, layout.y_plan - layout.plan.high / self.scale) for x in ends
        ]
        costs = [self.pen.covered(Words(words, one, NAMES, bold=True).box) for one in places]
        self.pen.say(words, places[costs.index(min(costs))], size=NAMES, bold=True)


def figures_of(aeroplane: Aeroplane) -> list[tuple[str, str]]:
    """List an aeroplane's angles, masses and settings, as the drawing's table has them.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane as set [-].

    Returns
    -------
    list of (str, str)
        What it is, and the figure with its unit [-].
    """
    setting, wing = aeroplane.setting, aeroplane.build.wing
    twist = incidence.panel_twist_deg(aeroplane)
    whole, bare = balance.aeroplane_cg(aeroplane), balance.aeroplane_cg(aeroplane, motor=False)
    motor = setting.motor
    rows = [
        ("wing to the stick", f"{signed(incidence.wing_incidence_deg(aeroplane))}°"),
        ("tailplane to the stick", f"{signed(incidence.tail_incidence_deg(aeroplane))}°"),
        ("decalage: wing minus tailplane", f"{signed(incidence.decalage_deg(aeroplane), 2)}°"),
        ("left tip, right tip: + trailing edge down",
         f"{signed(twist.left_deg)}°, {signed(twist.right_deg)}°"),
        ("fin: + trailing edge left", f"{signed(aeroplane.fin_deg)}°"),
        ("tail tilt: + left tip high", f"{signed(setting.tail_tilt_deg)}°"),
        ("side thrust: + left", f"{signed(setting.side_thrust_deg)}°"),
        ("down thrust", f"{signed(setting.down_thrust_deg)}°"),
        ("shim: + lifts the tail's trailing edge", f"{signed(setting.shim_mm)} mm"),
        ("wing area", f"{wing.area_mm2 / 100:.0f} cm²"),
        ("balance point behind the wing's leading edge",
         f"{plain(balance.balance_point_mm(aeroplane))} mm"),
        ("mass without motor, with motor", f"{bare.mass_g:.2f} g, {whole.mass_g:.2f} g"),
        ("motor: loop, strip", f"{motor.loop_mm:.0f} mm, {motor.strip_width_mm:.2f} mm wide"),
    ]  # fmt: skip
    if setting.ballast_g:
        rows.append(
            ("ballast, at", f"{setting.ballast_g:.2f} g, {setting.ballast_station_mm:.0f} mm")
        )
    if wing.skew_deg:
        rows.append(("wing turned: + right tip forward", f"{signed(wing.skew_deg)}°"))
    return rows
