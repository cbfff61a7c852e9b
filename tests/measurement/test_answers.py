"""What is typed while measuring: units, commas, slips, and what does not fit together."""

from __future__ import annotations

import pytest

from trimkit import load_aeroplane, measurement, places
from trimkit.measurement import SlipError, doubt_about, read_answer


@pytest.mark.parametrize(
    ("name", "typed", "value", "said"),
    [
        ("span_mm", "460", 460.0, ""),
        ("span_mm", " 460,5 ", 460.5, ""),
        ("span_mm", "46 cm", 460.0, "46 cm is 460 mm"),
        ("span_mm", "460 mm", 460.0, ""),
        ("mass_g", "0.42 oz", 11.9068, "0.42 oz is 11.907 g"),
        ("torque_mNm", "0.4 oz in", 2.82462, "0.4 oz in is 2.8246 mN m"),
        ("torque_mNm", "0.4 oz-in", 2.82462, "0.4 oz-in is 2.8246 mN m"),
        ("shim_mm", "-0,8", -0.8, ""),
        ("shim_mm", "−0.8 mm", -0.8, ""),
        ("hand", "L", "left", ""),
        ("name", " Wren 2 ", "Wren 2", ""),
    ],
)
def test_an_answer_is_understood(name: str, typed: str, value: float | str, said: str) -> None:
    reading = read_answer(name, typed)
    expected = value if isinstance(value, str) else pytest.approx(value, rel=1e-5)
    assert reading.value == expected
    assert reading.said == said


@pytest.mark.parametrize(
    ("name", "typed", "hints"),
    [
        ("span_mm", "46", ["46 mm", "200 to 700 mm", "centimetres", "460"]),
        ("root_chord_mm", "4.02", ["inches", "102"]),
        ("mass_g", "0.42", ["ounces", "11.9"]),
        ("mass_g", "0.012", ["kilograms", "12"]),
        ("torque_mNm", "0.05", ["oz in", "0.353"]),
        ("span_mm", "nan", ["'nan'", "no number"]),
        ("span_mm", "1e9", ["no unit", "mm"]),
        ("span_mm", "", ["no number"]),
        ("torque_mNm", "3 Nm", ["'Nm'", "allowed units: mnm, ozin"]),
        ("span_mm", "4 6 0 x", ["no unit"]),
        ("hand", "up", ["'up'", "right or left"]),
        ("name", "", ["0 letters", "60"]),
        ("name", "a\nb", ["letters"]),
        ("shim_mm", "8", ["-6 to 6", "0.8"]),
    ],
)
def test_a_slip_says_what_is_allowed_and_the_likely_slip(
    name: str, typed: str, hints: list[str]
) -> None:
    with pytest.raises(SlipError) as slip:
        read_answer(name, typed)
    assert [hint for hint in hints if hint not in str(slip.value)] == []


@pytest.mark.parametrize(
    ("name", "value", "known", "hint"),
    [
        ("wing_trailing_edge_mm", 99.0, {"wing_leading_edge_mm": 95.0}, "4 mm lower"),
        ("wing_leading_edge_mm", 95.0, {"wing_trailing_edge_mm": 99.0}, "swapped"),
        ("tip_chord_mm", 110.0, {"root_chord_mm": 102.0}, "more than the wing chord"),
        ("motor_mass_g", 9.0, {"mass_g": 8.0}, "mass ready to fly"),
        ("wing_station_mm", 12.0, {"span_mm": 460.0}, "12 centimetres, which is 120"),
        ("tail_leading_edge_mm", 5.9, {"span_mm": 460.0}, "59"),
        ("wing_station_mm", 4.7, {"span_mm": 460.0}, "4.7 inches, which is 119.4"),
    ],
)
def test_what_does_not_fit_is_asked_about(
    name: str, value: float, known: dict[str, float], hint: str
) -> None:
    doubt = doubt_about(name, value, known)
    assert hint in doubt
    assert doubt.endswith("?")


def test_readings_of_the_demo_aeroplanes_raise_no_doubt() -> None:
    for path in sorted((places.demo_folder() / "aeroplanes").glob("*.toml")):
        known = measurement.readings_of(load_aeroplane(path))
        doubts = [
            doubt_about(name, value, known)
            for name, value in known.items()
            if isinstance(value, float)
        ]
        assert [doubt for doubt in doubts if doubt] == []


def test_an_unknown_question_names_all() -> None:
    with pytest.raises(ValueError, match="balance_point_mm"):
        read_answer("spam_mm", "1")
