"""The numbers of the model: geometry, masses, and the wing's own coefficients."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.flight.planes import mirrored, straight
from trimkit import balance, wing
from trimkit.aeroplane import Aeroplane, replace
from trimkit.flight import Hall
from trimkit.flight.model import (
    FIN,
    MODEL_TYPE,
    STRIPS,
    TAIL_LEFT,
    TAIL_RIGHT,
    Model,
    check_possible,
    model_of,
)
from trimkit.units import Floats

STRIP = slice(0, STRIPS)


def of(aeroplane: Aeroplane) -> Model:
    return model_of(aeroplane, 750, Hall())


def load(model: Model, angle_rad: Floats) -> Floats:
    """Circulation over speed of the strips for angles of attack along the span, linear."""
    slope = model["sections"][0, 0]
    chord = model["chord"][STRIP]
    matrix = np.eye(STRIPS) - np.diag(slope * chord / 2) @ model["influence"][STRIP, STRIP]
    return np.linalg.solve(matrix, slope * chord / 2 * angle_rad)


def place(model: Model) -> Floats:
    return np.asarray(model["quarter"][STRIP, 1] - np.mean(model["quarter"][STRIP, 1]))


def lift_slope(model: Model, area: float) -> float:
    return float(2 * load(model, np.ones(STRIPS)) @ model["width"][STRIP] / area)


def roll(model: Model, angle_rad: Floats, area: float, span: float) -> float:
    """Rolling moment coefficient, + right tip down."""
    lift = 2 * load(model, angle_rad) * model["width"][STRIP]
    return float(-lift @ place(model) / (area * span))


def flat(aeroplane: Aeroplane) -> Aeroplane:
    panel = dataclasses.replace(aeroplane.build.wing, dihedral_deg=0.0)
    build = dataclasses.replace(aeroplane.build, wing=panel)
    return straight(dataclasses.replace(aeroplane, build=build))


def test_mass_and_balance_are_the_benchs(aeroplane: Aeroplane) -> None:
    model, cg = of(aeroplane), balance.aeroplane_cg(aeroplane)
    assert model["mass"] == pytest.approx(cg.mass_g / 1000, rel=1e-12)
    hub = -(model["hub"][0] - aeroplane.setting.propeller.station_mm / -1000)
    assert hub * 1000 == pytest.approx(-cg.station_mm, abs=1e-9)


def test_lift_slope_is_helmbolds_within_4_percent(aeroplane: Aeroplane) -> None:
    frame = aeroplane.build.wing
    found = lift_slope(of(flat(aeroplane)), frame.area_mm2 * 1e-6)
    assert found == pytest.approx(wing.helmbold_slope(frame.aspect_ratio, 6.28), rel=0.04)


def test_roll_damping_and_twist_are_the_lifting_lines_within_8_percent(
    aeroplane: Aeroplane,
) -> None:
    frame, model = aeroplane.build.wing, of(flat(aeroplane))
    span, area = frame.span_mm / 1000, frame.area_mm2 * 1e-6
    share = place(model) / (span / 2)
    taper = frame.tip_chord_mm / frame.root_chord_mm
    theory = wing.lifting_line(frame.aspect_ratio, taper).roll_damping
    # lifting line is 6 % above lifting surface at these aspect ratios; so is Helmbold's wing
    high = wing.lifting_line(frame.aspect_ratio, taper).lift_slope_per_rad
    theory *= wing.helmbold_slope(frame.aspect_ratio) / high
    assert roll(model, share, area, span) == pytest.approx(theory, rel=0.08)
    twist = np.where(share < 0, math.radians(-2.0) * np.abs(share), 0.0)
    line = wing.twist_moment(-2.0, 0.0, frame.aspect_ratio, taper)
    assert roll(model, twist, area, span) == pytest.approx(line, rel=0.12)
    assert roll(model, twist, area, span) < 0  # left wash-out: the left wing goes down


def test_downwash_is_the_benchs_within_8_percent(aeroplane: Aeroplane) -> None:
    model = of(straight(aeroplane))
    slope = -(model["tail_influence"][:, STRIP] @ load(model, np.ones(STRIPS))).mean()
    assert slope == pytest.approx(balance.lift_slopes(aeroplane).downwash, rel=0.08)


def test_mirror_image(trainer: Aeroplane) -> None:
    left, right = of(trainer), of(mirrored(trainer))
    order = [*range(STRIPS)[::-1], TAIL_RIGHT, TAIL_LEFT, FIN]
    flip = np.array([1.0, -1.0, 1.0])
    np.testing.assert_allclose(left["quarter"], right["quarter"][order] * flip, atol=1e-15)
    np.testing.assert_allclose(left["stream"], right["stream"][order], atol=1e-12)
    np.testing.assert_allclose(
        left["influence"][STRIP, STRIP], right["influence"][STRIP, STRIP][::-1, ::-1], atol=1e-9
    )
    flips = np.outer(flip, flip)
    np.testing.assert_allclose(left["inertia"], right["inertia"] * flips, atol=1e-18)


def test_shim_wash_in_and_skew_move_what_they_should(trainer: Aeroplane) -> None:
    base = of(trainer)
    shimmed = of(replace(trainer, shim_mm=1.0))
    assert shimmed["along"][TAIL_LEFT, 2] > base["along"][TAIL_LEFT, 2]  # leading edge lower
    washed = of(replace(trainer, left_wash_in_deg=5.0))
    assert washed["along"][0, 2] < base["along"][0, 2]  # tip's leading edge higher
    assert washed["along"][STRIPS - 1, 2] == base["along"][STRIPS - 1, 2]
    panel = dataclasses.replace(trainer.build.wing, skew_deg=5.0)
    skewed = of(dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, wing=panel)))
    assert skewed["quarter"][STRIPS - 1, 0] > base["quarter"][STRIPS - 1, 0]  # right tip forward


def test_the_whole_record_is_finite(aeroplane: Aeroplane) -> None:
    model = of(aeroplane)
    assert all(np.all(np.isfinite(model[name])) for name in MODEL_TYPE.names or ())
    np.testing.assert_allclose(np.linalg.norm(model["normal"], axis=1), 1, atol=1e-12)


def test_an_impossible_aeroplane_is_refused_with_the_reason(trainer: Aeroplane) -> None:
    tail = dataclasses.replace(trainer.build.tail, station_mm=160.0)
    with pytest.raises(ValueError, match=r"cannot fly: the tail's leading edge is at 160 mm"):
        check_possible(
            dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, tail=tail))
        )
    heavy = tuple(dataclasses.replace(part, mass_g=20.0) for part in trainer.build.parts)
    lead = dataclasses.replace(trainer, build=dataclasses.replace(trainer.build, parts=heavy * 2))
    with pytest.raises(ValueError, match="square decimetre"):
        check_possible(lead)
