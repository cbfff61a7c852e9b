"""The view from the left side."""

from __future__ import annotations

from trimkit import balance, incidence
from trimkit.drawing.layout import ROW, stations_of
from trimkit.drawing.marks import Point
from trimkit.drawing.pen import GAP
from trimkit.drawing.view import View
from trimkit.figures.outline import plate, turned
from trimkit.figures.style import plain, signed


class Side(View):
    """The view from the left side."""

    def draw(self) -> None:
        """Draw the aeroplane's outlines."""
        build, setting, at = self.aeroplane.build, self.aeroplane.setting, self._at
        wing, tail, stick = build.wing, build.tail, build.stick
        hook, end = stick.hook_station_mm, tail.station_mm + tail.chord_mm / 2
        self.pen.line([at(0, 0), at(hook, 0), at(end, tail.height_mm)], "outline", "side-stick")
        drop = stick.motor_height_mm
        self.pen.line([at(0, drop), at(hook, drop)], "rubber", "side-rubber")
        for x in (0.0, hook):
            self.pen.line([at(x, 0), at(x, drop)], "outline")
        wing_deg = incidence.wing_incidence_deg(self.aeroplane)
        tail_deg = incidence.tail_incidence_deg(self.aeroplane)
        station = setting.wing_station_mm
        edge = (station, wing.height_mm)
        bent = self._plate(edge, wing.root_chord_mm, wing_deg, wing.camber_percent)
        self.pen.line(bent, "bar", "side-wing")
        for share in (0.15, 0.85):
            foot = at(station + share * wing.root_chord_mm, 0)
            top = bent[round(20 * share)]
            self.pen.line([foot, (foot[0], top[1])], "measure")
        edge = (tail.station_mm, tail.height_mm)
        bent = self._plate(edge, tail.chord_mm, tail_deg, tail.camber_percent)
        self.pen.line(bent, "bar", "side-tail")
        self._fin()
        radius, x = setting.propeller.diameter_mm / 2, setting.propeller.station_mm
        disc = [(x, drop + radius), (x, drop - radius)]
        tips = turned(disc, (x, drop), setting.down_thrust_deg)
        self.pen.line([at(*one) for one in tips], "hidden", "side-propeller")
        cg = balance.aeroplane_cg(self.aeroplane)
        self.pen.balance_mark(at(cg.station_mm, cg.height_mm))

    def measure(self) -> None:
        """Draw the dimension lines."""
        at, layout = self._at, self.layout
        first = layout.y_side - layout.rows_mm / self.scale
        stations = stations_of(self.aeroplane)
        last = first + ROW * (len(stations) - 1)
        start = at(0, 0)
        self.pen.line([(start[0], first - 3.0), (start[0], last + 1.0)], "measure")
        for row, (station, word) in enumerate(stations):
            x, y = at(station, 0)[0], first + ROW * row
            self.pen.line([(x, first - 3.0), (x, y + 1.0)], "measure")
            name = f"measure-{word.replace(' ', '-')}".replace("'s", "")
            self.pen.across(start[0], x, y, f"{word} {plain(station)}", name)
        self._heights()

    def name(self) -> None:
        """Name the parts, where there is room."""
        aeroplane, at = self.aeroplane, self._at
        build, setting = aeroplane.build, aeroplane.setting
        wing, tail, stick = build.wing, build.tail, build.stick
        wing_deg = incidence.wing_incidence_deg(aeroplane)
        tail_deg = incidence.tail_incidence_deg(aeroplane)
        chord = setting.wing_station_mm + 0.3 * wing.root_chord_mm
        top = wing.height_mm + wing.camber_percent / 100 * wing.root_chord_mm
        self.pen.name(f"wing {signed(wing_deg)}°", at(chord, top))
        self.pen.name(f"tailplane {signed(tail_deg)}°", at(tail.station_mm, tail.height_mm))
        self.pen.name(
            "fin", at(build.fin.station_mm, build.fin.height_mm + 0.2 * build.fin.span_mm)
        )
        drop = stick.motor_height_mm
        where = "below" if drop <= 0 else "above"
        words = f"rubber, {plain(abs(drop))} {where} the stick"
        self.pen.name(words, at(0.7 * stick.hook_station_mm, drop))
        self.pen.name(self._shim_words(), at(stick.hook_station_mm, 0.0))
        words = f"propeller\ndown thrust {signed(setting.down_thrust_deg)}°"
        radius = setting.propeller.diameter_mm / 2
        self.pen.name(words, at(setting.propeller.station_mm, drop + 0.8 * radius))
        cg = balance.aeroplane_cg(aeroplane)
        self.pen.name("balance point", at(cg.station_mm, cg.height_mm), (3.0, 6.0, 9.0, 13.0))

    def _fin(self) -> None:
        fin, at = self.aeroplane.build.fin, self._at
        x0, x1 = fin.leading_edge_mm, fin.trailing_edge_mm
        low, high = fin.height_mm - fin.span_mm / 2, fin.height_mm + fin.span_mm / 2
        outline = [at(x0, low), at(x1, low), at(x1, high), at(x0, high)]
        self.pen.line(outline, "outline", "side-fin", closed=True)

    def _heights(self) -> None:
        build, at = self.aeroplane.build, self._at
        wing, fin = build.wing, build.fin
        edge = at(self.aeroplane.setting.wing_station_mm + wing.root_chord_mm, 0)[0]
        top, low = at(0, wing.height_mm)[1], at(0, 0)[1]
        if abs(wing.height_mm) / self.scale > 1.0:
            upper, lower, x = min(top, low), max(top, low), edge + ROW
            self.pen.line([(edge - 0.4 * (x - edge), top), (x + 1.0, top)], "measure")
            self.pen.upright_beside(x, upper, lower, plain(wing.height_mm), "measure-wing-height")
        end = self.layout.x_plan + self.layout.side.right / self.scale
        x = end + ROW
        high, foot = at(0, fin.height_mm + fin.span_mm / 2), at(0, fin.height_mm - fin.span_mm / 2)
        corner = at(fin.trailing_edge_mm, 0)[0]
        for y in (high[1], foot[1]):
            self.pen.line([(corner + GAP, y), (x + 1.0, y)], "measure")
        self.pen.upright(x, high[1], foot[1], plain(fin.span_mm), "measure-fin-height")
        ahead = at(fin.leading_edge_mm, 0)[0]
        y = high[1] - ROW
        for one in (ahead, corner):
            self.pen.line([(one, high[1] - GAP), (one, y - 1.0)], "measure")
        self.pen.across(ahead, corner, y, plain(fin.chord_mm), "measure-fin-chord")

    def _shim_words(self) -> str:
        shim = self.aeroplane.setting.shim_mm
        return f"socket, shim {signed(shim)} mm" if shim else "socket, no shim"

    def _at(self, station_mm: float, height_mm: float) -> Point:
        return (
            self.layout.x_plan + station_mm / self.scale,
            self.layout.y_side - height_mm / self.scale,
        )

    def _plate(
        self, leading_edge: Point, chord_mm: float, deg: float, camber_percent: float
    ) -> list[Point]:
        found = plate(leading_edge, chord_mm, deg, camber_percent, points=21)
        return [self._at(float(x), float(y)) for x, y in zip(*found, strict=True)]
