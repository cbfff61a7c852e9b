"""What stands for a reading that was not taken: the trainer's, scaled to what is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

import numpy as np

from trimkit import balance, incidence, places
from trimkit.aeroplane import Aeroplane
from trimkit.files import load_aeroplane
from trimkit.measurement.questions import (
    BY_NAME,
    EDGES,
    QUESTIONS,
    Answer,
    Question,
    Sheet,
    number,
    question_of,
    spaced,
)
from trimkit.motor import RubberMotor
from trimkit.propeller import Propeller
from trimkit.units import quantities

TRAINER = "hallfinch-46"
METER_C = 20.0  # of the rubber when its torque was read; assumed


@cache
def trainer() -> Aeroplane:
    """Load the trainer, whose figures stand for what was not measured.

    Returns
    -------
    Aeroplane
        The demo trainer [-].
    """
    return load_aeroplane(places.demo_aeroplanes()[TRAINER])


@cache
def readings_of_trainer() -> Mapping[str, Answer]:
    """Return what a perfect ruler would read on the trainer.

    Returns
    -------
    mapping of str to float or str
        By name of the question [in the unit of each name].
    """
    return MappingProxyType(readings_of(trainer()))


def readings_of(aeroplane: Aeroplane, stick_mm: float = 60.0) -> dict[str, Answer]:
    """Return what a perfect ruler would read on an aeroplane.

    Parameters
    ----------
    aeroplane : Aeroplane
        The aeroplane [-].
    stick_mm : float
        Height of the level stick above the table [mm].

    Returns
    -------
    dict of str to float or str
        By name of the question [in the unit of each name].
    """
    build, setting = aeroplane.build, aeroplane.setting
    wing, tail, motor, propeller = build.wing, build.tail, setting.motor, setting.propeller
    turns = round(0.5 * motor.limit_turns)
    return {
        "name": aeroplane.name,
        "span_mm": wing.span_mm,
        "root_chord_mm": wing.root_chord_mm,
        "wing_station_mm": setting.wing_station_mm,
        "mass_g": balance.aeroplane_cg(aeroplane).mass_g,
        "balance_point_mm": balance.balance_point_mm(aeroplane),
        **_read_edges(aeroplane, stick_mm),
        "stick_mm": stick_mm,
        "tail_chord_mm": tail.chord_mm,
        "tail_span_mm": tail.span_mm,
        "tail_station_mm": tail.station_mm,
        "tip_chord_mm": wing.tip_chord_mm,
        "tip_rise_mm": wing.span_mm / 2 * math.tan(math.radians(wing.dihedral_deg)),
        "hook_station_mm": build.stick.hook_station_mm,
        "socket_mm": tail.socket_mm,
        "shim_mm": setting.shim_mm,
        **_read_tips(aeroplane, stick_mm),
        "wing_offset_mm": setting.wing_offset_mm,
        **_read_fin_and_tilt(aeroplane, stick_mm),
        "diameter_mm": propeller.diameter_mm,
        "blade_angle_deg": _blade_angle_deg(propeller),
        "hand": propeller.hand,
        "loop_mm": motor.loop_mm,
        "strip_width_mm": motor.strip_width_mm,
        "motor_mass_g": motor.mass_g,
        "torque_turns": float(turns),
        "torque_mNm": float(motor.winding_torque_mNm(turns, METER_C)),
        "wing_mass_g": wing.mass_g,
        "tail_mass_g": tail.mass_g,
        "propeller_mass_g": propeller.mass_g,
    }


def _read_edges(aeroplane: Aeroplane, stick_mm: float) -> dict[str, float]:
    wing, tail = aeroplane.build.wing, aeroplane.build.tail
    wing_rise = wing.root_chord_mm * _sin(incidence.wing_incidence_deg(aeroplane))
    tail_rise = tail.chord_mm * _sin(incidence.tail_incidence_deg(aeroplane))
    return {
        "wing_leading_edge_mm": stick_mm + wing.height_mm,
        "wing_trailing_edge_mm": stick_mm + wing.height_mm - wing_rise,
        "tail_leading_edge_mm": stick_mm + tail.height_mm,
        "tail_trailing_edge_mm": stick_mm + tail.height_mm - tail_rise,
    }


def _read_tips(aeroplane: Aeroplane, stick_mm: float) -> dict[str, float]:
    wing, twist = aeroplane.build.wing, incidence.panel_twist_deg(aeroplane)
    up = stick_mm + wing.height_mm + wing.span_mm / 2 * math.tan(math.radians(wing.dihedral_deg))
    low = {
        side: wing.tip_chord_mm * _sin(wing.incidence_deg + deg)
        for side, deg in (("left", twist.left_deg), ("right", twist.right_deg))
    }
    return {
        "left_tip_leading_mm": up,
        "left_tip_trailing_mm": up - low["left"],
        "right_tip_leading_mm": up,
        "right_tip_trailing_mm": up - low["right"],
    }


def _read_fin_and_tilt(aeroplane: Aeroplane, stick_mm: float) -> dict[str, float]:
    fin, tail = aeroplane.build.fin, aeroplane.build.tail
    tilt = tail.span_mm / 2 * _sin(aeroplane.setting.tail_tilt_deg)
    return {
        "fin_height_mm": fin.span_mm,
        "fin_chord_mm": fin.chord_mm,
        "fin_left_mm": fin.chord_mm * _sin(aeroplane.fin_deg),
        "tail_left_tip_mm": stick_mm + tail.height_mm + tilt,
        "tail_right_tip_mm": stick_mm + tail.height_mm - tilt,
    }


def _sin(angle_deg: float) -> float:
    return math.sin(math.radians(angle_deg))


def _blade_angle_deg(propeller: Propeller) -> float:
    angles = np.interp(0.75, propeller.radius_ratios, propeller.blade_angles_deg)
    return float(angles) + propeller.second_blade_deg / 2


# Heights and tips that belong together: what was read stays, the difference is the trainer's.
_TOGETHER: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "wing_leading_edge_mm": ("wing_trailing_edge_mm", "stick_mm"),
        "wing_trailing_edge_mm": ("wing_leading_edge_mm", "stick_mm"),
        "tail_leading_edge_mm": ("tail_trailing_edge_mm", "stick_mm"),
        "tail_trailing_edge_mm": ("tail_leading_edge_mm", "stick_mm"),
        "stick_mm": ("tail_leading_edge_mm", "wing_leading_edge_mm"),
        "tail_left_tip_mm": ("tail_right_tip_mm",),
        "tail_right_tip_mm": ("tail_left_tip_mm",),
    }
)
_OWN_SCALE: Mapping[str, str] = MappingProxyType(
    {
        "balance_point_mm": "root_chord_mm",
        "tip_chord_mm": "root_chord_mm",
        "fin_left_mm": "fin_chord_mm",
        "tail_chord_mm": "tail_span_mm",
    }
)
_NEVER_SCALED = ("shim_mm", "strip_width_mm", "blade_angle_deg")
_CUBED = ("motor_mass_g", "torque_mNm")  # a loop as many times as long, wide and thick


def guess(name: str, sheet: Sheet) -> Answer:
    """Guess a reading from the trainer, scaled to what is known.

    Lengths go with the span, areas and masses of frames with its square or with the mass on the
    balance; a motor goes with the mass.

    Parameters
    ----------
    name : str
        Name of the question [-].
    sheet : mapping of str to float or str
        What is known [in the unit of each name].

    Returns
    -------
    float or str
        The guess [in the question's unit].
    """
    question, like = question_of(name), readings_of_trainer()
    if question.is_text:
        return "My aeroplane" if name == "name" else like[name]
    at_trainer = number(like, name)
    if name in TIPS:
        return _guess_tip(name, sheet)
    for other in _TOGETHER.get(name, ()):
        if sheet.get(other) is not None:
            larger = scale(sheet)
            return number(sheet, other) + larger * (at_trainer - number(like, other))
    return _clipped(question, at_trainer * _factor(name, sheet))


TIPS = tuple(name for pair in EDGES[2:] for name in pair[:2])


def _guess_tip(name: str, sheet: Sheet) -> float:
    """A tip that was not read is twisted as the trainer's."""
    side, _, rest = name.partition("_tip_")
    pair = {"leading_mm": "trailing_mm", "trailing_mm": "leading_mm"}[rest]
    other = f"{side}_tip_{pair}"
    twist = incidence.panel_twist_deg(trainer())
    wanted = root_angle_deg(sheet) + (twist.left_deg if side == "left" else twist.right_deg)
    fall = float(_given(sheet, "tip_chord_mm")) * _sin(wanted)
    if sheet.get(other) is not None:
        return number(sheet, other) + (fall if rest == "leading_mm" else -fall)
    up = float(_given(sheet, "wing_leading_edge_mm")) + float(_given(sheet, "tip_rise_mm"))
    return up if rest == "leading_mm" else up - fall


def _given(sheet: Sheet, name: str) -> float:
    found = sheet.get(name)
    return float(guess(name, sheet) if found is None else found)


def root_angle_deg(sheet: Sheet) -> float:
    """Work out the wing's angle to the stick; edges that were not read are guessed.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name [in the unit of each name].

    Returns
    -------
    float
        Angle, + leading edge up [deg].
    """
    return incidence.angle_deg(
        _given(sheet, "wing_leading_edge_mm"),
        _given(sheet, "wing_trailing_edge_mm"),
        _given(sheet, "root_chord_mm"),
    )


def _clipped(question: Question, value: float) -> float:
    return min(max(value, question.allowed.low), question.allowed.high)


def scale(sheet: Sheet) -> float:
    """Say how many times as large as the trainer: by span, else by chord, else by mass.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name [in the unit of each name].

    Returns
    -------
    float
        1 for the trainer's size [-].
    """
    like = readings_of_trainer()
    for name, power in (("span_mm", 1.0), ("root_chord_mm", 1.0), ("mass_g", 0.5)):
        if sheet.get(name) is not None:
            return float((number(sheet, name) / number(like, name)) ** power)
    return 1.0


def _factor(name: str, sheet: Sheet) -> float:
    like, unit = readings_of_trainer(), BY_NAME[name].allowed.unit
    own = _OWN_SCALE.get(name)
    if name in _NEVER_SCALED or unit in ("°",):
        return 1.0
    if own and sheet.get(own) is not None:
        return number(sheet, own) / number(like, own)
    larger = scale(sheet)
    if name == "torque_turns":
        return 1.0
    if unit in ("g", "mN m") and sheet.get("mass_g") is not None and name != "mass_g":
        heavier = number(sheet, "mass_g") / number(like, "mass_g")
        return heavier * (larger if name == "torque_mNm" else 1.0)
    if unit in ("g", "mN m"):
        return larger ** (3 if name in _CUBED else 2)
    return larger


def guess_words(name: str, value: Answer) -> str:
    """Say what stands for a reading that was not taken.

    Parameters
    ----------
    name : str
        Name of the question [-].
    value : float or str
        What stands for it [in the question's unit].

    Returns
    -------
    str
        Such as "tail chord: 75.4 mm, guessed" [-].
    """
    question = BY_NAME[name]
    shown = value if isinstance(value, str) else f"{value:.4g}{spaced(question.allowed.unit)}"
    return f"{question.title}: {shown}, guessed"


def filled(sheet: Sheet) -> tuple[dict[str, Answer], dict[str, Answer]]:
    """Fill a sheet's gaps with guesses.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name [in the unit of each name].

    Returns
    -------
    (dict, dict)
        The full sheet, and what of it was guessed [in the unit of each name].
    """
    full = {name: value for name, value in sheet.items() if value is not None}
    guessed: dict[str, Answer] = {}
    for question in QUESTIONS:
        if question.name not in full:
            full[question.name] = guessed[question.name] = guess(question.name, full)
    _settle_motor(full, guessed)
    return full, guessed


def _settle_motor(full: dict[str, Answer], guessed: dict[str, Answer]) -> None:
    """Guess a loop as one thing: its mass and section follow what was read of it."""
    if "torque_mNm" in guessed or "torque_turns" in guessed:
        motor = strip(full, guessed)
        turns = round(0.5 * motor.limit_turns) if "torque_turns" in guessed else None
        full["torque_turns"] = float(turns) if turns else full["torque_turns"]
        known = min(number(full, "torque_turns"), motor.limit_turns)
        full["torque_mNm"] = float(motor.winding_torque_mNm(known, METER_C))
        guessed.update({name: full[name] for name in ("torque_turns", "torque_mNm")})


def strip(full: Sheet, guessed: Mapping[str, Answer | None]) -> RubberMotor:
    """Make the loop of a full sheet; its thickness is what makes its mass.

    Parameters
    ----------
    full : mapping of str to float or str
        The full sheet [in the unit of each name].
    guessed : mapping of str to float or str
        What of it was guessed [in the unit of each name].

    Returns
    -------
    RubberMotor
        The loop, its thickness within what is allowed [-].
    """
    like = trainer().setting.motor
    loop, width = number(full, "loop_mm"), number(full, "strip_width_mm")
    thick = 1000 * number(full, "motor_mass_g") / (like.density_g_cm3 * 2 * loop * width)
    low, high = quantities(RubberMotor)["strip_thickness_mm"].low, 2.0
    if "motor_mass_g" in guessed and not {"loop_mm", "strip_width_mm"} <= set(guessed):
        thick = like.strip_thickness_mm
    return RubberMotor(loop, width, min(max(thick, low), high))
