"""The aeroplane from above and from the front: true sizes, stretched small angles."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from tests.figures.artists import per_unit, points, words
from tests.flight.planes import NAMES, demo
from trimkit import balance, figures, incidence
from trimkit.aeroplane import Aeroplane, replace


@pytest.fixture(params=NAMES)
def plane(request: pytest.FixtureRequest) -> Aeroplane:
    return demo(request.param)


def built(plane: Aeroplane, **changes: float) -> Aeroplane:
    wing = dataclasses.replace(plane.build.wing, **changes)
    return dataclasses.replace(plane, build=dataclasses.replace(plane.build, wing=wing))


def test_both_views_have_equal_scales(plane: Aeroplane) -> None:
    for draw in (figures.plan_view, figures.front_view):
        for projector in (False, True):
            across, up = per_unit(draw(plane, projector=projector).figure.axes[0])
            assert across == pytest.approx(up)


def test_from_above_the_sizes_are_true(plane: Aeroplane) -> None:
    picture = figures.plan_view(plane)
    axes = picture.figure.axes[0]
    wing, tail = plane.build.wing, plane.build.tail
    x, y = points(axes, "wing")
    assert np.ptp(y) == pytest.approx(wing.span_mm)
    assert (y.max() + y.min()) / 2 == pytest.approx(plane.setting.wing_offset_mm)
    assert x.min() == pytest.approx(plane.setting.wing_station_mm)
    outline = abs(np.sum(x[:-1] * np.diff(y) - y[:-1] * np.diff(x)) / 2)
    assert outline == pytest.approx(wing.area_mm2)
    assert np.ptp(points(axes, "tail")[1]) == pytest.approx(tail.span_mm)
    assert points(axes, "balance")[0][0] == balance.aeroplane_cg(plane).station_mm
    assert f"The wing spans {wing.span_mm:.0f} mm" in picture.text
    assert f"span {wing.span_mm:.0f} mm" in words(picture)
    assert f"fin {figures.signed(plane.setting.fin_deg)}°" in words(picture)


@pytest.mark.parametrize("sign", [-1, 1])
def test_fin_and_thrust_turn_to_the_side_that_is_said(sign: int) -> None:
    plane = replace(demo("hallfinch-46"), fin_deg=4.0 * sign, side_thrust_deg=2.0 * sign)
    picture = figures.plan_view(plane)
    axes = picture.figure.axes[0]
    x, y = points(axes, "fin")  # left is down on the page
    slope = np.degrees(np.arctan2(y[1] - y[0], x[1] - x[0]))
    assert slope == pytest.approx(-3 * 4.0 * sign)
    x, y = points(axes, "thrust")
    assert np.degrees(np.arctan((y[0] - y[1]) / (x[1] - x[0]))) == pytest.approx(-3 * 2.0 * sign)
    assert f"The fin is at {figures.signed(4.0 * sign)}°" in picture.text


def test_a_skewed_wing_is_drawn_and_said() -> None:
    plane = built(demo("hallfinch-46"), skew_deg=2.0)
    x, _ = points(figures.plan_view(plane).figure.axes[0], "wing")
    assert x[1] < x[5]  # the right tip's leading edge is ahead of the left one's
    assert "its right tip 2.0° forward" in figures.plan_view(plane).text
    assert "forward" not in figures.plan_view(demo("hallfinch-46")).text


def test_from_the_front_the_dihedral_is_true_and_left_is_on_the_right(plane: Aeroplane) -> None:
    picture = figures.front_view(plane)
    axes = picture.figure.axes[0]
    x, y = points(axes, "leading edge")
    wing = plane.build.wing
    rise = np.degrees(np.arctan((y[0] - y[1]) / (x[0] - x[1])))
    assert rise == pytest.approx(wing.dihedral_deg)
    assert x[0] > 0 > x[2]
    assert x[1] == pytest.approx(-plane.setting.wing_offset_mm)
    twist = incidence.panel_twist_deg(plane)
    _, low = points(axes, "trailing edge")
    root = incidence.wing_incidence_deg(plane)
    for end, turned in ((0, twist.left_deg), (2, twist.right_deg)):
        drop = wing.tip_chord_mm * np.sin(np.radians(3 * (root + turned)))
        assert y[end] - low[end] == pytest.approx(drop)
    assert f"The left tip is twisted by {figures.signed(twist.left_deg)}°" in picture.text


@pytest.mark.parametrize(("tilt", "high"), [(4.0, "left"), (-4.0, "right")])
def test_the_high_tip_of_the_tail_is_the_one_that_is_said(tilt: float, high: str) -> None:
    plane = replace(demo("longreed-42"), tail_tilt_deg=tilt)
    picture = figures.front_view(plane)
    x, y = points(picture.figure.axes[0], "tail")
    assert x[0] > x[1]  # the left tip is on the right
    assert np.degrees(np.arctan2(y[0] - y[1], x[0] - x[1])) == pytest.approx(3 * tilt)
    assert f"has its {high} tip high" in picture.text
    level = figures.front_view(replace(plane, tail_tilt_deg=0.0))
    assert "the tailplane is level" in level.text


def test_a_drooping_panel_is_seen() -> None:
    plane = built(demo("hallfinch-46"), left_droop_deg=4.0)
    picture = figures.front_view(plane)
    _, y = points(picture.figure.axes[0], "leading edge")
    assert y[0] < y[2]
    up = plane.build.wing.dihedral_deg
    assert f"The left panel rises by {up - 4:.1f}° and the right one by {up:.1f}°" in picture.text
