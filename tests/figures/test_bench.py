"""Pictures of the bench say what is read and what comes of it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimkit import figures, incidence
from trimkit.figures import Edges


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


def test_readings_words_and_limits() -> None:
    text = figures.readings([1.5, 1.9, 1.1], "mm", "Shim").text
    assert "1.5, 1.9, 1.1 mm" in text
    assert "Their mean is 1.5 mm" in text
    assert "is 0.8 mm" in text
    with pytest.raises(ValueError, match="allowed is 2 to 12"):
        figures.readings([1.0], "mm", "Shim")
