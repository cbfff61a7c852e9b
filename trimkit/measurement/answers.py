"""What was typed, understood: commas, units, the usual slips, and what does not fit."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from trimkit.files import as_float, slip_of
from trimkit.measurement.guesses import guess
from trimkit.measurement.questions import (
    BY_NAME,
    EDGES,
    LONGEST_NAME,
    Answer,
    Question,
    Sheet,
    SlipError,
    number,
    question_of,
    spaced,
)
from trimkit.units import G_PER_OUNCE, MM_PER_INCH, MNM_PER_OUNCE_INCH, Quantity

HANDS = ("right", "left")
ODD_RATIO = 3.0  # a figure so many times what the rest suggests is asked about; assumed

_UNITS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "mm": {"mm": 1, "cm": 10, "m": 1000, "in": MM_PER_INCH, "inch": MM_PER_INCH},
        "g": {"g": 1, "kg": 1000, "mg": 0.001, "oz": G_PER_OUNCE},
        "mN m": {"mnm": 1, "ozin": MNM_PER_OUNCE_INCH, "inoz": MNM_PER_OUNCE_INCH},
        "°": {"°": 1, "deg": 1, "degrees": 1},
        "turns": {"turns": 1},
    }
)
_NUMBER = re.compile(r"\s*([+\-−–]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*(.*?)\s*", re.S)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was understood of something typed.

    Parameters
    ----------
    value : float or str
        The answer [in the question's unit].
    said : str
        How it was understood, where that is not plain, else empty [-].
    doubt : str
        A question to ask back before it is kept, else empty [-].
    """

    value: Answer
    said: str = ""
    doubt: str = ""


def read_answer(name: str, typed: str, sheet: Sheet | None = None) -> Reading:
    """Understand an answer, or say what slipped.

    Parameters
    ----------
    name : str
        Name of the question [-].
    typed : str
        What was typed: a number with a point or a comma, perhaps with a unit [-].
    sheet : mapping or None
        What is known so far, to notice a figure that does not fit [in the unit of each name].

    Returns
    -------
    Reading
        The answer in the question's unit [-].

    Raises
    ------
    SlipError
        When it cannot be used: what was given, what is allowed, the likely slip.

    Examples
    --------
    >>> read_answer("span_mm", "46,0 cm").value
    460.0
    """
    question = question_of(name)
    if question.is_text:
        return Reading(_word(question, typed))
    found = _NUMBER.fullmatch(typed[:80])
    if not found:
        raise SlipError(f"{typed.strip()[:40]!r} is no number; {question.words()}")
    value = float(found[2].replace(",", ".")) * (-1 if found[1] in ("-", "−", "–") else 1)
    value, said = _in_unit(question, value, found[3])
    _check_range(question, value)
    return Reading(value, said, doubt_about(name, value, sheet or {}))


def _word(question: Question, typed: str) -> str:
    word = typed.strip()
    if question.name == "hand":
        near = [hand for hand in HANDS if word and hand.startswith(word.lower())]
        if not near:
            raise SlipError(f"{word[:40]!r} is given; {question.words()}")
        return near[0]
    if not word or len(word) > LONGEST_NAME or not word.isprintable():
        raise SlipError(f"a name of {len(word)} letters is given; allowed is {question.words()}")
    return word


def _in_unit(question: Question, value: float, unit: str) -> tuple[float, str]:
    """Turn a number with another unit behind it into the question's own."""
    if not unit:
        return value, ""
    known = _UNITS.get(question.allowed.unit, {})
    short = re.sub(r"[\s·.*-]", "", unit.lower())
    short = {"ounce": "oz", "ounces": "oz", '"': "in", "inches": "in"}.get(short, short)
    if short not in known:
        listed = ", ".join(known) or "none"
        raise SlipError(f"{unit[:20]!r} is no unit for {question.title}; allowed units: {listed}")
    fresh = value * known[short]
    if known[short] == 1:
        return fresh, ""
    return fresh, f"{value:g} {unit} is {fresh:.5g} {question.allowed.unit}"


def _check_range(question: Question, value: float) -> None:
    allowed = question.allowed
    if allowed.low <= value <= allowed.high:
        return
    slip = _torque_slip(value, allowed) if question.name == "torque_mNm" else ""
    slip = slip or slip_of(value, allowed) or "look at the ruler again"
    given = f"{value:g}{spaced(allowed.unit)} is given"
    raise SlipError(f"{given}; {question.words()}; {slip}")


