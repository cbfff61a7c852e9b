"""The lab of twist and roll: what rolls, and which way."""

from __future__ import annotations

import importlib
from typing import Any

import pytest

from trimkit import figures, wing
from trimkit.aeroplane import replace
from trimkit.balance import aeroplane_cg
from trimkit.flight.canon import demo_aeroplanes
from trimkit.labs.bench import Reading

lab = importlib.import_module("trimkit.labs.twist")
TRAINER = demo_aeroplanes()[0]


@pytest.fixture(scope="module")
def parts() -> Any:
    """Flights are kept inside, so the tests share them."""
    return lab._parts(TRAINER)


def read(parts: Any, **moved: float) -> Reading:
    sliders, reader = parts
    return reader({one.name: one.start for one in sliders} | moved)


def test_wash_out_on_the_left_rolls_left_and_wash_in_right(parts: Any) -> None:
    out, into = (read(parts, left_wash_in_deg=deg).words for deg in (-2.0, 2.0))
    assert "trailing edge 3.0 mm up" in out
    assert "twist 0.7 mN m to the left" in out
    assert "trailing edge 3.0 mm down" in into
    assert "mN m to the right; left wing" in into
    assert "With power it leans" in out


def test_the_same_twist_on_both_sides_does_not_roll() -> None:
    even = replace(TRAINER, left_wash_in_deg=2.0, right_wash_in_deg=2.0)
    assert lab.twist_mNm(even, 2.5) == pytest.approx(0, abs=1e-9)
    left = replace(TRAINER, left_wash_in_deg=2.0, right_wash_in_deg=0.0)
    right = replace(TRAINER, left_wash_in_deg=0.0, right_wash_in_deg=2.0)
    assert lab.twist_mNm(left, 2.5) == pytest.approx(-lab.twist_mNm(right, 2.5))


def test_the_roll_of_twist_grows_with_the_square_of_speed_and_is_that_of_theory() -> None:
    """Strips without their mutual influence roll more: the lifting line must stay below them."""
    set_so = replace(TRAINER, left_wash_in_deg=2.0, right_wash_in_deg=0.0)
    slow, fast = lab.twist_mNm(set_so, 2.0), lab.twist_mNm(set_so, 4.0)
    assert fast == pytest.approx(4 * slow)
    made = set_so.build.wing
    half, root, tip = made.span_mm / 2000, made.root_chord_mm / 1000, made.tip_chord_mm / 1000
    pull = wing.THIN_AIRFOIL_SLOPE * 0.6 * 2.0**2 * 0.0349  # of a metre of chord at full twist
    strips = pull * half**2 * (root / 3 - (root - tip) / 4)  # the integral of chord x share x arm
    assert 0.4 * strips * 1000 < slow < 0.8 * strips * 1000


def test_picture_and_words_say_the_same(parts: Any) -> None:
    seen = read(parts)
    lines = [line for line in seen.words.splitlines() if "power:" in line]
    assert len(lines) == 2
    assert all(line in seen.still.text for line in lines)


def test_a_wing_aside_rolls_by_the_weight_times_the_way() -> None:
    """.12 N of weight, 8 mm to the left: lift to the left of it rolls right."""
    sliders, reader = lab._parts(replace(TRAINER, wing_offset_mm=-8.0))
    said = reader({one.name: one.start for one in sliders}).words
    weight_mN = 9.80665 * aeroplane_cg(TRAINER).mass_g
    assert f"wing's place {8e-3 * weight_mN:.1f} mN m to the right" in said


def test_a_step_that_the_loop_cannot_give_is_refused(parts: Any) -> None:
    with pytest.raises(ValueError, match="more than this loop can give; allowed is 1 to"):
        read(parts, power_step=5.0)


def test_too_many_powers_are_refused() -> None:
    roll = figures.Roll("low", 10.0, 2.0, 0.5, 1.0, "flies")
    with pytest.raises(ValueError, match="3 powers are given; allowed is 1 or 2"):
        figures.rolling_view(TRAINER, [roll] * 3)
    assert "left wing 10° down" in figures.rolling_view(TRAINER, [roll], projector=True).text
