"""Pictures: what they say is what they draw, and both can be read."""

from __future__ import annotations

import dataclasses
import itertools
import subprocess
import sys
from io import BytesIO

import matplotlib
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.text import Text
from PIL import Image

from tests.aeroplanes import trainer
from trimkit import balance, figures, incidence, trim
from trimkit.aeroplane import Part, replace
from trimkit.figures import Edges, Picture

ROWS = ((3.2, 120), (2.2, 130), (1.4, 380), (2.4, -5))
GOOD = trim.glide(trainer())
NONE = dataclasses.replace(GOOD, found=False, verdict="dives")
RISES = dataclasses.replace(GOOD, found=False, verdict="stalls")
STALLS = dataclasses.replace(GOOD, verdict="stalls", stall_margin_deg=-0.5, sink_m_s=0.4)
DIVES = dataclasses.replace(GOOD, verdict="dives", speed_m_s=4.0, sink_m_s=0.9)
FAR = dataclasses.replace(GOOD, speed_m_s=3.0, sink_m_s=0.1)


def _pictures() -> dict[str, Picture]:
    plane = trainer()
    return {
        "ruler": figures.ruler_view(31, 26, 90, "wing"),
        "ruler down": figures.ruler_view(20, 28, 75, "tailplane"),
        "ruler level": figures.ruler_view(25, 25, 75, "tailplane"),
        "ruler high": figures.ruler_view(120, 90, 140, "wing"),
        "ruler low": figures.ruler_view(4, 1, 90, "wing"),
        "bench": figures.bench_view(Edges(58, 51, 100), Edges(24, 20, 75), 0.0, 45),
        "bench shim": figures.bench_view(Edges(58, 51, 100), Edges(24, 20, 75), 1.2, 45),
        "bench low": figures.bench_view(Edges(58, 51, 100), Edges(12, 8, 75), -3.0, 45),
        "readings": figures.readings([1.5, 1.9, 1.1, 1.6, 1.7], "°", "One tailplane, five pupils"),
        "side": figures.side_view(plane),
        "side shim": figures.side_view(replace(plane, shim_mm=-1.2)),
        "side forward": figures.side_view(replace(plane, wing_station_mm=80.0)),
        "beam": figures.balance_beam(balance.parts(plane), balance.aeroplane_cg(plane)),
        "beam four": figures.balance_beam(ROWS, balance.centre_of_gravity_mm(ROWS)),
        "glide": figures.glide_path([GOOD]),
        "glides": figures.glide_path([GOOD, DIVES], ("before", "after")),
        "stall": figures.glide_path([STALLS, GOOD], ("now", "design")),
        "no glide": figures.glide_path([NONE, GOOD], ("now", "design")),
        "nose rises": figures.glide_path([RISES, GOOD], ("now", "design")),
        "wall": figures.glide_path([FAR, GOOD], ("now", "design")),
        "four": figures.glide_path([GOOD, DIVES, STALLS, NONE]),
    }


@pytest.fixture(scope="module")
def pictures() -> dict[str, Picture]:
    return _pictures()


NAMES = (
    "ruler", "ruler down", "ruler level", "ruler high", "ruler low", "bench", "bench shim",
    "bench low", "readings", "side", "side shim", "side forward", "beam", "beam four", "glide",
    "glides", "stall", "no glide", "nose rises", "wall", "four",
)  # fmt: skip


def _words(picture: Picture) -> list[Text]:
    return [*picture.figure.texts, *(text for axes in picture.figure.axes for text in axes.texts)]


def test_every_picture_is_listed(pictures: dict[str, Picture]) -> None:
    assert set(NAMES) == set(pictures)


@pytest.mark.parametrize("name", NAMES)
def test_words_are_large_whole_and_do_not_cover_each_other(
    pictures: dict[str, Picture], name: str
) -> None:
    picture = pictures[name]
    canvas = FigureCanvasAgg(picture.figure)
    canvas.draw()
    renderer = canvas.get_renderer()
    words = [text for text in _words(picture) if text.get_text()]
    assert len(words) >= 3
    assert min(text.get_fontsize() for text in words) >= 14
    boxes = [(text.get_text(), Text.get_window_extent(text, renderer)) for text in words]
    page = picture.figure.bbox
    for said, box in boxes:
        assert page.x0 <= box.x0 < box.x1 <= page.x1, said
        assert page.y0 <= box.y0 < box.y1 <= page.y1, said
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        across = min(a.x1, b.x1) - max(a.x0, b.x0)
        up = min(a.y1, b.y1) - max(a.y0, b.y0)
        assert across < 2 or up < 2, f"{one!r} and {other!r} cover each other"


