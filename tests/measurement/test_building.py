"""An aeroplane out of a sheet: what goes in comes out, and errors follow the ruler's."""

from __future__ import annotations

from pathlib import Path

import pytest

from trimkit import balance, incidence, load_aeroplane, measurement, places, trim
from trimkit.aeroplane import Aeroplane, replace
from trimkit.files import save_aeroplane
from trimkit.measurement import FIRST, NAMES, QUESTIONS, SlipError, aeroplane_of, readings_of

DEMOS = ("hallfinch-46", "longreed-42", "stubwren-33")


def demo(name: str) -> Aeroplane:
    return load_aeroplane(places.demo_folder() / "aeroplanes" / f"{name}.toml")


def five(aeroplane: Aeroplane) -> dict[str, float | str | None]:
    read = readings_of(aeroplane)
    return {name: read[name] for name in FIRST}


@pytest.mark.parametrize("name", DEMOS)
def test_a_perfect_ruler_brings_the_aeroplane_back(name: str) -> None:
    given = replace(demo(name), shim_mm=0.5)
    measured = aeroplane_of(readings_of(given))
    made = measured.aeroplane
    assert measured.guessed == {}
    assert measured.remarks == ()
    for figure in (
        incidence.decalage_deg, balance.static_margin, balance.balance_point_mm,
        incidence.wing_incidence_deg, incidence.tail_incidence_deg,
    ):  # fmt: skip
        assert figure(made) == pytest.approx(figure(given), abs=1e-6)
    assert balance.aeroplane_cg(made).mass_g == pytest.approx(balance.aeroplane_cg(given).mass_g)
    assert made.setting.motor.mass_g == pytest.approx(given.setting.motor.mass_g)
    assert made.setting.motor.batch_strength == pytest.approx(1)
    for set_up in ("fin_deg", "tail_tilt_deg", "left_wash_in_deg", "right_wash_in_deg", "shim_mm"):
        expected = getattr(given.setting, set_up)
        assert getattr(made.setting, set_up) == pytest.approx(expected, abs=1e-6)
    assert made.setting.propeller.pitch_mm == pytest.approx(
        given.setting.propeller.pitch_mm, rel=0.01
    )


@pytest.mark.parametrize("name", DEMOS)
def test_five_readings_make_an_aeroplane_that_balances_and_flies(name: str) -> None:
    measured = aeroplane_of(five(demo(name)))
    made = measured.aeroplane
    assert balance.aeroplane_cg(made).mass_g == pytest.approx(
        balance.aeroplane_cg(demo(name)).mass_g
    )
    assert balance.balance_point_mm(made) == pytest.approx(balance.balance_point_mm(demo(name)))
    assert set(measured.guessed) == set(NAMES) - set(FIRST)
    assert trim.level(made).verdict == "good"
    assert "the decalage is a guess" in measured.remarks[0]
    assert "Guessed from the trainer" in made.note
    assert "tailplane's chord" in made.note


def test_a_known_shim_stays_when_the_angles_are_guessed() -> None:
    made = aeroplane_of({**five(demo("longreed-42")), "shim_mm": 1.0}).aeroplane
    assert made.setting.shim_mm == 1.0
    assert trim.level(made).verdict == "good"


def test_the_result_is_a_file_that_loads(tmp_path: Path) -> None:
    measured = aeroplane_of({**five(demo("stubwren-33")), "name": "Wren 2"})
    save_aeroplane(measured.aeroplane, tmp_path / "own.toml")
    assert load_aeroplane(tmp_path / "own.toml") == measured.aeroplane


def test_nothing_measured_is_the_trainer() -> None:
    read = dict(readings_of(demo("hallfinch-46")))
    guesses = {question.name: measurement.guess(question.name, {}) for question in QUESTIONS}
    differing = [n for n in NAMES if n != "name" and guesses[n] != pytest.approx(read[n])]
    assert differing == []


def test_a_guess_goes_with_the_size() -> None:
    small = {"span_mm": 230.0}  # half the trainer
    assert measurement.guess("tail_span_mm", small) == pytest.approx(99)
    assert measurement.guess("wing_mass_g", small) == pytest.approx(0.75)
    assert measurement.guess("wing_mass_g", {**small, "mass_g": 11.949 * 2}) == pytest.approx(
        6.0, rel=1e-3
    )
    assert measurement.guess("wing_trailing_edge_mm", {"wing_leading_edge_mm": 50.0}) < 50


def test_errors_are_those_of_the_ruler() -> None:
    measured = aeroplane_of(readings_of(demo("hallfinch-46")))
    errors = {one.name: one.error for one in measured.derived}
    alone = incidence.decalage_error_deg(0.5, 102.0, 75.4).rms_deg  # of the four heights
    assert errors["decalage_deg"] == pytest.approx(alone, rel=0.01)  # the chords add very little
    assert errors["wing_deg"] == pytest.approx(incidence.angle_error_deg(0.5, 102).rms_deg, 0.01)
    tilt = incidence.tail_tilt_error_deg(0.5, 198.0).rms_deg
    assert errors["tail_tilt_deg"] == pytest.approx(tilt, rel=0.01)
    assert errors["mass_g"] == pytest.approx(0.1)
    assert 0.008 < errors["static_margin"] < 0.03  # 1 mm of balance point over a chord of 94 mm


def test_a_better_ruler_gives_a_smaller_error() -> None:
    sheet = readings_of(demo("hallfinch-46"))
    fine = {name: 0.25 for name in NAMES if "edge" in name or "tip" in name}
    rough, better = (
        {one.name: one.error for one in aeroplane_of(sheet, errors).derived}
        for errors in ({}, fine)
    )
    assert better["decalage_deg"] == pytest.approx(rough["decalage_deg"] / 2, rel=0.02)


def test_a_guessed_angle_says_so() -> None:
    measured = aeroplane_of(five(demo("hallfinch-46")))
    told = {one.name: one.words() for one in measured.derived}
    assert "a guess until you measure" in told["fin_deg"]
    assert "±" not in told["fin_deg"]
    assert "±" in told["static_margin"]


@pytest.mark.parametrize(
    ("changes", "hint"),
    [
        ({"torque_mNm": 9.0}, "is 1.2|times that of a usual loop"),
        ({"torque_turns": 5000.0}, "more than this loop takes"),
        ({"motor_mass_g": 0.4}, "cannot weigh"),
        ({"tip_chord_mm": 120.0}, "more than the chord in the middle"),
        ({"balance_point_mm": 2.0, "wing_mass_g": None, "tail_mass_g": None}, "must weigh"),
    ],
)
def test_what_does_not_fit_is_told(changes: dict[str, float | None], hint: str) -> None:
    measured = aeroplane_of({**readings_of(demo("hallfinch-46")), **changes})
    assert any(any(word in remark for word in hint.split("|")) for remark in measured.remarks), (
        measured.remarks
    )


@pytest.mark.parametrize(
    ("changes", "hint"),
    [
        ({"wing_mass_g": 9.0, "propeller_mass_g": 5.0}, "the whole must be more"),
        ({"wing_leading_edge_mm": 60.0}, "wing root chord against the stick"),
        ({"balance_point_mm": -40.0, "wing_station_mm": 20.0}, "no masses can balance"),
        ({"span_mm": 46.0}, "460"),
        ({"span_mm": "460"}, "allowed is a number"),
    ],
)
def test_readings_of_no_aeroplane_are_refused_in_words(
    changes: dict[str, float | str], hint: str
) -> None:
    with pytest.raises(SlipError, match=hint):
        aeroplane_of({**readings_of(demo("hallfinch-46")), **changes})
