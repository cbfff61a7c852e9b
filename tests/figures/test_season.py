"""A season's pictures show every flight, and their words say the same."""

from __future__ import annotations

import dataclasses
import datetime

import numpy as np
import pytest

from trimkit import logbook, places
from trimkit.figures import season
from trimkit.figures.style import Picture
from trimkit.logbook import FlightRow

FLIGHTS = logbook.read(places.demo_folder() / "logbooks" / "season.csv").flights


def dots(picture: Picture) -> list[tuple[float, float, bool]]:
    """Place of each mark, and whether it is open."""
    lines = [line for line in picture.figure.axes[0].lines if line.get_marker() not in ("None", "")]
    return [
        (float(line.get_xdata()[0]), float(line.get_ydata()[0]), line.get_mfc() == "white")  # type: ignore[index]
        for line in lines
    ]


def bars(picture: Picture) -> list[float]:
    lines = [line for line in picture.figure.axes[0].lines if line.get_marker() in ("None", "")]
    return [float(line.get_ydata()[0]) for line in lines]  # type: ignore[index]


def test_every_flight_is_a_mark_at_its_time_on_its_evening() -> None:
    picture = season.time_view(FLIGHTS)
    found = dots(picture)
    assert sorted(time for _, time, _ in found) == sorted(f.time_s for f in FLIGHTS if f.time_s)
    assert sum(is_open for _, _, is_open in found) == sum(bool(f.hits) for f in FLIGHTS) == 2
    evenings = [round(x) for x, _, _ in found]
    assert [evenings.count(n) for n in range(6)] == [4, 5, 6, 4, 5, 2]


def test_a_bar_lies_at_the_mean_of_repeats_that_hit_nothing() -> None:
    means = bars(season.time_view(FLIGHTS[:7]))
    assert means == pytest.approx([8.5, 37.0, np.mean([68, 61])])


def test_torque_against_time() -> None:
    found = {(x, y) for x, y, _ in dots(season.torque_view(FLIGHTS))}
    assert found == {(f.launch_torque_mNm, f.time_s) for f in FLIGHTS}


def test_winds_come_from_the_column_or_from_counting() -> None:
    assert season.winds_of(FLIGHTS) == {"1": 6, "2": 5, "3": 8, "4": 7}
    bare = [dataclasses.replace(flight, winds=None) for flight in FLIGHTS]
    assert season.winds_of(bare) == {"1": 6, "2": 5, "3": 8, "4": 7}
    assert "Worn by now: 3." in season.winds_view(FLIGHTS).text


@pytest.mark.parametrize("projector", [False, True])
@pytest.mark.parametrize("name", list(season.VIEWS))
def test_words_carry_every_number_and_no_type_is_small(name: str, projector: bool) -> None:
    picture = season.VIEWS[name](FLIGHTS)
    slide = {"times": season.time_view, "torque": season.torque_view, "winds": season.winds_view}[
        name
    ](FLIGHTS, projector)
    least = 28 if projector else 14
    texts = [*slide.figure.texts, *slide.figure.axes[0].texts]
    texts += slide.figure.axes[0].get_xticklabels()
    assert min(text.get_fontsize() for text in texts) >= least
    assert slide.text == picture.text
    if name != "winds":
        times = {f"{flight.time_s:.0f}" for flight in FLIGHTS}
        assert {time for time in times if time not in picture.text} == set()


@pytest.mark.parametrize("name", list(season.VIEWS))
def test_nothing_to_draw_says_what_to_write_down(name: str) -> None:
    bare = FlightRow(date=datetime.date(2026, 11, 26))
    with pytest.raises(season.TooFewError, match="write"):
        season.VIEWS[name]([bare])