def _torque_slip(value: float, allowed: Quantity) -> str:
    fresh = value * MNM_PER_OUNCE_INCH
    if value < allowed.low <= fresh:
        return f"is that in oz in? {value:g} oz in is {fresh:.3g} mN m: write {value:g} oz in"
    return ""


def doubt_about(name: str, value: float, sheet: Sheet) -> str:
    """Ask back about an answer that is allowed and does not fit the others.

    Parameters
    ----------
    name : str
        Name of the question [-].
    value : float
        The answer [in the question's unit].
    sheet : mapping of str to float or str
        What is known so far [in the unit of each name].

    Returns
    -------
    str
        A question, empty when all fits [-].
    """
    known = {key: given for key, given in sheet.items() if given is not None and key != name}
    return _pair_doubt(name, {**known, name: value}) or _size_doubt(name, value, known)


_SMALLER = (
    ("tip_chord_mm", "root_chord_mm"),
    ("root_chord_mm", "span_mm"),
    ("tail_chord_mm", "tail_span_mm"),
    ("tail_span_mm", "span_mm"),
    ("wing_station_mm", "tail_station_mm"),
    ("balance_point_mm", "root_chord_mm"),
    ("motor_mass_g", "mass_g"),
    ("wing_mass_g", "mass_g"),
    ("propeller_mass_g", "mass_g"),
    ("tail_mass_g", "wing_mass_g"),
    ("strip_width_mm", "loop_mm"),
)


def _pair_doubt(name: str, known: Sheet) -> str:
    for front, back, words in EDGES:
        if name in (front, back) and front in known and back in known:
            low = number(known, back) - number(known, front)
            if low > 0:
                return (
                    f"{words} would be {low:g} mm lower than the trailing edge: nose down. Is "
                    "that so, or are the two swapped?"
                )
    for small, large in _SMALLER:
        if name in (small, large) and small in known and large in known:
            given, limit = number(known, small), number(known, large)
            if given > limit:
                return (
                    f"The {BY_NAME[small].title} ({given:g}) would be more than the "
                    f"{BY_NAME[large].title} ({limit:g}). Is that so?"
                )
    return ""


_SLIPS = {
    "mm": (("centimetres", 10), ("inches", MM_PER_INCH)),
    "g": (("ounces", G_PER_OUNCE),),
    "mN m": (("oz in", MNM_PER_OUNCE_INCH),),
}


def _size_doubt(name: str, value: float, known: Sheet) -> str:
    """Ask when a figure would fit much better in another unit."""
    expected = guess(name, known)
    if not isinstance(expected, float) or expected <= 0 or value <= 0 or name in _SIGNED:
        return ""
    off = abs(math.log(value / expected))
    if off < math.log(ODD_RATIO):
        return ""
    units = _SLIPS.get(BY_NAME[name].allowed.unit, ())
    if not units:
        return ""
    unit, factor = min(units, key=lambda one: abs(math.log(value * one[1] / expected)))
    if abs(math.log(value * factor / expected)) > off / 2:
        return ""
    return (
        f"{value:g}{spaced(BY_NAME[name].allowed.unit)} is little for this aeroplane. Is it so, or "
        f"was it {value:g} {unit}, which is {value * factor:.4g}?"
    )


_SIGNED = ("shim_mm", "wing_offset_mm", "fin_left_mm", "balance_point_mm", "torque_turns")


def checked(sheet: Sheet) -> dict[str, Answer]:
    """Check a sheet that did not come through `read_answer`.

    Parameters
    ----------
    sheet : mapping of str to float, str or None
        Readings by name [in the unit of each name].

    Returns
    -------
    dict of str to float or str
        Those that were taken [in the unit of each name].

    Raises
    ------
    ValueError
        When a name is unknown or a reading out of range.
    """
    read: dict[str, Answer] = {}
    for name, value in sheet.items():
        question = question_of(name)
        if value is None:
            continue
        if question.is_text:
            read[name] = _word(question, str(value))
            continue
        if isinstance(value, str | bool):
            raise SlipError(
                f"{question.title} is {value!r}; allowed is a number; {question.words()}"
            )
        read[name] = as_float(value)
        _check_range(question, as_float(value))
    return read
