"""Pictures of the aeroplane from its side."""

from __future__ import annotations

from tests.aeroplanes import trainer
from trimkit import balance, figures
from trimkit.aeroplane import replace


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
