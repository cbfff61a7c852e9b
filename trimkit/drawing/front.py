"""The view from the front: the left wing is on the right."""

from __future__ import annotations

from trimkit import incidence
from trimkit.drawing.layout import ROW
from trimkit.drawing.marks import Fill, Point
from trimkit.drawing.pen import GAP
from trimkit.drawing.view import View
from trimkit.figures.outline import tail_ends, wing_front
from trimkit.figures.style import plain, signed


class Front(View):
    """The view from the front: the left wing is on the right."""

    def draw(self) -> None:
        """Draw the aeroplane's outlines."""
        build, setting, at = self.aeroplane.build, self.aeroplane.setting, self._at
        drop = build.stick.motor_height_mm
        radius = setting.propeller.diameter_mm / 2 / self.scale
        self.pen.disc(at(0, drop), radius, "hidden", "front-propeller")
        left, middle, right = wing_front(self.aeroplane)
        self.pen.line([at(*left), at(*middle), at(*right)], "outline", "front-wing")
        self.pen.line([at(0, 0), at(*middle)], "measure")
        self.pen.line([at(*one) for one in tail_ends(self.aeroplane)], "outline", "front-tail")
        fin = build.fin
        low, high = fin.height_mm - fin.span_mm / 2, fin.height_mm + fin.span_mm / 2
        self.pen.line([at(0, low), at(0, high)], "outline", "front-fin")
        x, y = at(0, 0)
        self.pen.add(
            Fill(((x - 0.8, y - 0.8), (x + 0.8, y - 0.8), (x + 0.8, y + 0.8), (x - 0.8, y + 0.8)))
        )

    def measure(self) -> None:
        """Draw the dimension lines."""
        build, at = self.aeroplane.build, self._at
        left, middle, right = wing_front(self.aeroplane)
        for tip, way in ((left, 1.0), (right, -1.0)):
            rise = tip[1] - middle[1]
            if abs(rise) / self.scale < 0.5:
                continue
            end, root = at(*tip), at(tip[0], middle[1])
            x = end[0] + way * 3.0
            self.pen.line([(end[0] + way, end[1]), (x + way, end[1])], "measure")
            start = end[0] - way * 12.0
            self.pen.line([(start, root[1]), (x + way, root[1])], "centre")
            name = "measure-left-tip" if way > 0 else "measure-right-tip"
            self.pen.upright(x, min(end[1], root[1]), max(end[1], root[1]), plain(rise), name)
        radius = self.aeroplane.setting.propeller.diameter_mm / 2
        drop = build.stick.motor_height_mm
        y = at(0, drop - radius)[1] + ROW
        for side in (-radius, radius):
            x = at(side, 0)[0]
            self.pen.line([(x, at(0, drop)[1] + GAP), (x, y + 1.0)], "measure")
        words = f"propeller {plain(2 * radius)}"
        self.pen.across(at(radius, 0)[0], at(-radius, 0)[0], y, words, "measure-propeller")

    def name(self) -> None:
        """Name the parts, where there is room."""
        aeroplane, at = self.aeroplane, self._at
        twist = incidence.panel_twist_deg(aeroplane)
        left_deg, right_deg = aeroplane.build.wing.panels_deg
        left, middle, right = wing_front(self.aeroplane)
        for word, tip, deg, turned in (
            ("left wing", left, left_deg, twist.left_deg),
            ("right wing", right, right_deg, twist.right_deg),
        ):
            where = at(
                middle[0] + 0.7 * (tip[0] - middle[0]), middle[1] + 0.7 * (tip[1] - middle[1])
            )
            words = f"{word}\ndihedral {plain(deg)}°\ntip's twist {signed(turned)}°"
            self.pen.name(words, where)
        tail = aeroplane.build.tail
        tilt = aeroplane.setting.tail_tilt_deg
        where = at(-0.4 * tail.span_mm, tail.height_mm)
        self.pen.name(f"tailplane\ntilt {signed(tilt)}°", where)
        fin = aeroplane.build.fin
        self.pen.name("fin", at(0, fin.height_mm + 0.35 * fin.span_mm))

    def _at(self, right_mm: float, height_mm: float) -> Point:
        """What is right of the stick is drawn left of it: we look at its nose."""
        return (
            self.layout.x_front - right_mm / self.scale,
            self.layout.y_side - height_mm / self.scale,
        )
