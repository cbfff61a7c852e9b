"""The view from above: nose to the left, right wing at the top."""

from __future__ import annotations

from collections.abc import Sequence

from trimkit import balance
from trimkit.drawing.layout import ROW
from trimkit.drawing.marks import NAMES, Point, width_mm
from trimkit.drawing.pen import GAP
from trimkit.drawing.view import View
from trimkit.figures.outline import fin_ends, turned, wing_corners
from trimkit.figures.style import plain, signed


class Above(View):
    """The view from above: nose to the left, right wing at the top."""

    def draw(self) -> None:
        """Draw the aeroplane's outlines."""
        build, setting = self.aeroplane.build, self.aeroplane.setting
        at = self._at
        corners = wing_corners(self.aeroplane)
        self.pen.line([at(*one) for one in corners], "outline", "plan-wing", closed=True)
        self.pen.line([at(*corners[0]), at(*corners[3])], "hidden", "plan-wing-middle")
        tail = build.tail
        x0, x1, half = tail.station_mm, tail.station_mm + tail.chord_mm, tail.span_mm / 2
        outline = [at(x0, half), at(x1, half), at(x1, -half), at(x0, -half)]
        self.pen.line(outline, "outline", "plan-tail", closed=True)
        self.pen.line(
            [at(0, 0), at(tail.station_mm + tail.chord_mm / 2, 0)], "outline", "plan-stick"
        )
        self.pen.line([at(*one) for one in fin_ends(self.aeroplane)], "bar", "plan-fin")
        radius, x = setting.propeller.diameter_mm / 2, setting.propeller.station_mm
        # a line of thrust to the left turns the disc's right end forward
        tips = turned([(x, radius), (x, -radius)], (x, 0.0), setting.side_thrust_deg)
        self.pen.line([at(*one) for one in tips], "hidden", "plan-propeller")
        cg = balance.aeroplane_cg(self.aeroplane).station_mm
        self.pen.balance_mark(at(cg, 0.0))

    def measure(self) -> None:
        """Draw the dimension lines."""
        build, at = self.aeroplane.build, self._at
        corners = wing_corners(self.aeroplane)
        right, left = at(*corners[1]), at(*corners[5])
        x = self.layout.x_plan + self.layout.plan.left / self.scale - ROW - 2.0
        for corner in (right, left):
            self.pen.line([(corner[0] - GAP, corner[1]), (x - 1.0, corner[1])], "measure")
        self.pen.upright(x, right[1], left[1], f"{plain(build.wing.span_mm)}", "measure-span")
        self._chords(corners)
        tail = build.tail
        upper, lower = (
            at(tail.station_mm + tail.chord_mm, tail.span_mm / 2),
            at(tail.station_mm + tail.chord_mm, -tail.span_mm / 2),
        )
        x = self.layout.x_plan + self.layout.plan.right / self.scale + ROW
        for corner in (upper, lower):
            self.pen.line([(corner[0] + GAP, corner[1]), (x + 1.0, corner[1])], "measure")
        self.pen.upright(x, upper[1], lower[1], plain(tail.span_mm), "measure-tail-span")
        y = upper[1] - ROW
        ahead = at(tail.station_mm, tail.span_mm / 2)
        for corner in (ahead, upper):
            self.pen.line([(corner[0], corner[1] - GAP), (corner[0], y - 1.0)], "measure")
        self.pen.across(ahead[0], upper[0], y, plain(tail.chord_mm), "measure-tail-chord")

    def name(self) -> None:
        """Name the parts, where there is room."""
        aeroplane, at = self.aeroplane, self._at
        build, setting = aeroplane.build, aeroplane.setting
        wing, middle = build.wing, setting.wing_offset_mm
        x = setting.wing_station_mm + 0.5 * wing.root_chord_mm
        for side, word in ((1, "right"), (-1, "left")):
            where = at(x, middle + side * 0.3 * wing.span_mm)
            self.pen.say(f"{word} wing", where, size=NAMES)
        tail_at = at(build.tail.station_mm + build.tail.chord_mm / 2, 0.3 * build.tail.span_mm)
        self.pen.say("tailplane", tail_at, size=NAMES) if self._wide_tail() else self.pen.name(
            "tailplane", tail_at
        )
        fin = build.fin
        self.pen.name(
            f"fin {signed(aeroplane.fin_deg)}°", at(fin.station_mm + 0.5 * fin.chord_mm, 0)
        )
        self.pen.name("boom", at((build.stick.hook_station_mm + build.tail.station_mm) / 2, 0))
        self.pen.name("stick", at(0.6 * setting.wing_station_mm, 0))
        cg = balance.aeroplane_cg(aeroplane).station_mm
        self.pen.name("balance point", at(cg, 0), (2.0, 4.0, 6.0, 9.0, 12.0, 15.0))
        words = f"propeller\nside thrust\n{signed(setting.side_thrust_deg)}°"
        self.pen.name(
            words, at(setting.propeller.station_mm, -0.36 * setting.propeller.diameter_mm)
        )
        if middle:
            way = "right" if middle > 0 else "left"
            words = f"wing's middle\n{plain(abs(middle))} to the {way}"
            self.pen.name(words, at(setting.wing_station_mm + wing.root_chord_mm, middle))

    def _chords(self, corners: Sequence[Point]) -> None:
        """The tip's chord above the right tip, the middle's above that."""
        wing, at = self.aeroplane.build.wing, self._at
        y = at(*corners[1])[1]
        rows = [(corners[1], corners[2], wing.tip_chord_mm, "tip", "measure-tip-chord")]
        if wing.tip_chord_mm != wing.root_chord_mm:
            middle = (corners[0], corners[3], wing.root_chord_mm, "middle", "measure-root-chord")
            rows.append(middle)
        for row, (ahead, behind, chord, word, name) in enumerate(rows, 1):
            level = y - ROW * row
            for corner in (at(*ahead), at(*behind)):
                start = min(corner[1], y) - GAP
                self.pen.line([(corner[0], start), (corner[0], level - 1.0)], "measure")
            x0, x1 = at(*ahead)[0], at(*behind)[0]
            self.pen.across(x0, x1, level, f"{plain(chord)} {word}", name)

    def _at(self, station_mm: float, right_mm: float) -> Point:
        return (
            self.layout.x_plan + station_mm / self.scale,
            self.layout.y_plan - right_mm / self.scale,
        )

    def _wide_tail(self) -> bool:
        return self.aeroplane.build.tail.chord_mm / self.scale > width_mm("tailplane", NAMES) + 2
