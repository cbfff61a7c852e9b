"""Blades seen from their tips: the drawn angles and bars are the numbers that are said."""

from __future__ import annotations

import math

import pytest

from trimkit import figures
from trimkit.figures import Blades

DESIGN = Blades(36.0, 36.0, 4.5, 9.0, 46.0, 7.0, 2.2, 50.0)
NOW = Blades(40.0, 44.0, 4.5, 8.0, 41.0, 6.0, 2.3, 53.0)


def test_the_drawn_angles_and_bars_are_those_that_are_said() -> None:
    picture = figures.blades_view(NOW, DESIGN)
    (axes,) = picture.figure.axes
    drawn = []
    for line in axes.lines:
        if line.get_gid() == "blade":
            (x0, *_, x1), (y0, *_, y1) = line.get_data()
            drawn.append(math.degrees(math.atan2(y1 - y0, x1 - x0)))
    assert drawn == pytest.approx([40.0, 44.0])
    bars = [patch.get_width() for patch in axes.patches if patch.get_gid() == "bar"]
    marks = [line.get_xdata()[0] for line in axes.lines if line.get_gid() == "design"]
    shares = [(mark - 5.4) / bar for mark, bar in zip(marks, bars, strict=True)]
    assert shares == pytest.approx([9 / 8, 46 / 41, 7 / 6, 50 / 53])
    for words in ("first stands at 40.0°", "second at 44.0°", "41 mN, the design 46", "53 s"):
        assert words in picture.text


def test_the_stage_says_the_same_as_the_view() -> None:
    still = figures.blades_stage(80)
    assert still(NOW, DESIGN).text == figures.blades_view(NOW, DESIGN).text
    assert still(NOW, DESIGN).png == still(NOW, DESIGN).png != still(DESIGN, DESIGN).png


def test_an_angle_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="first_deg"):
        Blades(400.0, 36.0, 4.5, 9.0, 46.0, 7.0, 2.2, 50.0)
