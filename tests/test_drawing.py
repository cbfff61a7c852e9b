"""The drawing is to scale in both files, names every part, and no words lie over others."""

from __future__ import annotations

import dataclasses
import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import matplotlib
import pytest

import trimkit
from trimkit import balance, cli, drawing, places
from trimkit.aeroplane import Aeroplane
from trimkit.drawing import Drawing, Paper, Words

NAMES = ("hallfinch-46", "longreed-42", "stubwren-33")
SVG = "{http://www.w3.org/2000/svg}"


def load(name: str) -> Aeroplane:
    return trimkit.load_aeroplane(places.demo_folder() / "aeroplanes" / f"{name}.toml")


AEROPLANES = {name: load(name) for name in NAMES}
DRAWN = {
    (name, paper): drawing.draw(one, paper)
    for name, one in AEROPLANES.items()
    for paper in drawing.PAPERS
}
EVERY = pytest.mark.parametrize(("name", "paper"), list(DRAWN))


def shape(svg: str, name: str) -> list[tuple[float, float]]:
    """Corners of a line in an SVG file, in mm of paper."""
    root = ET.fromstring(svg)
    found = next(one for one in root.iter() if one.get("id") == name)
    corners = (pair.split(",") for pair in found.attrib["points"].split())
    return [(float(x), float(y)) for x, y in corners]


def reach(points: list[tuple[float, float]], axis: int) -> float:
    along = [point[axis] for point in points]
    return max(along) - min(along)


@EVERY
def test_lengths_in_the_file_times_the_scale_are_those_of_the_aeroplane(
    name: str, paper: Paper
) -> None:
    one, drawn = AEROPLANES[name], DRAWN[name, paper]
    svg, scale = drawn.svg(), drawn.scale
    build = one.build

    def is_long(part: str, axis: int, mm: float) -> None:
        assert reach(shape(svg, part), axis) * scale == pytest.approx(mm, abs=0.02), part

    is_long("plan-wing", 1, build.wing.span_mm)
    is_long("plan-wing", 0, build.wing.root_chord_mm)
    is_long("plan-wing-middle", 0, build.wing.root_chord_mm)
    is_long("plan-tail", 1, build.tail.span_mm)
    is_long("plan-tail", 0, build.tail.chord_mm)
    is_long("side-fin", 1, build.fin.span_mm)
    is_long("side-fin", 0, build.fin.chord_mm)
    is_long("side-rubber", 0, build.stick.hook_station_mm)
    rise = build.wing.span_mm / 2 * math.tan(math.radians(build.wing.dihedral_deg))
    is_long("front-wing", 1, rise)
    is_long("front-wing", 0, build.wing.span_mm)
    lean = math.radians(one.setting.side_thrust_deg)
    is_long("plan-propeller", 1, one.setting.propeller.diameter_mm * math.cos(lean))


@EVERY
def test_dimension_lines_are_as_long_as_their_numbers(name: str, paper: Paper) -> None:
    one, drawn = AEROPLANES[name], DRAWN[name, paper]
    svg, build = drawn.svg(), one.build
    wanted = {
        ("measure-span", 1): build.wing.span_mm,
        ("measure-tip-chord", 0): build.wing.tip_chord_mm,
        ("measure-root-chord", 0): build.wing.root_chord_mm,
        ("measure-tail-span", 1): build.tail.span_mm,
        ("measure-tail-chord", 0): build.tail.chord_mm,
        ("measure-wing", 0): one.setting.wing_station_mm,
        ("measure-rear-hook", 0): build.stick.hook_station_mm,
        ("measure-tailplane", 0): build.tail.station_mm,
        ("measure-balance-point", 0): balance.aeroplane_cg(one).station_mm,
        ("measure-wing-height", 1): build.wing.height_mm,
        ("measure-fin-height", 1): build.fin.span_mm,
        ("measure-propeller", 0): one.setting.propeller.diameter_mm,
    }
    texts = " ".join(mark.text for mark in drawn.marks if isinstance(mark, Words))
    for (part, axis), mm in wanted.items():
        assert reach(shape(svg, part), axis) * drawn.scale == pytest.approx(mm, abs=0.02), part
        assert f"{mm:.1f}" in texts, part
    assert reach(shape(svg, "check-bar"), 0) == pytest.approx(50.0, abs=1e-6)


