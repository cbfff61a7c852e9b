"""The air: limits, trends and refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimkit import air

checked = settings(derandomize=True, deadline=None, max_examples=50)


@checked
@given(st.floats(-1000, 10900), st.floats(1, 100))
def test_higher_air_is_thinner_and_colder(altitude: float, step: float) -> None:
    low, high = air.standard(altitude), air.standard(altitude + step)
    assert high.density_kg_m3 < low.density_kg_m3
    assert high.temperature_k < low.temperature_k


@checked
@given(st.floats(-40, 59), st.floats(0.1, 1))
def test_warmer_air_is_thinner_and_more_viscous(celsius: float, step: float) -> None:
    cold, warm = air.at_temperature(celsius), air.at_temperature(celsius + step)
    assert warm.density_kg_m3 < cold.density_kg_m3
    assert warm.viscosity_pa_s > cold.viscosity_pa_s


@checked
@given(st.floats(0.1, 10), st.floats(1, 500))
def test_reynolds_number_grows_with_speed_and_length(speed: float, length: float) -> None:
    one = air.reynolds(speed, length, air.ROOM)
    assert air.reynolds(2 * speed, length, air.ROOM) == pytest.approx(2 * one)
    assert air.reynolds(speed, 2 * length, air.ROOM) == pytest.approx(2 * one)


def test_scalars_stay_scalars_and_arrays_keep_their_shape() -> None:
    assert type(air.standard(0).density_kg_m3) is float
    assert np.shape(air.at_temperature([[0, 10], [20, 30]]).viscosity_pa_s) == (2, 2)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: air.standard(36_000), "feet"),
        (lambda: air.at_temperature(293.0), "kelvin"),
        (lambda: air.at_temperature(20.0, 1013.0), "hPa"),
        (lambda: air.at_temperature(float("nan")), "allowed is"),
        (lambda: air.reynolds(-1.0, 100.0, air.ROOM), "speed_m_s"),
        (lambda: air.reynolds(1.0, -5.0, air.ROOM), "length_mm"),
    ],
)
def test_refusals_name_the_slip(call: object, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()  # type: ignore[operator]
