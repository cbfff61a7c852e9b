"""Pictures of steady glides say and draw the same."""

from __future__ import annotations

import dataclasses
from io import BytesIO

import numpy as np
import pytest
from PIL import Image

from tests.figures.drawn import DIVES, FAR, GOOD, NONE, RISES, STALLS
from trimkit import figures


def test_two_glides_differ_without_colour() -> None:
    axes = figures.glide_path([GOOD, DIVES, STALLS, FAR]).figure.axes[0]
    paths = [line for line in axes.lines if len(line.get_xdata()) == 2 and line.get_zorder() == 4]
    assert len({line.get_linestyle() for line in paths}) == 4
    markers = [line.get_marker() for line in axes.lines if line.get_zorder() == 6]
    assert len(markers) == len(set(markers)) == 4


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