def test_the_angles_are_drawn_as_they_are() -> None:
    one = AEROPLANES["hallfinch-46"]
    svg = DRAWN["hallfinch-46", "a4"].svg()
    ahead, behind = shape(svg, "side-wing")[0], shape(svg, "side-wing")[-1]
    angle = math.degrees(math.atan2(behind[1] - ahead[1], behind[0] - ahead[0]))
    assert angle == pytest.approx(one.build.wing.incidence_deg, abs=0.02)
    ahead, behind = shape(svg, "plan-fin")  # its trailing edge to the left: down on the paper
    angle = math.degrees(math.atan2(behind[1] - ahead[1], behind[0] - ahead[0]))
    assert angle == pytest.approx(one.setting.fin_deg, abs=0.02)
    left, right = shape(svg, "front-tail")  # its left tip is on the right
    assert left[0] > right[0]
    tilt = math.degrees(math.atan2(right[1] - left[1], left[0] - right[0]))
    assert tilt == pytest.approx(one.setting.tail_tilt_deg, abs=0.02)


def overlaps(drawn: Drawing) -> list[str]:
    words = [mark for mark in drawn.marks if isinstance(mark, Words)]
    found = []
    for place, one in enumerate(words):
        for other in words[place + 1 :]:
            a, b = one.box, other.box
            # boxes have a little air; words of one name may touch with it
            if min(a[2], b[2]) - max(a[0], b[0]) > 0.4 and min(a[3], b[3]) - max(a[1], b[1]) > 0.4:
                found.append(f"{one.text} / {other.text}")
    return found


@EVERY
def test_no_words_lie_over_others_or_beyond_the_paper(name: str, paper: Paper) -> None:
    drawn = DRAWN[name, paper]
    assert overlaps(drawn) == []
    width, height = drawn.size_mm
    for mark in drawn.marks:
        if isinstance(mark, Words):
            left, top, right, low = mark.box
            assert left > 5, mark.text
            assert right < width - 5, mark.text
            assert top > 5, mark.text
            assert low < height - 5, mark.text


def test_words_that_lie_over_others_are_noticed() -> None:
    drawn = DRAWN["hallfinch-46", "a4"]
    doubled = (*drawn.marks, Words("fin", (100.0, 100.0)), Words("fin", (101.0, 100.5)))
    assert overlaps(dataclasses.replace(drawn, marks=doubled)) == ["fin / fin"]


@EVERY
def test_every_part_is_named(name: str, paper: Paper) -> None:
    drawn = DRAWN[name, paper]
    texts = [mark.text for mark in drawn.marks if isinstance(mark, Words)]
    for part in ("left wing", "right wing", "tailplane", "fin", "stick", "boom", "propeller",
                 "rubber", "socket", "balance point", "dihedral", "down thrust", "side thrust",
                 "from above", "from its left side", "from the front"):  # fmt: skip
        assert any(part in text for text in texts), part
    assert f"Scale 1:{drawn.scale:g} on {'A4' if paper == 'a4' else 'letter paper'}" in texts


@EVERY
def test_the_file_is_plain_and_says_what_it_shows(name: str, paper: Paper) -> None:
    drawn = DRAWN[name, paper]
    root = ET.fromstring(drawn.svg())
    width, height = drawing.PAPERS[paper]
    assert root.get("width") == f"{width:g}mm"
    assert root.get("viewBox") == f"0 0 {width:g} {height:g}"
    assert AEROPLANES[name].name in (root.findtext(f"{SVG}title") or "")
    told = root.findtext(f"{SVG}desc") or ""
    assert f"span {AEROPLANES[name].build.wing.span_mm:.1f}" in told
    known = {"svg", "title", "desc", "rect", "g", "polyline", "polygon", "circle", "text"}
    assert {one.tag.removeprefix(SVG) for one in root.iter()} == known
    colours = {one.get(key) for one in root.iter() for key in ("fill", "stroke")} - {None}
    assert colours <= {"none", "#000", "#fff"}
    weights = {one.get("stroke-width") for one in root.iter()} - {None}
    dashes = {one.get("stroke-dasharray") for one in root.iter()} - {None}
    assert len(weights) >= 4
    assert len(dashes) >= 3


