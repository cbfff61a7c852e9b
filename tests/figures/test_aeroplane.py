"""Pictures of the aeroplane from its side, and of its masses."""

from __future__ import annotations

import pytest

from tests.aeroplanes import trainer
from tests.figures.drawn import ROWS
from trimkit import balance, figures
from trimkit.aeroplane import Part, replace


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
