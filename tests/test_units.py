"""Units and declared quantities."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trimkit import units

checked = settings(derandomize=True, deadline=None, max_examples=50)


@dataclass(frozen=True)
class Stand:
    name: str
    height_mm: float = units.quantity("mm", 10, 50, "Height of the stand")
    share: float = units.quantity("", 0, 1, "A share", 0.5)


@checked
@given(st.floats(-1e6, 1e6))
def test_torque_there_and_back(torque: float) -> None:
    back = units.mNm_to_ounce_inches(units.ounce_inches_to_mNm(torque))
    assert float(back) == pytest.approx(torque, rel=1e-12, abs=1e-12)


def test_declared_quantities_are_found_by_name() -> None:
    assert list(units.quantities(Stand)) == ["height_mm", "share"]
    assert units.quantities(Stand)["height_mm"].unit == "mm"
    assert Stand("a", 20).share == 0.5


def test_everything_out_of_range_is_told_together() -> None:
    with pytest.raises(ValueError, match=r"height_mm is 5 mm; allowed is 10 to 50 mm") as told:
        units.check_ranges(Stand("a", 5, float("nan")))
    assert "share is nan; allowed is 0 to 1" in str(told.value)


def test_what_is_in_range_passes() -> None:
    assert units.out_of_range(Stand("a", 10, 1.0)) == []
    units.check_ranges(Stand("a", 50, 0.0))