@pytest.mark.parametrize("name", NAMES)
def test_a_picture_carries_its_words_in_its_file(pictures: dict[str, Picture], name: str) -> None:
    picture = pictures[name]
    image = Image.open(BytesIO(picture.png(60)))
    assert image.info["Description"] == picture.text
    assert image.size == (576, round(60 * picture.figure.get_size_inches()[1]))
    assert np.asarray(image.convert("L")).std() > 10
    assert picture.text.endswith(".")
    assert len(picture.text) > 60


def test_the_file_has_the_asked_size_and_says_what_is_allowed(
    pictures: dict[str, Picture],
) -> None:
    assert Image.open(BytesIO(pictures["ruler"].png())).size == (960, 500)
    with pytest.raises(ValueError, match="allowed is 30 to 600"):
        pictures["ruler"].png(5)


def _light(colour: str) -> float:
    channels = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(np.dot(channels, (0.2126, 0.7152, 0.0722)))  # WCAG 2.1, relative luminance


def test_every_ink_is_dark_on_white() -> None:
    for colour in (figures.INK, figures.GREY, figures.BLUE, figures.ORANGE):
        assert 1.05 / (_light(colour) + 0.05) > 6, colour


def test_two_glides_differ_without_colour() -> None:
    axes = figures.glide_path([GOOD, DIVES, STALLS, FAR]).figure.axes[0]
    paths = [line for line in axes.lines if len(line.get_xdata()) == 2 and line.get_zorder() == 4]
    assert len({line.get_linestyle() for line in paths}) == 4
    markers = [line.get_marker() for line in axes.lines if line.get_zorder() == 6]
    assert len(markers) == len(set(markers)) == 4


def test_style_puts_matplotlib_back() -> None:
    before = dict(matplotlib.rcParams)
    with figures.style():
        assert matplotlib.rcParams["font.size"] == 17
    figures.ruler_view(31, 26, 90).png(40)
    assert dict(matplotlib.rcParams) == before


