"""A flight's page: its lines are the flight, its words say the same numbers."""

from __future__ import annotations

import dataclasses
import re

import numpy as np
import pytest

from tests.figures.artists import lines, per_unit, points, words
from tests.figures.flown import FLOWN, circle, flights
from trimkit import figures, observe
from trimkit.flight import Flight
from trimkit.units import Floats


def page(flight: Flight) -> figures.Picture:
    return figures.flight_view(flight)


def test_every_flight_is_listed() -> None:
    assert set(FLOWN) == set(flights())


@pytest.mark.parametrize("name", FLOWN)
def test_the_lines_are_the_flight(name: str) -> None:
    flight = flights()[name]
    side, _, height, nose, bank = page(flight).figure.axes
    for axes, rows in ((height, flight.height_m), (nose, flight.pitch_deg)):
        x, y = points(axes, "path")
        assert x == pytest.approx(flight.time_s)
        assert y == pytest.approx(rows)
    x, y = points(bank, "path")
    assert y[~np.isnan(y)] == pytest.approx(-flight.roll_deg[~np.isnan(y)])
    assert points(side, "path")[1] == pytest.approx(flight.height_m)


@pytest.mark.parametrize("name", FLOWN)
def test_both_views_have_one_scale_and_lie_over_each_other(name: str) -> None:
    side, above, *_ = page(flights()[name]).figure.axes
    scales = [*per_unit(side), *per_unit(above)]
    assert scales == pytest.approx([scales[0]] * 4)
    assert side.get_xlim() == pytest.approx(above.get_xlim())
    for axes in (side, above):
        x, y = points(axes, "path")
        for rows, (low, high) in ((x, axes.get_xlim()), (y, axes.get_ylim())):
            assert low <= rows.min() <= rows.max() <= high


def test_height_nose_and_bank_share_one_line_of_time() -> None:
    _, _, *panels = page(flights()["middle"]).figure.axes
    assert len({axes.get_xlim() for axes in panels}) == 1
    assert len({axes.get_position().x0 for axes in panels}) == 1


def _area(x: Floats, y: Floats) -> float:
    return float(np.sum(x[:-1] * np.diff(y) - y[:-1] * np.diff(x)) / 2)


@pytest.mark.parametrize("rounds", [2.0, -2.0])
def test_a_left_circle_goes_against_the_clock(rounds: float) -> None:
    picture = page(circle(rounds))
    x, y = points(picture.figure.axes[1], "path")
    assert np.sign(_area(x, y)) == np.sign(rounds)
    side = "left" if rounds > 0 else "right"
    assert f"It comes round 2.0 times to the {side} and lands 0.0 m from" in picture.text
    assert f"the {side} wing is low by 10°" in picture.text
    assert np.sign(points(picture.figure.axes[4], "path")[1][5]) == np.sign(rounds)


@pytest.mark.parametrize("stretch", ["north", "east"])
def test_the_longer_side_goes_across_and_left_stays_left(stretch: str) -> None:
    flight = circle()
    place = flight.position_m.copy()
    place[:, 0 if stretch == "north" else 1] *= 3
    picture = page(dataclasses.replace(flight, position_m=place))
    x, y = points(picture.figure.axes[1], "path")
    assert np.ptp(x) > 2 * np.ptp(y)
    assert _area(x, y) > 0


def test_words_say_the_known_figures_of_a_circle() -> None:
    picture = page(circle())
    assert "It starts 2.0 m above the floor and is highest after 10 s at 4.0 m." in picture.text
    assert "Ring, 500 turns: down after 40 s, highest 4.0 m" in words(picture)
    assert "a dot every 5 s" in picture.text
    assert "The nose is between 0° and 0°" in picture.text
    assert "Hit a wall with the nose at 12 s." in picture.text


