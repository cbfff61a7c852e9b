"""The arrows of a steady flight cancel, and their words give what is drawn."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from matplotlib.text import Annotation

from tests.figures.artists import per_unit, words
from tests.flight.planes import NAMES, demo
from trimkit import balance, figures, trim
from trimkit.aeroplane import Aeroplane
from trimkit.trim import Trim


@pytest.fixture(params=[f"{name} {kind}" for name in NAMES for kind in ("glide", "level")])
def flown(request: pytest.FixtureRequest) -> tuple[Aeroplane, Trim]:
    name, kind = request.param.split()
    plane = demo(name)
    return plane, (trim.glide if kind == "glide" else trim.level)(plane)


def test_nothing_is_left_over(flown: tuple[Aeroplane, Trim]) -> None:
    found = figures.forces_of(*flown)
    weight = next(force.size_mN for force in found.forces if force.name == "weight")
    assert weight == pytest.approx(9.80665 * balance.aeroplane_cg(flown[0]).mass_g)
    assert sum(force.aft_mN for force in found.forces) == pytest.approx(0, abs=0.01 * weight)
    assert sum(force.up_mN for force in found.forces) == pytest.approx(0, abs=0.01 * weight)
    assert sum(found.moments_mNm().values()) == pytest.approx(0, abs=1e-9)


def test_lift_over_drag_is_the_trim_s(flown: tuple[Aeroplane, Trim]) -> None:
    size = {force.name: force.size_mN for force in figures.forces_of(*flown).forces}
    lift = size["wing lift"] + size["tail lift"]
    assert lift / size["drag"] == pytest.approx(flown[1].glide_ratio)
    assert size.get("thrust", 0.0) == flown[1].thrust_mN
    assert ("thrust" in size) == flown[1].powered


def test_levers_are_the_distance_to_the_line_of_a_force() -> None:
    force = figures.Force("pull", 5.0, (10.0, 0.0), 3.0, 4.0)  # a 3-4-5 triangle
    assert force.lever_mm((0.0, 0.0)) == pytest.approx(8.0)
    assert force.moment_mNm((0.0, 0.0)) == pytest.approx(-0.04)
    ahead = figures.Force("lift", 5.0, (-10.0, 0.0), 0.0, 5.0)
    assert ahead.moment_mNm((0.0, 0.0)) == pytest.approx(0.05)  # ahead and up: nose up
    assert figures.Force("none", 0.0, (9.0, 9.0), 0.0, 0.0).lever_mm((0.0, 0.0)) == 0.0


def test_arrows_have_the_length_of_their_forces(flown: tuple[Aeroplane, Trim]) -> None:
    found = figures.forces_of(*flown)
    axes = figures.force_view(*flown).figure.axes[1]
    assert per_unit(axes)[0] == pytest.approx(per_unit(axes)[1])
    arrows = {
        one.get_gid(): np.subtract(one.xy, one.xyann)
        for one in axes.texts
        if isinstance(one, Annotation) and one.get_gid()
    }
    per_mN = np.linalg.norm(arrows["weight"]) / next(
        force.size_mN for force in found.forces if force.name == "weight"
    )
    assert set(arrows) == {force.name for force in found.forces}
    for force in found.forces:
        times = 3 if force.name in ("drag", "thrust") else 1
        wanted = times * per_mN * np.array([force.aft_mN, force.up_mN])
        assert arrows[force.name] == pytest.approx(wanted)


def test_bars_and_words_give_the_moments(flown: tuple[Aeroplane, Trim]) -> None:
    found = figures.forces_of(*flown)
    picture = figures.force_view(*flown)
    widths = [patch.get_width() for patch in picture.figure.axes[0].patches]
    assert widths == pytest.approx(list(found.moments_mNm().values()))
    for name, moment in found.moments_mNm().items():
        assert f"{name} {figures.signed(moment, 2)}" in picture.text
        assert figures.signed(moment, 2) in words(picture)
    for force in found.forces:
        assert f"{abs(force.size_mN):.1f} mN" in picture.text


def test_the_tail_carries_about_what_the_trim_gave_it(flown: tuple[Aeroplane, Trim]) -> None:
    """The trim counts the tail's drag where it is; the picture may differ by 15 %."""
    plane, steady = flown
    frame = trim._frame(plane, trim.ROOM, steady.powered)
    angle = trim._trim_angle_deg(frame, trim._sweep(frame, trim._search_range(frame)))
    assert angle is not None
    point = trim._only(frame, angle)
    reynolds = trim._reynolds(frame, point.speed, frame.chord_mm)
    wing = trim._coefficients(frame.wing, point.effective_deg, reynolds)[0]
    tail = trim._tail_forces(frame, point.alpha_deg, wing, point.speed)[0]
    drawn = {force.name: force.size_mN for force in figures.forces_of(plane, steady).forces}
    whole = steady.lift_coefficient
    share = drawn["tail lift"] / (drawn["tail lift"] + drawn["wing lift"])
    assert share == pytest.approx(float(tail[0]) / whole, rel=0.15)


def test_no_steady_flight_has_no_balance() -> None:
    plane = demo("hallfinch-46")
    lost = dataclasses.replace(trim.glide(plane), found=False, verdict="dives")
    with pytest.raises(ValueError, match="allowed is a trim with `found` True"):
        figures.force_view(plane, lost)
