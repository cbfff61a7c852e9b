"""A flight in few bytes comes out as it went in."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from trimkit.labs.replay import parcel
from trimkit.units import Floats

MOST = 2**30 - 1


def numbers(raw: bytes) -> list[int]:
    """Open half bytes, the plain way: three bits each, the fourth says that more follow."""
    found, value, bits = [], 0, 0
    for half in (half for byte in raw for half in (byte & 15, byte >> 4)):
        value |= (half & 7) << bits
        bits += 3
        if half < 8:
            found.append(value)
            value, bits = 0, 0
    return found


@settings(derandomize=True, deadline=None)
@given(arrays(np.int64, st.integers(0, 40), elements=st.integers(0, MOST)))
def test_numbers_come_out_as_they_went_in(given_numbers: parcel.Whole) -> None:
    assert numbers(parcel.packed(given_numbers)) == given_numbers.tolist()


def test_small_numbers_take_half_a_byte() -> None:
    assert len(parcel.packed(np.arange(8))) == 4
    assert len(parcel.packed(np.full(8, 8))) == 8


@pytest.mark.parametrize("wrong", [-1, MOST + 1])
def test_a_number_that_a_page_cannot_shift_is_refused(wrong: int) -> None:
    with pytest.raises(ValueError, match="allowed is 0 to 1073741823"):
        parcel.packed(np.array([3, wrong]))


def opened(raw: bytes, grains: Floats) -> Floats:
    bends = np.array(numbers(raw)).reshape(-1, grains.size)
    bends = np.where(bends % 2, -(bends + 1) // 2, bends // 2)
    return np.asarray(np.cumsum(np.cumsum(bends, axis=0), axis=0) * grains)


@settings(derandomize=True, deadline=None)
@given(arrays(np.float64, st.tuples(st.integers(1, 30), st.just(3)), elements=st.floats(-90, 90)))
def test_rows_lose_at_most_half_a_grain(values: Floats) -> None:
    grains = np.array([0.5, 0.001, 0.03])
    lost = np.abs(opened(parcel.rows(values, grains), grains) - values)
    assert (lost <= grains / 2 + 1e-9).all()


def test_what_goes_on_as_before_costs_half_a_byte() -> None:
    even = np.column_stack([np.arange(1000) * 0.25, np.full(1000, -3.0)])
    assert len(parcel.rows(even, np.array([0.01, 0.01]))) < 1005


def test_sentences_come_out_as_they_went_in() -> None:
    said = ["circling left, 4 m radius", "lands (left wing tip)", "landed, 3 turns left of 400"]
    sent = parcel.sentences(said)
    words = [sent["words"][place] for place in numbers(sent["told"])]
    assert " ".join(words).split(" \n ") == said