def test_dots_and_hits_lie_on_the_path_at_their_times() -> None:
    flight = circle()
    for axes in page(flight).figure.axes[:2]:
        path = np.column_stack(points(axes, "path"))
        dots = np.column_stack(points(axes, "dots"))
        assert dots == pytest.approx(path[250:2000:250])  # every 5 s at 50 samples a second
        assert np.column_stack(points(axes, "hit"))[0] == pytest.approx(path[600])
        assert np.column_stack(points(axes, "start"))[0] == pytest.approx(path[0])
        assert np.column_stack(points(axes, "end"))[0] == pytest.approx(path[-1])
    assert {"start", "down", "hit", "5 s"} <= words(page(flight))


def test_a_flight_that_never_climbs_is_not_said_to_be_highest_later() -> None:
    assert "comes no higher" in page(flights()["low"]).text
    assert "comes no higher" not in page(flights()["middle"]).text


def test_the_words_are_those_of_the_coach() -> None:
    flight = flights()["long"]
    seen = observe.watch(flight, seed=7)
    text = figures.flight_view(flight, seen).text.lower()
    for moment in seen.moments():
        assert moment.words.lower() in text
    assert figures.flight_view(flight).text.lower() != text


def test_an_angle_that_jumps_round_draws_no_wall() -> None:
    flight = circle()
    roll = np.linspace(0, 2 * np.pi, flight.time_s.size)
    quaternion = np.zeros((roll.size, 4))
    quaternion[:, 0], quaternion[:, 1] = np.cos(roll / 2), np.sin(roll / 2)
    rows = points(page(dataclasses.replace(flight, quaternion=quaternion)).figure.axes[4], "path")
    steps = np.abs(np.diff(rows[1]))
    assert np.isnan(rows[1]).sum() == 1
    assert np.nanmax(steps) < 5


def test_two_flights_differ_without_colour_and_are_named() -> None:
    first, second = flights()["stall"], flights()["middle"]
    picture = figures.compare_view(first, second, ("shim", "no shim"))
    for axes in picture.figure.axes:
        one, other = lines(axes, "path")
        assert one.get_linestyle() != other.get_linestyle()
    ends = lines(picture.figure.axes[1], "end")
    assert ends[0].get_marker() != ends[1].get_marker()
    shown = words(picture)
    assert {f"shim: {first.duration_s:.0f} s", f"no shim: {second.duration_s:.0f} s"} <= shown
    longer = second.duration_s - first.duration_s
    assert f"No shim against shim: it flies {longer:.0f} s longer" in picture.text
    back = figures.compare_view(second, first)
    assert f"it flies {longer:.0f} s less long" in back.text


def test_both_flights_of_a_comparison_are_turned_the_same_way() -> None:
    first, second = flights()["middle"], flights()["dive"]
    above = figures.compare_view(first, second).figure.axes[1]
    starts = [[part[0] for part in points(above, "path", which)] for which in (0, 1)]
    assert starts[0] == pytest.approx(starts[1])
    for flight, which in ((first, 0), (second, 1)):
        x, y = points(above, "path", which)
        north, east = flight.position_m[:, 0], flight.position_m[:, 1]
        turned = np.allclose(x, north)
        assert turned or np.allclose(x, east)
        assert y == pytest.approx(-east if turned else north)


@pytest.mark.parametrize("names", [("one", "one"), ("", "after"), ("a much too long name", "b")])
def test_names_that_cannot_be_told_apart_are_refused(names: tuple[str, str]) -> None:
    with pytest.raises(ValueError, match="two different names of 1 to 12 letters"):
        figures.compare_view(circle(), circle(), names)


def test_a_long_name_is_cut_in_the_title_only() -> None:
    name = "An aeroplane with a very long name indeed"
    picture = page(dataclasses.replace(circle(), name=name))
    title = next(said for said in words(picture) if "turns:" in said)
    assert re.match(r"An aeroplane with a ver…", title)
    assert picture.text.startswith(name)


def test_the_title_says_when_its_figures_are_those_drawn_and_not_those_seen() -> None:
    flight = circle(1.0)
    exact, misread = (figures.flight_view(flight, observe.watch(flight, s)) for s in (None, 3))
    assert not any("as drawn" in text for text in words(exact.figure))
    assert any("as drawn" in text for text in words(misread.figure))