def test_the_pdf_has_the_paper_and_the_lengths_of_the_svg() -> None:
    drawn = DRAWN["stubwren-33", "letter"]
    with matplotlib.rc_context({"pdf.compression": 0}):
        raw = drawn.pdf().decode("latin-1")
    box = re.search(r"/MediaBox \[([^\]]*)\]", raw)
    assert box
    wide, tall = (float(one) for one in box[1].split()[2:])
    assert (wide, tall) == pytest.approx((279.4 * 72 / 25.4, 215.9 * 72 / 25.4), abs=0.01)
    assert "/Type /Image" not in raw
    lines = re.findall(r"([\d.]+) ([\d.]+) m\n([\d.]+) ([\d.]+) l\n", raw)
    lengths = [math.dist((float(a), float(b)), (float(c), float(d))) for a, b, c, d in lines]
    for mm in (50.0, 330.0 / drawn.scale, 190.0 / drawn.scale):  # bar, span, rubber
        assert any(math.isclose(one * 25.4 / 72, mm, abs_tol=0.005) for one in lengths), mm


def test_the_scale_is_the_largest_that_fits_and_larger_aeroplanes_get_a_smaller_one() -> None:
    scales = [DRAWN[name, "a4"].scale for name in NAMES]
    assert scales == [5.0, 5.0, 4.0]
    one = AEROPLANES["hallfinch-46"]
    wing = dataclasses.replace(one.build.wing, span_mm=700.0)
    tail = dataclasses.replace(one.build.tail, station_mm=700.0)
    large = dataclasses.replace(one, build=dataclasses.replace(one.build, wing=wing, tail=tail))
    drawn = drawing.draw(large)
    assert drawn.scale == 8.0
    assert overlaps(drawn) == []


def test_odd_aeroplanes_are_drawn_too() -> None:
    one = AEROPLANES["longreed-42"]
    build = one.build
    odd = dataclasses.replace(
        one,
        name="A <very> & long name of an aeroplane " * 6,
        build=dataclasses.replace(
            build,
            wing=dataclasses.replace(
                build.wing, tip_chord_mm=build.wing.root_chord_mm, dihedral_deg=0.0, height_mm=0.0,
                skew_deg=6.0, left_droop_deg=4.0,
            ),
            fin=dataclasses.replace(build.fin, height_mm=-30.0),
        ),
        setting=dataclasses.replace(
            one.setting, wing_offset_mm=0.0, shim_mm=-1.2, ballast_g=0.3, fin_deg=-5.0
        ),
    )  # fmt: skip
    drawn = drawing.draw(odd)
    assert overlaps(drawn) == []
    root = ET.fromstring(drawn.svg())
    assert "A <very> & long" in (root.findtext(f"{SVG}title") or "")
    assert any("shim −1.2 mm" in (text.text or "") for text in root.iter(f"{SVG}text"))


def test_the_same_aeroplane_gives_the_same_files() -> None:
    one, drawn = AEROPLANES["stubwren-33"], DRAWN["stubwren-33", "a4"]
    again = drawing.draw(one, "a4")
    assert again.svg() == drawn.svg()
    assert again.pdf() == drawn.pdf()


def test_the_command_draws_and_refuses(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "own.svg"
    assert cli.main(["draw", "stubwren-33", "--output", str(out)]) == cli.DONE
    assert "1:4" in capsys.readouterr().out
    assert ET.fromstring(out.read_text("utf-8")).tag == f"{SVG}svg"
    assert cli.main(["draw", "stubwren-33", "--output", str(tmp_path / "own.png")]) == cli.BAD_INPUT
    assert "allowed is .svg or .pdf" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["own.svg"]
    with pytest.raises(ValueError, match="a4 or letter"):
        drawing.draw(AEROPLANES["stubwren-33"], "a3")  # type: ignore[arg-type]