def test_no_window_system_is_loaded() -> None:
    code = (
        "import sys; from trimkit import figures; figures.ruler_view(31, 26, 90).png(40);"
        "bad = {'matplotlib.pyplot', 'IPython', 'ipywidgets'} & set(sys.modules);"
        "sys.exit(len(bad))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_ruler_words() -> None:
    text = figures.ruler_view(31, 26, 90, "wing").text
    assert "31.0 mm" in text
    assert "5.0 ÷ 90 × 57.3 gives an angle of +3.2°, leading edge up" in text
    assert "−6.1°, leading edge down" in figures.ruler_view(20, 28, 75, "tailplane").text
    assert "0.0°, level" in figures.ruler_view(25, 25, 75).text


@settings(derandomize=True, deadline=None, max_examples=20)
@given(st.floats(10, 60), st.floats(10, 60), st.floats(100, 180))
def test_the_ruler_picture_stands_on_its_head_with_its_edges_swapped(
    one: float, other: float, chord: float
) -> None:
    up, down = figures.ruler_view(one, other, chord), figures.ruler_view(other, one, chord)
    titles = [p.figure.axes[0].texts[0].get_text() for p in (up, down)]
    turned = titles[0].translate(str.maketrans("+−", "−+"))
    assert turned == titles[1]


@pytest.mark.parametrize("edges", [(-1.0, 5.0, 90.0), (31.0, 301.0, 90.0), (80.0, 20.0, 90.0)])
def test_readings_that_no_ruler_gives_are_refused(edges: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="allowed"):
        figures.ruler_view(*edges)


def test_the_bench_shows_the_shim_s_angle() -> None:
    wing, tail = Edges(58, 51, 100), Edges(24, 20, 75)
    text = figures.bench_view(wing, tail, 1.2, 45).text
    after = wing.angle_deg - tail.angle_deg + incidence.angle_for_shim_deg(1.2, 45)
    assert f"Decalage is wing minus tail: {figures.signed(after)}°." in text
    assert "Without the shim of +1.2 mm it is +1.0°" in text
    assert "Without the shim" not in figures.bench_view(wing, tail, 0.0, 45).text


def test_a_shim_lifts_the_trailing_edge_and_leaves_the_leading_edge() -> None:
    text = figures.bench_view(Edges(58, 51, 100), Edges(24, 20, 75), 1.2, 45).text
    assert "Tailplane: The leading edge is 24.0 mm above the table, the trailing edge 22.0" in text


def test_a_large_shim_does_not_push_the_tail_through_the_table() -> None:
    text = figures.bench_view(Edges(58, 51, 100), Edges(4, 1, 75), -4.0, 45).text
    assert "the trailing edge 0.0 mm" in text


def test_a_stage_draws_what_the_picture_draws() -> None:
    design, now = GOOD, DIVES
    whole = figures.glide_path([now, design], ("now", "design"))
    still = figures.glide_stage(design, 80)(now)
    assert still.text == whole.text
    one, other = (
        np.asarray(Image.open(BytesIO(png)).convert("L"), dtype=float)
        for png in (still.png, whole.png(80))
    )
    assert one.shape == other.shape
    assert np.mean(np.abs(one - other) > 60) < 0.002  # only the order of what lies on what


def test_a_stage_keeps_nothing_from_one_drawing_to_the_next() -> None:
    stage = figures.glide_stage(GOOD, 60)
    first = stage(DIVES)
    assert stage(NONE).png != first.png
    assert stage(DIVES).png == first.png


def test_readings_words_and_limits() -> None:
    text = figures.readings([1.5, 1.9, 1.1], "mm", "Shim").text
    assert "1.5, 1.9, 1.1 mm" in text
    assert "Their mean is 1.5 mm" in text
    assert "is 0.8 mm" in text
    with pytest.raises(ValueError, match="allowed is 2 to 12"):
        figures.readings([1.0], "mm", "Shim")


def test_side_words_follow_the_aeroplane() -> None:
    plane = trainer()
    text = figures.side_view(plane).text
    assert "+4.0°" in text
    assert "There is no shim." in text
    assert f"balances {balance.balance_point_mm(plane):.1f} mm behind" in text
    assert "three times larger" in text
    assert "The shim is −1.2 mm." in figures.side_view(replace(plane, shim_mm=-1.2)).text


def test_the_neutral_point_is_said_on_its_side() -> None:
    plane = trainer()
    tail_heavy = replace(plane, ballast_g=4.0, ballast_station_mm=470.0)
    assert "mm behind that" in figures.side_view(plane).text
    assert "mm ahead of that" in figures.side_view(tail_heavy).text


def test_the_beam_balances_under_its_point() -> None:
    cg = balance.centre_of_gravity_mm(ROWS)
    picture = figures.balance_beam(ROWS, cg)
    pivot = [line for line in picture.figure.axes[0].lines if line.get_marker() == "^"]
    assert float(pivot[0].get_xdata()[0]) == cg.station_mm
    assert "It balances at 129.3 mm." in picture.text
    assert "part 4, 2.40 g at −5.0 mm" in picture.text


def test_the_beam_names_parts_and_refuses_none() -> None:
    one = Part(name="propeller", mass_g=2.4, station_mm=-5.0)
    assert (
        "propeller, 2.40 g" in figures.balance_beam([one], balance.centre_of_gravity_mm([one])).text
    )
    with pytest.raises(ValueError, match="allowed is 1 to 16"):
        figures.balance_beam([], balance.centre_of_gravity_mm([one]))


def test_landing_is_height_over_slope() -> None:
    flown = dataclasses.replace(GOOD, speed_m_s=0.5, sink_m_s=0.3)  # a 3-4-5 triangle
    assert figures.landing_m(flown) == pytest.approx(1.8 * 4 / 3)
    assert figures.time_down_s(flown) == pytest.approx(6.0)
    assert figures.landing_m(NONE) == figures.time_down_s(NONE) == 0.0


def test_the_path_ends_where_the_words_say() -> None:
    picture = figures.glide_path([DIVES])
    path = next(line for line in picture.figure.axes[0].lines if line.get_zorder() == 4)
    assert float(path.get_xdata()[1]) == pytest.approx(figures.landing_m(DIVES))
    assert f"lands {figures.landing_m(DIVES):.1f} m away" in picture.text


def test_glide_words_say_what_is_only_marked() -> None:
    text = figures.glide_path([STALLS], ("now",)).text
    assert "This picture shows the steady glide; a stall's nose-up-and-drop is only marked" in text
    assert "Now: it stalls" in text
    assert "nose drops and keeps going" in figures.glide_path([NONE]).text
    assert "nose rises and keeps going" in figures.glide_path([RISES]).text
    assert "reaches the wall" in figures.glide_path([FAR]).text


def test_glides_and_names_must_fit() -> None:
    with pytest.raises(ValueError, match="allowed is 1 to 4"):
        figures.glide_path([])
    with pytest.raises(ValueError, match="1 names are given for 2"):
        figures.glide_path([GOOD, DIVES], ("now",))
