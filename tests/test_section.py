"""Thin plates: signs, symmetry, the stall, and covering."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimkit.section import plate

checked = settings(derandomize=True, deadline=None, max_examples=50)
RE = 15_000.0


@checked
@given(st.floats(-90, 90), st.floats(0, 8), st.floats(8_000, 30_000))
def test_drag_is_positive_and_everything_finite(
    alpha: float, camber: float, reynolds: float
) -> None:
    found = plate(camber).coefficients(alpha, reynolds)
    assert found.drag > 0
    assert np.isfinite([found.lift, found.drag, found.moment]).all()


@checked
@given(st.floats(0, 7.5), st.floats(0.05, 0.5), st.floats(0, 8))
def test_lift_grows_up_to_the_stall(alpha: float, step: float, camber: float) -> None:
    section = plate(camber)
    low, high = (section.coefficients(a, RE).lift for a in (alpha, alpha + step))
    assert high > low


@checked
@given(st.floats(0, 8), st.floats(0.3, 4))
def test_past_the_stall_lift_is_less_and_drag_more(camber: float, past: float) -> None:
    section = plate(camber)
    angles = (section.stall_deg, section.stall_deg + past)
    top, after = (section.coefficients(angle, RE) for angle in angles)
    assert after.lift < top.lift + 1e-3
    assert after.drag > top.drag


@checked
@given(st.floats(0, 30), st.floats(8_000, 30_000))
def test_a_flat_plate_is_the_same_upside_down(alpha: float, reynolds: float) -> None:
    up, down = (plate(0.0).coefficients(a, reynolds) for a in (alpha, -alpha))
    assert down.lift == pytest.approx(-up.lift, abs=1e-12)
    assert down.drag == pytest.approx(up.drag, abs=1e-12)
    assert down.moment == pytest.approx(-up.moment, abs=1e-12)


@checked
@given(st.floats(-5, 10), st.floats(0, 8), st.floats(0.7, 0.99))
def test_poor_covering_costs_lift_and_adds_drag(
    alpha: float, camber: float, quality: float
) -> None:
    good, poor = (plate(camber, q).coefficients(alpha, RE) for q in (1.0, quality))
    assert abs(poor.lift) <= abs(good.lift)
    assert poor.drag > good.drag


def test_the_stall_of_thin_plates_lies_between_8_and_12_degrees() -> None:
    """Thin plates stall near 8 to 10 degrees: common practice, no source."""
    stalls = [plate(camber).stall_deg for camber in (0.0, 2.0, 4.0, 5.0, 6.0, 8.0)]
    assert all(8 <= stall <= 12 for stall in stalls)
    assert stalls == sorted(stalls, reverse=True)


@checked
@given(st.floats(8_000, 15_000), st.floats(1.1, 2.0), st.floats(1, 8))
def test_drag_falls_with_reynolds_number_and_lift_grows_a_little(
    reynolds: float, times: float, camber: float
) -> None:
    slow, fast = (plate(camber).coefficients(4.0, re) for re in (reynolds, reynolds * times))
    assert fast.drag < slow.drag
    assert slow.lift < fast.lift < 1.1 * slow.lift


def test_a_flat_plate_hardly_depends_on_reynolds_number() -> None:
    slow, fast = (plate(0.0).coefficients(4.0, reynolds) for reynolds in (10_000, 20_000))
    assert fast.lift == slow.lift


def test_drag_at_no_lift_falls_with_the_root_of_reynolds_number() -> None:
    slow, fast = (plate(0.0).coefficients(0.0, reynolds).drag for reynolds in (8_000, 32_000 / 2))
    assert slow / fast == pytest.approx(2**0.5)


def test_scalars_and_arrays_agree() -> None:
    angles = np.array([-10.0, 0.0, 5.0, 20.0])
    found = plate(5.0).coefficients(angles, RE)
    one = [plate(5.0).coefficients(float(angle), RE) for angle in angles]
    assert found.lift == pytest.approx([c.lift for c in one])
    assert found.moment == pytest.approx([c.moment for c in one])


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: plate(5.0).coefficients(120.0, RE), "alpha_deg"),
        (lambda: plate(5.0).coefficients(4.0, 2_000), "reynolds"),
        (lambda: plate(12.0), "camber_percent"),
        (lambda: plate(5.0, 97.0), "0.97"),
    ],
)
def test_refusals_name_the_slip(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]


@checked
@given(st.floats(-89, 89), st.floats(0, 8), st.floats(8_000, 30_000), st.floats(0.7, 1))
def test_lift_alone_is_the_same_lift(
    alpha: float, camber: float, reynolds: float, quality: float
) -> None:
    section, angles = plate(camber, quality), np.array([alpha, alpha / 2])
    numbers = np.full(2, reynolds)
    assert (section.lift(angles, numbers) == section.coefficients(angles, numbers).lift).all()
